"""Pieces worked flat in rows: their stitches as a fabric, and how it lies in its plane.

Rows run back and forth, the first from right to left as seen from the right side; a row that turns early
leaves stitches that lie behind the next one. On a table fabric neither hangs nor puckers: its fibres resist
being shortened as they resist being stretched, and its form is where

    E = sum_fibres 1/2 A (|a|/L - 1)^2 + sum_cells 1/2 G A (a_c . a_w / (w h))^2                           (1)

is least: course fibres w long, legs sqrt(h^2 + d^2) where they lean by d in the even layout.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import splu

from solver.arrays import Floats, Ints
from solver.errors import ConvergenceError
from solver.form.fabric import FLAT, StitchFabric
from solver.form.legs import leg_rows_of
from solver.form.stuffed import StuffedForm
from solver.rounds import Finish, Piece
from solver.wanted.gauge import Gauge

SHEAR = 0.05
"""G over k in the plane. ASSUMED: only holds cells square that nothing else holds."""

LEAN = 1.0
"""Part of its lean by which a stitch at a shaped edge is longer than an upright one. ASSUMED: relaxed rows
lie straight, whatever is worked at their edges (common practice, no source)."""

STEPS, SETTLED = 100, 1e-6
"""Steps of the descent, and the move that ends it. [stitch widths]"""


def rows_fabric(piece: Piece, gauge: Gauge) -> StitchFabric:
    """Return the stitch mesh of a piece worked flat in rows; its rings are the chain and the rows.

    Parameters
    ----------
    piece : Piece
        With `Start.ROWS`.
    gauge : Gauge
    """
    edge = list(range(piece.foundation))  # seen from the right side, right to left
    rings, at, made = [np.arange(piece.foundation)], 0, piece.foundation
    legs: list[tuple[int, int]] = []
    slots: list[tuple[int, int]] = []
    cells: list[tuple[int, int]] = []
    numbers: list[int] = []
    forward: list[bool] = []
    slot_of = {node: node for node in edge}
    for number, this in enumerate(piece.rounds, start=1):
        ahead = number % 2 == 1
        tops = np.arange(made, made + this.count)
        below = edge[at : at + this.uses] if ahead else edge[at - this.uses : at][::-1]
        first, foot, top = len(legs), 0, 0
        for stitch in this.stitches:
            for step in range(max(stitch.uses, stitch.makes)):
                parent = below[foot + min(step, stitch.uses - 1)]
                child = top + min(step, stitch.makes - 1)
                legs.append((parent, int(tops[child])))
                slots.append((slot_of[parent], child))
                numbers.append(number)
            foot, top = foot + stitch.uses, top + stitch.makes
        cells += [(i, i + 1) for i in range(first, len(legs) - 1)]
        forward += [ahead] * (len(legs) - 1 - first)
        slot_of.update({int(node): slot for slot, node in enumerate(tops)})
        new = tops.tolist() if ahead else tops.tolist()[::-1]
        low = at if ahead else at - this.uses
        edge[low : low + this.uses] = new
        at = low + this.count if ahead else low
        rings.append(tops)
        made += this.count
    return _fabric(piece, gauge, rings, np.array(legs), np.array(slots), np.array(numbers),
                   np.array(cells, dtype=np.int64).reshape(-1, 2), np.array(forward, dtype=bool))  # fmt: skip


def _fabric(
    piece: Piece,
    gauge: Gauge,
    rings: list[Ints],
    legs: Ints,
    slots: Ints,
    numbers: Ints,
    cells: Ints,
    forward: Floats,
) -> StitchFabric:
    """Return the mesh of rows, whose cells look to the right side whichever way they were worked."""
    (p0, c0), (p1, c1) = legs[cells[:, 0]].T, legs[cells[:, 1]].T
    parted, spread = p0 != p1, c0 != c1
    quad, triangle = parted & spread, parted ^ spread
    quads = np.stack([p1, p0, c0, c1], axis=1)
    triangles = np.stack([p1, np.where(parted, p0, c0), np.where(parted, c0, c1)], axis=1)
    quads = np.where(forward[:, None], quads, quads[:, ::-1])
    triangles = np.where(forward[:, None], triangles, triangles[:, ::-1])
    of_node = np.repeat(np.arange(len(rings)), [len(ring) for ring in rings])
    return StitchFabric(
        piece=piece,
        stitch_width=gauge.stitch_width,
        row_height=gauge.row_height,
        closing=0.0,
        spiral=False,
        rings=tuple(rings),
        ring_of_node=of_node,
        quads=quads[quad],
        triangles=triangles[triangle],
        quad_round=numbers[cells[quad, 0]],
        triangle_round=numbers[cells[triangle, 0]],
        legs=legs,
        leg_slots=slots,
        leg_round=numbers,
        leg_height=leg_rows_of(piece, gauge.heights) * gauge.row_height,
        quad_legs=cells[quad],
        triangle_legs=cells[triangle],
        corners=(),
        turns=np.zeros(len(rings)),
        lean=0.0,
        moved=np.zeros(len(rings)),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Net:
    """Fibres and cells of rows in their plane: equation (1) as squares."""

    fibres: Ints
    rest: Floats
    weight: Floats
    courses: Ints
    wales: Ints
    shear: Floats

    def residuals(self, at: Floats) -> tuple[Floats, sparse.csr_matrix]:
        """Return what (1) is the half sum of squares of, and its slope."""
        a = at[self.fibres[:, 1]] - at[self.fibres[:, 0]]
        length = np.maximum(np.hypot(*a.T), 1e-9)
        stretched = self.weight * (length / self.rest - 1)
        way = self.weight[:, None] * a / (length * self.rest)[:, None]
        c, w = (at[ends[:, 1]] - at[ends[:, 0]] for ends in (self.courses, self.wales))
        sheared = self.shear * (c * w).sum(axis=1)
        rows = [(np.arange(len(a)), self.fibres, way)]
        own = len(a) + np.arange(len(c))
        rows += [(own, self.courses, self.shear[:, None] * w), (own, self.wales, self.shear[:, None] * c)]
        row, column, value = [], [], []
        for number, ends, slope in rows:
            for end, sign in ((1, 1.0), (0, -1.0)):
                for axis in (0, 1):
                    row.append(number)
                    column.append(2 * ends[:, end] + axis)
                    value.append(sign * slope[:, axis])
        shape = (len(a) + len(c), at.size)
        entries = (np.concatenate(value), (np.concatenate(row), np.concatenate(column)))
        return np.concatenate([stretched, sheared]), sparse.csr_matrix(entries, shape=shape)


def _net(fabric: StitchFabric, at: Floats) -> _Net:
    """Return the fibres and cells of a fabric that lies as an even layout has it."""
    w, h = fabric.stitch_width, fabric.row_height
    courses = np.concatenate([np.column_stack([ring[:-1], ring[1:]]) for ring in fabric.rings])
    lean = (at[fabric.legs[:, 1]] - at[fabric.legs[:, 0]])[:, 0]
    legs = np.hypot(fabric.leg_height, LEAN * lean)
    rest = np.concatenate([np.full(len(courses), w), legs])
    a = np.column_stack([fabric.legs[fabric.quad_legs[:, 0], 0], fabric.legs[fabric.quad_legs[:, 1], 0]])
    tall = fabric.legs[fabric.quad_legs[:, 0]]
    return _Net(
        fibres=np.concatenate([courses, fabric.legs]),
        rest=rest,
        weight=np.full(len(rest), np.sqrt(w * h)),
        courses=a,
        wales=tall,
        shear=np.full(len(a), np.sqrt(SHEAR * w * h) / (w * h)),
    )


def laid_flat(fabric: StitchFabric) -> Floats:
    """Return where the stitches of a piece worked in rows lie in its plane, (n, 2): across, and up. [mm]

    Raises
    ------
    ConvergenceError
        If (1) has no least value near the even layout.
    """
    at = _even(fabric)
    net = _net(fabric, at)
    unknown = np.ones(at.size, dtype=bool)
    unknown[[0, 1, 2 * len(fabric.rings[0]) - 1]] = False  # what it drifts and turns by
    free = np.flatnonzero(unknown)
    damping, (off, slope) = 1e-6, net.residuals(at)
    for _ in range(STEPS):
        down = slope[:, free]
        square = (down.T @ down).tocsc()
        ridge = damping * square.diagonal().mean()
        step = np.zeros(at.size)
        step[free] = -splu(square + ridge * sparse.identity(len(free), format="csc")).solve(down.T @ off)
        moved = at + step.reshape(at.shape)
        new, new_slope = net.residuals(moved)
        if new @ new <= off @ off * (1 + 1e-12):
            at, off, slope, damping = moved, new, new_slope, max(damping / 10, 1e-9)
            if np.abs(step).max() < SETTLED * fabric.stitch_width:
                return at
        else:
            damping *= 10
    raise ConvergenceError(
        what="the rows in their plane", iterations=STEPS, residual=float(off @ off), tried="the even layout"
    )


def _even(fabric: StitchFabric) -> Floats:
    """Return the even layout: every row along the stitches below it, most of its own upright on them."""
    w = fabric.stitch_width
    at = np.zeros((fabric.node_count, 2))
    first = fabric.rings[0]
    at[first, 0] = w * ((len(first) - 1) / 2 - np.arange(len(first)))
    for number, ring in enumerate(fabric.rings[1:], start=1):
        own = fabric.leg_round == number
        parent, slot = at[fabric.legs[own, 0]], fabric.leg_slots[own, 1]
        way = -w if number % 2 else w
        along = way * (np.arange(len(ring)) - (len(ring) - 1) / 2)
        at[ring, 0] = along + np.median(parent[:, 0] - along[slot])
        up = np.bincount(slot, parent[:, 1] + fabric.leg_height[own], len(ring)) / np.bincount(slot)
        at[ring, 1] = up
    return at


def flat_form(piece: Piece, gauge: Gauge) -> StuffedForm:
    """Return a piece worked in rows as it lies: flat, or folded across its middle row.

    Raises
    ------
    ConvergenceError
        If it has no form in its plane.
    """
    fabric = rows_fabric(piece, gauge)
    flat = laid_flat(fabric)
    flat = flat - [(flat[fabric.rings[0]].mean(axis=0))[0], 0.0]
    outline = np.array([[(np.ptp(flat[ring, 0]) + gauge.stitch_width) / 2, flat[ring, 1].mean()]
                        for ring in fabric.rings])  # fmt: skip
    points = np.column_stack([flat, np.zeros(len(flat))])
    if piece.finish is Finish.SEAMED:
        fold = fold_height(outline)
        behind = points[:, 1] > fold
        points[behind, 1] = 2 * fold - points[behind, 1]
        points[:, 2] = np.where(behind, -LAYER, 0.0)
    return StuffedForm(
        fabric=fabric,
        points=points,
        stretch=np.zeros(len(points)),
        outline=outline,
        course_stretch=np.zeros(len(fabric.rings)),
        wale_stretch=np.zeros(len(fabric.legs)),
        mean_stretch=0.0,
        volume=0.0,
        pressure=0.0,
        alike=False,
    )


LAYER = FLAT / 2
"""How far behind the front layer the back one of a folded piece is drawn. [mm]"""


def fold_height(outline: Floats) -> float:
    """Return the height at which rows are folded in half. [mm]"""
    return float(outline[[0, -1], 1].mean())


def edge_outline(form: StuffedForm) -> Floats:
    """Return the outline of rows as they lie, closed: up the right edge and down the left. [mm]"""
    right, left = edge_sides(form)
    return np.concatenate([right, left[::-1]])


def edge_sides(form: StuffedForm) -> tuple[Floats, Floats]:
    """Return the right and the left edge of rows as they lie, each from the chain up. (k, 2) [mm]

    They lie half a stitch beyond the middles of the outmost ones; rows that turn early end inside them.
    """
    half = form.fabric.stitch_width / 2
    right: list[Floats] = []
    left: list[Floats] = []
    fold = fold_height(form.outline) if form.piece.finish is Finish.SEAMED else np.inf
    short = (0, *form.piece.left, 0)
    for number, ring in enumerate(form.fabric.rings):
        if form.outline[number, 1] > fold + 1e-6:
            break
        at = form.points[ring, :2]
        way = -1.0 if number % 2 or not number else 1.0
        along = at[-1] - at[0] if len(ring) > 1 else np.array([way, 0.0])
        out = half * along / np.hypot(*along)
        sides = (right, left) if number % 2 or not number else (left, right)
        if not number or not short[number - 1]:
            sides[0].append(at[0] - out)
        if not number or not short[number]:
            sides[1].append(at[-1] + out)
    return np.array(right), np.array(left)
