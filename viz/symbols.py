"""The symbols of charts, one a stitch, as strokes in a box one high: the foot at (0, 0), the head above it.

They are those of JIS L 0201 (letter symbols for knitting and crochet) and of the Craft Yarn Council's table
of crochet chart symbols, which have the same core: chain an open oval, slip stitch a filled dot, single
crochet a cross, half double crochet a T, double crochet a T with a bar, an increase its stitches from one
foot, a decrease its stitches to one head. From memory: neither was re-read.
"""

from __future__ import annotations

from dataclasses import dataclass

from solver.rounds import Stitch

Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Symbol:
    """A symbol.

    Attributes
    ----------
    strokes : tuple of pairs of places
        Straight lines.
    dot, oval : bool
        A filled dot, or an open oval, about the middle of the box.
    """

    strokes: tuple[tuple[Place, Place], ...] = ()
    dot: bool = False
    oval: bool = False


def _cross(x: float, y: float, r: float) -> tuple[tuple[Place, Place], ...]:
    return (((x - r, y - r), (x + r, y + r)), ((x - r, y + r), (x + r, y - r)))


def _tall(foot: float, head: float, *, bars: int, capped: bool = True) -> tuple[tuple[Place, Place], ...]:
    """Return one leg with its cap, and so many short bars across it."""
    leg = ((foot, 0.08), (head, 0.92))
    cap = (((head - 0.22, 0.92), (head + 0.22, 0.92)),) if capped else ()
    middle = (foot + head) / 2
    across = (((middle - 0.16, 0.42), (middle + 0.16, 0.58)),) if bars else ()
    return (leg, *cap, *across)


def _fan(heads: tuple[float, ...]) -> tuple[tuple[Place, Place], ...]:
    """Return crosses that meet below."""
    return tuple(stroke for x in heads for stroke in (((0.0, 0.05), (x, 0.62)), *_cross(x, 0.68, 0.2)))


def _gathered(feet: tuple[float, ...]) -> tuple[tuple[Place, Place], ...]:
    """Return crosses that meet above."""
    return tuple(stroke for x in feet for stroke in (((0.0, 0.98), (x, 0.42)), *_cross(x, 0.34, 0.18)))


CHAIN = Symbol(oval=True)

SYMBOLS = {
    Stitch.SC: Symbol(_cross(0.0, 0.5, 0.26)),
    Stitch.INC: Symbol(_fan((-0.42, 0.42))),
    Stitch.INC3: Symbol(_fan((-0.7, 0.0, 0.7))),
    Stitch.DEC: Symbol(_gathered((-0.28, 0.28))),
    Stitch.DEC3: Symbol(_gathered((-0.44, 0.0, 0.44))),
    Stitch.SLST: Symbol(dot=True),
    Stitch.HDC: Symbol(_tall(0.0, 0.0, bars=0)),
    Stitch.HDC_INC: Symbol((*_tall(0.0, -0.4, bars=0), *_tall(0.0, 0.4, bars=0))),
    Stitch.HDC_DEC: Symbol((*_tall(-0.3, 0.0, bars=0), *_tall(0.3, 0.0, bars=0, capped=False))),
    Stitch.DC: Symbol(_tall(0.0, 0.0, bars=1)),
    Stitch.DC_INC: Symbol((*_tall(0.0, -0.4, bars=1), *_tall(0.0, 0.4, bars=1))),
    Stitch.DC_DEC: Symbol((*_tall(-0.3, 0.0, bars=1), *_tall(0.3, 0.0, bars=1, capped=False))),
}
"""The symbol of each stitch."""
