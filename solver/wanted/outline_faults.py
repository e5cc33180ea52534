"""What is wrong with the points of an outline, each fault by its point."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from solver.arrays import Floats
from solver.errors import Problem

SAME_POINT = 1e-6
"""Points closer than this are one point. [mm]"""

MOST_CROSSED = 2000
"""Points of an outline among which lines that cross are looked for, each against each."""


def faults_of(points: Floats) -> list[Problem]:
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
    kept = first_of_repeats(points)
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
    problems += _on_axis(points, point)
    if not problems and (np.ptp(height) <= SAME_POINT or radius.max() <= SAME_POINT):
        problems.append(
            Problem(
                "an outline has a height and a width",
                got=f"{2 * radius.max():g} mm wide, {np.ptp(height):g} mm high",
                remedy="Give the greatest radius and the last height above zero.",
            )
        )
    return problems


def _on_axis(points: Floats, point: Callable[[int], str]) -> list[Problem]:
    """Return the points between the ends that lie on the axis, apart from both."""
    radius = points[:, 0]
    touching = (np.abs(radius[1:-1]) <= SAME_POINT) & (
        (np.abs(points[1:-1] - points[0]) > SAME_POINT).any(axis=1)
        & (np.abs(points[1:-1] - points[-1]) > SAME_POINT).any(axis=1)
    )
    return [
        Problem(
            "an outline touches the axis only at its ends",
            got=point(i + 1),
            remedy="Make it two parts, or give the neck a radius.",
        )
        for i in np.flatnonzero(touching).tolist()[:3]
    ]


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


def first_of_repeats(points: Floats) -> NDArray[np.intp]:
    """Return the places of the points that differ from the one before."""
    return np.flatnonzero(np.concatenate([[True], np.hypot(*np.diff(points, axis=0).T) > SAME_POINT]))
