"""The editor's list: each remark is made where its cause stands, and nowhere on a page that is in order."""

from __future__ import annotations

import pytest

from solver.notation.author import RemarkKind, remarks
from solver.notation.proof import proof_of
from solver.notation.reader import read

#: A page that an editor would send back without a remark (invented).
FINE = """\
US terms
sc = single crochet; inc = increase; dec = decrease; MR = magic ring

Funnel
Rnd 1: 6 sc in MR (6)
Rnd 2: inc x 6 (12)
Rnd 3: (sc, inc) x 6 (18)
Rnds 4-6: 18 sc (18)
Place the eyes between rounds 4 and 5.
Rnd 7: (sc, dec) x 6 (12)
Stuff firmly.
Rnd 8: dec x 6 (6)
Fasten off.
"""


def _told(text: str) -> list[tuple[RemarkKind, int]]:
    found = read(text)
    return [(one.kind, one.line) for one in remarks(found, proof_of(found))]


def test_a_page_in_order_gets_no_remark() -> None:
    """Terms, abbreviations, counts, one style, stuffing and eyes in time: nothing to add."""
    assert _told(FINE) == []


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("US terms\n", "\n", [(RemarkKind.TERMS, 0)]),
        ("; dec = decrease", "", [(RemarkKind.UNEXPLAINED, 10)]),
        ("; dec", "; hdc = half double crochet; dec", [(RemarkKind.UNUSED, 2)]),
        ("18 sc (18)", "18 sc", [(RemarkKind.NO_COUNT, 8)]),
        ("(sc, dec) x 6", "(sc, dec) 6 times", [(RemarkKind.STYLE, 10)]),
        ("18 sc (18)", "18 sc [18]", [(RemarkKind.STYLE, 8)]),
        ("Rnd 2", "Round 2", [(RemarkKind.STYLE, 6)]),
        ("Stuff firmly.\n", "", [(RemarkKind.STUFFING, 11)]),
        (
            "Stuff firmly.\nRnd 8: dec x 6 (6)",
            "Rnd 8: dec x 6 (6)\nStuff firmly.",
            [(RemarkKind.STUFFING, 11)],
        ),
        ("Rnd 2: inc x 6", "Rnd 2: 2 dc in next st, 2 htr in next st, inc x 4", [(RemarkKind.TERMS, 6)]),
    ],
)
def test_each_fault_is_told_where_it_stands(old: str, new: str, told: list[tuple[RemarkKind, int]]) -> None:
    """One fault planted in the page, one remark at its line."""
    assert old in FINE
    found = _told(FINE.replace(old, new))
    assert [one for one in found if one in told] == told
    assert len(found) <= 3


def test_eyes_behind_the_last_round_are_told() -> None:
    """Eyes placed when the part is closed can't have their washers put on."""
    late = (
        FINE.replace("Place the eyes between rounds 4 and 5.\n", "")
        + "Place the eyes between rounds 4 and 5.\n"
    )
    assert _told(late) == [(RemarkKind.EYES, 13)]


def test_a_page_without_a_list_of_abbreviations_is_told_once() -> None:
    """Without any list there is one remark that names them all."""
    assert _told(
        FINE.replace("sc = single crochet; inc = increase; dec = decrease; MR = magic ring", "")
    ) == [(RemarkKind.UNEXPLAINED, 0)]
