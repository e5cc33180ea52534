"""Where the axis of a drawn shape lies: the line that it mirrors, or the straight side it is drawn on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from solver.arrays import Floats

Direction = Literal["vertical", "horizontal"]
Drawn = Literal["whole", "left half", "right half"]

MOST_TILT = 20.0
"""An axis leans at most this far from upright or level. [degree]"""

ON_AXIS = 0.03
"""Off the axis by no more than this part of the shape's length, a line that sticks out is the drawn axis."""

NO_STUBS: Floats = np.empty((0, 2))

LEVELS = 240
"""Slices that an axis is judged by."""

STRAIGHT = 0.012
"""A straight side stays within this part of the shape's length."""

STRAIGHT_SHARE = 0.9
"""Part of its length that a drawn half runs along its axis."""

SYMMETRIC = 0.03
"""Part of the area that may differ between the sides of a shape that is a whole one without doubt."""

LOPSIDED = 0.1
"""From here on a shape that is more alike about the other direction is turned round."""


@dataclass(frozen=True, slots=True)
class Axis:
    """The axis of a drawn shape.

    Attributes
    ----------
    direction : str
        "vertical" or "horizontal": what it is nearest to.
    tilt : float
        How far it leans from there, counter-clockwise. [degree]
    offset : float
        Its place across, in coordinates turned so that the axis is vertical. [units of the contour]
    drawn : str
        "whole", or which half lies beside the axis as it is seen with the first end down.
    asymmetry : float
        Area by which the two sides differ, of the whole area; 0 for a half.
    """

    direction: Direction
    tilt: float
    offset: float
    drawn: Drawn
    asymmetry: float

    @property
    def angle(self) -> float:
        """Angle by which the drawing is turned to bring the axis upright, counter-clockwise. [degree]"""
        return (90.0 if self.direction == "horizontal" else 0.0) - self.tilt


def turned(points: Floats, angle: float) -> Floats:
    """Return points turned counter-clockwise by an angle in degrees."""
    c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    return np.asarray(points @ np.array([[c, s], [-s, c]]), dtype=np.float64)


def slices(contour: Floats, levels: Floats) -> tuple[Floats, Floats]:
    """Return how far a closed line reaches to the left and to the right at each level.

    Parameters
    ----------
    contour : (n, 2) float
        A closed line, the last point joined to the first.
    levels : (m,) float
        Rising heights inside the contour's range.

    Returns
    -------
    left, right : (m,) float
        The outermost crossings; NaN where there is none.
    """
    a, b = contour, np.roll(contour, -1, axis=0)
    low, high = np.minimum(a[:, 1], b[:, 1]), np.maximum(a[:, 1], b[:, 1])
    first, last = np.searchsorted(levels, low, side="right"), np.searchsorted(levels, high, side="right")
    many = last - first
    edge = np.repeat(np.arange(len(a)), many)
    level = np.arange(len(edge)) - np.repeat(np.cumsum(many) - many, many) + np.repeat(first, many)
    along = (levels[level] - a[edge, 1]) / (b[edge, 1] - a[edge, 1])
    x = a[edge, 0] + along * (b[edge, 0] - a[edge, 0])
    left, right = np.full(len(levels), np.inf), np.full(len(levels), -np.inf)
    np.minimum.at(left, level, x)
    np.maximum.at(right, level, x)
    gone = ~np.isfinite(left)
    left[gone] = right[gone] = np.nan
    return left, right


def find_axis(
    contour: Floats, *, direction: str, drawn: str, steadiness: float, stubs: Floats = NO_STUBS
) -> Axis:
    """Return the axis of a drawn shape.

    Parameters
    ----------
    contour : (n, 2) float
        A closed line, x to the right and y up.
    direction : str
        "vertical", "horizontal", or "auto": vertical unless the shape is clearly more alike about a level
        axis.
    drawn : str
        "whole", "half", or "auto": a half is a shape with one straight side and unlike sides.
    steadiness : float
        How strongly an upright axis is preferred where the shape says nothing, such as a ball: what one
        degree of tilt must gain in likeness, of the shape's height.
    stubs : (k, 2) float
        Middles of lines that stick out: where they all lie on a straight side, it is a drawn axis.

    Returns
    -------
    Axis
        The likeliest one.
    """
    if direction == "vertical":
        return _upright_axis(contour, stubs, "vertical", drawn, steadiness)
    level = _upright_axis(turned(contour, 90.0), turned(stubs, 90.0), "horizontal", drawn, steadiness)
    if direction == "horizontal":
        return level
    upright = _upright_axis(contour, stubs, "vertical", drawn, steadiness)
    return level if upright.asymmetry > LOPSIDED and level.asymmetry < upright.asymmetry / 2 else upright


def _upright_axis(
    contour: Floats, stubs: Floats, direction: Direction, drawn: str, steadiness: float
) -> Axis:
    whole = _mirror_axis(contour, direction, steadiness)
    if drawn == "whole" or (drawn == "auto" and whole.asymmetry < SYMMETRIC and not len(stubs)):
        return whole
    left, right = (_straight_side(contour, direction, side) for side in (-1, 1))
    share, half = max(left, right, key=lambda found: found[0])
    if drawn == "half":
        return half
    for straight, axis in (left, right):
        if (
            straight >= STRAIGHT_SHARE
            and _runs_on(contour, stubs, axis)
            and not _runs_on(contour, stubs, whole)
        ):
            return axis
    other = min(left[0], right[0])
    is_half = share >= STRAIGHT_SHARE and (other < 0.85 * share or whole.asymmetry > LOPSIDED)
    return half if is_half and whole.asymmetry >= SYMMETRIC else whole  # lines may stick out of a whole one


def _runs_on(contour: Floats, stubs: Floats, axis: Axis) -> bool:
    """Return whether all lines that stick out, one at least, carry the axis on."""
    height = float(np.ptp(turned(contour, -axis.tilt)[:, 1]))
    off = np.abs(turned(stubs, -axis.tilt)[:, 0] - axis.offset)
    return bool(len(off)) and bool(np.all(off <= ON_AXIS * height))


def _mirror_axis(contour: Floats, direction: Direction, steadiness: float) -> Axis:
    """Return the axis about which the middles of the slices stray least."""

    def strays(tilt: float) -> float:
        left, right, height = _slices_at(contour, tilt)
        middle = (left + right) / (2 * height)
        return float(np.mean(np.abs(middle - np.median(middle)))) ** 2 + (steadiness * tilt) ** 2

    tilt = _least(strays)
    left, right, _ = _slices_at(contour, tilt)
    middle, wide = (left + right) / 2, right - left
    offset = float(np.median(middle))  # a beak on one side does not pull it over
    asymmetry = float(np.sum(np.abs(middle - offset)) * 2 / np.sum(wide))
    return Axis(direction, tilt, offset, "whole", asymmetry)


def _straight_side(contour: Floats, direction: Direction, side: int) -> tuple[float, Axis]:
    """Return how much of one side lies on one straight line, and that line as the axis of the other side."""

    def off_line(tilt: float) -> Floats:
        left, right, height = _slices_at(contour, tilt)
        reach = (right if side > 0 else -left) / height
        return np.asarray(np.quantile(reach, 0.98) - reach, dtype=np.float64)

    def bent(tilt: float) -> float:
        return float(np.mean(np.minimum(np.abs(off_line(tilt)) / STRAIGHT, 1.0)))

    tilt = _least(bent)
    off = np.abs(off_line(tilt))
    left, right, _ = _slices_at(contour, tilt)
    offset = float(np.median((right if side > 0 else left)[off <= STRAIGHT]))
    share = float(np.mean(off <= STRAIGHT))
    return share, Axis(direction, tilt, offset, "left half" if side > 0 else "right half", 0.0)


def _slices_at(contour: Floats, tilt: float) -> tuple[Floats, Floats, float]:
    upright = turned(contour, -tilt)
    low, high = float(upright[:, 1].min()), float(upright[:, 1].max())
    levels = low + (high - low) * (np.arange(LEVELS) + 0.5) / LEVELS
    left, right = slices(upright, levels)
    return left, right, high - low


def _least(cost: Callable[[float], float]) -> float:
    """Return the tilt of least cost: every degree looked at, then the best one's neighbourhood. [degree]"""
    from scipy.optimize import minimize_scalar

    tilts = np.arange(-MOST_TILT, MOST_TILT + 1)
    costs = [cost(float(tilt)) for tilt in tilts]
    best = float(tilts[int(np.argmin(costs))])
    found = minimize_scalar(cost, bounds=(best - 1, best + 1), method="bounded", options={"xatol": 1e-3})
    return float(found.x) if found.fun <= min(costs) else best
