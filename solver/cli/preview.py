"""`plumpline preview`: the stuffed form in 3-D, as a picture or a mesh."""

from __future__ import annotations

from pathlib import Path

import click

from solver.cli.work import part_file, solved


@click.command(
    epilog="\b\nExample, the mooring buoy with every stitch drawn, coloured by stretch:\n"
    "  plumpline preview samples/buoy.toml --stretch --out buoy.png"
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
def preview(file: Path, out: Path | None, stretch: bool) -> None:
    """Draw the stuffed part in 3-D, or write it as a mesh."""
    from solver.fabric import lofted, stitch_fabric
    from solver.meshfile import MESH_EXTENSIONS, write_mesh
    from solver.outfile import extension_of
    from viz.figure import PICTURE_EXTENSIONS, save_figure

    out = out or Path(f"{file.stem}-preview.png")
    extension = extension_of(out, (*PICTURE_EXTENSIONS, *MESH_EXTENSIONS), what="a preview")
    solution = solved(file)
    gauge, form = solution.part.gauge, solution.form
    fabric = stitch_fabric(solution.piece, stitch_width=gauge.stitch_width, row_height=gauge.row_height)
    positions = lofted(fabric, radius=form.radius, height=form.height)
    if extension in MESH_EXTENSIONS:
        write_mesh(out, positions, triangles=fabric.triangles, quads=fabric.quads)
    else:
        from viz.stuffed import draw_stuffed

        of_node = form.course_stretch[fabric.ring_of_node] if stretch else None
        axes = draw_stuffed(fabric, positions, stretch=of_node, title=solution.part.title)
        save_figure(axes.figure, out)
    click.echo(f"Written to {out}", err=True)
