"""Ovals that once took minutes or found no balance (invented): told, or a form, in the shell's bounds."""

from pathlib import Path

import pytest

from solver.cli.report import report
from solver.form.stitches import FIRMEST, TOLERANCE
from solver.partfile import load, read
from solver.search import oval_search
from solver.solving.solved import solve
from tests.faults.runner import MOST_MEMORY, run

OVALS = Path(__file__).parent / "ovals"
MOST_SECONDS = 5.0

REFUSED = {
    "case-4005": ["[work] chain, line 19", "a chain is no longer than its part", "Leave chain out"],
    "oval-no-convergence-sensible": ["[work] chain, line 19", "a chain is no longer than its part"],
}
"""What is told of those that can't be; the slow ones are in `tests.bench.fault_ovals`."""


@pytest.mark.parametrize("name", sorted(REFUSED))
def test_what_cannot_be_is_told_before_solving(name: str, tmp_path: Path) -> None:
    """Exit 2 with one message: file, place, line, rule, value and what to do; nothing is written."""
    file = OVALS / f"{name}.toml"
    (ended,) = run([["rounds", str(file), "--out", "rounds.txt"]], folder=tmp_path)
    assert ended.code == 2, ended.told
    assert not ended.left
    assert file.name in ended.told
    assert len(ended.told.splitlines()) == 1
    for part in REFUSED[name]:
        assert part in ended.told
    assert ended.seconds < MOST_SECONDS
    assert ended.memory < MOST_MEMORY


def test_what_linear_fabric_holds_is_told_not_refused() -> None:
    """Stuffing with p R of at most 0.35 is legal: a spindle too tall for it has a form and notes.

    The file is solved at a gauge three times as coarse, for speed; p R is 0.17 at both.
    """
    text = (OVALS / "oval-too-firm.toml").read_text(encoding="utf-8")
    coarse = text.replace("stitches = 25.43", "stitches = 8.48").replace("rows = 20.70", "rows = 6.90")
    part = read(coarse, file="spindle.toml", title="Spindle")
    solved = solve(part)
    assert part.pressure * part.half_width < FIRMEST / 2
    assert solved.form.residual <= TOLERANCE
    assert any("taller than stuffing holds it" in note for note in solved.notes)
    assert any("lower than wanted" in note for note in solved.notes)


@pytest.mark.parametrize(("patience", "told"), [(0.0, True), (60.0, False)])
def test_a_search_ended_by_the_clock_says_so(
    patience: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The best so far is a form in balance, and a note tells that there may be better rounds."""
    monkeypatch.setattr(oval_search, "PATIENCE", patience)
    solved = solve(load(OVALS.parents[2] / "samples" / "seal-snout.toml"))
    assert ("these are the best so far" in " ".join(report(solved).split())) is told
