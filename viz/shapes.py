"""A card for each named shape: its silhouette at its example's sizes, with the sizes that it needs as arrows.

Called as::

    for shape in named_shapes().values():
        axes = draw_shape(shape)
        save_figure(axes.figure, folder / f"{shape.name}.png")
"""

from __future__ import annotations

from dataclasses import dataclass
from textwrap import wrap

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from solver.arrays import Floats
from solver.units import in_mm
from solver.wanted.shapes import Shape
from viz.figure import DEEP_WATER, INK, SHALLOWS, SMALL_SIZE, TEXT_SIZE, axes_at, new_figure, put_title
from viz.outlines import both_sides

# The card, in inches.
WIDTH, LARGEST = 6.4, 3.0
MARGIN, LINE = 0.3, 0.24
BEYOND = 1.15
"""Room above and below the silhouette."""
OFF = 0.3
"""How far an arrow that doesn't fit inside is drawn off the silhouette."""
LETTER = 0.095
"""Width of a letter."""
LETTERS = 62
"""Letters in a line of the text."""

ARROW = {
    "arrowstyle": "<->",
    "color": INK,
    "linewidth": 1.5,
    "shrinkA": 0,
    "shrinkB": 0,
    "mutation_scale": 14,
}


@dataclass(frozen=True, slots=True)
class Arrow:
    """A size as a straight line on the silhouette.

    Attributes
    ----------
    start, end : tuple of two float
        The places that it measures between, across and up. [mm]
    side : str
        "right" or "left": a height, drawn beside the silhouette; "above" or "below": a width beyond an end;
        "inside": a width across the silhouette.
    """

    start: tuple[float, float]
    end: tuple[float, float]
    side: str


def draw_shape(shape: Shape, *, ax: Axes | None = None) -> Axes:
    """Draw the silhouette of a named shape with an arrow for each of its sizes.

    Parameters
    ----------
    shape : Shape
        One of `named_shapes()`, drawn at the sizes of its example.
    ax : Axes, optional
        Where to draw; left out: on a card that also says in words what each size is.

    Returns
    -------
    Axes
        In mm, without a frame. The first round is below, but a part that ends open stands on its opening.
    """
    points = _standing(shape)
    half, top = float(points[:, 0].max()), float(points[:, 1].max())
    inch = max(top, 2 * half) / LARGEST  # mm that an inch of paper shows
    if ax is None:
        ax = _card(shape, height=top / inch + 2 * BEYOND)
    across = WIDTH / 2 * inch
    ax.set(xlim=(-across, across), ylim=(-BEYOND * inch, top + BEYOND * inch), aspect="equal")
    ax.axis("off")
    ax.add_patch(Polygon(both_sides(points), facecolor=SHALLOWS, edgecolor=DEEP_WATER, linewidth=1.5))
    arrows = size_arrows(shape)
    for name, arrow in arrows.items():
        _draw_arrow(ax, arrow, _label(shape, name), half=half, inch=inch)
    start = "above" if _is_flipped(shape) else "below"
    taken = any(arrow.side == start for arrow in arrows.values())
    sign, height = (1, top) if start == "above" else (-1, 0.0)
    place = height + sign * inch * (2.9 * OFF if taken else 0.4 * OFF)
    align = "bottom" if start == "above" else "top"
    ax.text(0.0, place, "first round here", ha="center", va=align, size=SMALL_SIZE, color=INK)
    return ax


def size_arrows(shape: Shape) -> dict[str, Arrow]:
    """Return where each size of a shape is measured on its silhouette, at the sizes of its example."""
    points = shape.outline(shape.example).points
    radius, height = points.T
    top, most = float(height[-1]), float(radius.max())
    widest = height[radius > (1 - 1e-6) * most]
    levels = {
        "width": float(widest[0] + widest[-1]) / 2,
        "first_width": 0.0,
        "last_width": top,
        "top_width": 0.75 * top,
        "crown": 0.5 * top,
    }
    lengths = {
        "height": (top, "right"),
        "widest": (float(widest[0]), "left"),
        "rise": (float(widest[0]), "left"),
    }
    flipped = _is_flipped(shape)

    def stood(z: float) -> float:
        return top - z if flipped else z

    arrows = {}
    for name in [*shape.needed, *shape.optional]:
        if name in levels:
            z = levels[name]
            r = float(np.interp(z, height, radius)) if 0 < z < top else float(radius[height == z].max())
            side = "inside" if 0.05 * top < z < 0.95 * top else "below" if stood(z) < top / 2 else "above"
            arrows[name] = Arrow((-r, stood(z)), (r, stood(z)), side)
        else:
            length, side = lengths[name]
            sign = 1 if side == "right" else -1
            start, end = ((sign * float(radius[height == z].max()), stood(z)) for z in (0.0, length))
            arrows[name] = Arrow(start, end, side)
    return arrows


def _is_flipped(shape: Shape) -> bool:
    return shape.stands_on_finish()


def _standing(shape: Shape) -> Floats:
    points = shape.outline(shape.example).points
    return np.column_stack([points[:, 0], points[-1, 1] - points[:, 1]]) if _is_flipped(shape) else points


def _label(shape: Shape, name: str) -> str:
    """Return the size's name as it is typed, and what it is in the drawing."""
    return f"{name}\n{in_mm(shape.example[name]) if name in shape.example else '(optional)'}"


def _draw_arrow(ax: Axes, arrow: Arrow, words: str, *, half: float, inch: float) -> None:
    """Draw an arrow at its side of the silhouette, and fine lines to the places that it measures between.

    `half` is the greatest radius, `inch` how many mm an inch of paper shows.
    """
    places = np.array([arrow.start, arrow.end])
    line, off, gap = places.copy(), OFF * inch, 0.06 * inch
    sign = -1 if arrow.side in ("left", "below") else 1
    upright = arrow.side in ("right", "left")
    if upright:
        line[:, 0] = sign * (half + off)
        past, align = np.array([sign * gap, 0.0]), ("left" if sign > 0 else "right", "center")
    else:
        line[:, 1] += 0.0 if arrow.side == "inside" else sign * off
        past, align = np.array([0.0, sign * gap]), ("center", "bottom" if sign > 0 else "top")
    label = line.mean(axis=0) + past
    letters = max(len(row) for row in words.split("\n"))
    if arrow.side == "inside" and np.ptp(line[:, 0]) < (letters * LETTER + 0.3) * inch:
        label, align = np.array([-half - off, line[0, 1]]), ("right", "center")
        ax.plot([label[0] + gap, line[0, 0]], line[:, 1], color=INK, linewidth=0.6)
    elif arrow.side != "inside":
        for place, tip in zip(places, line, strict=True):
            ax.plot(*np.array([place, tip + past]).T, color=INK, linewidth=0.6)
    ax.annotate("", xy=(line[1, 0], line[1, 1]), xytext=(line[0, 0], line[0, 1]), arrowprops=ARROW)
    text = ax.text(label[0], label[1], words, ha=align[0], va=align[1], size=TEXT_SIZE, color=INK)
    text.set_linespacing(1.15)


def _card(shape: Shape, *, height: float) -> Axes:
    """Return axes of a height in inches on a new card, its name above and its sizes in words below."""
    meanings = {**shape.needed, **shape.optional}
    lines = [
        line
        for name, meaning in meanings.items()
        for line in wrap(f"{name}: {meaning}", LETTERS, subsequent_indent="    ")
    ]
    sentence = wrap(shape.sentence, LETTERS)
    above, below = 0.55 + LINE * len(sentence), MARGIN + LINE * len(lines)
    total = above + height + below
    figure = new_figure(WIDTH, total)
    put_title(figure, shape.name, left=MARGIN)
    for words, place, align in ((sentence, 1 - 0.5 / total, "top"), (lines, 0.6 * MARGIN / total, "bottom")):
        text = figure.text(MARGIN / WIDTH, place, "\n".join(words), va=align, parse_math=False)
        text.set(size=TEXT_SIZE, color=INK, linespacing=1.3)
    return axes_at(figure, left=0.0, bottom=below, width=WIDTH, height=height)
