"""The result of a part as plain text: one column, nothing told by layout or colour alone."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap
from typing import TYPE_CHECKING

from solver.notation.words import words
from solver.notation.writer import standing_notes, write_rounds
from solver.units import in_both

if TYPE_CHECKING:
    from solver.gauge import Gauge
    from solver.solution import Solution

WIDTH = 88
"""Letters in a line: fits a page at 12 point, and a screen that is enlarged twice."""


def report(solution: Solution, *, spelled: bool = False) -> str:
    """Return everything about a solved part for its maker.

    Parameters
    ----------
    solution : Solution
        The solved part.
    spelled : bool
        Write every round out, without brackets and abbreviations.
    """
    part, terms = solution.part, solution.part.work.terms
    rounds = [line.text for line in write_rounds(solution.piece, terms=terms, spelled=spelled)]
    reading = standing_notes(solution.piece, terms=terms, spelled=spelled)
    lines = [part.title, "", *wrap(_gauge(part.gauge, words(terms)["gauge"].one), WIDTH), ""]
    for line in rounds:
        lines += wrap(line, WIDTH, subsequent_indent="    ")
    for heading, items in (
        ("Size when stuffed", sizes(solution)),
        ("Materials", tuple(solution.materials.sentences())),
        ("How to read it", reading),
        ("Notes", solution.notes),
        ("Cautions", solution.cautions),
    ):
        if items:
            lines += ["", heading]
            for item in items:
                lines += wrap(item, WIDTH, initial_indent="- ", subsequent_indent="  ")
    return "\n".join(lines)


def sizes(solution: Solution) -> Iterator[str]:
    """Yield the sizes that the part comes out at beside the wanted ones, as sentences."""
    wanted, got, off = solution.wanted, solution.got, solution.deviation
    for name in ("height", "width", "girth"):
        yield f"{name.capitalize()}: {in_both(getattr(got, name))}; wanted {in_both(getattr(wanted, name))}."
    yield f"Volume: {got.volume:.0f} ml; wanted {wanted.volume:.0f} ml."
    yield (
        f"Its outline lies {off.rms:.1f} mm from the wanted one on average (root mean square), "
        f"{off.greatest:.1f} mm at the most."
    )


def _gauge(gauge: Gauge, word: str) -> str:
    across, along = (100.0 / size for size in (gauge.stitch_width, gauge.row_height))
    return (
        f"{word.capitalize()}: {across:.3g} stitches and {along:.3g} rounds to 10 cm, "
        f"worked in rounds. A stitch is {gauge.stitch_width:.1f} mm wide, "
        f"a round {gauge.row_height:.1f} mm tall."
    )
