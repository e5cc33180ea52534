"""Reading and proof-reading the corpus: invented parts in the notations that makers use."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

import pytest

from solver.notation.proof import Proof, ProofLine, proof_read
from tests.notation.corpus import Page, Truth, pages, small_pages, wordings

PAGES = pages()


def _judged(page: Page, proof: Proof) -> Iterator[tuple[Truth, list[ProofLine], int]]:
    """Yield the truth about each line with the lines that were read there (a round may go over several)."""
    found: dict[int, list[ProofLine]] = {}
    for line in proof.lines:
        covered = range(line.line, line.line + line.text.count("\n") + 1)
        key = max((number for number in covered if number in page.truth), default=line.line)
        found.setdefault(key, []).append(line)
    for number, truth in page.truth.items():
        yield truth, found.pop(number, []), number
    for number, lines in found.items():
        yield Truth((), ()), [line for line in lines if line.made is not None or line.problems], number


def test_the_corpus_is_as_large_as_it_claims_to_be() -> None:
    """The corpus has at least 120 lines with rounds in at least 40 notations, and mistakes of every kind."""
    assert len(PAGES) >= 40
    assert sum(len(page.truth) for page in PAGES) >= 120
    kinds = {kind for page in PAGES for truth in page.truth.values() for kind in truth.kinds}
    assert kinds == {"count", "consumes", "repeat", "numbering", "range", "terms", "unread"}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.notation)
def test_every_line_makes_what_it_truly_makes_and_only_mistakes_are_flagged(page: Page) -> None:
    """Clean lines come out clean with their count, planted mistakes are named, remarks pass."""
    for truth, lines, number in _judged(page, proof_read(page.text)):
        where = f"line {number}: {page.text.splitlines()[number - 1]}"
        assert tuple(line.made for line in lines if line.made is not None) == truth.made, where
        kinds = {problem.kind for line in lines for problem in line.problems}
        if truth.kinds:
            assert set(truth.kinds) <= kinds, where
        else:
            assert not kinds, where


@pytest.mark.parametrize("page", [page for page in PAGES if page.language != "en"], ids=lambda p: p.notation)
def test_the_language_is_told_from_the_words(page: Page) -> None:
    """A page is read with the word table of its language."""
    assert proof_read(page.text).language == page.language


def test_single_wordings_are_read() -> None:
    """Each wording of a round uses the stitches that are there and makes what it says."""
    wrong = []
    for there, text, made in wordings():
        proof = proof_read(f"Rnd 4: {there} sc ({there})\nRnd 5: {text}\nRnd 6: sc around ({made})")
        line = next((line for line in proof.lines if line.line == 2), None)
        if line is None or line.made != made or not proof.clean:
            wrong.append(
                (text, line and line.made, [problem for one in proof.lines for problem in one.problems])
            )
    assert not wrong


def test_short_pages_are_read() -> None:
    """Labels, starts and languages of every kind are read, and nothing in them is flagged."""
    wrong = []
    for text, made in small_pages():
        proof = proof_read(text)
        if [line.made for line in proof.lines if line.made is not None] != made or not proof.clean:
            wrong.append((text, proof.lines))
    assert not wrong


# ---- traps -------------------------------------------------------------------------------------------------


def _line(text: str, number: int) -> ProofLine:
    return next(line for line in proof_read(text).lines if line.line == number)


def test_a_repeat_from_a_star_means_so_many_times_more() -> None:
    """One star and 5 times is six times in all, two stars and 6 times is six too (common practice)."""
    start = "Rnd 1: 18 sc in MR (18)\n"
    once = _line(start + "Rnd 2: *2 sc, inc; rep from * 5 times (24)", 2)
    both = _line(start + "Rnd 2: *2 sc, inc* repeat 6 times (24)", 2)
    assert (once.made, both.made) == (24, 24)
    assert once.notes == ("Taken as: once, then 5 more.",)
    assert not once.problems
    assert not both.problems


def test_a_doubtful_2sc_is_settled_by_the_count() -> None:
    """Two stitches in a row or two in one: what makes the count come out is taken, and told."""
    plain = _line("Rnd 1: 6 sc in MR (6)\nRnd 2: inc x 6 (12)\nRnd 3: (2sc, inc) x 4 (16)", 3)
    in_one = _line("Rnd 1: 6 sc in MR (6)\nRnd 2: 2sc in each (12)\nRnd 3: (sc, 2sc) x 6 (18)", 3)
    assert (plain.made, in_one.made) == (16, 18)
    assert in_one.notes == ("Taken as: 2sc means 2 in one.",)


@pytest.mark.parametrize(
    ("following", "number"), [("(3 sc, inc) x 6 (30)", 24), ("(4 sc, inc) x 5 (30)", 25)]
)
def test_after_a_wrong_count_the_number_that_the_next_line_follows_is_told(
    following: str, number: int
) -> None:
    """A wrong count is flagged on its own line alone, with the number that the next line uses."""
    text = f"Rnd 1: 18 sc in MR (18)\nRnd 2: (2 sc, inc) x 6 (25)\nRnd 3: {following}"
    proof = proof_read(text)
    assert [[problem.kind for problem in line.problems] for line in proof.lines] == [[], ["count"], []]
    assert f"The next line follows {number}" in proof.lines[1].problems[0].message


def test_declared_abbreviations_beat_the_usual_ones() -> None:
    """Where st is declared to be single crochet, 6 st are six single crochets."""
    text = "st = single crochet, i = increase\nR1: 6 st in MR (6)\nR2: 6 i (12)\nR3: (1 st, 1 i) x 6 (18)"
    proof = proof_read(text)
    assert [line.made for line in proof.lines] == [6, 12, 18]
    assert proof.clean


def test_two_stitches_of_one_word_declare_nothing() -> None:
    """A wrapped line's "hdc-inc" is one stitch, not hdc explained as an increase (our own page had it)."""
    text = "Rnd 1: 8 sc in MR (8)\nRnd 2: (hdc-inc, hdc,\nhdc, hdc-inc) x 2 (12)"
    assert proof_read(text).lines[1].counts == (12,)
    declared = "v-increase, a-decrease\nRnd 1: 6 sc in MR (6)\nRnd 2: 6 v (12)\nRnd 3: 6 a (6)"
    for page in (text, declared):
        proof = proof_read(page)
        assert proof.clean
        assert not any(line.fit is not None and line.fit.at_word for line in proof.lines)


def test_us_and_uk_are_declared_or_told_from_the_words() -> None:
    """Dc without sc is UK, dc on chains of 3 is US, and a declaration wins over both."""
    uk = proof_read("Rnd 1: 6 dc in magic loop (6)\nRnd 2: 2 dc in each dc (12)")
    us = proof_read(
        "Rnd 1: ch 3, 11 dc in ring (12 dc)\nRnd 2: ch 3, dc in same st, 2 dc in each st around (24)"
    )
    said = proof_read("US terms.\nRnd 1: 12 dc in ring (12)\nRnd 2: 2 dc in each (24)")
    assert [(one.terms, one.declared) for one in (uk, us, said)] == [
        ("UK", False),
        ("US", False),
        ("US", True),
    ]


def test_what_cannot_be_read_is_told_and_the_rest_is_still_checked() -> None:
    """A garbled line is unread; the wrong count two lines on is still found."""
    text = "Rnd 1: 6 sc in MR (6)\nRnd 2: flurb it\nRnd 3: (sc, inc) x 6 (18)\nRnd 4: (2 sc, inc) x 6 (25)"
    kinds = [[problem.kind for problem in line.problems] for line in proof_read(text).lines]
    assert kinds == [[], ["unread"], [], ["count"]]


def test_the_place_that_is_marked_is_the_place_in_the_original() -> None:
    """The columns of a finding point at the wrong number, whatever look-alikes stand before it."""
    text = "Rnd 1: 6 sc in ﬁrst MR (6)\nRnd 2: İnc х 6 (13)"
    line = _line(text, 2)
    (problem,) = line.problems
    assert line.text[problem.start : problem.end] == "(13)"
    assert problem.mended == "Rnd 2: İnc х 6 (12)"


# ---- planted mistakes --------------------------------------------------------------------------------------


def _spoilt(page: Page) -> Iterator[tuple[str, int, str, str]]:
    """Yield a clean page with one mistake planted: its text, the line, what it was, the kind to be told."""
    proof = proof_read(page.text)
    lines = page.text.split("\n")
    single = [line for line in proof.lines if lines[line.line - 1].strip() == line.text.strip()]
    for before, line in pairwise(single):
        place = line.line - 1
        old = lines[place]
        counts = list(re.finditer(rf"(?<!\d){line.stated}(?!\d)", old)) if line.stated else []
        if counts and (len(counts) == 1 or counts[-1].end() > len(old) - 6):
            at = counts[-1]
            for wrong in (line.stated + 1, line.stated - 1, line.stated * 2):
                yield (
                    _with(lines, place, f"{old[: at.start()]}{wrong}{old[at.end() :]}"),
                    line.line,
                    old,
                    "count",
                )
        times = re.search(r"(?:[)\]*]\s?[x×*]\s?)(\d+)(?!\d)|(?<!\d)(\d+) times", old)
        if times:
            group = 1 if times[1] else 2
            wrong = f"{old[: times.start(group)]}{int(times[group]) + 1}{old[times.end(group) :]}"
            yield _with(lines, place, wrong), line.line, old, "repeat"
        alone = len(line.rounds) == len(before.rounds) == 1 and line.part == before.part
        if alone and line.label and before.label and line.label != before.label:
            yield (
                _with(lines, place, re.sub(r"\d+", str(before.rounds[0]), old, count=1)),
                line.line,
                old,
                "numbering",
            )


def _with(lines: list[str], place: int, wrong: str) -> str:
    return "\n".join([*lines[:place], wrong, *lines[place + 1 :]])


def test_planted_mistakes_are_caught_and_the_mend_restores_the_original() -> None:
    """Of wrong counts, multipliers and labels at least 98 % are caught, and 80 % of the mends restore."""
    planted = caught = named = mended = 0
    for page in [page for page in PAGES if page.clean][::14]:
        for text, number, old, kind in _spoilt(page):
            problems = [
                one for line in proof_read(text).lines if line.line == number for one in line.problems
            ]
            planted += 1
            caught += bool(problems)
            named += any(problem.kind == kind for problem in problems)
            mended += any(problem.mended.strip() == old.strip() for problem in problems)
    assert planted > 200
    assert caught >= 0.98 * planted
    assert named >= 0.95 * planted
    assert mended >= 0.80 * planted


def test_a_round_left_out_is_missed_and_told() -> None:
    """Where a label is skipped the missing round is named, and offered where a plain repeat leads across."""
    text = "Rnd 1: 6 sc in MR (6)\nRnd 2: inc x 6 (12)\nRnd 4: (2 sc, inc) x 6 (24)"
    (problem,) = _line(text, 3).problems
    assert (problem.kind, problem.fix) == ("numbering", "Round 3: (sc, inc) x 6 (18)")


BROKEN = {
    "a short line that ends with an article": """Round 1: 6 single crochets in a magic ring, 6 stitches.
Round 2: increase in the next stitch,
single crochet in the
next 5 stitches, 7 stitches in all.
""",
    "the turn at the end of a chain": """Chain 4.
Rnd 1: 4 sc in the second ch from
the hook, sc in the next ch,
4 sc in the last ch, turn to the
other side of the ch:
sc in the next ch (10)
Rnd 2: (inc, sc, inc, 2 sc) x 2 (14)
""",
    "a number behind the turn": """Chain 4.
Round 1: 4 single crochets in the
second chain from the hook,
1 single crochet in the next chain,
4 single crochets in the last chain,
turn to the other side of the chain:
1 single crochet in the next chain,
10 stitches in all.
""",
    "a short line in a round that was broken before (German)": """4 Luftmaschen anschlagen.
Rd 1: 4 fM in die zweite Lm ab
der Nadel, 1 fM in die nächste Lm,
4 fM in die letzte Lm, weiter auf der
anderen Seite
der Luftmaschenkette: 1 fM in die
nächste Lm (10)
""",
    "a line that alone would found a chain (Portuguese)": """Faça 12 correntes.
carr 1: 4 pb na segunda corr
a partir da agulha, 1 pb em cada
uma das próximas 9 corr,
4 pb na última corr, continuar do
outro lado da corrente: 1 pb em
cada uma das próximas 9 corr (26)
""",
    "a gauge among numbered rounds (Spanish)": """Muestra: 22 puntos y 23 vueltas en 10 cm (4 in), en redondo.
V 1: 6 pb en un anillo mágico (6)
V 2: aum x 6 (12)
""",
}
"""Pages as a narrow column breaks them. Invented."""


@pytest.mark.parametrize("page", BROKEN.values(), ids=BROKEN)
def test_rounds_broken_to_fit_a_column_are_joined(page: str) -> None:
    """Nothing is wrong, and each round ends with what it states."""
    proof = proof_read(page)
    assert proof.clean
    rounds = [line for line in proof.lines if line.label]
    assert all(line.made == line.stated is not None for line in rounds)
    assert {line.part for line in proof.lines} == {0}


def test_the_chain_between_two_legs_founds_nothing() -> None:
    """However its sentence is broken, a round that goes round both legs is not worked along that chain."""
    text = (
        "Den Faden in Masche 12 des\nzweiten Beins anschlingen,\n4 Luftmaschen anschlagen und in\n"
        "Masche 6 des ersten Beins weiterhäkeln.\nRd 1: 13 fM um das erste Bein,\n4 fM entlang "
        "der Luftmaschenkette,\n13 fM um das zweite Bein,\n4 fM entlang der anderen Seite (34)\n"
        "Rd 2: 34 fM (34)\n"
    )
    proof = proof_read(text)
    assert proof.clean
    assert [line.made for line in proof.lines] == [34, 34]


def test_what_a_stitch_is_made_of_is_no_work_of_its_own() -> None:
    """UK "dc2inc" increases, "4-hdc bobble" is a stitch, "sc/inc all" is all round; scanned "s c" is sc."""
    uk = "Rnd 1: 6 dc in a ring (6)\nRnd 2 (dc2inc) six times [12dc]\nRnd 3 (dc1, dc2inc) six times [18dc]"
    bobble = "Rnd 1: 9 sc in MR (9)\nRnd 2: sc 4, 4-hdc bobble, sc 4 (9)"
    slashed = "R1 6sc in magic ring\nR2 inc all (12)\nR3 1sc/inc all (18)\nR4 2sc/inc all (24)"
    scanned = (
        "1st rnd: 6 s c in ring.\n2nd rnd: 2 s c in each s c (12 s c).\n"
        "3rd rnd: * S c in next s c, 2 s c in next s c. Repeat from * around (18 s c)."
    )
    for page, counts in (
        (uk, [6, 12, 18]),
        (bobble, [9, 9]),
        (slashed, [6, 12, 18, 24]),
        (scanned, [6, 12, 18]),
    ):
        proof = proof_read(page)
        assert [line.made for line in proof.lines] == counts
        assert proof.clean
        assert not any(line.fit is not None and line.fit.at_word for line in proof.lines)


def test_a_line_of_abbreviations_is_no_round_and_number_words_explain_in_every_language() -> None:
    """Two or more words explained one after the other work nothing; "dwa" is two, in Polish."""
    page = "MR = magic ring, inc = 2 sc in one stitch, dec = invisible decrease\nRnd 1: 6 sc in MR (6)"
    assert [line.rounds for line in proof_read(page).lines] == [(1,)]
    polish = (
        "psł – półsłupek, qw – dwa półsłupki w jedno oczko, qm – dwa półsłupki razem\n"
        "Okr. 1: 6 psł w magicznym kółku (6)\nOkr. 2: 6 qw (12)\nOkr. 3: 6 qm (6)"
    )
    proof = proof_read(polish)
    assert [line.made for line in proof.lines] == [6, 12, 6]
    assert proof.clean


@pytest.mark.parametrize(
    "line",
    ["~ Rnds 3-5: 12 sc (12)", "*Rnd 3-5: 12 sc (12)", "| Rnd 3 to 5: 12 sc (12)", "• Rnds 3-5: 12 sc (12)"],
)
def test_a_range_is_one_behind_any_sign(line: str) -> None:
    """A star or a wave before the label of a range is no part of the work; so are number signs."""
    signed = proof_read("#1 6 sc in MR (6)\n#2 inc x 6 (12)\n#3-#5 12 sc (12)")
    assert (signed.lines[-1].rounds, signed.clean) == ((3, 4, 5), True)
    proof = proof_read(f"Rnd 1: 6 sc in MR (6)\nRnd 2: inc x 6 (12)\n{line}")
    assert (proof.lines[-1].rounds, proof.lines[-1].made) == ((3, 4, 5), 12)
    assert proof.clean


@pytest.mark.parametrize(
    ("page", "counts"),
    [
        (
            "Round 1. 6 sc in magic ring = 6. A tiny wheel.\nRound 2. 2 sc in each st = 12. It doubles.",
            [6, 12],
        ),
        ("RND 1 - Ch 1, 7 sc in ring - 7 sc. Do not join.\nRND 2 - 2 sc in each sc - 14 sc.", [7, 14]),
        ("R1 6 sc mr 6\nR2 inc 6x 12\nR3 sc inc 6x 18", [6, 12, 18]),
        ("R1:6sc in MR(6)\nR2:inc around(12)\nR3~R5:sc around(12)\nR6:(sc,inc)x6(18)", [6, 12, 12, 18]),
    ],
)
def test_a_count_stands_before_a_remark_or_behind_a_number_of_times(page: str, counts: list[int]) -> None:
    """Counts without brackets before a sentence, behind "6x", with waves in ranges."""
    proof = proof_read(page)
    assert [line.made for line in proof.lines] == counts
    assert proof.clean


@pytest.mark.parametrize(
    ("line", "read_in_part"),
    [
        (
            "ch 3, join to leg 1 with a sc in any st, 11 sc on leg 1, 3 sc in ch, 12 sc on leg 2, 3 sc in ch",
            False,
        ),
        (
            "ch 3, attach to other leg with sc, 11 sc, sc in each ch, sc in each st of leg 2, sc in each ch",
            True,
        ),
    ],
)
def test_legs_joined_by_a_stitch(line: str, *, read_in_part: bool) -> None:
    """The single crochet that joins is the first on its leg; "in each" of two things says no number."""
    page = (
        f"LEG\nRnd 1: 6 sc in MR (6)\nRnd 2: inc x 6 (12)\n\nBODY\nRnd 3: {line} (30)\nRnd 4: sc around (30)"
    )
    proof = proof_read(page)
    assert [one.made for one in proof.lines][-2:] == [30, 30]
    assert proof.clean
    fit = proof.lines[-2].fit
    assert fit is not None
    assert fit.at_word == read_in_part


def test_a_label_with_nothing_but_an_aside_goes_on_in_the_next_line() -> None:
    """Where "Row 1 (right side):" ends the line, in large print, the row is worked from the lines below."""
    page = (
        "Chain 7.\nRow 1 (right side):\n1 sc in the second chain\nfrom the hook, 1 sc in\n"
        "each of the next 5 chains (6)\nRow 2: 6 sc (6)"
    )
    assert [(line.rounds, line.made) for line in proof_read(page).lines][-2:] == [((1,), 6), ((2,), 6)]
