"""From the many points of a drawn line to the few of an outline that stitches can follow."""

from __future__ import annotations

import itertools

import numpy as np

from solver.arrays import Floats
from solver.wanted.outline import Outline
from solver.wanted.silhouette import offsets

SPREAD = 0.45
"""Spread of the weights, in rows: leaves 4 % of a wiggle one row long and 95 % of one four rows long."""

STEPS_PER_ROW = 12

MOST_POINTS = 60
"""Points of an outline that a person can still edit."""

FINEST = 400
"""Points of a smoothed line that the chosen ones are taken from."""

NEAR = 0.02
"""How near the curve through the chosen points stays to the smoothed line, in stitch widths."""

FLAT = 0.04
"""A flat end, drawn by hand, lies within this part of the height."""

FLAT_RATIO = 0.85
"""Radius at that depth over that twice as deep: 0.73 for a round end, 0.5 for a point, 1 for a flat end."""


def flat_end(points: Floats, *, first: bool) -> float:
    """Return the radius of the flat disc at the first (or last) end of a half-outline, 0 if it is not flat.

    Parameters
    ----------
    points : (n, 2) float
        Radius and rising height.
    first : bool
        Which end.
    """
    away, radius = _from_end(points, first=first)
    near, far = np.interp([FLAT * away[-1], 2 * FLAT * away[-1]], away, radius)
    if near <= FLAT_RATIO * far:
        return 0.0
    wall = away[-1] * np.linspace(FLAT, 3 * FLAT, 40)
    return max(0.0, float(np.polyval(np.polyfit(wall, np.interp(wall, away, radius), 1), 0.0)))


def without_flat_end(points: Floats, *, first: bool) -> Floats:
    """Return a half-outline without the flat disc at its first (or last) end: from the rim on.

    Parameters
    ----------
    points : (n, 2) float
        Radius and rising height; the end is flat.
    first : bool
        Which end.
    """
    away, _ = _from_end(points, first=first)
    rim = [flat_end(points, first=first), points[0 if first else -1, 1]]
    wall = points[away > FLAT * away[-1]] if first else points[away[::-1] > FLAT * away[-1]]
    return np.vstack([rim, wall] if first else [wall, rim])


def _from_end(points: Floats, *, first: bool) -> tuple[Floats, Floats]:
    """Return the distance along the axis from an end, rising, and the radius there."""
    ordered = points if first else points[::-1]
    return np.abs(ordered[:, 1] - ordered[0, 1]), ordered[:, 0]


def smoothed(points: Floats, *, row_height: float) -> Floats:
    """Return a half-outline without wiggles finer than a row.

    Parameters
    ----------
    points : (n, 2) float
        Radius and rising height. An end on the axis goes on as its mirror image, an open one as its
        image about the end point, so that neither moves.
    row_height : float
        [units of the points]

    Returns
    -------
    (m, 2) float
        At even steps of arc length, heights never going back.

    Notes
    -----
    Weighted means over arc length with Gaussian weights G, applied as 2 G - G G: circles and straight
    lines keep their size ("twicing" [1]_).

    References
    ----------
    .. [1] J. W. Tukey, "Exploratory Data Analysis", Addison-Wesley, 1977; from memory.
    """
    from scipy.ndimage import gaussian_filter1d

    arc = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    count = max(200, int(STEPS_PER_ROW * arc[-1] / row_height))
    even = np.linspace(0.0, arc[-1], count)
    curve = np.column_stack([np.interp(even, arc, values) for values in points.T])
    spread = SPREAD * row_height / (even[1] - even[0])
    reach = min(count - 1, int(8 * spread) + 2)
    before = _beyond(curve[: reach + 1])
    after = _beyond(curve[::-1][: reach + 1])
    long = np.vstack([before[::-1], curve, after])
    once = gaussian_filter1d(long, spread, axis=0, mode="nearest", truncate=4.0)
    twice = 2 * once - gaussian_filter1d(once, spread, axis=0, mode="nearest", truncate=4.0)
    inner = twice[len(before) : len(before) + count]
    inner[:, 0] = np.maximum(inner[:, 0], 0.0)
    inner[0, 0], inner[-1, 0] = curve[0, 0], curve[-1, 0]
    low, high = inner[0, 1], inner[-1, 1]
    inner[:, 1] = np.maximum.accumulate(np.clip(inner[:, 1], low, high))
    raised = points[0] * [0, 1] + (inner - [0, low]) * [1, (curve[-1, 1] - curve[0, 1]) / (high - low)]
    return np.asarray(raised, dtype=np.float64)


def few_points(curve: Floats, *, stitch_width: float) -> Floats:
    """Return points of a curve such that the smooth outline through them follows it.

    Parameters
    ----------
    curve : (n, 2) float
        A smoothed half-outline. [mm]
    stitch_width : float
        [mm]

    Returns
    -------
    (m, 2) float
        Rounded to a hundredth of a millimetre (a tenth for parts over 200 mm), at most `MOST_POINTS`.
    """
    thinner = max(1, len(curve) // FINEST)
    curve = np.vstack([curve[:-1:thinner], curve[-1]])
    digits = 1 if np.ptp(curve[:, 1]) > 200 else 2
    apart = max(3 * 10.0**-digits, stitch_width / 5)  # nearer points would add nothing but a kink
    chosen = sorted({0, len(curve) - 1, int(np.argmax(curve[:, 0]))})
    while True:
        points = np.round(curve[chosen], digits)
        strays = np.abs(offsets(curve, Outline.smooth(points)).distance)
        more = [
            worst
            for a, b in itertools.pairwise(chosen)
            if strays[worst := a + int(np.argmax(strays[a : b + 1]))] > NEAR * stitch_width
            and min(np.hypot(*(curve[worst] - curve[end])) for end in (a, b)) >= apart
        ]
        if not more or len(chosen) >= MOST_POINTS:
            return points
        more.sort(key=lambda index: -strays[index])
        chosen = sorted({*chosen, *more[: MOST_POINTS - len(chosen)]})


def _beyond(end: Floats) -> Floats:
    """Return what a curve goes on with past its first point, from there outward."""
    if end[0, 0] <= 0:
        return np.asarray(end[1:] * [-1.0, 1.0], dtype=np.float64)
    return np.asarray(2 * end[0] - end[1:], dtype=np.float64)
