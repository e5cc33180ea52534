"""The round parts of the toy harbour: how near they come, and that their rounds read as they should."""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from solver.partfile import Part, load, read
from solver.rounds import Finish
from solver.solving.solved import solve
from solver.wanted.outline import turning_directions

FOLDER = Path(__file__).parents[1] / "samples"

NEAR = {
    "buoy": 0.06,
    "bollard": 0.06,
    "herring-float": 0.08,
    "fender": 0.08,
    "lighthouse": 0.15,  # its flat lid bulges, as its note says
    "gull-head": 0.35,  # held to sixes
}
"""Root mean square deviation in stitch widths that each stays within; whole stitches alone cost 0.046."""


@pytest.mark.parametrize("name", NEAR)
def test_round_sample(name: str) -> None:
    """A sample comes out near its drawing and turns where it does; none but the one in sixes ruffles."""
    part = load(FOLDER / f"{name}.toml")
    assert isinstance(part, Part)
    solution = solve(part)
    counts = solution.piece.counts
    assert solution.deviation.rms <= NEAR[name] * part.gauge.stitch_width
    assert all(after <= 2 * before and 2 * after >= before for before, after in pairwise(counts))
    outlined = iter(turning_directions(part.outline.points[:, 0], slack=0.1))
    turns = turning_directions(np.array(counts, dtype=float), slack=0.0)
    assert all(direction in outlined for direction in turns)
    assert any("ruffle" in note for note in solution.notes) is (part.work.multiple > 1)
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
        assert solution.deviation.rms <= 0.12 * part.gauge.stitch_width
    assert counts[0] != counts[1]
