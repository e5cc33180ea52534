"""Where a part sits on another: the spot, the axis out of it, and which way its front looks."""

from __future__ import annotations

import math

import numpy as np

from solver.arrays import Floats
from solver.errors import InputError, Problem
from solver.toy.cast import Frame, Lines
from solver.toy.model import Spot, ToyPart
from solver.toy.surface import Surface
from solver.units import in_mm

FORWARD = 45.0
"""A part that points to the front or the back within so much has its front looking up. [degrees]"""

UP = np.array([0.0, 0.0, 1.0])
AHEAD = np.array([0.0, -1.0, 0.0])
MIRROR = np.array([-1.0, 1.0, 1.0])
"""Left and right swapped."""


def place_of(surface: Surface, spot: Spot, *, name: str, where: str, file: str) -> tuple[float, float]:
    """Return ring and turn of a spot on a part that stands upright.

    Parameters
    ----------
    surface : Surface
    spot : Spot
    name : str
        Of the part, for messages.
    where, file : str
        Where the spot is told.

    Raises
    ------
    InputError
        If the part has no such place.
    """
    if spot.round is not None and spot.stitch is not None:
        counts = surface.form.piece.counts
        if spot.round > len(counts):
            rule, got = f"the {name} has {len(counts)} rounds", f"round {spot.round}"
            raise InputError(Problem(rule, got=got, place=where, file=file))
        if spot.stitch > counts[spot.round - 1]:
            rule = f"round {spot.round} of the {name} has {counts[spot.round - 1]} stitches"
            raise InputError(Problem(rule, got=f"stitch {spot.stitch}", place=where, file=file))
        return spot.round - 0.5, surface.turn(spot.round, spot.stitch)
    if spot.height is None:
        down = Frame(np.zeros(3), np.eye(3))
        _, ring, turn = Lines(surface, down, reach=1.0).meet(np.zeros((1, 2)), outermost=True)
    else:
        if not 0 <= spot.height <= surface.height:
            rule = f"the {name} is {in_mm(surface.height)} high as it is stuffed, its joined end down"
            got = f"a height of {in_mm(spot.height)}"
            raise InputError(Problem(rule, got=got, place=where, file=file))
        out = math.radians(spot.turn)
        axis = np.array([math.sin(out), -math.cos(out), 0.0])
        level = Frame(np.array([0.0, 0.0, spot.height]), _frame(axis, UP))
        _, ring, turn = Lines(surface, level, reach=1.0).meet(np.zeros((1, 2)), outermost=True)
    if np.isnan(ring[0]):
        what = "no top: it is open there" if spot.is_top else "nothing there"
        rule = f"a place lies on the {name}, which has {what}"
        remedy = "Change the height or the turn."
        raise InputError(Problem(rule, remedy=remedy, place=where, file=file))
    return float(ring[0]), float(turn[0])


def moved(surface: Surface, ring: float, turn: float, *, copy: int, part: ToyPart) -> tuple[float, float]:
    """Return the place of a copy of a part: the mirrored one of twins, the next ones round the part."""
    if copy == 0:
        return ring, turn
    point = surface.at(ring, turn)
    if part.twins:
        point = point * MIRROR
    else:
        angle = 2 * math.pi * copy / part.make
        c, s = math.cos(angle), math.sin(angle)
        point = np.array([c * point[0] - s * point[1], s * point[0] + c * point[1], point[2]])
    rings, turns = surface.nearest(point)
    return float(rings[0]), float(turns[0])


def seat(
    surface: Surface,
    ring: float,
    turn: float,
    *,
    lean: float,
    spin: float,
    carrier: Floats,
    normal: Floats | None,
) -> Frame:
    """Return the frame of a part on a place of the one that carries it.

    Parameters
    ----------
    surface : Surface
        Of the carrying part.
    ring, turn : float
        The place on it.
    lean : float
        Of the axis from straight out, downward; on a place that looks straight up or down, forward. [degrees]
    spin : float
        About the axis, counter-clockwise seen from its far end. [degrees]
    carrier : (3, 3) float
        How the carrying part is turned in the toy: its left, back and axis as columns.
    normal : (3,) float or None
        Out of the place; None: as the surface has it there.

    Returns
    -------
    Frame
        In the carrying part's coordinates. The part's front looks to the toy's front; where it points to the
        front or the back itself, upward.
    """
    if normal is None:
        normal = surface.normal(ring, turn)
    up, ahead = UP @ carrier, AHEAD @ carrier
    downward = -up + (up @ normal) * normal
    if np.linalg.norm(downward) < 1e-3:
        downward = ahead - (ahead @ normal) * normal
    if np.linalg.norm(downward) < 1e-3:  # at the top of a part that points to the front
        downward = -up
    downward /= np.linalg.norm(downward)
    leaned = math.radians(lean)
    axis = math.cos(leaned) * normal + math.sin(leaned) * downward
    points_ahead = abs(axis @ ahead) > math.cos(math.radians(FORWARD))
    turned = _frame(axis, up if points_ahead else ahead)
    angle = math.radians(spin)
    c, s = math.cos(angle), math.sin(angle)
    return Frame(surface.at(ring, turn), turned @ np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]]))


def out_of_end(surface: Surface, ring: int) -> Floats:
    """Return the unit normal of a ring's plane, away from the part's middle."""
    rim = surface.table[ring]
    spread = rim - rim.mean(axis=0)
    normal = np.cross(spread, np.roll(spread, -1, axis=0)).sum(axis=0)
    normal /= np.linalg.norm(normal)
    away = float(normal @ (rim.mean(axis=0) - surface.points.mean(axis=0)))
    return np.asarray(normal if away > 0 else -normal)


def _frame(axis: Floats, front: Floats) -> Floats:
    """Return left, back and axis as columns, the front as near to a direction as it can look."""
    ahead = front - (front @ axis) * axis
    back = -ahead / np.linalg.norm(ahead)
    return np.stack([np.cross(back, axis), back, axis], axis=1)
