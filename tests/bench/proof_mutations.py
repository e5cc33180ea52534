"""Clean pages with one mistake planted: python -m tests.bench.proof_mutations [-v] [EVERY] [blind].

A digit of a round changed, a line left out, two lines swapped, a multiplier changed: how many are caught, at
the line, and how often the mend that is offered is right. EVERY takes each nth mistake only; `blind` those of
the pages of the blind sets.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from solver.notation.proof import Proof, proof_read
from tests.notation.corpus import BLIND, Page, pages, pages_of


class Mutant(NamedTuple):
    """A page with one mistake: its kind, its text, the lines where it may be told, and what a mend says."""

    kind: str
    text: str
    lines: tuple[int, ...]
    right: str


def mutants(page: Page) -> Iterator[Mutant]:
    """Yield the mistakes of a clean page, one at a time."""
    proof = proof_read(page.text)
    lines = page.text.split("\n")
    rounds = [
        line
        for line in proof.lines
        if line.made is not None and lines[line.line - 1].strip() == line.text.strip()
    ]
    for line in rounds:
        yield from _digits(lines, line.line - 1, line.text)
    for before, line, after in zip(rounds, rounds[1:], rounds[2:], strict=False):
        numbered = before.label and line.label and after.label and before.part == line.part == after.part
        single = len(before.rounds) == len(line.rounds) == len(after.rounds) == 1
        if numbered and single and after.rounds[0] == before.rounds[0] + 2:
            here = line.line - 1
            left_out = [*lines[:here], *lines[here + 1 :]]
            yield Mutant(
                "left out", "\n".join(left_out), (after.line - 1,), f"Round {line.rounds[0]} is missing"
            )
    for before, line in pairwise(rounds):
        if before.label and line.label and before.part == line.part and before.line + 1 == line.line:
            a, b = before.line - 1, line.line - 1
            swapped = [*lines[:a], lines[b], lines[a], *lines[b + 1 :]]
            yield Mutant("swapped", "\n".join(swapped), (before.line, line.line), "")


_TIMES = re.compile(r"[)\]*] ?[x×*] ?(\d+)(?!\d)|(?<![\d.])(\d+) times")


def _digits(lines: list[str], at: int, text: str) -> Iterator[Mutant]:
    old = lines[at]
    times = {match.start(1 if match[1] else 2) for match in _TIMES.finditer(old)}
    for match in re.finditer(r"(?<![\d.])\d{1,3}(?![\d.]\d|\d)", old):
        if _spoken(old, match):
            continue
        for step in (1, -1):
            value = int(match[0]) + step
            if value < 1:
                continue
            new = f"{old[: match.start()]}{value}{old[match.end() :]}"
            kind = "multiplier" if match.start() in times else "digit"
            yield Mutant(kind, "\n".join([*lines[:at], new, *lines[at + 1 :]]), (at + 1, at + 2), old.strip())


_TALK = re.compile(
    r"photo|picture|step|mm|cm|\bph\b|2nd|3rd|4th|hook|round|rnd|hole|see|leg|size|between|tail|handle|popcorn|bobble|make"
    r"|fig|weave|below|loops|thread|bead|shift|that is|:\d\d|\d:|whiskers|apart|stay",
    re.IGNORECASE,
)


def _spoken(line: str, match: re.Match[str]) -> bool:
    """Tell a number that works nothing: of a photo, a leg, a length."""
    near = line[max(match.start() - 12, 4) : match.end() + 6]
    turning = re.search(r"(?:ch|chain)[ -]?$", line[: match.start()], re.IGNORECASE)
    return bool(_TALK.search(near)) or turning is not None


def judged(mutant: Mutant, proof: Proof) -> tuple[bool, bool, bool]:
    """Return whether a mistake is caught, at its line, and rightly mended."""
    told = [(line.line, one) for line in proof.lines for one in line.problems]
    near = [one for number, one in told if number in mutant.lines]
    if mutant.kind == "swapped":
        right = any(one.kind == "numbering" for one in near)
    elif mutant.kind == "left out":
        right = any(mutant.right in one.message for one in near)
    else:
        right = any(one.mended.strip() == mutant.right for _, one in told)
    return bool(told), bool(near), right


def main() -> None:
    """Measure over the corpus."""
    tell = "-v" in sys.argv
    every = next((int(word) for word in sys.argv[1:] if word.isdigit()), 1)
    tally: dict[str, Counter[str]] = {}
    found = [page for name in BLIND for page in pages_of(name)] if "blind" in sys.argv else pages()
    planted = [(page, mutant) for page in found if page.clean for mutant in mutants(page)]
    for page, mutant in planted[::every]:
        caught, near, right = judged(mutant, proof_read(mutant.text))
        here = tally.setdefault(mutant.kind, Counter())
        here.update(all=1, caught=caught, near=near, right=right)
        if tell and not (caught and near):
            at = mutant.lines[0] - 1
            print(f"{mutant.kind} [{page.notation}] {mutant.text.splitlines()[at]}   was: {mutant.right}")
    total: Counter[str] = sum(tally.values(), Counter())
    for kind, here in [*tally.items(), ("all", total)]:
        shares = ", ".join(f"{what} {here[what] / here['all']:.3f}" for what in ("caught", "near", "right"))
        print(f"{kind}: {here['all']}; {shares}")


if __name__ == "__main__":
    main()
