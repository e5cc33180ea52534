"""What is certain enough to be told: where most of a part is not understood, it is said once, as a note."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence as Seq
from dataclasses import dataclass, field

from solver.notation.finding import Finding
from solver.notation.likeliest import Line

#: Lines of a part that must be told of in one way before that may be the reader's fault, and their share.
_MANY_NUMBERS, _MANY_UNREAD = 4, 3
_SHARE = 0.4
#: Lines that must come out with one meaning of a word before that is what it means.
_BORNE = 2


@dataclass(slots=True)
class Told:
    """What is told of one line: findings, and further notes."""

    problems: list[Finding]
    notes: list[str] = field(default_factory=list)


def borne_words(lines: Seq[Line]) -> dict[str, str]:
    """Return the words that nobody explains and that always come out with the same stitch, with its name."""
    tried: dict[str, Counter[str]] = {}
    for line in lines:
        if line.fit is not None and line.fit.way.content.unknown:
            content = line.fit.way.content
            come = content.instead if line.fit.comes_out else ""
            tried.setdefault(content.unknown, Counter())[come] += 1
    return {
        word: stitch
        for word, stitches in tried.items()
        for stitch, often in stitches.items()
        if stitch and often >= _BORNE and len(stitches) == 1
    }


def only_certain(lines: Seq[Line], told: list[Told]) -> None:
    """Take back what is told line by line where the reader does not understand a part's numbers or lines."""
    for part in sorted({line.part for line in lines}):
        here = [i for i, line in enumerate(lines) if line.part == part]
        labelled = sum(lines[i].labelled for i in here)
        numbered = [i for i in here if any(one.kind == "numbering" for one in told[i].problems)]
        if len(numbered) >= _MANY_NUMBERS and len(numbered) > _SHARE * labelled:
            # Every second round left out is told at the first.
            gaps = all("missing" in one.message for i in numbered for one in told[i].problems)
            _take_back(told, numbered[gaps:], "numbering", "The numbers of these rounds are not understood.")
        unread = [i for i in here if lines[i].fit is None and told[i].problems]
        if len(unread) >= _MANY_UNREAD and len(unread) > _SHARE * len(here):
            message = f"{len(unread)} lines of this part can't be read, and are not judged."
            _take_back(told, unread, "unread", message)


def _take_back(told: list[Told], which: Seq[int], kind: str, message: str) -> None:
    for i in which:
        told[i].problems = [one for one in told[i].problems if one.kind != kind]
    told[which[0]].notes.append(message)
