"""Pages written anew: the same work, loops, colours and remarks, and the author's lines where in doubt."""

from __future__ import annotations

import re

import pytest

from solver.notation.proof import Proof, proof_read
from solver.notation.rewrite import rewritten
from tests.notation.corpus import Page, pages

CLEAN = [page for page in pages() if page.clean]


def _work(proof: Proof) -> list[tuple[object, ...]]:
    return [
        tuple(act for act in acts if act.uses or act.makes) for line in proof.lines for acts in line.stitches
    ]


def _loops(proof: Proof) -> list[tuple[str, ...]]:
    """Return which loops each line names, as the author's words and ours both say them."""
    back, front = (
        r"\bblo?\b|\btbl\b|back (?:\w+[ -])?loop|back wall|hintere|arri[eè]re|tr[aá]s|achterste|задн",
        r"\bflo\b|\btfl\b|front (?:\w+[ -])?loop|vordere|avant|voorste|передн",
    )
    return [
        tuple(name for name, words in (("back", back), ("front", front)) if re.search(words, line.text, re.I))
        for line in proof.lines
        for _ in line.counts
    ]


@pytest.mark.parametrize("page", CLEAN[::6], ids=lambda page: page.notation)
def test_a_page_written_anew_is_the_same_work(page: Page) -> None:
    """Stitches, loops and remarks of a clean page come back from the new one, on which nothing is wrong."""
    before = proof_read(page.text)
    new = rewritten(page.text)
    after = proof_read(new.text)
    assert after.clean
    assert _work(after) == _work(before)
    assert _loops(after) == _loops(before)
    taken = {line.line + i for line in before.lines for i in range(line.text.count("\n") + 1)}
    foreign = re.compile(r"^\[[^\]]+\] ", re.MULTILINE)
    flowing = " ".join(foreign.sub("", new.text).split())
    for number, line in enumerate(page.text.splitlines(), start=1):
        if number not in taken:
            assert " ".join(line.split()) in flowing


PAGE = """\
US terms
GULL (white yarn)
Rnd 1: 6 sc in a magic ring [6] (leave a 10 cm tail inside)
Rnd 2: inc in all 6 st [12]
Change to grey.
Rnd 3: in BLO, (sc in next st, inc in next st) repeat 6 times [18]
Rnds 4 - 6: 18 sc [18] (3 rnds)
Insert the safety eyes between rnds 4 and 5.
Rnd 7: 3 sl st, 2 hdc in next st, hdc2tog, 12 hdc, join with a sl st [18]
Rnd 8: (sc in next st, dec) repeat 6 times [13]
Do not stuff.
"""


def test_everything_stays_where_it_was() -> None:
    """Headings, colours, eyes, loops, joins and other stitches stay; a wrong line stays, and is told."""
    new = rewritten(PAGE)
    assert new.text.splitlines() == [
        "US terms",
        "GULL (white yarn)",
        "Rnd 1: 6 sc in a magic ring (6) (leave a 10 cm tail inside)",
        "Rnd 2: inc x 6 (12)",
        "Change to grey.",
        "Rnd 3: BLO: (sc, inc) x 6 (18)",
        "Rnds 4-6 (3 rounds): 18 sc (18)",
        "Insert the safety eyes between rnds 4 and 5.",
        new.text.splitlines()[8],
        "Rnd 8: (sc in next st, dec) repeat 6 times [13]",
        "Do not stuff.",
    ]
    assert new.text.splitlines()[8].endswith("12 hdc, join with a sl st (18)")
    assert [line for line, _ in new.kept] == [10]
    assert "Makes 12, says 13" in new.kept[0][1]
    assert new.changed == (3, 4, 6, 7, 9)


def test_other_terms_reach_every_line() -> None:
    """In UK words the line that stays, the abbreviations and the declaration are in UK words, too."""
    new = rewritten(f"Abbreviations: sc = single crochet\n{PAGE}", terms="UK")
    assert not re.search(
        r"\b(?:sc|hdc|single crochet|US terms)\b", new.text.replace("call single crochet", "")
    )
    assert "Abbreviations: dc = double crochet" in new.text
    assert "Rnd 8: (dc in next st, dec) repeat 6 times [13]" in new.text
    assert _work_names(new.text) == _work_names(PAGE)


def _work_names(text: str) -> list[int]:
    return [line.made or 0 for line in proof_read(text).lines]


def test_remarks_in_another_language_are_marked() -> None:
    """A German page in US words keeps its remarks, each marked with its language."""
    page = "1. Rd: 6 fM in einen Fadenring (6 M)\n2. Rd: jede M verdoppeln (12 M)\nMit Füllwatte stopfen.\n"
    assert rewritten(page, terms="US").text == (
        "Rnd 1: 6 sc in a magic ring (6)\nRnd 2: inc x 6 (12)\n[Deutsch] Mit Füllwatte stopfen.\n"
    )
    assert rewritten(page).text.startswith("Rd 1: 6 fM in einen Fadenring (6)\nRd 2: Zun x 6 (12)\n")


def test_long_lines_are_broken_and_still_read() -> None:
    """A line over the width goes on below, set in; the page reads back."""
    ring = "Rnd 1: 40 sc in MR (40)\n"
    body = ", ".join(f"{n} sc, inc" for n in (1, 2, 3, 4, 5, 6, 7))
    new = rewritten(
        f"{ring}Rnd 2: {body}, 5 sc (47) Stuff it firmly and go on with the other colour from here\n"
    )
    assert max(map(len, new.text.splitlines())) <= 88
    assert [line.made for line in proof_read(new.text).lines] == [40, 47]
