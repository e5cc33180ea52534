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
    ASSUMED = "assumed"


class Note(str):
    """A sentence for the maker; `about` tells notes apart, never their words."""

    about: About

    def __new__(cls, text: str, about: About = About.FORM) -> Note:
        """Return the sentence as a note."""
        note = super().__new__(cls, text)
        note.about = about
        return note


def listed(numbers: Sequence[int]) -> str:
    """Return numbers in words: "17", "17 and 19", "17, 19 and 23"."""
    *before, last = map(str, numbers)
    return f"{', '.join(before)} and {last}" if before else last
