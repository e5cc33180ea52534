"""Written rounds, read back by a small reader of this module's own that knows no word table."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from hypothesis import given

from solver.notation.words import words
from solver.notation.writer import Line, LineKind, round_text, standing_notes, write_rounds
from solver.rounds import Finish, Piece, Round, Start, Stitch
from solver.rounds.shaping import shaped_piece
from tests.strategies import counts, pieces

BALL = [6, 12, 18, 24, 30, 36, *[36] * 6, 30, 24, 18, 12, 6]

#: What each instruction uses and makes, by how it is written (common practice; US and UK words from the Craft
#: Yarn Council's conversion chart, seen in reprints).
ARITHMETIC = {"inc": (1, 2), "inc3": (1, 3), "dec": (2, 1), "dec3": (3, 1)}
TERSE = {"US": ARITHMETIC | {"sc": (1, 1)}, "UK": ARITHMETIC | {"dc": (1, 1)}}
NAME = {"US": "single crochet", "UK": "double crochet"}


def ball(increases: str = "stacked") -> Piece:
    """Return the trade's ball of six, 36 stitches round."""
    return shaped_piece(BALL, start=Start.RING, finish=Finish.CINCHED, increases=increases)


def read_terse(text: str, terms: str) -> tuple[range, list[tuple[int, int]], int]:
    """Read a short line: its rounds, the (uses, makes) of each instruction, and the count it states."""
    label = r"Rnds? (?P<first>\d+)(-(?P<last>\d+) \((?P<many>\d+) rounds\))?: "
    found = re.fullmatch(label + r"(?P<items>.+?)(?P<ring> in a magic ring)? \((?P<count>\d+)\)", text)
    assert found, text
    first, last = int(found["first"]), int(found["last"] or found["first"])
    assert last - first + 1 == int(found["many"] or 1)
    assert text.startswith("Rnds ") == (last > first)
    items = found["items"]
    while bracket := re.search(r"\(([^()]*)\) x (\d+)", items):
        assert int(bracket[2]) > 1
        items = items[: bracket.start()] + ", ".join([bracket[1]] * int(bracket[2])) + items[bracket.end() :]
    if whole := re.fullmatch(r"(\w+) x (\d+)", items):
        items = f"{whole[2]} {whole[1]}"
    done = []
    for item in items.split(", "):
        number, name = re.fullmatch(r"(?:(\d+) )?([a-z]+3?)", item).groups(default="1")
        done += [TERSE[terms][name]] * int(number)
    return range(first, last + 1), done, int(found["count"])


def read_spelled(text: str, terms: str) -> tuple[int, list[tuple[int, int]], int]:
    """Read a spelled line: its round, the (uses, makes) of each instruction, and the count it states."""
    found = re.fullmatch(r"Round (\d+): (.+), (\d+) stitch(?:es)? in all\.", text)
    assert found, text
    name = NAME[terms]
    phrases = {
        rf"{name} in the next stitch": (1, 1),
        rf"{name} in the next (\d+) stitches": (1, 1),
        rf"(\d+) {name}s? in a magic ring": (1, 1),
        r"increase in the next stitch": (1, 2),
        r"increase in each of the next (\d+) stitches": (1, 2),
        rf"3 {name}s in the next stitch": (1, 3),
        rf"3 {name}s in each of the next (\d+) stitches": (1, 3),
        r"decrease over the next 2 stitches": (2, 1),
        r"decrease over each of the next (\d+) pairs of stitches": (2, 1),
        r"decrease over the next 3 stitches": (3, 1),
        r"decrease over each of the next (\d+) groups of 3 stitches": (3, 1),
    }
    done = []
    for part in found[2].split(", "):
        ((match, arithmetic),) = [
            (match, arithmetic)
            for phrase, arithmetic in phrases.items()
            if (match := re.fullmatch(phrase, part))
        ]
        done += [arithmetic] * int(match[1] if match.groups() else 1)
    return int(found[1]), done, int(found[3])


def arithmetic(this: Round) -> list[tuple[int, int]]:
    """Return the (uses, makes) of each instruction."""
    return [(stitch.uses, stitch.makes) for stitch in this.stitches]


def check_against(piece: Piece, read: list[tuple[range, list[tuple[int, int]], int]]) -> None:
    """See that lines cover the rounds in order, use what is there, make what they state, stitch by stitch."""
    assert [number for numbers, _, _ in read for number in numbers] == list(range(1, len(piece.rounds) + 1))
    there = piece.foundation
    for numbers, done, stated in read:
        for number in numbers:
            if number > 1 or piece.start is Start.OPEN:
                assert sum(uses for uses, _ in done) == there
            assert sum(makes for _, makes in done) == stated
            assert done == arithmetic(piece.rounds[number - 1])
            there = stated


def rounds_of(lines: tuple[Line, ...]) -> list[Line]:
    """Return the lines that are rounds."""
    return [line for line in lines if line.kind is LineKind.ROUND]


@pytest.mark.parametrize("terms", ["US", "UK"])
@given(piece=pieces())
def test_short_lines_add_up(terms: str, piece: Piece) -> None:
    """A short line's own arithmetic uses exactly the stitches of the round before and makes its count."""
    lines = rounds_of(write_rounds(piece, terms=terms))
    read = [read_terse(line.text, terms) for line in lines]
    assert [(line.first, line.last) for line in lines] == [(span[0], span[-1]) for span, _, _ in read]
    check_against(piece, read)


@pytest.mark.parametrize("terms", ["US", "UK"])
@given(piece=pieces())
def test_spelled_lines_add_up(terms: str, piece: Piece) -> None:
    """A spelled line tells every stitch in order, uses those of the round before and makes its count."""
    lines = rounds_of(write_rounds(piece, terms=terms, spelled=True))
    read = [read_spelled(line.text, terms) for line in lines]
    check_against(piece, [(range(number, number + 1), done, stated) for number, done, stated in read])


@given(sequence=counts())
def test_lines_from_counts_add_up(sequence: list[int]) -> None:
    """Counts that were shaped here read back to the same counts."""
    piece = shaped_piece(sequence, start=Start.RING, finish=Finish.OPEN)
    read = [read_terse(line.text, "US") for line in rounds_of(write_rounds(piece))]
    check_against(piece, read)
    assert [stated for numbers, _, stated in read for _ in numbers] == sequence


@given(piece=pieces())
def test_only_a_bracket_round_the_whole_round_splits_a_run(piece: Piece) -> None:
    """Like stitches in a row are one item, across brackets too, but in a round that is one repeat."""
    for line in rounds_of(write_rounds(piece)):
        if re.search(r": \([^()]*\) x \d+ \(\d+\)$", line.text):
            continue
        items = re.sub(r"\(([^()]*)\) x \d+", r"\1, \1", line.text.partition(": ")[2])
        names = [re.sub(r" \(.*| in a .*| x .*|^\d+ ", "", item) for item in items.split(", ")]
        assert all(a != b for a, b in pairwise(names))


def test_the_house_style() -> None:
    """The trade's ball is written in one style, with a count on every line and the rounds in a range."""
    assert [line.text for line in rounds_of(write_rounds(ball()))] == [
        "Rnd 1: 6 sc in a magic ring (6)",
        "Rnd 2: inc x 6 (12)",
        "Rnd 3: (sc, inc) x 6 (18)",
        "Rnd 4: (2 sc, inc) x 6 (24)",
        "Rnd 5: (3 sc, inc) x 6 (30)",
        "Rnd 6: (4 sc, inc) x 6 (36)",
        "Rnds 7-12 (6 rounds): 36 sc (36)",
        "Rnd 13: (4 sc, dec) x 6 (30)",
        "Rnd 14: (3 sc, dec) x 6 (24)",
        "Rnd 15: (2 sc, dec) x 6 (18)",
        "Rnd 16: (sc, dec) x 6 (12)",
        "Rnd 17: dec x 6 (6)",
    ]


@pytest.mark.parametrize(
    ("runs", "us", "uk"),
    [
        (
            "2sc inc 4sc inc 4sc inc 2sc",
            "(2 sc, inc, 2 sc) x 3",
            "(2 dc, inc, 2 dc) x 3",
        ),
        (
            "3sc inc 4sc inc 4sc inc 2sc",
            "3 sc, inc, (4 sc, inc) x 2, 2 sc",
            "3 dc, inc, (4 dc, inc) x 2, 2 dc",
        ),
        ("2sc inc 2sc", "2 sc, inc, 2 sc", "2 dc, inc, 2 dc"),
        ("sc 5inc", "sc, 5 inc", "dc, 5 inc"),
        ("inc sc", "inc, sc", "inc, dc"),
        ("3dec3", "dec3 x 3", "dec3 x 3"),
        ("inc3", "inc3", "inc3"),
        ("36sc", "36 sc", "36 dc"),
    ],
)
def test_a_round_in_few_words(runs: str, us: str, uk: str) -> None:
    """The number stands before the stitch; after an x it is a total, and only a whole round has no bracket.

    "sc, inc x 5" might be five times both, which is why five increases in a mixed round are "5 inc".
    """
    found = re.findall(r"(\d*)(sc|inc3|inc|dec3|dec)(?: |$)", runs)
    this = Round(tuple(Stitch(name) for number, name in found for _ in range(int(number or 1))))
    assert (round_text(this, words("US")), round_text(this, words("UK"))) == (us, uk)


def test_shaped_rounds_share_a_line_only_where_they_are_worked_alike() -> None:
    """Rounds of one count whose shaping stands elsewhere keep lines of their own."""
    one = Round((Stitch.INC, Stitch.DEC, Stitch.SC))
    other = Round((Stitch.DEC, Stitch.INC, Stitch.SC))
    piece = Piece(Start.OPEN, 4, (one, one, other), Finish.OPEN)
    assert [line.text for line in rounds_of(write_rounds(piece))] == [
        "Rnds 1-2 (2 rounds): inc, dec, sc (4)",
        "Rnd 3: dec, inc, sc (4)",
    ]


def test_round_one_of_a_ring_stands_alone() -> None:
    """Plain rounds after the ring do not swallow the round that is worked into it."""
    piece = shaped_piece([8, 8, 8], start=Start.RING, finish=Finish.OPEN)
    assert [line.text for line in rounds_of(write_rounds(piece))] == [
        "Rnd 1: 8 sc in a magic ring (8)",
        "Rnds 2-3 (2 rounds): 8 sc (8)",
    ]


@given(piece=pieces())
def test_spelled_text_has_no_symbols_and_no_abbreviations(piece: Piece) -> None:
    """A reading voice meets words, whole numbers and plain punctuation alone, in lines and in notes."""
    texts = [line.text for line in write_rounds(piece, spelled=True)] + list(
        standing_notes(piece, spelled=True)
    )
    for text in texts:
        assert re.fullmatch(r"[A-Za-z0-9 ,.:-]+", text)
        short = {"sc", "dc", "inc", "dec", "inc3", "dec3", "st", "sts", "rnd", "rnds", "x", "ch", "sl", "cm"}
        assert not short & set(re.findall(r"\w+", text.lower()))


def test_spelled_lines_read_as_sentences() -> None:
    """Each stitch is told in order, and the count ends the sentence."""
    lines = [line.text for line in rounds_of(write_rounds(ball(), spelled=True))]
    assert lines[0] == "Round 1: 6 single crochets in a magic ring, 6 stitches in all."
    assert lines[1] == "Round 2: increase in each of the next 6 stitches, 12 stitches in all."
    assert lines[2].startswith(
        "Round 3: single crochet in the next stitch, increase in the next stitch, single"
    )
    assert lines[7] == "Round 8: single crochet in the next 36 stitches, 36 stitches in all."
    assert lines[16] == "Round 17: decrease over each of the next 6 pairs of stitches, 6 stitches in all."


@pytest.mark.parametrize(
    ("sequence", "finish", "before", "sentence"),
    [
        (BALL, Finish.CINCHED, 17, "Stuff the piece now: round 17 closes the opening."),
        ([6, 12, 24, 48, 60, 60, 48, 40, 30, 20, 12, 6], Finish.CINCHED, 11, "round 11 closes"),
        ([5, 10, 10, 10, 5], Finish.CINCHED, 5, "round 5 closes"),
        ([6, 6, 6], Finish.CINCHED, 4, "Stuff the piece now, before you draw it closed."),
        ([6, 12, 24, 24], Finish.OPEN, 5, "through the open edge before you sew"),
        ([6, 12, 24, 24, 12, 8, 8], Finish.OPEN, 6, "Stuff the piece so far: round 6 narrows the opening."),
        ([6, 12, 24, 24, 16, 8, 8, 16, 24, 24, 12, 6], Finish.CINCHED, 6, "round 6 narrows"),
        ([6, 12, 24, 24, 16, 8, 8, 16, 24, 24, 12, 6], Finish.CINCHED, 12, "round 12 closes"),
    ],
)
def test_stuffing_is_told_before_the_opening_is_small(
    sequence: list[int], finish: Finish, before: int, sentence: str
) -> None:
    """The maker is told to stuff while a third of the widest round, or twelve stitches, are still open.

    Common practice, no source.
    """
    lines = write_rounds(shaped_piece(sequence, start=Start.RING, finish=finish))
    at = [i for i, line in enumerate(lines) if line.kind is LineKind.STUFFING and line.first == before]
    assert len(at) == 1
    assert sentence in lines[at[0]].text
    assert lines[at[0] - 1].last == before - 1
    assert lines[at[0] + 1].first == before


def test_an_open_start_is_stuffed_when_all_is_worked() -> None:
    """A tube begun open is filled through its open edge, so nothing closes on the maker."""
    piece = shaped_piece([24, 24, 12, 6], start=Start.OPEN, finish=Finish.CINCHED, foundation=24)
    lines = write_rounds(piece)
    assert [line.kind for line in lines] == ["start", *["round"] * 3, "stuffing", "finish"]
    assert "through the open edge" in lines[-2].text
    assert lines[0].text.startswith("Chain 24, ")
    assert "Without twisting" in lines[0].text
    assert "slip stitch" in lines[0].text


@pytest.mark.parametrize(
    ("finish", "sentence"),
    [
        (Finish.CINCHED, "through the front loops of the last 6 stitches, pull tight"),
        (Finish.SEAMED, "Fold the last round flat and sew"),
        (Finish.OPEN, "Fasten off, leaving a long tail for sewing."),
    ],
)
def test_the_last_line_finishes_the_piece(finish: Finish, sentence: str) -> None:
    """Each finish has its sentence, at the end."""
    last = write_rounds(shaped_piece([6, 12, 6], start=Start.RING, finish=finish))[-1]
    assert (last.kind, last.first) == (LineKind.FINISH, 4)
    assert sentence in last.text


def test_notes_tell_what_the_piece_needs() -> None:
    """A piece with decreases has them explained, in its own terms; a plain one is not told of brackets."""
    notes = "\n".join(standing_notes(ball(), terms="UK"))
    for wanted in (
        "UK terms",
        "dc: double crochet.",
        "inc, increase: work 2 double crochets in one stitch.",
        "dec, decrease: work 2 stitches together",
        "invisible decrease",
        "do not join the rounds and do not turn. Mark the first stitch",
        "x 6 means 6 times in all",
        "number in brackets at the end",
        "chain 2 and work the 6 double crochets of round 1 into the second chain from the hook",
        "Left-handed",
    ):
        assert wanted in notes
    assert "inc3" not in notes
    tube = standing_notes(shaped_piece([24] * 3, start=Start.OPEN, finish=Finish.OPEN, foundation=24))
    assert not any("increase" in note or "in all" in note or "magic" in note for note in tube)
