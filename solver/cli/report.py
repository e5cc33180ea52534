"""The result of a part as plain text: one column, nothing told by layout or colour alone."""

from __future__ import annotations

import re
from collections.abc import Iterator
from textwrap import wrap
from typing import TYPE_CHECKING

from solver.cli.paragraphs import WIDTH
from solver.notation.words import words
from solver.notation.writer import LineKind, standing_notes, write_rounds
from solver.search.flat_oval import LastRound
from solver.units import in_both

if TYPE_CHECKING:
    from solver.notation.writer import Line
    from solver.solving.solved import Solved
    from solver.wanted.gauge import Gauge


def report(solved: Solved, *, spelled: bool = False) -> str:
    """Return everything about a solved part for its maker.

    Parameters
    ----------
    solved : Solved
    spelled : bool
        Write every round out, without brackets and abbreviations.
    """
    part, terms, colours = solved.part, solved.part.work.terms, solved.materials.round_colours
    flat = "" if part.is_stuffed else LastRound(solved.last).name.lower()
    lines = [part.title, "", *wrap(gauge_line(part.gauge, words(terms)["gauge"].one), WIDTH), ""]
    for line in write_rounds(solved.piece, terms=terms, spelled=spelled, flat=flat, colours=colours):
        lines += wrapped(line)
    for heading, items in (
        ("Size when stuffed" if part.is_stuffed else "Size", sizes(solved)),
        ("Materials", solved.materials.sentences()),
        ("How to read it", standing_notes(solved.piece, terms=terms, spelled=spelled, colours=colours)),
        ("Notes", solved.notes),
        ("Cautions", solved.cautions),
    ):
        told = list(items)
        if told:
            lines += ["", heading]
            for item in told:
                lines += wrap(item, WIDTH, initial_indent="- ", subsequent_indent="  ")
    return "\n".join(lines)


def wrapped(line: Line) -> list[str]:
    """Return a line in lines that fit; a round is broken between instructions, so that it reads back."""
    if line.kind is not LineKind.ROUND:
        return wrap(line.text, WIDTH, subsequent_indent="    ")
    whole = re.sub("(?<![,:]) ", "\N{NO-BREAK SPACE}", line.text)
    lines = wrap(whole, WIDTH, subsequent_indent="    ", break_on_hyphens=False, break_long_words=False)
    return [part.replace("\N{NO-BREAK SPACE}", " ") for part in lines]


def sizes(solved: Solved) -> Iterator[str]:
    """Yield the sizes that the part comes out at beside the wanted ones, as sentences."""
    along_chain = solved.got.length is not None
    for name, wanted, got in size_table(solved):
        if name == "volume":
            yield f"Volume: {got:.0f} ml; wanted {wanted:.0f} ml."
        else:
            told = "Girth seen from above" if name == "girth" and along_chain else name.capitalize()
            yield f"{told}: {in_both(got)}; wanted {in_both(wanted)}."
    what = "outline" if solved.deviation or not solved.part.is_stuffed else "surface"
    yield (
        f"Its {what} lies {solved.rms:.1f} mm from the wanted one on average (root mean square), "
        f"{solved.greatest:.1f} mm at the most."
    )


def size_table(solved: Solved) -> list[tuple[str, float, float]]:
    """Return name, wanted and got of each size that a part has. [mm, of "volume" ml]"""
    names = ("length", "width", "height") if solved.got.length is not None else ("height", "width")
    names = (*names, "girth", "volume") if solved.part.is_stuffed else ("length", "width", "girth")
    return [(name, getattr(solved.wanted, name), getattr(solved.got, name)) for name in names]


def gauge_line(gauge: Gauge, word: str) -> str:
    """Return a gauge as a sentence that begins with a word for it."""
    across, along = (100.0 / size for size in (gauge.stitch_width, gauge.row_height))
    return (
        f"{word.capitalize()}: {across:.3g} stitches and {along:.3g} rounds to 10 cm, "
        f"worked in rounds. A stitch is {gauge.stitch_width:.1f} mm wide and {gauge.row_height:.1f} mm tall."
    )
