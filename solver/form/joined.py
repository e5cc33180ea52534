"""Two limbs and the body worked on round both, as one fabric: the body's first ring is made of their edges.

The chain between the limbs is one line of stitches that both sides of the body hang on. Where a limb's own
edge closes beside the chain a gap of one stitch is left, which is closed with the tail.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from solver.arrays import Floats, Ints
from solver.errors import InputError, Problem
from solver.form.energy import StitchEnergy
from solver.form.fabric import StitchFabric
from solver.form.stitches import StitchForm
from solver.rounds import Finish


@dataclass(frozen=True, slots=True, eq=False)
class JoinedFabric(StitchFabric):
    """The fabric of two limbs and the body on them; `piece` is the body's.

    Its rings are the first limb's, the second's, and the body's, whose first ring shares its nodes with them.

    Attributes
    ----------
    of_parts : tuple of (StitchFabric, (n,) int)
        The limbs and the body by themselves, each with its nodes in the whole.
    gaps : (h, 3) int
        Triangles over the gaps between the limbs, counter-clockwise seen from outside.
    """

    of_parts: tuple[tuple[StitchFabric, Ints], ...]
    gaps: Ints

    @property
    def components(self) -> tuple[tuple[StitchFabric, Ints], ...]:
        """The fabrics that it is made of, each with its nodes in the whole."""
        return self.of_parts

    @property
    def opens_at_start(self) -> bool:
        """Whether the first ring is an edge left open: the limbs are closed."""
        return False

    @property
    def holes(self) -> Ints:
        """The gaps between the limbs."""
        return self.gaps


def joined_fabric(limb: StitchFabric, body: StitchFabric) -> JoinedFabric:
    """Return two limbs alike and the body on them as one fabric.

    Parameters
    ----------
    limb : StitchFabric
        Closed at its start, open at its last edge.
    body : StitchFabric
        Of a piece with `legs`.

    Raises
    ------
    InputError
        If they don't fit each other.
    """
    legs = body.piece.legs
    edge = limb.rings[len(limb.piece.rounds)]
    fits = limb.stitch_width == body.stitch_width and limb.row_height == body.row_height
    if legs is None or len(edge) != legs.stitches or not fits or limb.piece.finish is not Finish.OPEN:
        rule = "legs are joined that end open, with the stitches that their body counts on, at one gauge"
        raise InputError(Problem(rule, got=f"{len(edge)} stitches"))
    n, chain = limb.node_count, legs.chain
    edges = [np.roll(edge, 1 - first) + n * i for i, first in enumerate(legs.firsts)]
    between = 2 * n + np.arange(chain)
    first_ring = np.concatenate([edges[0], between, edges[1], between[::-1]])
    own = len(body.rings[0])
    rest = 2 * n + chain + np.arange(body.node_count - own)
    in_whole = np.concatenate([first_ring, rest])
    parts = ((limb, np.arange(n)), (limb, n + np.arange(n)), (body, in_whole))
    # corners of the gaps: where each limb's edge closes, with the chain beside it or the other limb
    (a, z), (b, y) = ((each[0], each[-1]) for each in edges)
    gaps = [[z, between[0], a], [y, between[-1], b]] if chain else [[z, b, y], [z, y, a]]
    return _merged(parts, np.array(gaps), len(rest) + 2 * n + chain)


def _merged(parts: tuple[tuple[StitchFabric, Ints], ...], gaps: Ints, node_count: int) -> JoinedFabric:
    """Return fabrics as one: rings, cells and legs behind each other, nodes renamed."""
    fabrics, nodes = [part for part, _ in parts], [node for _, node in parts]
    body = fabrics[-1]
    rings = np.cumsum([0, *(len(part.rings) for part in fabrics)])
    legs = np.cumsum([0, *(len(part.legs) for part in fabrics)])
    of_node = np.zeros(node_count, dtype=np.int64)
    for part, node, first in zip(fabrics, nodes, rings, strict=False):
        of_node[node] = part.ring_of_node + first  # the body comes last: its first ring keeps its nodes

    def named(what: str) -> Ints:
        return np.concatenate([node[getattr(part, what)] for part, node in parts])

    def moved(what: str, by: Ints) -> Ints:
        return np.concatenate([getattr(part, what) + k for part, k in zip(fabrics, by, strict=False)])

    def all_of(what: str) -> Any:
        return np.concatenate([getattr(part, what) for part in fabrics])

    return JoinedFabric(
        piece=body.piece,
        stitch_width=body.stitch_width,
        row_height=body.row_height,
        closing=body.closing,
        spiral=body.spiral,
        rings=tuple(node[ring] for part, node in parts for ring in part.rings),
        ring_of_node=of_node,
        quads=named("quads"),
        triangles=named("triangles"),
        quad_round=moved("quad_round", rings),
        triangle_round=moved("triangle_round", rings),
        legs=named("legs"),
        leg_slots=all_of("leg_slots"),
        leg_round=moved("leg_round", rings),
        leg_height=all_of("leg_height"),
        quad_legs=moved("quad_legs", legs),
        triangle_legs=moved("triangle_legs", legs),
        corners=(),
        turns=all_of("turns"),
        lean=body.lean,
        moved=all_of("moved"),
        of_parts=parts,
        gaps=gaps,
    )


def parted(form: StitchForm, *, wale_stiffness: float = 1.0) -> tuple[StitchForm, ...]:
    """Return a joined form as the forms of its limbs and its body, each of its own fabric.

    Parameters
    ----------
    form : StitchForm
        Of a `JoinedFabric`.
    wale_stiffness : float
        k_w/k_c, as it was solved with.
    """
    told = []
    for fabric, nodes in form.fabric.components:
        points = form.points[nodes]
        energy = StitchEnergy(fabric, form.pressure, wale_stiffness=wale_stiffness)
        stretch = energy.stretch(points)
        told.append(
            StitchForm(
                fabric=fabric,
                pressure=form.pressure,
                points=points,
                course_stretch=stretch[: energy.courses],
                wale_stretch=stretch[energy.courses :],
                volume=energy.volume(points - points.mean(axis=0)),
                residual=form.residual,
                pin_reaction=form.pin_reaction,
                iterations=form.iterations,
                history=form.history,
            )
        )
    return tuple(told)


def laid_back(points: Floats, onto: Floats) -> Floats:
    """Return points moved and turned as a whole to lie nearest to others [1]_.

    References
    ----------
    .. [1] W. Kabsch, "A solution for the best rotation to relate two sets of vectors", Acta Cryst. A 32,
       1976, 922-923; from memory.
    """
    here, there = points.mean(axis=0), onto.mean(axis=0)
    left, _, right = np.linalg.svd((points - here).T @ (onto - there))
    left[:, -1] *= np.sign(np.linalg.det(left @ right))
    return np.asarray((points - here) @ (left @ right) + there)
