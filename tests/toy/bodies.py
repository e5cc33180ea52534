"""Exact bodies as surfaces of a part: their nodes lie where geometry says, not where a solve does."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from solver.arrays import Floats
from solver.form.fabric import lofted, stitch_fabric
from solver.form.stuffed import StuffedForm, stuffed_form
from solver.rounds import Finish, Piece, Round, Start
from solver.rounds.shaping import shaped_piece
from solver.toy.surface import Surface
from solver.wanted.gauge import Gauge

GAUGE = Gauge(stitch_width=4.0, row_height=4.0)


def _exact(piece: Piece, radius: Floats, height: Floats, *, w: float, h: float) -> StuffedForm:
    fabric = stitch_fabric(piece, stitch_width=w, row_height=h)
    form = stuffed_form(piece, replace(GAUGE, stitch_width=w, row_height=h), pressure=1e-3, as_rings=True)
    points = lofted(fabric, radius=radius, height=height)
    return replace(form, points=points, outline=np.column_stack([radius, height]))


def ball(radius: float, *, rows: int = 40) -> tuple[Surface, float]:
    """Return an exact ball that stands on its ring, and its stitch width."""
    polar = np.pi * np.arange(rows + 1) / rows
    h = np.pi * radius / rows
    counts = np.maximum(6, np.round(2 * np.pi * radius * np.sin(polar[1:-1]) / h)).astype(int)
    for i in range(1, len(counts)):  # no round may more than double or halve
        counts[i] = min(counts[i], 2 * counts[i - 1])
    for i in range(len(counts) - 2, -1, -1):
        counts[i] = min(counts[i], 2 * counts[i + 1])
    piece = shaped_piece(counts.tolist(), start=Start.RING, finish=Finish.CINCHED)
    form = _exact(piece, radius * np.sin(polar), radius - radius * np.cos(polar), w=h, h=h)
    return Surface.of(form, edge="start"), h


def tube(radius: float, height: float, *, rows: int = 30) -> tuple[Surface, float]:
    """Return an exact upright cylinder, open at both ends, and its stitch width."""
    h = height / rows
    n = round(2 * np.pi * radius / h)
    piece = Piece(Start.OPEN, n, (Round.plain(n),) * rows, Finish.OPEN)
    form = _exact(piece, np.full(rows + 1, radius), np.linspace(0, height, rows + 1), w=h, h=h)
    return Surface.of(form, edge="start"), h


def cone(radius: float, height: float) -> tuple[Floats, Floats]:
    """Return radius and height of the rings of a cone with a flat base, tip up, finely."""
    base = np.linspace(0, radius, 30)
    side = np.linspace(0, 1, 60)[1:]
    return np.append(base, radius * (1 - side)), np.append(np.zeros(30), height * side)
