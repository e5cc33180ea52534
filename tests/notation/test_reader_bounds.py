"""What the reader must never do: hang, crash, or take long over a page."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.notation.proof import proof_read
from tests.notation.corpus import pages

#: Seconds of processor time for a page of 300 lines, and for one line of 10,000 signs: twice and three times
#: what is promised, for machines that are busy.
PAGE, LINE = 2.0, 0.3

# fmt: off
WORDS = [
    "sc", "inc", "dec", "(", ")", "[", "]", "{", "}", "*", "x", "6", "12", "2", ",", ".", ";", ":", "rep",
    "from", "around", "to", "last", "next", "in", "each", "st", "sts", "Rnd", "1:", "ch", "sl st", "=", "-",
    "/", "18", "times", "MR", "tog", "every", "3rd", "BLO", "skip", "hdc", "one", "more", "twice", "99999",
    "<", ">", "of", "2sc", "inc3", "rnd", "jede", "verdoppeln", "сбн", "приб", "細編み", "目",
]
# fmt: on


@pytest.fixture(scope="module", autouse=True)
def _warm() -> None:
    proof_read("Rnd 1: 6 sc in MR (6)")


def _seconds(text: str) -> float:
    begun = time.process_time()
    proof_read(text)
    return time.process_time() - begun


def test_a_page_of_300_lines_is_read_in_a_second() -> None:
    """The corpus cut to 300 lines takes under a second (twice that on a busy machine)."""
    text = "\n".join(page.text for page in pages() if page.language == "en")
    assert _seconds("\n".join(text.splitlines()[:300])) < PAGE


@pytest.mark.parametrize(
    "text",
    [
        "(" * 1000 + "sc" + ")" * 1000,
        "Rnd 1: " + "(sc, " * 300 + ") x 9" * 100,
        "*" * 2000,
        "sc x 6 " * 280,
        "(sc, inc) x 6, " * 130,
        "2sc 3sc 4sc 2 hdc 3 dc " * 85,
        "1 2 3 4 5 " * 200,
        "Rnd 1-2-3-4-5" + "-6" * 980,
        "((((((sc x 999) x 999) x 999) x 999) x 999) x 999)",
        "Rnd 1: sc (1) " * 140,
        "inc3 dec3 " * 200,
        "(6) " * 500,
        "ch 3, " * 330,
        "細編み" * 660,
        "Rnd 1: sc (see photo) ",
        "6 (8) sc ",
        "6 sc / 6 dc / ",
        "W = 3 sc in one stitch, ",
        "sc, zz, ",
        "[sc, (inc) ",
    ],
    ids=range(20),
)
def test_no_line_of_10000_signs_takes_long(text: str) -> None:
    """Nested, starred, doubtful and endless lines are read, or told as unread, in 0.1 s each."""
    long = (text * (10_000 // len(text) + 1))[:10_000]
    assert _seconds(long) < LINE
    assert _seconds(f"Rnd 1: 6 sc in MR (6)\nRnd 2: {long}\nRnd 3: 6 sc (6)") < LINE


def test_what_is_not_read_of_a_long_line_is_told() -> None:
    """A line that is longer than any line of rounds is read in part, and said so."""
    rounds = ["Rnd 1: 6 sc in MR (6).", *(f"Rnd {i}: sc in each st (6)." for i in range(2, 200))]
    proof = proof_read(" ".join(rounds))
    assert [line.rounds for line in proof.lines] == [(i + 1,) for i in range(len(proof.lines))]
    assert 50 < len(proof.lines) < 199
    assert "the first" in proof.lines[-1].problems[-1].message


@settings(max_examples=150, deadline=2000)
@given(st.lists(st.sampled_from(WORDS), max_size=120).map(" ".join))
def test_words_in_any_order_are_survived(text: str) -> None:
    """Words of patterns in any order never crash the reader."""
    for line in proof_read(text).lines:
        assert all(problem.start <= len(line.text) for problem in line.problems)


@settings(max_examples=60, deadline=2000)
@given(st.text(max_size=400))
def test_any_text_is_survived(text: str) -> None:
    """Text of any signs never crashes the reader."""
    proof_read(text)


@settings(max_examples=40, deadline=2000)
@given(st.binary(max_size=400))
def test_any_bytes_are_survived(raw: bytes) -> None:
    """Bytes taken for text never crash the reader."""
    proof_read(raw.decode("latin-1"))


def test_prose_holds_no_rounds() -> None:
    """A page of a story, with numbers in it, is no page of rounds."""
    story = "It was a bright morning and 3 boats lay at the pier. She had 2 ropes in one hand, one in each.\n"
    assert not proof_read(story * 50).lines


def test_our_own_documentation_is_survived() -> None:
    """Markdown with code and tables is read without a crash."""
    root = Path(__file__).parents[2]
    for page in root.glob("*.md"):
        proof_read(page.read_text(encoding="utf-8"))
