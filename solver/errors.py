"""What can go wrong, as types; a message names the file, the place, the rule, the value and the way out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong with what we were given.

    Attributes
    ----------
    rule : str
        What must hold, as a sentence ("a gauge is above zero").
    got : str
        The value that breaks it, as it was written; empty when there is none.
    remedy : str
        What to do about it.
    place : str
        Where it stands: table, key, line ("[gauge] stitches, line 4"); empty for the file as a whole.
    file : str
        The file it was read from; empty for values that came from elsewhere.
    """

    rule: str
    got: str = ""
    remedy: str = ""
    place: str = ""
    file: str = ""

    def __str__(self) -> str:
        where = ": ".join(part for part in (self.file, self.place) if part)
        got = f" (got {self.got})" if self.got else ""
        remedy = f" {self.remedy}" if self.remedy else ""
        return f"{where + ': ' if where else ''}{self.rule}{got}.{remedy}"


class PlumplineError(Exception):
    """Anything that Plumpline tells its user instead of failing with a traceback."""


class InputError(PlumplineError):
    """What we were given can't be worked with; all its problems are told at once.

    Parameters
    ----------
    *problems : Problem
        At least one.
    """

    def __init__(self, *problems: Problem) -> None:
        self.problems: Sequence[Problem] = problems
        super().__init__("\n".join(str(problem) for problem in problems))


class ConvergenceError(PlumplineError):
    """A form under stuffing was not found; no unconverged form is ever returned.

    Parameters
    ----------
    what : str
        What was being solved.
    iterations : int
        Steps taken in all attempts.
    residual : float
        The best residual reached, in units of the pressure force on one stitch.
    tried : str
        The attempts and fallbacks, in order.
    """

    def __init__(self, *, what: str, iterations: int, residual: float, tried: str) -> None:
        self.iterations = iterations
        self.residual = residual
        super().__init__(
            f"{what}: no balance between stuffing and fabric was found "
            f"({iterations} steps, residual {residual:.2g}; tried: {tried}). "
            "Stuff less, or check that the counts rise and fall gently."
        )
