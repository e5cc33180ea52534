"""The middle of a fabric of some thickness, from the outside of the part that it makes."""

from __future__ import annotations

import numpy as np

from solver.arrays import Floats
from solver.errors import InputError, Problem
from solver.wanted.outline import SAME_POINT, Outline

EVEN_HEIGHTS = 200
"""Heights at which the middle is worked out, besides those of the outline's own points moved inward."""

FINEST = 3
"""Decimals that heights are told apart by: far below what a drawing or a stitch can show. [mm]"""

INNER_CORNER = 0.1
"""An outline that turns outward by more than this at one point has a corner there. [rad]"""

ARC = np.sin(np.linspace(-np.pi / 2, np.pi / 2, 33))
"""Heights, over the distance, that draw the fabric round an inner corner."""

CHUNK = 400_000
"""Distances worked out at one time: what a few megabytes hold."""


def inset(outline: Outline, *, distance: float) -> Outline:
    """Return the outline all of whose fabric lies `distance` inside another.

    The middle of a fabric of thickness t lies t/2 inside the outside. With R(z) the outside's radius, it has

        r(z) = min over |u| <= d of R(z + u) - sqrt(d^2 - u^2)                                             (1)

    at a height z (the erosion by a disc; J. Serra, Image Analysis and Mathematical Morphology; memory).

    Parameters
    ----------
    outline : Outline
        The outside.
    distance : float
        d, > 0. [mm]

    Returns
    -------
    Outline
        Closed ends lie `distance` inside along the axis too: a pointed one, which fabric can't fill, is drawn
        out to there. Open ends keep their height.

    Raises
    ------
    InputError
        If nothing would be left of the outline, or it would be parted at a neck.
    """
    points = outline.points
    closed = points[[0, -1], 0] <= SAME_POINT
    low, high = points[[0, -1], 1] + distance * np.where(closed, [1.0, -1.0], 0.0)
    along = np.diff(points, axis=0)
    inward = distance * np.column_stack([-along[:, 1], along[:, 0]]) / np.hypot(*along.T)[:, None]
    moved = np.concatenate([points[:-1] + inward, points[1:] + inward])[:, 1]
    steps = (points[:-1] + inward)[along[:, 1] <= SAME_POINT, 1]
    turns = np.diff(np.arctan2(along[:, 1], along[:, 0]))
    corners = points[1:-1, 1][turns < -INNER_CORNER]
    heights = np.concatenate(
        [
            moved,
            steps - 10.0**-FINEST,  # where the radius jumps it is taken from below
            steps + 10.0**-FINEST,  # and from above
            (corners[:, None] + distance * ARC).ravel(),
            np.linspace(low, high, EVEN_HEIGHTS),
        ]
    )
    heights = np.unique(np.round(heights, FINEST))
    heights = np.concatenate([[low], heights[(heights > low) & (heights < high)], [high]])
    parts = np.array_split(heights, len(heights) * len(points) // CHUNK + 1)
    radius = np.concatenate([_eroded(part, points, inward, distance=distance) for part in parts])
    left = np.flatnonzero(radius > SAME_POINT)
    if high - low <= SAME_POINT or not len(left) or np.any(np.diff(left) > 1):
        raise InputError(
            Problem(
                f"a part is larger than its fabric is thick ({2 * distance:g} mm), at its necks too",
                got=f"{outline.width:g} mm wide, {outline.height:g} mm high",
                remedy="Make the part larger or the fabric thinner.",
            )
        )
    ends = [_crossing(heights, radius, int(left[0]), -1), _crossing(heights, radius, int(left[-1]), 1)]
    middle = np.column_stack([radius[left], np.interp(heights[left], ends, [low, high])])
    poles = np.array([[0.0, low], [0.0, high]])
    return Outline(np.concatenate([poles[:1][closed[:1]], middle, poles[1:][closed[1:]]]))


def _crossing(heights: Floats, radius: Floats, last: int, beyond: int) -> float:
    """Return the height at which the radius comes down to the axis next to its last place above it."""
    there = last + beyond
    if not (0 <= there < len(heights) and np.isfinite(radius[there])):
        return float(heights[last])
    share = radius[last] / (radius[last] - radius[there])
    return float(heights[last] + share * (heights[there] - heights[last]))


def _eroded(heights: Floats, points: Floats, inward: Floats, *, distance: float) -> Floats:
    """Return the radius of (1) at each height, exact for a polyline: from its lines, and from its points."""
    z = heights[:, None]
    gap = distance**2 - (z - points[:, 1]) ** 2
    from_points = np.where(gap >= 0, points[:, 0] - np.sqrt(np.maximum(gap, 0.0)), np.inf).min(axis=1)
    rising = np.diff(points[:, 1]) > SAME_POINT
    start, end = (points[:-1] + inward)[rising], (points[1:] + inward)[rising]
    share = (z - start[:, 1]) / (end[:, 1] - start[:, 1])
    on_line = np.where(
        (share >= 0) & (share <= 1), start[:, 0] + share * (end[:, 0] - start[:, 0]), np.inf
    ).min(axis=1, initial=np.inf)
    return np.asarray(np.minimum(from_points, on_line), dtype=np.float64)
