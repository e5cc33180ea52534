"""Pin maps: rounds against stitches of one part as on the table, with the outline that it has beside them.

Each round is a row of squares, one a stitch, the middle of the front in the middle of the row; what is sewn
on is drawn in as a line, eyes as dots, the first stitch of each round as a mark.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from matplotlib.axes import Axes

from solver.arrays import Floats
from viz.figure import (
    DEEP_WATER,
    INK,
    SHALLOWS,
    SIGNAL,
    SMALL_SIZE,
    TEXT_SIZE,
    axes_at,
    families,
    in_one,
    new_figure,
    put_title,
)

SQUARE = 0.17
"""Side of a stitch on the page, at the most. [inches]"""
WIDEST, TALLEST = 10.0, 9.0
ASIDE = 2.4
"""Room for the outline beside the map. [inches]"""


UNDER = 2.2
"""Most height of the outline under the map. [inches]"""
MARGINS = 1.1
"""Beside a map in a column, for its numbers. [inches]"""


@dataclass(frozen=True, slots=True, eq=False)
class Footprint:
    """The edge of a part that is sewn on, or an eye.

    Attributes
    ----------
    name : str
    rings : (k,) float
        Rounds from the start.
    across : (k,) float
        Stitches from the middle of the front in the row there, positive to the toy's own left.
    heights : (k,) float
        Over the lowest place of the part. [mm]
    sideways : (k,) float
        From the part's axis to its own left. [mm]
    closed : bool
    dot : bool
        An eye or a nose.
    """

    name: str
    rings: Floats
    across: Floats
    heights: Floats
    sideways: Floats
    closed: bool = True
    dot: bool = False
    behind: bool = False
    """It lies on the back, and is drawn with a broken line beside the map."""


@dataclass(frozen=True, slots=True)
class Labels:
    """What stands beside the axes."""

    rounds: str = "round"
    stitches: str = "stitches from the middle front\n(the toy's own right | its own left)"
    outline: str = "as stuffed, from the front [mm]"


def draw_pin_map(
    counts: Sequence[int],
    begins: Floats,
    outline: Floats,
    footprints: Sequence[Footprint],
    *,
    title: str,
    left: bool = False,
    column: float = 0.0,
    labels: Labels = Labels(),
) -> Axes:
    """Draw the pin map of a part.

    Parameters
    ----------
    counts : sequence of int
        Stitches of each round.
    begins : (n,) float
        Where each round begins, in stitches from the middle of the front to the toy's own left.
    outline : (k, 2) float
        From the front: sideways to its own left, and height, of the silhouette. [mm]
    footprints : sequence of Footprint
    title : str
    left : bool
        In the mirror, as left hands make it.
    column : float
        Width of the column that it is printed in, the outline under the map and no title; 0: as wide as it
        likes, side by side. [inches]
    labels : Labels

    Returns
    -------
    Axes
        Of the map: stitches from the middle of the front, the toy's own left on the right, as one sees it.
    """
    if left:
        begins, outline = -np.asarray(begins), outline * [-1.0, 1.0]
        footprints = [replace(each, across=-each.across, sideways=-each.sideways) for each in footprints]
    rows, most = len(counts), max(counts)
    square = min(SQUARE, ((column - MARGINS) if column else WIDEST) / most, TALLEST / rows)
    width, height = most * square + 1.2, rows * square
    size = np.ptp(outline, axis=0)
    tall, under = height, 0.0
    if column:
        tall = min(UNDER, (column - MARGINS) * float(size[1] / size[0]))
        under, beside = tall + 1.25, column - MARGINS
        figure = new_figure(column, height + under + 1.2)
    else:
        beside = max(ASIDE, min(4.0, height * float(size[0] / size[1])))
        figure = new_figure(width + beside + 1.2, height + 2.4)
        put_title(figure, title, left=0.3)
    middle = (column - most * square) / 2 + 0.25 if column else 0.9
    ax = axes_at(
        figure, left=middle, bottom=under + (0.9 if column else 1.2), width=most * square, height=height
    )
    _rows(ax, counts, begins, left=left)
    for each in footprints:
        _footprint(ax, each.across, each.rings, each)
    ax.set(xlim=(-most / 2 - 0.5, most / 2 + 0.5), ylim=(0, rows))
    ax.set_ylabel(labels.rounds, **_lettered(labels.rounds))
    ax.set_xlabel(labels.stitches, **_lettered(labels.stitches))
    step = 1 if square > 0.15 else 2 if square > 0.08 else 5
    numbers = [number for number in range(1, rows + 1) if number % step == 0]
    ax.set_yticks([number - 0.5 for number in numbers], [str(number) for number in numbers])
    place = {"left": 0.75, "bottom": 0.75} if column else {"left": width + 0.5, "bottom": 1.2}
    beside_ax = axes_at(figure, **place, width=beside, height=tall)
    beside_ax.fill(outline[:, 0], outline[:, 1], facecolor=SHALLOWS, edgecolor=INK, linewidth=1.2)
    for each in footprints:
        _footprint(beside_ax, each.sideways, each.heights, each, broken=each.behind)
    beside_ax.axvline(0, color=INK, linewidth=0.8, linestyle=(0, (6, 4)))
    beside_ax.set_aspect("equal")
    beside_ax.set_xlabel(labels.outline, **_lettered(labels.outline))
    return ax


def _lettered(text: str) -> dict[str, Any]:
    """Return how a label is set, in fonts that have its letters."""
    return {"size": TEXT_SIZE, "color": INK, "fontfamily": families(text)}


def _rows(ax: Axes, counts: Sequence[int], begins: Floats, *, left: bool) -> None:
    """Draw a square a stitch, where each round begins, and the middle of the front."""
    lines = []
    for row, count in enumerate(counts):
        half = count / 2
        edges = np.arange(count + 1) - half
        lines += [[(x, row), (x, row + 1)] for x in edges]
        lines += [[(-half, row), (half, row)], [(-half, row + 1), (half, row + 1)]]
    ax.plot(*in_one(lines), color="#8FA3B0", linewidth=0.5, solid_capstyle="butt")
    halves = np.array(counts) / 2
    at = (np.asarray(begins) + halves) % np.array(counts) - halves
    ax.plot(
        at, np.arange(len(counts)) + 0.5, linestyle="", marker="<" if left else ">", markersize=4, color=INK
    )
    ax.axvline(0, color=INK, linewidth=1.4, linestyle=(0, (6, 4)))
    for side in ("top", "right"):
        ax.spines[side].set_visible(False)


def _footprint(ax: Axes, x: Floats, y: Floats, each: Footprint, *, broken: bool = False) -> None:
    middle = float(np.mean(x))
    if each.dot:
        ax.plot(x, y, linestyle="", marker="o", markersize=9, color=SIGNAL, markeredgecolor="white")
    else:
        # a line that goes round the back is cut there
        jumps = np.flatnonzero(np.abs(np.diff(x)) > np.ptp(x) * 0.5) if len(x) > 2 else np.array([])
        whole = each.closed and not len(jumps)
        xs, ys = (np.append(v, v[0]) if whole else v.astype(float) for v in (x, y))
        if len(jumps):
            if np.abs(x).min() > np.ptp(x) / 8 and (x > 0).any():
                middle = float(np.mean(x[x > 0]))  # at the back: half of it stands at either end of the map
            xs, ys = np.insert(xs, jumps + 1, np.nan), np.insert(ys, jumps + 1, np.nan)
        ax.plot(xs, ys, color=DEEP_WATER, linewidth=2.6, linestyle="--" if broken else "-")
    ax.annotate(
        each.name,
        (middle, float(np.max(y))),
        xytext=(0, 5),
        textcoords="offset points",
        ha="center",
        size=SMALL_SIZE,
        color=INK,
        fontfamily=families(each.name),
        bbox={"facecolor": "white", "alpha": 0.8, "pad": 1, "edgecolor": "none"},
    )
