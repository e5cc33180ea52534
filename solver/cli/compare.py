"""`plumpline compare`: the wanted outline and the stuffed one laid over each other."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from solver.cli.work import RESULT, part_file, part_of, solved_part
from solver.cli.written import SAME_FORM, UNCHANGED, changed_rounds, notes_beside, part_number, written
from solver.errors import InputError, Problem

if TYPE_CHECKING:
    from solver.solving.round import Solution


@click.command(
    short_help="Lay the stuffed outline over the wanted one.",
    epilog="\b\nExample, the bollard with its hollow neck, as a picture that can be enlarged:\n"
    "  plumpline compare samples/bollard.toml --out bollard.svg",
)
@part_file
@click.option(
    "--out",
    type=RESULT,
    metavar="FILE",
    help="The picture: .png, .svg or .pdf. Left out: FILE-compare.png in the folder where you are.",
)
@click.option(
    "--rounds",
    "page",
    type=click.Path(path_type=Path),
    metavar="TEXT",
    help="Rounds that you wrote or changed by hand, in plain text: their form, in place of the solved one.",
)
@part_number
def compare(file: Path, out: Path | None, page: Path | None, number: int) -> None:
    """Draw the stuffed outline over the wanted one, and tell their sizes."""
    from solver.cli.oval import compare_oval
    from solver.cli.report import sizes
    from solver.files.outfile import extension_of
    from solver.partfile import OvalPart
    from solver.units import in_mm
    from viz.figure import PICTURE_EXTENSIONS, save_figure

    out = out or Path(f"{file.stem}-compare.png")
    extension_of(out, PICTURE_EXTENSIONS, what="a picture")
    part = part_of(file)
    told: list[str] = []
    if isinstance(part, OvalPart):
        compare_oval(part, out, page=page, number=number)
        click.echo(f"Picture written to {out}", err=True)
        return
    solution = solved_part(part)
    if page is not None:
        solution, told = _edited(solution, page, number)
    from viz.comparison import Thickness, draw_comparison

    fabric = part.gauge.thickness
    footnote = (
        f"Outside sizes; the outlines are of the middle of the fabric, which is {in_mm(fabric)} thick."
        if fabric
        else ""
    )
    if page is not None:
        footnote = f"The rounds of {page.name}. {footnote}".rstrip()
    axes = draw_comparison(
        part.outline,
        solution.form,
        solution.deviation,
        thickness=Thickness(
            across=solution.wanted.width - part.outline.width,
            along=solution.wanted.height - part.outline.height,
        ),
        title=part.title,
        footnote=footnote,
    )
    save_figure(axes.figure, out)
    click.echo("\n".join([part.title, *told, *sizes(solution)]))
    click.echo(f"Picture written to {out}", err=True)


def _edited(solution: Solution, page: Path, number: int) -> tuple[Solution, list[str]]:
    """Return a solution with somebody's own rounds in place of the solved ones, and what changed."""
    import numpy as np

    from solver.form.rings import ring_form
    from solver.solving.round import making_of
    from solver.units import in_mm
    from solver.wanted.silhouette import deviation

    part, before, making = solution.part, solution.form, making_of(solution.part)
    read = written(page, number=number)
    if read.chain > 2:  # on two chains round 1 is worked into one: a ring
        rule = "rounds for a round part start in a ring"
        remedy = 'Compare them with a part file that has start = "chain".'
        got = f"round 1 along both sides of {read.chain} chains"
        raise InputError(Problem(rule, got=got, remedy=remedy, file=str(page)))
    counts = np.array(read.counts)
    fabric = making.fabric(counts, part.outline, foundation=read.piece.foundation if read.piece else None)
    form = ring_form(fabric, pressure=making.pressure)
    told = [*notes_beside(read, part.work.finish), *changed_rounds(read.counts, solution.piece.counts)]
    if len(form.radius) == len(before.radius):
        moved = form.radius - before.radius
        worst = int(np.argmax(np.abs(moved)))
        way = "wider" if moved[worst] > 0 else "narrower"
        told.append(
            f"Against the solved rounds its form changed most at round {worst}: "
            f"{in_mm(2 * abs(float(moved[worst])))} {way} across."
            if abs(moved[worst]) > UNCHANGED
            else SAME_FORM
        )
    fit = replace(solution.fit, counts=counts, form=form)
    return replace(solution, fit=fit, deviation=deviation(form.points, part.outline)), told
