"""How a trial's form is measured: what lies at mid-length, how full its ends are."""

from dataclasses import replace

import numpy as np
import pytest

from solver.form.stitches import StitchForm
from solver.rounds import Finish
from solver.search.oval_plan import OvalMaking, Plan
from solver.search.oval_trial import middle_sizes, misses, tried, waist
from solver.wanted.stadium import seamed

WIDTH, HEIGHT = 5.0, 4.55
WANTED = seamed(length=100, width=34, height=34)


@pytest.fixture(scope="module")
def form() -> StitchForm:
    """Return a seamed part of firm stuffing."""
    how = OvalMaking(
        stitch_width=WIDTH, row_height=HEIGHT, stretch=0.05, pressure=0.006, finish=Finish.SEAMED
    )
    return tried(WANTED, how, Plan(side=12, widest=11, rounds=10)).form


def test_the_middle_is_two_stitches_of_each_side_and_no_more(form: StitchForm) -> None:
    """Pinched where a waist is narrowest, over one stitch each way, a part is that narrow at mid-length."""
    points = form.points.copy()
    across, up = middle_sizes(form)
    middle = (points[:, 0].max() + points[:, 0].min()) / 2
    points[np.abs(points[:, 0] - middle) <= 1.3 * WIDTH, 1] *= 0.8
    pinched = replace(form, points=points)
    assert middle_sizes(pinched) == pytest.approx((0.8 * across, up))
    assert waist(pinched) == pytest.approx(0.8 * waist(form))


def test_fullness_tells_ends_that_lie_outside_from_those_that_lie_inside(form: StitchForm) -> None:
    """Ends drawn out across by a fifth are fuller, by no more than that of their half width."""
    points = form.points.copy()
    ends = np.abs(points[:, 0]) > WANTED.straight / 2
    points[ends, 1:] += 0.2 * (points[ends, 1:] - points[:, 1:].mean(axis=0))
    more = misses(replace(form, points=points), WANTED)[4] - misses(form, WANTED)[4]
    assert 0.5 < more < 0.2 * WANTED.width / 2
