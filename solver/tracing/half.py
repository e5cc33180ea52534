"""The half-outline of a drawn shape: radius against height beside its axis, one side or the mean of both."""

from __future__ import annotations

import numpy as np

from solver.arrays import Floats
from solver.tracing.axis import Axis, slices, turned

LEVELS = 1200
"""Slices of a half-outline; they lie closer at the ends, where a round end opens quickly."""


def half_outline(contour: Floats, axis: Axis, *, side: str) -> Floats:
    """Return radius and height of a closed line beside its axis, from below upward.

    Parameters
    ----------
    contour : (n, 2) float
        A closed line, x to the right and y up.
    axis : Axis
        Its axis.
    side : str
        "left", "right" or "both" (the mean); a drawn half has one side only.

    Returns
    -------
    (m, 2) float
        From the axis at height 0 to the axis at the top, as if seen from outside: what folds back is filled.
        [units of the contour]
    """
    upright = turned(contour, axis.angle)
    low, high = float(upright[:, 1].min()), float(upright[:, 1].max())
    even = (np.arange(LEVELS) + 0.5) / LEVELS
    levels = low + (high - low) * (0.5 * even + 0.25 * (1 - np.cos(np.pi * even)))
    left, right = slices(upright, levels)
    to_left, to_right = np.maximum(axis.offset - left, 0), np.maximum(right - axis.offset, 0)
    if axis.drawn != "whole":
        radius = to_left if axis.drawn == "left half" else to_right
    else:
        radius = {"left": to_left, "right": to_right, "both": (to_left + to_right) / 2}[side]
    ends = [[0.0, 0.0]], [[0.0, high - low]]
    return np.vstack([ends[0], np.column_stack([radius, levels - low]), ends[1]])


def folded_part(contour: Floats) -> float:
    """Return the area that `half_outline` fills because the line folds back over it, of the area inside.

    Parameters
    ----------
    contour : (n, 2) float
        A closed line with its axis upright.
    """
    low, high = float(contour[:, 1].min()), float(contour[:, 1].max())
    levels = low + (high - low) * (np.arange(LEVELS) + 0.5) / LEVELS
    left, right = slices(contour, levels)
    filled = float(np.nansum(right - left)) * (high - low) / LEVELS
    x, y = contour.T
    inside = abs(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))) / 2
    return max(0.0, filled / inside - 1)
