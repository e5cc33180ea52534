"""Ten written parts with stitches of several heights, as files: read, formed, drawn, and written again.

All invented for the toy harbour, in the forms that makers write in.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from solver.notation.convert import converted
from solver.notation.proof import proof_read
from solver.notation.writer import write_rounds
from solver.rounds import Piece, Stitch
from solver.solving.again import form_of
from solver.wanted.gauge import Gauge, Stuffing

PAGES = sorted((Path(__file__).parent / "heights").glob("*.txt"))
GAUGE = Gauge(stitch_width=5.0, row_height=4.8)


def piece_of(page: Path) -> Piece:
    """Return the one part of a page, read."""
    proof = proof_read(page.read_text(encoding="utf-8"))
    assert proof.clean, [(line.text, line.problems) for line in proof.lines if line.problems]
    (one,) = converted(proof)
    assert one.piece is not None, one.reason
    return one.piece


def test_there_are_ten() -> None:
    """Each with stitches other than single crochet."""
    assert len(PAGES) == 10
    for page in PAGES:
        plain = {stitch.plain for this in piece_of(page).rounds for stitch in this.stitches}
        assert plain - {Stitch.SC}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
@pytest.mark.parametrize("terms", ["US", "UK", "de"])
def test_written_again_without_loss(page: Path, terms: str) -> None:
    """The same stitches in every round, in the house style of any language; also spelled out."""
    piece = piece_of(page)
    for spelled in (False, True)[: 1 + (terms != "de")]:
        lines = [line.text for line in write_rounds(piece, terms=terms, spelled=spelled)]
        again = proof_read("\n".join([f"{terms} terms", *lines] if terms != "de" else lines))
        assert again.clean
        assert converted(again)[0].piece == piece


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_formed_truly(page: Path) -> None:
    """The form tilts towards the low stitches, in balance."""
    piece = piece_of(page)
    form = form_of(piece, GAUGE, Stuffing.of_firmness("firm"))
    assert form.residual <= 1e-3
    turned = [
        number for number, this in enumerate(piece.rounds, 1) if len({s.plain for s in this.stitches}) > 1
    ]
    rows = form.fabric.leg_height[form.fabric.leg_round == turned[0]] if turned else np.ones(1)
    assert not turned or np.ptp(rows) > 0.4 * GAUGE.row_height
