"""A part in its colours under another picture of it: from front, left and back, wanted lines over.

Called as::

    add_colours(figure, form.fabric, form.points, colours=solved.shades, lines=lines, front=(0.0, -1.0),
                told=["belly: 20.1 cm2 wanted, 19.8 cm2 stitched"])
"""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, degrees
from typing import TYPE_CHECKING, Any

from viz.camera import Camera
from viz.figure import INK, TEXT_SIZE, axes_at
from viz.stuffed import draw_stuffed

if TYPE_CHECKING:
    from matplotlib.figure import Figure, SubFigure

    from solver.arrays import Floats
    from solver.form.fabric import StitchFabric
    from viz.colours import Shades

# In inches.
MARGIN, HEADING, LINE, GAP = 0.3, 0.5, 0.24, 0.25
WIDEST, TALL = 4.2, 4.2
FOOT = 0.4
"""Room along the lower edge that what is written there keeps."""
TILT, ABOVE = 8.0, 80.0
"""How far the eye is raised, of a flat piece too. [degrees]"""


def add_colours(
    figure: Figure | SubFigure,
    fabric: StitchFabric,
    points: Floats,
    *,
    colours: Shades,
    lines: Sequence[Floats],
    front: tuple[float, float],
    told: Sequence[str],
    flat: bool = False,
) -> None:
    """Make a figure taller, and draw the part in its colours below what is there.

    Parameters
    ----------
    figure : Figure
        Laid out in inches, its footnote along its lower edge.
    fabric : StitchFabric
    points : (n, 3) float
        Where its nodes are, the axis along z. [mm]
    colours : sequence of sequence of str
        Of each stitch.
    lines : sequence of (k, 3) float
        Places of the wanted outlines. [mm]
    front : tuple of two float
        Which way it looks, x and y.
    told : sequence of str
        What is written under it, a line each.
    flat : bool
        Whether it lies flat, and is seen from above alone.
    """
    figure = figure.get_figure(root=True)
    width = float(figure.get_size_inches()[0])
    looks = degrees(atan2(front[1], front[0]))
    views = {"from its front": looks, "from its left": looks + 90.0, "from its back": looks + 180.0}
    if flat:
        views = {"from above": -90.0}
    room = min(WIDEST, (width - 2 * MARGIN) / len(views))
    tall = min(TALL, 1.25 * room)
    more = HEADING + tall + LINE * (len(told) + 1) + GAP
    _raise(figure, more)
    height = float(figure.get_size_inches()[1])
    top = FOOT + more
    heading = "In its colours, the wanted lines over the stitches" if lines else "In its colours"
    write: dict[str, Any] = {"size": TEXT_SIZE, "color": INK, "parse_math": False}
    figure.text(MARGIN / width, (top - 0.12) / height, heading, va="top", weight="bold", **write)
    low = top - HEADING - tall
    for number, (words, turn) in enumerate(views.items()):
        left = MARGIN + number * room
        ax = axes_at(figure, left=left, bottom=low, width=room, height=tall)
        camera = Camera(tilt=ABOVE if flat else TILT, turn=turn)
        draw_stuffed(fabric, points, colours=colours, lines=lines, camera=camera, ax=ax)
        figure.text(left / width, (low - 0.05) / height, words, va="top", **write)
    for number, line in enumerate(told, start=1):
        figure.text(MARGIN / width, (low - 0.05 - LINE * number) / height, line, va="top", **write)


def _raise(figure: Figure, more: float) -> None:
    """Make a figure taller by so much below all but what stands along its lower edge. [inches]"""
    width, height = figure.get_size_inches()
    figure.set_size_inches(width, height + more)
    for ax in figure.axes:
        ax.set_aspect("auto")  # its frame has the shape of its limits already
        x, y, w, h = ax.get_position().bounds
        ax.set_position((x, (y * height + more) / (height + more), w, h * height / (height + more)))
    for text in figure.texts:
        x, y = text.get_position()
        lift = 0.0 if y * height < FOOT else more
        text.set_position((x, (y * height + lift) / (height + more)))
