"""Membrane statics: the rest fabric of a wanted form, and where stuffing can't hold it."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose, assert_array_equal

from solver.arrays import Floats
from solver.form.rings import RingFabric, ring_form
from solver.search.membrane import FLAT_TENSION, rest_fabric
from solver.wanted.gauge import Gauge, Stuffing
from solver.wanted.outline import Outline
from solver.wanted.shapes import named_shapes
from solver.wanted.silhouette import deviation
from tests.outlines import WANTED, ball, pill, spheroid

GAUGE = Gauge(stitch_width=5.0, row_height=5.0)

SAME_FORM = 1.2e-3
"""Share of half its width by which eighty rings miss an outline: a quarter of what forty do."""


def kinds(outline: Outline, *, row: float = 5.0) -> list[str]:
    """Return what stuffing can't hold, from the first round to the last."""
    return [zone.kind for zone in rest_fabric(outline, pressure=2e-3, row_height=row).unsupported]


def stuffed(outline: Outline, *, pressure: float, rows: int) -> Floats:
    """Return the form of an outline's rest fabric, in so many rows of counts that are not whole."""
    rest = rest_fabric(outline, pressure=pressure, row_height=outline.length / rows)
    at = np.linspace(0.0, rest.length, rows + 1)
    girth = np.interp(at, rest.arc, rest.girth)
    girth[[0, -1]] = 0.0
    return ring_form(RingFabric(girth, np.diff(at), stitch_width=5.0), pressure=pressure).points


@pytest.mark.parametrize("name", WANTED)
@pytest.mark.parametrize("firmness", ["light", "very firm"])
def test_rest_fabric_becomes_the_wanted_form(name: str, firmness: str) -> None:
    """The relaxed fabric that statics asks for is the wanted form again, stuffed by the ring model.

    The two share no equation: one balances forces on the wanted form, the other minimises energy from counts.
    """
    wanted = WANTED[name](GAUGE)
    pressure = Stuffing.of_firmness(firmness).pressure(wanted.width / 2)
    off = [deviation(stuffed(wanted, pressure=pressure, rows=rows), wanted).rms for rows in (20, 40, 80)]
    assert off[2] < SAME_FORM * wanted.width / 2
    assert off[0] > 2 * off[1] > 4 * off[2]


@given(stretch=st.floats(0.005, 0.15), name=st.sampled_from(sorted(WANTED)))
@settings(max_examples=25, deadline=None)
def test_fabric_is_never_larger_than_its_form(stretch: float, name: str) -> None:
    """Fabric that only pulls is shorter and narrower at rest, everywhere along the part."""
    wanted = WANTED[name](GAUGE)
    pressure = Stuffing(stretch=stretch, origin="test").pressure(wanted.width / 2)
    rest = rest_fabric(wanted, pressure=pressure, row_height=5.0)
    assert np.all(rest.girth <= rest.wanted_girth * (1 + 1e-12))
    steps = np.diff(rest.arc) / np.diff(rest.wanted_arc)
    assert np.all((steps > 0.5) & (steps <= 1 + 1e-12))
    assert_allclose(rest.wanted_arc[[0, -1]], [0.0, wanted.length], rtol=1e-12)
    assert rest.length == rest.arc[-1] < wanted.length
    with pytest.raises(ValueError, match="read-only"):
        rest.girth[0] = 1.0


def test_stiffer_fabric_stretches_less() -> None:
    """Fabric twice as stiff round the part is wider at rest; twice as stiff along it, longer."""
    wanted = pill(height=96.0, width=42.0)
    usual, round_it, along = (
        rest_fabric(wanted, pressure=4e-3, row_height=5.0, course_stiffness=course, wale_stiffness=wale)
        for course, wale in ((1.0, 1.0), (2.0, 1.0), (1.0, 2.0))
    )
    middle = len(usual.girth) // 2
    assert round_it.girth[middle] > 1.02 * usual.girth[middle]
    assert along.length > 1.01 * usual.length


def test_size_does_not_matter() -> None:
    """A part twice as large at half the pressure has the same fabric twice as large."""
    small, large = (
        rest_fabric(WANTED["egg"](GAUGE).scaled(f), pressure=3e-3 / f, row_height=4.0 * f) for f in (1.0, 2.0)
    )
    assert_allclose(large.arc, 2 * small.arc, rtol=1e-9)
    assert_allclose(large.girth, 2 * small.girth, rtol=1e-9, atol=1e-9)


@pytest.mark.parametrize("name", ["ball", "egg", "spindle", "skittle", "lentil", "drop", "pill", "bottle"])
@pytest.mark.parametrize("row", [2.5, 5.0, 8.0])
def test_nothing_to_tell(name: str, row: float) -> None:
    """Smooth parts that stuffing can hold have nothing to be told, at any gauge."""
    assert kinds(WANTED[name](GAUGE), row=row) == []


@pytest.mark.parametrize("row", [3.0, 5.0, 8.0])
@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("ball", set()),
        ("egg", set()),
        ("capsule", set()),
        ("dome", set()),
        ("spindle", set()),
        ("cone", set()),
        ("tube", {"flat", "corner"}),
        ("taper", {"flat", "corner"}),
        ("lens", {"corner"}),
    ],
)
def test_named_shapes(name: str, expected: set[str], row: float) -> None:
    """Flat ends and sharp rims of the named shapes are told, round ones are not."""
    shape = named_shapes()[name]
    found = set(kinds(shape.outline(shape.example), row=row))
    assert found <= expected
    assert bool(found) == bool(expected)


def test_flat_end_is_told_where_it_is() -> None:
    """The flat lid of a part is told at its height, and its tension is held to what fabric takes."""
    lid = Outline(np.array([[20.0, 0.0], [20.0, 60.0], [0.0, 60.0]]))
    rest = rest_fabric(lid, pressure=2e-3, row_height=5.0)
    flat = [zone for zone in rest.unsupported if zone.kind == "flat"]
    assert_allclose([flat[-1].low, flat[-1].high], 60.0, atol=2.0)
    most = FLAT_TENSION * 2e-3 * 20.0
    stretch = (1 + most) / (1 - most**2)
    assert np.all(np.diff(rest.wanted_arc) / np.diff(rest.arc) <= stretch * (1 + 1e-9))


def test_corner_is_told_where_it_is() -> None:
    """A shoulder that turns sharply is told at its height."""
    shoulder = Outline(np.array([[0.0, 0.0], [14.0, 8.0], [20.0, 40.0], [34.0, 44.0], [34.0, 70.0]]))
    rest = rest_fabric(shoulder, pressure=2e-3, row_height=5.0)
    told = [zone for zone in rest.unsupported if zone.kind == "corner"]
    assert any(zone.low - 1.5 <= 40.0 <= zone.high + 1.5 for zone in told)
    assert any(zone.low - 1.5 <= 44.0 <= zone.high + 1.5 for zone in told)


def test_zones_in_order() -> None:
    """What can't be held is told from the bottom up."""
    drum = Outline(np.array([[0.0, 0.0], [30.0, 0.0], [30.0, 40.0], [0.0, 40.0]]))
    zones = rest_fabric(drum, pressure=2e-3, row_height=5.0).unsupported
    lows = [zone.low for zone in zones]
    assert lows == sorted(lows)
    assert {zone.kind for zone in zones} >= {"flat"}
    assert zones[0].low < 3.0
    assert zones[-1].high > 37.0


def test_flattened_ball_presses_round_its_middle() -> None:
    """A ball pressed flat is told to push back between heights that lie evenly about its middle."""
    zones = rest_fabric(spheroid(height=40.0, width=80.0), pressure=2e-3, row_height=4.0).unsupported
    assert [zone.kind for zone in zones] == ["hoop"]
    assert_allclose(zones[0].low + zones[0].high, 40.0, atol=1.0)
    assert 4.0 < zones[0].low < 16.0


def test_inputs_are_left_alone() -> None:
    """The outline that was asked for is not changed."""
    wanted = ball(60.0)
    before = wanted.points.copy()
    rest_fabric(wanted, pressure=2e-3, row_height=5.0)
    assert_array_equal(wanted.points, before)


@pytest.mark.parametrize("inward", [1, -1])
@pytest.mark.parametrize(("degrees", "expected"), [(5, []), (38, []), (42, ["corner"]), (70, ["corner"])])
def test_how_sharp_a_corner_is(degrees: float, expected: list[str], inward: int) -> None:
    """A bend of more than 40 degrees is a corner, whichever way it goes; a lesser one is not worth a word."""
    after = np.pi / 2 + inward * np.radians(degrees)
    bend = [[50.0, 0.0], [50.0, 40.0], [50.0 + 30 * np.cos(after), 40.0 + 30 * np.sin(after)]]
    assert kinds(Outline(np.array(bend))) == expected


def test_ball_drawn_with_straight_lines() -> None:
    """A ball drawn with a dozen straight lines is no row of corners."""
    assert kinds(ball(60.0).resampled(13)) == []
