"""A note: a sentence for the maker that knows what it is about."""

from __future__ import annotations

from collections.abc import Sequence
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


class Note(str):
    """A sentence for the maker; `about` tells notes apart, never their words; `short` says it in less."""

    about: About
    short: str

    def __new__(cls, text: str, about: About = About.FORM, *, short: str = "") -> Note:
        """Return the sentence as a note."""
        note = super().__new__(cls, text)
        note.about = about
        note.short = short or text
        return note


def listed(numbers: Sequence[int]) -> str:
    """Return numbers in words: "17", "17 and 19", "17, 19 and 23"."""
    *before, last = map(str, numbers)
    return f"{', '.join(before)} and {last}" if before else last
