"""What a sheet says is what was solved: its text, taken out of the document, gives the same stitches."""

from __future__ import annotations

import shutil

import pytest
from sheets import SAMPLES, extracted, read_back, sheet, solved

from solver.sheet.model import Copy, Paper
from solver.sheet.printed import as_pdf
from solver.sheet.text import as_text

LANGUAGES = ("US", "UK", "de", "es", "fr", "nl", "pt", "ru")
"""Japanese and Vietnamese are left out: their word tables tell notes in English, among which their rounds are
not found again. Left out of large copies: other languages' ovals, and ovals spelled out, whose long sentences
are broken at 24 point where the proof-reader does not join them all."""

COPIES = [
    *(Copy(terms=terms) for terms in LANGUAGES),
    Copy(spelled=True),
    Copy(terms="UK", spelled=True, tester=True),
    Copy(large=True),
    Copy(large=True, terms="UK", paper=Paper.LETTER),
    Copy(tester=True, terms="ru"),
    Copy(left=True, paper=Paper.LETTER),
]


def told(copy: Copy) -> str:
    """Return what a copy is, for the test's name."""
    ways = [name for name in ("large", "spelled", "tester", "left") if getattr(copy, name)]
    return "-".join([copy.terms, *ways, copy.paper])


@pytest.mark.parametrize("copy", COPIES, ids=told)
def test_text_reads_back(copy: Copy) -> None:
    """The visible text of every copy is clean in the proof and gives the same stitches."""
    for name in SAMPLES[:4]:
        assert read_back(as_text(sheet(name, copy))).rounds == solved(name).piece.rounds


@pytest.mark.skipif(
    shutil.which("pdftotext") is None, reason="there is no pdftotext (poppler) on this machine"
)
@pytest.mark.parametrize("copy", COPIES, ids=told)
def test_pdf_reads_back(copy: Copy) -> None:
    """By pdftotext, a reference reader of PDF (poppler)."""
    for name in ("gull-head", "puffin-foot") if copy.large else SAMPLES[:4]:
        assert read_back(extracted(as_pdf(sheet(name, copy)))).rounds == solved(name).piece.rounds


def test_large_has_a_line_for_every_round() -> None:
    """No round shares a line in a copy for low vision."""
    steps = [block for block in sheet("gull-head", Copy(large=True)).blocks if hasattr(block, "steps")]
    rounds = [step for step in steps[0].steps if step.boxes]
    assert [step.boxes for step in rounds] == [1] * len(solved("gull-head").piece.rounds)


def test_one_box_for_every_round() -> None:
    """Rounds that share a line have a box each."""
    steps = [block for block in sheet("gull-head", Copy()).blocks if hasattr(block, "steps")]
    assert sum(step.boxes for step in steps[0].steps) == len(solved("gull-head").piece.rounds)
