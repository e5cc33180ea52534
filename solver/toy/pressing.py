"""Parts that are laid on and sewn down all round: where they meet what they lie on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats
from solver.form.flat_rows import edge_sides
from solver.form.skin import FINE
from solver.rounds import Finish, Start
from solver.toy.cast import Frame, Lines
from solver.toy.laying import SAMPLES
from solver.toy.surface import Surface

if TYPE_CHECKING:
    from solver.rounds import Piece

SUNK = 0.5
"""Depth to which a pressed part sinks in, in row heights. ASSUMED."""
TIP = 2
"""Stitches of a last row that is a tip, pinned in one place."""


def section(surface: Surface, row: float) -> Floats:
    """Return where a part that is laid on meets the surface, (SAMPLES, 3), upright. [mm]

    Of a flat piece its edge, else a low section. Of rows four sides of as many points each: up the side where
    row 1 begins, along the last row, down the other side and back along the chain.

    Parameters
    ----------
    surface : Surface
        Of the part by itself.
    row : float
        Height of a row. [mm]
    """
    form = surface.form
    if form.piece.start is Start.ROWS:
        return surface.as_standing(_rows_edge(surface))
    if form.is_flat:
        return np.asarray(surface.table[surface.rounds, :: FINE // SAMPLES])
    heights = surface.table[..., 2].mean(axis=1)
    depth = min(SUNK * row, surface.height / 4)
    low = heights if heights[0] < heights[-1] else heights[::-1]
    step = int(np.argmax(low > depth))
    share = (depth - low[step - 1]) / (low[step] - low[step - 1]) if step else 0.0
    ring = max(step - 1, 0) + share
    if heights[0] >= heights[-1]:
        ring = len(heights) - 1 - ring
    return surface.at(np.full(SAMPLES, ring), np.arange(SAMPLES) / SAMPLES)


def _rows_edge(surface: Surface) -> Floats:
    """Return the edge of rows as solved, its four sides at even steps each. [mm]"""
    right, left = edge_sides(surface.form)
    sides = (right, np.array([right[-1], left[-1]]), left[::-1], np.array([left[0], right[0]]))
    edge = np.concatenate([_evenly(side, SAMPLES // 4) for side in sides])
    return np.column_stack([edge, np.zeros(len(edge))])


def _evenly(line: Floats, parts: int) -> Floats:
    """Return the beginnings of so many equal parts of a line."""
    known = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1)))
    at = known[-1] * np.arange(parts) / parts
    return np.stack([np.interp(at, known, line[:, axis]) for axis in (0, 1)], axis=1)


def draped(under: Surface, seated: Frame, flat: Floats, *, lift: float, scale: float) -> Floats:
    """Return the nodes of a flat piece laid over what it is sewn down on, in its frame. [mm]

    Parameters
    ----------
    under : Surface
    seated : Frame
    flat : (n, 3) float
        The piece in its plane. [mm]
    lift : float
        How high it lies over the surface. [mm]
    scale : float
        Of the piece as seen along the axis, at which its edge keeps its length.
    """
    seen = scale * flat[:, :2]
    lines = Lines(under, seated, reach=float(np.abs(seen).max()) + 1)
    depth, _, _ = lines.meet(seen)
    lowest = np.where(np.isnan(depth), 0.0, depth)
    return np.column_stack([seen, flat[:, 2] + lowest + lift])


def pin_names(piece: Piece) -> tuple[str, ...]:
    """Return names of sentences for each eighth of the edge of a piece in rows, from where row 1 begins."""
    names = ("begins", "halfway", "top", "last", "other_top", "other_halfway", "ends", "chain")
    fold = {"last": "fold"} if piece.finish is Finish.SEAMED else {}
    return tuple(f"pin_{fold.get(name, name)}" for name in names)


def pins(piece: Piece) -> tuple[tuple[int, str], ...]:
    """Return which eighths of the edge of a piece in rows are pinned, and their names; a tip is one."""
    names = pin_names(piece)
    if piece.finish is Finish.SEAMED or piece.counts[-1] > TIP:
        return tuple(enumerate(names))
    return tuple((i, "pin_tip" if i == 3 else name) for i, name in enumerate(names) if i not in (2, 4))
