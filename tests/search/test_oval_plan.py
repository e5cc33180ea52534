"""Ovals in whole stitches against their wanted sizes, at four gauges of the trade's range."""

from dataclasses import replace

import numpy as np
import pytest

from solver.rounds import Finish
from solver.search.oval_ends import changes
from solver.search.oval_plan import OvalMaking
from solver.search.oval_search import COARSELY, fit_oval
from solver.search.oval_trial import placed, waist
from solver.wanted.part import Fit
from solver.wanted.stadium import Stadium, domed, seamed, soled

GAUGES = [(5.0, 4.55), (5.56, 5.0), (4.17, 3.85), (3.85, 3.57)]
"""Stitch width and row height: 20 x 22, 18 x 20, 24 x 26 and 26 x 28 over 10 cm. [mm]"""

STRETCH = 0.05
"""Firm."""

PARTS: dict[str, tuple[Stadium, dict[str, object]]] = {
    "snout": (domed(length=60, width=42, height=30), {"finish": Finish.OPEN}),
    "capsule": (seamed(length=90, width=45, height=45), {"finish": Finish.SEAMED}),
    "pod": (seamed(length=110, width=35, height=35), {"finish": Finish.SEAMED}),
    "pad": (domed(length=48, width=30, height=14), {"finish": Finish.OPEN}),
    "hull": (soled(length=140, width=60, height=50), {"finish": Finish.SEAMED, "sole": np.sqrt(500.0)}),
}


def making(wanted: Stadium, gauge: tuple[float, float], how: dict[str, object]) -> OvalMaking:
    """Return how a part is made, firmly stuffed."""
    pressure = 2 * STRETCH / (1 + STRETCH) / (wanted.width / 2)
    return OvalMaking(stitch_width=gauge[0], row_height=gauge[1], stretch=STRETCH, pressure=pressure, **how)


@pytest.mark.parametrize("gauge", GAUGES)
@pytest.mark.parametrize("name", PARTS)
def test_sizes_come_out_as_wanted(name: str, gauge: tuple[float, float]) -> None:
    """Sizes are met within 3 % or half a stitch (half a row for height), and there is no waist."""
    wanted, how = PARTS[name]
    best = fit_oval(wanted, making(wanted, gauge, how)).best
    form = best.form
    got = np.array([form.length, form.width, form.height])
    asked = np.array([wanted.length, wanted.width, wanted.height])
    half = np.array([gauge[0], gauge[0], gauge[1]]) / 2
    assert (np.abs(got - asked) <= np.maximum(0.03 * asked, half)).all()
    assert best.rms <= 0.3 * gauge[0]
    assert waist(form) >= 0.97
    rising = np.diff(best.ends)
    assert (np.diff(np.sign(rising[rising != 0])) <= 0).all()  # the ends grow, then shrink


@pytest.mark.parametrize(("name", "gauge"), list(zip(("capsule", "pad", "snout"), GAUGES, strict=False)))
def test_plain_rounds_lie_as_near_as_hands_can_tell(name: str, gauge: tuple[float, float]) -> None:
    """Plain ends change their step less often, a tenth of a stitch further from the drawing at the most."""
    wanted, how = PARTS[name]
    made = making(wanted, gauge, how)
    plain = fit_oval(wanted, made)
    exact = fit_oval(wanted, replace(made, fit=Fit.EXACT))
    assert exact.exact is None
    assert changes(plain.best.ends) <= changes(exact.best.ends)
    assert plain.best.rms <= exact.best.rms + 0.1 * gauge[0]
    assert (plain.exact or plain.best).ends == exact.best.ends
    for this in plain.best.piece.rounds[1:]:
        half = len(this.stitches) // 2
        assert this.stitches[:half] == this.stitches[half:]


def test_a_tolerance_of_its_own_is_kept() -> None:
    """With hardly any tolerance nothing is plainer than it is near; with more no step is taken twice over."""
    wanted, how = PARTS["capsule"]
    made = making(wanted, GAUGES[0], how)
    strict, wide = (fit_oval(wanted, replace(made, tolerance=t)).best for t in (0.01, 1.0))
    exact = fit_oval(wanted, replace(made, fit=Fit.EXACT)).best
    assert strict.rms <= exact.rms + 0.01 * GAUGES[0][0]
    assert changes(wide.ends) <= changes(strict.ends)
    assert changes(wide.ends) <= 2


@pytest.mark.parametrize("multiple", [2, 3])
def test_ends_keep_a_multiple(multiple: int) -> None:
    """The stitches of every end are a multiple of what is asked, and the sizes are met all the same."""
    wanted, how = PARTS["pad"]
    best = fit_oval(wanted, making(wanted, GAUGES[3], {**how, "multiple": multiple})).best
    assert not (np.array(best.ends) % multiple).any()
    assert best.met


def test_free_edge_meets_what_it_can() -> None:
    """The snout with a free edge comes out too round for its surface, but with its height and length."""
    wanted, how = PARTS["snout"]
    best = fit_oval(wanted, making(wanted, GAUGES[0], {**how, "held": False})).best
    assert abs(best.form.height - wanted.height) <= GAUGES[0][1] / 2
    assert abs(best.form.length - wanted.length) <= GAUGES[0][0] / 2


def test_an_open_edge_longer_than_the_chain() -> None:
    """Sides that grow with the height are followed by the ends, nearer than with sides of one length."""
    wanted = Stadium.tapered(domed(length=90, width=50, height=26).profile, [[0, 50], [26, 80]])
    how = making(wanted, GAUGES[0], {"finish": Finish.OPEN})
    best = fit_oval(wanted, how).best
    even = fit_oval(wanted.even, how).best
    assert abs(best.form.length - wanted.length) <= GAUGES[0][0] / 2
    assert abs(even.form.length - wanted.length) > 2 * GAUGES[0][0]
    apart = np.abs(wanted.distance(placed(even.form.points, wanted)))
    assert best.rms < 0.75 * np.sqrt(np.mean(apart**2))
    edge = best.piece.counts[-1] * GAUGES[0][0] * (1 + STRETCH)
    assert edge == pytest.approx(2 * 80 + np.pi * 50, rel=0.12)


def test_given_chain_is_kept() -> None:
    """With the chain and the ends given, the rounds start as asked."""
    wanted, how = PARTS["capsule"]
    best = fit_oval(wanted, making(wanted, GAUGES[0], {**how, "chain": 12, "end": 3})).best
    assert best.piece.foundation == 12
    assert best.piece.counts[0] == 2 * 9 + 2 * 3
    assert max(np.diff(best.ends)) <= 3


def test_progress_is_told() -> None:
    """A hull of about 1,500 stitches is solved whole, with progress told on the way."""
    wanted, how = PARTS["hull"]
    told: list[float] = []
    found = fit_oval(wanted, making(wanted, GAUGES[3], how), progress=told.append)
    assert sum(found.best.piece.counts) > 1400
    assert told == sorted(told)
    assert len(told) > found.solved  # a coarser fabric tells too, as the first part of the work
    assert told[0] < COARSELY <= told[-1 - found.solved]
    assert told[-1] == pytest.approx(1 - 0.05 * (1 - COARSELY))
    assert 0 < told[0] < told[-1] < 1
