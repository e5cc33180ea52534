"""The map between rounds and stitches and the surface, there and back."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from solver.form.fabric import stitch_fabric
from solver.form.stuffed import StuffedForm
from solver.partfile import load
from solver.solving.solved import solve
from solver.toy.model import Front
from solver.toy.surface import Surface

SAMPLES = Path(__file__).parents[2] / "samples"
BACK = 0.2
"""How near the way back must come. [mm]"""


@cache
def formed(sample: str) -> StuffedForm:
    """Return the form of a sample, solved once."""
    return solve(load(SAMPLES / f"{sample}.toml")).form


@pytest.mark.parametrize(
    "sample",
    ["buoy", "bollard", "gull-head", "puffin-foot", "seal-snout", "tug-hull", "puffin-leg", "crane-arm",
     "harbour-master"],
)  # fmt: skip
@pytest.mark.parametrize("edge", ["start", "finish"])
def test_there_and_back(sample: str, edge: str) -> None:
    """For every stitch: its place is its node, and the node's nearest place is the stitch again."""
    form = formed(sample)
    surface = Surface.of(form, edge=edge, front=Front.END)
    for number in range(1, surface.rounds + 1):
        nodes = form.fabric.rings[number]
        points = surface.points[nodes]
        turns = [surface.turn(number, stitch) for stitch in range(1, len(nodes) + 1)]
        assert_allclose(surface.at(np.full(len(nodes), number), turns), points, atol=BACK)
        stitches = [surface.stitch(number, turn) for turn in turns]
        assert_allclose(stitches, np.arange(1, len(nodes) + 1), atol=1e-6)
        rings, turns_back = surface.nearest(points)
        assert_allclose(surface.at(rings, turns_back), points, atol=BACK)
        for ring, turn, point in zip(rings, turns_back, points, strict=True):
            round_ = int(surface.round_of(ring))
            again = surface.turn(round_, surface.stitch(float(ring), float(turn)))
            assert_allclose(surface.at(ring, again), point, atol=BACK)


def test_rounds_begin_at_the_back() -> None:
    """A round part begins its rounds at the middle of its back, whichever end is down; z is up from 0."""
    form = formed("gull-head")
    for edge in ("start", "finish"):
        surface = Surface.of(form, edge=edge)
        begin = surface.at(8.0, 0.0)
        assert_allclose(begin[0], 0.0, atol=1e-9)
        assert begin[1] > 0
        assert_allclose(surface.points[:, 2].min(), 0.0, atol=1e-9)
        lower, upper = surface.table[2, 0, 2], surface.table[-3, 0, 2]
        assert bool(lower < upper) is (edge == "start")


def test_a_marker_that_wanders() -> None:
    """With a lean, stitches count from where the marker has moved to: so much of a stitch in every round."""
    form = formed("buoy")
    fabric = form.fabric
    w, h = fabric.stitch_width, fabric.row_height
    leaning = replace(form, fabric=stitch_fabric(form.piece, stitch_width=w, row_height=h, lean=0.25))
    still, moving = (Surface.of(each, edge="start") for each in (form, leaning))
    n = form.piece.counts
    moved = n[8] * sum(0.25 / each for each in n[1:9])  # rounds 2 to 9, each by a quarter of its own stitch
    assert_allclose(still.stitch(9.0, still.turn(9, 20.0)), 20.0)
    assert_allclose(moving.stitch(9.0, still.turn(9, 20.0)), 20.0 - moved)
    assert_allclose(moving.turn(9, 20.0 - moved), still.turn(9, 20.0))


@pytest.mark.parametrize("edge", ["start", "finish"])
def test_a_part_that_bends_looks_forward(edge: str) -> None:
    """A foot points to the front, and a belly stands out in front, whichever end is down."""
    leg = Surface.of(formed("puffin-leg"), edge=edge, forward=True)
    toe, top = leg.table[1].mean(axis=0), leg.table[-1].mean(axis=0)
    assert toe[1] < top[1] - 20  # -y is the front
    assert_allclose([toe[0], top[0]], 0.0, atol=2.0)
    arm = Surface.of(formed("crane-arm"), edge=edge, forward=True)
    ends = [arm.table[ring].mean(axis=0)[1] for ring in (0, len(arm.table) // 2, -1)]
    assert ends[2] < ends[0] - 20 or ends[0] < ends[2] - 20
