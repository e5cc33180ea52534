"""The round parts of the toy harbour: how near they come, and that their rounds read as they should."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from solver.partfile import Part, load, read
from solver.rounds import Finish
from solver.solving.solved import solve
from solver.wanted.outline import turning_directions
from solver.wanted.part import Fit

FOLDER = Path(__file__).parents[1] / "samples"

NEAR = {
    "buoy": 0.06,
    "bollard": 0.06,
    "herring-float": 0.08,
    "fender": 0.08,
    "lighthouse": 0.15,  # its flat lid bulges, as its note says
    "gull-head": 0.35,  # held to sixes
}
"""Root mean square deviation in stitch widths of exact rounds at most; whole stitches alone cost 0.046."""

PLAIN = 0.22
"""The same for plain rounds."""


@pytest.mark.parametrize("name", NEAR)
@pytest.mark.parametrize("rounds", Fit)
def test_round_sample(name: str, rounds: Fit) -> None:
    """A sample comes out near its drawing and turns where it does; exact rounds do not ruffle."""
    part = load(FOLDER / f"{name}.toml")
    assert isinstance(part, Part)
    part = replace(part, work=replace(part.work, fit=rounds))
    solution = solve(part)
    counts = solution.piece.counts
    w, row = part.gauge.stitch_width, part.gauge.row_height
    if rounds is Fit.EXACT:
        assert solution.rms <= NEAR[name] * w
    else:
        assert solution.rms <= max(PLAIN, NEAR[name]) * w
        for size in ("height", "width"):
            wanted = getattr(solution.wanted, size)
            assert abs(getattr(solution.got, size) - wanted) <= max(0.015 * wanted, row / 2)
        for before, after in pairwise(counts):
            assert before == after or before % abs(after - before) == 0
    assert all(after <= 2 * before and 2 * after >= before for before, after in pairwise(counts))
    outlined = iter(turning_directions(part.outline.points[:, 0], slack=0.1))
    turns = turning_directions(np.array(counts, dtype=float), slack=0.0)
    assert all(direction in outlined for direction in turns)
    if rounds is Fit.EXACT:
        assert not any("ruffle" in note for note in solution.notes)
    assert not any(count % part.work.multiple for count in counts)


def test_lighthouse_tells_of_its_flat_lid() -> None:
    """The lighthouse is open at the foot, and its note says that the flat top bulges."""
    part = load(FOLDER / "lighthouse.toml")
    assert isinstance(part, Part)
    solution = solve(part)
    assert solution.piece.finish is Finish.OPEN
    assert any("is drawn flat" in note for note in solution.notes)
    assert not any("push back" in note for note in solution.notes)


def test_bollard_firmer() -> None:
    """The bollard stuffed firmly has other rounds and the same outline, as the sample's first lines say."""
    text = (FOLDER / "bollard.toml").read_text(encoding="utf-8")
    assert 'firmness = "firm"' in text
    counts = []
    for firmness in ("medium", "firm"):
        part = read(text + f'\n[stuffing]\nfirmness = "{firmness}"\n', file="bollard.toml", title="Bollard")
        assert isinstance(part, Part)
        solution = solve(part)
        counts.append(solution.piece.counts)
        assert solution.rms <= PLAIN * part.gauge.stitch_width
    assert counts[0] != counts[1]
