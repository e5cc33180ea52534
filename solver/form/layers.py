"""A form folded flat with every stitch in its place: two layers that lie on each other."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Bools, Floats
from solver.form.fabric import stitch_fabric
from solver.form.folded import FoldedFabric, FoldedForm
from solver.form.stuffed import StuffedForm
from solver.rounds import Finish, Start

if TYPE_CHECKING:
    from solver.rounds import Piece
    from solver.wanted.gauge import Gauge

APART = 0.25
"""How far each layer lies from the middle of both, unless the fabric's thickness tells. [row heights]"""


def folded_fabric(piece: Piece, gauge: Gauge) -> FoldedFabric:
    """Return the fabric of rounds that are to be folded flat, across where they are widest."""
    w, h = gauge.stitch_width, gauge.row_height
    along_chain, cinched = piece.start is Start.CHAIN, piece.finish is Finish.CINCHED
    side = (piece.side + 1) * w / 2 if along_chain else 0.0
    first = {Start.CHAIN: side, Start.OPEN: piece.foundation * w / 4}.get(piece.start, 0.0)
    of = gauge.heights.by_stitch
    tall = [h * sum(of[stitch] for stitch in this.stitches) / len(this.stitches) for this in piece.rounds]
    fabric = stitch_fabric(piece, stitch_width=w, row_height=h)
    return FoldedFabric(
        rows=np.array([first, *(count * w / 4 for count in piece.counts), *[0.0] * cinched]),
        spacing=np.array([*tall, *[fabric.closing] * cinched]),
        side=side,
        stitch_width=w,
    )


def in_layers(form: FoldedForm, piece: Piece, gauge: Gauge) -> StuffedForm:
    """Return a folded form with its stitches: the folds at the left and right, one layer before the other."""
    w, h = gauge.stitch_width, gauge.row_height
    fabric = stitch_fabric(piece, stitch_width=w, row_height=h, heights=gauge.heights, lean=gauge.leans)
    apart = gauge.thickness / 2 or APART * h
    slots = []
    for i in range(len(fabric.rings)):
        share, front = _places(fabric.place(i), i, form, along_chain=piece.start is Start.CHAIN)
        flat = form.row_at(i, np.abs(share))
        off = apart * (1 - np.abs(share) ** 4) * np.where(front, -1.0, 1.0)
        slots.append(np.column_stack([np.sign(share) * flat[:, 0], off, flat[:, 1]]))
    nodes, places = np.concatenate(fabric.rings), np.concatenate(slots)
    sums = np.stack([np.bincount(nodes, places[:, axis], fabric.node_count) for axis in range(3)], axis=1)
    strain = form.strain
    return StuffedForm(
        fabric=fabric,
        points=sums / np.bincount(nodes, minlength=fabric.node_count)[:, None],
        stretch=np.zeros(fabric.node_count),
        outline=form.points,
        course_stretch=form.course_stretch,
        wale_stretch=strain.mean(axis=1),
        mean_stretch=float(strain.mean()) / 2,
        volume=0.0,
        pressure=0.0,
        alike=False,
        iterations=form.iterations,
    )


def folded_sizes(form: StuffedForm) -> tuple[float, float]:
    """Return width and height of a folded form, from fold to fold and from its lowest to its highest. [mm]"""
    up = np.concatenate([form.outline[:, 1], form.points[:, 2]])
    return float(2 * form.outline[:, 0].max()), float(np.ptp(up))


def _places(place: Floats, row: int, form: FoldedForm, *, along_chain: bool) -> tuple[Floats, Bools]:
    """Return where slots lie along a row, -1 and 1 at the folds, and whether in the front layer."""
    at = np.mod(place, 1.0)
    if not along_chain:
        front = at < 0.5
        return np.asarray(np.where(front, 1 - 4 * at, 4 * at - 3)), front
    # quarters of a round along a chain: the first end, a side, the other end, the other side
    side = form.fabric.side
    share = side / max(float(form.fabric.rows[row]), side)
    known = np.array([share, 1.0, share, -share, -1.0, -share, share])
    quarters = np.array([0.0, 0.5, 1.0, 2.0, 2.5, 3.0, 4.0])
    return np.asarray(np.interp(4 * at, quarters, known)), (at > 0.125) & (at < 0.625)
