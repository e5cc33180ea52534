"""Parts that bend and pieces worked in rows on a toy: they look forward, hang from their edge, and mirror."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.spatial import cKDTree
from shapely import LinearRing

from solver.errors import InputError
from solver.form.flat_rows import edge_outline
from solver.toy.meetings import covers
from solver.toy.model import Toy
from solver.toy.places import places
from solver.toy.solved import SolvedToy, solve_toy
from solver.toy.toyfile import read_toy
from solver.toy.words import joining

TOY = """
title = "Deckhand (invented)"
[gauge]
stitches = 20
rows = 21
[parts.body]
shape = { kind = "outline", points = [[0, 0], [24, 3], [32, 22], [30, 44], [20, 66], [0, 74]] }
[parts.arm]
on = "body"
at = { height = "50 mm", turn = 80 }
twins = true
spin = 90
shape = ARM
[parts.flag]
on = "body"
at = { height = "30 mm", turn = 120 }
twins = true
join = "flat"
spin = 90
shape = { kind = "flat", worked = "rows", left = [[10, 0], [20, 30]], right = [[10, 0], [4, 30]] }
"""


ARM = (
    '{ kind = "bent", points = [[0, 0], [8, 2], [10, 10], [10, 60]], '
    "bends = [{ at = 30, angle = 45, over = 18 }] }"
)


def read(text: str) -> Toy:
    """Return a toy read."""
    return read_toy(text.replace("ARM", ARM), file="deckhand.toml", title="Deckhand", folder=Path())


@pytest.fixture(scope="module")
def toy() -> SolvedToy:
    """Return the deckhand, put together."""
    return solve_toy(read(TOY))


@pytest.mark.parametrize("name", ["arm", "flag"])
def test_twins_mirror_each_other(toy: SolvedToy, name: str) -> None:
    """One with left and right changed over lies where the other lies, to half a stitch."""
    one, other = toy.copies_of(name)
    apart, _ = cKDTree(other.points).query(one.points * [-1.0, 1.0, 1.0])
    assert np.sqrt(np.mean(apart**2)) < 2.5
    assert np.abs(one.points[:, 0]).max() > 20


def test_a_piece_in_rows_hangs_from_its_chain(toy: SolvedToy) -> None:
    """Its edge is as long as its chain is wide, and lies on the body."""
    for flag in toy.copies_of("flag"):
        assert flag.edge_length == pytest.approx(flag.solved.piece.foundation * 5.0, rel=0.01)
        chain = flag.points[flag.surface.form.fabric.rings[0]]
        apart, _ = cKDTree(toy.first_of("body").points).query(chain)
        assert apart.max() < 6


def test_words_tell_that_they_mirror(toy: SolvedToy) -> None:
    """Bent twins as in a mirror, flat ones turned over."""
    told = {}
    for name in ("arm", "flag"):
        of = tuple(one for one in places(toy) if one.copy.wanted.name == name)
        told[name] = " ".join(joining(of))
    assert "as in a mirror" in told["arm"]
    assert "Sew the chain of the two flags" in told["flag"]
    assert "the right one turned over, its wrong side out" in told["flag"]


def test_a_bent_part_bends_to_the_front() -> None:
    """Without a spin its tip lies before its edge."""
    arm = solve_toy(read(TOY.replace("spin = 90\nshape = ARM", "lean = 20\nshape = ARM"))).first_of("arm")
    edge, tip = (arm.points[arm.surface.form.fabric.rings[ring]].mean(axis=0) for ring in (-1, 1))
    assert tip[1] < edge[1] - 5  # the front is toward -y


def test_rows_are_worked_in_along_their_chain() -> None:
    """A flag of four stitches is worked together with four stitches of a round, its chain lying on them."""
    text = TOY.replace('at = { height = "30 mm", turn = 120 }', "at = { round = 8, stitch = 9 }")
    toy = solve_toy(read(text.replace('join = "flat"', 'join = "worked in"')))
    flag = toy.first_of("flag")
    stitches = len(flag.surface.form.fabric.rings[0])
    told = " ".join(joining(tuple(each for each in places(toy) if each.copy.wanted.name == "flag")))
    assert "Work in the chain of" in told
    assert f"work {stitches} stitches of round 9 through both" in told
    assert flag.edge is not None
    body = toy.copies[0].points
    assert max(np.linalg.norm(body - point, axis=1).min() for point in flag.edge.points[:, :3]) < 5.0


def test_rows_are_sewn_on_by_no_open_edge() -> None:
    """They have none: refused with the joins that there are."""
    with pytest.raises(InputError, match='join = "flat"'):
        read(TOY.replace('join = "flat"', 'join = "sewn"'))


@pytest.fixture(scope="module")
def patched() -> SolvedToy:
    """Return a ball with two uneven wings pressed on its sides, and an even bib on its front."""
    return solve_toy(read(PRESSED))


PRESSED = """
title = "Fledgling (invented)"
[gauge]
stitches = 20
rows = 21
[parts.body]
shape = { kind = "ball", width = 80 }
[parts.wing]
on = "body"
at = { height = 40, turn = 80 }
twins = true
join = "pressed"
spin = 20
shape = { kind = "flat", worked = "rows", left = [[12, 0], [18, 15], [8, 32]], right = [[12, 0], [12, 32]] }
[parts.bib]
on = "body"
at = { height = 40, turn = 0 }
join = "pressed"
shape = { kind = "flat", worked = "rows", left = [[15, 0], [15, 24]], right = [[15, 0], [15, 24]] }
"""


def test_pressed_rows_keep_the_length_of_their_edge(patched: SolvedToy) -> None:
    """Laid on a ball, the edge is a closed line on it as long as the piece's in its plane (shapely)."""
    body = cKDTree(patched.first_of("body").surface.table.reshape(-1, 3))
    for copy in patched.copies[1:]:
        assert copy.edge is not None
        around = LinearRing(edge_outline(copy.solved.form)).length
        steps = np.roll(copy.edge.points, -1, axis=0) - copy.edge.points
        told = np.linalg.norm(steps, axis=1).sum()
        assert told == pytest.approx(around, rel=0.02)  # corners between samples are cut
        assert copy.edge.length == pytest.approx(told, rel=0.001)
        apart, _ = body.query(copy.edge.points)
        assert apart.max() < 2.5


def test_pressed_rows_lie_on_the_body_within_their_edge(patched: SolvedToy) -> None:
    """No stitch lies deeper than the body's middle of the fabric, nor further off it than a row."""
    body = cKDTree(patched.first_of("body").points)
    for copy in patched.copies[1:]:
        apart, at = body.query(copy.points)
        out = np.linalg.norm(copy.points - [0, 0, 40], axis=1)
        under = np.linalg.norm(patched.first_of("body").points[at] - [0, 0, 40], axis=1)
        assert (out - under).min() > -0.5
        assert apart.max() < 5.5
        assert copy.edge is not None
        assert covers(copy, copy.edge.points.mean(axis=0)[None]).all()


def test_pressed_twins_mirror_each_other(patched: SolvedToy) -> None:
    """One with left and right changed over lies where the other lies."""
    one, other = patched.copies_of("wing")
    apart, _ = cKDTree(other.points).query(one.points * [-1.0, 1.0, 1.0])
    assert np.sqrt(np.mean(apart**2)) < 1.5
    assert np.abs(one.points[:, 0]).min() > 20


def test_pressed_rows_are_pinned_by_corners_and_sides(patched: SolvedToy) -> None:
    """Words name the corners, and each lies where it is said to: the chain before the tip."""
    of = [place for place in places(patched) if place.copy.wanted.name == "wing"]
    told = " ".join(joining(tuple(of)))
    assert "Lay the two wings flat to the sides of the body, left and right, and sew each down" in told
    assert "its chain looks to the toy's front" in told.replace("Its", "its")
    assert "turned over, its wrong side out" in told
    assert told.count("the corner where row 1 begins at round") == 2
    met = [count for _, count in of[0].eighths]
    assert met[7].from_front < met[3].from_front  # the middle of the chain lies before that of the last row
    bib = " ".join(joining(tuple(place for place in places(patched) if place.copy.wanted.name == "bib")))
    assert "Lay the bib flat to the front of the body, and sew it down all round" in bib
    assert "Right side out, its chain looks up." in bib
    assert "the middle of the last row at round" in bib


def test_pressed_rows_want_room(patched: SolvedToy) -> None:
    """A piece wider than the ball goes round its sides, and is refused."""
    wide = PRESSED.replace("left = [[15, 0], [15, 24]], right = [[15, 0], [15, 24]]",
                           "left = [[70, 0], [70, 24]], right = [[70, 0], [70, 24]]")  # fmt: skip
    with pytest.raises(InputError, match="has room on the body"):
        solve_toy(read(wide))
