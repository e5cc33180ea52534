"""What becomes of the last edge, as makers say it; and written ovals read back whole."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.notation.convert import converted
from solver.notation.proof import proof_read
from solver.notation.words import words
from solver.notation.writer import standing_notes, write_rounds
from solver.rounds import Begin, Finish, Increases, Piece, Round, Start, Stitch
from solver.rounds.along_chain import END_STITCHES, flat_end, oval_piece

#: Tables with sentences of their own for short lines.
LANGUAGES = ("de", "fr", "es", "pt", "nl", "ru")

POD = (
    "Chain 9\n"
    "Rnd 1: 4 sc in 2nd ch from hook, 6 sc, 4 sc in last ch, on other side of chain: 6 sc (20)\n"
    "Rnd 2: (4 inc, 6 sc) x 2 (28)\n"
    "Rnds 3-6: sc around (28)\n"
    "Rnd 7: (4 dec, 6 sc) x 2 (20)\n"
)
BALL = "Rnd 1: 6 sc in MR (6)\nRnd 2: inc x 6 (12)\nRnd 3: (sc, inc) x 6 (18)\n"


def piece_of(text: str) -> Piece:
    """Return the one piece of a page that is clean."""
    proof = proof_read(text)
    assert proof.clean, [problem for line in proof.lines for problem in line.problems]
    (one,) = converted(proof)
    assert one.piece is not None, one.reason
    return one.piece


@pytest.mark.parametrize(
    ("said", "finish"),
    [
        ("Rnd 8: fold flat, sc both sides together (10)", Finish.SEAMED),
        ("Rnd 8: 10 sc through both layers (10)", Finish.SEAMED),
        ("Fold, sc both sides together (10 sc). FO.", Finish.SEAMED),
        ("Fold flat, sew the 10 stitches of each side together.", Finish.SEAMED),
        ("Stuff firmly.\nFO, leaving a long tail for sewing.\nSew shut flat.", Finish.SEAMED),
        ("Flatten the opening and sew it closed.", Finish.SEAMED),
        ("Whipstitch the opening closed.", Finish.SEAMED),
        ("Sew the opening closed.", Finish.SEAMED),
        ("Thread the tail through the front loops of the last 20 sts and pull tight.", Finish.CINCHED),
        ("FO, leaving a long tail for sewing.", Finish.OPEN),
        ("Do not sew shut flat.", Finish.OPEN),
        ("FO.\nTo finish:\nFold the fins flat and sew them on.", Finish.OPEN),
        ("", Finish.OPEN),
    ],
)
def test_edge_of_an_oval_is_read_from_what_is_said(said: str, finish: Finish) -> None:
    """Common practice, no source: how makers say that an edge is sewn flat, drawn in or left open."""
    piece = piece_of(POD + said)
    assert piece.finish is finish
    assert piece.counts[-1] == 20


@pytest.mark.parametrize(
    ("said", "finish"),
    [
        ("Close the opening.", Finish.CINCHED),
        ("Fold flat and sew.", Finish.SEAMED),
        ("Leave a tail for sewing.", Finish.OPEN),
        ("", Finish.OPEN),
    ],
)
def test_edge_of_a_round_part_is_read_from_what_is_said(said: str, finish: Finish) -> None:
    """A wide edge that is closed somehow is drawn in on a round part; folded flat it is sewn."""
    assert piece_of(BALL + said).finish is finish


def test_few_stitches_are_drawn_in_unless_sewn() -> None:
    """Six stitches with a tail for sewing are drawn in; twelve stay open (common practice, no source)."""
    small = f"{BALL}Rnd 4: (sc, dec) x 6 (12)\n"
    assert piece_of(f"{small}FO, leave a tail for sewing.").finish is Finish.OPEN
    assert piece_of(f"{small}FO.").finish is Finish.CINCHED
    assert piece_of(f"{small}Rnd 5: dec x 6 (6)\nFO, leave a tail for sewing.").finish is Finish.CINCHED


def test_each_part_has_its_own_edge() -> None:
    """What is said behind one part's rounds is not taken for the next part's, nor the other way round."""
    proof = proof_read(f"Hull\n{POD}Fold flat and sew.\n\nFloat\n{BALL}Leave open.\n")
    pieces = [one.piece for one in converted(proof)]
    assert [piece and piece.finish for piece in pieces] == [Finish.SEAMED, Finish.OPEN]


def test_whole_other_side_and_then_the_end() -> None:
    """Where the round ends in the chain it began in, those stitches are found by what is left for it."""
    text = (
        "Ch 6\nRnd 1: sc in 2nd ch from hook, 3 sc, 3 sc in last ch, on other side of chain: 4 sc, "
        "3 sc in last ch (14)\nRnd 2: sc around (14)"
    )
    assert piece_of(text).ends == (1, 3, 4)


@st.composite
def ovals(draw: st.DrawFn) -> Piece:
    """Pieces on chains of 2 to 60, 3 to 5 in each end, up and down again, with every finish."""
    chain, end = draw(st.integers(2, 60)), draw(st.sampled_from(END_STITCHES))
    ends = list(flat_end(end, chain=chain, rounds=draw(st.integers(1, 5))))
    for step in draw(st.lists(st.integers(-4, 5), max_size=6)):  # then as the form may ask
        ends.append(max(min(ends[-1] + step, 3 * ends[-1]), -(-ends[-1] // 2), 2))
    return oval_piece(
        chain,
        ends,
        finish=draw(st.sampled_from(Finish)),
        begin=draw(st.sampled_from(Begin)),
        increases=draw(st.sampled_from(Increases)),
    )


@settings(max_examples=100, deadline=None)
@given(piece=ovals(), terms=st.sampled_from(["US", "UK"]), spelled=st.booleans())
def test_a_written_oval_reads_back_as_the_same_piece(piece: Piece, terms: str, spelled: bool) -> None:
    """Start, foundation, ends, every stitch and the finish come back from what is written."""
    text = "\n".join(line.text for line in write_rounds(piece, terms=terms, spelled=spelled))
    assert piece_of(text) == piece


@pytest.mark.parametrize("terms", [*LANGUAGES, "ja", "vi"])
@settings(max_examples=15, deadline=None)
@given(piece=ovals())
def test_an_oval_in_another_language_reads_back_whole(terms: str, piece: Piece) -> None:
    """Short lines of an oval, from its chain to its edge, come back in each language's own words."""
    text = "\n".join(line.text for line in write_rounds(piece, terms=terms))
    assert proof_read(text).language == terms
    assert piece_of(text) == piece


@pytest.mark.parametrize("terms", ["US", "UK", *LANGUAGES, "ja", "vi"])
def test_rows_that_are_folded_and_sewn_read_back(terms: str) -> None:
    """What is folded across a row is told apart, in each language, from what is left open."""
    steps = ((Stitch.INC, 6, Stitch.INC), (Stitch.SC, 8, Stitch.SC), (Stitch.DEC, 6, Stitch.DEC))
    rounds = (Round.plain(8), *(Round((a, *[Stitch.SC] * n, b)) for a, n, b in steps))
    for finish in (Finish.SEAMED, Finish.OPEN):
        piece = Piece(Start.ROWS, 8, rounds, finish)
        text = "\n".join(line.text for line in write_rounds(piece, terms=terms))
        assert piece_of(text) == piece


@pytest.mark.parametrize("terms", LANGUAGES)
def test_short_lines_fall_back_on_no_english(terms: str) -> None:
    """Every sentence of a written part and of its notes is the language's own."""
    own, english = words(terms), words("US")
    piece = oval_piece(9, (4, 8, 4), finish=Finish.SEAMED)
    ours = {line.text for line in write_rounds(piece, terms=terms)} | set(standing_notes(piece, terms=terms))
    theirs = {line.text for line in write_rounds(piece)} | set(standing_notes(piece))
    assert not ours & theirs
    for section, sentence in [("plain", f"finish_{finish}") for finish in Finish] + [
        ("plain", "start_joined"),
        ("notes", "no_ring"),
        ("plain", "top_up"),
    ]:
        assert own.say(section, sentence, n=6, half=3) != english.say(section, sentence, n=6, half=3)


def test_a_finish_broken_to_fit_a_column_is_read() -> None:
    """Sentences are joined before the first few lines behind the rounds are looked at. Invented."""
    text = "Rnd 1: 6 sc in a magic ring (6)\nRnd 2: inc x 6 (12)\n"
    flat = (
        "Stuff the piece through the open edge\nbefore you sew it.\nFasten off, leaving a long tail. Fold the"
    )
    assert proof_read(
        f"{text}{flat}\nlast round flat and sew the 6\nstitches of one\nside to those of the other."
    ).endings == ("seamed",)
    assert proof_read(f"{text}Fasten off, leaving a long tail for\nsewing.").endings == ("open",)
