"""`plumpline preview`: the stuffed form in 3-D, as a picture, a mesh, or a page that turns."""

from __future__ import annotations

from pathlib import Path

import click

from solver.cli.work import part_file, part_of


@click.command(
    epilog="\b\nExample, the mooring buoy with every stitch drawn, coloured by stretch:\n"
    "  plumpline preview samples/buoy.toml --stretch --out buoy.png\n"
    "and the tug's hull as a page that turns in a browser:\n"
    "  plumpline preview samples/tug-hull.toml --out hull.html"
)
@part_file
@click.option(
    "--out",
    type=click.Path(path_type=Path),
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
def preview(file: Path, out: Path | None, stretch: bool, increases: str | None) -> None:
    """Draw the stuffed part in 3-D, or write it as a mesh or a page that turns."""
    from solver.cli.drawn import drawn
    from solver.meshfile import MESH_EXTENSIONS, write_mesh
    from solver.outfile import extension_of
    from solver.rounds import Finish, Start
    from solver.turntable import PAGE_EXTENSIONS, write_turntable
    from viz.figure import PICTURE_EXTENSIONS, save_figure

    out = out or Path(f"{file.stem}-preview.png")
    known = (*PICTURE_EXTENSIONS, *MESH_EXTENSIONS, *PAGE_EXTENSIONS)
    extension = extension_of(out, known, what="a preview")
    shown = drawn(part_of(file), increases=increases)
    fabric, piece = shown.fabric, shown.fabric.piece
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
            words=f"{sum(piece.counts):,} stitches in {len(piece.rounds)} rounds. {shown.words}".strip(),
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
    if shown.words:
        click.echo(shown.words)
    click.echo(f"Written to {out}", err=True)
