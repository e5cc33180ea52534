"""The page of `compare` for an oval part: three views laid over each other, sizes, and sections of rounds.

Called as::

    axes = draw_oval_comparison(solution.views, sections, sizes, title=part.title, footnote="...")
    save_figure(axes[0].figure, path)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon
from matplotlib.patheffects import withStroke
from matplotlib.ticker import FuncFormatter, MaxNLocator

from solver.form.views import View
from solver.units import in_inches, in_mm
from viz.comparison import draw_sizes, draw_table
from viz.figure import DEEP_WATER, INK, MINUS, SHALLOWS, SMALL_SIZE, TEXT_SIZE, axes_at, new_figure, put_title
from viz.outlines import FORM_STYLE, WANTED_STYLE

# The page, in inches.
LONGEST, HIGHEST = 5.2, 6.4
LEFT, BELOW, ABOVE, GAP, PAD, HEADING, FOOTNOTE, MARGIN = 0.8, 0.7, 0.65, 0.35, 0.15, 0.75, 0.4, 0.3
ROW, TABLE_WIDTH, WORDS_WIDTH = 0.52, 4.7, 2.4

WORDS = {"front": "from the front", "side": "from the side", "plan": "from above"}


def draw_oval_comparison(
    views: Mapping[str, View],
    sections: Sequence[tuple[int, np.ndarray]],
    rows: Sequence[tuple[str, float, float]],
    *,
    lengths: Mapping[int, tuple[float, float]] | None = None,
    title: str = "",
    footnote: str = "",
) -> list[Axes]:
    """Draw the page that tells how the form of an oval part differs from what was wanted.

    Parameters
    ----------
    views : mapping of str to View
        "front", "side" and "plan"; of a flat piece only the last.
    sections : sequence of (int, (m, 2) array)
        Rounds by their number, seen from above, those below hidden by none: the first inmost. [mm]
    rows : sequence of (str, float, float)
        The table of sizes: name, wanted, got. [mm, of "volume" ml]
    lengths : mapping of int to (float, float), optional
        Length and width of sections that are not level, in their own planes. [mm]
    title : str
        Heading, the part's name.
    footnote : str
        One line under everything.

    Returns
    -------
    list of Axes
        One for each view, to one scale, in mm.
    """
    size = {name: _size(view) for name, view in views.items()}
    columns = [[name for name in ("front", "plan") if name in views], ["side"] if "side" in views else []]
    high = sum(size[name][1] for name in columns[0])
    scale = min(LONGEST / size["plan"][0], HIGHEST / high)
    frames = {
        name: (max(w * scale, WORDS_WIDTH) + 2 * PAD, h * scale + 2 * PAD) for name, (w, h) in size.items()
    }
    left = max(frames[name][0] for name in columns[0])
    beside = LEFT + left + GAP + ((LEFT + frames["side"][0] + GAP) if columns[1] else 0.0)
    tables = HEADING + ROW * (len(rows) + 1) + GAP + ROW * (len(sections) + 2)
    height = max(HEADING + sum(frames[name][1] + ABOVE + BELOW for name in columns[0]), tables) + FOOTNOTE
    figure = new_figure(beside + TABLE_WIDTH + MARGIN, height)
    put_title(figure, title, left=MARGIN)
    axes = []
    for number, names in enumerate(columns):
        top = height - HEADING
        for name in names:
            across, up = frames[name]
            at = LEFT if number == 0 else LEFT + left + GAP + LEFT
            axes.append(axes_at(figure, left=at, bottom=top - ABOVE - up, width=across, height=up))
            _draw_view(views[name], name, sections if name == "plan" else (), scale=scale, ax=axes[-1])
            top -= ABOVE + up + BELOW
    top = height - HEADING
    tall = ROW * (len(rows) + 1)
    table = axes_at(figure, left=beside, bottom=top - tall, width=TABLE_WIDTH, height=tall)
    draw_sizes(rows, made="stuffed" if len(views) > 1 else "made", ax=table)
    if sections:
        body = _sections(sections, lengths or {})
        low = top - tall - GAP - ROW * len(body)
        place = {"left": beside, "bottom": low, "width": TABLE_WIDTH, "height": ROW * len(body)}
        draw_table(body, ax=axes_at(figure, **place))
    figure.text(
        MARGIN / (beside + TABLE_WIDTH + MARGIN), 0.14 / height, footnote, size=SMALL_SIZE, color=INK,
        parse_math=False,
    )  # fmt: skip
    return axes


def _size(view: View) -> tuple[float, float]:
    both = np.concatenate([view.wanted, view.form])
    across, up = np.ptp(both, axis=0)
    return float(across), float(up)


def _draw_view(
    view: View, name: str, sections: Sequence[tuple[int, np.ndarray]], *, scale: float, ax: Axes
) -> None:
    """Draw one view in axes whose size is known, and say how far its outlines lie apart."""
    both = np.concatenate([view.wanted, view.form])
    middle = (both.max(axis=0) + both.min(axis=0)) / 2
    box = ax.get_window_extent()
    half = np.array([box.width, box.height]) / ax.figure.dpi / scale / 2
    ax.set(xlim=(middle[0] - half[0], middle[0] + half[0]), ylim=(middle[1] - half[1], middle[1] + half[1]))
    ax.add_patch(Polygon(view.form, closed=True, facecolor=SHALLOWS, edgecolor=FORM_STYLE["color"]))
    for ring in (ring for _, ring in sections):
        ax.plot(*np.concatenate([ring, ring[:1]]).T, color=DEEP_WATER, linewidth=0.8)
    _number(sections, ax=ax)
    ax.plot(*np.concatenate([view.wanted, view.wanted[:1]]).T, **WANTED_STYLE)
    words = f"{WORDS[name]}\n{view.rms:.1f} mm apart, {view.greatest:.1f} mm at most"
    ax.set_title(words, size=TEXT_SIZE, color=INK, loc="left", linespacing=1.25)
    for axis, room in ((ax.xaxis, half[0] * 2 * scale), (ax.yaxis, half[1] * 2 * scale)):
        axis.set_major_locator(MaxNLocator(nbins=max(2, int(room / 0.7)), steps=[1, 2, 2.5, 5, 10]))
        axis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}".replace("-", MINUS)))
    ax.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{abs(value):g}"))
    if name == "plan":
        ax.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{abs(value):g}"))
    ax.set_xlabel("from the middle [mm]", size=TEXT_SIZE, color=INK)
    ax.set_ylabel("height [mm]" if name != "plan" else "[mm]", size=TEXT_SIZE, color=INK)


APART = 0.24
"""Distance of two numbers that can be told apart. [inch]"""


def _number(sections: Sequence[tuple[int, np.ndarray]], *, ax: Axes) -> None:
    """Write the number of each section on its own line, along the near side or where there is room."""
    if not sections:
        return
    half = float(np.ptp(sections[0][1][:, 0])) / 2
    apart = APART * float(np.ptp(ax.get_xlim())) / (ax.get_window_extent().width / ax.figure.dpi)
    placed = np.empty((0, 2))
    for (number, ring), share in zip(sections, np.linspace(-1, 1, len(sections) + 2)[1:-1], strict=True):
        x = share * half
        low = ring[ring[:, 1] <= ring[:, 1].mean()]
        low = low[np.argsort(low[:, 0])]
        y = float(np.interp(x, low[:, 0], low[:, 1]))
        spots = np.concatenate([[[x, y]], ring])
        room = np.linalg.norm(spots[:, None] - placed, axis=2).min(axis=1, initial=np.inf)
        x, y = spots[0] if room[0] >= apart else spots[np.argmax(room)]
        placed = np.concatenate([placed, [[x, y]]])
        told = ax.text(x, y, str(number), size=SMALL_SIZE, color=INK, ha="center", va="center")
        told.set_path_effects([withStroke(linewidth=4, foreground=SHALLOWS)])


def _sections(
    sections: Sequence[tuple[int, np.ndarray]], lengths: Mapping[int, tuple[float, float]]
) -> list[tuple[str, ...]]:
    table: list[tuple[str, ...]] = [("section", "stitches", "length", "width")]
    for number, ring in sections:
        sizes = lengths.get(number) or np.ptp(ring, axis=0).tolist()
        both = (f"{in_mm(size)}\n{in_inches(size)}" for size in sizes)
        table.append((f"round {number}", str(len(ring)), *both))
    return table
