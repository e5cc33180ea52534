"""`plumpline preview`: the stuffed form in 3-D, as a picture, a mesh, or a page that turns."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from solver.cli.work import RESULT, part_file, part_of
from solver.cli.written import added_up, gauge_of, part_number, written
from solver.errors import InputError, Problem
from solver.errors import shown as as_shown

if TYPE_CHECKING:
    from solver.cli.drawn import Drawn


@click.command(
    epilog="\b\nExample, the mooring buoy with every stitch drawn, coloured by stretch:\n"
    "  plumpline preview samples/buoy.toml --stretch --out buoy.png\n"
    "and the tug's hull as a page that turns in a browser:\n"
    "  plumpline preview samples/tug-hull.toml --out hull.html\n"
    "and rounds that somebody wrote, at a gauge of your own:\n"
    '  plumpline preview rounds.txt --gauge "20 x 22 / 10 cm" --out form.png'
)
@part_file
@click.option(
    "--out",
    type=RESULT,
    metavar="FILE",
    help="A picture (.png, .svg, .pdf), a mesh (.stl, .obj, .ply, .glb), or a page that turns in a browser "
    "(.html). Left out: FILE-preview.png in the folder where you are.",
)
@click.option("--stretch", is_flag=True, help="Colour the stitches by how far the stuffing stretches them.")
@click.option(
    "--increases",
    type=click.Choice(["staggered", "stacked"]),
    help="Increases set off or in line, whatever the part file says: tells whether corners will show.",
)
@click.option("--gauge", metavar="TEXT", help='For written rounds, like "20 x 22 / 10 cm": stitches, rows.')
@click.option(
    "--firmness",
    type=click.Choice(["light", "medium", "firm", "very firm"]),
    help="For written rounds: how hard the part is stuffed (medium where left out).",
)
@part_number
def preview(
    file: Path,
    out: Path | None,
    stretch: bool,
    increases: str | None,
    gauge: str | None,
    firmness: str | None,
    number: int,
) -> None:
    """Draw the stuffed part in 3-D, or write it as a mesh or a page that turns.

    FILE is a part file, or plain text with written rounds; those need a gauge.
    """
    from solver.cli.drawn import drawn
    from solver.files.meshfile import MESH_EXTENSIONS, write_mesh
    from solver.files.outfile import extension_of
    from solver.files.turntable import PAGE_EXTENSIONS, write_turntable
    from solver.rounds import Finish, Start
    from viz.figure import PICTURE_EXTENSIONS, save_figure

    out = out or Path(f"{file.stem}-preview.png")
    known = (*PICTURE_EXTENSIONS, *MESH_EXTENSIONS, *PAGE_EXTENSIONS)
    extension = extension_of(out, known, what="a preview")
    if gauge is None and file.suffix.lower() not in (".txt", ".text"):
        shown = drawn(part_of(file), increases=increases)
    else:
        shown = _of_rounds(file, gauge, firmness, number)
    fabric, piece = shown.fabric, shown.fabric.piece
    told = f"{shown.sizes} {shown.words}".strip()
    if extension in MESH_EXTENSIONS:
        write_mesh(out, shown.positions, triangles=fabric.triangles, quads=fabric.quads)
    elif extension in PAGE_EXTENSIONS:
        write_turntable(
            out,
            shown.positions,
            triangles=fabric.triangles,
            quads=fabric.quads,
            hollow=piece.finish is Finish.OPEN or piece.start is Start.OPEN,
            title=shown.title,
            words=f"{sum(piece.counts):,} stitches in {len(piece.rounds)} rounds. {told}",
        )
    else:
        from viz.camera import Camera
        from viz.stuffed import draw_stuffed

        axes = draw_stuffed(
            fabric,
            shown.positions,
            stretch=shown.stretch if stretch else None,
            camera=Camera(tilt=80.0) if shown.is_flat else None,
            title=shown.title,
        )
        save_figure(axes.figure, out)
    click.echo(told)
    click.echo(f"Written to {out}", err=True)


def _of_rounds(file: Path, gauge: str | None, firmness: str | None, number: int) -> Drawn:
    """Return the form of written rounds, ready to be drawn."""
    from solver.cli.drawn import drawn_rounds
    from solver.wanted.gauge import Stuffing

    if gauge is None:
        rule = "written rounds have a form only at a gauge"
        remedy = 'Add --gauge, such as --gauge "20 x 22 / 10 cm".'
        raise InputError(Problem(rule, got="none", remedy=remedy, file=str(file)))
    size = gauge_of(gauge)
    read = written(file, number=number)
    for note in read.notes:
        click.echo(note, err=True)
    piece = added_up(read, file)
    title = as_shown(file.stem).replace("-", " ").capitalize()
    return drawn_rounds(title, piece, size, Stuffing.of_firmness(firmness or "medium"))
