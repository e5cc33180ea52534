"""A word, number or sign of a folded line, and the letters of their classes as one string."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Token:
    """One word, number or sign.

    Attributes
    ----------
    cls : str
        Its class, one letter (`lexicon.CLASS`): `n` a number, `o` an ordinal, `X` how often, `z` an unknown
        word; a sign goes by itself.
    text : str
        The notion of a known word, or the folded text.
    value : int
        The number of `n` and `o`.
    start, end : int
        Where it stands in the folded line.
    glued : bool
        Whether it touches the token before.
    """

    cls: str
    text: str
    value: int
    start: int
    end: int
    glued: bool


def shape(found: Sequence[Token]) -> str:
    """Return the classes of tokens as one string, for patterns to match."""
    return "".join(token.cls for token in found)
