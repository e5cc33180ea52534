"""The result of a part as plain text: one column, nothing told by layout or colour alone."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import groupby
from textwrap import wrap
from typing import TYPE_CHECKING

from solver.cli.paragraphs import paragraph
from solver.notation.linebreaks import WIDTH, bound, broken
from solver.notation.words import words
from solver.notation.writer import LineKind, standing_notes, write_rounds
from solver.notes import About
from solver.rounds import Start
from solver.units import in_both, in_mm
from solver.wanted.gauge import PUBLISHED

if TYPE_CHECKING:
    from solver.notation.writer import Line
    from solver.solving.solved import Solved
    from solver.wanted.gauge import Gauge


NEW = (About.LIMIT, About.FIT, About.FORM, About.PLAIN)
"""What the notes of a short report are about; the others are the same for many parts."""


def report(solved: Solved, *, spelled: bool = False, full: bool = False) -> str:
    """Return a solved part for its maker: its rounds, its size, what it takes, and what is new to read.

    Parameters
    ----------
    solved : Solved
    spelled : bool
        Write every round out, without brackets and abbreviations.
    full : bool
        Tell everything: the key to the writing, every size, what amounts and form rest on.
    """
    part, terms, colours = solved.part, solved.part.work.terms, solved.colours
    lines = [*wrap(tiny_part(solved), WIDTH), part.title]
    in_rows = part.start is Start.ROWS
    lines += wrap(gauge_line(part.gauge, words(terms)["gauge"].one, in_rows=in_rows), WIDTH)
    if terms == "UK" and not full:  # a double crochet is another stitch to most readers of English
        lines += wrap(words(terms).say("notes", "terms"), WIDTH)
    if part.work.joined and not full:  # else they run on as a spiral, as toys do
        lines += wrap(words(terms).say("notes", "joined"), WIDTH)
    lines.append("")
    for line in write_rounds(
        solved.piece, terms=terms, spelled=spelled, stuffed=part.is_stuffed, colours=colours
    ):
        lines += wrapped(line)
    lines += _in_full(solved, spelled=spelled) if full else _in_short(solved)
    return "\n".join(lines)


def _in_short(solved: Solved) -> Iterator[str]:
    """Yield size and materials, then what is new to read, in as few lines as they need."""
    size, *more = size_lines(solved)
    yield ""
    for told in (f"{_size_heading(solved)}: {size}", *more, *solved.materials.in_short()):
        yield from paragraph(told, hanging=2)
    off = sizes_off(solved)
    new = [
        f"Note: {short}" if about is not About.PLAIN else short
        for note in solved.notes
        if (about := getattr(note, "about", About.FORM)) in NEW
        and (off or about is not About.FIT)
        and (short := getattr(note, "short", note))
    ]
    new += [f"Caution: {getattr(caution, 'short', caution)}" for caution in solved.cautions]
    if len(new) > APART:
        yield ""
    for told in new:
        yield from paragraph(told, hanging=2)


APART = 2
"""As many notes and cautions follow the sizes at once; more stand apart."""


def _in_full(solved: Solved, *, spelled: bool) -> Iterator[str]:
    """Yield everything, each kind under its heading."""
    terms = solved.part.work.terms
    for heading, items in (
        (_size_heading(solved), sizes(solved)),
        ("Materials", solved.materials.sentences()),
        (
            "How to read it",
            standing_notes(
                solved.piece,
                terms=terms,
                spelled=spelled,
                colours=solved.colours,
                joined=solved.part.work.joined,
            ),
        ),
        ("Notes", solved.notes),
        ("Cautions", solved.cautions),
    ):
        told = list(items)
        if told:
            yield from ("", heading)
            for item in told:
                yield from paragraph(item, first="- ", hanging=2)


def _size_heading(solved: Solved) -> str:
    if solved.form.is_folded:
        return "Size folded flat, not stuffed"
    return "Stuffed size" if solved.part.is_stuffed else "Size"


TINY = 15.0
"""A stuffed part whose greatest size is less is asked about: mm may not be what was meant. [mm]"""


def tiny_part(solved: Solved) -> str:
    """Return the question whether so small a part was meant; empty for others."""
    greatest = max(size for name, _, size in size_table(solved) if name in ("length", "width", "height"))
    if greatest >= TINY:
        return ""
    return (
        f"Is that what you meant? This part is {in_mm(greatest)} in all. A bare number is in millimetres; "
        'write "8 cm" or "3 in" for other units.'
    )


def size_lines(solved: Solved) -> Iterator[str]:
    """Yield what the part comes out at, what that is worth, and what it was drawn as where that differs."""
    error = solved.part.gauge.error
    table = {name: (wanted, got) for name, wanted, got in size_table(solved) if name != "volume"}
    told = _alike_once(
        [(in_mm(got), in_both(got), _WORDS[name]) for name, (_, got) in table.items() if name != "girth"]
    )
    greatest = max(got for name, (_, got) in table.items() if name != "girth")
    worth = f", give or take {max(round(error * greatest), 1)} mm"
    if not solved.part.is_stuffed:
        worth = ""
    elif error == PUBLISHED:
        worth += f" (published toys: {error:.0%})"
    yield f"{', '.join(told)}{worth}."
    if off := sizes_off(solved):
        yield f"Drawn {' and '.join(off)}."


def _alike_once(sizes: list[tuple[str, str, str]]) -> list[str]:
    """Return sizes in words, those that follow each other and are the same in mm told once."""
    told: list[str] = []
    for _, group in groupby(sizes, key=lambda size: size[0]):
        same = list(group)
        told.append(f"{same[0][1]} {' and '.join(word for *_, word in same)}")
    return told


def sizes_off(solved: Solved) -> list[str]:
    """Return the drawn sizes that the part does not come out at, in words."""
    half = solved.part.gauge.row_height / 2
    return [
        f"{in_mm(wanted)} {_WORDS[name]}"
        for name, wanted, got in size_table(solved)
        if name in ("length", "width", "height") and abs(got - wanted) > max(AS_DRAWN * wanted, half)
    ]


AS_DRAWN = 0.015
"""Share of a size by which it may differ from the drawn one, or half a row, before that is told."""

_WORDS = {"height": "high", "width": "wide", "length": "long", "girth": "round"}


_INSTRUCTION = re.compile("(?<![,:]) ")


def wrapped(line: Line) -> list[str]:
    """Return a line in lines that fit; a round is broken between instructions, so that it reads back."""
    if line.kind is not LineKind.ROUND:
        return wrap(line.text, WIDTH, subsequent_indent="    ")
    return broken(bound(line.text, _INSTRUCTION))


def sizes(solved: Solved) -> Iterator[str]:
    """Yield the sizes that the part comes out at beside the wanted ones, as sentences."""
    along_chain = solved.got.length is not None
    for name, wanted, got in size_table(solved):
        if name == "volume":
            yield f"Volume: {got:.0f} ml; wanted {wanted:.0f} ml."
        else:
            told = "Girth seen from above" if name == "girth" and along_chain else name.capitalize()
            yield f"{told}: {in_both(got)}; wanted {in_both(wanted)}."
    if solved.greatest < solved.part.gauge.stitch_width / 4:
        yield "It is as drawn: nowhere more than a quarter of a stitch away."
        return
    what = "outline" if solved.deviation or not solved.part.is_stuffed else "surface"
    yield (
        f"Its {what} lies {solved.rms:.1f} mm from the wanted one on average, "
        f"{solved.greatest:.1f} mm at the most."
    )


def size_table(solved: Solved) -> list[tuple[str, float, float]]:
    """Return name, wanted and got of each size that a part has. [mm, of "volume" ml]"""
    names: tuple[str, ...]
    names = ("length", "width", "height") if solved.got.length is not None else ("height", "width")
    names = (*names, "girth", "volume") if solved.part.is_stuffed else solved.kind.measures
    return [(name, getattr(solved.wanted, name), getattr(solved.got, name)) for name in names]


def gauge_line(gauge: Gauge, word: str, *, in_rows: bool = False) -> str:
    """Return a gauge as a sentence that begins with a word for it."""
    across, along = (100.0 / size for size in (gauge.stitch_width, gauge.row_height))
    if in_rows:
        return f"{word.capitalize()}: {across:.3g} stitches and {along:.3g} rows to 10 cm, worked flat."
    return f"{word.capitalize()}: {across:.3g} stitches and {along:.3g} rounds to 10 cm, worked in rounds."
