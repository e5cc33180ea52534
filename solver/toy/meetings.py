"""What gets in each other's way on a toy: parts that run into each other, edges over edges, covered eyes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Bools, Floats
from solver.toy.places import EyePlace
from solver.toy.standing import closed_triangles

if TYPE_CHECKING:
    from solver.toy.placed import Copy
    from solver.toy.solved import SolvedToy

DEEP = 1.0
"""Parts that reach into each other by less than so many row heights just touch."""


@dataclass(frozen=True, slots=True)
class Meeting:
    """Two copies that run into each other.

    Attributes
    ----------
    one, other : Copy
    depth : float
        How far one reaches into the other. [mm]
    degrees : float
        By how much one of them would be turned round what carries it to be free.
    """

    one: Copy
    other: Copy
    depth: float
    degrees: float


def meetings(solved: SolvedToy) -> Iterator[Meeting]:
    """Yield every two copies that run into each other, and are not joined to each other."""
    for one, other in combinations(solved.copies, 2):
        if one.carrier is other or other.carrier is one:
            continue
        depth = max(_depth(one, other), _depth(other, one))
        if depth > DEEP * one.wanted.part.gauge.row_height:
            carrier = other.carrier or one
            out = np.hypot(*(other.frame.origin - carrier.frame.origin)[:2])
            yield Meeting(one, other, depth, float(np.degrees(depth / max(out, depth))))


def edges_over_edges(solved: SolvedToy) -> Iterator[tuple[Copy, Copy]]:
    """Yield every two copies on one part whose edges lie over each other."""
    sewn = [each for each in solved.copies if each.edge is not None and each.is_sewn_on]
    for one, other in combinations(sewn, 2):
        if one.carrier is not other.carrier:
            continue
        assert one.edge is not None
        assert other.edge is not None
        if covers(one, other.edge.points).any() or covers(other, one.edge.points).any():
            yield one, other


def covered_eyes(solved: SolvedToy, eyes: tuple[EyePlace, ...]) -> Iterator[tuple[EyePlace, Copy]]:
    """Yield eyes that lie under, or half under, a part that sits beside them."""
    for place in eyes:
        points = np.array(place.points)
        for copy in solved.copies:
            if (
                copy.edge is None
                or copy.carrier is None
                or not copy.is_sewn_on
                or copy.carrier.wanted.name != place.part
            ):
                continue
            if covers(copy, points, spare=place.eyes.diameter / 2).any():
                yield place, copy


def covers(copy: Copy, points: Floats, *, spare: float = 0.0) -> Bools:
    """Return which points of the carrier, in its upright coordinates, lie under a copy or beside its edge.

    Parameters
    ----------
    copy : Copy
    points : (n, 3) float
    spare : float
        How near to the edge counts as under it. [mm]
    """
    assert copy.edge is not None
    assert copy.carrier is not None
    at = copy.frame.seen(copy.carrier.in_toy(points))
    rim = copy.frame.seen(copy.edge_points)
    apart = np.linalg.norm(at[:, None] - rim[None], axis=2).min(axis=1)
    if not copy.edge.closed:
        return np.asarray(apart < max(spare, copy.wanted.part.gauge.row_height / 2))
    a, b = rim[:, :2], np.roll(rim[:, :2], -1, axis=0)
    x, y = at[:, None, 0], at[:, None, 1]
    straddles = (a[:, 1] > y) != (b[:, 1] > y)
    rise = np.where(b[:, 1] == a[:, 1], 1.0, b[:, 1] - a[:, 1])
    crossed = straddles & (x < a[:, 0] + (y - a[:, 1]) / rise * (b[:, 0] - a[:, 0]))
    reach = np.ptp(rim, axis=0).max()
    inside = (crossed.sum(axis=1) % 2 == 1) & (np.abs(at[:, 2] - rim[:, 2].mean()) < reach)
    return np.asarray(inside | (apart < spare))


def _depth(one: Copy, other: Copy) -> float:
    """Return how far nodes of one copy lie inside another, at the most. [mm]"""
    low, high = other.points.min(axis=0), other.points.max(axis=0)
    near = one.points[((one.points > low) & (one.points < high)).all(axis=1)]
    if not len(near) or other.solved.form.is_flat:
        return 0.0
    inside = near[_winding(near, closed_triangles(other.surface.form.fabric, other.points)) > 0.5]
    if not len(inside):
        return 0.0
    apart = np.linalg.norm(inside[:, None] - other.points[None], axis=2).min(axis=1)
    return float(apart.max())


def _winding(points: Floats, triangles: Floats) -> Floats:
    """Return how often a closed surface goes round each point: 1 inside, 0 outside.

    The sum of the solid angles of its triangles [1]_.

    References
    ----------
    .. [1] A. van Oosterom and J. Strackee, "The solid angle of a plane triangle", IEEE Trans. Biomed. Eng.
       30, 1983, 125-126; from memory.
    """
    a, b, c = (triangles[None, :, i] - points[:, None] for i in range(3))
    la, lb, lc = (np.linalg.norm(side, axis=2) for side in (a, b, c))
    top = np.einsum("kti,kti->kt", a, np.cross(b, c))
    dot = [np.einsum("kti,kti->kt", *pair) for pair in ((a, b), (b, c), (c, a))]
    bottom = la * lb * lc + dot[0] * lc + dot[1] * la + dot[2] * lb
    return np.asarray(2 * np.arctan2(top, bottom).sum(axis=1) / (4 * np.pi))
