"""A whole toy drawn: put together with every stitch, as a mesh, or as a page that turns."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from solver.errors import InputError, Problem
from solver.toy.beads import beads
from solver.toy.words import size_words

if TYPE_CHECKING:
    from solver.toy.placed import Copy
    from solver.toy.solved import SolvedToy


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


def _picture(solved: SolvedToy, out: Path, told: str) -> None:
    from viz.figure import save_figure
    from viz.toy import Skin, draw_toy

    skins = [
        Skin(each.surface.form.fabric, each.points, each.solved.shades, each.is_hollow)
        for each in solved.copies
    ]
    stitches = sum(sum(each.solved.piece.counts) for each in solved.copies)
    words = f"{stitches:,} stitches in {len(skins)} parts. {told}"
    axes = draw_toy(skins, beads(solved), title=solved.toy.title, words=words)
    save_figure(axes.figure, out)


def _mesh(solved: SolvedToy, out: Path) -> None:
    from solver.files.meshfile import Solid, write_solids

    palette = _palette(solved)
    write_solids(
        out,
        [
            Solid(
                name=each.name,
                colour=palette[_main_colour(each)],
                positions=each.points,
                triangles=each.surface.form.fabric.triangles,
                quads=each.surface.form.fabric.quads,
            )
            for each in solved.copies
        ],
    )


def _page(solved: SolvedToy, out: Path, told: str) -> None:
    from solver.files.turntable import write_turntable

    palette = _palette(solved)
    points, quads, triangles, colours = [], [], [], {"quads": [], "triangles": []}  # type: ignore[var-annotated]
    first = 0
    for each in solved.copies:
        fabric, names = each.surface.form.fabric, each.solved.shades
        of_round = np.array([palette[name] for name in names or [""] * each.surface.rounds]) * 255
        points.append(each.points)
        for key, faces, rounds, into in (
            ("quads", fabric.quads, fabric.quad_round, quads),
            ("triangles", fabric.triangles, fabric.triangle_round, triangles),
        ):
            into.append(faces + first)
            colours[key].append(of_round[np.minimum(rounds, each.surface.rounds) - 1].reshape(-1, 3))
        first += len(each.points)
    write_turntable(
        out,
        np.concatenate(points),
        triangles=np.concatenate(triangles),
        quads=np.concatenate(quads),
        hollow=False,
        title=solved.toy.title,
        words=told,
        colours=np.concatenate([*colours["quads"], *colours["triangles"]]).round(),
        names=[(each.name, each.points.mean(axis=0)) for each in solved.copies],
    )


def _palette(solved: SolvedToy) -> dict[str, tuple[float, float, float]]:
    from viz.toy import colours_of

    return colours_of([name for each in solved.copies for name in each.solved.shades])


def _main_colour(copy: Copy) -> str:
    """Return the colour of most of a part's stitches."""
    colours = copy.solved.materials.colours
    return max(colours, key=lambda each: each.stitches).colour if colours else ""
