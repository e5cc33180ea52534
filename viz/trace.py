"""The check picture of a trace: what was read, laid over what it was read from.

Called as::

    axes = draw_trace(trace.seen, title="gull.png")
    save_figure(axes.figure, path)
"""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D

from solver.tracing.trace import Seen
from viz.figure import DEEP_WATER, INK, SIGNAL, SMALL_SIZE, TEXT_SIZE, axes_at, new_figure, put_title

# The page, in inches.
TALLEST, WIDEST = 7.0, 6.5
MARGIN, HEADING, KEY, SCALES = 0.3, 0.6, 0.95, 0.55
PAD = 0.08
"""Room round lines without a picture, of their size."""

READ_STYLE: dict[str, Any] = {"color": SIGNAL, "linewidth": 1.2}
MANY_STYLE: dict[str, Any] = {"color": SIGNAL, "linewidth": 0.5, "alpha": 0.6}
USED_STYLE: dict[str, Any] = {"color": DEEP_WATER, "linewidth": 2.2, "linestyle": (0, (4.0, 4.0))}
AXIS_STYLE: dict[str, Any] = {"color": INK, "linewidth": 1.2, "linestyle": (0, (9, 3, 1.5, 3))}
FADED = 0.65
"""What is left of the picture's strength, so that lines show on a dark drawing, and it beside them."""

MANY = 8
"""Lines from here on are drawn thin: sections of a model."""


def draw_trace(seen: Seen, *, title: str = "", ax: Axes | None = None) -> Axes:
    """Draw the lines that were read (thin), the outline that came of them (dashed) and the axis.

    Parameters
    ----------
    seen : Seen
        Of a trace.
    title : str
        Heading, such as the name of the file.
    ax : Axes, optional
        Where to draw; left out: on axes of their own, with a heading and a key.

    Returns
    -------
    Axes
        In the units of `seen`; equal lengths look equal.
    """
    left, right, low, high = _frame(seen)
    if ax is None:
        ax = _page(seen, title, across=right - left, up=high - low)
    if seen.picture is not None:
        h, w = seen.picture.shape[:2]
        # the places of pixels are those of their middles
        faded = 1 - FADED * (1 - seen.picture)
        ax.imshow(faded, extent=(-0.5, w - 0.5, 0.5 - h, 0.5), interpolation="antialiased")
        ax.set(xticks=[], yticks=[])
    style = MANY_STYLE if len(seen.read) > MANY else READ_STYLE
    for line in seen.read:
        points = line if len(seen.read) > MANY else np.vstack([line, line[:1]])
        ax.plot(*points.T, **style)
    ax.plot(*seen.used.T, **USED_STYLE)
    middle = seen.axis.mean(axis=0)
    ax.plot(*(middle + 1.12 * (seen.axis - middle)).T, **AXIS_STYLE)
    ax.set(xlim=(left, right), ylim=(low, high))
    ax.set_aspect("equal")
    if seen.unit == "mm":
        ax.set_xlabel("mm", size=TEXT_SIZE, color=INK)
        ax.set_ylabel("mm", size=TEXT_SIZE, color=INK)
    return ax


def _frame(seen: Seen) -> tuple[float, float, float, float]:
    """Return left, right, lowest and highest of what is shown: all of the picture and the lines."""
    points = np.vstack([*seen.read, seen.used, seen.axis])
    low, high = points.min(axis=0), points.max(axis=0)
    room = PAD * float((high - low).max()) if seen.picture is None else 0.0
    left, right, low, high = low[0] - room, high[0] + room, low[1] - room, high[1] + room
    if seen.picture is not None:
        h, w = seen.picture.shape[:2]
        left, right, low, high = min(left, -0.5), max(right, w - 0.5), min(low, 0.5 - h), max(high, 0.5)
    return float(left), float(right), float(low), float(high)


def _page(seen: Seen, title: str, *, across: float, up: float) -> Axes:
    scale = min(TALLEST / up, WIDEST / across)
    left = MARGIN + (SCALES + MARGIN if seen.unit == "mm" else 0)
    bottom = KEY + (SCALES if seen.unit == "mm" else 0)
    width = max(left + across * scale + MARGIN, 4.5)
    figure = new_figure(width, bottom + up * scale + HEADING)
    put_title(figure, title, left=MARGIN)
    ax = axes_at(figure, left=left, bottom=bottom, width=across * scale, height=up * scale)
    keys = [
        Line2D([], [], **READ_STYLE, label="what was read"),
        Line2D([], [], **USED_STYLE, label="the outline that came of it"),
        Line2D([], [], **AXIS_STYLE, label="its axis"),
    ]
    figure.legend(
        handles=keys,
        loc="lower left",
        bbox_to_anchor=(MARGIN / width, 0.06 / figure.get_size_inches()[1]),
        fontsize=SMALL_SIZE,
        frameon=False,
        borderaxespad=0,
        handlelength=3.6,
        labelcolor=INK,
    )
    return ax
