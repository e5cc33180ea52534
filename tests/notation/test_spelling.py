"""Words with a slip of the pen are read, and said so; words of a story are left alone."""

from __future__ import annotations

import pytest

from solver.notation.lexicon import lexicon
from solver.notation.page import page
from solver.notation.proof import proof_read
from solver.notation.spelling import distance, nearest
from tests.notation.corpus import pages

START = "Rnd 1: 6 sc in MR (6)\nRnd 2: inc x 6 (12)\n"


@pytest.mark.parametrize(
    ("a", "b", "off"),
    [
        ("kitten", "sitting", 3),
        ("saturday", "sunday", 3),
        ("icn", "inc", 0.8),
        ("inc", "inc", 0),
        ("ca", "abc", 3),
    ],
)
def test_distance_by_textbook_examples(a: str, b: str, off: float) -> None:
    """The pairs of Wikipedia's articles on Levenshtein's and Damerau's distance (from memory)."""
    assert distance(a, b) == off


@pytest.mark.parametrize(
    ("line", "notion"),
    [
        ("Rnd 3: (sc, icn) x 6 (18)", "inc"),
        ("Rnd 3: (sc, lnc) x 6 (18)", "inc"),
        ("Rnd 3: (1 sc, 1 increse) x 6 (18)", "inc"),
        ("Rnd 3: 1 sc in eahc st (12)", "each"),
        ("Rnd 3: 3 decreeses, 6 sc (9)", "dec"),
    ],
)
def test_a_misspelt_word_is_read_and_told(line: str, notion: str) -> None:
    """Where one notion alone is near."""
    told = proof_read(START + line).lines[2]
    assert not told.problems
    assert any("misspelt" in note and f"is {notion}" in note for note in told.notes)


def test_words_of_stories_are_no_slips() -> None:
    """Neither on pages of the corpus, nor words far from any stitch."""
    found = {word for one in pages()[::9] for word in page(one.text).slips}
    assert found <= {"eahc", "arond", "eaach", "nezt", "arund"}
    assert not nearest("doll", lexicon("en-US"), "sidNe")
    assert not nearest("abn", lexicon("en-US"), "sid")
