"""What all pictures share: colours that can be read, and files that are written whole."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import matplotlib as mpl
import pytest
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure

from solver.errors import InputError
from viz.figure import (
    DEEP_WATER,
    INK,
    PICTURE_EXTENSIONS,
    SHALLOWS,
    SIGNAL,
    new_figure,
    put_title,
    save_figure,
)

SIGNATURES = {".png": b"\x89PNG\r\n\x1a\n", ".svg": b"<?xml", ".pdf": b"%PDF-"}


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours (WCAG 2.1, "contrast ratio" and "relative luminance")."""

    def luminance(colour: str) -> float:
        linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
        return sum(weight * c for weight, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))

    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def drawn(title: str = "Mooring buoy") -> Figure:
    """Return a small figure with a title."""
    figure = new_figure(3.0, 2.0)
    put_title(figure, title, left=0.2)
    return figure


@pytest.mark.parametrize("colour", [INK, DEEP_WATER, SIGNAL])
def test_words_and_lines_stand_out_from_white(colour: str) -> None:
    """Seven to one is what WCAG 2.1, success criterion 1.4.6 (enhanced contrast), asks."""
    assert contrast(colour, "white") >= 7


def test_words_and_dashes_stand_out_from_the_filled_form() -> None:
    """What is written or dashed over the form has the same contrast."""
    assert contrast(INK, SHALLOWS) >= 7


@pytest.mark.parametrize("extension", [*PICTURE_EXTENSIONS, ".PNG"])
def test_the_extension_says_how_a_picture_is_written(tmp_path: Path, extension: str) -> None:
    """The file begins with the signature of its format, whatever the case of its extension."""
    path = tmp_path / f"buoy{extension}"
    save_figure(drawn(), path)
    assert path.read_bytes().startswith(SIGNATURES[extension.lower()])
    assert list(tmp_path.iterdir()) == [path]


def test_words_stay_words_in_svg(tmp_path: Path) -> None:
    """A title is text that can be searched and read out, not outlines of letters."""
    path = tmp_path / "buoy.svg"
    save_figure(drawn("Herring float, size $2 or $3"), path)
    assert ">Herring float, size $2 or $3</text>" in path.read_text(encoding="utf-8")


@pytest.mark.parametrize("extension", PICTURE_EXTENSIONS)
def test_the_same_picture_gives_the_same_bytes(tmp_path: Path, extension: str) -> None:
    """No date or random name is written."""
    paths = [tmp_path / f"{name}{extension}" for name in "ab"]
    for path in paths:
        save_figure(drawn(), path)
    assert paths[0].read_bytes() == paths[1].read_bytes()


def test_an_unknown_extension_is_refused_with_those_that_work(tmp_path: Path) -> None:
    """The message names the endings that work."""
    with pytest.raises(InputError, match=r"\.png, \.svg, \.pdf \(got \.bmp\)"):
        save_figure(drawn(), tmp_path / "buoy.bmp")
    assert list(tmp_path.iterdir()) == []


def test_a_missing_folder_is_told(tmp_path: Path) -> None:
    """The message says to make the folder first."""
    with pytest.raises(InputError, match="Make the folder first"):
        save_figure(drawn(), tmp_path / "nowhere" / "buoy.png")


def test_a_failed_writing_leaves_the_old_picture_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When the writer breaks off half-way, the picture from before is whole and no other file is left."""
    path = tmp_path / "buoy.png"
    path.write_text("the old one")

    def breaks_off(_figure: Figure, target: Path, **_: object) -> None:
        target.write_text("half of the")
        raise MemoryError

    monkeypatch.setattr(Figure, "savefig", breaks_off)
    with pytest.raises(MemoryError):
        save_figure(drawn(), path)
    assert path.read_text() == "the old one"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("title", ["Lighthouse body, tapered, for the harbour of toys", "buoy " * 60])
def test_a_long_title_stays_on_the_page(title: str) -> None:
    """It gets smaller down to 11 points, and is cut short beyond that."""
    figure = drawn(title)
    box = figure.texts[0].get_window_extent()
    assert box.x1 <= figure.bbox.x1
    assert figure.texts[0].get_fontsize() >= 11


def test_nothing_is_left_behind_in_the_settings_of_the_drawing_library(tmp_path: Path) -> None:
    """Its settings are what they were before a picture was saved."""
    before = dict(mpl.rcParams)
    save_figure(drawn(), tmp_path / "buoy.svg")
    assert dict(mpl.rcParams) == before


def test_no_window_system_is_asked_for() -> None:
    """The part of the drawing library that opens windows is never imported."""
    code = "import sys, viz.comparison, viz.shapes, viz.stuffed; sys.exit('matplotlib.pyplot' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
