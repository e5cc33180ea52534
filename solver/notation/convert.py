"""From rounds as someone wrote them to our own model of a piece."""

from __future__ import annotations

from collections.abc import Sequence as Seq
from dataclasses import dataclass

from solver.errors import InputError
from solver.notation.endings import tells_of_seam
from solver.notation.fold import folded
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
#: An edge of so many stitches or fewer is drawn to a point where the page says nothing of it, and one of so
#: few even where it leaves a tail for sewing (common practice, no source).
_CINCHED, _FEW = 12, 8

SEWN = "The last edge is taken as folded flat and sewn, as the page says."


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
    return tuple(
        _converted(part, [line for line in proof.lines if line.part == part], proof) for part in parts
    )


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


def _converted(part: int, lines: list[ProofLine], proof: Proof) -> Converted:
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
    if len(worked) > 1 and _is_seam(worked[-2], worked[-1], proof.language):
        worked.pop()  # the seam itself, worked through both sides and told as a round
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
    said = proof.endings[part] if part < len(proof.endings) else ""
    finish = _finish(said, start, rounds[-1].count)
    if finish is Finish.SEAMED:
        notes.append(SEWN)
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


def _is_seam(before: ProofLine, last: ProofLine, language: str) -> bool:
    """Tell whether a line works both sides of the edge before it together."""
    halved = before.counts and last.counts and 2 * last.counts[-1] <= before.counts[-1] + 1
    return bool(halved) and tells_of_seam(folded(last.text), language)


def _finish(said: str, start: Start, last: int) -> Finish:
    """Return what becomes of the last edge, of so many stitches, by what the page says of it."""
    if said == "closed":  # an oval is sewn along its middle, anything else is drawn in
        return Finish.SEAMED if start is Start.CHAIN else Finish.CINCHED
    if said in ("seamed", "cinched"):
        return Finish(said)
    drawn_in = start is not Start.CHAIN and last <= (_FEW if said == "opened" else _CINCHED)
    return Finish.CINCHED if drawn_in else Finish.OPEN


def _start(first: ProofLine) -> tuple[Start, int, tuple[int, ...]]:
    if first.begun == "joined chain" and first.chain:
        return Start.OPEN, first.chain, ()
    if first.begun == "chain" and first.chain:
        return Start.CHAIN, first.chain, _ends(first.stitches[0], first.chain)
    return Start.RING, 0, ()


def _ends(acts: Seq[Act], chain: int) -> tuple[int, ...]:
    """Return the stitches in the two end chains of an oval: as it begins, at the far end, as it ends."""
    worked = [act.makes for act in acts if act.makes]
    inner = [made for made in worked[1:-1] if made > 1]
    if not inner:
        return ()
    # every chain between takes one stitch on each side; what is left goes back into the first end
    after = sum(worked) - 2 * max(chain - 3, 0) - worked[0] - inner[0]
    return worked[0], inner[0], after
