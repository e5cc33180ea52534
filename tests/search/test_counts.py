"""Whole stitches: dynamic programming against trying every sequence, and the rules that counts keep to."""

import itertools

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from solver.arrays import Floats
from solver.errors import InputError
from solver.search.counts import RING, CountRules, best_counts, step_limits

ANY_STEP = (-100, 100)


def rules(
    number: int,
    *,
    directions: tuple[int, ...] = (1, -1),
    ends: tuple[int, int] = RING,
    steps: tuple[int, int] = ANY_STEP,
    multiple: int = 1,
) -> CountRules:
    """Return rules for so many rounds that begin and end alike."""
    return CountRules(directions, ends, ends, (steps,) * (number - 1), multiple)


def squares(counts: Floats, wanted: Floats, weight: Floats) -> float:
    """Return the weighted sum of squares that is to be least."""
    return float(np.sum(weight * (counts - wanted) ** 2))


@st.composite
def cases(draw: st.DrawFn) -> tuple[Floats, Floats, CountRules]:
    """Draw wanted counts of a few rounds, weights, and rules."""
    number = draw(st.integers(2, 5))
    multiple = draw(st.sampled_from([1, 1, 2, 3]))
    wanted = np.array(draw(st.lists(st.floats(2.0, 18.0), min_size=number, max_size=number)))
    weight = np.array(draw(st.lists(st.floats(0.1, 4.0), min_size=number, max_size=number)))
    directions = draw(st.sampled_from([(1,), (-1,), (1, -1), (-1, 1), (1, -1, 1), ()]))
    low = draw(st.integers(-6, 0)) * multiple
    high = draw(st.integers(0, 6)) * multiple
    least = multiple * draw(st.integers(1, 3))
    kept = rules(
        number,
        directions=directions,
        ends=(least, least + 2 * multiple),
        steps=(low, high),
        multiple=multiple,
    )
    return wanted, weight, kept


@given(case=cases())
@settings(max_examples=60, deadline=None)
def test_no_sequence_is_better(case: tuple[Floats, Floats, CountRules]) -> None:
    """Of all sequences that the rules allow, tried one by one, none comes nearer to the wanted counts."""
    wanted, weight, kept = case
    m = kept.multiple
    ends = range(kept.first[0], kept.first[1] + 1, m)
    near = [
        [m * max(1, round(value / m) + k) for k in range(-2, 3) if round(value / m) + k >= 1 or k == 0]
        for value in wanted
    ]
    near[0], near[-1] = list(ends), [n for n in near[-1] if n in ends] or list(ends)
    allowed = [
        np.array(counts)
        for counts in itertools.product(*(sorted(set(states)) for states in near))
        if kept.allow(np.array(counts))
    ]
    if not allowed:
        with pytest.raises(InputError, match="whole stitches"):
            best_counts(wanted, weight=weight, rules=kept, reach=2)
        return
    found = best_counts(wanted, weight=weight, rules=kept, reach=2)
    assert kept.allow(found)
    least = min(squares(counts, wanted, weight) for counts in allowed)
    assert_allclose(squares(found, wanted, weight), least, rtol=1e-9, atol=1e-9)


@given(radius=st.floats(12.0, 60.0), rounds=st.integers(12, 60))
@settings(max_examples=40, deadline=None)
def test_ball(radius: float, rounds: int) -> None:
    """A ball's counts rise, then fall, each within a stitch of the wanted one, but next to the ends."""
    s = np.arange(1, rounds + 1) / (rounds + 0.6)
    wanted = 2 * np.pi * radius * np.sin(np.pi * s) / 5.0
    assume(np.abs(np.diff(wanted)).max() < wanted[0] < 7.0)  # or the steps held to seven fall behind
    steps = step_limits(wanted, multiple=1, most=7, slack=1)
    kept = CountRules((1, -1), RING, RING, steps)
    found = best_counts(wanted, weight=np.ones(rounds), rules=kept, reach=4)
    assert kept.allow(found)
    off = np.abs(found - wanted)[3:-4]
    assert off.max() < 1.0
    assert np.median(off) <= 0.5


@pytest.mark.parametrize(
    ("counts", "kept", "allowed"),
    [
        ([6, 12, 18, 12, 6], rules(5), True),
        ([6, 12, 11, 12, 6], rules(5), False),  # turns where the outline does not
        ([6, 12, 11, 12, 6], rules(5, directions=(1, -1, 1, -1)), True),
        ([6, 13, 18, 12, 6], rules(5), False),  # more than double
        ([6, 12, 18, 12, 5], rules(5), False),  # less than half
        ([6, 12, 12, 12, 6], rules(5), True),
        ([3, 6, 6, 6, 6], rules(5), False),  # too small a ring
        ([6, 9, 9, 9, 9], rules(5), False),  # too many to draw together
        ([6, 12, 18, 12, 6], rules(5, multiple=6), True),
        ([6, 12, 16, 12, 6], rules(5, multiple=6), False),
        ([6, 12, 16, 12, 6], rules(5, steps=(-5, 5)), False),
        ([6, 6, 6], rules(3, directions=()), True),
        ([6, 7, 6], rules(3, directions=()), False),
        ([6, 5, 4], rules(3, directions=(1, -1)), True),  # a rise may be left out
        ([6, 7, 6], rules(3, directions=(-1, 1)), False),
    ],
)
def test_rules(counts: list[int], kept: CountRules, allowed: bool) -> None:
    """Counts keep to doubles and halves, to steps, to multiples, and turn only as the outline does."""
    assert kept.allow(np.array(counts)) is allowed


def test_no_sequence_at_all() -> None:
    """Where no whole stitches can follow, that is said, with a way out."""
    with pytest.raises(InputError, match="Use a smaller multiple, a finer yarn, or a gentler outline"):
        best_counts(
            np.array([6.0, 30.0, 6.0]), weight=np.ones(3), rules=rules(3), reach=4
        )  # six can't become thirty


def test_reach() -> None:
    """A reach of no multiple leaves the nearest count alone to choose from."""
    found = best_counts(np.array([6.0, 11.4, 16.6, 11.4, 6.0]), weight=np.ones(5), rules=rules(5), reach=0)
    assert found.tolist() == [6, 11, 17, 11, 6]


def test_sixes() -> None:
    """Held to sixes, a ball of the trade comes out as the trade writes it."""
    wanted = np.array(
        [6.4, 12.1, 17.0, 22.9, 29.0, 33.8, 35.2, 35.9, 35.4, 34.0, 30.4, 24.8, 17.9, 11.0, 5.0]
    )
    steps = step_limits(wanted, multiple=6, most=6, slack=1)
    found = best_counts(
        wanted, weight=np.ones(15), rules=CountRules((1, -1), (6, 6), (6, 6), steps, 6), reach=4
    )
    assert found.tolist() == [6, 12, 18, 24, 30, 36, 36, 36, 36, 36, 30, 24, 18, 12, 6]


def test_step_limits() -> None:
    """A round may change as the wanted count does, rounded either way, and more at the ends."""
    wanted = np.array([6.0, 12.3, 17.5, 19.2, 19.2, 18.9, 18.9, 12.0, 6.0])
    limits = step_limits(wanted, multiple=1, most=7, slack=1)
    assert limits[2] == (0, 2)
    assert limits[3] == (0, 0)
    assert limits[4] == (-1, 0)
    assert limits[0] == (0, 7)  # 6.3 wanted, one more at an end, held to 7
    assert all(low <= 0 <= high for low, high in limits)
    assert all(high <= 7 and low >= -7 for low, high in limits)
    assert step_limits(wanted, multiple=1, most=9, slack=1)[0] == (0, 8)
    sixes = step_limits(wanted, multiple=6, most=6, slack=1)
    fours = step_limits(wanted, multiple=4, most=6, slack=1)
    assert max(step for limit in fours for step in limit) == 8  # or no end would ever lie flat
    fives = step_limits(wanted, multiple=5, most=6, slack=1)
    assert max(step for limit in fives for step in limit) == 5
    assert {step for limit in sixes for step in limit} <= {-6, 0, 6}


def test_weights_matter() -> None:
    """Where the rules allow only one of two rounds to be right, it is the one that matters more."""
    wanted = np.array([6.0, 11.0, 6.0])
    tight = rules(3, steps=(-3, 3), ends=(5, 7))
    light = best_counts(wanted, weight=np.array([9.0, 1.0, 9.0]), rules=tight, reach=3)
    heavy = best_counts(wanted, weight=np.array([1.0, 9.0, 1.0]), rules=tight, reach=3)
    assert light.tolist() == [6, 9, 6]
    assert heavy.tolist() == [7, 10, 7]
