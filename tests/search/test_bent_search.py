"""Parts that bend: forms come where they are drawn, rounds of a bend are alike, what can't be is told."""

from __future__ import annotations

import json
from itertools import groupby
from typing import Any

import numpy as np
import pytest

from solver.errors import InputError, Problem
from solver.form.fabric import stitch_fabric
from solver.form.stitches import stitch_form
from solver.notation.convert import converted
from solver.notation.proof import proof_read
from solver.notation.writer import write_rounds
from solver.partfile import read
from solver.rounds import HEIGHTS, Finish, Piece, Round, Start, Stitch
from solver.rounds.evenness import bends
from solver.search import bent_search
from solver.search.bent_length import rows_missing
from solver.search.bent_lie import ring_tilts
from solver.search.bent_plan import Pattern, Straight, tilt_of
from solver.solving.again import with_rounds
from solver.solving.solved import Solved, solve
from solver.wanted.outline import Outline
from solver.wanted.part import BentPart
from solver.wanted.swept import Bend, Swept, bends_of_line

GAUGE = '[gauge]\nstitches = 20\nrows = 21\n[stuffing]\nfirmness = "firm"\n[shape]\n'
KNEE = (
    'kind = "bent"\npoints = [[0, 0], [10, 3], [14, 14], [14, 90]]\n'
    'bends = [{ at = "45 mm", angle = "60 deg", over = "28 mm" }]\n'
)
LINE = (
    'kind = "bent"\npoints = [[0, 0], [9, 3], [12, 12], [12, 100]]\n'
    "spine = [[0, 0], [0, 25], [0, 50], [-14, 73], [-37, 87]]\n"
)
FOOT = 'kind = "foot"\nlength = 52\nwidth = 27\nheight = 25\nankle = 21\nleg = 24\n'
BELLY = (
    'kind = "belly"\nfront = [[0, 0], [26, 6], [36, 26], [24, 58], [0, 70]]\n'
    "back = [[0, 0], [22, 6], [27, 26], [22, 58], [0, 70]]\n"
)


ON_CHAIN = FOOT + '[work]\nstart = "chain"\n'


@pytest.fixture(
    scope="module",
    params=[KNEE, LINE, FOOT, ON_CHAIN, BELLY],
    ids=["knee", "line", "foot", "foot on a chain", "belly"],
)
def solved(request: pytest.FixtureRequest) -> Solved:
    """Parts of every kind that bends, solved."""
    return solve(read(GAUGE + request.param, file="part.toml", title="Part"))


def test_form_comes_where_the_drawing_is(solved: Solved) -> None:
    """End tilt within 5 degrees, middle line within half a stitch, surface 0.35 stitch, girth 4 %."""
    part, width = solved.part, solved.part.gauge.stitch_width
    assert isinstance(part, BentPart)
    assert abs(solved.lie.end_tilt) == pytest.approx(abs(np.degrees(part.wanted.end_tilt)), abs=5.0)
    assert solved.lie.off_middle < 0.5 * width
    assert solved.rms < 0.35 * width
    assert solved.lie.girths.max() == pytest.approx(np.pi * part.outline.width, rel=0.04)
    assert solved.form.residual <= 1e-3
    if not part.wanted.is_level:  # as long as whole rows come
        assert abs(rows_missing(solved.form, part.wanted)) <= 0.6


def test_rounds_of_a_bend_are_alike(solved: Solved) -> None:
    """Every run of rounds that bend is one round, worked several times."""
    runs = [set(rounds) for bent, rounds in groupby(solved.piece.rounds, key=bends) if bent]
    assert all(len(run) == 1 for run in runs)
    assert bool(runs) or solved.part.wanted.is_level


def test_its_own_rounds_read_again_have_the_same_form(solved: Solved) -> None:
    """Rounds taken as somebody's own are solved from another start, to the same form."""
    again = with_rounds(solved, solved.piece)
    width = solved.part.gauge.stitch_width
    assert np.abs(again.lie.girths - solved.lie.girths).max() < 0.05 * width
    assert again.rms == pytest.approx(solved.rms, abs=0.05 * width)
    if any(map(bends, solved.piece.rounds)):  # else it may be turned about its own axis, and leans as well
        assert np.abs(again.lie.centres - solved.lie.centres).max() < 0.05 * width
        assert np.abs(again.points - solved.points).max() < 0.05 * width


def test_json_tells_middles_and_tilt(solved: Solved) -> None:
    """Forward is where a spine bends first, whichever way it is drawn; middles lie on the drawn line."""
    told = json.loads(json.dumps(solved.as_dict()))
    form, part = told["form"], solved.part
    assert len(form["centres"]) == len(told["rounds"])
    if part.wanted.bends:
        assert form["end_tilt_deg"] > 0
        towards = np.sign(part.wanted.bends[0].angle)
        off = part.wanted.off_spine(np.array(form["centres"]) * [towards, 1.0])
        assert np.sqrt(np.mean(off**2)) < 0.5 * part.gauge.stitch_width
    middle = form["sections"][2:-2]  # each round in its own plane, however it is tilted
    assert all(each["length_mm"] > 0.8 * each["width_mm"] for each in middle)
    assert {code for each in told["rounds"] for code in each["stitches"]} <= {str(each) for each in Stitch}


GENTLE = KNEE.replace("60 deg", "12 deg").replace("28 mm", "30 mm") + '[work]\nbend_by = "shaping"\n'
STEP = KNEE.replace(
    'bends = [{ at = "45 mm", angle = "60 deg", over = "28 mm" }]',
    "bends = [{ at = 40, angle = 18, over = 15 }, { at = 70, angle = -18, over = 15 }]",
)


@pytest.mark.parametrize("shape", [GENTLE, STEP], ids=["gentle", "step"])
def test_shaping_on_one_side_bends_and_keeps_the_count(shape: str) -> None:
    """Increases on one side and as many decreases opposite: asked for, or the plainest way to step aside."""
    solved = solve(read(GAUGE + shape, file="part.toml", title="Part"))
    part, width = solved.part, solved.part.gauge.stitch_width
    assert isinstance(part, BentPart)
    shaped = [this for this in solved.piece.rounds if bends(this)]
    assert len(set(shaped)) == 1
    assert shaped[0].increases == shaped[0].decreases >= 2
    assert {stitch.plain for this in solved.piece.rounds for stitch in this.stitches} == {Stitch.SC}
    assert solved.lie.end_tilt == pytest.approx(np.degrees(part.wanted.end_tilt), abs=5.0)
    assert solved.lie.off_middle < 0.5 * width
    assert solved.rms < 0.35 * width
    assert any("towards the increases" in note for note in solved.notes)


def test_both_ways_work_together_where_that_is_plainer() -> None:
    """A step aside by increases and decreases, a knee by heights, towards one front."""
    shape = KNEE.replace("[14, 90]", "[14, 150]").replace(
        'bends = [{ at = "45 mm", angle = "60 deg", over = "28 mm" }]',
        "bends = [{ at = 40, angle = 18, over = 15 }, { at = 70, angle = -18, over = 15 }, "
        "{ at = 110, angle = 60, over = 26 }]",
    )
    solved = solve(read(GAUGE + shape, file="part.toml", title="Part"))
    kinds = {this for this in solved.piece.rounds if bends(this)}
    assert sorted(this.increases > 0 for this in kinds) == [False, True]
    assert solved.lie.end_tilt == pytest.approx(60, abs=5.0)
    assert solved.lie.off_middle < 0.5 * solved.part.gauge.stitch_width
    assert solved.rms < 0.35 * solved.part.gauge.stitch_width


def test_shaping_that_stays_in_line_moves_a_tube_aside_and_does_not_tilt_it() -> None:
    """By symmetry about the plane of the increases, and about the middle of the shaped rounds."""
    shaped = Pattern(18, 0, 0, Stitch.HDC, shaped=2, early=1).stitches(0)
    plain = (Round.plain(18),) * 6
    piece = Piece(Start.OPEN, 18, (*plain, *(Round(shaped),) * 5, *plain), Finish.OPEN)
    form = stitch_form(stitch_fabric(piece, stitch_width=5.0, row_height=4.8), pressure=0.0015)
    tilts = ring_tilts(form.fabric, form.points)
    assert np.degrees(tilts[-1] - tilts[0]) == pytest.approx(0, abs=0.5)
    first, last = form.rings[1].mean(axis=0), form.rings[-1].mean(axis=0)
    assert np.hypot(*(last - first)[:2]) > 5.0


def test_more_than_shaping_gives_is_refused_with_the_nearest() -> None:
    """Told in degrees before anything is solved."""
    with pytest.raises(InputError, match=r"by 12 degrees at the most \(got 60 degrees\)") as caught:
        read(GAUGE + KNEE + '[work]\nbend_by = "shaping"\n', file="part.toml", title="Part")
    assert "The nearest: 12 degrees." in str(caught.value)


def test_girths_are_as_near_as_whole_stitches_come() -> None:
    """A small foot whose toe once kept too few stitches; of its thinner leg the sizes that fit are told."""
    small = 'kind = "foot"\nlength = 37.7\nwidth = 22.6\nheight = 22.3\nankle = 18.36\nleg = 32.6\n'
    solved = solve(read(GAUGE.replace('"firm"', '"medium"') + small, file="foot.toml", title="Foot"))
    wide = solved.lie.girths.max()
    assert wide == pytest.approx(np.pi * solved.part.outline.width, rel=0.03)
    (note,) = (each for each in solved.notes if "Stitches are whole" in each)
    assert "its rounds of 11 come out 4% thinner than drawn. Drawn 17.7 mm or 19.3 mm across" in note


def test_what_is_too_tight_is_refused_with_the_nearest() -> None:
    """The tightest bend is told in degrees before anything is solved."""
    tight = KNEE.replace('over = "28 mm"', 'over = "6 mm"')
    with pytest.raises(InputError, match=r"at the most over 6\.0 mm") as caught:
        read(GAUGE + tight, file="part.toml", title="Part")
    assert "The nearest: 36 degrees, or over at least" in str(caught.value)


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        (KNEE.replace("60 deg", "steep"), "degrees"),
        (KNEE.replace("45 mm", "85 mm"), "lies inside the part"),
        (KNEE + "spine = [[0, 0], [0, 40], [20, 80]]\n", "not both"),
        ('kind = "bent"\npoints = [[0, 0], [14, 14], [14, 90]]\n', "has a spine, or bends"),
        (LINE.replace("[12, 100]]", "[12, 60]]"), "as long as the spine"),
        (FOOT.replace("width = 27", "width = 40"), "round"),
        (FOOT.replace("length = 52", "length = 30"), "at least"),
        (BELLY.replace("[0, 70]]\nback", "[0, 75]]\nback"), "at one height"),
        (BELLY + '[work]\nbend_by = "shaping"\n', "make no belly"),
        (
            KNEE.replace("14", "27").replace("60 deg", "9 deg") + '[work]\nbend_by = "shaping"\n',
            "13 to 30 stitches",
        ),
    ],
)
def test_faults_are_told(wrong: str, told: str) -> None:
    """Each fault of a shape that bends is a message about the part file."""
    with pytest.raises(InputError, match=told):
        read(GAUGE + wrong, file="part.toml", title="Part")


def test_bend_of_a_line_is_its_angle() -> None:
    """Two straight legs and a quarter of a circle between them are one bend of 90 degrees."""
    turn = np.linspace(0, np.pi / 2, 15)
    arc = np.column_stack([30 - 30 * np.cos(turn), 40 + 30 * np.sin(turn)])
    line = np.concatenate([[[0, 0], [0, 20]], arc, [[50, 70], [70, 70]]])
    fine, (bend,) = bends_of_line(line)
    assert np.degrees(bend.angle) == pytest.approx(90, abs=1)
    assert bend.middle == pytest.approx(40 + 15 * np.pi / 2, abs=2)
    assert bend.over == pytest.approx(15 * np.pi, rel=0.15)
    assert np.hypot(*np.diff(fine, axis=0).T).sum() == pytest.approx(80 + 15 * np.pi, rel=0.01)


def test_swept_tube_is_pappus_and_its_distance_is_exact() -> None:
    """A bent tube holds its circle times the way of its middle (Pappus); points off it are that far off."""
    tube = Outline(np.array([[10.0, 0.0], [10.0, 90.0]]))
    swept = Swept.bent(tube, [Bend(begin=30.0, end=60.0, angle=np.pi / 2)])
    assert swept.volume == pytest.approx(np.pi * 100 * 90, rel=1e-3)
    assert np.degrees(swept.end_tilt) == pytest.approx(90)
    middle = np.array([30 / (np.pi / 2), 30.0])  # of the circle that the middle line is
    for angle in (0.2, 0.8, 1.3):
        out = np.array([-np.cos(angle), np.sin(angle)])
        at = middle + out * (30 / (np.pi / 2) + 10 + 2.5)
        assert swept.distance([[at[0], 0.0, at[1]]]) == pytest.approx(2.5, abs=0.02)


def test_tilt_of_a_round_is_that_of_the_nearest_plane() -> None:
    """Equation (1) against the plane through the tops by least squares."""
    pattern = Pattern(18, 6, 6, Stitch.HDC)
    straight = Straight(
        counts=(18,), at=np.array([0.0, 5.0]), stitch_width=5.0, row_height=4.8, heights=HEIGHTS,
        start=Start.OPEN, finish=None, increases="staggered",
    )  # fmt: skip
    rows = np.array([HEIGHTS.of(stitch) for stitch in pattern.stitches(0)]) * 4.8
    angle = 2 * np.pi * np.arange(18) / 18
    radius = 18 * 5.0 / (2 * np.pi)
    plane = np.column_stack([radius * np.cos(angle), radius * np.sin(angle), np.ones(18)])
    (a, b, _), *_ = np.linalg.lstsq(plane, rows, rcond=None)
    assert tilt_of(pattern, straight) == pytest.approx(np.hypot(a, b), rel=1e-6)


def test_a_foot_begins_on_the_chain_that_is_asked_for() -> None:
    """Its first round goes along both sides, and it holds its form; a chain too long is refused."""
    solved = solve(read(GAUGE + ON_CHAIN + "chain = 5\n", file="foot.toml", title="Foot"))
    assert (solved.piece.foundation, solved.piece.counts[0]) == (5, 10)
    assert solved.lie.end_tilt == pytest.approx(90, abs=5)
    assert solved.rms < 0.35 * solved.part.gauge.stitch_width
    with pytest.raises(InputError, match=r"begun on 3 to 8 chains.*The nearest: 8"):
        read(GAUGE + ON_CHAIN + "chain = 20\n", file="foot.toml", title="Foot")


def test_a_foot_on_a_chain_begins_along_both_its_sides() -> None:
    """Its toe is as many stitches as on a ring, and read again it is the same work."""
    solved = solve(read(GAUGE + ON_CHAIN, file="foot.toml", title="Foot"))
    assert solved.piece.start is Start.CHAIN
    assert solved.piece.foundation >= 3
    lines = write_rounds(solved.piece)
    assert "in the last ch" in lines[1].text
    (again,) = converted(proof_read("\n".join(line.text for line in lines)))
    assert again.piece == solved.piece


@pytest.mark.parametrize("reach", [37.0, 38.0, 39.0, 40.0, 41.3])
def test_a_line_may_turn_to_its_end(reach: float) -> None:
    """A middle line that turns up to its very end is read: its last bend ends where it ends."""
    length = sum(np.hypot(*np.diff(bends_of_line([[0, 0], [0, 30], [20, 60], [reach, 63]])[0], axis=0).T))
    text = (
        f'kind = "bent"\npoints = [[0, 0], [9, 3], [12, 12], [12, {length:.1f}]]\n'
        f"spine = [[0, 0], [0, 30], [20, 60], [{reach}, 63]]\n"
    )
    part = read(GAUGE + text, file="part.toml", title="Part")
    assert isinstance(part, BentPart)
    assert part.bends[-1].end == pytest.approx(length, abs=0.1)


def test_a_way_that_cannot_be_worked_is_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the first way to bend would double the stitches of the tip, the next is taken."""
    ways, formed = [], bent_search.formed

    def first_fails(*given: Any) -> Any:
        ways.append(given[2])
        if given[2] == ways[0]:
            raise InputError(Problem("round 2 has at most twice the stitches of round 1"))
        return formed(*given)

    monkeypatch.setattr(bent_search, "formed", first_fails)
    solve(read(f'{GAUGE}{KNEE}[work]\nrounds = "exact"\n', file="part.toml", title="Part"))
    assert set(ways) > {ways[0]}
