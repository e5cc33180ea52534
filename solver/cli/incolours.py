"""A solved part in its colours, ready to be drawn: its form as it stands, wanted lines, and its front."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.figure import Figure, SubFigure

    from solver.arrays import Floats
    from solver.form.stuffed import StuffedForm
    from solver.solving.solved import Solved


@dataclass(frozen=True, slots=True, eq=False)
class InColours:
    """A part in its colours.

    Attributes
    ----------
    form : StuffedForm
        As it stands or lies.
    lines : tuple of (k, 3) float
        Places of the wanted outlines of its patches on it. [mm]
    front : tuple of two float
        Which way it looks, x and y.
    """

    form: StuffedForm
    lines: tuple[Floats, ...]
    front: tuple[float, float]


def in_colours(solved: Solved) -> InColours:
    """Return a solved part as it is drawn in its colours."""
    from solver.painting.ground import front_of

    form = solved.standing
    lines = tuple(each.line for each in solved.painted.shown)
    front = solved.lie.front or front_of(solved.form)
    if form is not solved.form:  # turned about x, and what lies on it
        lines, front = tuple(line * [1.0, -1.0, -1.0] for line in lines), (front[0], -front[1])
    if solved.lie.front is not None:
        form = replace(form, points=solved.points)
    return InColours(form, lines, front)


def patches_told(solved: Solved) -> list[str]:
    """Return how large each patch is wanted and stitched, and how far its outline is off, a line each."""
    told = []
    for each in solved.painted.shown:
        wanted, stitched = each.wanted / 100, each.stitched / 100
        off = f" ({100 * (stitched / wanted - 1):+.1f} %)".replace("-", "\N{MINUS SIGN}") if wanted else ""
        told.append(
            f"{each.name}: {wanted:.1f} cm\N{SUPERSCRIPT TWO} wanted, {stitched:.1f} cm\N{SUPERSCRIPT TWO} "
            f"stitched{off}; outline off by {each.rms:.1f} of a stitch"
        )
    return told


def put_under(figure: Figure | SubFigure, solved: Solved) -> None:
    """Draw a part that has several colours in them, under what a figure tells of it; of others nothing."""
    if len({name for own in solved.colours for name in own}) < 2:
        return
    from viz.coloured import add_colours

    look = in_colours(solved)
    add_colours(
        figure,
        look.form.fabric,
        look.form.points,
        colours=solved.shades,
        lines=look.lines,
        front=look.front,
        told=patches_told(solved),
        flat=look.form.is_flat,
    )
