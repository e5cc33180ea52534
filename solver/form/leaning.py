"""How far the top of each leg stands ahead of its foot: by shaping, and by the lean of a spiral."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Bools, Floats, Ints

if TYPE_CHECKING:
    from solver.form.fabric import StitchFabric


def ahead(fabric: StitchFabric) -> Floats:
    """Return how far each leg's top is ahead of its foot in the evenly spaced layout. [mm]"""
    return np.concatenate([_ahead_of_one(part) for part, _ in fabric.components])


def _ahead_of_one(fabric: StitchFabric) -> Floats:
    """Return the leans in a fabric of one piece.

    On a chain, legs lean in the end arcs alone: the sides keep their stitches.
    """
    sizes = np.array([len(ring) for ring in fabric.rings])
    n_foot, n_top = sizes[fabric.leg_round - 1], sizes[fabric.leg_round]
    foot, top = (fabric.leg_slots + 0.5).T
    if not fabric.corners:
        turn = top / n_top - foot / n_foot + np.diff(fabric.turns)[fabric.leg_round - 1]
        turn -= np.rint(turn)
        # chord on the circle between the two rings
        lean = np.sqrt(n_foot * n_top) * fabric.stitch_width / np.pi * np.sin(np.pi * turn)
        return np.asarray(np.where((n_foot == 1) | (n_top == 1), 0.0, lean))
    corners = np.array(fabric.corners)
    below, above = corners[fabric.leg_round - 1], corners[fabric.leg_round]
    foot = np.mod(foot - below[:, 0], n_foot) + below[:, 0]
    top = np.mod(top - above[:, 0], n_top) + above[:, 0]
    lean = np.zeros(len(foot))
    for a, b in ((0, 1), (2, 3)):
        width_foot, width_top = below[:, b] - below[:, a], above[:, b] - above[:, a]
        inside = (foot > below[:, a]) & (foot < below[:, b]) & (top > above[:, a]) & (top < above[:, b])
        at_top, at_foot = (top - above[:, a])[inside], (foot - below[:, a])[inside]
        part = at_top / width_top[inside] - at_foot / width_foot[inside]
        lean[inside] = part * (width_foot + width_top)[inside] / 2 * fabric.stitch_width
    return np.asarray(np.where(fabric.leg_round == 1, 0.0, lean))


def leaning(fabric: StitchFabric) -> Bools:
    """Return which legs of a fabric of one piece the lean moves on: not round 1's, nor a drawn-in end's."""
    return np.asarray((fabric.leg_round > 1) & (fabric.leg_round <= len(fabric.piece.rounds)))


def stands_above(fabric: StitchFabric) -> tuple[Ints, Floats]:
    """Return what each leg's top stands straight above: a stitch beside its foot, and how far toward it.

    Without a lean it stands above the foot itself: (l,) int, and (l,) float from 0 to 1.
    """
    besides, shares = [], []
    for part, nodes in fabric.components:
        share = np.where(leaning(part), abs(part.lean), 0.0)
        slots = np.concatenate(part.rings)
        sizes = np.array([len(ring) for ring in part.rings])
        below = part.leg_round - 1
        step = 1 if part.lean > 0 else -1
        beside = np.mod(part.leg_slots[:, 0] + step, sizes[below])
        besides.append(nodes[slots[(np.cumsum(sizes) - sizes)[below] + beside]])
        shares.append(share)
    return np.concatenate(besides), np.concatenate(shares)
