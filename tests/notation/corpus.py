"""The corpus of written rounds for the tests, with what every line truly makes and what is wrong with it."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).parent / "corpus"
FILES = (
    "english",
    "english_hard",
    "languages",
    "mailbox",
    "strangers",
    "classes",
    "third",
    "fourth",
    "fifth",
    "sixth",
)
#: Sets written by hand without sight of the reader, each measured before it was mended for (see its head).
BLIND = tuple(sorted(path.stem for path in HERE.glob("blind_*.toml")))


@dataclass(frozen=True)
class Truth:
    """What a line truly makes, round label by round label, and the kinds of the mistakes planted in it."""

    made: tuple[int, ...]
    kinds: tuple[str, ...]


@dataclass(frozen=True)
class Page:
    """A part in one notation, with the truth about its lines by their numbers."""

    notation: str
    text: str
    truth: dict[int, Truth]
    language: str

    @property
    def clean(self) -> bool:
        """Whether no mistake was planted in it."""
        return not any(truth.kinds for truth in self.truth.values())


def pages() -> list[Page]:
    """Return the parts of the corpus."""
    return [page for name in FILES for page in pages_of(name)]


def pages_of(name: str) -> list[Page]:
    """Return the parts of one file of the corpus, by its name or its path."""
    found = []
    for part in tomllib.loads((HERE / name).with_suffix(".toml").read_text(encoding="utf-8"))["part"]:
        text, truth = _parsed(part["text"])
        if "made" in part:
            # Where marks would change what is read (a count at the end of the line), they stand apart.
            truth = {i: Truth((made,), ()) for i, made in enumerate(part["made"], start=1) if made}
        found.append(Page(part["notation"], text, truth, part.get("language", "en")))
    return found


def wordings() -> list[tuple[int, str, int]]:
    """Return single lines: stitches that are there, the line, stitches that it makes."""
    table = tomllib.loads((HERE / "wordings.toml").read_text(encoding="utf-8"))
    return [(there, line, made) for there, line, made in table["lines"]]


def small_pages() -> list[tuple[str, list[int]]]:
    """Return short pages, with the stitches after each line that holds rounds."""
    table = tomllib.loads((HERE / "pages.toml").read_text(encoding="utf-8"))
    return [("\n".join(page["lines"]), page["made"]) for page in table["page"]]


def _parsed(marked: str) -> tuple[str, dict[int, Truth]]:
    lines, truth = [], {}
    for number, line in enumerate(marked.strip("\n").split("\n"), start=1):
        text, _, marks = line.partition("  ## ")
        if marks:
            made = tuple(int(mark) for mark in marks.split() if mark.isdigit())
            truth[number] = Truth(made, tuple(mark for mark in marks.split() if not mark.isdigit()))
        lines.append(text)
    return "\n".join(lines), truth
