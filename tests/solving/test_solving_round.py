"""A part solved: counts that a maker would work, sizes, notes and cautions, and the data that is printed."""

import json
from itertools import pairwise

import numpy as np
import pytest
from numpy.testing import assert_allclose

from solver.partfile import read
from solver.rounds import Round, Stitch
from solver.solving.solved import Solved, solve
from solver.wanted.outline import turning_directions

GAUGE = "[gauge]\nstitches = 20\nrows = 20\n[stuffing]\nstretch = 0.02\n"
BALL = GAUGE + '[shape]\nkind = "ball"\nwidth = "67 mm"\n'
SHAPES = {
    "egg": 'kind = "egg"\nheight = 85\nwidth = 62',
    "spindle": 'kind = "spindle"\nheight = 110\nwidth = 50',
    "pear": 'kind = "outline"\npoints = [[0,0],[22,6],[33,28],[24,55],[15,72],[17,88],[10,99],[0,103]]',
    "lentil": 'kind = "spheroid"\nheight = 56\nwidth = 76',
    "drop": 'kind = "outline"\npoints = [[0,0],[25,8],[34,32],[24,60],[8,90],[0,102]]',
    "pill": 'kind = "capsule"\nheight = 94\nwidth = 44',
}
"""Invented."""
GAUGES = ((20, 20), (22, 24), (16, 17), (24, 25))
"""Stitches and rounds to 10 cm; invented, rows 0.92 to 1 times as tall as stitches are wide."""


def solved(text: str) -> Solved:
    """Return the solution of a part file's text."""
    return solve(read(text, file="part.toml", title="Part"))


EXACT = '[work]\nrounds = "exact"\n'


@pytest.fixture(scope="module")
def buoy() -> Solved:
    """Solve a ball whose rest meridian is nearly a whole number of rounds."""
    return solved(BALL + EXACT)


def test_data_is_whole_and_plain(buoy: Solved) -> None:
    """The data holds every promised key, is plain JSON, and its rounds follow from each other."""
    data = json.loads(json.dumps(buoy.as_dict(), allow_nan=False))
    assert {
        "title", "gauge", "stuffing", "start", "finish", "rounds", "form", "deviation", "direct_rule",
        "rest_meridian_misfit_rows", "closing_mm", "notes", "cautions",
    } <= set(data)  # fmt: skip
    assert {
        "height_mm",
        "width_mm",
        "girth_mm",
        "volume_ml",
        "mean_stretch",
        "residual",
        "iterations",
    } <= set(data["form"])
    assert set(data["deviation"]) == {"rms_mm", "max_mm", "height_mm", "width_mm"}
    rounds = [Round(tuple(Stitch(stitch) for stitch in this["stitches"])) for this in data["rounds"]]
    assert [this["number"] for this in data["rounds"]] == list(range(1, len(rounds) + 1))
    for before, after in pairwise(rounds):
        assert after.uses == before.count
    for this, told in zip(rounds, data["rounds"], strict=True):
        assert (this.count, this.increases, this.decreases) == (
            told["count"], told["increases"], told["decreases"],
        )  # fmt: skip
        assert told["text"].endswith(f"({this.count})")
    assert data["form"]["outline"][0] == [0.0, 0.0]
    assert len(data["form"]["outline"]) == len(rounds) + 2
    assert data["closing_mm"] == pytest.approx(0.6 * 5.0)


def test_a_ball_comes_out_as_drawn(buoy: Solved) -> None:
    """A ball that its rounds fit comes out within 1 % of its size, volume included."""
    assert_allclose([buoy.got.height, buoy.got.width], 67.0, rtol=0.01)
    assert_allclose(buoy.got.volume, 4 / 3 * np.pi * 3.35**3, rtol=0.02)  # a ball's volume
    assert buoy.form.residual <= 1e-6


def test_stretch_is_that_of_the_firmness(buoy: Solved) -> None:
    """A ball's fabric stretches by what its firmness says (2 % for medium), in the mean."""
    assert_allclose(buoy.form.mean_stretch, 0.02, atol=0.003)


@pytest.fixture(scope="module")
def grid() -> list[Solved]:
    """Solve six shapes, each at two of four gauges, stuffed as firmly as the bars were set at."""
    stretches = (0.01, 0.02, 0.05, 0.08)
    return [
        solved(
            f"[gauge]\nstitches = {stitches}\nrows = {rows}\n[stuffing]\nstretch = {stretch}\n"
            f"[shape]\n{shape}\n{EXACT}"
        )
        for i, shape in enumerate(SHAPES.values())
        for (stitches, rows), stretch in list(zip(GAUGES, stretches, strict=True))[i % 2 :: 2]
    ]


def test_whole_stitches_come_near(grid: list[Solved]) -> None:
    """Solved rounds lie 0.06 stitch widths rms away in the median, and 0.12 at the most.

    The limit that whole stitches set is 1 / (2 pi sqrt 12) = 0.046 of a stitch width.
    """
    near = [solution.deviation.rms / solution.part.gauge.stitch_width for solution in grid]
    assert np.median(near) <= 0.06
    assert max(near) <= 0.12


def test_the_plain_rule_is_beaten(grid: list[Solved]) -> None:
    """In the median the plain rule's rounds lie more than four times as far away."""
    gain = [s.plain_rule[0] / s.deviation.rms for s in grid if s.plain_rule is not None]
    assert len(gain) == len(grid)
    assert np.median(gain) >= 4


def test_counts_turn_where_the_drawing_does(grid: list[Solved]) -> None:
    """Counts rise and fall as often as the wanted girth, and step gently."""
    for solution in grid:
        counts = np.array(solution.piece.counts, dtype=float)
        wanted = turning_directions(solution.part.outline.points[:, 0], slack=0.1)
        assert turning_directions(counts, slack=0.0) == wanted
        assert np.abs(np.diff(counts, 2))[2:-2].max() <= 4


def test_plain_rounds_are_the_default() -> None:
    """Unless exact ones are asked for every shaped round is one repeat; the cost is told in one line."""
    plain = solved(BALL.replace("ball", "egg").replace("width =", 'height = "85 mm"\nwidth ='))
    for before, this in pairwise(plain.piece.rounds):
        step = abs(this.count - before.count)
        assert not step or before.count % step == 0
    told = [note for note in plain.notes if note.startswith("Plain rounds: ")]
    assert len(told) == 1
    assert f"Plain rounds: {plain.rms / 5:.2f} of a stitch from the drawing on average" in told[0]
    assert plain.plainness.exact_words > 1.5 * plain.plainness.words
    assert plain.plainness.exact_rms < plain.rms <= 0.22 * 5


def test_exact_rounds_say_nothing_of_plain_ones(buoy: Solved) -> None:
    """Exact rounds have no line on plainness."""
    assert buoy.plainness is None
    assert not any("Plain rounds" in note for note in buoy.notes)


def test_a_tolerance_is_kept() -> None:
    """The less plain rounds may be off, the nearer they lie and the more there is to read."""
    text = GAUGE + '[shape]\nkind = "egg"\nheight = 85\nwidth = 62\n[work]\ntolerance = '
    loose, tight = solved(f"{text}0.25\n"), solved(f"{text}0.1\n")
    assert loose.rms <= 0.25 * 5
    assert tight.rms <= 0.1 * 5
    assert tight.plainness is None or tight.plainness.words >= loose.plainness.words


def test_multiples_of_six_read_like_a_recipe() -> None:
    """With multiple = 6 every count is a multiple of six and every change is six or none."""
    solution = solved(BALL + "[work]\nmultiple = 6\n")
    counts = np.array(solution.piece.counts)
    assert not np.any(counts % 6)
    assert set(np.abs(np.diff(counts)).tolist()) == {0, 6}
    assert solution.deviation.rms <= 0.35 * 5.0


def test_ring_is_as_asked() -> None:
    """`ring` says how many stitches the first round has."""
    assert solved(BALL + "[work]\nring = 5\n").piece.counts[0] == 5


def test_open_ends_start_from_a_chain_and_end_wide() -> None:
    """A tube open at both ends starts from a joined chain as long as round 1, and draws nothing together."""
    text = (
        GAUGE + '[shape]\nkind = "tube"\nheight = 80\nwidth = 50\n[work]\nstart = "open"\nfinish = "open"\n'
    )
    solution = solved(text)
    data = solution.as_dict()
    assert (data["start"], data["finish"], data["closing_mm"]) == ("open", "open", 0.0)
    assert data["foundation"] == solution.piece.counts[0]
    assert_allclose(solution.got.width, 50.0, atol=0.5)
    assert_allclose(solution.got.height, 80.0, atol=2.5)  # half a row
    assert any('edge = "held"' in note for note in solution.notes)
    free = solved(text + 'edge = "free"\n')
    assert any('edge = "free"' in note for note in free.notes)


def test_a_thick_fabric_comes_out_at_the_outside_size() -> None:
    """With a thickness the file's sizes and the told ones are outside sizes."""
    solution = solved(BALL.replace("rows = 20", 'rows = 20\nthickness = "4 mm"'))
    assert_allclose(solution.wanted.width, 67.0, atol=0.01)
    assert_allclose(solution.got.width, 67.0, rtol=0.02)
    assert_allclose(solution.form.width, solution.got.width - 4.0)


@pytest.mark.parametrize(("ratio", "told"), [(0.99, False), (1.01, True)])
def test_hoop_compression_is_told_above_root_two(ratio: float, *, told: bool) -> None:
    """A spheroid is told to be flatter than stuffing can hold from width/height = sqrt 2 on.

    Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., ch. 14 (memory).
    """
    width = 50 * 2**0.5 * ratio
    solution = solved(GAUGE + f'[shape]\nkind = "spheroid"\nheight = 50\nwidth = {width}\n')
    assert any("push back" in note for note in solution.notes) is told


def test_half_a_round_is_told_with_the_height_that_fits() -> None:
    """A misfit of rounds is told; scaled as the note says, the part has next to none."""
    solution = solved(BALL.replace("67 mm", "65 mm"))
    assert abs(solution.misfit) > 0.3
    assert any("rounds exactly" in note for note in solution.notes)
    fitting = solved(BALL.replace("67 mm", f"{65 * solution.scale_to_fit:.3f} mm"))
    assert abs(fitting.misfit) < 0.02
    assert not any("rounds exactly" in note for note in fitting.notes)


@pytest.mark.parametrize(
    ("width", "small", "ball"), [(25, True, True), (45, False, True), (60, False, False)]
)
def test_small_parts_are_cautioned(width: int, *, small: bool, ball: bool) -> None:
    """A ball that may fit the cylinder of 16 CFR 1501.4, or the hole of 16 CFR 1117.2, is cautioned."""
    cautions = solved(BALL.replace("67 mm", f"{width} mm")).cautions
    assert any("small-parts" in caution for caution in cautions) is small
    assert any("Small ball" in caution for caution in cautions) is ball
    assert any("qualified tester" in caution for caution in cautions)
    assert not any("is safe" in caution for caution in cautions)
