"""What all pictures share: palette, letter sizes, figures laid out in inches, and writing to a file."""

from __future__ import annotations

import io
import logging
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure, SubFigure

from solver.arrays import Floats
from solver.errors import Notice
from solver.files.outfile import extension_of, replacing

PICTURE_EXTENSIONS = (".png", ".svg", ".pdf")

# Words and lines stand out 7 to 1 from white (WCAG 2.1, 1.4.6); nothing is told by colour alone (1.4.1), so
# that grey prints and colour-blind eyes lose nothing.
INK = "#101418"
DEEP_WATER = "#0F3B57"
SHALLOWS = "#BFD5E2"
SIGNAL = "#9A2F00"

# Letters [pt]. Readers with low vision print these pages: nothing below 11.
TITLE_SIZE = 16.0
TEXT_SIZE = 12.0
SMALL_SIZE = 11.0
PACKED = 4
"""How hard PNG pictures in pages are packed, 0 to 9: half the time of the usual 6, a few more bytes."""
MINUS = "\N{MINUS SIGN}"


def new_figure(width: float, height: float) -> Figure:
    """Return an empty white figure of a size in inches, free of any window system."""
    return Figure(figsize=(width, height), facecolor="white")


def axes_at(figure: Figure, *, left: float, bottom: float, width: float, height: float) -> Axes:
    """Return new axes whose frame lies at the given place of the figure. [inches]"""
    across, up = figure.get_size_inches()
    axes = figure.add_axes((left / across, bottom / up, width / across, height / up))
    axes.tick_params(labelsize=SMALL_SIZE, colors=INK)
    return axes


def inches_of(ax: Axes) -> tuple[float, float]:
    """Return the width and height of axes on the page. [inches]"""
    frame, dpi = ax.get_window_extent(), ax.figure.dpi
    return frame.width / dpi, frame.height / dpi


def in_one(lines: Sequence[Sequence[tuple[float, float]]]) -> Floats:
    """Return straight lines as one broken curve (2, n): drawn many times as fast as each by itself."""
    gap = (np.nan, np.nan)
    return np.array([place for line in lines for place in (*line, gap)], dtype=float).reshape(-1, 2).T


def put_title(figure: Figure, title: str, *, left: float) -> None:
    """Write the title along the upper edge, from `left` inches on; a long one smaller or cut short."""
    across, up = figure.get_size_inches()
    shown = " ".join(title.split())
    written = figure.text(left / across, 1 - 0.18 / up, shown, ha="left", va="top", parse_math=False)
    written.set(size=TITLE_SIZE, weight="bold", color=INK)
    written.set_fontfamily(families(shown))
    room = across - 2 * left

    def too_long() -> float:
        return float(written.get_window_extent().width / figure.dpi / room)

    with _boxes_told_already():
        written.set_fontsize(max(SMALL_SIZE, TITLE_SIZE / max(1.0, too_long())))
        while too_long() > 1.0:
            shown = shown[:-1].rstrip()
            written.set_text(f"{shown} ...")


@contextmanager
def _boxes_told_already() -> Iterator[None]:
    """Keep the font's library from telling of each letter that it lacks, each time that it is drawn."""
    with warnings.catch_warnings():
        logging.getLogger("matplotlib.font_manager").setLevel(logging.ERROR)
        warnings.filterwarnings("ignore", message="(Glyph|Matplotlib currently does not support)")
        yield


def families(text: str) -> list[str]:
    """Return the fonts that a text is drawn with: ours, and what this computer has for letters that it lacks.

    Letters that no font here has are told, once.
    """
    from matplotlib.font_manager import FontProperties, findfont, fontManager, get_font

    families = ["DejaVu Sans"]
    lacking = {ord(letter) for letter in text if not letter.isspace()}
    lacking -= get_font(findfont(FontProperties(family=families))).get_charmap().keys()
    for font in fontManager.ttflist if lacking else ():
        if font.name.startswith("Last Resort"):
            continue  # it has a box for everything
        try:
            has = lacking & get_font(font.fname).get_charmap().keys()
        except (OSError, RuntimeError):
            continue  # a font that can't be opened
        if has:
            families.append(font.name)
            lacking -= has
    if lacking:
        letters = " ".join(sorted(chr(code) for code in lacking))[:60]
        told = f"No font here has these letters of the title; boxes stand for them in the picture: {letters}"
        warnings.warn(Notice(told), stacklevel=2)
    return families


def save_figure(figure: Figure | SubFigure, path: Path, *, dpi: float = 200.0) -> None:
    """Write a figure to a file; the file appears whole or not at all.

    Parameters
    ----------
    figure : Figure
        What was drawn: `axes.figure` of any drawing.
    path : Path
        Where to; the extension says how. [one of `PICTURE_EXTENSIONS`]
    dpi : float
        Dots per inch of `.png`, and of what is drawn as dots inside the others.

    Raises
    ------
    InputError
        If the extension is unknown or the place can't be written to.

    Notes
    -----
    Words stay words in `.svg` and `.pdf`, so that a reader can search, enlarge and have them read out. The
    same figure gives the same bytes: no date is written.
    """
    extension = extension_of(path, PICTURE_EXTENSIONS, what="a picture")
    undated: dict[str, dict[str, None]] = {".svg": {"Date": None}, ".pdf": {"CreationDate": None}}
    whole = figure.get_figure(root=True)
    with (
        mpl.rc_context({"svg.fonttype": "none", "pdf.fonttype": 42, "svg.hashsalt": "plumpline"}),
        _boxes_told_already(),
        replacing(path) as temporary,
    ):
        whole.savefig(temporary, format=extension[1:], dpi=dpi, metadata=undated.get(extension))


def figure_bytes(figure: Figure, kind: str, *, dpi: float = 150.0) -> bytes:
    """Return a figure as bytes, "png" or "svg", to be set into a page; the letters of its words are drawn."""
    out = io.BytesIO()
    with mpl.rc_context({"svg.fonttype": "path", "svg.hashsalt": "plumpline"}), _boxes_told_already():
        if kind == "svg":
            figure.savefig(out, format=kind, dpi=dpi, metadata={"Date": None})
        else:
            figure.savefig(out, format=kind, dpi=dpi, pil_kwargs={"compress_level": PACKED})
    return out.getvalue()
