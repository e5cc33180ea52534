"""The page of `compare`: outlines laid over each other, a table of sizes, and the worst place magnified.

Called as::

    axes = draw_comparison(part.outline, solved.form.outline, solved.deviation, sizes, title=part.title)
    save_figure(axes.figure, path)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from solver.arrays import Floats
from solver.units import in_inches
from solver.wanted.outline import Outline
from solver.wanted.silhouette import Deviation
from viz.figure import (
    INK,
    MINUS,
    SHALLOWS,
    SIGNAL,
    SMALL_SIZE,
    TEXT_SIZE,
    axes_at,
    new_figure,
    put_title,
)
from viz.outlines import FORM_STYLE, WANTED_STYLE, aligned, draw_magnified, draw_outlines

# The page, in inches.
TALLEST, WIDEST = 6.2, 6.0
LEFT, RIGHT, BELOW, ABOVE = 0.95, 0.95, 0.75, 1.2
HEADING, FOOTNOTE, MARGIN, GAP, PAD = 0.75, 0.4, 0.25, 0.35, 0.2
TABLE_WIDTH, TABLE_HEIGHT = 4.7, 2.9
LOUPE, LOUPE_TITLE = 2.5, 0.75
LABEL_ROOM = 1.4

COLUMNS = (0.0, 0.45, 0.72, 1.0)
"""Where the columns of the table are: the left edge of the first, the right edges of the others."""

AS_DRAWN = "as drawn: nowhere more than\na quarter of a stitch away"

MAGNIFICATIONS = (50, 40, 30, 20, 15, 10, 8, 6, 5, 4, 3, 2, 1)


@dataclass(frozen=True, slots=True)
class _Box:
    """A place on the page. [inches]"""

    left: float
    bottom: float
    width: float
    height: float


def draw_comparison(
    wanted: Outline,
    form: Floats,
    deviation: Deviation,
    sizes: Sequence[tuple[str, float, float]],
    *,
    stitch_width: float = 0.0,
    made: str = "stuffed",
    from_top: bool = False,
    title: str = "",
    footnote: str = "",
) -> Axes:
    """Draw the page that tells how the stuffed form differs from what was wanted.

    Parameters
    ----------
    wanted : Outline
        What was drawn. [mm]
    form : (m, 2) float
        Outline of what the rounds become. [mm]
    deviation : Deviation
        Of the one from the other.
    sizes : sequence of (str, float, float)
        The table: a size's name, wanted, got. [mm, of "volume" ml]
    stitch_width : float
        A form that is nowhere a quarter of this from the drawing is as drawn, and not magnified. [mm]
    made : str
        What the form is: "stuffed".
    from_top : bool
        Whether it stands with its start above; heights are then told downward from there.
    title : str
        Heading, the part's name.
    footnote : str
        One line under everything, such as that the outlines are of the middle of the fabric.

    Returns
    -------
    Axes
        The outlines; its figure holds the table and the magnified place as well.
    """
    page = _page_for(np.concatenate([wanted.points, aligned(form, deviation)]))
    figure = new_figure(page.width, page.height)
    put_title(figure, title, left=MARGIN)
    ax = axes_at(figure, **asdict(page.drawing))
    ax.set(xlim=page.across, ylim=page.up)
    draw_outlines(wanted, form, deviation, from_top=from_top, ax=ax)
    draw_sizes(sizes, made=made, ax=axes_at(figure, **asdict(page.table)))
    if deviation.greatest < stitch_width / 4:
        at = (page.loupe.left / page.width, (page.loupe.bottom + page.loupe.height) / page.height)
        figure.text(*at, AS_DRAWN, size=TEXT_SIZE, color=INK, va="top", linespacing=1.4)
    else:
        loupe = _put_loupe(figure, page, wanted, form, deviation, from_top=from_top)
        if from_top:
            loupe.invert_yaxis()
    at = (MARGIN / page.width, 0.14 / page.height)
    figure.text(*at, footnote, size=SMALL_SIZE, color=INK, parse_math=False)
    return ax


@dataclass(frozen=True, slots=True)
class _Page:
    """Where everything goes, in inches; `scale` is inches of paper for each mm of the part."""

    width: float
    height: float
    scale: float
    across: tuple[float, float]
    up: tuple[float, float]
    drawing: _Box
    table: _Box
    loupe: _Box


def _page_for(points: Floats) -> _Page:
    """Lay out a page: table and loupe right of a part, or under one that is much wider than high."""
    half, low, high = points[:, 0].max(), points[:, 1].min(), points[:, 1].max()
    scale = float(min(TALLEST / (high - low), WIDEST / (2 * half)))
    across = (-half - PAD / scale, half + LABEL_ROOM / scale)
    up = (low - PAD / scale, high + PAD / scale)
    frame = ((across[1] - across[0]) * scale, (up[1] - up[0]) * scale)
    width, height = LEFT + frame[0] + RIGHT, BELOW + frame[1] + ABOVE  # of the drawing with its scales
    panel = LOUPE_TITLE + LOUPE
    if high - low < half:
        width = max(width, MARGIN + TABLE_WIDTH + GAP + LOUPE + MARGIN)
        floor = FOOTNOTE + max(TABLE_HEIGHT, panel) + MARGIN
        table = _Box(MARGIN, floor - MARGIN - TABLE_HEIGHT, TABLE_WIDTH, TABLE_HEIGHT)
        loupe = _Box(MARGIN + TABLE_WIDTH + GAP, floor - MARGIN - panel, LOUPE, LOUPE)
        height += floor
    else:
        total = max(height, MARGIN + TABLE_HEIGHT + GAP + panel + HEADING)
        floor = FOOTNOTE + (total - height) / 2
        height, top = FOOTNOTE + total, FOOTNOTE + total - HEADING
        table = _Box(width, top - TABLE_HEIGHT, TABLE_WIDTH, TABLE_HEIGHT)
        loupe = _Box(width, top - TABLE_HEIGHT - GAP - panel, LOUPE, LOUPE)
        width += TABLE_WIDTH + MARGIN
    drawing = _Box(LEFT, floor + BELOW, *frame)
    return _Page(width, height, scale, across, up, drawing, table, loupe)


def draw_sizes(sizes: Sequence[tuple[str, float, float]], *, made: str = "stuffed", ax: Axes) -> Axes:
    """Write the table of sizes, wanted and got; its heading is the key to the drawing."""
    rows: list[tuple[str, ...]] = [("", "wanted", made, "difference")]
    for name, wanted, got in sizes:
        rows.append((name, *(volumes if name == "volume" else lengths)(wanted=wanted, got=got)))
    step = draw_table(rows, ax=ax)
    put_key(ax, y=1.0 - step * 0.88, height=step * 0.12)
    return ax


def draw_table(rows: Sequence[tuple[str, ...]], *, ax: Axes) -> float:
    """Write rows of four cells under each other, the first of them a heading; return the height of a row."""
    ax.set(xlim=(0.0, 1.0), ylim=(0.0, 1.0))
    ax.axis("off")
    step = 1.0 / len(rows)
    for number, row in enumerate(rows):
        y = 1.0 - (number + 0.5) * step
        for x, words in zip(COLUMNS, row, strict=True):
            weight = "bold" if number == 0 or x == COLUMNS[0] else "normal"
            at_left = x == COLUMNS[0]
            ax.text(
                x, y, words, ha="left" if at_left else "right", va="center", size=TEXT_SIZE, weight=weight,
                color=INK, linespacing=1.25,
            )  # fmt: skip
        ax.axhline(y - step / 2, color=INK, linewidth=1.6 if number == 0 else 0.6)
    return step


def put_key(ax: Axes, *, y: float, height: float) -> None:
    """Show under the words of the heading how each silhouette is drawn."""
    length = 0.17
    ax.plot([COLUMNS[1] - length, COLUMNS[1]], [y + height / 2] * 2, **WANTED_STYLE)
    corner = (COLUMNS[2] - length, y)
    ax.add_patch(Rectangle(corner, length, height, facecolor=SHALLOWS, edgecolor=FORM_STYLE["color"]))


def lengths(*, wanted: float, got: float) -> list[str]:
    """Return two lengths and their difference, as they stand in the table."""
    sizes = [f"{value:.1f} mm\n{in_inches(value)}" for value in (wanted, got)]
    return [*sizes, f"{_signed(got - wanted, digits=1)} mm\n{_percent(got / wanted)}"]


def volumes(*, wanted: float, got: float) -> list[str]:
    """Return the same for volumes, given in millilitres."""
    digits = 1 if wanted < 1000 else 0
    sizes = [f"{value:.{digits}f} ml" for value in (wanted, got)]
    return [*sizes, f"{_signed(got - wanted, digits=digits)} ml\n{_percent(got / wanted)}"]


def _percent(ratio: float) -> str:
    return f"{_signed(100 * (ratio - 1), digits=1)} %"


def _signed(value: float, *, digits: int) -> str:
    """Return a number with its sign, the typographic minus; what rounds to nothing has none."""
    text = f"{abs(value):.{digits}f}"
    if not float(text):
        return text
    return f"{'+' if value > 0 else MINUS}{text}"


def _put_loupe(
    figure: Figure, page: _Page, wanted: Outline, form: Floats, deviation: Deviation, *, from_top: bool
) -> Axes:
    """Draw the worst place magnified so that the deviation takes up to a third of the frame."""
    most = page.loupe.width / 3 / page.scale
    times = next((n for n in MAGNIFICATIONS if deviation.greatest * n < most), MAGNIFICATIONS[-1])
    ax = axes_at(figure, **asdict(page.loupe))
    window = page.loupe.width / (page.scale * times)
    draw_magnified(wanted, form, deviation, window=window, ax=ax)
    height = f"{deviation.place[1]:.0f}".replace("-", MINUS)
    larger = f"drawn {times} times larger" if times > 1 else "drawn to the same scale"
    where = f"{height} mm below the start" if from_top else f"at height {height} mm"
    words = f"greatest deviation {deviation.greatest:.2f} mm\n{where}\n({larger})"
    ax.set_title(words, size=TEXT_SIZE, color=SIGNAL, loc="left", linespacing=1.25)
    return ax
