"""End counts: nearest to the profile by enumeration, plain with a price, within the rules."""

from dataclasses import replace
from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.rounds import Finish
from solver.search.oval_ends import changes, end_counts, profile_ends
from solver.search.oval_plan import OvalMaking, Plan
from solver.wanted.stadium import domed, seamed

MAKING = OvalMaking(stitch_width=5.0, row_height=4.55, stretch=0.05, pressure=0.004, finish=Finish.OPEN)
SEAMED = replace(MAKING, finish=Finish.SEAMED)
SNOUT = domed(length=60, width=42, height=30)
CAPSULE = seamed(length=90, width=45, height=45)


def cost(ends: tuple[int, ...], aim: np.ndarray, price: float) -> float:
    """Return squared distances from the profile and the price of the changes of step."""
    return float(((np.array(ends[1:]) - aim[1:]) ** 2).sum()) + price * changes(ends)


@pytest.mark.parametrize("price", [0.0, 0.5, 2.0])
@pytest.mark.parametrize(
    ("wanted", "making", "plan"),
    [(SNOUT, MAKING, Plan(3, 10, 5)), (CAPSULE, SEAMED, Plan(8, 8, 6))],
)
def test_the_sequence_is_the_cheapest_of_all(wanted, making, plan, price) -> None:  # type: ignore[no-untyped-def]
    """No other sequence within the rules is nearer and plainer at once: all are tried."""
    aim = profile_ends(wanted, making, plan)
    found = end_counts(wanted, making, plan, price=price)
    top = int(np.argmax(aim))
    widest = np.flatnonzero(aim >= aim.max() - 0.5)
    best = np.inf
    for steps in product(range(-4, 4), repeat=plan.rounds - 1):
        ends = (making.first_end, *(making.first_end + np.cumsum(steps)).tolist())
        if min(ends) < 2 or (making.finish is Finish.SEAMED and ends[-1] != 2):
            continue
        grows = all(step <= 0 or k <= widest[-1] or k <= top for k, step in enumerate(steps, start=1))
        shrinks = all(step >= 0 or k > widest[0] for k, step in enumerate(steps, start=1))
        halves = all(2 * here >= below for below, here in pairwise(ends))
        if grows and shrinks and halves:
            best = min(best, cost(ends, aim, price))
    assert cost(found, aim, price) == pytest.approx(best)


@settings(max_examples=40, deadline=None)
@given(
    widest=st.integers(4, 30),
    rounds=st.integers(3, 24),
    price=st.sampled_from([0.0, 0.5, 2.0]),
    multiple=st.integers(1, 5),
    making=st.sampled_from([MAKING, SEAMED]),
)
def test_the_rules_hold(widest: int, rounds: int, price: float, multiple: int, making: OvalMaking) -> None:
    """Ends are multiples, begin with 3 to 5, grow no faster than lies flat, turn once, end as a seam."""
    how = replace(making, multiple=multiple)
    ends = np.array(end_counts(CAPSULE, how, Plan(8, widest, rounds), price=price))
    rising = np.diff(ends)
    assert not (ends % multiple).any()
    assert 3 <= ends[0] <= 5
    assert rising.max(initial=0) <= max(3, multiple)
    assert (2 * ends[1:] >= ends[:-1]).all()
    assert (np.diff(np.sign(rising[rising != 0])) <= 0).all()
    if how.finish is Finish.SEAMED:
        assert ends[-1] == {1: 2, 2: 2}.get(multiple, multiple)


def test_a_price_on_changes_makes_ends_plain() -> None:
    """Of the capsule's ends half the changes of step go, and no round is more than a stitch off."""
    plan = Plan(9, 16, 16)
    exact, plain = (end_counts(CAPSULE, SEAMED, plan, price=price) for price in (0.0, 2.0))
    assert changes(plain) <= changes(exact) / 2
    assert np.abs(np.array(exact) - plain).max() <= 1


def test_changes_of_step() -> None:
    """+3, +3, then none, then -2: two changes; one number all the way: none."""
    assert changes((4, 7, 10, 10, 10, 8, 6)) == 2
    assert changes((4, 7, 10, 13)) == 0
    assert changes((4,)) == 0
