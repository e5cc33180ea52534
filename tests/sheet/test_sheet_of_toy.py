"""The sheet of a whole toy: every part reads back, "make 2", eyes, joining and pin maps are there."""

from __future__ import annotations

import io
import re
import shutil
from types import SimpleNamespace

import numpy as np
import pytest
from PIL import Image
from sheets import DOT, ROOT, extracted

from solver.cli.toysheet import sheet_of_solved
from solver.notation.convert import converted
from solver.notation.proof import proof_read
from solver.sentences.say import languages
from solver.sheet.model import Copy, Form, Heading, Picture, Points, Sheet, Steps
from solver.sheet.printed import as_pdf
from solver.sheet.text import as_text
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


ENGLISH = {
    *("the", "and", "with", "stitch", "stitches", "round", "rounds", "row", "rows", "sew", "edge", "edges"),
    *("yarn", "each", "eyes", "stuff", "fasten", "work", "hook", "hold", "front", "back", "left", "right"),
    *("middle", "between", "small", "part", "parts", "child", "children", "tester", "safety", "number"),
}
"""Words that an English sheet is full of, and that no other language has."""


def test_no_english_is_left_in_other_languages(puffin: SolvedToy, monkeypatch: pytest.MonkeyPatch) -> None:
    """Titles, names of parts and colours are the author's; all else is in the sheet's language."""
    dot = Picture(DOT, "svg", "")
    monkeypatch.setattr("solver.cli.toysheet.portrait", lambda *_: dot)
    monkeypatch.setattr("solver.cli.toysheet._picture", lambda *_: dot)
    monkeypatch.setattr("viz.chart.draw_chart", lambda *_, **__: None)
    monkeypatch.setattr("viz.pinmap.draw_pin_map", lambda *_, **__: SimpleNamespace(figure=None))
    monkeypatch.setattr("viz.figure.figure_bytes", lambda *_: DOT)
    for code in ("US", *languages()):
        made = sheet_of_solved(puffin, Copy(terms=code), folder=PUFFIN.parent, forms=False)
        found = ENGLISH & set(re.findall(r"[a-z]+", as_text(made)))
        assert not made.missing
        assert found > {"the", "sew", "child"} if code == "US" else not found, (code, found)


def test_a_left_handed_toy_is_the_mirror_of_the_other(puffin: SolvedToy) -> None:
    """The same rounds and counts from the marker; left and right change places in words and pictures."""
    right, left = (
        sheet_of_solved(puffin, Copy(left=hand), folder=PUFFIN.parent, forms=True) for hand in (False, True)
    )

    def told(made: Sheet) -> list[str]:
        at = [getattr(block, "text", "") for block in made.blocks].index("Joining")
        texts = [item for block in made.blocks[at:] if isinstance(block, Points) for item in block.items]
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
