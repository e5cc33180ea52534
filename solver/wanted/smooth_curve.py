"""A smooth curve through the points of an outline: Hermite cubics whose slopes keep the turns drawn."""

from __future__ import annotations

import numpy as np
from scipy.linalg import solve_banded

from solver.arrays import Floats
from solver.wanted.outline_faults import SAME_POINT


def mirrored(points: Floats) -> tuple[Floats, int]:
    """Return the points carried on as their mirror image past ends on the axis, and how many come before."""
    flip = np.array([-1.0, 1.0])
    before = points[1:][::-1] * flip if points[0, 0] <= SAME_POINT else points[:0]
    after = points[:-1][::-1] * flip if points[-1, 0] <= SAME_POINT else points[:0]
    return np.vstack([before, points, after]), len(before)


def fair_slopes(knots: Floats, values: Floats) -> Floats:
    """Return the slopes of the natural cubic spline (C. de Boor, A Practical Guide to Splines; memory)."""
    h, rise = np.diff(knots), np.diff(values) / np.diff(knots)
    bands = np.ones((3, len(knots)))
    bands[0, 1] = bands[2, -2] = 1.0
    bands[1, [0, -1]] = 2.0
    bands[0, 2:], bands[2, :-2] = h[:-1], h[1:]
    bands[1, 1:-1] = 2 * (h[:-1] + h[1:])
    right = np.concatenate([[3 * rise[0]], 3 * (h[1:] * rise[:-1] + h[:-1] * rise[1:]), [3 * rise[-1]]])
    return np.asarray(solve_banded((1, 1), bands, right))


def shape_preserving_slopes(knots: Floats, values: Floats) -> Floats:
    """Return the slopes of Fritsch and Butland: a weighted harmonic mean, zero where the values turn."""
    h, rise = np.diff(knots), np.diff(values) / np.diff(knots)
    w1, w2 = 2 * h[1:] + h[:-1], h[1:] + 2 * h[:-1]
    same = rise[:-1] * rise[1:] > 0
    left, right = np.where(same, rise[:-1], 1.0), np.where(same, rise[1:], 1.0)
    inner = np.where(same, (w1 + w2) / (w1 / left + w2 / right), 0.0)
    return np.concatenate([[rise[0]], inner, [rise[-1]]])


def hermite(at: Floats, knots: Floats, values: Floats, slopes: Floats) -> Floats:
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


def same_turns(curve: Floats, given: Floats) -> bool:
    """Tell whether a curve rises and falls where its points do, to within 0.002 of their range."""
    slack = 0.002 * float(np.ptp(given, axis=0).max())
    level = np.diff(curve[:, 1]).min() >= -SAME_POINT and curve[:, 0].min() >= -SAME_POINT
    turns = [turning_directions(values[:, 0], slack=slack) for values in (curve, given)]
    return bool(level and turns[0] == turns[1])


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
