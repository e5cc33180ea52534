"""Cards of the oval shapes: what is seen from the front and from above, with the sizes that they need.

Called as::

    for name in OVALS:
        save_figure(draw_oval(name)[0].figure, folder / f"{name}.png")
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from solver.form.views import wanted_outline
from solver.units import in_mm
from solver.wanted.stadium import Stadium, flat, seamed
from viz.figure import DEEP_WATER, INK, SHALLOWS, SMALL_SIZE, TEXT_SIZE, axes_at, new_figure, put_title
from viz.shapes import ARROW

# The card, in inches.
WIDTH, MARGIN, LINE, ACROSS = 6.4, 0.3, 0.24, 3.2
ABOVE, BELOW, OFF = 0.45, 0.75, 0.3


@dataclass(frozen=True, slots=True)
class OvalShape:
    """An oval shape: what it is, its sizes with their meanings, and its surface at sensible ones."""

    sentence: str
    needed: dict[str, str]
    surface: Stadium

    @property
    def views(self) -> dict[str, tuple[str, str]]:
        """For each view that is drawn its words and the size upward in it."""
        told = {"front": ("from the front", "height")} if self.surface.height else {}
        return {**told, "plan": ("from above", "width")}


_ALONG = {"length": "the greatest size, along the chain", "width": "the size across the chain"}
OVALS = {
    "oval": OvalShape(
        "An elongated part on a chain, its ends round: a hull, a snout, a pod.",
        {**_ALONG, "height": "the size upward from the chain"},
        seamed(length=90.0, width=45.0, height=45.0),
    ),
    "flat oval": OvalShape(
        "A flat piece on a chain, not stuffed: a sole, a foot, a base.", _ALONG, flat(length=90.0, width=40.0)
    ),
}
"""By the name that a part file has for them, at the sizes that `plumpline shapes` shows."""


def draw_oval(name: str) -> list[Axes]:
    """Draw an oval shape with its chain and an arrow for each of its sizes.

    Parameters
    ----------
    name : str
        One of `OVALS`.

    Returns
    -------
    list of Axes
        One for each view, to one scale, in mm, without a frame.
    """
    shape = OVALS[name]
    inch = shape.surface.length / ACROSS  # mm that an inch of paper shows
    outlines = {view: wanted_outline(shape.surface, view) for view in shape.views}
    heights = {view: float(np.ptp(points[:, 1])) / inch + ABOVE + BELOW for view, points in outlines.items()}
    lines = [f"{size}: {meaning}" for size, meaning in shape.needed.items()]
    foot = MARGIN + LINE * len(lines)
    total = 0.55 + LINE + sum(heights.values()) + foot
    figure = new_figure(WIDTH, total)
    put_title(figure, name, left=MARGIN)
    for words, place, align in (
        (shape.sentence, 1 - 0.5 / total, "top"),
        ("\n".join(lines), 0.6 * MARGIN / total, "bottom"),
    ):
        text = figure.text(MARGIN / WIDTH, place, words, va=align, parse_math=False)
        text.set(size=TEXT_SIZE, color=INK, linespacing=1.3)
    axes, top = [], total - 0.55 - LINE
    for view, height in heights.items():
        axes.append(axes_at(figure, left=0.0, bottom=top - height, width=WIDTH, height=height))
        _draw(axes[-1], outlines[view], shape, view, inch=inch)
        top -= height
    return axes


def _draw(ax: Axes, points: np.ndarray, shape: OvalShape, view: str, *, inch: float) -> None:
    """Draw one view, its chain dotted, with an arrow along it below and one upward beside it."""
    (left, low), (right, high) = points.min(axis=0), points.max(axis=0)
    middle, half = (left + right) / 2, WIDTH / 2 * inch
    ax.set(xlim=(middle - half, middle + half), ylim=(low - BELOW * inch, high + ABOVE * inch))
    ax.axis("off")
    ax.add_patch(Polygon(points, closed=True, facecolor=SHALLOWS, edgecolor=DEEP_WATER, linewidth=1.5))
    words, upward = shape.views[view]
    ax.text(left, high + 0.12 * inch, words, size=SMALL_SIZE, color=INK, va="bottom")
    chain = float(shape.surface.straights[0]) / 2
    level = low if view == "front" else 0.0
    ax.plot([middle - chain, middle + chain], [level, level], color=INK, linewidth=2.5, linestyle=":")
    ax.text(middle, level + 0.08 * inch, "chain", size=SMALL_SIZE, color=INK, ha="center", va="bottom")
    under, beside, gap = low - OFF * inch, right + OFF * inch, 0.06 * inch
    for start, end in (((left, under), (right, under)), ((beside, low), (beside, high))):
        ax.annotate("", xy=end, xytext=start, arrowprops=ARROW)
    for x, tip in ((left, low), (right, low)):
        ax.plot([x, x], [tip, under - gap], color=INK, linewidth=0.6)
    for y in (low, high):
        ax.plot([middle, beside + gap], [y, y], color=INK, linewidth=0.6, zorder=0)
    sizes = shape.surface
    along, up = (f"{size}\n{in_mm(getattr(sizes, size))}" for size in ("length", upward))
    ax.text(middle, under - gap, along, size=TEXT_SIZE, color=INK, ha="center", va="top", linespacing=1.15)
    ax.text(beside + 2 * gap, (low + high) / 2, up, size=TEXT_SIZE, color=INK, va="center", linespacing=1.15)
