"""Whole reports of random parts, read back: the same rounds, start and finish, and no problem told.

python -m tests.bench.round_trips 400 1 [FIRST]     # how many parts, the seed, and where to begin

Of every three parts two are round and one is oval; plain and exact rounds, staggered and stacked. Each is
written six times: in US and UK terms, short and spelled, with all that `--full` tells, and its bare lines in
a language drawn by lot. All invented.
"""

from __future__ import annotations

import os
import random
import sys
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from solver.cli.report import report
from solver.errors import PlumplineError
from solver.notation.convert import converted
from solver.notation.proof import proof_read
from solver.notation.writer import write_rounds
from solver.partfile import read
from solver.rounds import Finish
from solver.solving.solved import Solved, solve
from tests.bench.random_parts import oval_part, round_part

LANGUAGES = ("de", "fr", "es", "pt", "nl", "ru")
SAYS = {Finish.SEAMED: "seamed", Finish.CINCHED: "cinched", Finish.OPEN: "open"}


def difference(solved: Solved, page: str) -> str:
    """Return how a page that is read differs from the part that it was written of; empty for nothing."""
    proof = proof_read(page)
    for line in proof.lines:
        if line.problems:
            return f"line {line.line} {line.text!r}: {line.problems[0].message}"
    parts = converted(proof)
    if len(parts) != 1 or parts[0].piece is None:
        return f"{len(parts)} parts, {parts[0].reason if parts else 'none'}"
    piece, wanted = parts[0].piece, solved.piece
    if piece.counts != wanted.counts:
        return "other counts"
    if piece.start is not wanted.start or piece.finish is not wanted.finish:
        return f"{piece.start}, {piece.finish} for {wanted.start}, {wanted.finish}"
    said = proof.endings[0]
    return "" if said in (SAYS[wanted.finish], "closed", "opened") else f"ends {said!r}"


def main() -> None:
    """Solve, write and read, and print every difference."""
    number, seed = int(sys.argv[1]), int(sys.argv[2])
    first = int(sys.argv[3]) if len(sys.argv) > 3 else 0
    told: Counter[str] = Counter()
    begun = time.monotonic()
    for i in range(first, first + number):
        if time.monotonic() - begun > LONGEST:
            print(f"stopped before part {i}")
            break
        chance = random.Random(f"{seed} trip {i}")
        try:
            solved = solve(read(_part(chance, i), file=f"{i}.toml", title="Part"))
        except PlumplineError:
            told["no part"] += 1
            continue
        for how, page in _pages(solved, chance.choice(LANGUAGES)):
            wrong = difference(solved, page)
            told["differs" if wrong else "the same"] += 1
            if wrong:
                print(i, how, wrong, flush=True)
    print(dict(told))


LONGEST = 520.0
"""Seconds after which no further part is begun."""


def _part(chance: random.Random, number: int) -> str:
    """Return a part file, its rounds plain or exact, staggered or stacked."""
    text = oval_part(chance) if number % 3 == 2 else round_part(chance)
    text += "" if "[work]" in text else "[work]\n"
    text += chance.choice(["", 'rounds = "exact"\n'])
    if number % 3 != 2:
        text += chance.choice(["", 'increases = "stacked"\n'])
        text += chance.choice(["", "", "multiple = 2\n", "multiple = 3\n", 'finish = "open"\n'])
    return text


def _pages(solved: Solved, language: str) -> Iterator[tuple[str, str]]:
    """Yield the reports of a part, and its lines in a language, each with how it was written."""
    for terms in ("US", "UK"):
        there = solved.part.worked(terms=terms)
        one = replace(solved, part=there)
        for spelled in (False, True):
            yield f"{terms} {'spelled' if spelled else 'short'}", report(one, spelled=spelled)
    yield "full", report(solved, spelled=False, full=True)
    lines = write_rounds(solved.piece, terms=language)
    yield language, "\n".join(line.text for line in lines)


if __name__ == "__main__":
    main()
