"""`plumpline compare`: the wanted outline and the stuffed one laid over each other."""

from __future__ import annotations

from pathlib import Path

import click

from solver.cli.work import part_file, part_of, solved_part


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
def compare(file: Path, out: Path | None) -> None:
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
    if isinstance(part, OvalPart):
        compare_oval(part, out)
        click.echo(f"Picture written to {out}", err=True)
        return
    solution = solved_part(part)
    from viz.comparison import draw_comparison

    thickness = part.gauge.thickness
    footnote = (
        f"Sizes are to the middle of the fabric, which is {in_mm(thickness)} thick." if thickness else ""
    )
    axes = draw_comparison(
        part.outline, solution.form, solution.deviation, title=part.title, footnote=footnote
    )
    save_figure(axes.figure, out)
    click.echo("\n".join([part.title, *sizes(solution)]))
    click.echo(f"Picture written to {out}", err=True)
