"""From rounds as someone wrote them to our own model of a piece."""

from __future__ import annotations

from collections.abc import Sequence as Seq
from dataclasses import dataclass

from solver.errors import InputError
from solver.notation.instructions import Act
from solver.notation.proof import Proof, ProofLine
from solver.rounds import Finish, Piece, Round, Start, Stitch

_STITCH = {
    (1, 1): Stitch.SC,
    (1, 2): Stitch.INC,
    (1, 3): Stitch.INC3,
    (2, 1): Stitch.DEC,
    (3, 1): Stitch.DEC3,
}
#: Acts that leave no stitch: joins, turns, chains that are not counted.
_NOTHING = (0, 0)
#: An edge of so many stitches or fewer is drawn to a point (common practice, no source).
_CINCHED = 12


@dataclass(frozen=True, slots=True)
class Converted:
    """One part of a page as a piece.

    Attributes
    ----------
    part : int
        Its number on the page, from 0.
    piece : Piece or None
        The piece; None when it can't be made of these rounds.
    reason : str
        Why not, in a sentence.
    notes : tuple of str
        What was taken for single crochet, left out, or taken for granted.
    """

    part: int
    piece: Piece | None
    reason: str = ""
    notes: tuple[str, ...] = ()


def converted(proof: Proof) -> tuple[Converted, ...]:
    """Return every part of a page as a piece, where it can be one."""
    parts = sorted({line.part for line in proof.lines})
    return tuple(_converted(part, [line for line in proof.lines if line.part == part]) for part in parts)


def round_of(acts: Seq[Act]) -> Round | str:
    """Return one round in our model, or why it can't be told in it."""
    stitches: list[Stitch] = []
    skipped = 0
    for act in acts:
        if (act.uses, act.makes) == _NOTHING:
            continue
        if (act.uses, act.makes) == (1, 0):
            skipped += 1
            continue
        stitch = _STITCH.get((act.uses, act.makes))
        if stitch is None:
            return f"{act.makes} stitches from {act.uses} can't be told"
        if skipped:
            # A stitch skipped before a plain one is a decrease of the same size.
            stitch = {1: Stitch.DEC, 2: Stitch.DEC3}.get(skipped) if stitch is Stitch.SC else None
            if stitch is None:
                return "stitches are skipped"
            skipped = 0
        stitches.append(stitch)
    if skipped or not stitches:
        return "stitches are skipped" if skipped else "nothing is worked"
    return Round(tuple(stitches))


def _converted(part: int, lines: list[ProofLine]) -> Converted:
    rounds: list[Round] = []
    notes: list[str] = []
    tall = sorted(
        {act.stitch for line in lines for acts in line.stitches for act in acts}
        & {"hdc", "dc", "tr", "dtr", "slip", "fancy"}
    )
    if tall:
        notes.append(
            f"{', '.join(tall)} taken as single crochet: a form is worked out for single crochet alone."
        )
    worked = [line for line in lines if line.stitches]
    if not worked:
        return Converted(part, None, "no round of it was read")
    start, foundation, ends = _start(worked[0])
    for line in worked:
        for i, acts in enumerate(line.stitches):
            first = not rounds and start is not Start.OPEN
            made = sum(act.makes for act in acts)
            one = Round.plain(made) if first and made else round_of(acts)
            if isinstance(one, str):
                number = line.rounds[i] if i < len(line.rounds) else "?"
                return Converted(part, None, f"round {number}: {one}", tuple(notes))
            rounds.append(one)
    last = rounds[-1].count
    finish = Finish.CINCHED if last <= _CINCHED and start is not Start.CHAIN else Finish.OPEN
    try:
        try:
            piece = Piece(start, foundation, tuple(rounds), finish, ends)
        except InputError:
            if not ends:
                raise
            piece = Piece(start, foundation, tuple(rounds), finish)
    except InputError as error:
        return Converted(part, None, str(error).removesuffix("."), tuple(notes))
    return Converted(part, piece, "", tuple(notes))


def _start(first: ProofLine) -> tuple[Start, int, tuple[int, ...]]:
    if first.begun == "joined chain" and first.chain:
        return Start.OPEN, first.chain, ()
    if first.begun == "chain" and first.chain:
        return Start.CHAIN, first.chain, _ends(first.stitches[0])
    return Start.RING, 0, ()


def _ends(acts: Seq[Act]) -> tuple[int, ...]:
    """Return the stitches in the two end chains of an oval: as it begins, at the far end, as it ends."""
    worked = [act for act in acts if act.makes]
    if len(worked) < 2:
        return ()
    inner = [i for i, act in enumerate(worked) if act.makes > 1 and 0 < i < len(worked) - 1]
    if not inner:
        return ()
    far = worked[inner[0]].makes
    after = worked[-1].makes if worked[-1].makes > 1 else 0
    return worked[0].makes, far, after
