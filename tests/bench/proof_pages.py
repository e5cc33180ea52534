"""How a corpus of written rounds is read: python -m tests.bench.proof_pages [FILE ...] [-v].

Counts read right, mistakes named with their kind, clean lines accused, over all lines that hold rounds.
"""

from __future__ import annotations

import sys
from typing import NamedTuple

from solver.notation.proof import ProofLine, proof_read
from tests.notation.corpus import BLIND, FILES, Page, pages_of


class Score(NamedTuple):
    """Lines with rounds, those with the right counts, mistakes, those named, clean lines, those accused."""

    lines: int = 0
    right: int = 0
    mistakes: int = 0
    named: int = 0
    clean: int = 0
    accused: int = 0

    def __add__(self, other: Score) -> Score:  # type: ignore[override]
        return Score(*(a + b for a, b in zip(self, other, strict=True)))

    def __str__(self) -> str:
        return (
            f"{self.lines} lines, counts right {self.right / max(self.lines, 1):.3f}; "
            f"mistakes named {self.named} of {self.mistakes}; "
            f"clean lines accused {self.accused} of {self.clean} ({self.accused / max(self.clean, 1):.3f})"
        )


def score(page: Page, *, tell: bool = False) -> Score:
    """Judge one page; `tell` prints what is wrong."""
    found: dict[int, list[ProofLine]] = {}
    for line in proof_read(page.text).lines:
        covered = range(line.line, line.line + line.text.count("\n") + 1)
        key = max((number for number in covered if number in page.truth), default=line.line)
        found.setdefault(key, []).append(line)
    total = Score()
    for number, truth in page.truth.items():
        lines = found.pop(number, [])
        made = tuple(line.made for line in lines if line.made is not None)
        kinds = {one.kind for line in lines for one in line.problems}
        right = made == truth.made
        named = set(truth.kinds) <= kinds
        bad = bool(truth.kinds)
        total += Score(1, right, bad, bad and named, not bad, bool(not bad and kinds))
        if tell and not (right and (named if bad else not kinds)):
            _tell(page, number, f"{truth.made} {truth.kinds}", lines)
    for number, lines in found.items():
        wrong = [line for line in lines if line.problems or line.made is not None]
        total += Score(accused=any(line.problems for line in wrong))
        if tell and wrong:
            _tell(page, number, "no round", wrong)
    return total


def _tell(page: Page, number: int, truth: str, lines: list[ProofLine]) -> None:
    print(f"[{page.notation}] {number}: {page.text.splitlines()[number - 1]}\n    truth {truth}")
    for line in lines:
        told = "; ".join(f"{one.kind}: {one.message}" for one in line.problems)
        print(f"    made {line.made} needs {line.needed} has {line.available}: {line.reading}  {told}")


def main() -> None:
    """Judge the files named, or the whole corpus."""
    tell = "-v" in sys.argv
    for name in [one for one in sys.argv[1:] if one != "-v"] or (*FILES, *BLIND):
        total = Score()
        for page in pages_of(name):
            total += score(page, tell=tell)
        print(f"{name}: {total}")


if __name__ == "__main__":
    main()
