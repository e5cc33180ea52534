"""The lean of a spiral, measured: how far a marker in the first stitch moves on over plain rounds."""

from __future__ import annotations

import re
from dataclasses import dataclass

from solver.errors import InputError, Problem
from solver.wanted.gauge import MOST_LEAN

READ_TO = 0.5
"""Stitches to which the place of a marker can be counted."""
FEWEST_ROUNDS = 4
"""Rounds below which a reading of half a stitch leaves nothing of the lean."""

_TOLD = re.compile(
    r"\s*(?P<rounds>\d{1,3})\s*(?:rounds?|rnds?)\s*,\s*(?P<stitches>[-+\N{MINUS SIGN}]?\s*\d{1,3}(?:[.,]\d+)?"
    r"|[-+]?\s*\d{0,3}\s?1/2)\s*(?:stitch(?:es)?|sts?)?\s*(?:to\s+the\s+)?(?P<way>left|right|on|back)?\s*",
    re.IGNORECASE,
)
_REMEDY = (
    'Write it like "10 rounds, 2 stitches left" or "10 rounds, 2 stitches right", as a right-handed maker '
    "sees it from outside with the last round up; left-handed makers swap the two."
)


@dataclass(frozen=True, slots=True)
class Lean:
    """A measured lean.

    Attributes
    ----------
    lean : float
        Stitches a round, above zero in the direction of work: to the left for the right-handed.
    error : float
        By how much it may be off for counting alone.
    """

    lean: float
    error: float

    @property
    def told(self) -> str:
        """It in words."""
        way = "in the direction of work" if self.lean > 0 else "against the direction of work"
        moves = f"moves on by {abs(self.lean):.3g} stitches a round {way}" if self.lean else "stands still"
        return (
            f"The beginning of the round {moves} (give or take {self.error:.2g}): lean = {self.lean:.3g} in "
            "[gauge]. The direction of work is to the left for the right-handed, and for the left-handed "
            "to the right."
        )


def lean_of(text: str) -> Lean:
    """Return the lean that was counted: "10 rounds, 2 stitches left".

    Without a word for the way, a number above zero is in the direction of work.

    Raises
    ------
    InputError
        If the text can't be read, has too few rounds, or tells more than a spiral leans.
    """
    match = _TOLD.fullmatch(text)
    if match is None:
        rule = "a lean is a number of plain rounds, and of stitches that the marker has moved"
        raise InputError(Problem(rule, got=text, remedy=_REMEDY, place="--lean"))
    rounds = int(match["rounds"])
    if rounds < FEWEST_ROUNDS:
        rule = f"a lean is counted over at least {FEWEST_ROUNDS} rounds"
        raise InputError(Problem(rule, got=text, remedy="Work ten plain rounds.", place="--lean"))
    stitches = _number(match["stitches"])
    way = (match["way"] or "").lower()
    if way and stitches < 0:
        rule = "a lean has a sign or a word for its way, and not both"
        raise InputError(Problem(rule, got=text, remedy=_REMEDY, place="--lean"))
    # seen from outside the right-handed work to the left
    lean = (-stitches if way in ("right", "back") else stitches) / rounds
    if abs(lean) > MOST_LEAN:
        rule = f"a spiral leans by at most {MOST_LEAN:g} stitch a round"
        raise InputError(Problem(rule, got=text, remedy="Count it again.", place="--lean"))
    return Lean(lean, READ_TO / rounds)


def _number(text: str) -> float:
    text = text.replace(" ", "").replace("\N{MINUS SIGN}", "-").replace(",", ".")
    if text.endswith("1/2"):
        whole = text.removesuffix("1/2")
        sign = -1.0 if whole.startswith("-") else 1.0
        return sign * (abs(float(whole)) if whole.strip("+-") else 0.0) + sign * 0.5
    return float(text)
