"""What a sheet says is what was solved: its text, taken out of the document, gives the same stitches.

A few copies drawn from all there are; `python -m tests.bench.sheets_read_back` goes through every sample part
and toy in every copy.
"""

from __future__ import annotations

import shutil

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from sheets import SAMPLES, sheet, solved

from solver.notation.proof import proof_read
from solver.sheet.model import Copy, Paper
from solver.sheet.text import as_text
from tests.bench.sheets_read_back import LANGUAGES, texts, wrong


@st.composite
def copies(draw: st.DrawFn) -> Copy:
    """Return a copy of any kind: in nine languages, large, spelled, for a tester, for the left hand."""
    terms = draw(st.sampled_from(LANGUAGES))
    large, tester, left, spelled = (draw(st.booleans()) for _ in range(4))
    spelled = spelled and terms in ("US", "UK")  # others are not spelled out
    paper = draw(st.sampled_from(list(Paper)))
    return Copy(terms=terms, large=large, tester=tester, left=left, spelled=spelled, paper=paper)


@pytest.mark.skipif(
    shutil.which("pdftotext") is None, reason="there is no pdftotext (poppler) on this machine"
)
@settings(max_examples=15, deadline=None)
@example(name="tug-hull", copy=Copy(large=True, spelled=True, terms="UK"))
@example(name="seal-snout", copy=Copy(large=True, terms="ja"))
@example(name="tug-hull", copy=Copy(large=True, terms="de"))
@example(name="puffin-foot", copy=Copy(large=True, terms="pt", paper=Paper.LETTER))
@example(name="puffin-foot", copy=Copy(large=True, terms="de"))
@example(name="gull-head", copy=Copy(terms="vi"))
@example(name="gull-wing", copy=Copy(large=True, spelled=True))
@example(name="gull-wing", copy=Copy(large=True, terms="pt"))
@given(name=st.sampled_from(SAMPLES), copy=copies())
def test_every_copy_reads_back(name: str, copy: Copy) -> None:
    """PDF by pdftotext (poppler), text, and the page's words: clean, one part, start, rounds and finish."""
    for kind, text in texts(sheet(name, copy)):
        assert not wrong(text, [solved(name).piece]), (kind, copy)


def test_large_has_a_line_for_every_round() -> None:
    """No round shares a line in a copy for low vision."""
    steps = [block for block in sheet("gull-head", Copy(large=True)).blocks if hasattr(block, "steps")]
    rounds = [step for step in steps[0].steps if step.boxes]
    assert [step.boxes for step in rounds] == [1] * len(solved("gull-head").piece.rounds)


@pytest.mark.parametrize("copy", [Copy(large=True), Copy(large=True, terms="ja")])
def test_a_copy_tells_every_stitch_its_colour(copy: Copy) -> None:
    """Rounds that share a line, and have lines of their own in a copy for low vision, keep their colours."""
    part = solved("moored-seal")
    lines = proof_read(as_text(sheet("moored-seal", copy))).lines
    assert [names for line in lines for names in line.colours] == list(part.colours)


def test_one_box_for_every_round() -> None:
    """Rounds that share a line have a box each."""
    steps = [block for block in sheet("gull-head", Copy()).blocks if hasattr(block, "steps")]
    assert sum(step.boxes for step in steps[0].steps) == len(solved("gull-head").piece.rounds)
