"""What must never be passed in silence, and what must never be accused."""

from __future__ import annotations

import random
from itertools import islice

import pytest

from solver.notation.convert import converted
from solver.notation.proof import proof_read
from solver.rounds import Finish
from tests.bench.proof_mutations import judged, mutants
from tests.bench.proof_remarks import spoilt
from tests.notation.corpus import pages

START = "Rnd 1: 6 sc in MR (6)\nRnd 2: inc x 6 (12)\n"


def _kinds(text: str) -> list[set[str]]:
    return [{one.kind for one in line.problems} for line in proof_read(text).lines]


@pytest.mark.parametrize(
    ("line", "kind"),
    [
        ("Rnd 3: 4 sc (12)", "consumes"),
        ("Rnd 3: inc x 6 (100012)", "count"),
        ("Rnd 3: decrease over the next 1 stitches, sc in next 10 (11)", "consumes"),
        ("Rnd 3: decrease over the next 1 stitches, 11 sc (12)", "consumes"),
        ("Rnd 3: 10 sc, decrease over the next 1 stitches (11)", "consumes"),
        ("Rnd 3: 0 sc (0)", "consumes"),
        ("Rnd 3: -6 sc (6)", "consumes"),
        ("Rnd 3: *sc, inc*. *x7 (18)", "repeat"),
        ("Rnd 3: (sc, inc) around x 5 (18)", "repeat"),
        ("Rnd 3: *sc, inc; rep from * to last 3 sc, sc in last 2 sc (17)", "repeat"),
        ("Rnd 3: (sc, inc) x 6 19", "count"),
        ("Rnd 3: sc in next 4 st then dec (repeat 4 times in all) (10)", "repeat"),
        ("Rnd 3: (sc, inc) x 6 (+5 = 18)", "count"),
        ("Rnd 3: (sc, inc) x 6 [18 sts, +7]", "count"),
        ("Rnd 3: [11 -> 18] (sc, inc) x 6", "count"),
        ("Rnd 3: *sc, inc; rep from * 6 more times (18)", "repeat"),
        ("Rnd 3: (sc, inc) x 5 - then off we go, sailing home (18)", "repeat"),
        ("Rnd 3: sc in each st 11)", "count"),
    ],
)
def test_a_sum_that_does_not_come_out_is_told(line: str, kind: str) -> None:
    """Of a round on 12 stitches."""
    assert kind in _kinds(START + line)[2]


def test_a_ring_makes_what_is_worked_into_it() -> None:
    """Three stitches in a ring are not six."""
    assert _kinds("Rnd 1: 3 sc in a magic ring (6)\nRnd 2: inc x 6 (12)") == [{"count"}, set()]


def test_a_line_that_cannot_be_read_keeps_its_number_and_its_count() -> None:
    """The next line is not blamed for it, and the label after it is not missing one."""
    text = "1. 6 sc in MR (6)\n2. inc x 6 (12)\n3. qwert the zlorp (18)\n4. (2 sc, inc) x 6 (24)"
    assert _kinds(text) == [set(), set(), {"unread"}, set()]


def test_what_is_certain_is_told_from_a_guess() -> None:
    """A plain line is sure; what hangs on a line that is wrong itself is not."""
    proof = proof_read(START + "Rnd 3: (sc, inc) x 6 (19)\nRnd 4: (2 sc, inc) x 5 (24)")
    assert [one.sure for one in proof.lines[2].problems] == [True]
    assert [one.sure for one in proof.lines[3].problems] == [False] * len(proof.lines[3].problems)
    assert proof.lines[3].problems


def test_ranges_of_hundreds_of_rounds_are_read() -> None:
    """Rounds 3 to 300 are 298 rounds."""
    proof = proof_read(f"{START}Rnds 3-300: 12 sc (12)\nRnd 301: dec x 6 (6)")
    assert proof.clean
    assert len(proof.lines[2].counts) == 298


def test_a_range_with_its_dash_is_that_range_and_no_other() -> None:
    """A remark that tells rounds again once made 15-20 a range of 1 to 5 whose dash was lost."""
    rounds = "Rnds 3-14: 12 sc (12)\nRnds 15-20 (6 rounds): 12 sc (12)\n"
    proof = proof_read(f"{START}{rounds}\nRounds 10 to 14 bend: 5 sl st, 7 hdc\n")
    assert proof.clean
    assert [len(line.counts) for line in proof.lines] == [1, 1, 12, 6]


def test_a_last_line_of_its_own_belongs_to_the_round_before() -> None:
    """A wrapped "sc (24)" is no round by itself."""
    broken = "Rnd 4: (sc, inc, sc) x 5, sc, inc,\n    sc (24)"
    text = f"{START}Rnd 3: (sc, inc) x 6 (18)\n{broken}\nRnd 5: 24 sc (24)"
    assert [line.made for line in proof_read(text).lines] == [6, 12, 18, 24, 24]


@pytest.mark.parametrize(
    "note",
    [
        "Round 3 hangs slack: too many stitches for its place.",
        "- Round 1 has fewer than 4 stitches, as a tip so fine asks.",
        "Without a magic ring: chain 2 and work the 6 sc of round 1 into the second chain from the hook.",
        "Check: 4 rounds = 2 cm.",
        "2 rounds, 2 first, hang slack.",
        "- Round 2 moves the part aside: inc, 4 sc, 2 dec, 4 sc, inc; it leans towards the increases.",
        "- Rounds 2 and 3 are worked tightly, 12 sc each.",
        "- Rounds 2 to 3 bend the part, alike: 3 sl st, 2 sc, 5 dc, 2 sc; the\n  slip stitches are inside.",
        "- Round 3 bends the part: 3 sl st, 2 sc, 5 dc, 2 sc; the slip stitches are its inside.",
        "- 19.8 mm (3/4 in) high, 27 mm (1 1/16 in) wide, give or take 1.0 mm.",
    ],
)
def test_notes_are_no_rounds(note: str) -> None:
    """Sentences about rounds stand behind the rounds and change nothing."""
    proof = proof_read(f"{START}Rnd 3: 12 sc (12)\n\n{note}\n")
    assert [line.made for line in proof.lines] == [6, 12, 12]
    assert proof.clean


@pytest.mark.parametrize(("last", "finish"), [(12, Finish.CINCHED), (13, Finish.OPEN)])
def test_an_edge_of_twelve_is_drawn_in_and_one_of_thirteen_is_not(last: int, finish: Finish) -> None:
    """Where the page says nothing of it (common practice, no source)."""
    text = f"Rnd 1: {last} sc in MR ({last})\nRnd 2: sc in each st ({last})\n"
    assert [one.piece.finish for one in converted(proof_read(text)) if one.piece] == [finish]


def test_rounds_told_once_for_all_are_in_the_piece() -> None:
    """Where "all even rounds" are told at once they stand between the others, plain."""
    told = ("Rnd 2 and all even rnds: sc around", "Rnd 3: inc x 6 (12)", "Rnd 5: (sc, inc) x 6 (18)")
    text = "\n".join(("Rnd 1: 6 sc in MR (6)", *told))
    (one,) = converted(proof_read(text))
    assert one.piece is not None
    assert one.piece.counts == (6, 6, 12, 12, 18)


def test_the_second_of_two_sizes_is_proof_read_too() -> None:
    """A count that is wrong in one size alone is told."""
    start = "Rnd 1: 6 (8) sc in MR - 6 (8) sts\n"
    text = start + "Rnd 2: inc in each st - 12 (15) sts\nRnd 3: sc around - 12 (16) sts"
    assert _kinds(text) == [set(), {"count"}, set()]


def test_planted_mistakes_are_caught_at_their_line() -> None:
    """A sample of digits, multipliers, lines left out and swapped: the whole is in tests/bench."""
    seen = [
        judged(mutant, proof_read(mutant.text))
        for page in [one for one in pages() if one.clean][::5]
        for mutant in islice(mutants(page), 3, None, 24)
    ]
    caught, near, right = (sum(column) for column in zip(*seen, strict=True))
    assert len(seen) > 40
    assert caught >= 0.95 * len(seen)
    assert near >= 0.93 * len(seen)
    assert right >= 0.75 * len(seen)


def test_remarks_put_in_at_random_are_not_accused() -> None:
    """A sample of clean pages with remarks behind, before and between the rounds; all in tests/bench."""
    rng = random.Random(4)
    lines = accused = 0
    for page in [one for one in pages() if one.clean and one.language == "en"][::5]:
        proof = proof_read(spoilt(page, rng))
        lines += len(proof.lines)
        accused += sum(bool(line.problems) for line in proof.lines)
    assert lines > 120
    assert accused <= 0.015 * lines


def test_a_line_read_in_part_is_taken_at_its_word_where_plain_ones_are_accused() -> None:
    """Words that nobody knows, far off: no accusation, and its count goes on; a plain line is told."""
    page = START + "Rnd 3: {} (18)\nRnd 4: (2 sc, inc) x 6 (24)"
    strange = proof_read(page.format("dolly up the sc by grommets, flurp 2"))
    assert not any(line.problems for line in strange.lines)
    assert strange.lines[2].made == 18
    assert "Read in part" in strange.lines[2].notes[0]
    assert _kinds(page.format("4 sc"))[2] >= {"consumes", "count"}


def test_one_line_of_rounds_among_talk() -> None:
    """A page whose rounds share one line: what else names stitches there is talk."""
    page = (
        "Skill: the basic stitch, increases and decreases, in a spiral.\n"
        "Tension: 14 stitches and 16 rounds to 10 cm, worked in rounds.\nTen stitches are 70 mm.\n"
        "A number before a stitch says how many of it to work: 3 dc is one in each of the next 3 stitches.\n"
        "UK terms.\nChain 40, leaving a long tail for sewing. Join it into a ring with a slip stitch in the "
        "first chain.\nRnds 1-12 (12 rounds): 40 dc (40)\nFasten off, leaving a long tail for sewing.\n"
    )
    (line,) = proof_read(page).lines
    assert (line.rounds, line.made, line.problems) == (tuple(range(1, 13)), 40, ())


@pytest.mark.parametrize(
    "line", ["Rnd 3 (RS)", "Rnd 3: (optional)", "Rnd 3 (photo 3):", "Rnd 3 (white)", "Rnd 3 ()"]
)
def test_a_line_of_remarks_alone(line: str) -> None:
    """A label with nothing behind it but a remark in brackets is borne, and no round is made up of it."""
    lines = proof_read(f"{START}{line}\nRnd 4: 12 sc (12)\n").lines
    assert [one.made for one in lines if one.made] == [6, 12, 12]
