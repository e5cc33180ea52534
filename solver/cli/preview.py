"""`plumpline preview`: the stuffed form in 3-D, as a picture or a mesh."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from solver.cli.work import part_file, solved
from solver.cli.written import form_of, gauge_of, part_number, written
from solver.errors import InputError, Problem

if TYPE_CHECKING:
    from solver.equilibrium import Form
    from solver.gauge import Gauge
    from solver.rounds import Piece


@click.command(
    epilog="\b\nExample, the mooring buoy with every stitch drawn, coloured by stretch:\n"
    "  plumpline preview samples/buoy.toml --stretch --out buoy.png\n"
    "and rounds that somebody wrote, at a gauge of your own:\n"
    '  plumpline preview rounds.txt --gauge "20 x 22 / 10 cm" --out form.png'
)
@part_file
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="A picture (.png, .svg, .pdf) or a mesh (.stl, .obj, .ply, .glb). "
    "Left out: FILE-preview.png in the folder where you are.",
)
@click.option("--stretch", is_flag=True, help="Colour the stitches by how far the stuffing stretches them.")
@click.option("--gauge", metavar="TEXT", help='For written rounds, like "20 x 22 / 10 cm": stitches, rows.')
@click.option(
    "--firmness",
    type=click.Choice(["light", "medium", "firm", "very firm"]),
    help="For written rounds: how hard the part is stuffed (medium where left out).",
)
@part_number
def preview(
    file: Path, out: Path | None, stretch: bool, gauge: str | None, firmness: str | None, number: int
) -> None:
    """Draw the stuffed part in 3-D, or write it as a mesh.

    FILE is a part file, or plain text with written rounds; those need a gauge.
    """
    from solver.fabric import lofted, stitch_fabric
    from solver.meshfile import MESH_EXTENSIONS, write_mesh
    from solver.outfile import extension_of
    from viz.figure import PICTURE_EXTENSIONS, save_figure

    out = out or Path(f"{file.stem}-preview.png")
    extension = extension_of(out, (*PICTURE_EXTENSIONS, *MESH_EXTENSIONS), what="a preview")
    title, piece, size, form = _made(file, gauge, firmness, number)
    fabric = stitch_fabric(piece, stitch_width=size.stitch_width, row_height=size.row_height)
    positions = lofted(fabric, radius=form.radius, height=form.height)
    if extension in MESH_EXTENSIONS:
        write_mesh(out, positions, triangles=fabric.triangles, quads=fabric.quads)
    else:
        from viz.stuffed import draw_stuffed

        of_node = form.course_stretch[fabric.ring_of_node] if stretch else None
        axes = draw_stuffed(fabric, positions, stretch=of_node, title=title)
        save_figure(axes.figure, out)
    click.echo(f"Written to {out}", err=True)


def _made(file: Path, gauge: str | None, firmness: str | None, number: int) -> tuple[str, Piece, Gauge, Form]:
    """Return title, rounds, gauge and form of a part file, or of written rounds."""
    if gauge is None and file.suffix.lower() not in (".txt", ".text"):
        solution = solved(file)
        return solution.part.title, solution.piece, solution.part.gauge, solution.form
    from solver.gauge import Stuffing
    from solver.units import in_both

    if gauge is None:
        rule = "written rounds have a form only at a gauge"
        remedy = 'Add --gauge, such as --gauge "20 x 22 / 10 cm".'
        raise InputError(Problem(rule, got="none", remedy=remedy, file=str(file)))
    size = gauge_of(gauge)
    read = written(file, number=number)
    for note in read.notes:
        click.echo(note, err=True)
    if read.piece is None:
        raise InputError(
            Problem(
                "the rounds add up",
                got=read.reason,
                remedy="Mend them first: plumpline proof.",
                file=str(file),
            )
        )
    form = form_of(read.piece, size, Stuffing.of_firmness(firmness or "medium"))
    click.echo(f"Stuffed it is about {in_both(form.size)} high and {in_both(form.width)} wide.")
    return file.stem.replace("-", " ").capitalize(), read.piece, size, form
