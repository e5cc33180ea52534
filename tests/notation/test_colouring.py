"""Rounds in several colours: what the writer writes the reader reads back, colours and all."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import groupby

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.notation.coloured import by_stitch, handlings
from solver.notation.convert import converted, round_of
from solver.notation.linebreaks import bound, broken
from solver.notation.proof import proof_read
from solver.notation.rewrite import rewritten
from solver.notation.words import words
from solver.notation.writer import LineKind, each_round, standing_notes, write_rounds
from solver.rounds import Finish, Piece, Round, Start, Stitch
from tests.notation.test_reader_writer import _IN_SINGLE, WRITTEN, pieces

NAMES = ("grey", "white", "sea blue", "rust", "natural", "old rose")
BALL = Piece(
    Start.RING,
    0,
    (Round.plain(6), Round((Stitch.INC,) * 6), *[Round.plain(12)] * 4, Round((Stitch.DEC,) * 6)),
    Finish.CINCHED,
)


@st.composite
def coloured(draw: st.DrawFn) -> tuple[Piece, tuple[tuple[str, ...], ...]]:
    """Draw a piece with a colour for each of its stitches: whole rounds, runs, or any."""
    piece = draw(pieces())
    if draw(st.integers(0, 3)) == 0:  # along a chain
        chains = draw(st.integers(5, 12))
        ends = draw(st.sampled_from([(3, 3, 0), (1, 3, 2), (2, 3, 1), (4, 4, 0), (2, 4, 2)]))
        first = Round.plain(sum(ends) + 2 * (chains - 3))
        further = [first]
        for _ in range(draw(st.integers(0, 3))):
            n = further[-1].count
            incs = draw(st.integers(0, n))
            further.append(Round((Stitch.INC,) * incs + (Stitch.SC,) * (n - incs)))
        piece = Piece(Start.CHAIN, chains, tuple(further), Finish.OPEN, ends)
    palette = draw(st.lists(st.sampled_from(NAMES), min_size=2, max_size=3, unique=True))
    rounds = []
    for this in piece.rounds:
        runs = draw(st.lists(st.tuples(st.sampled_from(palette), st.integers(1, 9)), min_size=1, max_size=5))
        names = [name for name, n in runs for _ in range(n)]
        rounds.append(tuple((names * this.count)[: this.count]))
    if piece.start is Start.CHAIN:  # what goes into one chain is of one colour
        before, far, after = piece.ends
        sizes = [before, *[1] * piece.side, far, *[1] * piece.side, after]
        rounds[0] = tuple(rounds[0][k] for k, n in enumerate(sizes) for _ in range(n))
    return piece, tuple(rounds)


@settings(max_examples=60, deadline=None, report_multiple_bugs=False)
@given(drawn=coloured(), terms=st.sampled_from(WRITTEN), spelled=st.booleans())
def test_colours_read_back(
    drawn: tuple[Piece, tuple[tuple[str, ...], ...]], terms: str, spelled: bool
) -> None:
    """In any table, terse or spelled, the same stitches come back in the same colours."""
    piece, colours = drawn
    english = terms in ("US", "UK")
    if not english:
        single = tuple(Round(tuple(_IN_SINGLE.get(s, s) for s in one.stitches)) for one in piece.rounds)
        piece = replace(piece, rounds=single)
        if piece.start is Start.OPEN:
            piece = replace(piece, start=Start.RING, foundation=0)
    lines = write_rounds(piece, terms=terms, spelled=spelled and english, colours=colours)
    told = [words(terms).say("notes", "terms")] if english else []
    kinds = {LineKind.ROUND, LineKind.COLOUR, LineKind.START}
    told += [line.text for line in lines if english or line.kind in kinds]
    text = "\n".join(told)
    proof = proof_read(text)
    assert proof.clean, (text, [problem for line in proof.lines for problem in line.problems])
    rounds = [round_of(acts) for line in proof.lines for acts in line.stitches]
    if piece.start is Start.CHAIN:  # what goes into one chain is no increase there
        rounds[0] = Round.plain(sum(act.makes for act in proof.lines[0].stitches[0]))
    assert [one if isinstance(one, str) else one.stitches for one in rounds] == [
        one.stitches for one in piece.rounds
    ], text
    assert [names for line in proof.lines for names in line.colours] == list(colours), text


@settings(max_examples=15, deadline=None, report_multiple_bugs=False)
@given(drawn=coloured(), terms=st.sampled_from(["US", "UK"]), spelled=st.booleans())
def test_rewritten_pages_keep_their_colours(
    drawn: tuple[Piece, tuple[tuple[str, ...], ...]], terms: str, spelled: bool
) -> None:
    """A page in one style written anew in another has the same stitches in the same colours."""
    piece, colours = drawn
    lines = write_rounds(piece, colours=colours)
    text = "\n".join([words("US").say("notes", "terms"), *(line.text for line in lines)])
    new = rewritten(text, terms=terms, spelled=spelled)
    proof = proof_read(new.text)
    assert [names for line in proof.lines for names in line.colours] == list(colours), new.text
    assert proof.clean, new.text


def test_as_makers_write_them() -> None:
    """Each colour stands before its stitches; no repeat runs over two; what is alike shares a line."""
    belly = ("grey",) * 4 + ("white",) * 5 + ("grey",) * 3
    colours = [
        ("grey",) * 6,
        ("grey",) * 12,
        belly,
        belly,
        ("white",) * 6 + ("grey",) * 6,
        ("grey",) * 12,
        "grey",
    ]
    lines = write_rounds(BALL, colours=colours)
    told = [line.text for line in lines if line.kind is LineKind.ROUND]
    assert told[2] == "Rnds 3-4 (2 rounds): (grey) 4 sc, (white) 5 sc, (grey) 3 sc (12)"
    assert told[3] == "Rnd 5: (white) 6 sc, (grey) 6 sc (12)"
    assert [line.text for line in lines if line.kind is LineKind.COLOUR][:2] == [
        "Colors: grey, white.",
        "Begin with grey.",
    ]
    half = Piece(Start.RING, 0, (Round.plain(6), Round((Stitch.INC,) * 6)), Finish.OPEN)
    split = ("grey",) * 5 + ("white",) * 7
    (_, second) = each_round(half, colours=["grey", split])
    assert second == "Rnd 2: (grey) 2 inc, sc, (white) 1 sc in same st, 3 inc (12)"


def test_what_becomes_of_yarns() -> None:
    """Near: carried. Where the next round needs it near where it hangs: left. Else, and at its end: cut."""

    def rounds(*runs: tuple[str, int], times: int = 3) -> list[tuple[str, ...]]:
        return [tuple(name for name, n in runs for _ in range(n))] * times

    belly = [*rounds(("grey", 60)), *rounds(("grey", 30), ("white", 8), ("grey", 22)), *rounds(("grey", 60))]
    found = [(each.sentence, each.before, each.names) for each in handlings(belly)]
    assert found == [
        ("color_carry", 4, ("grey",)),
        ("color_leave", 4, ("white",)),
        ("color_end", 7, ("white",)),
    ]
    halves = handlings(rounds(("grey", 30), ("white", 30)))
    assert ("color_rejoin", 1) in [(each.sentence, each.before) for each in halves]
    dots = [
        *rounds(("grey", 20), ("white", 4), times=1),
        *rounds(("grey", 24)),
        *rounds(("grey", 20), ("white", 4)),
    ]
    assert ("color_cut", 2, ("white",), 5) in [
        (each.sentence, each.before, each.names, each.next_round) for each in handlings(dots)
    ]


def test_the_last_yarn_over_is_told_once() -> None:
    """In several colours within a round the notes tell how a colour is changed, in the terms' own words."""
    within = ("grey",) * 6 + ("white",) * 6
    colours = ["grey", within, within, within, within, within, "grey"]
    for terms, word in (("US", "color"), ("UK", "colour")):
        (told,) = [note for note in standing_notes(BALL, terms=terms, colours=colours) if word in note]
        assert "loops that are left on the hook" in told


@pytest.mark.parametrize(
    ("page", "names"),
    [
        ("Rnd 1: 6 sc in MR (6)\nRnd 2: (white) inc x 3, (black) inc x 3 (12)", "wwwwwwbbbbbb"),
        ("Rnd 1: 6 sc in MR (6)\nRnd 2: [white] 3 inc, [black] 3 inc [12]", "wwwwwwbbbbbb"),
        ("Rnd 1: 6 sc in MR (6)\nRnd 2: ((white) sc, (black) inc) x 3 (9)", "wbbwbbwbb"),
        (
            "Rnd 1: 6 sc in MR (6)\nRnd 2: (moss) 3 sc, (bark) 3 sc (6)\nRnd 3: (moss) 4 sc, (bark) 2 sc (6)",
            "mmmbbb",
        ),
    ],
)
def test_colours_of_others(page: str, names: str) -> None:
    """Names in brackets are read where they are words of colour, or come up more than once."""
    proof = proof_read(page)
    assert proof.clean
    assert "".join(name[0] for name in proof.lines[1].colours[0]) == names


def test_remarks_in_brackets_stay_remarks() -> None:
    """A bracket that is no colour before its stitches changes nothing."""
    proof = proof_read("Rnd 1: 6 sc in MR (6)\nRnd 2: (RS) inc x 6 (12)\nRnd 3: (sc, inc) x 6 (18)")
    assert proof.clean
    assert not any(line.colours for line in proof.lines)


def test_one_name_a_stitch() -> None:
    """Too few or too many names are a mistake of the caller's."""
    with pytest.raises(ValueError, match="one colour a stitch"):
        by_stitch(BALL, [("grey",) * 5, *["grey"] * 6])
    assert [len(list(group)) for _, group in groupby(by_stitch(BALL, ["grey"] * 7)[1])] == [12]
    (one,) = converted(proof_read("Rnd 1: 6 sc in MR (6)\nRnd 2: 5 inc, sc, sc in same st (12)"))
    assert one.piece is not None
    assert one.piece.rounds[1].stitches == (Stitch.INC,) * 6


def test_a_stitch_with_accents_in_brackets_is_no_colour() -> None:
    """The Vietnamese increase alone in brackets on several lines is worked, not taken for a name."""
    proof = proof_read("H 1: 6 sc vào vòng tròn ma thuật (6)\nH 2: (tăng) x 6 (12)\n\n" * 2)
    assert proof.clean
    assert [line.made for line in proof.lines] == [6, 12] * 2


def _broken(text: str, width: int) -> list[str]:
    return broken(bound(text, re.compile(r"with \w+:")), width=width)


@pytest.mark.parametrize("terms", ["US", "UK"])
def test_a_ring_of_two_colours_spelled(terms: str) -> None:
    """One ring, told once and first, however the line is broken."""
    colours = (("navy", "white", "white", "white", "white", "navy"), ("navy",) * 12)
    rounds = (Round.plain(6), Round((Stitch.INC,) * 6))
    piece = Piece(Start.RING, 0, rounds, Finish.OPEN)
    lines = write_rounds(piece, terms=terms, spelled=True, colours=colours)
    (first,) = (line.text for line in lines if line.first == 1 and line.kind is LineKind.ROUND)
    assert first.startswith("Round 1: in a magic ring, with navy: 1 ")
    for width in (40, 60, 84):
        text = "\n".join(part for line in lines for part in _broken(line.text, width))
        proof = proof_read(text)
        assert proof.clean
        assert [names for line in proof.lines for names in line.colours] == list(colours), text
