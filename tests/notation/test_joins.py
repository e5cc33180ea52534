"""Pages of joined rounds told from spirals; joins as makers write them (common practice)."""

import pytest

from solver.notation.joins import joined_parts
from solver.notation.proof import proof_read
from solver.notation.writer import standing_notes, write_rounds
from solver.rounds import Finish, Start
from solver.rounds.shaping import shaped_piece

TABLES = ["US", "UK", "de", "es", "fr", "ja", "nl", "pt", "ru", "vi"]
JOINED = """Rnd 1: 6 sc in MR, sl st to join (6)
Rnd 2: ch 1, inc x 6, join with sl st to first sc (12)
Rnd 3: ch 1, (sc, inc) x 6, sl st in first sc, ch 1 (18)
Rnd 4: sc in each st around. Join. Ch 1. (18)
"""
SPIRAL = """Rnd 1: 6 sc in MR (6)
Rnd 2: inc x 6 (12)
Rnd 3: 5 sc, 2 sl st, 5 sc (12)
Rnd 4: 12 sc, sl st in next st, fasten off (12)
"""


@pytest.mark.parametrize(("page", "joins"), [(JOINED, True), (SPIRAL, False)])
def test_as_strangers_write_it(page: str, joins: bool) -> None:
    """By the ends of most rounds; slip stitches that are worked, and one at the very end, join nothing."""
    found = proof_read(page)
    assert not [one for line in found.lines for one in line.problems]
    assert joined_parts(found, page) == (joins,)


@pytest.mark.parametrize("terms", TABLES)
@pytest.mark.parametrize("joins", [True, False])
def test_as_we_write_it(terms: str, joins: bool) -> None:
    """Said once in the notes, in every language; the rounds read back as they are."""
    piece = shaped_piece([6, 12, 18, 18, 12, 6], start=Start.RING, finish=Finish.CINCHED)
    rounds = "\n".join(line.text for line in write_rounds(piece, terms=terms))
    notes = standing_notes(piece, terms=terms, joined=joins)
    page = "\n".join([rounds, "", *(f"- {note}" for note in notes)])
    found = proof_read(page)
    counts = tuple(count for line in found.lines for count in line.counts)
    assert counts == piece.counts
    assert not [one for line in found.lines for one in line.problems]
    assert joined_parts(found, page) == (joins,)
