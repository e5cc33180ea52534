"""The size of a part against its gauge."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from viz.figure import DEEP_WATER, INK, SIGNAL, SMALL_SIZE, TEXT_SIZE, axes_at, new_figure, put_title


def draw_size_against_gauge(
    stitches: NDArray[np.float64],
    sizes: NDArray[np.float64],
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
        Sizes asked for. [mm, ml]
    measure : str
        Which size it is: "height when stuffed".
    title : str
    ax : Axes, optional
        Where to draw; left out: a new figure.
    """
    if ax is None:
        figure = new_figure(7.5, 5.5)
        put_title(figure, title, left=0.9)
        ax = axes_at(figure, left=0.9, bottom=0.8, width=6.2, height=4.0)
    unit = "ml" if measure.startswith("volume") else "mm"
    ax.plot(stitches, sizes, color=DEEP_WATER, lw=2.5)
    for target in targets:
        ax.axhline(target, color=SIGNAL, lw=1.8, ls=(0, (5, 3)))
        label = f"asked for: {target:.0f} {unit}"
        ax.text(
            0.98, target, label, transform=ax.get_yaxis_transform(), ha="right", va="bottom", size=SMALL_SIZE
        )
    ax.axvline(here, color=INK, lw=1.2, ls=":")
    ax.text(here, 0.02, " this gauge", transform=ax.get_xaxis_transform(), size=SMALL_SIZE, color=INK)
    ax.set_xlabel("stitches to 10 cm (same rounds, rows in proportion)", size=TEXT_SIZE, color=INK)
    ax.set_ylabel(f"{measure} [{unit}]", size=TEXT_SIZE, color=INK)
    return ax
