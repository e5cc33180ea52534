"""Which relaxed fabric, once stuffed, is the wanted form: membrane statics of a solid of revolution.

A membrane of revolution under pressure p is statically determinate: with phi the angle of the meridian from
the horizontal, kappa_1 its curvature, r the radius and R_2 = r / sin(phi),

    N_w = p r / (2 sin phi)                          vertical balance of the cap below            (1)
    N_c = (p - N_w kappa_1) R_2                      balance along the normal                     (2)

(S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., ch. 14; from memory). Fabric of
stored energy 1/2 k_c <l_c - 1>^2 + 1/2 k_w <l_w - 1>^2 per unit rest area has the tensions per unit current
width N_w = k_w (l_w - 1) / l_c and N_c = k_c (l_c - 1) / l_w; with a = N_w / k_w, b = N_c / k_c, both >= 0,

    l_w = (1 + a) / (1 - a b),      l_c = (1 + b) / (1 - a b)                                     (3)

so the rest meridian is ds / l_w and the rest girth 2 pi r / l_c.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from solver.arrays import Floats, frozen
from solver.wanted.outline import SAME_POINT, Meridian, Outline, meridian

STATIONS_PER_ROW = 24

CURVE_POINTS = 100
"""An outline of this many points or more is a drawn curve, not straight pieces with corners between them."""

CURVE_PIECES = 8
"""Pieces of a drawn curve that its angle is averaged over, at the least."""

HOOP_SLACK = 0.005
"""Hoop tension below minus this, in units of p R, is compression: more than the rounding of a drawing."""

FLAT_TENSION = 1.5
"""Wale tension above this, in units of p R, is that of a flat end: three times what a ball has."""

LEAST_ZONE = 0.25
"""Hoop compression over less than so many rows is not felt."""

CORNER_TURN = np.radians(40.0)
"""An outline that turns by more than this within half a row has a corner."""


class Tensions(NamedTuple):
    """Tension per unit current width over fabric stiffness, at each station. [1]."""

    wale: Floats
    course: Floats


class Unsupported(NamedTuple):
    """A stretch of the wanted outline that stuffing can't hold.

    Attributes
    ----------
    kind : str
        "hoop" (the fabric would have to push back round the part), "flat" or "corner".
    low, high : float
        Heights between which it lies. [mm]
    """

    kind: str
    low: float
    high: float


@dataclass(frozen=True, slots=True, eq=False)
class RestFabric:
    """The relaxed fabric that is the wanted form once stuffed.

    Attributes
    ----------
    wanted_arc : (n,) float
        Arc length of the wanted meridian, from the first round; first and last are its ends. [mm]
    arc : (n,) float
        Rest arc length of the same places. [mm]
    girth : (n,) float
        Rest girth there. [mm]
    wanted_girth : (n,) float
        Stuffed girth there, as drawn. [mm]
    unsupported : tuple of Unsupported
        Where stuffing can't hold the wanted form.
    """

    wanted_arc: Floats
    arc: Floats
    girth: Floats
    wanted_girth: Floats
    unsupported: tuple[Unsupported, ...]

    @property
    def length(self) -> float:
        """Rest length of the meridian. [mm]."""
        return float(self.arc[-1])


def tensions(curve: Meridian, *, pressure: float) -> Tensions:
    """Return the tensions of a membrane that has the form of `curve` under pressure.

    Parameters
    ----------
    curve : Meridian
        Stations off the axis, where the meridian is nowhere level.
    pressure : float
        p/k. [1/mm]

    Returns
    -------
    Tensions
        N_w and N_c over k. N_c below zero means that the fabric would have to push.
    """
    sine = np.maximum(np.sin(curve.angle), 1e-9)
    wale = pressure * curve.radius / (2 * sine)  # (1)
    course = (pressure - wale * curve.curvature) * curve.radius / sine  # (2)
    return Tensions(wale, course)


def rest_fabric(
    outline: Outline,
    *,
    pressure: float,
    row_height: float,
    course_stiffness: float = 1.0,
    wale_stiffness: float = 1.0,
) -> RestFabric:
    """Return the relaxed fabric that becomes `outline` when stuffed, or comes nearest to it.

    The outline's angle is averaged over a row, the least that fabric can bend over. Where the tensions of
    equations (1) and (2) leave what fabric can do (no push, no more pull than `FLAT_TENSION`), they are held
    to that.

    Parameters
    ----------
    outline : Outline
        The wanted form, middle of the fabric.
    pressure : float
        p/k, > 0. [1/mm]
    row_height : float
        h, > 0. [mm]
    course_stiffness, wale_stiffness : float
        k_c and k_w, relative.

    Returns
    -------
    RestFabric
        From the first round's start to the last edge.
    """
    stations = max(400, int(STATIONS_PER_ROW * outline.length / row_height))
    curve = meridian(outline, stations=stations, window=max(row_height, _grain(outline)))
    pull = tensions(curve, pressure=pressure)
    most = FLAT_TENSION * pressure * outline.width / 2
    a = np.clip(pull.wale, 0.0, most) / wale_stiffness
    b = np.clip(pull.course, 0.0, most) / course_stiffness
    wale_ratio = (1 + a) / (1 - a * b)  # (3)
    course_ratio = (1 + b) / (1 - a * b)  # (3)
    edges = np.arange(stations + 1) * curve.step
    arc = np.concatenate([[0.0], np.cumsum(curve.step / wale_ratio)])
    radius = np.interp(edges, outline.arc, outline.points[:, 0])
    wanted = 2 * np.pi * radius
    girth = wanted / np.interp(edges, curve.arc, course_ratio)
    unsupported = _unsupported(outline, pressure=pressure, row_height=row_height)
    return RestFabric(frozen(edges), frozen(arc), frozen(girth), frozen(wanted), unsupported)


def _unsupported(outline: Outline, *, pressure: float, row_height: float) -> tuple[Unsupported, ...]:
    """Return where stuffing can't hold the outline, from the first round to the last."""
    stations = max(400, int(STATIONS_PER_ROW * outline.length / row_height))
    window = max(row_height / 6, _grain(outline))
    fine = meridian(outline, stations=stations, window=window)
    from_pole = np.full(stations, np.inf)
    if outline.points[0, 0] <= SAME_POINT:
        from_pole = fine.arc
    if outline.points[-1, 0] <= SAME_POINT:
        from_pole = np.minimum(from_pole, outline.length - fine.arc)
    pull = tensions(fine, pressure=pressure)
    unit = pressure * outline.width / 2
    flat = pull.wale > FLAT_TENSION * unit
    ahead, behind = (
        np.interp(fine.arc + way, fine.arc, fine.angle) for way in (row_height / 4, -row_height / 4)
    )
    turn = np.abs(ahead - behind)
    corner = (
        (turn > CORNER_TURN) & (np.abs(fine.curvature) * outline.width > 8) & (from_pole > row_height / 2)
    )
    # the rounding of a corner presses too, within a row of it: that is told as the corner
    reach = min(int((row_height + window) / fine.step), stations // 2 - 1)
    beside = np.convolve(flat | corner, np.ones(2 * reach + 1), mode="same") > 0
    hoop = (pull.course < -HOOP_SLACK * unit) & ~beside
    found: list[Unsupported] = []
    for kind, where in (("flat", flat), ("corner", corner), ("hoop", hoop)):
        for first, last in _runs(where):
            if kind != "hoop" or (last - first + 1) * fine.step >= LEAST_ZONE * row_height:
                found.append(Unsupported(kind, float(fine.height[first]), float(fine.height[last])))
    return tuple(sorted(found, key=lambda zone: zone.low))


def _grain(outline: Outline) -> float:
    """Return the length below which a curve drawn with many points is only a row of straight pieces. [mm]."""
    points = len(outline.points)
    return CURVE_PIECES * outline.length / points if points >= CURVE_POINTS else 0.0


def _runs(where: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> list[tuple[int, int]]:
    """Return first and last index of each run of true values."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], where, [False]]).astype(np.int8)))
    return [(int(first), int(last) - 1) for first, last in zip(edges[::2], edges[1::2], strict=True)]
