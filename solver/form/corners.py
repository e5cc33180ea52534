"""How far increases show as corners: the swing of a round's radius, for increases in line or set off."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.arrays import Floats
from solver.form.descent import Supports
from solver.form.fabric import StitchFabric, stitch_fabric
from solver.form.stitches import StitchForm, stitch_form
from solver.rounds import Finish, Piece, Start

FEWEST = 24
"""Stitches of a round, or in both ends of an oval one, from which its corners are told: a smaller one is a
polygon of its stitches anyway."""


CORNERS_SHOW = 0.05
"""Swing of the radius from which an eye sees corners: a third of a hexagon's 14.7 % (our own estimate)."""


@dataclass(frozen=True, slots=True)
class Swing:
    """The round whose radius swings most.

    Attributes
    ----------
    number : int
        The round, from 1.
    part : float
        Greatest less least radius over the mean. [1]
    """

    number: int
    part: float


def round_form(
    piece: Piece,
    *,
    stitch_width: float,
    row_height: float,
    pressure: float,
    stiffness_ratio: float = 1.0,
    held: tuple[float | None, float | None] = (None, None),
) -> StitchForm:
    """Return the form in space of a round piece.

    Parameters
    ----------
    piece : Piece
        Begun with a ring or open.
    stitch_width, row_height : float
        [mm]
    pressure : float
        p/k. [1/mm]
    stiffness_ratio : float
        k_w/k_c, > 0.
    held : tuple of two (float or None)
        Radius that an open start and an open last edge are held to; None: free. [mm]

    Raises
    ------
    InputError
        If a round is too small for a fabric, or the stuffing too firm.
    ConvergenceError
        If there is no balance.
    """
    fabric = stitch_fabric(piece, stitch_width=stitch_width, row_height=row_height)
    edges = (piece.start is Start.OPEN, piece.finish is Finish.OPEN)
    start, finish = (
        _circle(fabric, ring, radius) if is_open and radius else None
        for ring, is_open, radius in zip((0, len(fabric.rings) - 1), edges, held, strict=True)
    )
    supports = Supports(start=start, finish=finish)
    return stitch_form(fabric, pressure=pressure, supports=supports, wale_stiffness=stiffness_ratio)


def worst_swing(form: StitchForm) -> Swing | None:
    """Return the round whose radius swings most; None where all have fewer than `FEWEST` stitches.

    Of an oval part the radius is taken in the two ends, about the ends of the straight sides.
    """
    rounds = len(form.fabric.piece.rounds)
    last = rounds - (form.fabric.piece.finish is Finish.SEAMED)
    straight = 2 * form.fabric.piece.side
    swing = _swing_of_ends if form.fabric.corners else _swing
    known = [
        Swing(number, swing(ring[:, :2]))
        for number, ring in enumerate(form.rings[1 : last + 1], start=1)
        if len(ring) - straight >= FEWEST and number > 1
    ]
    return max(known, key=lambda each: each.part, default=None)


def _swing(section: Floats) -> float:
    at = section - section.mean(axis=0)
    radius = np.hypot(at[:, 0], at[:, 1])
    return float(np.ptp(radius) / radius.mean())


def _swing_of_ends(section: Floats) -> float:
    """Return the same for the two ends of an oval, about what a smooth end has at the same angle."""
    at = section - (section.max(axis=0) + section.min(axis=0)) / 2
    half = max(float(np.ptp(at[:, 0]) - np.ptp(at[:, 1])), 0.0) / 2
    swings = []
    for side in (1.0, -1.0):
        end = at[side * at[:, 0] >= half]
        x, y = side * end[:, 0] - half, end[:, 1]
        radius, angle = np.hypot(x, y), np.arctan2(y, x)
        smooth = np.polynomial.Polynomial.fit(angle, radius, 2)
        swings.append(float(np.ptp(radius - smooth(angle)) / radius.mean()))
    return max(swings)


def _circle(fabric: StitchFabric, ring: int, radius: float) -> Floats:
    """Return places of a held edge's stitches, evenly round. [mm]"""
    angle = -2 * np.pi * fabric.place(ring)
    return radius * np.column_stack([np.cos(angle), np.sin(angle)])
