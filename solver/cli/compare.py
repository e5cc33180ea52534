"""`plumpline compare`: the wanted outline and the stuffed one laid over each other."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from solver.cli.work import part_file, part_of, solved_part
from solver.cli.written import changed_rounds, part_number, written
from solver.errors import InputError, Problem

if TYPE_CHECKING:
    from solver.solution import Solution


UNCHANGED = 1e-3
"""A radius that differs by less is the same. [mm]"""


@click.command(
    short_help="Lay the stuffed outline over the wanted one.",
    epilog="\b\nExample, the bollard with its hollow neck, as a picture that can be enlarged:\n"
    "  plumpline compare samples/bollard.toml --out bollard.svg",
)
@part_file
@click.option(
    "--out",
    type=click.Path(path_type=Path),
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
    from solver.outfile import extension_of
    from solver.partfile import OvalPart
    from solver.units import in_mm
    from viz.figure import PICTURE_EXTENSIONS, save_figure

    out = out or Path(f"{file.stem}-compare.png")
    extension_of(out, PICTURE_EXTENSIONS, what="a picture")
    part = part_of(file)
    told: list[str] = []
    if isinstance(part, OvalPart):
        if page is not None:
            rule = "rounds of one's own are compared for round parts, and this one is oval"
            raise InputError(Problem(rule, remedy="Leave --rounds out.", place="--rounds"))
        compare_oval(part, out)
        click.echo(f"Picture written to {out}", err=True)
        return
    solution = solved_part(part)
    if page is not None:
        solution, told = _edited(solution, page, number)
    from viz.comparison import draw_comparison

    thickness = part.gauge.thickness
    footnote = (
        f"Sizes are to the middle of the fabric, which is {in_mm(thickness)} thick." if thickness else ""
    )
    axes = draw_comparison(
        part.outline, solution.form, solution.deviation, title=part.title, footnote=footnote
    )
    save_figure(axes.figure, out)
    click.echo("\n".join([part.title, *told, *sizes(solution)]))
    click.echo(f"Picture written to {out}", err=True)


def _edited(solution: Solution, page: Path, number: int) -> tuple[Solution, list[str]]:
    """Return a solution with somebody's own rounds in place of the solved ones, and what changed."""
    import numpy as np

    from solver.equilibrium import RingFabric, ring_form
    from solver.rounds import Finish, Start
    from solver.silhouette import deviation
    from solver.units import in_mm

    part, before = solution.part, solution.form
    read = written(page, number=number)
    radius = part.outline.points[:, 0].tolist()
    opened = part.work.start is Start.OPEN
    ended = part.work.finish is Finish.OPEN
    held = part.work.edge == "held"
    fabric = RingFabric.from_counts(
        [float(count) for count in read.counts],
        stitch_width=part.gauge.stitch_width,
        row_height=part.gauge.row_height,
        foundation=float(read.piece.foundation if read.piece and read.piece.foundation else read.counts[0])
        if opened
        else 0.0,
        cinched=not ended,
        held=(radius[0] if opened and held else None, radius[-1] if ended and held else None),
    )
    form = ring_form(fabric, pressure=part.stuffing.pressure(part.outline.width / 2))
    told = [*read.notes, *changed_rounds(read.counts, solution.piece.counts)]
    if len(form.radius) == len(before.radius):
        moved = form.radius - before.radius
        worst = int(np.argmax(np.abs(moved)))
        way = "wider" if moved[worst] > 0 else "narrower"
        told.append(
            f"Against the solved rounds its form changed most at round {worst}: "
            f"{in_mm(2 * abs(float(moved[worst])))} {way} across."
            if abs(moved[worst]) > UNCHANGED
            else "Its form is that of the solved rounds."
        )
    fit = replace(solution.fit, counts=np.array(read.counts), form=form)
    return replace(solution, fit=fit, deviation=deviation(form.points, part.outline)), told
