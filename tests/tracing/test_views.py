"""Elongated shapes from two sketches."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose
from PIL import Image, ImageDraw

from solver.errors import InputError
from solver.tracing.trace import Wanted
from solver.tracing.views import trace_views

WANTED = Wanted(stitch_width=2.0, row_height=2.0, height=40.0)
PIXELS = 0.01
"""A pixel or two of pictures in which the shapes are 200 pixels and more."""


def stadium(folder: Path, name: str, box: list[int]) -> Path:
    """Draw two half circles joined by straight sides and return the picture's place."""
    image = Image.new("RGB", (500, 500), "white")
    ImageDraw.Draw(image).rounded_rectangle(box, min(box[2] - box[0], box[3] - box[1]) / 2, fill="black")
    image.save(folder / name)
    return folder / name


def oval(folder: Path, name: str, box: list[int]) -> Path:
    """Draw an ellipse and return the picture's place."""
    image = Image.new("RGB", (500, 500), "white")
    ImageDraw.Draw(image).ellipse(box, fill="black")
    image.save(folder / name)
    return folder / name


def test_a_capsule_lying_down(tmp_path: Path) -> None:
    """A front of 90 x 40 and a plan of 90 x 40 at another scale are a ball swept along 50 (geometry)."""
    front = stadium(tmp_path, "front.png", [25, 150, 475, 350])
    plan = stadium(tmp_path, "plan.png", [150, 200, 375, 300])
    trace = trace_views(front, plan, WANTED)
    assert trace.straight is not None
    assert_allclose(trace.straight, 50, rtol=2 * PIXELS)
    assert_allclose(trace.outline.width, 40, rtol=2 * PIXELS)
    radius, height = trace.points.T
    assert_allclose(radius, np.sqrt((20**2 - (height - 20) ** 2).clip(0)), atol=40 * 2 * PIXELS)


def test_straight_sides_shrink_where_the_front_does(tmp_path: Path) -> None:
    """A front that runs to a point at both ends keeps its width for its length all the way."""
    front = oval(tmp_path, "front.png", [50, 150, 450, 350])
    plan = oval(tmp_path, "plan.png", [50, 150, 450, 350])
    trace = trace_views(front, plan, WANTED)
    assert trace.straight is not None
    radius = trace.points[:, 0]
    assert_allclose(trace.straight, 2 * radius, atol=40 * 2 * PIXELS)  # twice as long as wide: a = L - W = W


def test_a_front_that_shows_the_width(tmp_path: Path) -> None:
    """With the narrow side in front its outline is half the width, and the plan gives the straight sides."""
    front = oval(tmp_path, "front.png", [150, 150, 350, 350])
    plan = stadium(tmp_path, "plan.png", [50, 200, 450, 300])
    trace = trace_views(front, plan, WANTED, shows="width")
    assert trace.straight is not None
    assert_allclose(trace.straight, 40 * (4 - 1), rtol=2 * PIXELS)
    assert_allclose(trace.outline.width, 40, rtol=PIXELS)


def test_a_round_plan_is_a_round_part(tmp_path: Path) -> None:
    """A plan as wide as long leaves the front as it is."""
    front = oval(tmp_path, "front.png", [100, 150, 400, 350])
    trace = trace_views(front, oval(tmp_path, "plan.png", [150, 150, 352, 350]), WANTED)
    assert trace.straight is None
    assert_allclose(trace.outline.width, 60, rtol=PIXELS)


def test_a_plan_that_is_no_oval(tmp_path: Path) -> None:
    """A plan far from two half circles joined by straight sides is refused."""
    image = Image.new("RGB", (500, 500), "white")
    ImageDraw.Draw(image).polygon([(50, 250), (250, 100), (450, 250), (250, 400)], fill="black")
    image.save(tmp_path / "plan.png")
    with pytest.raises(InputError, match="oval with straight sides"):
        trace_views(oval(tmp_path, "front.png", [50, 150, 450, 350]), tmp_path / "plan.png", WANTED)
