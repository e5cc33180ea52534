"""The wanted outline (dashed) over the stuffed form (filled), to scale, with the greatest deviation marked.

`viz.comparison` makes a page of it, with a table of sizes.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon
from matplotlib.ticker import FuncFormatter, MaxNLocator
from matplotlib.transforms import offset_copy
from numpy.typing import ArrayLike

from solver.arrays import Floats
from solver.units import MM_PER_INCH
from solver.wanted.outline import Outline
from solver.wanted.silhouette import Deviation, offsets
from viz.figure import (
    DEEP_WATER,
    INK,
    MINUS,
    SHALLOWS,
    SIGNAL,
    SMALL_SIZE,
    TEXT_SIZE,
    axes_at,
    inches_of,
    new_figure,
)

WANTED_STYLE: dict[str, Any] = {"color": INK, "linewidth": 2.0, "linestyle": (0, (4.5, 2.5))}
FORM_STYLE: dict[str, Any] = {"color": DEEP_WATER, "linewidth": 1.0}


def draw_outlines(
    wanted: Outline,
    form: ArrayLike,
    deviation: Deviation | None = None,
    *,
    from_top: bool = False,
    ax: Axes | None = None,
) -> Axes:
    """Draw the wanted outline (dashed) over the stuffed form (filled), both as whole silhouettes.

    Parameters
    ----------
    wanted : Outline
        What was drawn. [mm]
    form : (m, 2) array_like
        Radius and height of the form's rings. [mm]
    deviation : Deviation, optional
        Of the form from the wanted outline: says how to align the two, and which place to mark. Left out, the
        form is drawn as it stands.
    from_top : bool
        Whether it stands with its start above.
    ax : Axes, optional
        Where to draw; left out: on axes of their own.

    Returns
    -------
    Axes
        In mm, with a second scale in inches along the upper and right side; equal lengths look equal.
    """
    ax = ax or axes_at(new_figure(7.2, 7.5), left=1.0, bottom=0.9, width=5.2, height=5.7)
    points = aligned(form, deviation)
    draw_silhouettes(ax, wanted, points)
    ax.set_aspect("equal", adjustable="datalim")
    if deviation is not None:
        _mark(ax, deviation, beside=float(max(wanted.points[:, 0].max(), points[:, 0].max())))
    _put_scales(ax, from_top=from_top)
    return ax


def aligned(form: ArrayLike, deviation: Deviation | None) -> Floats:
    """Return the form's points (m, 2), moved along the axis as the deviation was taken. [mm]"""
    raised = 0.0 if deviation is None else deviation.raised
    return np.asarray(np.asarray(form, dtype=float) + np.array([0.0, raised]))


def draw_silhouettes(ax: Axes, wanted: Outline, form: Floats) -> None:
    """Draw both silhouettes alone, without marks and scales."""
    ax.add_patch(Polygon(both_sides(form), closed=True, facecolor=SHALLOWS, edgecolor="none"))
    for side in _sides(form):
        ax.plot(*side.T, **FORM_STYLE)
    for side in _sides(wanted.points):
        ax.plot(*side.T, **WANTED_STYLE)


def draw_magnified(
    wanted: Outline, form: ArrayLike, deviation: Deviation, *, window: float, ax: Axes
) -> Axes:
    """Draw `window` mm about the place of the greatest deviation, with an arrow along it."""
    draw_silhouettes(ax, wanted, aligned(form, deviation))
    place = deviation.place
    there = offsets(place[None], wanted)
    ax.annotate(
        "",
        xy=tuple(place),
        xytext=tuple(place - there.distance[0] * there.direction[0]),
        arrowprops={"arrowstyle": "<->", "color": SIGNAL, "linewidth": 2.0, "shrinkA": 0, "shrinkB": 0},
    )
    x, y = place - there.distance[0] * there.direction[0] / 2
    ax.set(xlim=(x - window / 2, x + window / 2), ylim=(y - window / 2, y + window / 2), xticks=[], yticks=[])
    for frame in ax.spines.values():
        frame.set(color=SIGNAL, linewidth=2.0)
    return ax


def both_sides(points: Floats) -> Floats:
    """Return the silhouette as one line: up the right side and down the left."""
    return np.concatenate([points, points[::-1] * [-1.0, 1.0]])


def _sides(points: Floats) -> list[Floats]:
    """Return the lines of the silhouette, without the lids that would close open ends."""
    whole, middle = both_sides(points), len(points)
    closed_below, closed_above = points[[0, -1], 0] < 1e-3 * points[:, 0].max()
    if closed_above:
        return [whole]
    if closed_below:
        return [np.roll(whole, middle, axis=0)]
    return [whole[:middle], whole[middle:]]


def _mark(ax: Axes, deviation: Deviation, *, beside: float) -> None:
    """Ring the place of the deviation and tell its size right of the part, where it hides nothing."""
    ax.plot(
        *deviation.place,
        marker="o",
        markersize=15,
        markerfacecolor="none",
        markeredgecolor=SIGNAL,
        markeredgewidth=2,
    )
    # heights don't go back along an outline, so a level line outward meets no other part of it
    ax.annotate(
        f"{deviation.greatest:.2f} mm",
        xy=tuple(deviation.place),
        xytext=(beside, deviation.place[1]),
        textcoords=offset_copy(ax.transData, ax.get_figure(root=True), x=20, units="points"),
        ha="left",
        va="center",
        size=TEXT_SIZE,
        weight="bold",
        color=SIGNAL,
        arrowprops={"arrowstyle": "-", "color": SIGNAL, "linewidth": 1.4, "shrinkA": 2, "shrinkB": 8},
        annotation_clip=False,
    )


def _put_scales(ax: Axes, *, from_top: bool) -> None:
    """Put numbers in mm on the axes, and in inches on the other two sides; from the top downward if so."""
    if from_top:
        ax.invert_yaxis()
    across, up = inches_of(ax)
    change = (lambda mm: np.asarray(mm) / MM_PER_INCH, lambda inch: np.asarray(inch) * MM_PER_INCH)
    above = ax.secondary_xaxis("top", functions=change)
    beside = ax.secondary_yaxis("right", functions=change)
    ax.set_xlabel("from the middle [mm]", size=TEXT_SIZE, color=INK)
    ax.set_ylabel(
        "below the start [mm]" if from_top else f"height {'above the start ' if up > 2.5 else ''}[mm]",
        size=TEXT_SIZE,
        color=INK,
    )
    above.set_xlabel("[inches]", size=TEXT_SIZE, color=INK)
    beside.set_ylabel("[inches]", size=TEXT_SIZE, color=INK)
    for axis, room in ((ax.xaxis, across), (above.xaxis, across), (ax.yaxis, up), (beside.yaxis, up)):
        axis.set_major_locator(MaxNLocator(nbins=max(2, int(room / 0.6)), steps=[1, 2, 2.5, 5, 10]))
        axis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}".replace("-", MINUS)))
    for axis in (ax.xaxis, above.xaxis):  # left of the middle too, nobody measures with a minus sign
        axis.set_major_formatter(FuncFormatter(lambda value, _: f"{abs(value):g}"))
    for side in (above, beside):
        side.tick_params(labelsize=SMALL_SIZE, colors=INK)
