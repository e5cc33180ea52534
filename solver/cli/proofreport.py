"""A proof-read page as text: each line with what it makes and needs, and what is wrong with it."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from solver.notation.finding import Finding
    from solver.notation.proof import Proof, ProofLine


def report(found: Proof, file: Path, *, only: bool, sure: bool = False) -> Iterator[str]:
    """Yield the report of a page: all lines, or those alone where something is (certainly) wrong."""
    wrong = [line for line in found.lines if line.problems]
    in_part = [line for line in found.lines if not line.problems and _in_part(line)]
    terms = (
        f"{found.terms} terms ({'declared' if found.declared else 'told by the words'})"
        if found.terms
        else found.language
    )
    yield f"{file}: {len(found.lines)} lines with rounds, {terms}."
    part = -1
    for line in found.lines:
        if only and not line.problems and not _in_part(line):
            continue
        if line.part != part:
            part = line.part
            yield ""
            yield from _part(found, part)
        yield from _line_report(line)
    yield ""
    if in_part:
        yield f"Not wholly read, and for you to look at: {_listed(in_part)}."
    if wrong:
        certainly = "Something is certainly wrong" if sure else "Something is wrong"
        yield f"{certainly} on {len(wrong)} of {len(found.lines)} lines: {_listed(wrong)}."
    elif sure:
        yield "Nothing is certainly wrong."
    else:
        read = "Every other line" if in_part else "Every line"
        yield f"{read} uses the stitches it has, makes what it says, and follows the one before."
        taken = sum(any(note.startswith("Taken as") for note in line.notes) for line in found.lines)
        if taken:
            yield f"{taken} of them can be read in more than one way: the notes tell how they were taken."


def _in_part(line: ProofLine) -> bool:
    """Tell a line of which only the count is known, or nothing."""
    return line.made is None or (line.fit is not None and line.fit.at_word)


def _part(found: Proof, part: int) -> Iterator[str]:
    """Yield the name of a part, where there are several or it has one."""
    name = found.parts[part] if part < len(found.parts) else ""
    if len(found.parts) > 1 or name:
        yield f"Part {part + 1}{': ' + name if name else ''}"


def _listed(wrong: list[ProofLine]) -> str:
    numbers = [str(line.line) for line in wrong]
    return ", ".join(numbers[:12]) + (" ..." if len(numbers) > 12 else "")


def _line_report(line: ProofLine) -> Iterator[str]:
    head = f"{line.line:4}  "
    texts = line.text.split("\n")
    carets = _carets(line.problems, texts)
    for i, text in enumerate(texts):
        yield (head if i == 0 else " " * len(head)) + text
        if carets.get(i):
            yield " " * len(head) + carets[i]
    yield " " * len(head) + _sums(line)
    for note in line.notes:
        yield " " * len(head) + note
    seen: set[str] = set()
    for one in line.problems:
        told = f"{one.kind.upper()}{'' if one.sure else ' (perhaps)'}: {one.message}"
        if one.fix and one.fix not in seen:
            told += f" Mend: {one.fix}"
            seen.add(one.fix)
        yield " " * len(head) + told


def _sums(line: ProofLine) -> str:
    """Return what a line says, makes, needs and has."""
    if line.made is None:
        return "Not counted."
    says = f"says {line.stated}" if line.stated is not None else "says nothing"
    told = f"Makes {line.made}, {says}"
    if line.needed is not None and line.available is not None:
        told += f"; needs {line.needed}, has {line.available}"
    if len(line.counts) > 1:
        told += f"; {len(line.counts)} rounds"
    return f"{told}: {line.reading}"


def _carets(problems: tuple[Finding, ...], texts: list[str]) -> dict[int, str]:
    """Return a line of carets for each line of text that has a place marked."""
    marks: dict[int, str] = {}
    for one in problems:
        start = one.start
        for i, text in enumerate(texts):
            if start <= len(text):
                length = max(1, min(one.end - one.start, len(text) - start))
                row = " " * _width(text[:start]) + "^" * max(1, _width(text[start : start + length]))
                before = marks.get(i, "")
                marks[i] = "".join(
                    "^" if "^" in pair else " "
                    for pair in zip(before.ljust(len(row)), row.ljust(len(before)), strict=True)
                ).rstrip()
                break
            start -= len(text) + 1
    return marks


def _width(text: str) -> int:
    """Return the columns that a text takes on a terminal."""
    return sum(
        0 if unicodedata.combining(sign) else (2 if unicodedata.east_asian_width(sign) in "WF" else 1)
        for sign in text
    )
