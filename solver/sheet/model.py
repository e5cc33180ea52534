"""What is on a sheet, in order, whatever it is written as."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias


class Paper(StrEnum):
    """What it is printed on."""

    A4 = "a4"
    LETTER = "letter"


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy:
    """Whom a copy is for.

    Attributes
    ----------
    paper : Paper
    terms : str
        The word table that rounds are written from: "US", "UK" or a language ("de").
    large : bool
        For low vision: 24 point, every round on a line of its own.
    spelled : bool
        Every stitch told, without brackets and abbreviations.
    tester : bool
        With room to write, and questions under each part.
    left : bool
        For left-handed makers: pictures and charts mirrored.
    """

    paper: Paper = Paper.A4
    terms: str = "US"
    large: bool = False
    spelled: bool = False
    tester: bool = False
    left: bool = False


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; level 1 is the title."""

    text: str
    level: int = 2


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph."""

    text: str


@dataclass(frozen=True, slots=True)
class Points:
    """A list of things to know or to have."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture, and what one sees on it in words.

    Attributes
    ----------
    data : bytes
    kind : str
        "png", "jpg" or "svg".
    words : str
        For those who do not see it.
    width : float
        Of the column. [0 to 1]
    tall : float
        Its greatest height on paper. [mm]
    """

    data: bytes
    kind: str
    words: str
    width: float = 0.6
    tall: float = 95.0


@dataclass(frozen=True, slots=True)
class Grid:
    """A table with the heads of its columns."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def lines(self) -> Iterator[str]:
        """Yield each row as a line that is clear without the columns."""
        for row in self.rows:
            cells = zip(self.head[1:], row[1:], strict=True)
            yield ", ".join([row[0], *(f"{name}: {cell}" for name, cell in cells)])


@dataclass(frozen=True, slots=True)
class Step:
    """A line of the work: a round, with boxes to tick, or what is done between rounds.

    Attributes
    ----------
    text : str
    first, last : int
        Rounds that it tells; 0 for a line between rounds.
    """

    text: str
    first: int = 0
    last: int = 0

    @property
    def boxes(self) -> int:
        """One for each round."""
        return self.last - self.first + 1 if self.first else 0


@dataclass(frozen=True, slots=True)
class Steps:
    """The rounds of a part, in order; `name` tells them apart from other parts' rounds."""

    name: str
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Room:
    """Room to write an answer by hand, so many lines of it."""

    question: str
    lines: int = 1


@dataclass(frozen=True, slots=True)
class Form:
    """The stuffed form, for pages that can turn it.

    Attributes
    ----------
    points, faces, rounds : tuple
        Nodes (x, y, z) in mm, z up; nodes of each face, counter-clockwise from outside; its round.
    hollow : bool
        Open, so that its inside may be seen.
    name : str
        Of the `Steps` that tell its rounds.
    words : str
        What one sees.
    """

    points: tuple[tuple[float, float, float], ...]
    faces: tuple[tuple[int, ...], ...]
    rounds: tuple[int, ...]
    hollow: bool
    name: str
    words: str


Block: TypeAlias = Heading | Words | Points | Picture | Grid | Steps | Room | Form


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A pattern, ready to be written.

    Attributes
    ----------
    title : str
    language : str
        Of its words, as the web names languages ("en-US", "de").
    copy : Copy
    blocks : tuple of Block
        In order, the title first.
    missing : tuple of str
        What could not be told in its language, and stands in English.
    """

    title: str
    language: str
    copy: Copy
    blocks: tuple[Block, ...]
    missing: tuple[str, ...] = ()
