"""The chart of a part on its sheet: which rounds it shows, how to read it, and a key to its symbols."""

from __future__ import annotations

from typing import TYPE_CHECKING

from solver.rounds import Piece, Start
from solver.sentences.say import sentences
from solver.sheet.model import Block, Copy, Heading, Picture, Points

if TYPE_CHECKING:
    from collections.abc import Mapping

    from solver.sentences.say import Sentences

MOST = 6
"""Rounds of a start that are charted; a start that grows further goes on alike."""


def chart_rounds(piece: Piece) -> int:
    """Return how many first rounds are charted: while they grow, at most `MOST`; 0 where none need it."""
    if piece.start in (Start.OPEN, Start.ROWS):
        return 0
    growing = 1
    for below, this in zip(piece.rounds, piece.rounds[1:], strict=False):
        if this.decreases or this.count <= below.count or growing == MOST:
            break
        growing += 1
    return growing if growing > 1 else 0


def chart_blocks(piece: Piece, data: bytes, copy: Copy, *, name: str, last: int) -> tuple[Block, ...]:
    """Return a chart of the first rounds with its words.

    Parameters
    ----------
    piece : Piece
    data : bytes
        The drawing. [SVG]
    copy : Copy
    name : str
        Of the part.
    last : int
        The last round that it shows.
    """
    say = sentences(copy.terms)
    counts = ", ".join(str(count) for count in piece.counts[:last])
    words = say.say("chart_words", name=name, first=1, last=last, counts=counts)
    way = say.say("chart_left" if copy.left else "chart_right")
    return (
        Heading(f"{say.say('chart')}: {name}", 3),
        Picture(data, "svg", words, 0.75, tall=78.0),
        Points((way, say.say("chart_key", symbols="; ".join(key(piece, say, 1, last))))),
    )


def colour_blocks(
    piece: Piece, data: bytes, copy: Copy, *, name: str, signs: Mapping[str, str]
) -> tuple[Block, ...]:
    """Return a chart of all rounds in their colours with its words; `signs` are the letters of colours."""
    say = sentences(copy.terms)
    counts = ", ".join(map(str, piece.counts))
    last = len(piece.rounds)
    words = say.say("chart_words", name=name, first=1, last=last, counts=counts)
    way = say.say("chart_colors_left" if copy.left else "chart_colors_right")
    yarns = "; ".join(f"{sign or '-'}: {colour}" for colour, sign in signs.items())
    symbols = say.say("chart_key", symbols="; ".join(key(piece, say, 1, last)))
    return (
        Heading(f"{say.say('chart')}: {name}, {yarns}", 3),
        Picture(data, "svg", words, 1.0),
        Points((way, symbols)),
    )


def key(piece: Piece, say: Sentences, first: int, last: int) -> tuple[str, ...]:
    """Return what each symbol that is used looks like and means."""
    used = dict.fromkeys(stitch for this in piece.rounds[first - 1 : last] for stitch in this.stitches)
    names = ["ch"] if piece.start is Start.CHAIN and first == 1 else []
    return tuple(say.within(f"symbol_{name}") for name in [*names, *used])
