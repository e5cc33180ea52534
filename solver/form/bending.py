"""Bending of a stitch fabric: the Laplacian of its nodes over the relaxed fabric.

The Laplacian of the position on a surface is its mean curvature normal, and the Laplacian of the relaxed
fabric serves for the form too, as it hardly stretches [1]_. At a stitch it is the balance of flows over its
four sides: to the next and the one before in its round, to the place above and the place below, where its
width grows or shrinks with the counts. So a flat circle costs nothing.

References
----------
.. [1] M. Bergou et al., "A quadratic bending model for inextensible surfaces", Eurographics Symposium on
   Geometry Processing, 2006, 227-230; from memory.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy import sparse

from solver.arrays import Floats, Ints
from solver.rounds import Start

if TYPE_CHECKING:
    from solver.form.fabric import StitchFabric


def bending_matrix(fabric: StitchFabric, bending: float) -> sparse.csr_matrix:
    """Return the constant matrix (n, n) of the bending energy 1/2 D A |Laplacian|^2, summed over the nodes.

    Parameters
    ----------
    fabric : StitchFabric
    bending : float
        D, over the fabric's stiffness. [mm^2]

    Returns
    -------
    (n, n) sparse matrix
        First and last edges bend freely.
    """
    if len(fabric.components) == 1:
        return _of_one(fabric, bending)
    whole = sparse.csr_matrix((fabric.node_count, fabric.node_count))
    for part, nodes in fabric.components:
        named = sparse.csr_matrix(
            (np.ones(len(nodes)), (np.arange(len(nodes)), nodes)), shape=(len(nodes), fabric.node_count)
        )
        whole = whole + named.T @ _of_one(part, bending) @ named
    return whole.tocsr()


def _of_one(fabric: StitchFabric, bending: float) -> sparse.csr_matrix:
    """Return the matrix of a fabric of one piece."""
    w = fabric.stitch_width
    below, above = fabric.slot_heights()
    entries, areas, row = [], [], 0
    for i in range(1, len(fabric.piece.rounds)):
        ring, count = fabric.rings[i], len(fabric.rings[i])
        rows = row + np.arange(count)
        row += count
        tall = (below[i] + above[i]) / 2
        along = tall / w
        flows = [(np.roll(ring, 1), along), (np.roll(ring, -1), along)]
        for other, distance in ((i - 1, below[i]), (i + 1, above[i])):
            across = (1 + _widths(fabric, i, other)) / 2 * w / distance
            flows += [(beside, across * part) for beside, part in _beside(fabric, i, other)]
        entries += [(rows, beside, flow) for beside, flow in flows]
        entries.append((rows, ring, -np.sum([flow for _, flow in flows], axis=0)))
        areas.append(w * tall)
    if not entries:
        return sparse.csr_matrix((fabric.node_count, fabric.node_count))
    rows, columns, values = (np.concatenate(each) for each in zip(*entries, strict=True))
    flow = sparse.csr_matrix((values, (rows, columns)), shape=(row, fabric.node_count))
    return (flow.T @ sparse.diags(bending / np.concatenate(areas)) @ flow).tocsr()


def _widths(fabric: StitchFabric, i: int, other: int) -> Floats:
    """Return how many stitches of ring `other` stand beside one of ring i, for each of its slots."""
    n, n_other = len(fabric.rings[i]), len(fabric.rings[other])
    if not fabric.corners:
        return np.full(n, (n_other if n_other > 1 else 0) / n)
    corner, beside = fabric.corners[i], fabric.corners[other]
    at = fabric.layout(i).turns(np.arange(0.5, n))
    quarter = np.floor(4 * np.mod(at, 1.0)).astype(int)
    here = np.diff(corner, append=corner[0] + n)[quarter]  # the quarter holds the stitch, so it is not empty
    return np.asarray(np.diff(beside, append=beside[0] + n_other)[quarter] / here)


def _beside(fabric: StitchFabric, i: int, other: int) -> list[tuple[Ints, Floats]]:
    """Return the two nodes of ring `other` beside each slot of ring i, and how much each counts."""
    ring = fabric.rings[other]
    if other == 0 and fabric.piece.start is not Start.OPEN:
        feet = fabric.legs[fabric.leg_round == 1, 0]
        return [(feet, np.ones(len(feet)))]
    place = fabric.place(other)
    at = place[0] + np.mod(fabric.place(i) - place[0], 1.0)
    after = np.searchsorted(place, at, side="right")
    ends = np.append(place, place[0] + 1.0)
    part = (at - ends[after - 1]) / (ends[after] - ends[after - 1])
    return [(ring[after - 1], 1 - part), (ring[after % len(ring)], part)]
