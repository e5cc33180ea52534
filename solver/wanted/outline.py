"""The wanted outline: half a silhouette, radius against height, and the meridian that it is as a curve.

An outline is a fine polyline from the first round to the last. Heights never go back: the axis is the working
direction. Only its ends may touch the axis.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.linalg import solve_banded

from solver.arrays import Floats, frozen
from solver.errors import InputError, Problem

MOST_CROSSED = 2000
"""Points of an outline among which lines that cross are looked for, each against each."""

SAME_POINT = 1e-6
"""Points closer than this are one point. [mm]"""

SMOOTH_POINTS = 600
"""Points that a smooth curve is drawn with."""


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """Half a silhouette: straight lines between points of radius and height.

    Attributes
    ----------
    points : (n, 2) float
        Radius (>= 0) and height (never going back) of each point, first worked first. [mm]

    Raises
    ------
    InputError
        Fewer than two different points, a value that is not finite, a radius below zero, a point on the axis
        between the ends, a height below the one before, lines that cross, or no width at all.
    """

    points: Floats

    def __post_init__(self) -> None:
        points = np.array(self.points, dtype=np.float64)
        if points.ndim != 2 or points.shape[1] != 2:
            rule = "an outline is a list of [radius, height] pairs"
            raise InputError(Problem(rule, got=f"shape {points.shape}"))
        if problems := _problems(points):
            raise InputError(*problems)
        object.__setattr__(self, "points", frozen(points[_first_of_repeats(points)]))

    @classmethod
    def smooth(cls, points: ArrayLike) -> Outline:
        """Return a smooth curve through `points`, rounded where it meets the axis.

        The curve is a cubic spline over the chord length, as fair as the points allow. Where that would
        swing past them (turn where the points don't, or cross the axis), a shape-preserving curve takes its
        place: it never leaves the range of two neighbouring points (F. N. Fritsch and J. Butland, SIAM J.
        Sci. Stat. Comput. 5, 1984, 300-304; from memory).

        Parameters
        ----------
        points : (n, 2) array-like
            Radius and height of each point, first worked first, n >= 2. [mm]

        Returns
        -------
        Outline
            `SMOOTH_POINTS` points or more.
        """
        given = cls(np.asarray(points, dtype=np.float64)).points
        if len(given) < 3:
            return cls(given)
        mirrored, skip = _mirrored(given)
        knots = _arc_length(mirrored)
        every = max(2, SMOOTH_POINTS // len(given) + 1)
        fine = np.concatenate(
            [np.linspace(a, b, every, endpoint=False) for a, b in itertools.pairwise(knots.tolist())]
        )
        inside = (fine >= knots[skip]) & (fine < knots[skip + len(given) - 1])
        for slopes in (_fair_slopes, _shape_preserving_slopes):
            curve = np.column_stack(
                [_hermite(fine[inside], knots, values, slopes(knots, values)) for values in mirrored.T]
            )
            curve = np.vstack([curve, given[-1]])
            curve[0] = given[0]
            if _same_turns(curve, given):
                break
        curve[:, 0] = np.maximum(curve[:, 0], 0.0)
        curve[:, 1] = np.maximum.accumulate(curve[:, 1])
        return cls(curve)

    @property
    def arc(self) -> Floats:
        """Arc length at each point, from the first. [mm]"""
        return _arc_length(self.points)

    @property
    def length(self) -> float:
        """Length of the meridian. [mm]"""
        return float(self.arc[-1])

    @property
    def height(self) -> float:
        """From the lowest point to the highest. [mm]"""
        return float(np.ptp(self.points[:, 1]))

    @property
    def width(self) -> float:
        """Twice the greatest radius. [mm]"""
        return float(2 * self.points[:, 0].max())

    @property
    def girth(self) -> float:
        """Perimeter of the widest slice. [mm]"""
        return float(np.pi * self.width)

    @property
    def volume(self) -> float:
        """Volume of the solid of revolution, open ends closed flat. [mm^3]"""
        (a, b), dz = (self.points[:-1, 0], self.points[1:, 0]), np.diff(self.points[:, 1])
        return float(np.pi / 3 * np.sum(dz * (a * a + a * b + b * b)))

    @property
    def middle(self) -> float:
        """Height half way between the lowest and the highest point. [mm]"""
        return float((self.points[:, 1].min() + self.points[:, 1].max()) / 2)

    def scaled(self, factor: float) -> Outline:
        """Return the outline, every length times `factor` (> 0)."""
        return Outline(self.points * factor)

    def raised(self, distance: float) -> Outline:
        """Return the outline moved along its axis. [mm]"""
        return Outline(self.points + np.array([0.0, distance]))

    def thinned(self, tolerance: float) -> Outline:
        """Return the outline with as few of its points as keep it within `tolerance` of itself. [mm]

        The method of D. H. Douglas and T. K. Peucker (Cartographica 10, 1973, 112-122; from memory): of each
        stretch the farthest point from its chord is kept, while that is farther than the tolerance.
        """
        points, stretches = self.points, [(0, len(self.points) - 1)]
        kept = {0, len(points) - 1}
        while stretches:
            first, last = stretches.pop()
            chord, between = points[last] - points[first], points[first + 1 : last] - points[first]
            if not len(between):
                continue
            share = np.clip(between @ chord / max(float(chord @ chord), SAME_POINT**2), 0.0, 1.0)
            apart = np.hypot(*(between - share[:, None] * chord).T)
            farthest = first + 1 + int(np.argmax(apart))
            if apart.max() > tolerance:
                kept.add(farthest)
                stretches += [(first, farthest), (farthest, last)]
        return Outline(points[sorted(kept)])

    def resampled(self, count: int) -> Outline:
        """Return the outline as `count` (>= 2) points spread evenly over its length."""
        arc = self.arc
        at = np.linspace(0.0, arc[-1], count)
        return Outline(np.column_stack([np.interp(at, arc, values) for values in self.points.T]))


@dataclass(frozen=True, slots=True, eq=False)
class Meridian:
    """An outline as a curve by arc length, at stations spread evenly over it.

    Attributes
    ----------
    arc : (n,) float
        Arc length from the first worked point; stations lie at the middles of n equal lengths. [mm]
    radius, height : (n,) float
        [mm]
    angle : (n,) float
        phi, from the horizontal: sin(phi) = d height / d arc. [rad]
    curvature : (n,) float
        d phi / d arc. [1/mm]
    step : float
        Length that one station stands for. [mm]
    """

    arc: Floats
    radius: Floats
    height: Floats
    angle: Floats
    curvature: Floats
    step: float


def meridian(outline: Outline, *, stations: int, window: float) -> Meridian:
    """Return the meridian of an outline, its angle averaged over `window`.

    Fabric can't turn sharper than about a row, so a corner is rounded over the window; a straight or evenly
    curved piece is left as it is. Ends on the axis go on as their mirror image, open ends straight.

    Parameters
    ----------
    outline : Outline
        The curve.
    stations : int
        How many stations, >= 2.
    window : float
        Length over which the angle is averaged, > 0. [mm]

    Returns
    -------
    Meridian
        At `stations` equal steps.
    """
    points, total = outline.points, outline.length
    arc = outline.arc
    angle = np.arctan2(np.diff(points[:, 1]), np.diff(points[:, 0]))
    reach = 2 * window
    before = _beyond(arc, angle, reach, on_axis=points[0, 0] <= SAME_POINT)
    after = _beyond(total - arc[::-1], np.pi - angle[::-1], reach, on_axis=points[-1, 0] <= SAME_POINT)
    knots = np.concatenate([before[0], arc, total - after[0][::-1]])
    angles = np.concatenate([before[1], angle, np.pi - after[1][::-1]])
    turned = np.concatenate([[0.0], np.cumsum(angles * np.diff(knots))])

    def mean_angle(at: Floats, *, width: float) -> Floats:
        ahead, behind = np.interp(at + width / 2, knots, turned), np.interp(at - width / 2, knots, turned)
        return np.asarray((ahead - behind) / width, dtype=np.float64)

    step = total / stations
    at = np.asarray((np.arange(stations) + 0.5) * step, dtype=np.float64)
    radius, height = (np.interp(at, arc, values) for values in points.T)
    half = window / 2
    curvature = (mean_angle(at + half / 2, width=half) - mean_angle(at - half / 2, width=half)) / half
    angle = mean_angle(at, width=half)
    return Meridian(frozen(at), frozen(radius), frozen(height), frozen(angle), frozen(curvature), step)


def _beyond(arc: Floats, angle: Floats, reach: float, *, on_axis: bool) -> tuple[Floats, Floats]:
    """Return knots below zero, and the angles between them, that carry a meridian on past its first point."""
    if not on_axis:
        return np.array([-reach]), angle[:1]
    last = min(int(np.searchsorted(arc, reach)), len(arc) - 1)
    knots = -arc[last:0:-1]
    knots[0] = min(knots[0], -reach)
    return knots, -angle[last - 1 :: -1] if last else angle[:0]


def turning_directions(radius: Floats, *, slack: float) -> list[int]:
    """Return whether a sequence rises (+1) or falls (-1), in order, changes up to `slack` left out.

    Parameters
    ----------
    radius : (n,) float
        Any sequence of values.
    slack : float
        A rise or fall of no more than this is no turn, >= 0.

    Returns
    -------
    list of int
        +1 and -1 in turn; empty for a level sequence.
    """
    directions: list[int] = []
    low = high = float(radius[0])
    for value in radius.tolist():
        low, high = min(low, value), max(high, value)
        heading = directions[-1] if directions else 0
        if heading <= 0 and value > low + slack:
            directions.append(1)
            low = high = value
        elif heading >= 0 and value < high - slack:
            directions.append(-1)
            low = high = value
    return directions


def _problems(points: Floats) -> list[Problem]:
    """Return what keeps `points` from being an outline."""
    radius, height = points[:, 0], points[:, 1]

    def point(index: int) -> str:
        return f"point {index + 1}: [{radius[index]:g}, {height[index]:g}]"

    if bad := np.flatnonzero(~np.isfinite(points).all(axis=1)).tolist():
        return [Problem("every radius and height is a finite number", got=point(bad[0]))]
    problems = [
        Problem("a radius is zero or more", got=point(i), remedy="Measure it from the axis outward.")
        for i in np.flatnonzero(radius < 0).tolist()[:3]
    ]
    kept = _first_of_repeats(points)
    if len(kept) < 2:
        rule = "an outline has at least two different points"
        remedy = "Give at least two different [radius, height] points, the first worked first."
        return [*problems, Problem(rule, got=f"{len(points)}", remedy=remedy)]
    back = np.flatnonzero(np.diff(height) < -SAME_POINT).tolist()
    problems += [
        Problem(
            "heights never go back: each is at least the one before",
            got=f"{point(i + 1)} after height {height[i]:g}",
            remedy="List the points from the first worked to the last; split a part that overhangs in two.",
        )
        for i in back[:3]
    ]
    if crossing := _crossing(points[kept]) if back else _turned_back(points[kept]):
        i, j = kept[list(crossing)].tolist()
        problems.append(
            Problem(
                "an outline does not cross or run back over itself",
                got=f"the line after {point(i)} and the line after {point(j)}",
                remedy="Put the points in the order in which they are worked.",
            )
        )
    touching = (np.abs(radius[1:-1]) <= SAME_POINT) & (
        (np.abs(points[1:-1] - points[0]) > SAME_POINT).any(axis=1)
        & (np.abs(points[1:-1] - points[-1]) > SAME_POINT).any(axis=1)
    )
    problems += [
        Problem(
            "an outline touches the axis only at its ends",
            got=point(i + 1),
            remedy="Make it two parts, or give the neck a radius.",
        )
        for i in np.flatnonzero(touching).tolist()[:3]
    ]
    if not problems and (np.ptp(height) <= SAME_POINT or radius.max() <= SAME_POINT):
        problems.append(
            Problem(
                "an outline has a height and a width",
                got=f"{2 * radius.max():g} mm wide, {np.ptp(height):g} mm high",
                remedy="Give the greatest radius and the last height above zero.",
            )
        )
    return problems


def _turned_back(points: Floats) -> tuple[int, int] | None:
    """Return two segments of which the second runs back over the first; heights never go back."""
    across, up = np.diff(points, axis=0).T
    level = up <= SAME_POINT
    turned = np.flatnonzero(level[1:] & level[:-1] & (across[1:] * across[:-1] < 0))
    return (int(turned[0]), int(turned[0]) + 1) if len(turned) else None


def _crossing(points: Floats) -> tuple[int, int] | None:
    """Return two segments, not neighbours or folded back on each other, that have a point in common.

    Of the first `MOST_CROSSED` points: the heights go back, so the outline is refused with or without.
    """
    a, b = points[:-1][:MOST_CROSSED], points[1:][:MOST_CROSSED]

    def side(p: Floats, q: Floats, x: Floats) -> Floats:
        along, to = q - p, x - p
        return np.asarray(along[..., 0] * to[..., 1] - along[..., 1] * to[..., 0], dtype=np.float64)

    for i in range(len(a)):
        rest = slice(i + 1, None)
        first = side(a[i], b[i], a[rest]) * side(a[i], b[i], b[rest])
        second = side(a[rest], b[rest], a[i]) * side(a[rest], b[rest], b[i])
        overlap = np.minimum(np.maximum(a[i], b[i]), np.maximum(a[rest], b[rest])) - np.maximum(
            np.minimum(a[i], b[i]), np.minimum(a[rest], b[rest])
        )
        meets = (first <= 0) & (second <= 0) & (overlap >= 0).all(axis=1)
        # neighbours always share their joint: only a length in common is a fault there
        meets[:1] &= (side(a[i], b[i], b[rest])[:1] == 0) & (overlap.max(axis=1)[:1] > SAME_POINT)
        if meets.any():
            return i, i + 1 + int(np.argmax(meets))
    return None


def _first_of_repeats(points: Floats) -> NDArray[np.intp]:
    """Return the places of the points that differ from the one before."""
    return np.flatnonzero(np.concatenate([[True], np.hypot(*np.diff(points, axis=0).T) > SAME_POINT]))


def _arc_length(points: Floats) -> Floats:
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])


def _mirrored(points: Floats) -> tuple[Floats, int]:
    """Return the points carried on as their mirror image past ends on the axis, and how many come before."""
    flip = np.array([-1.0, 1.0])
    before = points[1:][::-1] * flip if points[0, 0] <= SAME_POINT else points[:0]
    after = points[:-1][::-1] * flip if points[-1, 0] <= SAME_POINT else points[:0]
    return np.vstack([before, points, after]), len(before)


def _fair_slopes(knots: Floats, values: Floats) -> Floats:
    """Return the slopes of the natural cubic spline (C. de Boor, A Practical Guide to Splines; memory)."""
    h, rise = np.diff(knots), np.diff(values) / np.diff(knots)
    bands = np.ones((3, len(knots)))
    bands[0, 1] = bands[2, -2] = 1.0
    bands[1, [0, -1]] = 2.0
    bands[0, 2:], bands[2, :-2] = h[:-1], h[1:]
    bands[1, 1:-1] = 2 * (h[:-1] + h[1:])
    right = np.concatenate([[3 * rise[0]], 3 * (h[1:] * rise[:-1] + h[:-1] * rise[1:]), [3 * rise[-1]]])
    return np.asarray(solve_banded((1, 1), bands, right))


def _shape_preserving_slopes(knots: Floats, values: Floats) -> Floats:
    """Return the slopes of Fritsch and Butland: a weighted harmonic mean, zero where the values turn."""
    h, rise = np.diff(knots), np.diff(values) / np.diff(knots)
    w1, w2 = 2 * h[1:] + h[:-1], h[1:] + 2 * h[:-1]
    same = rise[:-1] * rise[1:] > 0
    left, right = np.where(same, rise[:-1], 1.0), np.where(same, rise[1:], 1.0)
    inner = np.where(same, (w1 + w2) / (w1 / left + w2 / right), 0.0)
    return np.concatenate([[rise[0]], inner, [rise[-1]]])


def _hermite(at: Floats, knots: Floats, values: Floats, slopes: Floats) -> Floats:
    """Return the piecewise cubic with these values and slopes at the knots."""
    i = np.clip(np.searchsorted(knots, at, side="right") - 1, 0, len(knots) - 2)
    h = knots[i + 1] - knots[i]
    t = (at - knots[i]) / h
    return np.asarray(
        (1 + 2 * t) * (1 - t) ** 2 * values[i]
        + t * (1 - t) ** 2 * h * slopes[i]
        + t * t * (3 - 2 * t) * values[i + 1]
        - t * t * (1 - t) * h * slopes[i + 1]
    )


def _same_turns(curve: Floats, given: Floats) -> bool:
    """Tell whether a curve rises and falls where its points do, to within a hundredth of their range."""
    slack = 0.002 * float(np.ptp(given, axis=0).max())
    level = np.diff(curve[:, 1]).min() >= -SAME_POINT and curve[:, 0].min() >= -SAME_POINT
    turns = [turning_directions(values[:, 0], slack=slack) for values in (curve, given)]
    return bool(level and turns[0] == turns[1])
