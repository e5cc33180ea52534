"""Faces of the stitch mesh cut in half between neighbouring stitches, so that each belongs to one stitch."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.arrays import Floats, Ints
from solver.form.fabric import StitchFabric
from solver.rounds import Finish, Start


@dataclass(frozen=True, slots=True, eq=False)
class Halved:
    """A mesh of which each face belongs to one stitch.

    Attributes
    ----------
    points : (n, 3) float
        The nodes of the fabric, then the middles between neighbours along the rounds. [mm]
    quads, triangles : (q, 4) and (t, 3) int
        Counter-clockwise seen from outside.
    of_quad, of_triangle : (q,) and (t,) int
        The node of the stitch that each belongs to.
    """

    points: Floats
    quads: Ints
    triangles: Ints
    of_quad: Ints
    of_triangle: Ints


def edges_told(fabric: StitchFabric, points: Floats) -> list[tuple[str, Floats]]:
    """Return the edge of each round, and of a flat piece each row, with its name. [mm]"""
    word = "row" if fabric.piece.start is Start.ROWS else "round"
    many = len(fabric.piece.rounds)
    return [(f"{word} {k}", points[ring]) for k, ring in enumerate(fabric.rings) if 0 < k <= many]


def halved(fabric: StitchFabric, points: Floats) -> Halved:
    """Return the mesh of a fabric with each cell cut between its two stitches. [mm]"""
    (p1, p0, c0, c1), cells = fabric.quads.T, fabric.triangles
    closing = fabric.piece.finish is Finish.CINCHED
    # a triangle stands on one stitch (its last two nodes lie in one round), or holds one
    stands = fabric.ring_of_node[cells[:, 1]] == fabric.ring_of_node[cells[:, 2]]
    foot, first, second = cells[stands].T
    left, right, top = cells[~stands].T
    pairs = np.concatenate(
        [np.stack(pair, 1) for pair in ((p0, p1), (c0, c1), (first, second), (left, right))]
    )
    names, which = np.unique(np.sort(pairs, axis=1), axis=0, return_inverse=True)
    middle = len(points) + which.ravel()
    n, m = len(fabric.quads), len(foot)
    low, high, edge, base = middle[:n], middle[n : 2 * n], middle[2 * n : 2 * n + m], middle[2 * n + m :]
    quads = np.concatenate([np.stack([low, p0, c0, high], 1), np.stack([p1, low, high, c1], 1)])
    triangles = np.concatenate(
        [
            np.stack([foot, first, edge], 1),
            np.stack([foot, edge, second], 1),
            np.stack([left, base, top], 1),
            np.stack([base, right, top], 1),
        ]
    )
    drawn_in = len(fabric.rings) - 1 if closing else -1  # the point: its faces show the stitches below it
    gathers = fabric.ring_of_node[top] == drawn_in
    return Halved(
        points=np.concatenate([points, points[names].mean(axis=1)]),
        quads=quads,
        triangles=triangles,
        of_quad=np.concatenate([c0, c1]),
        of_triangle=np.concatenate(
            [first, second, np.where(gathers, left, top), np.where(gathers, right, top)]
        ),
    )


def of_nodes(fabric: StitchFabric) -> Ints:
    """Return for each node the stitch of all, from 0, that it is the top of; of the point the last."""
    counts = fabric.piece.counts
    out = np.zeros(fabric.node_count, dtype=np.int64)
    first = 0
    for ring, n in zip(fabric.rings[1:], counts, strict=False):
        out[ring[::-1]] = first + np.arange(n)[::-1]
        first += n
    if fabric.piece.finish is Finish.CINCHED:
        out[fabric.rings[-1]] = first - 1
    return out
