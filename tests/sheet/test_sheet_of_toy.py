"""The sheet of a whole toy: every part reads back, "make 2", eyes, joining and pin maps are there."""

from __future__ import annotations

import shutil

import pytest
from sheets import ROOT, extracted

from solver.cli.toysheet import toy_sheet
from solver.errors import InputError
from solver.notation.convert import converted
from solver.notation.proof import proof_read
from solver.sheet.model import Copy, Heading, Picture
from solver.sheet.printed import as_pdf
from solver.toy.solved import solve_toy
from solver.toy.toyfile import load_toy

PUFFIN = ROOT / "samples" / "puffin" / "puffin.toml"


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="there is no pdftotext")
def test_a_toy_reads_back_from_its_pdf() -> None:
    """All parts in the order of work; each picture has words."""
    toy = load_toy(PUFFIN)
    made = toy_sheet(toy, Copy(), folder=PUFFIN.parent, forms=False)
    text = extracted(as_pdf(made))
    proof = proof_read(text)
    parts = solve_toy(toy).parts
    assert proof.clean
    read = [each.piece.rounds for each in converted(proof) if each.piece]
    assert [rounds for rounds in read if len(rounds) > 1] == [
        parts[each.name].piece.rounds for each in toy.as_worked
    ]
    headings = [block.text for block in made.blocks if isinstance(block, Heading)]
    assert {"Puffin", "Wing (make 2)", "Joining", "Places on the body"} <= set(headings)
    assert "Fix the two eyes" in text
    assert all(block.words for block in made.blocks if isinstance(block, Picture))


def test_a_left_handed_toy_is_refused() -> None:
    """Its places would be on the other side."""
    with pytest.raises(InputError, match="left"):
        toy_sheet(load_toy(PUFFIN), Copy(left=True), folder=PUFFIN.parent, forms=False)
