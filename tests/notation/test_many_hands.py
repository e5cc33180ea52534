"""Pages as many hands write them: sizes, labels, tables, lines that lean on others, and lines without end."""

from __future__ import annotations

import pytest

from solver.notation.convert import converted
from solver.notation.proof import proof_read
from solver.notation.rewrite import rewritten

START = "Rnd 1: 6 sc in MR (6)\nRnd 2: inc x 6 (12)\n"


def _made(text: str) -> list[int | None]:
    return [line.made for line in proof_read(text).lines]


def _kinds(text: str) -> list[set[str]]:
    return [{one.kind for one in line.problems} for line in proof_read(text).lines]


def test_three_sizes_are_each_held_against_their_counts() -> None:
    """Three sizes, "6 (8, 10) times", are three parts; a slip in the third is told as the third's."""
    text = "Rnd 1: 6 (8, 10) sc in MR [6 (8, 10)]\nRnd 2: 2 sc in each st [12 (16, 20)]\n"
    third = "Rnd 3: (1 sc, 2 sc in next st) 6 (8, 10) times [18 (24, {})]"
    proof = proof_read(text + third.format(30))
    assert proof.clean
    assert [line.made for line in proof.lines] == [6, 12, 18]
    (told,) = proof_read(text + third.format(31)).lines[2].problems
    assert told.kind == "count"
    assert "third size" in told.message


@pytest.mark.parametrize(
    "lines",
    [
        ("#1 6 sc in MR <6>", "#2 inc x 6 <12>", "#3-4 sc around <12>"),
        ("| 1 | 6 sc in MR | 6 |", "| 2 | inc x 6 | 12 |", "| 3-4 | sc around | 12 |"),
        ("12 | Rnd 1: 6 sc in MR (6)", "13 | Rnd 2: inc x 6 (12)", "14 | Rnds 3-4: sc around (12)"),
        ("A1: 6 sc in MR (6)", "A2: 6 inc (12)", "A3-A4: 12 sc (12)"),
        ("1 p. 6 sc in ring", "2 p. 6 inc = 12", "3-4 p. without changes = 12"),
        ("1) 6 sc in mr (6)", "2) 6 inc (12)", "3) to 4) 12 sc (12)"),
        ("Rnd 1 (start): 6 sc in MR (6)", "Rnd 2 (two and two): inc x 6 (12)", "Rnd 3-4 (rest): 12 sc (12)"),
        ("Okay, R1: 6 sc in MR (6)", "Then R2: inc x 6 (12)", "Now R3-4: sc around (12)"),
        ("Round one: 6 sc in MR (6)", "Second round: inc x 6 (12)", "Rounds three to four: sc around (12)"),
        ("[09:14] rnd 1: 6 sc in MR (6)", "[9:15] rnd 2: inc x 6 (12)", "[9:16] rnd 3 to 4: sc around (12)"),
        ("1   6 sc in MR   6", "2   inc x 6   12", "3-4   sc around   12"),
        ("1;6 sc in MR;6", "2;inc x 6;12", "3-4;sc around;12"),
        ("(6 sts) R1: 6 sc in MR", "(12 sts) R2: inc x 6", "(12 sts) R3-R4: sc around"),
        ("Step 1. 6 sc in MR (6)", "Step 2. inc x 6 (12)", "Step 3-4. sc around (12)"),
        ("Rnd 1: 6 sc in MR (6)", "Next round: inc x 6 (12)", "Next 2 rounds: sc around (12)"),
        ("Rnd1:6scinMR(6)", "Rnd2:incx6(12)", "Rnd3-4:12sc(12)"),
        ("R1: X*6 [6]", "R2: V*6 [12]", "R3-4: X*12 [12]"),
        ("☐ ☐ R1: 6 sc in MR (6)", "☐ R2: inc x 6 (12)", "☐ ☐ R3-4: sc around (12)"),
    ],
)
def test_labels_of_many_kinds(lines: tuple[str, ...]) -> None:
    """Numbers with a sign, in a table, behind a figure, behind a letter."""
    proof = proof_read("\n".join(lines))
    assert proof.clean
    assert [(line.rounds, line.made) for line in proof.lines] == [((1,), 6), ((2,), 12), ((3, 4), 12)]


@pytest.mark.parametrize(
    ("line", "made"),
    [
        ("(sc, inc) 6 times over the 12 sts (18)", 18),
        ("(sc, inc) 3 times over the first 6 sts, sc in the remaining 6 (15)", 15),
        ("(1 sc, 1 dec, that is sc 2 sts together) x 4 (8)", 8),
        ("(sc, inc) around, you will be left with 18 sts [18]", 18),
        ("(sc, inc) x 6 (18) - add 8 mm eyes between R1 & R2, 6 sts apart", 18),
        ("1 sc, then an increase, all the way round, 6 increases in total (18)", 18),
        ("(sc1 inc1)6 (18)", 18),
        ("(next 2 sc tog) 6 times (6)", 6),
        ("6 dec, stuff before the last 2 decs (6)", 6),
        ("[12 -> 18] (sc, inc) x 6", 18),
        ("1 stitch, then 2 stitches in one. Do that 6 times. (18)", 18),
        ("(sc, inc) x 6 (+6 = 18)", 18),
        ("one single, an increase; keep that going till you are back at the marker. (18)", 18),
        ("(sc, popcorn) x 6 (12) - for a popcorn make 4 dc in one st, take the hook out, pull through", 12),
        ("1+inc x6 = 18", 18),
        ("(sc, inc) 6 times = 18. Three minutes, two with tea.", 18),
        ("again with increases, (sc, inc) x 6 (18)", 18),
        ("inc (2 sc in the same st) 6 times, 6 sc (18)", 18),
        ("3 sc, 6 sc together with the first arm, 3 sc (12)", 12),
        ("6 sc around the first lobe, 6 sc around the second lobe (12)", 12),
        ("no inc. 12 sts", 12),
    ],
)
def test_a_line_on_twelve_stitches(line: str, made: int) -> None:
    """Worked as it is meant, and nothing is told."""
    proof = proof_read(f"{START}Rnd 3: {line}")
    assert proof.clean
    assert proof.lines[2].made == made


@pytest.mark.parametrize("line", ["Same again.", "as before (12)", "Ditto", "same as last round (12)"])
def test_a_round_like_the_one_before(line: str) -> None:
    """However it is said."""
    proof = proof_read(f"{START}Rnd 3: sc around (12)\nRnd 4: {line}\nRnd 5: 12 sc (12)")
    assert proof.clean
    assert [one.made for one in proof.lines[2:]] == [12, 12, 12]


def test_as_round_3_is_in_every_stitch_that_is_there() -> None:
    """A plain round that is spoken of again is worked round more stitches."""
    text = START + "Rnd 3: 12 sc (12)\nRnd 4: (sc, inc) x 6 (18)\nRnd 5: as rnd 3 (18)"
    assert proof_read(text).clean
    assert _made(text)[4] == 18
    assert _kinds(text.replace("rnd 3 (18)", "rnd 3 (17)"))[4] == {"count"}


def test_a_multiplier_that_touches_its_bracket_counts() -> None:
    """A number as in "(sc1 inc1)5" says 5, whatever would fit."""
    assert _kinds(f"{START}R3: (sc1 inc1)5 (18)")[2] >= {"repeat"}


def test_repeat_5_times_is_5_in_all_where_the_page_says_so() -> None:
    """One line for which only "5 more" fits, where the others mean in all, is wrong."""
    text = START + "Rnd 3: [sc, inc] repeat 6 times (18)\nRnd 4: [2 sc, inc] repeat 5 times (24)\n"
    line = proof_read(text + "Rnd 5: 24 sc (24)").lines[3]
    assert (line.made, line.needed) == (20, 15)
    assert [one.fix for one in line.problems if one.kind == "repeat"] == ["x 5 -> x 6"]


def test_a_line_is_not_blamed_for_the_one_before() -> None:
    """A stitch too many that its count has too: the next round has nothing wrong."""
    assert _kinds(f"{START}Rnd 3: (sc, inc) x 6 + 1 sc (19)\nRnd 4: 18 sc (18)") == [
        set(), set(), {"consumes"}, set(),
    ]  # fmt: skip


def test_numbers_alone_that_slip_are_told() -> None:
    """Of "1 6 SC IN RING" and its like: a line left out, two lines swapped."""
    lines = ["1 6 SC IN RING", "2 INC X 6", "3 (SC, INC) X 6", "4 (2 SC, INC) X 6", "5 24 SC"]
    assert _kinds("\n".join(lines)) == [set()] * 5
    assert "numbering" in _kinds("\n".join([*lines[:2], *lines[3:]]))[2]
    assert {"numbering"} <= set().union(*_kinds("\n".join([*lines[:2], lines[3], lines[2], lines[4]])))


@pytest.mark.parametrize(
    "text",
    [
        "in x from 2 sc in each in each of next 999 in same st (12, 18) ch 7 ch 7 skip in MR each in MR "
        "leg of other side over next 500 sts evenly dec tog 999 ; x 2999 999 (12, 18) } ] in one rnd 12 each "
        "over next 500 sts (12, 18)",
        ": = x 2999 сбн each hdc to rounds MR sts rep from * 999 times MR in same st / leg ch 7 times ,",
    ],
)
def test_a_round_that_asks_for_too_many_is_no_crash(text: str) -> None:
    """A count that is taken at its word may be out of reach of the words: its stitches are not told."""
    proof = proof_read(text)
    assert all(len(line.stitches) == len(line.counts) for line in proof.lines)
    converted(proof)


def test_what_stays_as_it_was_is_not_broken_and_not_read_otherwise() -> None:
    """A long line that is kept stands whole; the lines beside it give way where it leans on them."""
    own = "Ch 9\nR1: inc in 2nd ch from hook, sc 6, 3 sc in last ch, work on the other side: sc 7\n"
    new = rewritten(own + "R2: inc x 2, sc 6, inc x 3, sc 6, inc (24)", spelled=True)
    assert own.splitlines()[1] in new.text.splitlines()
    assert proof_read(new.text).clean
    bare = "1) 6 sc in mr (6)\n2) 12 sc (12)\n3) fold flat and sc through both sides, 4 sc"
    assert len(proof_read(rewritten(bare).text).lines) == 3


def test_a_language_that_is_not_spelled_out_yet_is_written_short() -> None:
    """No page comes out in two languages."""
    page = "1. Rd: 6 fM in einen Fadenring (6)\n2. Rd: jede M verdoppeln (12)"
    new = rewritten(page, spelled=True)
    assert not new.spelled
    assert new.text == rewritten(page).text
    assert rewritten(START, spelled=True).spelled


def test_half_doubles_in_a_ring_are_written_anew() -> None:
    """A ring holds other stitches too."""
    assert rewritten("Rnd 1: 8 hdc in MR, sl st to join (8)").text.startswith(
        "Rnd 1: 8 hdc in a magic ring, sl st to join"
    )


PARTS = """HEAD (grey)
Rnd 1: 6 sc in MR [6]
Rnd 2: inc x 6 [12]
Rnds 3-4: sc in each st [12]

BODY
{}
Rnd 4: (1 sc, inc) x 6 [18]"""


@pytest.mark.parametrize(
    "line", ["Rnds 1-3: as head [12]", "Work rnds 1-3 as for the head", "R1-R3: same as head"]
)
def test_rounds_of_another_part(line: str) -> None:
    """They are worked again, stitch by stitch, and their count is held against what is said."""
    proof = proof_read(PARTS.format(line))
    assert proof.clean
    assert proof.lines[3].counts == (6, 12, 12)
    assert [len(work) for work in proof.lines[3].stitches] == [6, 6, 12]
    assert (proof.lines[4].available, proof.lines[4].made) == (12, 18)
    assert line in rewritten(PARTS.format(line)).text
    head, body = converted(proof)
    assert head.piece is not None
    assert body.piece is not None
    assert (body.piece.counts, body.piece.start) == ((6, 12, 12, 18), head.piece.start)


def test_rounds_of_another_part_with_another_count_are_told() -> None:
    """And so are rounds of a part that is not there."""
    assert _kinds(PARTS.format("Rnds 1-3: as head [13]"))[3:] == [{"count"}, set()]
    assert _kinds(PARTS.format("Rnds 1-3: as keel [12]"))[3:] == [{"unread"}, set()]


def test_a_row_of_heights_may_begin_with_a_slip_stitch_that_counts() -> None:
    """What a round begins with joins nothing."""
    text = "Rnd 1: 5 sc in MR (5)\nRnd 2: inc x 5 (10)\nRnd 3: sl st 1, sc 2, hdc 4, sc 2, sl st {} (10)"
    assert _kinds(text.format(1)) == [set()] * 3
    assert _kinds(text.format(2))[2]


@pytest.mark.parametrize(
    ("line", "kind"),
    [
        ("*1 fM, in die nächste M 2 fM*, von * bis * 7-mal häkeln (18)", "repeat"),
        ("7 x 2 Maschen zusammenhäkeln (6)", "repeat"),
    ],
)
def test_german_numbers_that_count(line: str, kind: str) -> None:
    """On twelve stitches."""
    start = "1. Rd: 6 fM in einen Fadenring (6)\n2. Rd: jede M verdoppeln (12)\n"
    assert kind in _kinds(f"{start}3. Rd: {line}")[2]
