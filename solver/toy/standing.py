"""Whether a toy stands: its mass, centre of mass, and the ground that it touches."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats, frozen
from solver.form.fabric import StitchFabric
from solver.rounds import Finish, Start

if TYPE_CHECKING:
    from solver.toy.placed import Copy

SETTLES = 0.5
"""How far soft fabric gives where it rests on the ground, in row heights. ASSUMED."""

SIDES = ("to its left", "to its left and back", "backward", "to its right and back",
         "to its right", "to its right and front", "forward", "to its left and front")  # fmt: skip
"""Directions by eighths of a turn from the toy's left (+x), by way of its back (+y)."""


@dataclass(frozen=True, slots=True, eq=False)
class Weight:
    """A mass and where its middle is.

    Attributes
    ----------
    grams : float
    centre : (3,) float
        [mm]
    """

    grams: float
    centre: Floats

    def __post_init__(self) -> None:
        object.__setattr__(self, "centre", frozen(self.centre))


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """How something stands on the ground z = 0.

    Attributes
    ----------
    weight : Weight
        Of the whole.
    ground : (k, 2) float
        Hull of what touches the ground, counter-clockwise; one or two points where no more touch. [mm]
    tips_at : float
        How far it may be tipped to its weakest side; below zero it falls. [degrees]
    side : str
        That side, in words.
    """

    weight: Weight
    ground: Floats
    tips_at: float
    side: str

    @property
    def stands(self) -> bool:
        """Whether it stands by itself."""
        return self.tips_at > 0


def together(weights: list[Weight]) -> Weight:
    """Return several weights as one."""
    grams = sum(each.grams for each in weights)
    if not grams:
        return Weight(0.0, np.mean([each.centre for each in weights], axis=0))
    return Weight(grams, sum((each.grams * each.centre for each in weights), np.zeros(3)) / grams)


def standing(points: Floats, weight: Weight, *, settles: float) -> Standing:
    """Return how something stands.

    Parameters
    ----------
    points : (n, 3) float
        Its surface; the ground is at its lowest. [mm]
    weight : Weight
    settles : float
        Points no higher than this touch the ground. [mm]

    Notes
    -----
    It may be tipped until its centre of mass stands over an edge of the hull of what touches the ground: by
    atan(d / z), with d the distance from the edge and z the height of the centre (statics; any textbook).
    """
    low = float(points[:, 2].min())
    touching = points[points[:, 2] <= low + settles + 1e-9, :2]
    hull = _hull(touching)
    z, at = float(weight.centre[2]) - low, weight.centre[:2]
    if len(hull) < 3:
        nearest = _nearest_on(hull, at)
        off = float(np.linalg.norm(at - nearest))
        away = at - nearest if off > 1e-9 else np.array([0.0, -1.0])
        return Standing(weight, frozen(hull), -math.degrees(math.atan2(off, z)), _side(away))
    ahead = np.roll(hull, -1, axis=0) - hull
    outward = np.column_stack([ahead[:, 1], -ahead[:, 0]]) / np.linalg.norm(ahead, axis=1)[:, None]
    inside = np.einsum("ki,ki->k", hull - at, outward)  # distance of each edge, below zero: the centre is out
    weakest = int(inside.argmin())
    tips_at = math.degrees(math.atan2(float(inside[weakest]), z))  # equation (1)
    return Standing(weight, frozen(hull), tips_at, _side(outward[weakest]))


def weights_of(copy: Copy) -> list[Weight]:
    """Return the fabric and the filling of a copy of a part, where they are in the toy."""
    materials, fabric = copy.solved.materials, copy.surface.form.fabric
    tops = np.unique(np.concatenate(fabric.rings[1 : copy.surface.rounds + 1]))
    told = [Weight(materials.grams.value, copy.points[tops].mean(axis=0))]
    if materials.stuffing.value and copy.solved.form.volume > 0:
        share = copy.volume / copy.solved.form.volume
        _, centre = filled(fabric, copy.points)
        told.append(Weight(materials.stuffing.value * share, centre))
    return told


def filled(fabric: StitchFabric, points: Floats) -> tuple[float, Floats]:
    """Return the volume inside a form, open edges closed flat, and its centre. [mm^3, mm]"""
    middle = points.mean(axis=0)
    corners = closed_triangles(fabric, points - middle)
    parts = np.einsum("ki,ki->k", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6
    volume = float(parts.sum())
    centre = np.einsum("k,kci->i", parts, corners) / (4 * volume)
    return volume, middle + centre


def closed_triangles(fabric: StitchFabric, at: Floats) -> Floats:
    """Return the surface as triangles (t, 3, 3), counter-clockwise seen from outside, open edges closed.

    A quad is cut from its middle into four: neither diagonal is favoured.
    """
    quads = at[fabric.quads]
    middle = quads.mean(axis=1)
    fans = [np.stack([middle, quads[:, i], quads[:, (i + 1) % 4]], axis=1) for i in range(4)]
    return np.concatenate([*fans, at[fabric.triangles], *_caps(fabric, at)])


def _caps(fabric: StitchFabric, at: Floats) -> list[Floats]:
    """Return the triangles that close open edges, turned outward."""
    told = []
    open_ = []
    if fabric.piece.start is Start.OPEN:
        open_.append((0, 1.0))
    if fabric.piece.finish is Finish.OPEN:
        open_.append((-1, -1.0))
    for ring, sense in open_:
        rim = at[fabric.rings[ring]]
        middle = np.broadcast_to(rim.mean(axis=0), rim.shape)
        # rounds run clockwise seen from their end: against them lies outward at the finish, with them below
        after = np.roll(rim, -1, axis=0)
        told.append(np.stack([middle, rim, after] if sense > 0 else [middle, after, rim], axis=1))
    return told


def _hull(points: Floats) -> Floats:
    """Return the convex hull of points in the plane, counter-clockwise (A. Andrew's chain; from memory)."""
    ordered = np.unique(np.round(points, 9), axis=0)
    if len(ordered) < 3:
        return ordered

    def chain(run: Floats) -> list[Floats]:
        kept: list[Floats] = []
        for point in run:
            while len(kept) > 1 and _turn(kept[-2], kept[-1], point) <= 1e-9:
                kept.pop()
            kept.append(point)
        return kept[:-1]

    return np.array(chain(ordered) + chain(ordered[::-1]))


def _turn(a: Floats, b: Floats, c: Floats) -> float:
    return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))


def _nearest_on(ends: Floats, at: Floats) -> Floats:
    """Return the point nearest to a place on one point, or on the line between two."""
    if len(ends) == 1:
        return np.asarray(ends[0])
    along = ends[1] - ends[0]
    share = np.clip((at - ends[0]) @ along / (along @ along), 0.0, 1.0)
    return np.asarray(ends[0] + share * along)


def _side(direction: Floats) -> str:
    eighth = round(math.degrees(math.atan2(direction[1], direction[0])) / 45) % 8
    return SIDES[eighth]
