"""What a multiple costs is told, with what fits instead."""

from __future__ import annotations

from solver.partfile import read
from solver.solving.solved import solve

BALL = """
gauge = { stitches = 20, rows = 20 }
shape = { kind = "ball", width = "8 cm" }
work = { multiple = 6 }
"""


def _notes(text: str) -> str:
    return " ".join(solve(read(text, file="ball.toml", title="Ball")).notes)


def test_what_a_multiple_costs() -> None:
    """A ball of 8 cm at square stitches has no sixes that keep its size: a smaller multiple has."""
    told = _notes(BALL)
    assert "every count a multiple of 6" in told
    assert "multiple = 3 keeps its size" in told


def test_nothing_where_it_costs_nothing() -> None:
    """One of 4 cm, which came out 45 mm high when its number of rounds was not free, keeps its size."""
    assert "a multiple of" not in _notes(BALL.replace("8 cm", "4 cm"))
