"""Three outlines of an elongated part, wanted and stuffed: from the front, from the side and from above."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.arrays import Floats, Ints, frozen
from solver.form.fabric import StitchFabric
from solver.wanted.stadium import Stadium

VIEWS = {"front": (0, 2), "side": (1, 2), "plan": (0, 1)}
"""The two coordinates that each view shows: along the chain x, across it y, upward z."""

LEVELS = 121
"""Levels at which a silhouette is taken."""

SAMPLES = 400
"""Points, evenly along an outline, whose distances are measured."""


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """One view of a part.

    Attributes
    ----------
    wanted, form : (k, 2) float
        Closed outlines, to the right and up, both about the same middle. [mm]
    rms, greatest : float
        Distance of the form's outline from the wanted one. [mm]
    """

    wanted: Floats
    form: Floats
    rms: float
    greatest: float

    def __post_init__(self) -> None:
        for name in ("wanted", "form"):
            object.__setattr__(self, name, frozen(getattr(self, name)))


def views(fabric: StitchFabric, points: Floats, wanted: Stadium) -> dict[str, View]:
    """Return the views of a form beside its wanted surface; of a flat piece only the one from above.

    Parameters
    ----------
    fabric : StitchFabric
    points : (n, 3) float
        Its nodes, about the middle of the wanted surface. [mm]
    wanted : Stadium
    """
    edges = edges_of(fabric)
    told = {}
    for name, (across, up) in VIEWS.items():
        if name != "plan" and wanted.height == 0:
            continue
        # the plan is cut across the long way, where a waist shows
        axes = (across, up) if name != "plan" else (up, across)
        form = silhouette(points[:, axes], edges)
        form = form if name != "plan" else form[:, ::-1]
        asked = wanted_outline(wanted, name)
        apart = distance(evenly(form), asked)
        told[name] = View(asked, form, float(np.sqrt(np.mean(apart**2))), float(apart.max()))
    return told


def placed(points: Floats, wanted: Stadium) -> Floats:
    """Return a form's points about the middle of its wanted surface, (n, 3). [mm]"""
    middle = (points.max(axis=0) + points.min(axis=0)) / 2
    aim = np.array([0.0, 0.0, wanted.profile[[0, -1], 1].mean()])
    return np.asarray(points - middle + aim)


def girth_from_above(fabric: StitchFabric, points: Floats) -> float:
    """Return the length of a form's outline as seen from above. [mm]"""
    outline = silhouette(points[:, [1, 0]], edges_of(fabric))
    return float(np.linalg.norm(outline - np.roll(outline, 1, axis=0), axis=1).sum())


def wanted_outline(wanted: Stadium, view: str) -> Floats:
    """Return the closed outline of a wanted surface in a view, (k, 2). [mm]"""
    half = wanted.straights / 2
    if view == "plan":
        end = _end_from_above(wanted)
        return np.concatenate([end, -end])
    rho, z = wanted.profile.T
    right = np.column_stack([rho + (half if view == "front" else 0.0), z])
    return both_halves(right)


def both_halves(right: Floats) -> Floats:
    """Return an outline whose right half is given, closed."""
    return np.concatenate([right, right[::-1] * [-1.0, 1.0]])


def centred(outline: Floats) -> Floats:
    """Return an outline with the middle between its left and its right end at 0."""
    middle = float(outline[:, 0].max() + outline[:, 0].min()) / 2
    return np.subtract(outline, [middle, 0.0])


def _end_from_above(wanted: Stadium) -> Floats:
    """Return the outline of the first end from above, up along it: what the sections cover together. [mm]"""
    rho, half = wanted.profile[:, 0], wanted.straights / 2
    angle = np.linspace(-np.pi / 2, np.pi / 2, 91)
    if wanted.is_even:
        return np.column_stack([half[0] + rho.max() * np.cos(angle), rho.max() * np.sin(angle)])
    x = wanted.length / 2 * np.cos(angle)  # close together at the tip, where the outline turns
    beyond = np.maximum(x[:, None] - half, 0.0)
    y = np.sqrt(np.maximum(rho**2 - beyond**2, 0.0)).max(axis=1)
    return np.column_stack([x, np.sign(angle) * y])


def edges_of(fabric: StitchFabric) -> Ints:
    """Return the node pairs of all legs and of all neighbours in a round."""
    courses = [np.column_stack([ring, np.roll(ring, -1)]) for ring in fabric.rings]
    return np.concatenate([fabric.legs, *courses])


def silhouette(seen: Floats, edges: Ints) -> Floats:
    """Return the closed outline of a mesh whose every level cut is one piece, (k, 2): up right, down left."""
    low, high = seen[:, 1].min(), seen[:, 1].max()
    hair = 1e-6 * (high - low)  # just inside, where no edge is level
    levels = np.linspace(low + hair, high - hair, LEVELS)[:, None]
    a, b = seen[edges[:, 0]], seen[edges[:, 1]]
    below, above = np.minimum(a[:, 1], b[:, 1]), np.maximum(a[:, 1], b[:, 1])
    crossing = (below <= levels) & (levels <= above) & (above > below)
    share = (levels - a[:, 1]) / np.where(above > below, b[:, 1] - a[:, 1], 1.0)
    at = a[:, 0] + share * (b[:, 0] - a[:, 0])
    right = np.where(crossing, at, -np.inf).max(axis=1)
    left = np.where(crossing, at, np.inf).min(axis=1)
    rising = np.column_stack([right, levels[:, 0]])
    return np.concatenate([rising, np.column_stack([left, levels[:, 0]])[::-1]])


def evenly(outline: Floats) -> Floats:
    """Return points spread evenly along a closed outline."""
    closed = np.concatenate([outline, outline[:1]])
    along = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(closed, axis=0), axis=1)))
    at = np.linspace(0.0, along[-1], SAMPLES, endpoint=False)
    return np.column_stack([np.interp(at, along, closed[:, i]) for i in (0, 1)])


def distance(points: Floats, outline: Floats) -> Floats:
    """Return the distance of each point from a closed outline. [mm]"""
    run = np.roll(outline, -1, axis=0) - outline
    squared = np.maximum(np.einsum("ij,ij->i", run, run), 1e-12)
    offset = points[:, None] - outline
    share = np.clip(np.einsum("ijk,jk->ij", offset, run) / squared, 0.0, 1.0)
    return np.asarray(np.linalg.norm(offset - share[..., None] * run, axis=2).min(axis=1))
