"""Closed lines of a drawn toy, and where one part's line meets another's."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from solver.arrays import Floats

if TYPE_CHECKING:
    from shapely import Polygon

SLIM = 1.25
"""A part that is so much longer than wide has its axis along it; a rounder one straight outward."""


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """A closed line: its name without left and right, which of the two it is (0: neither), and its area."""

    name: str
    side: int
    area: Polygon

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, low, right, high. [mm]"""
        left, low, right, high = self.area.bounds
        return left, low, right, high

    @property
    def middle(self) -> Floats:
        """The centroid. [mm]"""
        return np.array([self.area.centroid.x, self.area.centroid.y])


def points_of(crossed: object) -> list[Any]:
    """Return the points of what two lines have in common."""
    parts = list(getattr(crossed, "geoms", [crossed]))
    return [each.representative_point() for each in parts if not each.is_empty]


def axis_of(area: Polygon, outward: Floats) -> Floats:
    """Return the long direction of an area, outward; of a roundish one straight outward."""
    contour = np.asarray(area.exterior.segmentize(max(area.length / 400, 1e-6)).coords)
    spread = contour - contour.mean(axis=0)
    _, sizes, axes = np.linalg.svd(spread, full_matrices=False)
    outward = outward / np.linalg.norm(outward)
    if sizes[0] < SLIM * sizes[1]:
        return np.asarray(outward)
    axis = axes[0] * np.sign(axes[0] @ outward)
    return np.asarray(axis if abs(axis @ outward) > 0.5 else outward)


def moved(area: Polygon, origin: Floats, turned: Floats) -> Polygon:
    """Return an area in other directions, about an origin of its own."""
    from shapely import Polygon

    return Polygon((np.asarray(area.exterior.coords)[:-1] - origin) @ turned.T)


def on_line(carrier: Shape, joint: Floats, axis: Floats) -> Floats:
    """Return where a part's axis comes out of the silhouette of what carries it."""
    from shapely import LineString

    left, low, right, high = carrier.box
    far = (right - left) + (high - low)
    line = LineString([joint - far * axis, joint + far * axis])
    points = [np.array([p.x, p.y]) for p in points_of(carrier.area.boundary.intersection(line))]
    if not points:
        return joint
    return min(points, key=lambda point: float(np.linalg.norm(point - joint)))


def lean_of(carrier: Shape, place: Floats, axis: Floats) -> float:
    """Return how far an axis leans downward from straight out of a silhouette. [degrees]"""
    boundary = carrier.area.exterior
    from shapely import Point

    along = boundary.project(Point(*place))
    step = 0.02 * boundary.length
    before, after = (boundary.interpolate((along + by) % boundary.length) for by in (-step, step))
    out = np.array([after.y - before.y, before.x - after.x])
    out /= max(float(np.linalg.norm(out)), 1e-12)
    if carrier.area.contains(Point(*(place + 0.5 * out))):
        out = -out
    downward = np.array([0.0, -1.0]) + out[1] * out
    if np.linalg.norm(downward) < 0.05:
        return 0.0
    downward /= np.linalg.norm(downward)
    return math.degrees(math.atan2(float(axis @ downward), float(axis @ out)))
