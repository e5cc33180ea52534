"""A solid cut across an axis: how far it reaches from the axis in every direction at every height."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solver.arrays import Floats
from solver.errors import InputError, Problem

LEVELS = 360
"""Cuts; closer at the ends."""

DIRECTIONS = 180
"""Directions that each cut is measured in."""


MOST_MET = 12_000_000
"""Directions that all lines of all slices may be met in; a closed surface takes 65,000."""

CUTS = 10_000
"""Cuts of faces that are worked at a time; each is met in at most half the directions."""

LEAST_AROUND = 0.5
"""Of all directions: in a slice that is met in as many, the others are holes in the surface."""


@dataclass(frozen=True, slots=True, eq=False)
class Slices:
    """The outermost distances of a surface from an axis.

    Attributes
    ----------
    heights : (m,) float
        Of the cuts, rising from just above 0 to just below `top`. [units of the corners]
    top : float
        Height of the whole.
    angles : (k,) float
        Directions, counter-clockwise. [rad]
    reach : (m, k) float
        Distance of the surface; 0 where the cut does not go round the axis.
    """

    heights: Floats
    top: float
    angles: Floats
    reach: Floats

    def normal_part(self, reach: Floats) -> Floats:
        """Return by what a difference in reach is multiplied to be a distance along the surface's normal."""
        slope = np.gradient(reach, self.heights, axis=0)
        return np.asarray(1 / np.sqrt(1 + slope**2), dtype=np.float64)


def principal_axes(corners: Floats) -> tuple[Floats, Floats]:
    """Return the centre of a surface and its three principal directions, as rows.

    Integrals over the surface, so that neither holes nor flipped faces nor the fineness of the mesh matter.

    Parameters
    ----------
    corners : (n, 3, 3) float
        The corners of each triangle.
    """
    area = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1) / 2
    total = float(area.sum())
    centre = area @ corners.mean(axis=1) / total
    p = corners - centre
    # exact for a triangle: integral of x x^T = area/12 (sum of p p^T + (sum of p)(sum of p)^T)
    sums = p.sum(axis=1)
    second = np.einsum("i,ika,ikb->ab", area, p, p) + np.einsum("i,ia,ib->ab", area, sums, sums)
    _, directions = np.linalg.eigh(second / (12 * total))
    return centre, directions.T


def turned_upright(corners: Floats, *, centre: Floats, axis: Floats) -> Floats:
    """Return corners with the axis along z through the origin, and the lowest point at height 0."""
    up = axis / np.linalg.norm(axis)
    side = np.eye(3)[int(np.argmin(np.abs(up)))]
    x = np.cross(side, up)
    x /= np.linalg.norm(x)
    moved = (corners - centre) @ np.column_stack([x, np.cross(up, x), up])
    return np.asarray(moved - [0, 0, moved[..., 2].min()], dtype=np.float64)


def cut(corners: Floats, *, file: str = "") -> Slices:
    """Return the slices of a surface across z.

    Parameters
    ----------
    corners : (n, 3, 3) float
        With the axis along z through the origin and the lowest point at height 0.
    file : str
        For the message.

    Raises
    ------
    InputError
        If the surface lies inside itself hundreds of times, so that cutting it would take minutes.

    Notes
    -----
    All heights are cut at once: looking through all faces for each would take a minute on a large mesh. Faces
    are taken in blocks, so that many large ones need no more memory than a few.
    """
    top = float(corners[..., 2].max())
    even = (np.arange(LEVELS) + 0.5) / LEVELS
    heights = top * (0.5 * even + 0.25 * (1 - np.cos(np.pi * even)))
    reach = np.zeros((LEVELS, DIRECTIONS))
    met = 0
    for block in _blocks(corners, heights):
        met += _reached(reach, *_segments(block, heights))
        if met > MOST_MET:
            rule, remedy = "a model is one surface, or a few", "Save its outer surface alone."
            raise InputError(Problem(rule, got="hundreds inside each other", remedy=remedy, file=file))
    return Slices(heights, top, np.linspace(0, 2 * np.pi, DIRECTIONS, endpoint=False), _across_holes(reach))


def _blocks(corners: Floats, heights: Floats) -> Iterator[Floats]:
    """Yield the faces in blocks that are cut about as often, each."""
    low, high = (np.searchsorted(heights, each, side="right") for each in _ends(corners))
    done = np.cumsum(high - low) // CUTS
    for first, last in itertools.pairwise([0, *(np.flatnonzero(np.diff(done)) + 1).tolist(), len(corners)]):
        yield corners[first:last]


def _ends(corners: Floats) -> tuple[Floats, Floats]:
    return corners[:, :, 2].min(axis=1), corners[:, :, 2].max(axis=1)


def _reached(reach: Floats, level: NDArray[np.int64], p: Floats, q: Floats) -> int:
    """Widen `reach` to lines at their levels; return how many directions they were met in."""
    step = float(2 * np.pi / DIRECTIONS)
    begin = np.arctan2(p[:, 1], p[:, 0])
    turn = np.arctan2(p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0], np.sum(p * q, axis=1))
    low, high = np.minimum(begin, begin + turn) / step, np.maximum(begin, begin + turn) / step
    first = np.ceil(low).astype(int)
    many = np.maximum(np.floor(high).astype(int) - first + 1, 0)
    which = np.repeat(np.arange(len(p)), many)
    place = np.arange(len(which)) - np.repeat(np.cumsum(many) - many, many) + first[which]
    u = np.column_stack([np.cos(place * step), np.sin(place * step)])
    along = (q - p)[which]
    across = u[:, 0] * along[:, 1] - u[:, 1] * along[:, 0]
    far = (p[which, 0] * along[:, 1] - p[which, 1] * along[:, 0]) / np.where(across == 0, np.inf, across)
    np.maximum.at(reach, (level[which], place % DIRECTIONS), far)
    return len(which)


def _across_holes(reach: Floats) -> Floats:
    """Return the reach with holes in the surface given the mean of their slice."""
    met = reach > 0
    around = met.mean(axis=1) >= LEAST_AROUND
    mean = reach.sum(axis=1) / np.maximum(met.sum(axis=1), 1)
    return np.asarray(np.where(met, reach, np.where(around, mean, 0.0)[:, None]), dtype=np.float64)


def _segments(corners: Floats, heights: Floats) -> tuple[NDArray[np.int64], Floats, Floats]:
    """Return the level and the two ends of every line in which a triangle is cut."""
    ordered = np.take_along_axis(corners, np.argsort(corners[:, :, 2], axis=1)[:, :, None], axis=1)
    first = np.searchsorted(heights, ordered[:, 0, 2], side="right")
    many = np.searchsorted(heights, ordered[:, 2, 2], side="right") - first
    which = np.repeat(np.arange(len(corners)), many)
    level = np.arange(len(which)) - np.repeat(np.cumsum(many) - many, many) + first[which]
    low, middle, high = (ordered[which, corner] for corner in range(3))
    z = heights[level][:, None]

    def on(a: Floats, b: Floats) -> Floats:
        rise = b[:, 2:] - a[:, 2:]
        part = (z - a[:, 2:]) / np.where(rise == 0, 1, rise)
        return np.asarray(a[:, :2] + part * (b[:, :2] - a[:, :2]), dtype=np.float64)

    return level, on(low, high), np.where(z < middle[:, 2:], on(low, middle), on(middle, high))
