"""Whole reports of random parts, read back: the same rounds, start and finish, and no problem told.

python -m tests.bench.round_trips 2000 1     # how many, and the seed

Of every three parts two are round and one is oval; in US and UK terms, short and spelled. All invented.
"""

from __future__ import annotations

import os
import random
import sys
from collections import Counter

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from solver.cli.report import report
from solver.errors import PlumplineError
from solver.notation.convert import converted
from solver.notation.proof import proof_read
from solver.partfile import read
from solver.rounds import Finish
from solver.solving.solved import Solved, solve
from tests.bench.random_parts import oval_part, round_part

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
    told: Counter[str] = Counter()
    for i in range(number):
        chance = random.Random(f"{seed} trip {i}")
        text = oval_part(chance) if i % 3 == 2 else round_part(chance)
        try:
            part = read(text, file=f"{i}.toml", title="Part").worked(terms=chance.choice(["US", "UK"]))
            solved = solve(part)
        except PlumplineError:
            told["no part"] += 1
            continue
        spelled = chance.random() < 0.5
        wrong = difference(solved, report(solved, spelled=spelled))
        told["differs" if wrong else "the same"] += 1
        if wrong:
            print(i, part.work.terms, "spelled" if spelled else "short", wrong, flush=True)
    print(dict(told))


if __name__ == "__main__":
    main()
