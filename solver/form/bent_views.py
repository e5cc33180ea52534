"""Three outlines of a part that bends, wanted and stuffed: from the front, from the side and from above."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from solver.arrays import Floats, Ints
from solver.form.fabric import StitchFabric
from solver.form.views import View, distance, edges_of, evenly, silhouette
from solver.wanted.swept import ROUND, Swept

BENT_VIEWS = {"front": (1, 2), "side": (0, 2), "plan": (0, 1)}
"""The two coordinates that each view shows: forward x, across y, upward z."""

DRAWN, FEW = 150, 40
"""Circles that a wanted surface is drawn with; and where it is looked at in a hurry."""

MIDST = (0.15, 0.85)
"""Part of a height between which the middles of level cuts are told: the ends close."""


def bent_views(fabric: StitchFabric, points: Floats, wanted: Swept) -> dict[str, View]:
    """Return the views of a form beside its wanted surface.

    The outline from the side is the line of the fronts and the line of the backs of the rounds, so that a
    limb that bends over itself is drawn truly.

    Parameters
    ----------
    fabric : StitchFabric
    points : (n, 3) float
        Its nodes where they lie on the wanted surface. [mm]
    wanted : Swept
    """
    form = {name: _outline(points, edges_of(fabric), name) for name in BENT_VIEWS if name != "side"}
    return _beside(wanted, {**form, "side": _side(fabric, points)})


def swept_views(form: Swept, wanted: Swept) -> dict[str, View]:
    """Return the views of circles that a form may have beside a wanted surface, of a few of them."""
    return _beside(wanted, _drawn(form, circles=FEW), circles=FEW)


def _beside(wanted: Swept, form: Mapping[str, Floats], *, circles: int = DRAWN) -> dict[str, View]:
    told = {}
    for name, asked in _drawn(wanted, circles=circles).items():
        apart = distance(evenly(form[name]), asked)
        told[name] = View(asked, form[name], float(np.sqrt(np.mean(apart**2))), float(apart.max()))
    return told


def _drawn(surface: Swept, *, circles: int) -> dict[str, Floats]:
    """Return the outlines of a drawn surface, by view."""
    some = np.unique(np.linspace(0, len(surface.radius) - 1, circles).astype(int))
    drawn, edges = surface.points()[some].reshape(-1, 3), _edges_between(len(some))
    return {name: side_of(surface) if name == "side" else _outline(drawn, edges, name) for name in BENT_VIEWS}


def _outline(points: Floats, edges: Ints, view: str) -> Floats:
    """Return a closed outline from the front or from above, where it is cut across the long way."""
    axes = list(BENT_VIEWS[view])
    if view == "plan":
        return silhouette(points[:, axes[::-1]], edges)[:, ::-1]
    return silhouette(points[:, axes], edges)


def level_middles(fabric: StitchFabric, points: Floats) -> Floats:
    """Return the middles of level cuts of a form from the side, (k, 2): [forward, height]. [mm]"""
    outline = silhouette(points[:, [0, 2]], edges_of(fabric))
    half = len(outline) // 2
    front, back = outline[:half], outline[half:][::-1]
    low, high = (round(part * half) for part in MIDST)
    return np.asarray((front + back)[low:high] / 2)


def side_of(wanted: Swept) -> Floats:
    """Return the wanted outline from the side, closed: up the front, down the back."""
    reach = wanted.radius[:, None] * wanted.forward
    return np.concatenate([wanted.spine + reach, (wanted.spine - reach)[::-1]])


def _side(fabric: StitchFabric, points: Floats) -> Floats:
    """Return a form's outline from the side: the foremost and the hindmost place of each ring."""
    middles = np.array([points[ring].mean(axis=0)[[0, 2]] for ring in fabric.rings])
    way = np.gradient(middles, axis=0)
    fronts, backs = [], []
    for ring, (x, z) in zip(fabric.rings, way, strict=True):
        seen = points[ring][:, [0, 2]]
        reach = seen @ np.array([z, -x])
        fronts.append(seen[np.argmax(reach)])
        backs.append(seen[np.argmin(reach)])
    return np.concatenate([np.array(fronts), np.array(backs)[::-1]])


def _edges_between(circles: int) -> Ints:
    """Return the pairs of points of a drawn surface that lie beside each other, along it and round it."""
    number = np.arange(circles * len(ROUND)).reshape(circles, -1)
    along = np.stack([number[:-1], number[1:]], axis=2).reshape(-1, 2)
    beside = np.stack([number, np.roll(number, -1, axis=1)], axis=2).reshape(-1, 2)
    return np.concatenate([along, beside])
