"""Whole reports and sheets of random parts, read back: the same rounds, start and finish, no problem told.

python -m tests.bench.round_trips 400 1 [FIRST]           # how many parts, the seed, and where to begin
python -m tests.bench.round_trips 400 1 0 oval,bent       # of some kinds alone

Parts of every kind (`every_kind`), plain and exact, staggered and stacked, joined, in colours. Each is
written ten times: in US and UK terms, short and spelled, with all that `--full` tells, its bare lines in two
languages, and three sheets (text, one also as a page) in copies drawn by lot. Nothing is read in part. All
invented.
"""

from __future__ import annotations

import os
import random
import sys
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from solver.cli.report import report
from solver.cli.sheetpictures import charts_of
from solver.errors import PlumplineError
from solver.notation.convert import converted
from solver.notation.proof import Proof, proof_read
from solver.notation.writer import write_rounds
from solver.partfile import read
from solver.rounds import Finish
from solver.sheet.contents import SheetPart, Whole, sheet_of
from solver.sheet.model import Copy, Sheet
from solver.solving.solved import Solved, solve
from solver.wanted.own_lines import OwnLines
from tests.bench.every_kind import any_part
from tests.bench.sheets_read_back import LANGUAGES, copies, texts, told, without_pictures

TITLES = (
    "Part", "Mooring buoy", "Puffin's foot", "Seal: left flipper", "Buoy no. 3", "Crab claw (make 2)",
    "Robbe", "Patte du macareux", "12 cm fender", "Gull's eye, right",
)  # fmt: skip
DECK = (
    "round", "oval", "tube", "bent", "round", "rows", "folded", "round", "oval", "foot", "tube", "rows",
    "bent", "flat oval", "belly", "folded",
)  # fmt: skip
"""Kinds of parts, in turn."""
SAYS = {Finish.SEAMED: "seamed", Finish.CINCHED: "cinched", Finish.OPEN: "open"}


def difference(solved: Solved, page: str) -> str:
    """Return how a page that is read differs from the part that it was written of; empty for nothing."""
    proof = proof_read(page)
    for line in proof.lines:
        if line.problems:
            return f"line {line.line} {line.text!r}: {line.problems[0].message}"
        if line.fit is not None and line.fit.at_word:
            return f"line {line.line} {line.text!r}: read in part"
    parts = converted(proof)
    if len(parts) != 1 or parts[0].piece is None:
        return f"{len(parts)} parts, {parts[0].reason if parts else 'none'}"
    piece, wanted = parts[0].piece, solved.piece
    if piece.counts != wanted.counts:
        return "other counts"
    if piece.rounds != wanted.rounds:
        return "other rounds"
    if piece.start is not wanted.start or piece.finish is not wanted.finish:
        return f"{piece.start}, {piece.finish} for {wanted.start}, {wanted.finish}"
    return _otherwise(proof, solved)


def _otherwise(proof: Proof, solved: Solved) -> str:
    """Return what is said of the last edge, or of colours, that is not so."""
    said = proof.endings[0]
    if said not in (SAYS[solved.piece.finish], "closed", "opened"):
        return f"ends {said!r}"
    read = [own for line in proof.lines for own in line.colours]
    return "other colours" if read and read != [*solved.colours] else ""


def main() -> None:
    """Solve, write and read, and print every difference."""
    number, seed = int(sys.argv[1]), int(sys.argv[2])
    first = int(sys.argv[3]) if len(sys.argv) > 3 else 0
    deck = sys.argv[4].split(",") if len(sys.argv) > 4 else DECK
    without_pictures()
    counted: Counter[str] = Counter()
    begun = time.monotonic()
    for i in range(first, first + number):
        if time.monotonic() - begun > LONGEST:
            print(f"stopped before part {i}")
            break
        kind = deck[i % len(deck)]
        chance = random.Random(f"{seed} trip {i} {kind}")
        try:
            solved = solve(read(any_part(chance, kind), file=f"{i}.toml", title=chance.choice(TITLES)))
        except PlumplineError as error:
            counted["no part"] += 1
            print(i, kind, "no part:", " ".join(str(error).split())[:220], flush=True)
            continue
        counted[kind] += 1
        for how, page in _pages(solved, chance):
            wrong = difference(solved, page)
            counted["differs" if wrong else "the same"] += 1
            if wrong:
                print(i, kind, how, wrong, flush=True)
                if KEEP:
                    (Path(KEEP) / f"{seed}-{i}-{how.replace(' ', '-')}.txt").write_text(
                        page, encoding="utf-8"
                    )
    print(dict(counted))


KEEP = os.environ.get("KEEP_PAGES", "")
"""A folder for pages that differ."""
LONGEST = 520.0
"""Seconds after which no further part is begun."""


def _pages(solved: Solved, chance: random.Random) -> Iterator[tuple[str, str]]:
    """Yield reports, lines and sheets of a part, each with how it was written."""
    for terms in ("US", "UK"):
        there = solved.part.worked(terms=terms)
        one = replace(solved, part=there)
        for spelled in (False, True):
            yield f"{terms} {'spelled' if spelled else 'short'}", report(one, spelled=spelled)
    yield "full", report(solved, spelled=chance.random() < 0.3, full=True)
    for language in chance.sample(LANGUAGES[2:], 2):
        lines = write_rounds(
            solved.piece, terms=language, stuffed=solved.part.is_stuffed, colours=solved.colours
        )
        yield language, "\n".join(line.text for line in lines)
    for i, copy in enumerate(chance.sample(COPIES, 3)):
        forms = dict(texts(_sheet(solved, copy, chance), pdf=False))
        yield f"{told(copy)} txt", forms["txt"]
        if not i:
            yield f"{told(copy)} html", forms["html"]


COPIES = list(copies())


def _sheet(solved: Solved, copy: Copy, chance: random.Random) -> Sheet:
    """Return the sheet of a part, some with the designer's own lines."""
    own = OwnLines(
        by="Shop by the quay", thanks="Thank you for making it.", hook="3 mm", yarn="cotton, 8 ply"
    )
    title = solved.part.title
    part = SheetPart(name=title, solved=solved, charts=charts_of(solved, copy, title))
    return sheet_of(Whole(title=title, lines=chance.choice([OwnLines(), own])), [part], copy)


if __name__ == "__main__":
    main()
