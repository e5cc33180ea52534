"""An edge laid on a surface: the curve that looks like it from outside and is as long on the surface."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np

from solver.arrays import Floats, frozen
from solver.toy.cast import Frame, Lines
from solver.toy.surface import Surface

SAMPLES = 96
"""Points of a laid edge."""
CLOSE = 1e-5
"""Relative error of its length."""
ROUGH, ROUGHLY = 4, 1e-3
"""First the scale is found with every fourth point, to this relative error of the length."""
STEPS = 60
"""Trials of the scale, of which it takes about ten."""


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """An edge on a surface.

    Attributes
    ----------
    points : (k, 3) float
        Along the edge, in the surface's coordinates; a closed one does not come back to its first. [mm]
    rings, turns : (k,) float
        Their places on the surface.
    length : float
        Of the curve. [mm]
    scale : float
        Of the edge as seen along the axis, against the edge by itself.
    closed : bool
    """

    points: Floats
    rings: Floats
    turns: Floats
    length: float
    scale: float
    closed: bool

    def __post_init__(self) -> None:
        for name in ("points", "rings", "turns"):
            object.__setattr__(self, name, frozen(getattr(self, name)))

    def fits(self, wanted: float, *, within: float) -> bool:
        """Return whether its length is the wanted one but for a share."""
        return abs(self.length / wanted - 1) <= within


def laid(
    surface: Surface, frame: Frame, shape: Floats, *, length: float, closed: bool = True, smooth: bool = True
) -> Laid | None:
    """Return the edge of a shape, so scaled that it is as long as it should be on the surface.

    Parameters
    ----------
    surface : Surface
    frame : Frame
        Origin on the surface, axis out of it.
    shape : (k, 2) float
        The edge as seen along the axis, to the left and to the back. [mm]
    length : float
        Wanted on the surface. [mm]
    closed : bool
    smooth : bool
        Whether a closed edge has no corners.

    Returns
    -------
    Laid or None
        None where the surface has no room: the edge would go over an end or round a side.
    """
    own = _length(np.column_stack([shape, np.zeros(len(shape))]), closed=closed, smooth=smooth)
    most = length / own  # a curve is never shorter than its view
    lines = Lines(surface, frame, reach=float(np.abs(shape).max()) * most)
    step = ROUGH if closed else ROUGH // 2
    trial = partial(_scale, lines, length=length, closed=closed, smooth=smooth)
    near = trial(shape[::step], bracket=(0.0, most), close=ROUGHLY)
    if near is None:
        return None
    bracket = ((1 - 10 * ROUGHLY) * near, (1 + 10 * ROUGHLY) * near)
    scale = trial(shape, bracket=bracket, close=CLOSE)
    if scale is None:
        scale = trial(shape, bracket=(0.0, most), close=CLOSE)
    if scale is None:
        return None
    depth, ring, turn = lines.meet(scale * shape)
    points = np.column_stack([scale * shape, depth])
    own = _length(points, closed=closed, smooth=smooth)
    return Laid(frame.inside(points), ring, turn, own, scale, closed)


def _scale(
    lines: Lines,
    shape: Floats,
    *,
    length: float,
    bracket: tuple[float, float],
    closed: bool,
    smooth: bool,
    close: float,
) -> float | None:
    """Return the scale at which a shape is so long on the surface; None if there is none.

    Regula falsi with halved ends (the Illinois rule; from memory); where a line misses, by halves.
    """

    def beyond(scale: float) -> float:
        depth, _, _ = lines.meet(scale * shape)
        told = _length(np.column_stack([scale * shape, depth]), closed=closed, smooth=smooth) - length
        return told if np.isfinite(told) else np.inf

    low, high = bracket
    short, over = (beyond(low) if low else -length), beyond(high)
    for scale, error in ((low, short), (high, over)):
        if abs(error) <= close * length:
            return scale
    if short > 0 or over < 0:
        return None
    for _ in range(STEPS):
        by_line = low - short * (high - low) / (over - short) if np.isfinite(over) else np.nan
        scale = by_line if low < by_line < high else (low + high) / 2
        error = beyond(scale)
        if abs(error) <= close * length:
            return scale
        if error > 0:
            high, over, short = scale, error, short / 2
        else:
            low, short, over = scale, error, over / 2
    return None


def pressed(surface: Surface, frame: Frame, shape: Floats) -> Laid | None:
    """Return the edge of a shape laid on as it is, however long there; None where it goes over an end."""
    lines = Lines(surface, frame, reach=float(np.abs(shape).max()))
    depth, ring, turn = lines.meet(shape)
    if np.isnan(depth).any():
        return None
    points = np.column_stack([shape, depth])
    return Laid(frame.inside(points), ring, turn, _length(points, closed=True), 1.0, closed=True)


def along_round(surface: Surface, *, ring: int, first: float, last: float) -> Laid:
    """Return the line along a round's edge between two turns."""
    turns = np.linspace(first, last, SAMPLES // 2 + 1)
    rings = np.full(len(turns), float(ring))
    points = surface.at(rings, turns)
    return Laid(points, rings, turns, _length(points, closed=False), 1.0, closed=False)


def whole_ring(surface: Surface, *, ring: int, first: float, sense: float) -> Laid:
    """Return a whole ring as an edge, from a turn on, one way round (1 or -1)."""
    turns = first + sense * np.arange(SAMPLES) / SAMPLES
    rings = np.full(SAMPLES, float(ring))
    points = surface.at(rings, turns)
    return Laid(points, rings, turns, _length(points, closed=True), 1.0, closed=True)


def _length(points: Floats, *, closed: bool, smooth: bool = True) -> float:
    """Return the length of a curve through points, arcs between them counted by Richardson's rule. [mm]

    With chords over one and over two steps the error of the second order falls out; not where it has corners.
    """
    ahead = np.roll(points, -1, axis=0) - points
    twice = np.roll(points, -2, axis=0) - points
    one, two = np.linalg.norm(ahead, axis=1), np.linalg.norm(twice, axis=1)
    if closed:
        return float((4 * one.sum() - two.sum() / 2) / 3 if smooth else one.sum())
    return float(one[:-1].sum())
