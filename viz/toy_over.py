"""A toy laid over its drawing: its views, and the drawn lines on them, to one scale."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from matplotlib.axes import Axes

from solver.arrays import Floats
from solver.toy.beads import Bead
from viz.figure import INK, SIGNAL, TEXT_SIZE, axes_at, new_figure, put_title
from viz.toy import VIEWS, Skin, colours_of, rendered

ROOM, GAP, HEADING, FOOT = 5.5, 0.4, 0.9, 0.6
"""Of a view, between views, above and below. [inches]"""
DOTS = 150
"""Of the picture, to the inch."""
PALE = 0.45
"""How strongly the toy shows under the lines."""


def draw_over(
    skins: Sequence[Skin], beads: Sequence[Bead], lines: Mapping[str, Sequence[Floats]], *, title: str = ""
) -> Axes:
    """Draw each view of a toy that a drawing shows, with the drawn lines over it.

    Parameters
    ----------
    skins : sequence of Skin
    beads : sequence of Bead
    lines : dict of str to sequence of (n, 2) float
        By view ("front", "side"): right and up, the ground at 0, the first part's axis at 0. [mm]
    title : str

    Returns
    -------
    Axes
        Of the last view.
    """
    points = np.concatenate([skin.points for skin in skins])
    spans = {}
    for name, drawn in lines.items():
        seen = [VIEWS[name].seen(points)[:, :2], *drawn]
        every = np.concatenate(seen)
        spans[name] = (every.min(axis=0) - 5.0, every.max(axis=0) + 5.0)
    scale = min(ROOM / max(float((high - low).max()) for low, high in spans.values()), 0.1)
    wide = [float(high[0] - low[0]) * scale for low, high in spans.values()]
    tall = max(float(high[1] - low[1]) * scale for low, high in spans.values())
    figure = new_figure(max(sum(wide) + GAP * (len(wide) + 1), 5.0), tall + HEADING + FOOT)
    put_title(figure, title, left=GAP)
    width, height = figure.get_size_inches()
    palette = colours_of([name for skin in skins for name in skin.names])
    ax, left = None, GAP
    for (name, (low, high)), across in zip(spans.items(), wide, strict=True):
        ax = axes_at(figure, left=left, bottom=FOOT, width=across, height=float(high[1] - low[1]) * scale)
        picture, extent = rendered(skins, beads, VIEWS[name], palette, mm_a_dot=1 / (scale * DOTS))
        ax.imshow(picture, extent=extent, alpha=picture[..., 3] * PALE, interpolation="antialiased")
        for line in lines[name]:
            ax.plot(*line.T, color=SIGNAL, linewidth=1.6)
        ax.set(xlim=(low[0], high[0]), ylim=(low[1], high[1]))
        ax.set_axis_off()
        words = f"from the {name}: the toy, and over it the drawn lines"
        figure.text(left / width, 0.25 / height, words, size=TEXT_SIZE, color=INK)
        left += across + GAP
    assert ax is not None
    return ax
