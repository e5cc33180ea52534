"""Rounds along a chain in words: their arithmetic, and that a beginner can follow them."""

import re
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.notation.writer import LineKind, write_rounds
from solver.rounds import Begin, Finish
from solver.rounds.along_chain import END_STITCHES, flat_end, oval_piece


def lines(chain: int, ends: list[int], *, begin: Begin = Begin.SIDE, **how: object) -> list[str]:
    """Return the written lines of a piece with a seam."""
    piece = oval_piece(chain, ends, finish=Finish.SEAMED, begin=begin)
    return [line.text for line in write_rounds(piece, **how)]


def test_a_beginner_is_told_where_round_one_goes() -> None:
    """The chain, the second from the hook, the last chain, the other side and the count are all told."""
    assert lines(9, [4, 8, 12])[:4] == [
        "Chain 9. Round 1 is worked into this chain along both of its sides, without turning the work over.",
        "Rnd 1: 4 sc in the second ch from the hook, sc in each of the next 6 ch, "
        "4 sc in the last ch, turn to the other side of the ch: sc in each of the next 6 ch (20)",
        "Rnd 2: (4 inc, 6 sc) x 2 (28)",
        "Rnd 3: (inc, sc, inc, sc, inc, sc, inc, 7 sc) x 2 (36)",
    ]


def test_round_begun_at_an_end_comes_back_to_its_chain() -> None:
    """Begun in the middle of an end, round 1 ends in the chain that it began in."""
    assert "2 sc in the second ch from the hook" in lines(9, [4, 8], begin=Begin.END)[1]
    assert lines(9, [4, 8], begin=Begin.END)[1].endswith("2 sc in the ch of the first st (20)")


def test_like_stitches_stand_in_one_run() -> None:
    """A side is told with the plain stitches of the end before it; what goes all round is told once."""
    assert lines(27, [4, 6])[2] == "Rnd 2: (inc, sc, inc, 25 sc) x 2 (60)"
    assert lines(2, [3, 6, 9])[2:4] == ["Rnd 2: inc x 6 (12)", "Rnd 3: (inc, sc) x 6 (18)"]


@settings(deadline=None, max_examples=60)
@given(
    chain=st.integers(2, 60),
    end=st.sampled_from(END_STITCHES),
    rounds=st.integers(2, 12),
    begin=st.sampled_from(Begin),
    spelled=st.booleans(),
)
def test_no_two_neighbours_on_a_line_are_alike(
    chain: int, end: int, rounds: int, begin: Begin, spelled: bool
) -> None:
    """Neither in a bracket nor across one do two runs of like stitches follow each other."""
    ends = flat_end(end, chain=chain, rounds=rounds)
    piece = oval_piece(chain, (*ends, *ends[-2::-1]), finish=Finish.OPEN, begin=begin)
    written = [line.text for line in write_rounds(piece, spelled=spelled) if line.kind is LineKind.ROUND]
    for text in written[1:]:
        told = re.split(r": |, \d+ stitch| \(\d+\)$", text)[1]
        kinds = [re.sub(r"^\(?\d+ |^\(|\)? x \d+$|s$|\)$", "", item) for item in told.split(", ")]
        assert all(kind != after for kind, after in pairwise(kinds)), text


def test_spelled_and_uk() -> None:
    """The first round is spelled out without abbreviations, in UK words on request."""
    told = lines(9, [4, 8], spelled=True, terms="UK")[1]
    assert told.startswith("Round 1: 4 double crochets in the second chain from the hook, ")
    assert told.endswith("1 double crochet in each of the next 6 chains, 20 stitches in all.")


def test_seam_is_told_with_its_stitches() -> None:
    """A seamed end says how many stitches of each side are sewn together."""
    assert "sew the 10 stitches of one side to those of the other" in lines(9, [4, 8, 4])[-1]


def worked(text: str) -> tuple[int, int]:
    """Return how many stitches a short line uses and makes, by its own arithmetic."""
    uses = makes = 0
    for piece in re.finditer(r"\(([^)]*)\) x (\d+)|([^,()]+)", text):
        times = int(piece[2] or 1)
        for item in (piece[1] or piece[3]).split(","):
            words = re.fullmatch(r"(?:(\d+) )?(sc|inc3|inc|dec3|dec)(?: x (\d+))?", item.strip())
            if not words:
                assert not item.strip()
                continue
            number = int(words[1] or 1) * int(words[3] or 1) * times
            uses += number * {"dec": 2, "dec3": 3}.get(words[2], 1)
            makes += number * {"inc": 2, "inc3": 3}.get(words[2], 1)
    return uses, makes


@settings(deadline=None, max_examples=60)
@given(
    chain=st.integers(2, 60),
    end=st.sampled_from(END_STITCHES),
    rounds=st.integers(2, 20),
    begin=st.sampled_from(Begin),
)
def test_lines_use_exactly_the_stitches_there_are(chain: int, end: int, rounds: int, begin: Begin) -> None:
    """By its own arithmetic every line uses the stitches of the round before and makes its count."""
    ends = flat_end(end, chain=chain, rounds=rounds)
    piece = oval_piece(chain, (*ends, *ends[-2::-1]), finish=Finish.OPEN, begin=begin)
    there = 0
    for line in write_rounds(piece):
        if line.kind is not LineKind.ROUND:
            continue
        told = re.fullmatch(r"Rnds? [\d-]+(?: \(\d+ rounds\))?: (.*) \((\d+)\)", line.text)
        assert told
        if line.first > 1:
            assert worked(told[1]) == (there, int(told[2]))
        there = int(told[2])
        assert there == piece.counts[line.first - 1]


@pytest.mark.parametrize("chain", [2, 3, 4, 5])
def test_short_chains_read_well(chain: int) -> None:
    """On the shortest chains no side is told that has no stitches, and the count is right."""
    told = lines(chain, [4, 8])[1]
    assert ("each of the next" in told) == (chain > 4)
    assert told.endswith(f"({8 + 2 * max(chain - 3, 0)})")
