"""What `compare` and `preview` do with oval parts."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click
import numpy as np

from solver.cli.progress import progress
from solver.cli.work import solved_oval
from solver.cli.written import SAME_FORM, UNCHANGED, added_up, changed_rounds, notes_beside, written
from solver.errors import InputError, Problem
from solver.units import in_mm

if TYPE_CHECKING:
    from collections.abc import Iterator

    from solver.partfile import OvalPart
    from solver.solving.oval import OvalSolution

SECTIONS = 5
"""Rounds whose sections are drawn, at the most."""


def compare_oval(part: OvalPart, out: Path, *, page: Path | None = None, number: int = 1) -> None:
    """Draw the views of an oval part over the wanted ones, and tell its sizes.

    Parameters
    ----------
    part : OvalPart
    out : Path
        The picture.
    page : Path, optional
        Somebody's own rounds, drawn in place of the solved ones.
    number : int
        Which part of that page.
    """
    from solver.cli.report import oval_sizes

    solution = solved_oval(part)
    told: list[str] = []
    if page is not None:
        solution, told = _edited(solution, page, number)
    from viz.figure import save_figure
    from viz.oval_comparison import OvalRow, draw_oval_comparison

    form, wanted = solution.form, part.wanted
    rows = [OvalRow("length", wanted.length, form.length), OvalRow("width", wanted.width, form.width)]
    if not part.is_flat:
        rows.append(OvalRow("height", wanted.height, form.height))
        rows.append(OvalRow("volume", wanted.volume, form.volume))
    thickness = 0.0 if part.is_flat else part.gauge.thickness
    footnote = (
        f"Sizes are to the middle of the fabric, which is {in_mm(thickness)} thick." if thickness else ""
    )
    if page is not None:
        footnote = f"The rounds of {page.name}. {footnote}".rstrip()
    axes = draw_oval_comparison(
        solution.views, _sections(solution), rows, title=part.title, footnote=footnote
    )
    save_figure(axes[0].figure, out)
    click.echo("\n".join([part.title, *told, *oval_sizes(solution)]))


def _edited(solution: OvalSolution, page: Path, number: int) -> tuple[OvalSolution, list[str]]:
    """Return a solution with somebody's own rounds in place of the solved ones, and what changed."""
    from solver.solving.oval import with_rounds

    part, ours = solution.part, solution.piece
    read = written(page, number=number)
    if not read.chain:
        rule = "rounds for an oval part start on a chain"
        remedy = f'Keep the line above round 1 that tells it, such as "Chain {ours.foundation}."'
        raise InputError(Problem(rule, got="no chain", remedy=remedy, file=str(page)))
    piece = replace(added_up(read, page), finish=part.work.finish)
    with progress("Solving the form stitch by stitch"):
        edited = with_rounds(solution, piece)
    told = [*notes_beside(read, part.work.finish)]
    if piece.foundation != ours.foundation:
        told.append(f"The page has {piece.foundation} chains, the solved part {ours.foundation}.")
    told += changed_rounds(piece.counts, ours.counts)
    if (piece.foundation, len(piece.rounds)) == (ours.foundation, len(ours.rounds)):
        for at, (mine, solved) in enumerate(zip(piece.rounds, ours.rounds, strict=True), start=1):
            if mine != solved and mine.count == solved.count:
                told.append(f"Round {at} has its increases and decreases in other places.")
    return edited, [*told, *_changed_form(edited, solution), *edited.notes]


def _changed_form(edited: OvalSolution, solved: OvalSolution) -> Iterator[str]:
    """Yield where the form of edited rounds differs most from the solved one."""
    if len(edited.sections) != len(solved.sections):
        return
    changes = [
        (getattr(mine, size) - getattr(ours, size), mine.number, words)
        for mine, ours in zip(edited.sections, solved.sections, strict=True)
        for size, words in (("length", ("longer", "shorter")), ("width", ("wider", "narrower")))
    ]
    most, at, (more, less) = max(changes, key=lambda change: abs(change[0]))
    if abs(most) <= UNCHANGED:
        yield SAME_FORM
        return
    yield (
        f"Against the solved rounds its form changed most at round {at}: {in_mm(abs(most))} "
        f"{more if most > 0 else less}."
    )


def _sections(solution: OvalSolution) -> list[tuple[int, np.ndarray]]:
    """Return a few rounds from the chain to the widest, which hide none of each other from above."""
    rings = solution.form.rings[1 : len(solution.piece.rounds) + 1]
    widest = 1 + int(np.argmax([np.ptp(ring[:, 1]) for ring in rings]))
    numbers = sorted({round(number) for number in np.linspace(1, widest, min(SECTIONS, widest)).tolist()})
    fabric = solution.form.fabric
    return [(number, solution.points[fabric.rings[number], :2]) for number in numbers]
