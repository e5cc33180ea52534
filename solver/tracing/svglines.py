"""The lines of an SVG path as points."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np

from solver.arrays import Floats

if TYPE_CHECKING:
    import svgelements


def polylines(path: svgelements.Path, each: int) -> Iterator[Floats]:
    """Yield the unbroken lines of a path, with so many points for each of its curves.

    The transform is laid on the points: arcs that svgelements transforms itself are off once they are skewed,
    and circles and boxes that are turned it leaves as they were.
    """
    matrix = path.transform
    linear = np.array([[matrix.a, matrix.b], [matrix.c, matrix.d]])
    for line in _own_polylines(path, each):
        yield line @ linear + [float(matrix.e), float(matrix.f)]


def _own_polylines(path: svgelements.Path, each: int) -> Iterator[Floats]:
    """Yield the lines of a path in its own units, before it is transformed."""
    from svgelements import Close, Move
    from svgelements import Line as SvgLine

    part = np.linspace(0, 1, each)[1:]
    points: list[Any] = []
    for segment in path:
        if isinstance(segment, Move):
            if len(points) > 1:
                yield np.vstack(points).astype(np.float64)
            points = [[segment.end.x, segment.end.y]]
        elif isinstance(segment, Close | SvgLine):
            if segment.end is not None:
                points.append([segment.end.x, segment.end.y])
        else:
            points.append(np.asarray(segment.npoint(part), dtype=np.float64).reshape(-1, 2))
    if len(points) > 1:
        yield np.vstack(points).astype(np.float64)
