"""Charts: rounds as symbols, from the middle out, along a chain, or unrolled as rows.

Called as::

    figure = draw_chart(piece, first=1, last=6)
    save_figure(figure, path)
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.collections import PolyCollection
from matplotlib.patches import Circle, Ellipse

from solver.errors import InputError, Problem
from solver.rounds import Piece, Start
from viz.colours import yarn_rgb
from viz.figure import INK, SIGNAL, in_one, new_figure
from viz.symbols import CHAIN, SYMBOLS, Symbol

if TYPE_CHECKING:
    from matplotlib.figure import Figure

WIDEST, TALLEST = 7.2, 9.5
"""Of a chart. [inches]"""
CELL = 0.26
"""A stitch is drawn so wide where there is room. [inches]"""
APART = 1.15
"""From round to round, in stitches."""
LEAST_SPACE = 0.95
"""Of a stitch along its round."""
PAD = 1.2
PAPER = 0.45
"""Share of white in the colours behind symbols."""

Spot = tuple[float, float, float, float]
"""Foot of a symbol (x, y), the turn of its upright against the picture's [radians], and its width."""
Way = Callable[[float], Spot]
"""From a place in stitches of a round to its spot."""


def goes_round(piece: Piece, first: int, last: int) -> bool:
    """Tell whether rounds grow outward, so that they are drawn from the middle out, and not as rows."""
    counts = piece.counts[first - 1 : last]
    grows = all(b > a for a, b in pairwise(counts)) and piece.start is not Start.ROWS
    return grows and not any(this.decreases for this in piece.rounds[first - 1 : last])


def draw_chart(
    piece: Piece,
    *,
    first: int = 1,
    last: int | None = None,
    rows: bool | None = None,
    left: bool = False,
    colours: Sequence[Sequence[str]] = (),
    shades: Mapping[str, str] = MappingProxyType({}),
    moved: Sequence[float] = (),
) -> Figure:
    """Draw rounds as a chart.

    Parameters
    ----------
    piece : Piece
    first, last : int
        Rounds; left out: all.
    rows : bool, optional
        Unrolled; left out: where the rounds do not grow outward.
    left : bool
        Mirrored, for the left hand.
    colours : sequence of sequence of str
        For each round the colour of each stitch: behind the symbols, and by a letter (`letters`).
    shades : mapping of str to str
        How each is drawn, where its name doesn't tell.
    moved : sequence of float
        For each round, by how many stitches the spiral has moved its beginning on; for rows.

    Raises
    ------
    InputError
        If the piece has no such rounds.
    """
    most = len(piece.rounds)
    last = most if last is None else last
    if not 1 <= first <= last <= most:
        rule = f"a chart shows rounds from 1 to {most}, the lower number first"
        raise InputError(Problem(rule, got=f"{first} to {last}"))
    rows = not goes_round(piece, first, last) if rows is None else rows
    numbers = range(first, last + 1)
    signs = letters(colours)
    paths = list(_rows(piece, numbers, moved) if rows else _outward(piece, numbers))
    canvas = _Canvas(left=left)
    if not rows and first == 1:
        _middle(canvas, piece)
    for number, path in zip(numbers, paths, strict=True):
        at = 0
        for k, name in enumerate(colours[number - 1] if colours else ()):
            canvas.fill(shades.get(name, name), signs[name], path(k + 0.5))
        for stitch in piece.rounds[number - 1].stitches:
            canvas.put(SYMBOLS[stitch], path(at + stitch.makes / 2))
            at += stitch.makes
        corners = piece.corners()
        start = corners[number - 1][0] if corners and not rows else 0.0
        canvas.number(str(number), path(-0.6 if rows else start), is_start=not rows)
        if rows:
            canvas.number(f"({at})", path(at + 0.9), is_start=False)
    return canvas.figure()


def letters(colours: Sequence[Sequence[str]]) -> dict[str, str]:
    """Return the letter that each colour of a chart is told by: none for the most frequent, then a, b, c."""
    names = [name for own in colours for name in own]
    often = sorted(dict.fromkeys(names), key=lambda name: -names.count(name))
    return {name: chr(ord("a") + k - 1) if 0 < k <= 26 else "" for k, name in enumerate(often)}


class _Canvas:
    """Collects what is drawn, in stitches, and makes the figure of it."""

    def __init__(self, *, left: bool) -> None:
        self._hand = -1.0 if left else 1.0
        self._lines: list[list[tuple[float, float]]] = []
        self._dots: list[tuple[float, float]] = []
        self._ovals: list[tuple[float, float, float]] = []
        self._rings: list[tuple[float, float, float]] = []
        self._words: list[tuple[float, float, str, bool]] = []
        self._cells: dict[str, list[list[tuple[float, float]]]] = {}
        self._letters: list[tuple[float, float, str]] = []

    def fill(self, colour: str, letter: str, spot: Spot) -> None:
        x, y, turn, wide = spot
        cell = (x, y, turn, max(wide, 1.0) * 1.02)
        corners = ((-0.5, -0.08), (0.5, -0.08), (0.5, 1.07), (-0.5, 1.07))
        self._cells.setdefault(colour, []).append([self._at(cell, *corner) for corner in corners])
        if letter:
            self._letters.append((*self._at(spot, 0.3, 0.1), letter))

    def _at(self, spot: Spot, x: float, y: float) -> tuple[float, float]:
        left, low, turn, wide = spot
        across, up = x * wide, y
        c, s = np.cos(turn), np.sin(turn)
        return self._hand * (left + c * across - s * up), low + s * across + c * up

    def put(self, symbol: Symbol, spot: Spot) -> None:
        self._lines += [[self._at(spot, *a), self._at(spot, *b)] for a, b in symbol.strokes]
        if symbol.dot:
            self._dots.append(self._at(spot, 0.0, 0.5))
        if symbol.oval:
            x, y = self._at(spot, 0.0, 0.5)
            self._ovals.append((x, y, float(np.degrees(self._hand * spot[2]))))

    def ring(self, radius: float) -> None:
        self._rings.append((0.0, 0.0, radius))

    def number(self, text: str, spot: Spot, *, is_start: bool) -> None:
        self._words.append((*self._at(spot, 0.0, 0.5), text, is_start))

    def figure(self) -> Figure:
        spots = [*(place for line in self._lines for place in line), *self._dots]
        spots += [(x, y) for x, y, _ in self._ovals] + [(x, y) for x, y, _, _ in self._words]
        low, high = np.min(spots, axis=0) - PAD, np.max(spots, axis=0) + PAD
        wide, tall = (high - low).tolist()
        cell = min(CELL, WIDEST / wide, TALLEST / tall)
        figure = new_figure(wide * cell, tall * cell)
        axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
        axes.set(xlim=(low[0], high[0]), ylim=(low[1], high[1]), aspect="equal")
        axes.axis("off")
        thick = max(0.6, 5.0 * cell)
        for colour, cells in self._cells.items():
            shade = PAPER + (1 - PAPER) * np.array(yarn_rgb(colour))  # pale, so that symbols show
            axes.add_collection(PolyCollection(cells, facecolors=[shade], edgecolors="white", linewidths=0.3))
        for x, y, letter in self._letters:
            axes.text(x, y, letter, size=max(3.5, 72 * cell * 0.32), ha="center", va="center", color=INK)
        axes.plot(*in_one(self._lines), color=INK, linewidth=thick, solid_capstyle="round")
        for x, y in self._dots:
            axes.add_patch(Circle((x, y), 0.18, facecolor=INK, edgecolor=INK))
        for x, y, turn in self._ovals:
            axes.add_patch(
                Ellipse((x, y), 0.86, 0.44, angle=turn, facecolor="none", edgecolor=INK, linewidth=thick)
            )
        for x, y, radius in self._rings:
            axes.add_patch(Circle((x, y), radius, facecolor="none", edgecolor=INK, linewidth=thick))
        size = max(5.0, 72 * cell * 0.5)
        for x, y, text, is_start in self._words:
            box = {"boxstyle": "round,pad=0.12", "facecolor": "white", "edgecolor": SIGNAL, "linewidth": 0.6}
            drawn = axes.text(x, y, text, size=size, weight="bold", ha="center", va="center", color=INK)
            if is_start:
                drawn.set(color=SIGNAL, bbox=box)
        return figure


def _middle(canvas: _Canvas, piece: Piece) -> None:
    """Draw what round 1 is worked into: a ring, or the chain with the one that is skipped."""
    if piece.start is not Start.CHAIN:
        canvas.ring(0.4)
        return
    end = (piece.side + 1) / 2
    for x in np.linspace(end, -end, max(piece.foundation - 1, 1)):
        canvas.put(CHAIN, (float(x), -0.5, 0.0, 1.0))


def _outward(piece: Piece, numbers: Sequence[int]) -> Iterator[Way]:
    """Yield the path of each round from the middle out, against the clock from below."""
    half = (piece.side + 1) / 2 if piece.start is Start.CHAIN and piece.foundation > 2 else 0.0
    straight = 4 * half
    radius = 0.55 - APART
    corners = piece.corners()
    for number in numbers:
        count = piece.counts[number - 1]
        needed = (count * LEAST_SPACE + 0.9 - straight) / (2 * np.pi) - 0.5
        radius = max(radius + APART, needed)
        if half:
            yield _along_stadium(corners[number - 1], count, half, radius)
        else:
            yield _along_circle(count, radius)


def _along_circle(count: int, radius: float) -> Way:
    gap = 0.45 / (radius + 0.5)  # the number stands here

    def path(at: float) -> Spot:
        turn = 0.0 if at == 0 else gap + (2 * np.pi - 2 * gap) * at / count
        angle = turn - np.pi / 2
        wide = min(1.3, (2 * np.pi - 2 * gap) * (radius + 0.5) / count)
        return float(radius * np.cos(angle)), float(radius * np.sin(angle)), float(angle - np.pi / 2), wide

    return path


def _along_stadium(corners: Sequence[float], count: int, half: float, radius: float) -> Way:
    """Return the path round a chain: the end at the hook, to the right, then against the clock."""
    ends = (*corners, corners[0] + count)
    arc, side = np.pi * (radius + 0.5), 2 * half
    lengths = (arc, side, arc, side)

    def path(at: float) -> Spot:
        place = at if at >= ends[0] else at + count
        place = place if place <= ends[4] else place - count
        leg = next(i for i in range(4) if place <= ends[i + 1] + 1e-9)
        stitches = max(ends[leg + 1] - ends[leg], 1e-9)
        share = (place - ends[leg]) / stitches
        wide = float(min(1.3, lengths[leg] / max(stitches, 1.0)))
        if at == ends[0]:
            return half - 0.4, -radius, float(np.pi), wide
        if leg in (0, 2):
            angle = np.pi * (share - 0.5 if leg == 0 else share + 0.5)
            middle = half if leg == 0 else -half
            x, y = middle + radius * np.cos(angle), radius * np.sin(angle)
            return float(x), float(y), float(angle - np.pi / 2), wide
        x = half - share * side if leg == 1 else -half + share * (side - 1.0)  # the number stands behind
        return float(x), radius if leg == 1 else -radius, 0.0 if leg == 1 else float(np.pi), wide

    return path


def _rows(piece: Piece, numbers: Sequence[int], moved: Sequence[float] = ()) -> Iterator[Way]:
    """Yield each round as a row, the first lowest, worked from right to left; turned rows back and forth."""
    for row, number in enumerate(numbers):
        right, way = piece.counts[number - 1] / 2, 1.0
        if piece.start is Start.ROWS and number % 2 == 0:  # turned, and worked back from the left
            right, way = -right, -1.0
        yield lambda at, right=right, way=way, low=row * APART: (right - way * at, low, 0.0, 1.0)  # type: ignore[misc]
