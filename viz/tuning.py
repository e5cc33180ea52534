"""The size of a part against its gauge."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes

from solver.arrays import Floats
from viz.figure import (
    DEEP_WATER,
    INK,
    SIGNAL,
    SMALL_SIZE,
    TEXT_SIZE,
    axes_at,
    inches_of,
    new_figure,
    put_title,
)

EDGE = 0.06
"""Room above the largest and below the smallest size, in parts of what lies between."""

LINE = 1.4
"""Height of a line of words, in letter sizes."""

BESIDE = 1.05
"""Where words beside the frame begin, in widths of it."""


def draw_size_against_gauge(
    stitches: Floats,
    sizes: Floats,
    *,
    here: float,
    targets: Sequence[float],
    measure: str,
    title: str,
    ax: Axes | None = None,
) -> Axes:
    """Draw the size that the same rounds come out at against the gauge, with the sizes asked for.

    Parameters
    ----------
    stitches : (n,) float
        Stitches to 10 cm.
    sizes : (n,) float
        Size at each. [mm, volume ml]
    here : float
        The part's own gauge. [stitches to 10 cm]
    targets : sequence of float
        Sizes asked for, at least one. [mm, ml]
    measure : str
        Which size it is: "height when stuffed".
    title : str
    ax : Axes, optional
        Where to draw, with room for words on the right; left out: a new figure.
    """
    if ax is None:
        figure = new_figure(10.0, 5.5)
        put_title(figure, title, left=0.9)
        ax = axes_at(figure, left=0.9, bottom=0.8, width=5.6, height=4.0)
    unit = "ml" if measure.startswith("volume") else "mm"
    ax.plot(stitches, sizes, color=DEEP_WATER, lw=2.5)
    low, high = min(sizes.min(), *targets), max(sizes.max(), *targets)
    ax.set_ylim(low - EDGE * (high - low), high + EDGE * (high - low))
    ax.axvline(here, color=INK, lw=1.2, ls=":")
    on_right = here < (stitches.min() + stitches.max()) / 2
    ax.annotate(
        "this gauge",
        (here, 0.02),
        xycoords=("data", "axes fraction"),
        xytext=(4 if on_right else -4, 0),
        textcoords="offset points",
        ha="left" if on_right else "right",
        size=SMALL_SIZE,
        color=INK,
    )
    _mark_targets(ax, stitches, sizes, sorted(targets), unit=unit)
    ax.set_xlabel("stitches to 10 cm (same rounds, rows in proportion)", size=TEXT_SIZE, color=INK)
    ax.set_ylabel(f"{measure} [{unit}]", size=TEXT_SIZE, color=INK)
    return ax


def _mark_targets(ax: Axes, stitches: Floats, sizes: Floats, targets: Sequence[float], *, unit: str) -> None:
    """Draw a line at each size asked for and a dot where it is hit; tell both beside the frame."""
    order = np.argsort(sizes)
    low, high = ax.get_ylim()
    line = LINE * SMALL_SIZE / 72 / inches_of(ax)[1]
    told = targets[:: int(np.ceil(len(targets) * line))]
    places = _apart([(target - low) / (high - low) for target in told], least=line)
    for target in targets:
        ax.axhline(target, color=SIGNAL, lw=1.8, ls=(0, (5, 3)))
    for target, place in zip(told, places, strict=True):
        label = f"asked for {target:.0f} {unit}"
        if sizes.min() <= target <= sizes.max():
            at = float(np.interp(target, sizes[order], stitches[order]))
            ax.plot(at, target, "o", color=SIGNAL, ms=9)
            label += f": {at:.1f} stitches"
        ax.annotate(
            label,
            (1.0, target),
            xycoords=("axes fraction", "data"),
            xytext=(BESIDE, place),
            textcoords="axes fraction",
            va="center",
            size=SMALL_SIZE,
            color=INK,
            arrowprops={"arrowstyle": "-", "color": SIGNAL, "lw": 1.2, "relpos": (0, 0.5), "shrinkB": 0},
        )


def _apart(places: Sequence[float], *, least: float) -> list[float]:
    """Return rising places within 0 to 1, moved no farther than needed to lie so far apart."""
    steps = least * np.arange(len(places))
    up = np.maximum.accumulate(np.array(places) - steps)
    return list(np.minimum(up, 1 - steps[-1]) + steps)
