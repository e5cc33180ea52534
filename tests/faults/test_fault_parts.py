"""Round parts that once came out as nonsense (invented, from random parts): the right result."""

from pathlib import Path

import pytest

from solver.partfile import load
from solver.rounds import Finish, Start
from solver.search.plain_rule import rule_counts
from solver.solving.round import making_of
from solver.solving.solved import solve
from solver.wanted.part import Part

PARTS = Path(__file__).parent / "parts"


@pytest.mark.parametrize("name", ["negative-radius", "open-chain-1", "thin-neck", "zigzag"])
def test_no_knots_and_no_form_through_its_axis(name: str) -> None:
    """No round has fewer than four stitches, no radius lies below nought; a place drawn thinner is told."""
    part = load(PARTS / f"{name}.toml")
    solved = solve(part)
    assert min(solved.piece.counts) >= 4
    assert solved.piece.start is not Start.OPEN or solved.piece.foundation >= 4
    assert solved.form.outline[:, 0].min() >= 0
    assert any("thinner" in note or "as thin as" in note for note in solved.notes)


def test_a_tip_of_three_where_it_is_nearer() -> None:
    """A long narrow cone may begin with a ring of three, and a note tells it."""
    part = load(PARTS / "narrow-cone.toml")
    solved = solve(part)
    assert isinstance(part, Part)
    assert solved.piece.counts[0] == 3
    assert min(solved.piece.counts[2:]) >= 4
    assert any("rounds of three stitches" in note for note in solved.notes)


@pytest.mark.parametrize("name", ["narrow-cone", "plain-nearer"])
def test_the_plain_rule_is_never_nearer(name: str) -> None:
    """Where girth over stitch width gives rounds that can be worked, ours lie as near or nearer."""
    part = load(PARTS / f"{name}.toml")
    assert isinstance(part, Part)
    solved = solve(part)
    plain = rule_counts(part.outline, making_of(part))
    assert (plain[1:] <= 2 * plain[:-1]).all()
    assert solved.plain_rule
    assert solved.rms <= solved.plain_rule[0] * (1 + 1e-6)
    assert solved.piece.finish is not Finish.SEAMED
