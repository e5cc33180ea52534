"""How far one outline lies from another, along the normal."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solver.arrays import Floats, frozen
from solver.wanted.outline import Outline

Whole = NDArray[np.intp]

SAMPLES = 1000
"""Places along the form's outline at which the deviation is taken."""

CHUNK = 16_000
"""Distances worked out at one time: arrays of 128 kB come from the heap and a cache, those beyond from the
system, page by page, which takes up to four times as long."""


@dataclass(frozen=True, slots=True, eq=False)
class Offsets:
    """Where samples of a form lie against a wanted outline.

    Attributes
    ----------
    distance : (n,) float
        Along the normal of the wanted outline, outward above zero. [mm]
    direction : (n, 2) float
        Unit vectors: the distance grows by the dot product of a sample's move with its direction.
    """

    distance: Floats
    direction: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Deviation:
    """How a form differs from the wanted outline, the two aligned at mid-height.

    Attributes
    ----------
    rms, greatest : float
        Of the distance along the normal, sampled evenly by arc length. [mm]
    height, width : float
        Form less wanted. [mm]
    place : (2,) float
        [radius, height] on the form, aligned, where the distance is greatest. [mm]
    raised : float
        How far the form was moved along the axis to align it. [mm]
    """

    rms: float
    greatest: float
    height: float
    width: float
    place: Floats
    raised: float


def even_samples(points: Floats, count: int) -> tuple[Whole, Floats]:
    """Return places spread evenly over a polyline, as mixing weights of its points.

    Parameters
    ----------
    points : (m, 2) float
        The polyline. [mm]
    count : int
        How many places, at the middles of `count` equal lengths.

    Returns
    -------
    index : (count,) int
        The point before each place.
    share : (count,) float
        How far it lies toward the next point, 0 to 1.
    """
    arc = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    at = (np.arange(count) + 0.5) * arc[-1] / count
    index = np.clip(np.searchsorted(arc, at, side="right") - 1, 0, len(points) - 2)
    span = arc[index + 1] - arc[index]
    return np.asarray(index, dtype=np.intp), np.asarray((at - arc[index]) / np.where(span > 0, span, 1.0))


def mixed(points: Floats, index: Whole, share: Floats) -> Floats:
    """Return the places that `even_samples` describes."""
    return np.asarray(points[index] * (1 - share)[:, None] + points[index + 1] * share[:, None])


def offsets(places: Floats, outline: Outline) -> Offsets:
    """Return where `places` lie against an outline.

    Parameters
    ----------
    places : (n, 2) float
        Radius and height, already aligned. [mm]
    outline : Outline
        The wanted outline.

    Returns
    -------
    Offsets
        To the nearest point of the outline.
    """
    a, along = outline.points[:-1], np.diff(outline.points, axis=0)
    square = np.einsum("ij,ij->i", along, along)
    beside = np.einsum("ij,ij->i", a, along)
    nearest = np.empty_like(places)
    segment = np.empty(len(places), dtype=np.intp)
    for first in range(0, len(places), max(1, CHUNK // len(a))):
        rows = slice(first, first + max(1, CHUNK // len(a)))
        forward = places[rows] @ along.T - beside
        t = np.clip(forward / square, 0.0, 1.0)
        # squared distances, less that of the place from the origin, which is one for all
        gap = t * (t * square - 2 * forward) + (np.einsum("ij,ij->i", a, a) - 2 * places[rows] @ a.T)
        best = np.argmin(gap, axis=1)
        segment[rows] = best
        nearest[rows] = a[best] + t[np.arange(len(best)), best][:, None] * along[best]
    return _offsets_to(places, nearest, along[segment])


def near_offsets(places: Floats, outline: Outline) -> Offsets:
    """Return what `offsets` does, several times as fast, for an outline whose points stand close.

    Of the outline, only the two straights beside the nearest of its points are looked at: nearest for places
    that are nearer to it than it is to itself, in other stretches, by more than a straight's length.
    """
    points = outline.points
    nearest = np.empty(len(places), dtype=np.intp)
    square, double = np.einsum("ij,ij->i", points, points), 2 * points.T
    many = max(1, CHUNK // len(points))
    for first in range(0, len(places), many):
        gap = places[first : first + many] @ double
        nearest[first : first + many] = np.argmin(np.subtract(square, gap, out=gap), axis=1)
    along = np.diff(points, axis=0)
    sides = []
    for segment in (np.maximum(nearest - 1, 0), np.minimum(nearest, len(along) - 1)):
        way = along[segment]
        forward = np.einsum("ij,ij->i", places - points[segment], way) / np.einsum("ij,ij->i", way, way)
        foot = points[segment] + np.clip(forward, 0.0, 1.0)[:, None] * way
        sides.append((foot, way, np.einsum("ij,ij->i", places - foot, places - foot)))
    (one, way, gap), (other, other_way, other_gap) = sides
    first = (gap <= other_gap)[:, None]
    return _offsets_to(places, np.where(first, one, other), np.where(first, way, other_way))


def _offsets_to(places: Floats, nearest: Floats, along: Floats) -> Offsets:
    """Return where places lie against their nearest points, on straights that go `along`."""
    normal = np.column_stack([along[:, 1], -along[:, 0]]) / np.hypot(*along.T)[:, None]
    gap = places - nearest
    size = np.hypot(*gap.T)
    sign = np.where(np.einsum("ij,ij->i", gap, normal) < 0, -1.0, 1.0)
    far = size > 1e-9
    toward = sign[:, None] * gap / np.where(far, size, 1.0)[:, None]
    return Offsets(sign * size, np.where(far[:, None], toward, normal))


def deviation(points: Floats, wanted: Outline) -> Deviation:
    """Return how a form's outline differs from the wanted one.

    Parameters
    ----------
    points : (m, 2) float
        Radius and height along the form. [mm]
    wanted : Outline
        What was drawn.

    Returns
    -------
    Deviation
        With the two aligned at mid-height.
    """
    low, high = float(points[:, 1].min()), float(points[:, 1].max())
    raised = wanted.middle - (low + high) / 2
    aligned = points + np.array([0.0, raised])
    places = mixed(aligned, *even_samples(aligned, SAMPLES))
    distance = offsets(places, wanted).distance
    worst = int(np.argmax(np.abs(distance)))
    return Deviation(
        rms=float(np.sqrt(np.mean(distance**2))),
        greatest=float(abs(distance[worst])),
        height=high - low - wanted.height,
        width=2 * float(points[:, 0].max()) - wanted.width,
        place=frozen(places[worst]),
        raised=raised,
    )
