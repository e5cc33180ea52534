"""The result of a part as plain text: one column, nothing told by layout or colour alone."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from solver.cli.paragraphs import WIDTH
from solver.notation.words import words
from solver.notation.writer import LineKind, standing_notes, write_rounds
from solver.partfile import OvalPart
from solver.units import in_both

if TYPE_CHECKING:
    from solver.notation.writer import Line
    from solver.partfile import Part
    from solver.solving.oval import OvalSolution
    from solver.solving.round import Solution
    from solver.wanted.gauge import Gauge


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
    colours = solution.materials.round_colours
    rounds = write_rounds(solution.piece, terms=terms, spelled=spelled, colours=colours)
    return _page(
        part,
        rounds=rounds,
        sizes=sizes(solution),
        takes=solution.materials.sentences(),
        reading=standing_notes(solution.piece, terms=terms, spelled=spelled, colours=colours),
        notes=solution.notes,
        cautions=solution.cautions,
    )


def oval_report(solution: OvalSolution, *, spelled: bool = False) -> str:
    """Return everything about a solved oval part for its maker.

    Parameters
    ----------
    solution : OvalSolution
        The solved part.
    spelled : bool
        Write every round out, without brackets and abbreviations.
    """
    part, terms = solution.part, solution.part.work.terms
    colours = solution.materials.round_colours
    flat = solution.last.name.lower() if part.is_flat else ""
    rounds = write_rounds(solution.piece, terms=terms, spelled=spelled, flat=flat, colours=colours)
    return _page(
        part,
        rounds=rounds,
        sizes=oval_sizes(solution),
        takes=solution.materials.sentences(),
        reading=standing_notes(solution.piece, terms=terms, spelled=spelled, colours=colours),
        notes=solution.notes,
        cautions=solution.cautions,
    )


def _page(
    part: Part | OvalPart,
    *,
    rounds: Sequence[Line],
    sizes: Iterable[str],
    takes: Iterable[str],
    reading: Iterable[str],
    notes: Iterable[str],
    cautions: Iterable[str],
) -> str:
    lines = [part.title, "", *wrap(_gauge(part.gauge, words(part.work.terms)["gauge"].one), WIDTH), ""]
    for line in rounds:
        lines += _wrapped(line)
    heading_of_sizes = "Size" if isinstance(part, OvalPart) and part.is_flat else "Size when stuffed"
    for heading, items in (
        (heading_of_sizes, sizes),
        ("Materials", takes),
        ("How to read it", reading),
        ("Notes", notes),
        ("Cautions", cautions),
    ):
        told = list(items)
        if told:
            lines += ["", heading]
            for item in told:
                lines += wrap(item, WIDTH, initial_indent="- ", subsequent_indent="  ")
    return "\n".join(lines)


def _wrapped(line: Line) -> list[str]:
    """Return a line in lines that fit; a round is broken between instructions, so that it reads back."""
    if line.kind is not LineKind.ROUND:
        return wrap(line.text, WIDTH, subsequent_indent="    ")
    whole = re.sub("(?<![,:]) ", "\N{NO-BREAK SPACE}", line.text)
    lines = wrap(whole, WIDTH, subsequent_indent="    ", break_on_hyphens=False, break_long_words=False)
    return [part.replace("\N{NO-BREAK SPACE}", " ") for part in lines]


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


def oval_sizes(solution: OvalSolution) -> Iterator[str]:
    """Yield the sizes of an oval part beside the wanted ones, as sentences."""
    wanted, got = solution.wanted, solution.got
    is_flat = solution.part.is_flat
    for name in ("length", "width", *(() if is_flat else ("height",)), "girth"):
        told = "Girth seen from above" if name == "girth" else name.capitalize()
        yield f"{told}: {in_both(getattr(got, name))}; wanted {in_both(getattr(wanted, name))}."
    if not is_flat:
        yield f"Volume: {got.volume:.0f} ml; wanted {wanted.volume:.0f} ml."
    yield (
        f"Its {'outline' if is_flat else 'surface'} lies {solution.rms:.1f} mm from the wanted one on "
        f"average (root mean square), {solution.greatest:.1f} mm at the most."
    )


def _gauge(gauge: Gauge, word: str) -> str:
    across, along = (100.0 / size for size in (gauge.stitch_width, gauge.row_height))
    return (
        f"{word.capitalize()}: {across:.3g} stitches and {along:.3g} rounds to 10 cm, "
        f"worked in rounds. A stitch is {gauge.stitch_width:.1f} mm wide and {gauge.row_height:.1f} mm tall."
    )
