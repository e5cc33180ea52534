"""What can go wrong, as types; a message names the file, the place, the rule, the value and the way out."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

MOST_WORDS = 200
"""Characters of one value that a message shows; nobody reads more."""

_UNPRINTED = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufffe\uffff]")


def shown(text: str, most: int | None = None) -> str:
    """Return a text with what a terminal would obey, or can't write, made visible, and cut.

    It is cut to `most` characters. Control characters, line ends among them, become their pictures (Unicode,
    block Control Pictures); what is no character becomes the replacement character.
    """
    if most is not None and len(text) > most:
        text = f"{text[: most - 4]} ..."
    return _UNPRINTED.sub(_picture, text)


def _picture(match: re.Match[str]) -> str:
    code = ord(match[0])
    return chr(0x2400 + code) if code < 0x20 else "\N{SYMBOL FOR DELETE}" if code == 0x7F else "\ufffd"


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
        where = ": ".join(shown(part, 2 * MOST_WORDS) for part in (self.file, self.place) if part)
        got = f" (got {shown(self.got, MOST_WORDS)})" if self.got else ""
        remedy = f" {shown(self.remedy, 2 * MOST_WORDS)}" if self.remedy else ""
        return f"{where + ': ' if where else ''}{shown(self.rule, 2 * MOST_WORDS)}{got}.{remedy}"


class Notice(UserWarning):
    """Something that a person should hear once, beside a result that is whole."""


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
        self.what = what
        self.iterations = iterations
        self.residual = residual
        super().__init__(
            f"{what}: no balance between stuffing and fabric was found "
            f"({iterations} steps, residual {residual:.2g}; tried: {tried}). "
            "Stuff less, or check that the counts rise and fall gently."
        )


@contextmanager
def told_as(rule: str, *, remedy: str, file: str = "", place: str = "") -> Iterator[None]:
    """Tell whatever a library throws inside as a problem: the one place where that is done.

    Libraries that read foreign bytes throw what they like on damaged ones; which types, changes with their
    versions.

    Parameters
    ----------
    rule : str
        What must hold ("a model is whole").
    remedy, file, place : str
        As in `Problem`.

    Raises
    ------
    InputError
        In place of any exception that is not ours.
    """
    try:
        yield
    except PlumplineError:
        raise
    except Exception as error:
        raise InputError(Problem(rule, got=_reason(error), remedy=remedy, place=place, file=file)) from error


def _reason(error: Exception) -> str:
    """Return what a library's exception says, in a few words."""
    if isinstance(error, MemoryError):
        return "more than fits in memory"
    if isinstance(error, RecursionError):
        return "things inside each other without end"
    said = (error.strerror or "") if isinstance(error, OSError) else ""
    said = said or " ".join(str(error).split()) or type(error).__name__
    return shown(said, MOST_WORDS // 2)
