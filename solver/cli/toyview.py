"""A whole toy drawn: put together with every stitch, as a mesh, or as a page that turns."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from solver.errors import InputError, Problem
from solver.form.halved import halved, of_nodes
from solver.toy.beads import beads
from solver.toy.words import size_words

if TYPE_CHECKING:
    from solver.files.meshfile import Solid
    from solver.toy.model import Toy
    from solver.toy.placed import Copy
    from solver.toy.solved import SolvedToy
    from viz.toy import Skin


def toy_preview(solved: SolvedToy, out: Path, extension: str, *, stretch: bool) -> str:
    """Draw a toy to a file, and return what there is to tell of it.

    Raises
    ------
    InputError
        If colours by stretch are asked for, which parts alone have.
    """
    from solver.files.meshfile import MESH_EXTENSIONS
    from solver.files.turntable import PAGE_EXTENSIONS

    if stretch:
        rule = "stretch is shown on a part by itself, and this file is a whole toy"
        raise InputError(Problem(rule, remedy="Name the part's own file.", file=solved.toy.file))
    told = size_words(solved.sizes)
    if extension in MESH_EXTENSIONS:
        _mesh(solved, out)
    elif extension in PAGE_EXTENSIONS:
        _page(solved, out, told)
    else:
        _picture(solved, out, told)
    return told


def toy_over_drawing(toy: Toy, out: Path) -> list[str]:
    """Lay a toy over the drawing that its file names, and return what there is to tell.

    Raises
    ------
    InputError
        If it names none, or that can't be read.
    """
    from solver.cli.work import solved_toy
    from solver.files.inputs import note_input
    from solver.toy.drawn import views_of
    from solver.units import in_mm
    from viz.figure import save_figure
    from viz.toy_over import draw_over

    if toy.drawing is None:
        rule = "a whole toy is laid over the drawing that it was read off; its file names none"
        remedy = 'Write [drawing] file = "toy.svg" and height = "22 cm", or name a part\'s own file.'
        raise InputError(Problem(rule, remedy=remedy, file=toy.file))
    note_input(toy.drawing)
    front, side, _ = views_of(toy.drawing, height=toy.drawn_height)
    solved = solved_toy(toy)
    lines = {
        name: [np.asarray(each.area.exterior.coords) for each in shapes]
        for name, shapes in (("front", front), ("side", side))
        if shapes
    }
    save_figure(draw_over(_skins(solved), beads(solved), lines, title=toy.title).figure, out)
    across, up = np.ptp(np.concatenate(lines["front"]), axis=0).tolist()
    width, _, height = solved.sizes
    return [
        f"Drawn {in_mm(up)} high and {in_mm(across)} wide; the toy is {in_mm(height)} high and "
        f"{in_mm(width)} wide.",
    ]


def _skins(solved: SolvedToy) -> list[Skin]:
    from viz.toy import Skin

    return [
        Skin(each.surface.form.fabric, each.points, each.solved.shades, each.is_hollow)
        for each in solved.copies
    ]


def _picture(solved: SolvedToy, out: Path, told: str) -> None:
    from viz.figure import save_figure
    from viz.toy import draw_toy

    skins = _skins(solved)
    stitches = sum(sum(each.solved.piece.counts) for each in solved.copies)
    words = f"{stitches:,} stitches in {len(skins)} parts. {told}"
    axes = draw_toy(skins, beads(solved), title=solved.toy.title, words=words)
    save_figure(axes.figure, out)


def _mesh(solved: SolvedToy, out: Path) -> None:
    from solver.files.meshfile import write_solids

    palette = _palette(solved)
    write_solids(out, [solid for each in solved.copies for solid in _solids(each, palette)])


def _solids(each: Copy, palette: dict[str, tuple[float, float, float]]) -> list[Solid]:
    """Return a copy as one solid, or where it has several colours as one of each."""
    from solver.files.meshfile import Solid, by_colour

    fabric, names = each.surface.form.fabric, [name for own in each.solved.shades for name in own]
    points = each.points
    if len(set(names)) < 2:
        colour = palette[names[0] if names else ""]
        known = {"positions": points, "triangles": fabric.triangles, "quads": fabric.quads}
        return [Solid(name=each.name, colour=colour, **known)]
    mesh = halved(fabric, points)
    own = np.array(names)[of_nodes(fabric)]
    return by_colour(mesh.points, mesh.quads, mesh.triangles, own[mesh.of_quad], own[mesh.of_triangle],
                     palette=palette, name=each.name)  # fmt: skip


def _page(solved: SolvedToy, out: Path, told: str) -> None:
    from solver.files.turntable import write_turntable

    palette = _palette(solved)
    points, quads, triangles, of_quads, of_triangles = [], [], [], [], []
    first = 0
    for each in solved.copies:
        fabric = each.surface.form.fabric
        mesh = halved(fabric, each.points)
        names = [name for own in each.solved.shades for name in own] or [""] * sum(fabric.piece.counts)
        shown = np.array([palette[name] for name in names])[of_nodes(fabric)] * 255
        points.append(mesh.points)
        quads.append(mesh.quads + first)
        triangles.append(mesh.triangles + first)
        of_quads.append(shown[mesh.of_quad])
        of_triangles.append(shown[mesh.of_triangle])
        first += len(mesh.points)
    write_turntable(
        out,
        np.concatenate(points),
        triangles=np.concatenate(triangles),
        quads=np.concatenate(quads),
        hollow=False,
        title=solved.toy.title,
        words=told,
        colours=np.concatenate([*of_quads, *of_triangles]).round(),
        names=[(each.name, each.points.mean(axis=0)) for each in solved.copies],
    )


def _palette(solved: SolvedToy) -> dict[str, tuple[float, float, float]]:
    from viz.toy import colours_of

    return colours_of([name for each in solved.copies for own in each.solved.shades for name in own])
