"""First rounds along a chain, held against the chain: in every form that makers write, right and wrong.

The forms and their totals are those of two surveys of makers' pages: common practice, no source.
"""

from __future__ import annotations

import random
from itertools import product

import pytest

from solver.notation.proof import ProofLine, proof_read
from tests.bench.proof_ovals import drawn, judged, own

SAY = {"in": "in 2nd ch from hook", "turn": "working on the other side of the chain"}


def _a(n: int, out: int = 0, back: int = 0) -> tuple[str, int]:
    body = f"sc in 2nd ch from hook, sc in next {n - 3 + out} ch, 3 sc in last ch, {SAY['turn']}: "
    return body + f"sc in next {n - 3 + back} ch, 2 sc in the first ch", 2 * n + out + back


def _b(n: int, out: int = 0, back: int = 0) -> tuple[str, int]:
    body = f"inc {SAY['in']}, sc {n - 3 + out}, 3 sc in last ch, {SAY['turn']}: sc {n - 2 + back}"
    return body, 2 * n + out + back


def _b3(n: int, out: int = 0, back: int = 0) -> tuple[str, int]:
    body = f"3 sc {SAY['in']}, sc in next {n - 3 + out} ch, 3 sc in last ch. Turn and sc in next "
    return body + f"{n - 3 + back} ch on the other side of the chain", 2 * n + out + back


def _c(n: int, out: int = 0, back: int = 0) -> tuple[str, int]:
    body = f"inc {SAY['in']}, {n - 3 + out} sc, 4 sc in last ch, on the opposite side {n - 3 + back} sc, inc"
    return body, 2 * n + 2 + out + back


def _d(n: int, out: int = 0, back: int = 0) -> tuple[str, int]:
    body = f"sc {SAY['in']}, sc {n - 3 + out}, 3 sc in last ch, {SAY['turn']} sc {n - 2 + back}, "
    return body + "3 sc in the same ch as the first sc", 2 * n + 2 + out + back


FORMS = {"a": _a, "b": _b, "b'": _b3, "c": _c, "d": _d}
CHAINS = (5, 6, 8, 9, 13, 18)


def _first(chain: int, body: str, count: int) -> ProofLine:
    (line,) = proof_read(f"Ch {chain}\nRnd 1: {body} ({count})").lines
    return line


@pytest.mark.parametrize("form", FORMS)
def test_a_first_round_on_its_own_chain_is_fine(form: str) -> None:
    """Every form is read on chains of 5 to 18, with its count, and nothing is told."""
    for n in CHAINS:
        body, count = FORMS[form](n)
        line = _first(n, body, count)
        assert (line.made, line.problems) == (count, ()), body


@pytest.mark.parametrize("form", FORMS)
def test_a_chain_of_the_wrong_length_is_told_with_the_right_one(form: str) -> None:
    """One and two chains too many or too few: the chain that the round needs is offered."""
    for n, off in product(CHAINS, (-2, -1, 1, 2)):
        body, count = FORMS[form](n)
        (problem,) = _first(n + off, body, count).problems
        assert (problem.kind, problem.fix) == ("consumes", f"chain {n + off} -> chain {n}"), body
        assert problem.mended.startswith(f"Ch {n}\n")


@pytest.mark.parametrize("form", FORMS)
def test_sides_that_differ_are_told(form: str) -> None:
    """One side a stitch short, there or back, on a chain that is right for the other."""
    for n, (out, back) in product(CHAINS[1:], ((-1, 0), (0, -1))):
        body, count = FORMS[form](n, out, back)
        problems = _first(n, body, count).problems
        assert [one.kind for one in problems] == ["consumes"], body


def test_three_stitches_for_four_in_an_end_are_told() -> None:
    """An end that lacks a stitch makes another count than it says."""
    for n in CHAINS:
        body, count = _c(n)
        for wrong in (body.replace("4 sc in", "3 sc in"), body.replace("4 sc in", "5 sc in")):
            assert {one.kind for one in _first(n, wrong, count).problems} == {"count"}, wrong


@pytest.mark.parametrize(("chain", "needed"), [(8, 10), (9, 10), (11, 10), (12, 10)])
def test_a_flat_row_is_held_against_its_chain(chain: int, needed: int) -> None:
    """Row 1 of 9 stitches from the second chain needs a chain of 10."""
    line = _first(chain, "sc in 2nd ch from hook and in next 8 ch", 9)
    assert [one.fix for one in line.problems] == [f"chain {chain} -> chain {needed}"]


def test_open_ended_sides_are_held_against_the_count() -> None:
    """Where a side goes on to the end of the chain, the count tells which chain is meant."""
    body = (
        "sc in 2nd ch from hook and in each ch to last, 3 sc in last ch, sc in each ch on the other side, inc"
    )
    assert not _first(9, body.replace(", inc", ", 2 sc in first ch"), 18).problems
    (problem,) = _first(8, body.replace(", inc", ", 2 sc in first ch"), 18).problems
    assert problem.fix == "chain 8 -> chain 9"


def test_first_rounds_in_words_drawn_at_random_are_read_and_their_mistakes_told() -> None:
    """A sample of all wordings and languages, right and with every mistake: all of them in tests/bench."""
    rng = random.Random(2)
    ovals = [*(oval for _ in range(8) for oval in drawn(rng)), *own(60)]
    wrong = [(oval.text, told) for oval in ovals if (told := judged(oval, proof_read(oval.text).lines))]
    assert len(ovals) > 100
    assert not wrong


def test_an_inc3_said_with_its_place_is_one_stitch_of_three() -> None:
    """In the first chain too, and without a blank."""
    line = _first(9, "inc3 in 2nd ch from hook, 6 sc, inc3 in last ch, on the other side: 6 sc", 18)
    assert (line.made, line.problems) == (18, ())
