"""Counts fitted to an outline: how near they come, and what every maker can rely on about them."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from solver.arrays import Floats
from solver.form.rings import TOLERANCE, Form, ring_form
from solver.search.counts import RING
from solver.search.making import Making
from solver.search.round_counts import Fit, fit
from solver.wanted.gauge import Gauge, Stuffing
from solver.wanted.outline import Outline, turning_directions
from solver.wanted.silhouette import deviation
from tests.outlines import GAUGES, WANTED, ball, bump, pill, round_end, spheroid, turned

GAUGE = Gauge(stitch_width=5.0, row_height=4.8)

TURN = 0.5
"""A rise or fall of the wanted girth by less than half a stitch is none. [stitches]"""


STRETCHES = {"light": 0.01, "medium": 0.02, "firm": 0.05, "very firm": 0.08}
"""Stretches that the bars were set at; the words of today stand for less."""


def making(outline: Outline, *, gauge: Gauge = GAUGE, firmness: str = "medium", **more: object) -> Making:
    """Return how a part is made at a gauge and a firmness."""
    return Making(
        stitch_width=gauge.stitch_width,
        row_height=gauge.row_height,
        pressure=Stuffing(STRETCHES[firmness], firmness).pressure(outline.width / 2),
        **more,  # type: ignore[arg-type]
    )


def runs(counts: Floats) -> list[int]:
    """Return whether counts rise and fall, in order, every single stitch told."""
    return turning_directions(np.asarray(counts, dtype=float), slack=0.0)


def plain_rule(outline: Outline, made: Making) -> Form:
    """Return the form of the counts that girth over stitch width gives at each row."""
    rows = max(2, round(outline.length / made.row_height) - 1)
    girth = 2 * np.pi * np.interp(np.arange(1, rows + 1) * made.row_height, outline.arc, outline.points[:, 0])
    counts = np.maximum(3, np.round(girth / made.stitch_width)).astype(np.int64)
    return ring_form(made.fabric(counts, outline), pressure=made.pressure)


def check_counts(found: Fit, wanted: Outline, made: Making) -> None:
    """Check what holds for the counts of every part."""
    counts = found.counts
    assert counts.dtype == np.int64
    assert not np.any(counts % made.multiple)
    assert all(after <= 2 * before and 2 * after >= before for before, after in pairwise(counts.tolist()))
    if not made.start_open:
        assert RING[0] <= counts[0] <= max(RING[1], made.multiple)
    if not made.finish_open:
        assert RING[0] <= counts[-1] <= max(RING[1], made.multiple)
    girth = 2 * np.pi * wanted.points[:, 0] / made.stitch_width
    outlined = iter(turning_directions(girth, slack=TURN))
    assert all(direction in outlined for direction in runs(counts)), "counts turn where the outline does not"
    assert found.form.residual <= TOLERANCE


def test_bars() -> None:
    """Over ten outlines, ten gauges and all firmnesses the forms lie within the bars.

    Every outline meets every second gauge and every gauge all firmnesses. Of all 400 combinations, run once,
    six lie between 0.12 and 0.15, all of them balls a third to half a row off a whole number of rounds: an
    annealing search over all counts that the rules allow found none better than 0.146 for the worst.
    """
    off, ratio = [], []
    for i, name in enumerate(WANTED):
        for j in range(i % 2, len(GAUGES), 2):
            gauge = GAUGES[j]
            wanted = WANTED[name](gauge)
            made = making(wanted, gauge=gauge, firmness=list(STRETCHES)[(i + j // 2) % 4])
            found = fit(wanted, made)
            check_counts(found, wanted, made)
            off.append(deviation(found.form.points, wanted).rms / gauge.stitch_width)
            plain = deviation(plain_rule(wanted, made).points, wanted).rms / gauge.stitch_width
            ratio.append(plain / off[-1])
    assert np.median(off) <= 0.06
    assert max(off) <= 0.12
    assert np.median(ratio) >= 4.0


def test_turning_points() -> None:
    """The counts of a part with two bulges turn three times, and never in between."""

    def necked(x: Floats) -> Floats:
        return np.asarray(round_end(x) * (1 - 0.55 * bump(x, at=0.2, wide=0.25)))

    wanted = turned(necked, height=110.0, width=60.0)
    assert runs(fit(wanted, making(wanted)).counts) == [1, -1, 1, -1]


@given(data=st.data())
@settings(max_examples=25, deadline=None)
def test_any_smooth_outline(data: st.DataObject) -> None:
    """Whatever the smooth outline, gauge and stuffing: whole counts, gentle, turning with it, and a form."""
    width = data.draw(st.floats(3.0, 8.0))
    gauge = Gauge(stitch_width=width, row_height=width * data.draw(st.floats(0.8, 1.15)))
    waves = [data.draw(st.floats(-0.25, 0.25)) for _ in range(3)]
    wide = width * data.draw(st.floats(8.0, 16.0))
    slender = data.draw(st.floats(0.85, 2.2))

    def radius(x: Floats) -> Floats:
        swell = sum(a * np.cos((k + 1) * np.pi * (x + 0.3 * k)) for k, a in enumerate(waves))
        return np.asarray(round_end(x) * (1 + 0.8 * swell))

    wanted = turned(radius, height=wide * slender, width=wide)
    multiple = data.draw(st.sampled_from([1, 1, 1, 2, 6]))
    firmness = data.draw(st.sampled_from(sorted(STRETCHES)))
    before = wanted.points.copy()
    made = making(wanted, gauge=gauge, firmness=firmness, multiple=multiple)
    found = fit(wanted, made)
    check_counts(found, wanted, made)
    assert np.array_equal(wanted.points, before)
    if not found.rest.unsupported and multiple == 1:
        assert deviation(found.form.points, wanted).rms < 0.3 * width


def test_the_plain_rule_s_counts_are_taken_only_where_they_turn_with_the_outline() -> None:
    """Even counts about an odd girth wobble, 26, 24, 26: nearer or not, they are not taken (invented)."""

    def radius(x: Floats) -> Floats:
        swell = 0.15 * np.cos(np.pi * x) - 0.0046875 * np.cos(3 * np.pi * (x + 0.6))
        return np.asarray(round_end(x) * (1 - swell))

    wanted = turned(radius, height=24.0, width=24.0)
    made = making(wanted, gauge=Gauge(stitch_width=3.0, row_height=2.53125), firmness="light", multiple=2)
    check_counts(fit(wanted, made), wanted, made)


@pytest.mark.parametrize("name", ["ball", "egg", "pill", "bottle"])
def test_no_slack_is_parked(name: str) -> None:
    """No round but the ends holds many more stitches than its place has room for, nor hangs slack."""
    wanted = WANTED[name](GAUGE)
    found = fit(wanted, making(wanted))
    rows = np.arange(1, len(found.counts) + 1) / (len(found.counts) + 0.6) * found.rest.length
    flat = np.interp(rows, found.rest.arc, found.rest.wanted_girth) / GAUGE.stitch_width
    inner = slice(1, -1)
    assert np.all(found.counts[inner] <= np.ceil(1.03 * flat[inner]))
    assert np.all(found.counts[inner] >= np.floor(0.80 * flat[inner]))
    assert found.form.course_stretch[2:-2].min() > -0.03


def test_misfit_and_scaling() -> None:
    """A part scaled as the misfit says is a whole number of rounds long, and fits better."""
    wanted = ball(63.0)
    made = making(wanted)
    found = fit(wanted, made)
    assert 0.2 < abs(found.misfit_rows) < 0.7
    assert (found.misfit_rows > 0) == (found.scale_to_fit < 1)  # a row too many: a little smaller
    scaled = wanted.scaled(found.scale_to_fit)
    again = fit(scaled, making(scaled))
    assert_allclose(again.misfit_rows, 0.0, atol=0.02)
    assert len(again.counts) == len(found.counts)
    rms = [deviation(part.form.points, shape).rms for part, shape in ((found, wanted), (again, scaled))]
    assert rms[1] < 0.6 * rms[0]


@pytest.mark.parametrize("ring", [4, 5, 6, 7, 8])
def test_ring_of_ones_own(ring: int) -> None:
    """The number of stitches in the ring can be chosen, and costs little."""
    wanted = ball(68.0)
    found = fit(wanted, making(wanted, ring=ring))
    assert found.counts[0] == ring
    assert deviation(found.form.points, wanted).rms < 0.2 * GAUGE.stitch_width


@pytest.mark.parametrize("multiple", [2, 3, 4, 5, 6, 7, 8])
def test_multiples(multiple: int) -> None:
    """Every count is a multiple where that is asked for, and from five on changes by one or none."""
    wanted = ball(68.0)
    made = making(wanted, multiple=multiple)
    found = fit(wanted, made)
    check_counts(found, wanted, made)
    steps = np.abs(np.diff(found.counts))
    assert steps.max() <= 8 if multiple < 5 else set(steps.tolist()) == {0, multiple}
    # fives fall behind what lies flat, six a round, and tens in one round would ruffle
    assert deviation(found.form.points, wanted).rms < (0.4 if multiple == 5 else 0.35) * GAUGE.stitch_width


TAPER = Outline(np.array([[20.0, 0.0], [32.0, 110.0]])).resampled(200)
CUP = Outline(np.vstack([pill(height=90.0, width=50.0).points[:200], [25.0, 70.0]]))


def test_open_start_and_finish() -> None:
    """A taper open at both ends starts and ends at the counts of its own edges, held to its drawn radii."""
    found = fit(TAPER, making(TAPER, start_open=True, finish_open=True))
    girth = 2 * np.pi * TAPER.points[[0, -1], 0] / GAUGE.stitch_width
    assert np.all(np.abs(found.counts[[0, -1]] - girth) <= 4)
    assert_allclose(found.form.radius[[0, -1]], [20.0, 32.0], rtol=1e-12)
    assert runs(found.counts) == [1]
    assert deviation(found.form.points, TAPER).rms < 0.12 * GAUGE.stitch_width
    assert_allclose(found.form.size, TAPER.height, atol=GAUGE.row_height / 2)


@pytest.mark.parametrize("rows", [20.2, 20.8])
def test_open_tube_is_as_high_as_drawn(rows: float) -> None:
    """Along a straight wall nothing but height tells the rounds' number, and the nearest is taken."""
    tube = Outline(np.array([[25.0, 0.0], [25.0, rows * GAUGE.row_height]])).resampled(100)
    found = fit(tube, making(tube, firmness="light", start_open=True, finish_open=True))
    assert len(found.counts) == round(rows)


@pytest.mark.parametrize("firmness", STRETCHES)
def test_open_finish(firmness: str) -> None:
    """A cup open below keeps its height and its edge; a free edge comes out near the drawing too."""
    held = fit(CUP, making(CUP, finish_open=True, firmness=firmness))
    assert_allclose(held.form.radius[-1], 25.0, rtol=1e-12)
    free = fit(CUP, making(CUP, finish_open=True, held=False, firmness=firmness))
    assert free.form.radius[-1] != 25.0
    for found in (held, free):
        assert deviation(found.form.points, CUP).rms < 0.2 * GAUGE.stitch_width
        assert_allclose(found.form.size, CUP.height, atol=0.6 * GAUGE.row_height)


def test_progress() -> None:
    """Progress is told as a share that grows."""
    told: list[float] = []
    wanted = ball(50.0)
    fit(wanted, making(wanted), progress=told.append)
    assert told == sorted(told)
    assert told[0] == 0.0
    assert max(told) <= 1.0


def test_flat_ball_comes_out_rounder() -> None:
    """A ball drawn too flat for stuffing still becomes counts, and a form that is rounder than drawn."""
    wanted = spheroid(height=36.0, width=80.0)
    made = making(wanted)
    found = fit(wanted, made)
    assert [zone.kind for zone in found.rest.unsupported] == ["hoop"]
    check_counts(found, wanted, made)
    assert found.form.size / found.form.width > wanted.height / wanted.width


def test_same_part_same_counts() -> None:
    """The same part gives the same counts, however often it is asked for."""
    wanted = WANTED["skittle"](GAUGE)
    first, second = (fit(wanted, making(wanted)).counts.tolist() for _ in range(2))
    assert first == second
