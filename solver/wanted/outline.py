"""The wanted outline: half a silhouette, radius against height, and the meridian that it is as a curve.

An outline is a fine polyline from the first round to the last. Heights never go back: the axis is the working
direction. Only its ends may touch the axis.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from solver.arrays import Floats, frozen
from solver.errors import InputError, Problem
from solver.wanted.outline_faults import SAME_POINT, faults_of, first_of_repeats
from solver.wanted.smooth_curve import (
    fair_slopes,
    hermite,
    mirrored,
    same_turns,
    shape_preserving_slopes,
    turning_directions,
)

__all__ = ["SAME_POINT", "Meridian", "Outline", "meridian", "turning_directions"]

SMOOTH_POINTS = 600
"""Points that a smooth curve is drawn with."""


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """Half a silhouette: straight lines between points of radius and height.

    Attributes
    ----------
    points : (n, 2) float
        Radius (>= 0) and height (never going back) of each point, first worked first. [mm]
    arc : (n,) float
        Arc length at each point, from the first. [mm]

    Raises
    ------
    InputError
        Fewer than two different points, a value that is not finite, a radius below zero, a point on the axis
        between the ends, a height below the one before, lines that cross, or no width at all.
    """

    points: Floats
    arc: Floats = field(init=False, repr=False)

    def __post_init__(self) -> None:
        points = np.array(self.points, dtype=np.float64)
        if points.ndim != 2 or points.shape[1] != 2:
            rule = "an outline is a list of [radius, height] pairs"
            raise InputError(Problem(rule, got=f"shape {points.shape}"))
        if problems := faults_of(points):
            raise InputError(*problems)
        object.__setattr__(self, "points", frozen(points[first_of_repeats(points)]))
        object.__setattr__(self, "arc", frozen(_arc_length(self.points)))

    @classmethod
    def smooth(cls, points: ArrayLike) -> Outline:
        """Return a smooth curve through `points`, rounded where it meets the axis.

        The curve is a cubic spline over the chord length, as fair as the points allow. Where that would
        swing past them (turn where the points don't, or cross the axis), a shape-preserving curve takes its
        place: it never leaves the range of two neighbouring points [1]_.

        Parameters
        ----------
        points : (n, 2) array-like
            Radius and height of each point, first worked first, n >= 2. [mm]

        Returns
        -------
        Outline
            `SMOOTH_POINTS` points or more.

        References
        ----------
        .. [1] F. N. Fritsch and J. Butland, "A method for constructing local monotone piecewise cubic
           interpolants", SIAM J. Sci. Stat. Comput. 5(2), 1984, 300-304; from memory.
        """
        given = cls(np.asarray(points, dtype=np.float64)).points
        if len(given) < 3:
            return cls(given)
        both, skip = mirrored(given)
        knots = _arc_length(both)
        every = max(2, SMOOTH_POINTS // len(given) + 1)
        fine = np.concatenate(
            [np.linspace(a, b, every, endpoint=False) for a, b in itertools.pairwise(knots.tolist())]
        )
        inside = (fine >= knots[skip]) & (fine < knots[skip + len(given) - 1])
        for slopes in (fair_slopes, shape_preserving_slopes):
            curve = np.column_stack(
                [hermite(fine[inside], knots, values, slopes(knots, values)) for values in both.T]
            )
            curve = np.vstack([curve, given[-1]])
            curve[0] = given[0]
            if same_turns(curve, given):
                break
        curve[:, 0] = np.maximum(curve[:, 0], 0.0)
        curve[:, 1] = np.maximum.accumulate(curve[:, 1])
        return cls(curve)

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

    def cut(self, height: float) -> Outline:
        """Return the outline up to a height above its first point, left open there. [mm]

        Raises
        ------
        InputError
            If the outline is not that high, or has come back to its axis by then.
        """
        base, top = float(self.points[0, 1]), float(self.points[-1, 1])
        if not 0 < height < top - base:
            rule = f"a part is cut above its first point and below its last, {top - base:g} mm up"
            remedy = "Measure the cut from the end that is worked first."
            raise InputError(Problem(rule, got=f"{height:g} mm", remedy=remedy, place="cut"))
        below = self.points[self.points[:, 1] < base + height]
        radius = float(np.interp(base + height, self.points[:, 1], self.points[:, 0]))
        return Outline(np.vstack([below, [radius, base + height]]))

    def thinned(self, tolerance: float) -> Outline:
        """Return the outline with as few of its points as keep it within `tolerance` of itself. [mm]

        Of each stretch the farthest point from its chord is kept, while that is farther than the
        tolerance [1]_.

        References
        ----------
        .. [1] D. H. Douglas and T. K. Peucker, "Algorithms for the reduction of the number of points required
           to represent a digitized line or its caricature", Cartographica 10(2), 1973, 112-122; from memory.
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

    def no_coarser(self, longest: float) -> Outline:
        """Return the same line with points added, so that no straight is longer than `longest` (> 0). [mm]"""
        arc, lengths = self.arc, np.diff(self.arc)
        pieces = np.ceil(lengths / longest).astype(np.int64)
        within = np.arange(pieces.sum()) - np.repeat(np.cumsum(pieces) - pieces, pieces)
        at = np.append(np.repeat(arc[:-1], pieces) + within * np.repeat(lengths / pieces, pieces), arc[-1])
        return Outline(np.column_stack([np.interp(at, arc, values) for values in self.points.T]))

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


def _arc_length(points: Floats) -> Floats:
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
