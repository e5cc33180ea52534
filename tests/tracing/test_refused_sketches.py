"""Pictures that hold no outline to follow: each is refused with what to do."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFont

from solver.errors import InputError
from solver.tracing.sketch import trace_sketch
from solver.tracing.trace import Wanted

WANTED = Wanted(stitch_width=5.0, row_height=5.0, height=90.0)


def refused(image: Image.Image, folder: Path, wanted: Wanted = WANTED) -> str:
    """Return the message with which a picture is refused."""
    path = folder / "sketch.png"
    image.save(path)
    with pytest.raises(InputError) as caught:
        trace_sketch(path, wanted)
    (problem,) = caught.value.problems
    assert problem.file == str(path)
    assert problem.remedy.endswith(".")
    return str(problem)


def sheet() -> tuple[Image.Image, ImageDraw.ImageDraw]:
    """Return a white sheet and what draws on it."""
    image = Image.new("RGB", (600, 600), "white")
    return image, ImageDraw.Draw(image)


@pytest.mark.parametrize("colour", ["white", "black"])
def test_blank(colour: str, tmp_path: Path) -> None:
    """An empty and an all-black picture hold nothing."""
    assert "nothing drawn that stands out" in refused(Image.new("RGB", (600, 600), colour), tmp_path)


def test_noise_alone(tmp_path: Path) -> None:
    """Noise is no drawing."""
    noise = np.random.default_rng(1).normal(128, 25, (500, 500)).clip(0, 255).astype(np.uint8)
    assert "nothing drawn that stands out" in refused(Image.fromarray(noise), tmp_path)


@pytest.mark.parametrize("fill", ["black", None], ids=["filled", "lines"])
def test_two_shapes(fill: str | None, tmp_path: Path) -> None:
    """Two shapes of like size are too many, however near they are to each other."""
    image, draw = sheet()
    draw.ellipse([60, 150, 290, 450], outline="black", width=5, fill=fill)
    draw.ellipse([304, 150, 540, 450], outline="black", width=5, fill=fill)
    told = refused(image, tmp_path)
    assert "a picture holds one shape (got 2" in told
    assert "Cut the picture" in told


@pytest.mark.parametrize(
    ("text", "size"),
    [("HARBOUR\nBUOY", 90), ("round and red\nfor the quay", 40), ("tug and barge and\n" * 14, 24)],
)
def test_writing_alone(text: str, size: int, tmp_path: Path) -> None:
    """Writing, large and small, is not read as a shape."""
    image, draw = sheet()
    draw.multiline_text((30, 60), text, fill="black", font=ImageFont.load_default(size))
    assert "writing" in refused(image, tmp_path)


def test_an_open_line(tmp_path: Path) -> None:
    """A line with a gap too wide to guess is told to enclose nothing."""
    image, draw = sheet()
    draw.arc([150, 80, 450, 520], 40, 330, fill="black", width=5)
    assert "lines that enclose nothing" in refused(image, tmp_path)


def test_a_shape_cut_off_by_the_edge(tmp_path: Path) -> None:
    """A shape that runs out of the picture is told to."""
    image, draw = sheet()
    draw.ellipse([-100, 100, 300, 500], fill="black")
    assert "lies inside the picture" in refused(image, tmp_path)


def test_a_lopsided_shape(tmp_path: Path) -> None:
    """A shape whose sides are unlike is no silhouette of a round part."""
    image, draw = sheet()
    draw.polygon([(100, 80), (160, 80), (330, 420), (500, 300), (540, 520), (140, 500)], fill="black")
    assert "differ by at most 35 %" in refused(image, tmp_path)


def test_no_size(tmp_path: Path) -> None:
    """A sketch without a height or a width can't be scaled."""
    image, draw = sheet()
    draw.ellipse([150, 80, 450, 520], fill="black")
    wanted = Wanted(stitch_width=5.0, row_height=5.0)
    assert "has no size of its own" in refused(image, tmp_path, wanted)


def test_a_round_end_can_not_be_open(tmp_path: Path) -> None:
    """An end that shall be open is drawn flat."""
    image, draw = sheet()
    draw.ellipse([150, 80, 450, 520], fill="black")
    wanted = Wanted(stitch_width=5.0, row_height=5.0, height=90.0, open_last=True)
    assert "the last end, which is to be open" in refused(image, tmp_path, wanted)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ({"axis": "upright"}, "axis is one of auto, vertical, horizontal"),
        ({"side": "top"}, "side is one of both, left, right"),
        ({"height": 90.0, "width": 50.0}, "one size"),
        ({"height": 0.0}, "height is above zero"),
        ({"row_height": float("nan")}, "row_height is above zero"),
    ],
)
def test_what_is_wanted_is_checked(words: dict[str, object], told: str) -> None:
    """Unknown words and sizes that can't be are refused before any file is opened."""
    with pytest.raises(InputError, match=told):
        Wanted(**{"stitch_width": 5.0, "row_height": 5.0} | words)  # type: ignore[arg-type]
