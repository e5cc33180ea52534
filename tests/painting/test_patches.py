"""Patches of colour on the stuffed form, against areas in closed form; invented parts."""

import math

import numpy as np
import pytest

from solver.partfile import read
from solver.solving.solved import Solved, solve

GAUGE = "[gauge]\nstitches = 20\nrows = 20\nover = '10 cm'\nlean = {lean}\n"
TUBE = """[shape]\nkind = "outline"\npoints = [["30 mm", "0 mm"], ["30 mm", "{h} mm"]]
[work]\nstart = "open"\nfinish = "open"\n"""
BALL = '[shape]\nkind = "ball"\nwidth = "90 mm"\n'
OVAL = '[shape]\nkind = "oval"\nlength = "90 mm"\nwidth = "60 mm"\nheight = "70 mm"\n'
LEANS = (-0.4, -0.15, 0.0, 0.25, 0.4)
FORTIETH = 1 / 40


def part(shape: str, *patches: str, lean: float = 0.0) -> Solved:
    """Solve a grey part with white patches."""
    told = "".join(f'[[colours.patches]]\ncolour = "white"\n{patch}\n' for patch in patches)
    text = GAUGE.format(lean=lean) + shape + '[colours]\nmain = "grey"\n' + told
    return solve(read(text, file="part.toml", title="Part"))


def runs(names: tuple[str, ...]) -> int:
    """How many runs of white a round has."""
    return sum(a != b == "white" for a, b in zip((*names[-1:], *names), names, strict=False))


@pytest.mark.parametrize("lean", LEANS)
def test_an_ellipse_on_a_cylinder(lean: float) -> None:
    """Wrapped round a cylinder an ellipse keeps its area, pi a b (a plane rolled up)."""
    got = part(
        TUBE.format(h=100),
        'shape = "ellipse"\nwidth = 50\nheight = 60\nat = { height = 50, turn = 20 }',
        lean=lean,
    )
    (shown,) = got.painted.shown
    exact = math.pi * 25 * 30
    assert shown.wanted == pytest.approx(exact, rel=0.01)
    assert shown.stitched == pytest.approx(exact, rel=FORTIETH)
    assert shown.rms < 0.6
    assert all(runs(names) <= 1 for names in got.colours)


@pytest.mark.parametrize("lean", [-0.4, 0.0, 0.25])
def test_a_cap_on_a_ball(lean: float) -> None:
    """A circle laid straight on is a cap: 2 pi R h, h = R - sqrt(R^2 - a^2) (Archimedes)."""
    got = part(
        BALL, 'shape = "ellipse"\nlaid = "straight"\nwidth = 50\nat = { height = 50, turn = -60 }', lean=lean
    )
    (shown,) = got.painted.shown
    radius = got.form.outline[:, 0].max()
    exact = 2 * math.pi * radius * (radius - math.sqrt(radius**2 - 25**2))
    assert shown.wanted == pytest.approx(exact, rel=0.03)  # whole rounds are no exact ball
    row = got.colours[len(got.colours) // 2]
    begin = got.painted.begins[len(got.colours) // 2] % 360
    middle = np.mean([begin - 360 * (j + 0.5) / len(row) for j, name in enumerate(row) if name == "white"])
    assert abs(middle + 60) < 8  # on the part's right, where it is told
    assert shown.stitched == pytest.approx(shown.wanted, rel=FORTIETH)
    assert shown.rms < 0.6


@pytest.mark.parametrize("lean", LEANS)
def test_a_stripe_stays_upright(lean: float) -> None:
    """Counted with the lean, the middle of its stitches stays where it is over 30 rounds."""
    got = part(TUBE.format(h=150), 'shape = "stripe"\nwidth = 17\nat = { turn = 35 }', lean=lean)
    assert len(got.colours) >= 30
    for i, names in enumerate(got.colours):
        n = len(names)
        place = (np.arange(n) + 0.5 + lean * i) / n  # rounds begin at the back, and run to the part's left
        white = np.array([name == "white" for name in names])
        middle = np.angle((white * np.exp(2j * np.pi * place)).sum()) / (2 * np.pi)
        off = (middle - (0.5 - 35 / 360) + 0.5) % 1 - 0.5
        assert abs(off) * n <= 0.5 + 1e-6


def test_what_is_even_is_even_to_the_stitch() -> None:
    """A belly at the front, and eyes on both sides of it, are the same from both ends of every round."""
    eyes = 'shape = "ellipse"\nwidth = 14\nat = { height = 66, turn = 32 }\ntwins = true'
    got = part(BALL, 'shape = "ellipse"\nwidth = 40\nheight = 46\nat = { height = 38 }', eyes)
    assert len(got.painted.shown) == 3
    for names, begins in zip(got.colours, got.painted.begins, strict=True):
        n = len(names)
        # of the front, in half stitches from the first
        centre = round(2 * ((begins % 360) / 360 * n)) % (2 * n)
        assert all(names[j] == names[(centre - 1 - j) % n] for j in range(n))


def test_begins_tell_where_a_round_begins() -> None:
    """At the back, 180 degrees from the front; with a lean it moves on to the part's left."""
    still, leaning = (
        part(TUBE.format(h=60), 'shape = "stripe"\nwidth = 20', lean=lean) for lean in (0.0, 0.3)
    )
    assert np.allclose(np.abs(still.painted.begins), 180.0, atol=1e-6)
    n = len(leaning.colours[0])
    told = np.array([begin % 360 for begin in leaning.painted.begins])
    assert np.allclose(180 - told, [0.3 * i / n * 360 for i in range(len(told))], atol=1e-6)


def test_nothing_stands_alone() -> None:
    """A sliver that has most of hardly a stitch is worked as some stitches that touch, near its area."""
    got = part(TUBE.format(h=60), 'shape = "polygon"\npoints = [[-30, 0], [0, 3], [30, 0], [0, -3]]')
    flat = [name for names in got.colours for name in names]
    assert flat.count("white") == pytest.approx(180 / 25, abs=1.5)
    assert all(runs(names) <= 1 for names in got.colours)


@pytest.mark.parametrize("laid", ["wrapped", "straight", "front"])
def test_on_an_oval(laid: str) -> None:
    """The same patch on an oval's front: its areas agree, its outline is near, its halves are alike."""
    got = part(OVAL, f'shape = "ellipse"\nlaid = "{laid}"\nwidth = 46\nheight = 40\nat = {{ height = 32 }}')
    (shown,) = got.painted.shown
    assert shown.stitched == pytest.approx(shown.wanted, rel=FORTIETH)
    assert shown.rms < 0.6
    assert all(runs(names) <= 1 for names in got.colours)


@pytest.mark.parametrize("lean", [-0.3, 0.2])
def test_twins_have_as_many_stitches_on_a_spiral_that_leans(lean: float) -> None:
    """The eyes of a face are mirror images, row by row about the nearest half stitch."""
    eyes = 'shape = "ellipse"\nwidth = 12\nheight = 17\nat = { height = 40, turn = 35 }\ntwins = true'
    left, right = part(TUBE.format(h=80), eyes, lean=lean).painted.shown
    assert left.stitches == right.stitches
    assert max(left.rms, right.rms) < 0.6


@pytest.mark.parametrize(
    ("shape", "patch"),
    [
        (BALL, 'shape = "ellipse"\nlaid = "front"\nwidth = 33.4\nheight = 27.1\nat = { height = 49.6 }'),
        (BALL, 'shape = "polygon"\npoints = [[-9.4, -15.5], [9.4, -15.5], [0, 17.3]]\nat = { height = 51 }'),
        (
            OVAL,
            'shape = "polygon"\npoints = [[-16.9, -15.8], [16.9, -15.8], [0, 15.3]]\nat = { height = 33 }',
        ),
    ],
)
@pytest.mark.parametrize("lean", [-0.2, 0.0, 0.3])
def test_halves_are_alike_and_areas_agree_at_every_lean(shape: str, patch: str, lean: float) -> None:
    """Stitches are changed in pairs about the middle: small patches come within a stitch, one run a round."""
    (shown,) = (got := part(shape, patch, lean=lean)).painted.shown
    share = max(FORTIETH, 1 / shown.stitches) if shown.stitches < 40 else FORTIETH
    assert shown.stitched == pytest.approx(shown.wanted, rel=share)
    assert shown.rms < 0.6
    assert all(runs(names) <= 1 for names in got.colours)
    if shape is BALL:
        for names, begins in zip(got.colours, got.painted.begins, strict=True):
            n = len(names)
            place = (begins % 360) / 360 * n
            own = [j + 0.5 for j in range(n) if names[j] == "white"]
            off = np.mean([(j - place + n / 2) % n - n / 2 for j in own]) if own else 0.0
            assert abs(off) <= 0.26  # of the nearest half stitch


def test_a_stripe_at_the_front_is_alike_to_the_stitch() -> None:
    """Where the front lies in a stitch runs are odd: a little over five is five, or seven, never six."""
    got = part(TUBE.format(h=90), 'shape = "stripe"\nwidth = 25.5\nlow = 22\nhigh = 68\nat = { turn = 0 }')
    (shown,) = got.painted.shown
    assert shown.stitched == pytest.approx(shown.wanted, rel=FORTIETH)
    for names, begins in zip(got.colours, got.painted.begins, strict=True):
        n, centre = len(names), round(2 * (begins % 360) / 360 * len(names))
        assert all(names[j] == names[(centre - 1 - j) % n] for j in range(n))


def test_patches_grow_with_their_drawing() -> None:
    """A part half as large again has patches half as large again, as high up; areas by 2 1/4."""
    small = part(BALL, 'shape = "ellipse"\nwidth = 40\nheight = 46\nat = { height = 38 }').part
    large = solve(small.scaled(1.5))
    (shown,) = large.painted.shown
    assert shown.wanted == pytest.approx(1.5**2 * math.pi * 20 * 23, rel=0.02)
    (patch,) = large.part.supplies.patches
    assert patch.place.height == pytest.approx(57)
    polygon = part(BALL, 'shape = "polygon"\npoints = [[-9, 0], [9, 0], [0, 14]]').part.scaled(2)
    stripe = part(BALL, 'shape = "stripe"\nwidth = 9\nlow = 20').part.scaled(2)
    assert np.allclose(polygon.supplies.patches[0].points, [[-18, 0], [18, 0], [0, 28]])  # type: ignore[attr-defined]
    told = stripe.supplies.patches[0]
    assert (told.width, told.low, told.high) == (18, 40, None)  # type: ignore[attr-defined]
