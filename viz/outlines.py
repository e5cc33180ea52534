"""The wanted outline (dashed) over the stuffed form (filled), to scale, with the greatest deviation marked.

The caller hands over the form as an `Outline` that is already aligned with the wanted one
(`form.raised(...)`), and the two points between which the deviation is greatest.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon
from matplotlib.ticker import FuncFormatter, MaxNLocator
from matplotlib.transforms import offset_copy
from numpy.typing import NDArray

from solver.outline import Outline
from solver.units import MM_PER_INCH
from viz.figure import (
    DEEP_WATER,
    INK,
    SHALLOWS,
    SIGNAL,
    SMALL_SIZE,
    TEXT_SIZE,
    axes_at,
    new_figure,
)

Floats = NDArray[np.float64]
Point = tuple[float, float]

WANTED_STYLE: dict[str, Any] = {"color": INK, "linewidth": 2.0, "linestyle": (0, (4.5, 2.5))}
FORM_STYLE: dict[str, Any] = {"color": DEEP_WATER, "linewidth": 1.0}


@dataclass(frozen=True, slots=True)
class Worst:
    """Where the form is farthest from the wanted outline.

    Attributes
    ----------
    form, wanted : tuple of two float
        Radius and height of the point on the form, and of the nearest one on the wanted outline. [mm]
    """

    form: Point
    wanted: Point

    @property
    def size(self) -> float:
        """Distance between the two points. [mm]"""
        return float(np.hypot(self.form[0] - self.wanted[0], self.form[1] - self.wanted[1]))

    def __str__(self) -> str:
        return f"{self.size:.2f} mm"

    @property
    def middle(self) -> Point:
        """The point half way between the two. [mm]"""
        return ((self.form[0] + self.wanted[0]) / 2, (self.form[1] + self.wanted[1]) / 2)


def draw_outlines(
    wanted: Outline, form: Outline, *, worst: Worst | None = None, ax: Axes | None = None
) -> Axes:
    """Draw the wanted outline (dashed) over the stuffed form (filled), both as whole silhouettes.

    Parameters
    ----------
    wanted, form : Outline
        Aligned with each other. [mm]
    worst : Worst, optional
        Where to mark the deviation, with its size.
    ax : Axes, optional
        Where to draw; left out: on axes of their own.

    Returns
    -------
    Axes
        In mm, with a second scale in inches along the upper and right side; equal lengths look equal.
    """
    ax = ax or axes_at(new_figure(7.2, 7.5), left=1.0, bottom=0.9, width=5.2, height=5.7)
    draw_silhouettes(ax, wanted, form)
    ax.set_aspect("equal", adjustable="datalim")
    if worst is not None:
        _mark(ax, worst, beside=max(wanted.width, form.width) / 2)
    _put_scales(ax)
    return ax


def draw_silhouettes(ax: Axes, wanted: Outline, form: Outline) -> None:
    """Draw both silhouettes alone, without marks and scales."""
    ax.add_patch(Polygon(_both_sides(form), closed=True, facecolor=SHALLOWS, edgecolor="none"))
    for side in _sides(form):
        ax.plot(*side.T, label="stuffed", **FORM_STYLE)
    for side in _sides(wanted):
        ax.plot(*side.T, label="wanted", **WANTED_STYLE)


def draw_magnified(wanted: Outline, form: Outline, worst: Worst, *, window: float, ax: Axes) -> Axes:
    """Draw the surroundings of the greatest deviation, `window` mm wide and high, with an arrow along it."""
    draw_silhouettes(ax, wanted, form)
    ax.annotate(
        "",
        xy=worst.form,
        xytext=worst.wanted,
        arrowprops={"arrowstyle": "<->", "color": SIGNAL, "linewidth": 2.0, "shrinkA": 0, "shrinkB": 0},
    )
    x, y = worst.middle
    ax.set(xlim=(x - window / 2, x + window / 2), ylim=(y - window / 2, y + window / 2), xticks=[], yticks=[])
    for frame in ax.spines.values():
        frame.set(color=SIGNAL, linewidth=2.0)
    return ax


def _both_sides(outline: Outline) -> Floats:
    """Return the silhouette as one line: up the right side and down the left."""
    return np.concatenate([outline.points, outline.points[::-1] * [-1.0, 1.0]])


def _sides(outline: Outline) -> list[Floats]:
    """Return the lines of the silhouette, without the lids that would close open ends."""
    whole, middle = _both_sides(outline), len(outline.points)
    closed_below, closed_above = outline.points[[0, -1], 0] < 1e-3 * outline.width
    if closed_above:
        return [whole]
    if closed_below:
        return [np.roll(whole, middle, axis=0)]
    return [whole[:middle], whole[middle:]]


def _mark(ax: Axes, worst: Worst, *, beside: float) -> None:
    """Ring the place of the deviation and tell its size right of the part, where it hides nothing."""
    ax.plot(
        *worst.middle,
        marker="o",
        markersize=15,
        markerfacecolor="none",
        markeredgecolor=SIGNAL,
        markeredgewidth=2,
    )
    # heights never go back, so a level line outward meets nothing of the part
    ax.annotate(
        str(worst),
        xy=worst.middle,
        xytext=(beside, worst.middle[1]),
        textcoords=offset_copy(ax.transData, ax.get_figure(root=True), x=20, units="points"),
        ha="left",
        va="center",
        size=TEXT_SIZE,
        weight="bold",
        color=SIGNAL,
        arrowprops={"arrowstyle": "-", "color": SIGNAL, "linewidth": 1.4, "shrinkA": 2, "shrinkB": 8},
        annotation_clip=False,
    )


def _put_scales(ax: Axes) -> None:
    """Put numbers in mm on the axes, and in inches on the other two sides."""
    figure = ax.get_figure(root=True)
    assert figure is not None
    frame = ax.get_window_extent()
    across, up = frame.width / figure.dpi, frame.height / figure.dpi
    change = (lambda mm: np.asarray(mm) / MM_PER_INCH, lambda inch: np.asarray(inch) * MM_PER_INCH)
    above = ax.secondary_xaxis("top", functions=change)
    beside = ax.secondary_yaxis("right", functions=change)
    high_enough = up > 2.5
    ax.set_xlabel("from the middle [mm]", size=TEXT_SIZE, color=INK)
    ax.set_ylabel(f"height {'above the start ' if high_enough else ''}[mm]", size=TEXT_SIZE, color=INK)
    above.set_xlabel("[inches]", size=TEXT_SIZE, color=INK)
    beside.set_ylabel("[inches]", size=TEXT_SIZE, color=INK)
    for axis, room in ((ax.xaxis, across), (above.xaxis, across), (ax.yaxis, up), (beside.yaxis, up)):
        axis.set_major_locator(MaxNLocator(nbins=max(2, int(room / 0.6)), steps=[1, 2, 2.5, 5, 10]))
        axis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    for axis in (ax.xaxis, above.xaxis):  # left of the middle too, nobody measures with a minus sign
        axis.set_major_formatter(FuncFormatter(lambda value, _: f"{abs(value):g}"))
    for side in (above, beside):
        side.tick_params(labelsize=SMALL_SIZE, colors=INK)
