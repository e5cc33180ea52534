"""`plumpline shapes`: the named shapes and what each needs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import partial
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING

import click

from solver.cli.work import say_written
from solver.errors import InputError, Problem
from solver.notation.linebreaks import WIDTH

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from solver.wanted.shapes import Shape

OVALS = """\
oval
  An elongated part on a chain, its ends round: a hull, a snout, a pod.
  Needs length: the greatest size, along the chain.
  Needs width: the size across the chain.
  Needs height: the size upward from the chain.
  May have base: "domed" (usual) or "flat", which a stiff insert holds (sole in [work]).
  Its last end is a flat seam; finish = "open" in [work] leaves it open, "cinched" draws
    it to a point.
  In a part file:
    [shape]
    kind = "oval"
    length = 90
    width = 45
    height = 45

flat oval
  A flat piece on a chain, not stuffed: a sole, a foot, a base.
  Needs length: the greatest size, along the chain.
  Needs width: the size across the chain.
  In a part file:
    [shape]
    kind = "flat oval"
    length = 90
    width = 40

Any other shape that starts on its axis can be drawn out along a chain, with
  section = "oval" and straight = "40 mm", the length of its straight sides;
  or straight = [[0, 20], [20, 40]], their lengths against height.

"""
DRAWN = """\
outline
  Any other shape, drawn by its points: [radius, height], the first worked first.
  Needs points: at least two; radii from the axis, heights never going back.
  May have between: "smooth" (a curve through the points) or "straight".
  Both ends are as drawn: on the axis they are closed, elsewhere open.
  In a part file:
    [shape]
    kind = "outline"
    points = [[0, 0], [22, 9], [30, 30], [14, 62], [0, 70]]
"""


@click.command(
    epilog="\b\nExample, with a drawing of each shape in a new folder:\n  plumpline shapes --pictures shapes"
)
@click.option(
    "--pictures",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Also draw each shape: DIR/ball.png and so on. The folder is made when it is not there.",
)
def shapes(pictures: Path | None) -> None:
    """Tell the named shapes and the sizes that each needs."""
    from solver.wanted.shapes import named_shapes

    known = named_shapes()
    if pictures:
        _draw(known.values(), pictures)
    click.echo(
        "\n".join([*("\n".join(_told(shape)) + "\n" for shape in known.values()), OVALS + DRAWN]), nl=False
    )


def _told(shape: Shape) -> Iterator[str]:
    """Yield the lines that tell a shape."""
    yield shape.name
    yield from _wrapped(shape.sentence)
    for words, sizes in (("Needs", shape.needed), ("May have", shape.optional)):
        for name, meaning in sizes.items():
            yield from _wrapped(f"{words} {name}: {meaning}.")
    if shape.ends:
        usual, other = (f'"{end}"' for end in shape.ends)
        yield from _wrapped(f"May have first: the end that is worked first, {usual} (usual) or {other}.")
    yield from _wrapped(_ends(shape))
    yield "  In a part file:"
    yield "    [shape]"
    yield f'    kind = "{shape.name}"'
    yield from (f"    {name} = {size:g}" for name, size in shape.example.items())


def _ends(shape: Shape) -> str:
    """Return what the ends of a shape are, and how a wide one is made otherwise."""
    told = []
    for which, key, closed, is_open, is_wide in zip(
        ("first", "last"),
        ("start", "finish"),
        ("ring", "cinched"),
        shape.opens(),
        shape.wide_ends(),
        strict=True,
    ):
        if is_open:
            told.append(f'Its {which} end is open; {key} = "{closed}" in [work] closes it flat.')
        elif is_wide:
            told.append(f'Its {which} end is closed flat; {key} = "open" in [work] leaves it open.')
        else:
            told.append(f"Its {which} end is closed.")
    return " ".join(told)


def _wrapped(text: str) -> list[str]:
    return wrap(text, WIDTH, initial_indent="  ", subsequent_indent="    ")


def _draw(known: Iterable[Shape], folder: Path) -> None:
    from solver.files.outfile import target_of, together
    from viz.figure import save_figure
    from viz.oval_cards import OVALS as OVAL_CARDS
    from viz.shapes import draw_shape

    new = not folder.exists()
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        rule, got = "pictures go to a folder that is there or can be made", error.strerror or str(error)
        raise InputError(Problem(rule, got=got, remedy="Choose another one.", file=str(folder))) from None
    drawn = {shape.name: partial(draw_shape, shape) for shape in known}
    drawn |= {name.replace(" ", "-"): partial(_oval, name) for name in OVAL_CARDS}
    try:
        for name in drawn:
            target_of(folder / f"{name}.png")
        with together():
            for name, draw in drawn.items():
                save_figure(draw().figure, folder / f"{name}.png")
    except BaseException:
        if new:
            folder.rmdir()
        raise
    say_written(folder, "Drawings written")


def _oval(name: str) -> Axes:
    from viz.oval_cards import draw_oval

    return draw_oval(name)[0]
