"""A note: a sentence for the maker that knows what it is about."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum


class About(StrEnum):
    """What a note is about."""

    READING = "reading"
    STUFFING = "stuffing"
    LIMIT = "limit"
    CHOICE = "choice"
    FIT = "fit"
    FORM = "form"
    PLAIN = "plain"
    ASSUMED = "assumed"


@dataclass(frozen=True, slots=True)
class Said:
    """A sentence of the tables by its name, with what fills its blanks: to be told in any language."""

    name: str
    values: Mapping[str, object] = field(default_factory=dict)


class Note(str):
    """A sentence for the maker; `about` tells notes apart, never their words; `short` says it in less.

    `said` are its sentences by name where it can be told in other languages; empty where it can't.
    """

    about: About
    short: str
    said: tuple[Said, ...]

    def __new__(
        cls, text: str, about: About = About.FORM, *, short: str = "", said: Sequence[Said] = ()
    ) -> Note:
        """Return the sentence as a note."""
        note = super().__new__(cls, text)
        note.about = about
        note.short = short or text
        note.said = tuple(said)
        return note


def listed(numbers: Sequence[int]) -> str:
    """Return numbers in words: "17", "17 and 19", "17, 19 and 23"."""
    *before, last = map(str, numbers)
    return f"{', '.join(before)} and {last}" if before else last
