"""Outlines read from pictures of known shapes; shapely, a general geometry library, measures the distances.

The pictures are made and spoilt by `rendering` and `hand_drawn` (invented data, seeds fixed).
"""

from __future__ import annotations

import functools
from dataclasses import replace
from pathlib import Path

import hand_drawn
import numpy as np
import pytest
import rendering
import shapely
from numpy.testing import assert_allclose
from PIL import Image, ImageDraw
from rendering import SHAPES, Floats, Look

from solver.tracing.sketch import trace_sketch
from solver.tracing.trace import Trace, Wanted

ROOT = Path(__file__).parents[2]
HEIGHT = 90.0
FINE = Wanted(stitch_width=2.0, row_height=2.0, height=HEIGHT)
"""A fine gauge, so that reading is tested and not smoothing."""

RMS = 0.01
"""The bar: of the height."""

TILT = 1.0
"""The bar: of the axis. [degree]"""

CLEAN_RMS = 0.003
"""What a clean picture of 800 pixels comes to: a third of the bar, about two pixels at this size."""

CASES = [
    ("ball", "filled", 200, 5.0),
    ("ball", "half", 500, -3.0),
    ("egg", "outlined", 200, -5.0),
    ("egg", "half filled", 500, 5.0),
    ("pear", "filled", 700, 3.0),
    ("pear", "half", 200, 5.0),
    ("bottle", "outlined", 500, 4.0),
    ("bottle", "half filled", 200, -5.0),
    ("capsule", "filled", 300, -5.0),
    ("capsule", "outlined", 3000, 2.0),
]


def saved(image: Image.Image, folder: Path, name: str = "sketch.png") -> Path:
    """Write a picture and return its place."""
    path = folder / name
    image.save(path)
    return path


def rms(trace: Trace, profile: Floats) -> float:
    """Return the distance of an outline from the true one, scaled to the same height, of the height."""
    truth = shapely.LineString(profile * (HEIGHT / np.ptp(profile[:, 1])))
    even = trace.outline.resampled(400).points
    return float(np.sqrt(np.mean(shapely.distance(shapely.points(even), truth) ** 2)) / HEIGHT)


def tilt(trace: Trace) -> float:
    """Return how far the axis leans, clockwise positive. [degree]"""
    x, y = trace.seen.axis[1] - trace.seen.axis[0]
    return float(np.degrees(np.arctan2(x, y)))


def ellipse(size: int = 500, **style: object) -> Image.Image:
    """Return a plain picture of an upright ellipse, 0.4 of the picture wide and 0.6 high."""
    image = Image.new("RGB", (size, size), "white")
    box = [0.3 * size, 0.2 * size, 0.7 * size, 0.8 * size]
    ImageDraw.Draw(image).ellipse(box, **(style or {"fill": "black"}))  # type: ignore[arg-type]
    return image


def test_the_ends_of_the_sizes_are_tried() -> None:
    """The cases below take all shapes and styles, from 200 to 3000 pixels, to 5 degrees either way."""
    shapes, styles, sizes, tilts = (set(values) for values in zip(*CASES, strict=True))
    assert shapes == set(SHAPES)
    assert styles == {"filled", "outlined", "half", "half filled"}
    assert {200, 3000} <= sizes
    assert {-5.0, 5.0} <= tilts


@pytest.mark.parametrize(("shape", "style", "size", "turned"), CASES)
def test_spoilt_pictures(shape: str, style: str, size: int, turned: float, tmp_path: Path) -> None:
    """Noise, light, paper, JPEG 60 and a lean leave the outline within 1 %, the axis within 1 degree."""
    profile = SHAPES[shape]()
    look = rendering.worn(
        Look(style=style, size=size, turned=turned), seed=CASES.index((shape, style, size, turned))
    )
    trace = trace_sketch(saved(rendering.drawn(profile, look), tmp_path), FINE)
    assert rms(trace, profile) < RMS
    if shape != "ball" or "half" in style:  # a ball has no axis of its own
        assert_allclose(tilt(trace), turned, atol=TILT)


def test_clean_pictures_are_read_closer(tmp_path: Path) -> None:
    """A clean picture is read to a third of a percent: the bar above is not reached by luck."""
    trace = trace_sketch(saved(rendering.drawn(rendering.pear(), Look()), tmp_path), FINE)
    assert rms(trace, rendering.pear()) < CLEAN_RMS


@functools.cache
def traced_by_hand(name: str) -> Trace:
    """Return the trace of one of the three hand-made sketches, at the gauge of its part file."""
    wanted = Wanted(stitch_width=5.0, row_height=5.0, height=HEIGHT)
    return trace_sketch(ROOT / "samples" / "sketches" / f"{name}.jpg", wanted)


@pytest.mark.parametrize("name", hand_drawn.SKETCHES)
def test_hand_made_sketches(name: str) -> None:
    """Jitter, gaps, shadow, squares and hatching leave the outline within half a stitch of what was meant."""
    trace = traced_by_hand(name)
    _, meant = hand_drawn.SKETCHES[name]
    assert rms(trace, meant) * HEIGHT < 5.0 / 2
    assert "Read as a drawn line" in trace.notes[0]


def test_what_was_found_is_told() -> None:
    """Gaps, a signature, a leaning axis, a drawn half and a flat end are told in the notes."""
    told = {name: " ".join(traced_by_hand(name).notes) for name in hand_drawn.SKETCHES}
    assert "Gaps in the line" in told["gull"]
    assert "degrees off" in told["gull"]
    assert "right half" in told["buoy"]
    assert "smaller mark" in told["bollard"]
    assert "The first end is flat" in told["bollard"]


@pytest.mark.parametrize(
    ("style", "background"),
    [
        ({"fill": (255, 240, 90)}, "white"),
        ({"fill": "white"}, "black"),
        ({"outline": "white", "width": 5}, "black"),
        ({"outline": (60, 60, 200), "width": 5, "fill": (200, 220, 255)}, "white"),
    ],
    ids=["pale yellow", "white on black", "chalk", "coloured in"],
)
def test_colours(style: dict[str, object], background: str, tmp_path: Path) -> None:
    """Pale, light-on-dark and coloured drawings are read alike."""
    image = ellipse(**style)
    if background == "black":
        image = Image.new("RGB", image.size, "black")
        ImageDraw.Draw(image).ellipse([150, 100, 350, 400], **style)  # type: ignore[arg-type]
    outline = trace_sketch(saved(image, tmp_path), FINE).outline
    assert_allclose(outline.width / outline.height, 2 / 3, rtol=0.02)  # half of a 5-pixel line on 200


@pytest.mark.parametrize("pale", [(190, 210, 235), (130, 130, 130)])
def test_squared_paper(pale: tuple[int, int, int], tmp_path: Path) -> None:
    """Squares that are paler than the drawing are not read."""
    image = Image.new("RGB", (800, 800), "white")
    draw = ImageDraw.Draw(image)
    for at in range(0, 800, 32):
        draw.line([0, at, 800, at + 20], fill=pale, width=2)
        draw.line([at, 0, at - 20, 800], fill=pale, width=2)
    draw.ellipse([200, 100, 600, 700], outline=(40, 40, 40), width=6)
    outline = trace_sketch(saved(image, tmp_path), FINE).outline
    assert_allclose(outline.width / outline.height, 394 / 594, rtol=RMS)


def test_dashed_lines_are_bridged(tmp_path: Path) -> None:
    """A line with a gap every thirtieth of its way is closed, and the share of the gaps is told."""
    image = Image.new("RGB", (800, 800), "white")
    for start in range(0, 360, 30):
        ImageDraw.Draw(image).arc([200, 100, 600, 700], start, start + 26, fill="black", width=5)
    trace = trace_sketch(saved(image, tmp_path), FINE)
    assert_allclose(trace.outline.width / trace.outline.height, 395 / 595, rtol=RMS)
    assert "Gaps in the line" in trace.notes[1]


def test_a_sheet_on_a_table(tmp_path: Path) -> None:
    """The edge of the sheet is not taken for the outline."""
    image = Image.new("RGB", (1000, 900), (90, 60, 40))
    draw = ImageDraw.Draw(image)
    draw.polygon([(150, 60), (860, 90), (830, 850), (120, 800)], fill=(235, 232, 225))
    draw.ellipse([350, 150, 650, 700], outline=(70, 70, 70), width=5)
    outline = trace_sketch(saved(image, tmp_path), FINE).outline
    assert_allclose(outline.width / outline.height, 295 / 545, rtol=RMS)


def half_cone(*, over: int) -> Image.Image:
    """Return half of a cone with flat ends; its axis runs on past both ends by `over` pixels."""
    image = Image.new("RGB", (800, 800), "white")
    draw = ImageDraw.Draw(image)
    draw.line([200, 120 - over, 200, 680 + over], fill="black", width=5)
    draw.line([200, 120, 330, 120, 360, 680, 200, 680], fill="black", width=5, joint="curve")
    return image


def test_an_axis_that_runs_on_shows_a_half(tmp_path: Path) -> None:
    """Half a cone, which could be a whole one, is read as a half if its axis runs on past its ends."""
    half = trace_sketch(saved(half_cone(over=60), tmp_path), FINE)
    assert_allclose(half.outline.width / half.outline.height, 2 * 160 / 560, rtol=RMS)


def test_half_or_whole_may_be_said(tmp_path: Path) -> None:
    """Without that the maker says which it is, and the width follows."""
    path = saved(half_cone(over=0), tmp_path)
    half, whole = (trace_sketch(path, replace(FINE, drawn=drawn)).outline for drawn in ("half", "whole"))
    assert_allclose(half.width, 2 * whole.width, rtol=0.05)  # the whole one leans by a degree or two


def test_one_side_may_be_taken(tmp_path: Path) -> None:
    """Left, right and their mean differ as the drawing does, and the asymmetry is told."""
    image = ellipse()
    ImageDraw.Draw(image).ellipse([300, 180, 380, 300], fill="black")
    path = saved(image, tmp_path)
    left, right, both = (trace_sketch(path, replace(FINE, side=side)) for side in ("left", "right", "both"))
    assert left.outline.volume < both.outline.volume < right.outline.volume
    assert f"differ by {100 * both.asymmetry:.0f} %" in " ".join(both.notes)
    assert both.asymmetry > 0.01


def test_a_level_axis(tmp_path: Path) -> None:
    """An egg lying down is read along its length, from the right if that is said."""
    profile = rendering.egg()
    path = saved(rendering.drawn(profile, Look()).rotate(90), tmp_path)  # its blunt end to the right
    assert rms(trace_sketch(path, replace(FINE, axis="horizontal", first="right")), profile) < CLEAN_RMS


def test_the_first_end_may_be_the_upper_one(tmp_path: Path) -> None:
    """An outline worked from the top is the one from the bottom, upside down."""
    profile = rendering.egg()
    path = saved(rendering.drawn(profile, Look()), tmp_path)
    top = trace_sketch(path, replace(FINE, first="top"))
    assert rms(top, profile[::-1] * [1, -1] + [0, 1]) < CLEAN_RMS


def test_open_ends_start_at_their_rim(tmp_path: Path) -> None:
    """A flat end that is open is left out; the outline starts at its rim, at the same height."""
    path = saved(rendering.drawn(rendering.bottle(), Look()), tmp_path)
    trace = trace_sketch(path, replace(FINE, open_first=True, open_last=True))
    (first, _), (last, _) = trace.outline.points[[0, -1]] / HEIGHT
    assert_allclose([first, last], [0.26, 0.1], rtol=0.03)
    assert_allclose(trace.outline.height, HEIGHT)


def test_width_gives_the_size_too(tmp_path: Path) -> None:
    """A width in place of the height scales the outline to it."""
    wanted = replace(FINE, height=None, width=40.0)
    assert_allclose(
        trace_sketch(saved(ellipse(), tmp_path), wanted).outline.width, 40.0, atol=FINE.stitch_width / 20
    )
