"""Parts tuned to a size: the solved form hits it."""

from dataclasses import replace

import numpy as np
import pytest

from solver.partfile import read
from solver.search.making import Aim
from solver.search.round_counts import fit
from solver.solving.again import reformed
from solver.solving.round import making_of
from solver.solving.solved import solve
from solver.tuning.keep import By, refined_with, sensitivity
from solver.tuning.scale import scaled_to, size_of

PARTS = {
    "float": 'kind = "egg"\nheight = 60\nwidth = 45',
    "mark": 'kind = "drop"\nheight = 64\nwidth = 44',
    "post": 'kind = "outline"\npoints = [[0, 0], [20, 6], [26, 24], [17, 44], [24, 62], [0, 76]]',
}
"""Parts that no sample is (invented)."""


def part(name: str, rounds: str = "plain"):
    """One of the parts, at 20 stitches to 10 cm."""
    text = f'[gauge]\nstitches = 20\nrows = 20\n[shape]\n{PARTS[name]}\n[work]\nrounds = "{rounds}"\n'
    return read(text, file=name, title=name)


@pytest.mark.parametrize("name", PARTS)
@pytest.mark.parametrize(("measure", "factor", "rounds"), [("height", 1.3, "plain"), ("width", 0.8, "exact")])
def test_scaled_to_a_size(name: str, measure: str, factor: float, rounds: str) -> None:
    """The form of the scaled drawing lies within 1 % or half a row of the target."""
    wanted = part(name, rounds)
    target = factor * getattr(wanted.outline, measure)
    got = size_of(scaled_to(wanted, measure=measure, target=target), measure)
    assert abs(got - target) <= max(0.01 * target, 2.5)


HARD = {
    "ball between two rounds": ("stitches = 20\nrows = 20", 'kind = "ball"\nwidth = 64', "", "height", 44.8),
    "volume between two rounds": (
        "stitches = 20\nrows = 20\n[stuffing]\nstretch = 0.01",
        'kind = "ball"\nwidth = 64',
        'rounds = "exact"',
        "volume",
        206.0,
    ),
    "outside sizes": (
        "stitches = 18\nrows = 19\nthickness = 3",
        'kind = "egg"\nheight = 82\nwidth = 60',
        "",
        "volume",
        96.1,
    ),
    "sixes": (
        "stitches = 17\nrows = 17\n[stuffing]\nstretch = 0.01",
        'kind = "spheroid"\nheight = 60\nwidth = 78',
        "multiple = 6",
        "width",
        64.7,
    ),
}
"""Invented. Scaling the drawing alone leaves each 1.8 to 4.4 % off, as whole rounds keep its size away."""


@pytest.mark.parametrize("name", HARD)
def test_counts_give_way_to_the_size(name: str) -> None:
    """Where whole rounds keep the size away, it is hit within 1 %, and the form keeps near the drawing."""
    gauge, shape, work, measure, target = HARD[name]
    wanted = read(f"[gauge]\n{gauge}\n[shape]\n{shape}\n[work]\n{work}\n", file=name, title=name)
    tuned = scaled_to(wanted, measure=measure, target=target)
    assert size_of(tuned, measure) == pytest.approx(target, rel=0.01)
    assert not np.any(np.array([each.count for each in tuned.piece.rounds]) % wanted.work.multiple)
    plain = solve(tuned.part).deviation.rms  # `rounds` of the same scaled drawing
    assert tuned.deviation.rms <= plain + 0.08 * wanted.gauge.stitch_width


@pytest.mark.parametrize(("rows", "target", "least"), [(26, 33.0, 32.5)])
def test_counts_between_two_scales(rows: int, target: float, least: float) -> None:
    """Where scales jump over a size, counts between theirs are found: a few rounds of 24 among 18."""
    gauge = f"[gauge]\nstitches = 20\nrows = {rows}\n"
    wanted = read(f'{gauge}[shape]\nkind = "ball"\nwidth = 30\n[work]\nmultiple = 6\n', file="b", title="B")
    tuned = scaled_to(wanted, measure="width", target=target)
    assert least < tuned.got.width < target + 1
    assert max(tuned.piece.counts) == 24


def test_a_size_that_counts_keep_away_is_told() -> None:
    """A size missed by more than 1 % is told, with the steps of the counts and what helps; none else."""
    gauge, shape, _, _, _ = HARD["sixes"]
    for work, told in (('multiple = 6\nrounds = "exact"', True), ("", False)):
        wanted = read(f"[gauge]\n{gauge}\n[shape]\n{shape}\n[work]\n{work}\n", file="b", title="B")
        target = 0.72 * np.pi / 6 * 78**2 * 60 / 1000
        tuned = scaled_to(wanted, measure="volume", target=target)
        off = tuned.got.volume - target
        assert (abs(off) > 0.01 * target) == told
        notes = [note for note in tuned.notes if "what was asked for" in note]
        assert len(notes) == told
        if told:
            assert f"comes out {abs(off):.1f} ml {'over' if off > 0 else 'under'}" in notes[0]
            assert "11.2 mm of width" in notes[0]  # 6 stitches of 5.9 mm over pi
            assert "A smaller multiple" in notes[0]


@pytest.mark.parametrize("measure", ["height", "width", "volume"])
def test_slope_of_an_aim(measure: str) -> None:
    """An aim's slope is its difference quotient, on rings moved at random."""
    post = part("post", "exact")
    form = fit(post.outline, making_of(post)).form
    aim = Aim(measure=measure, size=40.0, weight=2.0)
    moves = np.random.default_rng(3).normal(size=(*form.points.shape, 2))
    step = 1e-6
    for k, slope in enumerate(aim.slope(form, moves)):
        ahead, behind = (form.points + way * moves[..., k] for way in (step, -step))
        moved = [replace(form, radius=points[:, 0], height=points[:, 1]) for points in (ahead, behind)]
        quotient = (aim.off(moved[0]) - aim.off(moved[1])) / (2 * step)
        assert slope == pytest.approx(quotient, rel=1e-5)


def test_by_gauge_and_by_firmness_keep_the_rounds() -> None:
    """The same rounds at the told gauge, or stuffed as told, have the size; solved, not scaled."""
    drawn = solve(part("float"))
    for by, factor in ((By.GAUGE, 1.4), (By.FIRMNESS, 1.02)):
        target = factor * size_of(drawn, "height")
        got = refined_with(drawn, measure="height", target=target, by=by)
        assert got.piece == drawn.piece
        assert size_of(got, "height") == pytest.approx(target, rel=1e-4)
        assert size_of(reformed(got, got.part), "height") == pytest.approx(target, rel=1e-4)


def test_sensitivities() -> None:
    """1 % more of stitch width and row height together make a part 1 % larger, stuffed as firmly."""
    drawn = solve(part("mark"))
    moved = sensitivity(drawn, "height")
    # the stuffing's p/k stays here, and on a larger part it stretches by a little more
    assert moved.stitch_width + moved.row_height == pytest.approx(0.01 * drawn.form.height, rel=0.1)
    assert moved.stretch > 0
