"""Parts that bend and pieces worked in rows on a toy: they look forward, hang from their edge, and mirror."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.spatial import cKDTree

from solver.errors import InputError
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


def test_rows_are_sewn_on_by_an_edge_alone() -> None:
    """Another join is refused with the one that there is."""
    with pytest.raises(InputError, match='join = "flat"'):
        read(TOY.replace('join = "flat"', 'join = "pressed"'))
