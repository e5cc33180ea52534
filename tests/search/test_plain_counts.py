"""Plain counts: one repeat a round, near the outline, steps that go on, and what no plain round may do."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from solver.arrays import Floats
from solver.search.making import Making
from solver.search.plain_judge import SIZE_ROWS, SIZE_SHARE
from solver.search.plain_paths import POINTED, Misfit, plain_paths, reading_of
from solver.search.round_counts import Fit, fit
from solver.search.rows import Rows
from solver.wanted.gauge import FIRMNESS, Gauge, Stuffing
from solver.wanted.outline import Outline, turning_directions
from solver.wanted.part import TOLERANCE
from solver.wanted.silhouette import deviation
from tests.outlines import GAUGES, WANTED, ball, pill

GAUGE = Gauge(stitch_width=5.0, row_height=4.8)


def making(outline: Outline, *, gauge: Gauge = GAUGE, firmness: str = "medium", **more: object) -> Making:
    """Return how a part is made in plain rounds."""
    return Making(
        stitch_width=gauge.stitch_width,
        row_height=gauge.row_height,
        pressure=Stuffing.of_firmness(firmness).pressure(outline.width / 2),
        **{"tolerance": TOLERANCE, **more},  # type: ignore[arg-type]
    )


def steps(found: Fit) -> list[tuple[int, int]]:
    """Return, for each shaped round, the stitches worked into and those gained or lost."""
    return [
        (before, abs(after - before)) for before, after in pairwise(found.counts.tolist()) if before != after
    ]


def turns(found: Fit) -> int:
    """Return how often the step changes."""
    return int(np.sum(np.diff(found.counts, 2) != 0))


def sizes_off(found: Fit, outline: Outline, row: float) -> float:
    """Return how far the worse of height and width is off, over max(1.5 %, half a row)."""
    off = deviation(found.form.points, outline)
    pairs = ((off.height, outline.height), (off.width, outline.width))
    return max(abs(apart) / max(SIZE_SHARE * size, SIZE_ROWS * row) for apart, size in pairs)


def test_bars() -> None:
    """Ten outlines, each at a gauge and firmness of its own, keep the bars that plain rounds are held to.

    97 % of shaped rounds one repeat, 0.13 of a stitch rms in the median and 0.22 at the worst, sizes within
    1.5 % or half a row, and at most 55 % of the changes of step that the exact rounds have.
    """
    found, off, size = [], [], []
    for i, (wanted, gauge) in enumerate(zip(WANTED.values(), GAUGES, strict=True)):
        outline = wanted(gauge)
        found.append(fit(outline, making(outline, gauge=gauge, firmness=list(FIRMNESS)[i % 4])))
        off.append(deviation(found[-1].form.points, outline).rms / gauge.stitch_width)
        size.append(sizes_off(found[-1], outline, gauge.row_height))
        outlined = iter(turning_directions(outline.points[:, 0], slack=0.1))
        assert all(way in outlined for way in turning_directions(found[-1].counts.astype(float), slack=0.0))
    shaped = [step for one in found for step in steps(one)]
    assert np.mean([before % many == 0 for before, many in shaped]) >= 0.97
    assert np.median(off) <= 0.13
    assert max(off) <= 0.22
    assert max(size) <= 1.0
    assert sum(map(turns, found)) <= 0.55 * sum(turns(one.exact) for one in found if one.exact)


@pytest.mark.parametrize("stitches", [30, 36, 42, 48, 54, 60])
@pytest.mark.parametrize(("ratio", "firmness"), [(0.9, "light"), (0.95, "firm"), (1.0, "medium")])
def test_balls_are_worked_in_sixes(stitches: int, ratio: float, firmness: str) -> None:
    """A ball gains six a round from the ring on, or none, and does not end with twelve halved."""
    gauge = Gauge(stitch_width=5.0, row_height=5.0 * ratio)
    outline = ball(stitches * gauge.stitch_width / np.pi)
    found = fit(outline, making(outline, gauge=gauge, firmness=firmness))
    counts = found.counts
    assert counts[0] == 6
    assert set(np.diff(counts[: np.argmax(counts) + 1]).tolist()) <= {0, 6}
    assert counts[:3].tolist() == [6, 12, 18]
    if ratio >= 0.95:  # at flatter rows fewer than six more lie flat
        assert counts[3] == 24
    assert counts[-2:].tolist() != [12, 6]
    assert deviation(found.form.points, outline).rms <= 0.22 * gauge.stitch_width
    assert sizes_off(found, outline, gauge.row_height) <= 1.0


@pytest.mark.parametrize("width", [38.0, 40.0, 50.0])
def test_a_small_ball_in_sixes_keeps_its_size(width: float) -> None:
    """With multiple = 6 the number of rounds is found that keeps the size, where one does."""
    gauge = Gauge(stitch_width=5.0, row_height=5.0)
    outline = ball(width)
    found = fit(outline, making(outline, gauge=gauge, multiple=6))
    assert not np.any(found.counts % 6)
    assert sizes_off(found, outline, gauge.row_height) <= 1.0


def test_the_exact_counts_are_kept_beside() -> None:
    """Plain counts come with the exact ones, which are those that no tolerance gives."""
    outline = WANTED["egg"](GAUGE)
    found = fit(outline, making(outline))
    alone = fit(outline, replace(making(outline), tolerance=None))
    assert found.exact is not None
    assert found.exact.counts.tolist() == alone.counts.tolist()
    assert alone.exact is None
    with pytest.raises(ValueError, match="read-only"):
        found.counts[0] = 7


@pytest.mark.parametrize("tolerance", [0.12, 0.25])
def test_the_tolerance_is_kept(tolerance: float) -> None:
    """Plain counts lie within the tolerance that is given, whatever it is; else the exact ones are taken."""
    outline = WANTED["spindle"](GAUGE)
    found = fit(outline, making(outline, tolerance=tolerance))
    assert deviation(found.form.points, outline).rms <= tolerance * GAUGE.stitch_width


@pytest.mark.parametrize("ring", [None, 6, 7])
def test_open_ends_and_rings(ring: int | None) -> None:
    """A cup keeps the ring that is asked for, is one repeat a round, and lies within tolerance."""
    half = pill(height=90.0, width=50.0).points[:200]
    cup = Outline(np.vstack([half, [25.0, 70.0]]))
    found = fit(cup, making(cup, ring=ring, finish_open=True))
    assert ring is None or found.counts[0] == ring
    assert all(before % many == 0 for before, many in steps(found))
    assert deviation(found.form.points, cup).rms <= 0.25 * GAUGE.stitch_width
    assert sizes_off(found, cup, GAUGE.row_height) <= 1.0


def quadratic(data: st.DataObject, number: int) -> Misfit:
    """Draw a quadratic misfit of so many rounds."""
    best = np.array(data.draw(st.lists(st.floats(4.0, 16.0), min_size=number, max_size=number)))
    entries = data.draw(st.lists(st.floats(-1.0, 1.0), min_size=number**2, max_size=number**2))
    factor = np.reshape(entries, (number, number))
    return Misfit.about(
        best, cost=0.0, slope=np.zeros(number), bend=factor @ factor.T + np.eye(number), unit=100.0
    )


def value(misfit: Misfit, counts: Floats) -> float:
    """Return the misfit of counts."""
    return misfit.least + float(np.sum((misfit.root @ (counts - misfit.best)) ** 2))


@given(data=st.data())
@settings(max_examples=40, deadline=None)
def test_what_is_lost_so_far_is_what_the_rest_cannot_mend(data: st.DataObject) -> None:
    """The first rows of the root tell the misfit of the first counts, the others at their best.

    Against a solve of the whole quadratic for the others.
    """
    misfit = quadratic(data, 5)
    first = data.draw(st.integers(1, 4))
    away = np.array(data.draw(st.lists(st.floats(-3.0, 3.0), min_size=first, max_size=first)))
    bend = misfit.root.T @ misfit.root
    rest = -np.linalg.solve(bend[first:, first:], bend[first:, :first] @ away)
    told = float(np.sum((misfit.root[:first, :first] @ away) ** 2))
    assert_allclose(value(misfit, misfit.best + np.concatenate([away, rest])), told, atol=1e-9)


@given(data=st.data())
@settings(max_examples=25, deadline=None)
def test_paths_keep_to_what_rounds_can_do(data: st.DataObject) -> None:
    """Every sequence begins, turns and ends where it may, and is one repeat a round; none is worth too much.

    A lower limit leaves out what lies above it and nothing else: so short, all sequences are followed.
    """
    number = data.draw(st.integers(3, 7))
    misfit = quadratic(data, number)
    rows = Rows(
        asked=misfit.best,
        flat=misfit.best,
        guess=np.zeros((number + 2, 2)),
        directions=(1, -1),
        first=(4, 8),
        last=(4, 8),
        least=4,
        most=7,
    )
    made = Making(stitch_width=5.0, row_height=5.0, pressure=0.001, tolerance=TOLERANCE)
    paths = plain_paths(misfit, rows, made, nearness=20.0, uneven=False)
    enough = data.draw(st.floats(40.0, 160.0))
    fewer = plain_paths(misfit, rows, made, nearness=20.0, uneven=False, enough=enough)
    worth = [reading_of(counts, made) + 20.0 * value(misfit, counts) for counts in fewer]
    assert max(worth, default=0.0) <= enough + 1e-6
    if paths and not fewer:  # a nipple's price is no reading
        assert reading_of(paths[0], made) + 20.0 * misfit.at(paths[0]) > enough - 15 * POINTED * number
    for counts in paths:
        assert 4 <= counts[0] <= 8
        assert 4 <= counts[-1] <= 8
        for before, after in pairwise(counts.tolist()):
            assert before == after or before % abs(after - before) == 0
            assert before <= 2 * after
            assert after <= 2 * before
        way = turning_directions(counts.astype(float), slack=0.0)
        assert way in ([], [1], [-1], [1, -1])
