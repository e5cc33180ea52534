"""A part's form solved again with its edge held where it is sewn."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from solver.errors import ConvergenceError
from solver.form.descent import Supports
from solver.form.stitches import stitch_form
from solver.rounds import Start
from solver.toy.laying import Laid
from solver.toy.model import Join
from solver.toy.placed import Copy, edge_ring

if TYPE_CHECKING:
    from solver.arrays import Floats

LAYER = 0.25
"""How far each layer of a flat edge lies from the line, in row heights. ASSUMED."""
REACH = 0.6
"""How far up a part its edge's moves go in the first guess, in girths over 2 pi."""
CLOSE = 1e-3
"""Largest force left, in units of p w h: a picture and a centre of mass need no more."""


def held(copy: Copy) -> tuple[Copy, bool]:
    """Return a copy with its form solved again, its edge held on its place; and whether that has a balance.

    Without one, it stays as solved by itself.

    Parameters
    ----------
    copy : Copy
        Sewn, flat or worked in, not edge to edge.
    """
    surface, form = copy.surface, copy.solved.form
    if form.piece.start is Start.ROWS:  # rows aren't stuffed: they hang from their edge as they lie
        return copy, True
    assert copy.edge is not None
    assert copy.carrier is not None
    ring = edge_ring(surface, copy.wanted.edge)
    to_part = copy.carrier.in_toy(copy.edge.points)
    standing = copy.frame.seen(to_part) + copy.base
    places = _places(copy, standing, ring)
    if copy.wanted.join is not Join.SEWN:
        back = np.sign(surface.points[form.fabric.rings[ring], 1] - copy.base[1])
        places[:, 1] += LAYER * copy.wanted.part.gauge.row_height * np.where(back == 0, 1.0, back)
    guess = _drawn_along(copy, places, ring)
    if form.is_folded:  # two layers give way to their edge
        return replace(copy, skin=surface.formed(guess), points=copy.in_toy(guess)), True
    rim = surface.as_solved(places)
    supports = form.supports or Supports()
    supports = replace(supports, finish=rim) if ring else replace(supports, start=rim)
    try:
        found = stitch_form(
            form.fabric,
            pressure=form.pressure,
            guess=surface.as_solved(guess),
            supports=supports,
            tolerance=CLOSE,
            wale_stiffness=copy.wanted.part.gauge.stiffness_ratio,
        )
    except ConvergenceError:
        return copy, False
    standing = surface.as_standing(found.points)
    now = surface.formed(standing)
    return replace(copy, skin=now, points=copy.in_toy(standing), volume=found.volume), True


def _places(copy: Copy, standing: Floats, ring: int) -> Floats:
    """Return where each stitch of the edge is held, in the part's upright coordinates. (m, 3) [mm]"""
    edge = copy.edge
    assert isinstance(edge, Laid)
    surface = copy.surface
    if edge.closed:
        place = np.mod(surface.form.fabric.place(ring), 1.0) * len(standing)
    else:  # front and back of the edge lie on one line
        at = surface.points[surface.form.fabric.rings[ring]] - copy.base
        angle = np.abs(np.arctan2(at[:, 1], at[:, 0]))  # 0 at its left
        place = (1 - angle / np.pi) * (len(standing) - 1)
        if standing[-1, 0] < standing[0, 0]:
            place = len(standing) - 1 - place
    left = np.minimum(place.astype(int), len(standing) - (1 if edge.closed else 2))
    part = (place - left)[:, None]
    return np.asarray((1 - part) * standing[left] + part * standing[(left + 1) % len(standing)])


def _drawn_along(copy: Copy, places: Floats, ring: int) -> Floats:
    """Return the upright part with its edge moved to its place, and what is near moved with it."""
    surface, fabric = copy.surface, copy.surface.form.fabric
    moves = places - surface.points[fabric.rings[ring]]
    turns = np.mod(fabric.place(ring), 1.0)
    order = np.argsort(turns)
    known = np.concatenate([turns[order] - 1, turns[order], turns[order] + 1])
    girth = copy.edge_length * (1 if copy.edge and copy.edge.closed else 2)
    points = surface.points.copy()
    for number, nodes in enumerate(fabric.rings):
        far = abs(number - ring) * fabric.row_height
        share = np.exp(-far / (REACH * girth / (2 * np.pi)))
        place = np.mod(fabric.place(number), 1.0)
        moved = np.stack([np.interp(place, known, np.tile(moves[order, i], 3)) for i in range(3)], axis=1)
        sums = np.zeros_like(points)
        np.add.at(sums, nodes, moved)
        times = np.bincount(nodes, minlength=len(points))[:, None]
        points += share * sums / np.maximum(times, 1)
    return points
