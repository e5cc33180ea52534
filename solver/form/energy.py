"""Energy of a stitch fabric in space: fibres that only pull, a little shear and bending, and a pressure.

With the nodes x, every term is a function of a few differences of them, all linear in x:

    E(x) = sum_fibres 1/2 k A <|a|/L - 1>^2 + sum_cells 1/2 G A (a_c . a_w / (w h))^2
           + sum_nodes 1/2 D A |Laplacian|^2 - p V(x),                                                    (1)

forces relative to the stiffness along a round: k = 1 for course fibres, the edges between neighbours in a
round (L = w), and k_w/k_c for wale fibres, the legs. <e> = e in tension; in compression it keeps a fraction
alpha of its energy, just enough to say where slack fabric hangs. V is exact; a quad counts as the mean of its
two ways to be cut in two, open edges are closed flat.

Where a spiral leans by d stitches a round, the fabric along the part is not the leg, which stands on the
stitch d stitches back, but what stands straight above: a wale fibre runs from between two stitches to the
top, and cells are sheared by a_c . a_w = d w^2 when they are relaxed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from scipy import sparse

from solver.arrays import Floats, Ints
from solver.form.bending import bending_matrix
from solver.form.leaning import ahead, leaning, stands_above
from solver.rounds import Finish

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from solver.form.fabric import StitchFabric


@dataclass(frozen=True, slots=True)
class FabricConstants:
    """What is ASSUMED of single crochet fabric in space; none of it was measured on a crocheted object.

    Attributes
    ----------
    lean : float
        beta: a leg that leans by d in the evenly spaced layout is sqrt(h^2 + beta d^2) long. 0: legs want
        to stand straight; 1: the leaning layout is free of tension. At 0.55 the form agrees with the ring
        model.
    shear : float
        G, shear stiffness over k. Only holds the cells in shape; more of it stiffens rounds with increases.
    bending : float
        D, bending stiffness over k. [mm^2] 0.02 is a solid sheet of 0.5 mm. Keeps single stitches from
        buckling; five times as much rounds off a sharp tip.
    slack, slack_per_pressure : float
        alpha is the smaller of `slack` and `slack_per_pressure` times P = p R; more falsifies flat parts.
    rim : float
        What alpha is on an open edge: in its plane it can't pucker. Keeps the two stitches of an increase
        apart.
    """

    lean: float = 0.55
    shear: float = 0.003
    bending: float = 0.02
    slack: float = 0.02
    slack_per_pressure: float = 0.1
    rim: float = 0.1


ASSUMED = FabricConstants()

SHORTEST = 1e-12
"""What a fibre's length is never below, so that two nodes in one place do no harm. [mm]"""

TIE = 20.0
"""Stiffness of a tie through a part, over the fabric's: it hardly gives. [1/mm^2 of its length squared]"""


WALL = 1.0
"""Stiffness of a wall that nodes keep to one side of, over the fabric's: they sink in by 0.1 mm at most."""


class StitchEnergy:
    """Energy (1) and its gradient, as functions of the node positions.

    Parameters
    ----------
    fabric : StitchFabric
    pressure : float
        p/k, > 0. [1/mm]
    constants : FabricConstants
    ties : sequence of (int, int, float)
        Pairs of nodes tied to each other through the part, and the length that is left between them. [mm]
    wale_stiffness : float
        k_w/k_c, > 0.
    walls : sequence of ((k,) int, int)
        Nodes that keep to one side of the plane x = 0, and the side.

    Attributes
    ----------
    fibres : (f, 2) int
        The two nodes of each fibre: course fibres first, then wale fibres, then ties.
    courses, wales : int
        Number of course fibres, and of wale fibres.
    rest : (f,) float
        Rest length of each fibre. [mm]
    area : (f,) float
        Rest area that it stands for. [mm^2]
    upright : (l,) float
        Part of each wale fibre's squared rest length that is its height.
    stiffness, slack : (f,) float
        k A / L^2 of each fibre in tension, and in compression.
    cells : (c, 4) int
        Corners (second foot, first foot, first top, second top) of each cell, flat caps of open edges last.
    shear : (s,) float
        Of the cells of fabric: stiffness against v.v - u.u, the diagonals of a cell.
    sheared : (s,) float
        v.v - u.u of each relaxed cell of fabric: nothing without a lean. [mm^2]
    bending : (n, n) sparse matrix
    differences, parts
        The matrix from positions to fibres, and u, v and m of each cell; where each of them begins.
    """

    def __init__(
        self,
        fabric: StitchFabric,
        pressure: float,
        constants: FabricConstants = ASSUMED,
        ties: Sequence[tuple[int, int, float]] = (),
        *,
        wale_stiffness: float = 1.0,
        walls: Sequence[tuple[Ints, int]] = (),
    ) -> None:
        self.walls = tuple(walls)
        self.fabric = fabric
        self.pressure = pressure
        most = max(len(ring) for ring in fabric.rings)
        firmness = pressure * most * fabric.stitch_width / (2 * np.pi)
        alpha = min(constants.slack, constants.slack_per_pressure * firmness)
        found = _fibres(fabric, constants)
        self.fibres, beside, share = found.nodes, found.beside, found.share
        self.rest, self.area, self.upright = found.rest, found.area, found.upright
        self.courses, self.wales = found.courses, len(self.fibres) - found.courses
        self.stiffness = self.area / self.rest**2
        self.stiffness[self.courses :] *= wale_stiffness
        on_rim = np.isin(self.fibres, _rims(fabric)).all(axis=1)
        self.slack = self.stiffness * np.where(on_rim, max(constants.rim, alpha), alpha)
        if ties:
            self.fibres = np.concatenate([self.fibres, np.array([tie[:2] for tie in ties])])
            beside, share = np.append(beside, [tie[0] for tie in ties]), np.append(share, np.zeros(len(ties)))
            self.rest = np.append(self.rest, [tie[2] for tie in ties])
            self.stiffness = np.append(self.stiffness, np.full(len(ties), TIE))
            self.slack = np.append(self.slack, np.zeros(len(ties)))
        self.bending = bending_matrix(fabric, constants.bending)
        self.cells = cells = np.concatenate([_cells(fabric), *_caps(fabric)])
        self.shear, self.sheared = _shear(fabric, constants)
        self.fabric_cells = len(self.shear)
        self.differences = _differences(self.fibres, beside, share, cells, fabric.node_count)
        self._gather = self.differences.T.tocsr()
        self.parts = np.cumsum([0, len(self.fibres), len(cells), len(cells), len(cells)])

    def __call__(self, points: Floats) -> tuple[float, Floats]:
        """Return the energy and its gradient, (n, 3), at node positions (n, 3)."""
        all_ = self.differences @ points
        f, u, v, m = (all_[i:j] for i, j in zip(self.parts[:-1], self.parts[1:], strict=True))
        length = np.sqrt(_dot(f, f)) + SHORTEST
        strain = length - self.rest
        pull = self.tension(length) * strain
        cells = self.fabric_cells
        skew = _dot(v[:cells], v[:cells]) - _dot(u[:cells], u[:cells]) - self.sheared
        shear = self.shear * skew
        bent = self.bending @ points
        work = self.pressure / 24
        uv = _cross(u, v)
        volume = work * inner(uv, m)
        energy = 0.5 * (inner(pull, strain) + inner(shear, skew) + inner(bent, points)) - volume
        forces = np.empty_like(all_)
        i, j, k, l, end = self.parts
        np.multiply((pull / length)[:, None], f, out=forces[i:j])
        np.multiply(_cross(m, v), work, out=forces[j:k])
        np.multiply(_cross(u, m), work, out=forces[k:l])
        np.multiply(uv, -work, out=forces[l:end])
        shear = 2 * shear[:, None]
        forces[j : j + cells] -= shear * u[:cells]
        forces[k : k + cells] += shear * v[:cells]
        gradient = self._gather @ forces + bent
        for nodes, side in self.walls:
            sunk = np.minimum(side * points[nodes, 0], 0.0)
            energy += 0.5 * WALL * inner(sunk, sunk)
            gradient[nodes, 0] += WALL * side * sunk
        return float(energy), gradient

    def volume(self, points: Floats) -> float:
        """Return the volume between the fabric and the origin. [mm^3]"""
        all_ = self.differences @ points
        u, v, m = (all_[i:j] for i, j in zip(self.parts[1:-1], self.parts[2:], strict=True))
        return inner(_cross(u, v), m) / 24

    def stretch(self, points: Floats) -> Floats:
        """Return stuffed over rest length, minus one, of each fibre. [1]"""
        fibres = self.differences[: len(self.fibres)] @ points
        return np.asarray(np.linalg.norm(fibres, axis=1) / self.rest - 1)

    def tension(self, lengths: Floats) -> Floats:
        """Return the stiffness of each fibre at its length: in tension, or slack."""
        return np.where(lengths > self.rest, self.stiffness, self.slack)

    def taut_matrix(self, stiffness: Floats | None = None) -> sparse.csr_matrix:
        """Return the constant matrix (n, n) of the fibres as if every one were a spring, and taut.

        It bounds their part of the Hessian from above and is the same for the three coordinates. Shear and
        bending are left out: they are small beside it, and would more than double the cost of its factors.
        """
        f = self.differences[: len(self.fibres)]
        return (f.T @ sparse.diags(self.stiffness if stiffness is None else stiffness) @ f).tocsr()


def _dot(a: Floats, b: Floats) -> Floats:
    return np.asarray(np.einsum("ij,ij->i", a, b))


def inner(a: NDArray[np.floating], b: NDArray[np.floating]) -> float:
    """Return the sum of all products of two arrays alike.

    Not by BLAS: it starts threads for a sum this long, and they wait for each other on a busy machine.
    """
    return float(np.einsum("i,i->", a.reshape(-1), b.reshape(-1)))


def _cross(a: Floats, b: Floats) -> Floats:
    """Return row-wise cross products (numpy's own is several times slower on short rows)."""
    out = np.empty_like(a)
    out[:, 0] = a[:, 1] * b[:, 2] - a[:, 2] * b[:, 1]
    out[:, 1] = a[:, 2] * b[:, 0] - a[:, 0] * b[:, 2]
    out[:, 2] = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return out


class _Fibres(NamedTuple):
    """Fibres as in `StitchEnergy`, without ties."""

    nodes: Ints
    beside: Ints
    share: Floats
    courses: int
    rest: Floats
    area: Floats
    upright: Floats


def _fibres(fabric: StitchFabric, constants: FabricConstants) -> _Fibres:
    """Return the fibres of a fabric.

    A stitch's area counts once along the course and once along the wale: a quad gives half to each of its
    two course edges and half to each of its legs, a triangle (half a stitch) all to its one edge and half
    to each leg.
    """
    w, quads, triangles = fabric.stitch_width, fabric.quads, fabric.triangles
    of_quads, of_triangles = fabric.cell_heights
    quad_area, triangle_area = w * of_quads, w * of_triangles / 2
    # A triangle is (p1, c0, c1) or (p1, p0, c0): its course edge is the pair of one ring.
    same_ring = fabric.ring_of_node[triangles[:, 1]] == fabric.ring_of_node[triangles[:, 2]]
    base = np.where(same_ring[:, None], triangles[:, [1, 2]], triangles[:, [1, 0]])
    edges = np.concatenate([quads[:, [1, 0]], quads[:, [2, 3]], base])
    areas = np.concatenate([quad_area / 2, quad_area / 2, triangle_area])
    edges.sort(axis=1)
    key, place = np.unique(edges[:, 0] * fabric.node_count + edges[:, 1], return_inverse=True)
    courses = np.stack([key // fabric.node_count, key % fabric.node_count], axis=1)
    course_area = np.bincount(place, areas, len(key))
    legs = np.concatenate([fabric.quad_legs.T.ravel(), fabric.triangle_legs.T.ravel()])
    of_legs = np.concatenate([np.tile(quad_area, 2), np.tile(triangle_area, 2)]) / 2
    leg_area = np.bincount(legs, of_legs, len(fabric.legs))
    used = leg_area > 0
    rest = np.sqrt(fabric.leg_height**2 + constants.lean * ahead(fabric) ** 2)
    beside, share = stands_above(fabric)
    return _Fibres(
        nodes=np.concatenate([courses, fabric.legs[used]]),
        beside=np.concatenate([courses[:, 0], beside[used]]),
        share=np.concatenate([np.zeros(len(courses)), share[used]]),
        courses=len(courses),
        rest=np.concatenate([np.full(len(courses), w), rest[used]]),
        area=np.concatenate([course_area, leg_area[used]]),
        upright=(fabric.leg_height[used] / rest[used]) ** 2,
    )


def _cells(fabric: StitchFabric) -> Ints:
    """Return the corners (second foot, first foot, first top, second top) of all cells, quads first.

    A triangle has one of them twice. With the diagonals u = c0 - p1 and v = c1 - p0 and the sum m of the
    corners, every cell holds the volume (u x v) . m / 24.
    """
    (p0, c0), (p1, c1) = (
        fabric.legs[np.concatenate([fabric.quad_legs[:, i], fabric.triangle_legs[:, i]])].T for i in (0, 1)
    )
    return np.stack([p1, p0, c0, c1], axis=1)


def _rims(fabric: StitchFabric) -> Ints:
    """Return the nodes of open edges."""
    piece = fabric.piece
    edges = [fabric.rings[0]] * fabric.opens_at_start + [fabric.rings[-1]] * (piece.finish is Finish.OPEN)
    return np.concatenate([*edges, np.zeros(0, dtype=np.int64)])


def _caps(fabric: StitchFabric) -> list[Ints]:
    """Return the flat caps of open edges and gaps as cells, cut into triangles, their outside outside."""
    caps = [fabric.holes[:, [0, 0, 1, 2]]]
    if fabric.opens_at_start:
        rim = fabric.rings[0]
        caps.append(np.stack([rim[:-2] * 0 + rim[0], rim[:-2] * 0 + rim[0], rim[1:-1], rim[2:]], axis=1))
    if fabric.piece.finish is Finish.OPEN:
        rim = fabric.rings[-1]
        caps.append(np.stack([rim[:-2] * 0 + rim[0], rim[:-2] * 0 + rim[0], rim[2:], rim[1:-1]], axis=1))
    return caps


def _shear(fabric: StitchFabric, constants: FabricConstants) -> tuple[Floats, Floats]:
    """Return the stiffness of each cell against v.v - u.u, and what that is of the relaxed cell.

    It is four times a_c . a_w, twice for a triangle.
    """
    quads = len(fabric.quads)
    legs = np.concatenate([fabric.quad_legs, fabric.triangle_legs])
    part = np.where(np.arange(len(legs)) < quads, 4.0, 2.0)
    stitch = fabric.stitch_width * np.concatenate(fabric.cell_heights)
    area = np.where(part == 4, stitch, stitch / 2)
    kept = [of.lean * leaning(of)[of.quad_legs[:, 0]] for of, _ in fabric.components]
    kept += [of.lean * leaning(of)[of.triangle_legs[:, 0]] for of, _ in fabric.components]
    sheared = part * np.concatenate(kept) * fabric.stitch_width**2
    return np.asarray(constants.shear * area / (part * stitch) ** 2), sheared


def _differences(fibres: Ints, beside: Ints, share: Floats, cells: Ints, nodes: int) -> sparse.csr_matrix:
    """Return the matrix that turns positions into the fibres, and u, v and m of each cell."""
    f, c = len(fibres), len(cells)
    fibre, cell = np.arange(f), np.arange(c)
    p1, p0, c0, c1 = cells.T
    one, all_ = np.ones(f), np.ones(c)
    entries = [
        (fibre, fibres[:, 1], one),
        (fibre, fibres[:, 0], share - one),
        (fibre[share != 0], beside[share != 0], -share[share != 0]),
        (f + cell, c0, all_),
        (f + cell, p1, -all_),
        (f + c + cell, c1, all_),
        (f + c + cell, p0, -all_),
        *((f + 2 * c + cell, corner, all_) for corner in (p1, p0, c0, c1)),
    ]
    rows, columns, values = (np.concatenate(each) for each in zip(*entries, strict=True))
    return sparse.csr_matrix((values, (rows, columns)), shape=(f + 3 * c, nodes))
