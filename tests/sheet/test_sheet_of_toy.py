"""The sheet of a whole toy: every part reads back, "make 2", eyes, joining and pin maps are there."""

from __future__ import annotations

import io
import re
import shutil

import numpy as np
import pytest
from PIL import Image
from sheets import ROOT, extracted

from solver.cli.toysheet import sheet_of_solved
from solver.notation.convert import converted
from solver.notation.proof import proof_read
from solver.sheet.model import Copy, Form, Heading, Picture, Sheet, Steps, Words
from solver.sheet.printed import as_pdf
from solver.toy.solved import SolvedToy, solve_toy
from solver.toy.toyfile import load_toy

PUFFIN = ROOT / "samples" / "puffin" / "puffin.toml"


@pytest.fixture(scope="module")
def puffin() -> SolvedToy:
    """Give the puffin, solved."""
    return solve_toy(load_toy(PUFFIN))


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="there is no pdftotext")
def test_a_toy_reads_back_from_its_pdf(puffin: SolvedToy) -> None:
    """All parts in the order of work; each picture has words."""
    made = sheet_of_solved(puffin, Copy(), folder=PUFFIN.parent, forms=False)
    text = extracted(as_pdf(made))
    proof = proof_read(text)
    assert proof.clean
    assert [each.piece.rounds for each in converted(proof) if each.piece] == [
        puffin.parts[each.name].piece.rounds for each in puffin.toy.as_worked
    ]
    headings = [block.text for block in made.blocks if isinstance(block, Heading)]
    assert {"Puffin", "Wing (make 2)", "Joining", "Places on the body"} <= set(headings)
    assert "Fix the two eyes" in text
    assert all(block.words for block in made.blocks if isinstance(block, Picture))


def test_a_left_handed_toy_is_the_mirror_of_the_other(puffin: SolvedToy) -> None:
    """The same rounds and counts from the marker; left and right change places in words and pictures."""
    right, left = (
        sheet_of_solved(puffin, Copy(left=hand), folder=PUFFIN.parent, forms=True) for hand in (False, True)
    )

    def told(made: Sheet) -> list[str]:
        texts = [block.text for block in made.blocks if isinstance(block, Words)]
        return texts + [
            step.text for block in made.blocks if isinstance(block, Steps) for step in block.steps
        ]

    def swapped(text: str) -> str:
        return re.sub(r"\b(left|right)\b", lambda m: {"left": "right", "right": "left"}[m[0]], text)

    sided = [text for text in told(right) if "own left" in text or "to the left" in text]
    assert sided
    plain, mirrored = (
        [each.replace("left and right", "both").replace("The toy's own", "The") for each in told(made)]
        for made in (right, left)
    )
    assert {text if text in plain else swapped(text) for text in mirrored} == set(plain)
    assert told(left) != told(right)
    forms = [[block for block in made.blocks if isinstance(block, Form)] for made in (right, left)]
    for one, other in zip(*forms, strict=True):
        assert [(-x, y, z) for x, y, z in one.points] == list(other.points)
    pictures = [[block.data for block in made.blocks if isinstance(block, Picture)] for made in (right, left)]
    assert not set(pictures[0]) & set(pictures[1])
    whole, mirror = (np.asarray(Image.open(io.BytesIO(each[0]))) for each in pictures)
    assert (whole == mirror[:, ::-1]).all()
