"""Rounds from a text, made ready for their form: what `preview`, `compare`, `resize` and `gauge` share."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from solver.errors import InputError, Problem

if TYPE_CHECKING:
    from solver.rounds import Finish, Piece

LEAST_ROUNDS = 3
"""Of a ball."""

UNCHANGED = 1e-3
"""A size that differs by less is the same. [mm]"""

SAME_FORM = "Its form is that of the solved rounds."

_FITS = {
    "seamed": ("seamed",),
    "cinched": ("cinched",),
    "closed": ("seamed", "cinched"),
    "opened": ("open",),
    "open": ("open",),
}
_SAYS = {
    "seamed": "sews the last edge flat",
    "cinched": "draws the last edge to a point",
    "closed": "closes the last edge",
    "opened": "leaves the last edge open",
    "open": "leaves the last edge open",
}

part_number = click.option(
    "--part",
    "number",
    type=click.IntRange(min=1),
    default=1,
    show_default=True,
    help="Which part of a page that holds several.",
)
"""Which part of a page to take."""


@dataclass(frozen=True, slots=True)
class Written:
    """The rounds of one part of a page.

    Attributes
    ----------
    counts : tuple of int
        Stitches in each round.
    piece : Piece or None
        The piece; None where the rounds do not add up.
    reason : str
        Why there is no piece.
    notes : tuple of str
        For the maker.
    wrong : tuple of int
        Lines, from 1, where something is wrong or can't be read.
    parts : int
        How many parts the page has.
    chain : int
        Chains that round 1 is worked along; 0 for another start.
    ending : str
        What the page says of the last edge: "seamed", "cinched", "closed", "opened", "open", or "".
    terms : str
        "US" or "UK", as the page has it; empty for languages with one set of terms.
    joined : bool
        Whether its rounds are joined with a slip stitch, and so do not lean.
    """

    counts: tuple[int, ...]
    piece: Piece | None
    reason: str
    notes: tuple[str, ...]
    wrong: tuple[int, ...]
    parts: int
    chain: int = 0
    ending: str = ""
    terms: str = ""
    joined: bool = False

    @property
    def where(self) -> str:
        """The lines where something is wrong, in words."""
        lines = ", ".join(str(line) for line in self.wrong)
        return f"line {lines}" if len(self.wrong) == 1 else f"lines {lines}"


def written(file: Path, *, number: int = 1) -> Written:
    """Read one part of a page of rounds.

    Parameters
    ----------
    file : Path
        Plain text.
    number : int
        Which part, from 1.

    Raises
    ------
    InputError
        If the page can't be read or has no such part.
    """
    from solver.files.pagetext import page_text
    from solver.notation.convert import converted
    from solver.notation.joins import joined_parts
    from solver.notation.proof import proof_read

    page = page_text(file)
    proof = proof_read(page)
    parts = [
        one for one in converted(proof) if any(line.counts for line in proof.lines if line.part == one.part)
    ]
    if number > len(parts):
        rule = "the page has rounds that can be read" if not parts else f"the page has a part {number}"
        got = f"{len(parts)} part{'s' if len(parts) != 1 else ''}"
        raise InputError(Problem(rule, got=got, file=str(file)))
    one = parts[number - 1]
    lines = [line for line in proof.lines if line.part == one.part]
    counts = tuple(count for line in lines for count in line.counts)
    wrong = tuple(line.line for line in lines if line.problems)
    chain = next((line.chain for line in lines if line.begun == "chain"), 0)
    ending = proof.endings[one.part] if one.part < len(proof.endings) else ""
    joined = joined_parts(proof, page)[one.part]
    read = Written(
        counts, one.piece, one.reason, one.notes, wrong, len(parts), chain, ending, proof.terms, joined
    )
    if not wrong:
        return read
    note = f"Something is wrong on {read.where}: plumpline proof {file} tells what."
    return replace(read, notes=(*one.notes, note))


def written_ball(file: Path, *, number: int | None = None) -> Written:
    """Read the rounds of a ball that was stuffed and measured.

    Parameters
    ----------
    file : Path
        Plain text.
    number : int, optional
        Which part of the page it is, from 1; left out: the page holds no other.

    Raises
    ------
    InputError
        If the page can't be read, if something is wrong with a line of it, or if the part is no ball worked
        from a ring and drawn to a point.
    """
    from solver.rounds import Finish, Start
    from solver.rounds.evenness import alike_all_round

    page = written(file, number=number or 1)
    if number is None and page.parts > 1:
        remedy = f"Say which of them is the ball that you measured: --part 1 to --part {page.parts}."
        rule = "a page for a stuffed ball holds one part"
        raise InputError(Problem(rule, got=f"{page.parts} parts", remedy=remedy, file=str(file)))
    piece = page.piece
    proof = f"plumpline proof {file} tells what is wrong and what mends it."
    ball = "measure a ball that is worked from a ring and drawn to a point."
    if piece and piece.start is Start.CHAIN:
        got, remedy = "rounds along both sides of a chain, an oval", ball.capitalize()
    elif piece and piece.start is Start.OPEN:
        got, remedy = "rounds that begin in a joined chain, an open end", ball.capitalize()
    elif page.wrong:
        got, remedy = f"something wrong on {page.where}", proof
    elif piece is None:
        got, remedy = page.reason, proof
    elif piece.finish is not Finish.CINCHED:
        what = "sewn flat" if piece.finish is Finish.SEAMED else "left open"
        got = f"a last edge of {piece.counts[-1]} stitches that is {what}"
        remedy = f"Give all its rounds, up to the one that is drawn in; or, where it is not: {ball}"
    elif not alike_all_round(piece):
        got = "increases or decreases gathered on one side, which make no ball"
        remedy = "Measure a ball whose shaping is spread evenly round it."
    elif len(piece.counts) < LEAST_ROUNDS:
        got, remedy = f"{len(piece.counts)} rounds", f"Give all its rounds, {LEAST_ROUNDS} at least."
    else:
        return replace(page, notes=(*page.notes, *_other_heights(piece)))
    rule = "a stuffed ball's rounds add up, from a ring to a last edge that is drawn to a point"
    raise InputError(Problem(rule, got=got, remedy=remedy, file=str(file)))


def _other_heights(piece: Piece) -> Iterator[str]:
    """Yield that a ball is taken as worked in single crochet where it has other stitches."""
    from solver.rounds import Stitch

    plain = {Stitch.SC, Stitch.INC, Stitch.INC3, Stitch.DEC, Stitch.DEC3}
    other = sorted({str(stitch) for this in piece.rounds for stitch in this.stitches} - set(map(str, plain)))
    if other:
        yield (
            f"The ball has stitches of other heights ({', '.join(other)}), and it is measured as if all were "
            "single crochet. A ball of single crochet is surer."
        )


def added_up(read: Written, file: Path) -> Piece:
    """Return the piece that was read.

    Raises
    ------
    InputError
        If its rounds do not add up.
    """
    if read.piece is None:
        remedy = f"Mend them first: plumpline proof {file} tells where."
        raise InputError(Problem("the rounds add up", got=read.reason, remedy=remedy, file=str(file)))
    return read.piece


def piece_or_counts(read: Written, ours: Piece, file: Path) -> Piece:
    """Return rounds that were read, finished as the solved ones are.

    Where round ones do not add up, their counts shaped evenly: their form is near to what was meant.

    Raises
    ------
    InputError
        If oval rounds do not add up.
    """
    from solver.rounds import Start
    from solver.rounds.shaping import shaped_piece

    if read.piece is not None or ours.start is Start.CHAIN:
        return replace(added_up(read, file), finish=ours.finish)
    foundation = read.counts[0] if ours.start is Start.OPEN else 0
    return shaped_piece(list(read.counts), start=ours.start, finish=ours.finish, foundation=foundation)


def notes_beside(read: Written, finish: Finish) -> Iterator[str]:
    """Yield what to say of rounds whose form is worked with the last edge of a part file."""
    from solver.notation.convert import SEWN

    yield from (note for note in read.notes if note != SEWN)
    if read.ending and finish not in _FITS[read.ending]:
        yield (
            f'The page {_SAYS[read.ending]}, and the part file has finish = "{finish}": the form is worked '
            "as the part file has it. Change finish there if the page is right."
        )


def changed_rounds(edited: tuple[int, ...], solved: tuple[int, ...]) -> Iterator[str]:
    """Yield, as sentences, where edited counts differ from the solved ones."""
    if len(edited) != len(solved):
        same = _alike(edited, solved)
        many = f"The page has {len(edited)} rounds, the solved part {len(solved)}"
        yield f"{many}: they part at round {same + 1}."
        # Shifted by a round or two: a list of counts side by side would tell nothing.
        again = _alike(edited[same:][::-1], solved[same:][::-1])
        if again:
            yield f"Counted from the end, {again} {'round is' if again == 1 else 'rounds are'} the same."
        return
    told = 0
    for number, (mine, ours) in enumerate(zip(edited, solved, strict=True), start=1):
        if mine != ours and told < 12:
            yield f"Round {number} has {mine} stitches, the solved part {ours}."
            told += 1


def _alike(one: tuple[int, ...], other: tuple[int, ...]) -> int:
    """Return how many counts at the beginning are the same."""
    return next(
        (i for i, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other))
    )
