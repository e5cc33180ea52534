"""From rounds as someone wrote them to our own model of a piece."""

from __future__ import annotations

import re
from collections.abc import Sequence as Seq
from dataclasses import dataclass

from solver.errors import InputError
from solver.notation.endings import tells_of_seam
from solver.notation.fold import folded
from solver.notation.instructions import Act
from solver.notation.proof import Proof, ProofLine
from solver.rounds import Finish, Piece, Round, Start, Stitch
from solver.rounds.stitch import WORKED

#: The plain stitch that each stitch of a page is told as; any other is told as single crochet.
_PLAIN = {"slip": Stitch.SLST, "hdc": Stitch.HDC, "dc": Stitch.DC}
#: What a stitch becomes when one more is worked in its place.
_AGAIN = {
    (Stitch.SC, "sc"): Stitch.INC,
    (Stitch.INC, "sc"): Stitch.INC3,
    (Stitch.HDC, "hdc"): Stitch.HDC_INC,
    (Stitch.DC, "dc"): Stitch.DC_INC,
}
#: Acts that leave no stitch: joins, turns, chains that are not counted.
_NOTHING = (0, 0)
#: An edge of so many stitches or fewer is drawn to a point where the page says nothing of it, and one of so
#: few even where it leaves a tail for sewing (common practice, no source).
_CINCHED, _FEW = 12, 8

_ONE_LOOP = re.compile(r"\b(?:[bf]lo|(?:back|front) loops? only)\b", re.IGNORECASE)
ONE_LOOP = (
    "It has rounds in one loop only: how those lie is not known, and they are formed as whole stitches."
)
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
        uses = act.uses
        if not uses and act.makes == 1 and stitches and (more := _AGAIN.get((stitches[-1], act.stitch))):
            stitches[-1] = more  # one more in the stitch before, as where an increase changes colour
            continue
        if skipped and uses == act.makes == 1:
            # A stitch skipped before a plain one is a decrease of the same size.
            uses, skipped = 1 + skipped, 0
        stitch = WORKED.get((_PLAIN.get(act.stitch, Stitch.SC), uses, act.makes))
        if stitch is None and (1, act.makes) != (uses, uses):
            stitch = WORKED.get((Stitch.SC, uses, act.makes))
        if skipped or (stitch is None and uses > act.uses):
            return "stitches are skipped"
        if stitch is None:
            return f"{act.makes} stitches from {act.uses} can't be told"
        stitches.append(stitch)
    if skipped or not stitches:
        return "stitches are skipped" if skipped else "nothing is worked"
    return Round(tuple(stitches))


def _converted(part: int, lines: list[ProofLine], proof: Proof) -> Converted:
    rounds: list[Round] = []
    notes: list[str] = []
    if is_uk := _dc_is_single(proof):
        notes.append("It names no stitch but dc: taken as UK double crochet, which is US single crochet.")
    if any(_ONE_LOOP.search(line.text) for line in lines):
        notes.append(ONE_LOOP)
    tall = sorted(
        {act.stitch for line in lines for acts in line.stitches for act in acts} & {"tr", "dtr", "fancy"}
    )
    if tall:
        notes.append(f"{', '.join(tall)} taken as single crochet: how tall they are is not known.")
    worked = [line for line in lines if line.stitches]
    if not worked:
        return Converted(part, None, "no round of it was read")
    if len(worked) > 1 and _is_seam(worked[-2], worked[-1], proof.language):
        worked.pop()  # the seam itself, worked through both sides and told as a round
    start, foundation, ends = _start(worked[0])
    for line in worked:
        if rounds:
            rounds += [Round.plain(rounds[-1].count)] * line.implied
        for i, acts in enumerate(line.stitches):
            first = not rounds and start not in (Start.OPEN, Start.ROWS)
            made = sum(act.makes for act in acts)
            acts = _as_single(acts) if is_uk else acts
            one = _first(acts, start) if first and made else round_of(acts)
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


def _dc_is_single(proof: Proof) -> bool:
    """Tell whether a page that doesn't tell its terms works everything in dc: then they are UK terms."""
    plain = {
        act.stitch for line in proof.lines for acts in line.stitches for act in acts if act.uses == act.makes
    }
    return (
        not proof.declared
        and proof.terms == "US"
        and "dc" in plain
        and not plain & {"sc", "hdc", "tr", "dtr"}
    )


def _as_single(acts: Seq[Act]) -> tuple[Act, ...]:
    return tuple(act._replace(stitch="sc") if act.stitch == "dc" else act for act in acts)


def _first(acts: Seq[Act], start: Start) -> Round:
    """Return a first round, worked into a ring or along a chain: of one taller stitch if all are."""
    made = sum(act.makes for act in acts)
    told = {act.stitch for act in acts if act.makes}
    if start is Start.RING and told in ({"hdc"}, {"dc"}):
        return Round((_PLAIN[told.pop()],) * made)
    return Round.plain(made)


def _is_seam(before: ProofLine, last: ProofLine, language: str) -> bool:
    """Tell whether a line works both sides of the edge before it together."""
    halved = before.counts and last.counts and 2 * last.counts[-1] <= before.counts[-1] + 1
    return bool(halved) and tells_of_seam(folded(last.text), language)


def _finish(said: str, start: Start, last: int) -> Finish:
    """Return what becomes of the last edge, of so many stitches, by what the page says of it."""
    if start is Start.ROWS:
        return Finish.SEAMED if said in ("closed", "seamed") else Finish.OPEN
    if said == "closed":  # an oval is sewn along its middle, anything else is drawn in
        return Finish.SEAMED if start is Start.CHAIN else Finish.CINCHED
    if said in ("seamed", "cinched", "open"):
        return Finish(said)
    drawn_in = start not in (Start.CHAIN, Start.ROWS) and last <= (_FEW if said == "opened" else _CINCHED)
    return Finish.CINCHED if drawn_in else Finish.OPEN


def _start(first: ProofLine) -> tuple[Start, int, tuple[int, ...]]:
    if first.begun == "joined chain" and first.chain:
        return Start.OPEN, first.chain, ()
    if first.begun == "legs" and first.stitches:  # an open end, of the edges that it goes round
        return Start.OPEN, sum(act.uses for act in first.stitches[0]), ()
    if first.begun == "chain" and _is_row(first):
        return Start.ROWS, sum(act.uses for act in first.stitches[0]), ()
    if first.begun == "chain" and first.chain:
        return Start.CHAIN, first.chain, _ends(first.stitches[0], first.chain)
    return Start.RING, 0, ()


def _is_row(first: ProofLine) -> bool:
    """Tell whether a first line goes back along one side of its chain alone, as a row that is turned does."""
    sides = first.fit.sides if first.fit else None
    acts = first.stitches[0] if first.stitches else ()
    worked = [act for act in acts if act.uses or act.makes]
    into_each = all(act.uses == act.makes == 1 for act in worked)
    turned = first.fit is not None and any(token.cls == "u" for token in first.fit.way.content.body)
    if sides is None or not sides.flat or not worked:
        return False
    return turned or (len(worked) > 1 and into_each)


def _ends(acts: Seq[Act], chain: int) -> tuple[int, ...]:
    """Return the stitches in the two end chains of an oval: as it begins, at the far end, as it ends."""
    worked = [act.makes for act in acts if act.makes]
    inner = [made for made in worked[1:-1] if made > 1]
    if not inner:
        return ()
    # every chain between takes one stitch on each side; what is left goes back into the first end
    after = sum(worked) - 2 * max(chain - 3, 0) - worked[0] - inner[0]
    return worked[0], inner[0], after
