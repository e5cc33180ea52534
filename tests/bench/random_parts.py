"""Random sensible parts, solved one after the other: none may be without a form that should have one.

python -m tests.bench.random_parts round 3000 1     # how many, and the seed
python -m tests.bench.random_parts exact 3000 1     # the same round parts, rounds = "exact"
python -m tests.bench.random_parts oval 1000 1

A further number is the part to begin with.
Told: parts that were refused, and why; seconds by size; round parts whose plain rule comes nearer, forms with
a radius below nought, rounds of fewer than 4 stitches. All invented.
"""

from __future__ import annotations

import os
import random
import sys
import time
from collections import Counter

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from solver.errors import PlumplineError
from solver.partfile import read
from solver.search.plain_rule import rule_counts
from solver.solving.round import making_of
from solver.solving.solved import Solved, solve
from solver.wanted.part import Part

LONGEST = 540.0
"""Seconds after which no further part is begun."""
LEAST_WIDE = 8
"""Stitches round the widest place of a part that is sensible."""


def _gauge(chance: random.Random) -> tuple[str, float, float]:
    stitches = chance.uniform(13, 32)
    rows = stitches * chance.uniform(0.85, 1.15)
    firm = chance.choice(["light", "medium", "firm", "very firm"])
    text = f'[gauge]\nstitches = {stitches:.2f}\nrows = {rows:.2f}\n[stuffing]\nfirmness = "{firm}"\n'
    return text, 100 / stitches, 100 / rows


def round_part(chance: random.Random) -> str:
    """Return a part file of a ball, an egg, a spindle, a capsule, a cone, or a drawn outline."""
    text, w, h = _gauge(chance)
    width = max(chance.uniform(20, 160), LEAST_WIDE * w / np.pi)
    high = max(width * chance.uniform(0.7, 2.5), 5 * h)
    kind = chance.choice(["ball", "egg", "spindle", "capsule", "cone", "drawn"])
    if kind == "ball":
        shape = f'kind = "ball"\nwidth = {width:.1f}'
    elif kind == "drawn":
        heights = sorted(chance.uniform(0.08, 0.92) * high for _ in range(chance.randint(2, 5)))
        radii = [chance.uniform(0.35, 1.0) * width / 2 for _ in heights]
        points = ", ".join(f"[{r:.2f}, {z:.2f}]" for r, z in zip(radii, heights, strict=True))
        shape = f'kind = "outline"\npoints = [[0, 0], {points}, [0, {high:.2f}]]'
    else:
        high = max(high, 1.15 * width) if kind in ("capsule", "spindle") else high
        shape = f'kind = "{kind}"\nheight = {high:.1f}\nwidth = {width:.1f}'
    return f"{text}[shape]\n{shape}\n"


def oval_part(chance: random.Random) -> str:
    """Return a part file of an oval: seamed, open on a chain, or with a sole; 100 to 8,000 stitches."""
    text, w, _ = _gauge(chance)
    width = max(chance.uniform(30, 130), 2.5 * LEAST_WIDE * w / np.pi)
    length = width * chance.uniform(1.15, 2.6)
    high = width * chance.uniform(0.45, 1.2)
    finish = chance.choice(["seamed", "seamed", "open", "open", "cinched"])
    sole = chance.choice(["", '\nsole = "stiff"']) if finish != "cinched" else ""
    work = f'finish = "{finish}"{sole}'
    shape = f'kind = "oval"\nlength = {length:.1f}\nwidth = {width:.1f}\nheight = {high:.1f}'
    return f"{text}[shape]\n{shape}\n[work]\n{work}\n"


def _told(kind: str, number: int, solved: Solved) -> str:
    if kind == "oval":
        return ""
    wrong = []
    assert isinstance(solved.part, Part)
    plain = rule_counts(solved.part.outline, making_of(solved.part))
    worked = (plain[1:] <= 2 * plain[:-1]).all() and (2 * plain[1:] >= plain[:-1]).all()
    if worked and solved.plain_rule and solved.plain_rule[0] < solved.rms * (1 - 1e-3):
        wrong.append("plain nearer")
    if solved.form.outline[:, 0].min() < 0:
        wrong.append("radius below nought")
    if min(solved.piece.counts) < 4:
        wrong.append("fewer than 4 stitches")
    return ", ".join(wrong)


def main() -> None:
    """Solve them, and print what came of it."""
    kind, number, seed = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
    first = int(sys.argv[4]) if len(sys.argv) > 4 else 0
    times: list[tuple[int, float]] = []
    wrong: Counter[str] = Counter()
    started = time.monotonic()
    for i in range(first, number):
        if time.monotonic() - started > LONGEST:
            print(f"stopped before part {i}")
            break
        chance = random.Random(f"{seed} {kind.replace('exact', 'round')} {i}")
        text = oval_part(chance) if kind == "oval" else round_part(chance)
        text += '[work]\nrounds = "exact"\n' if kind == "exact" else ""
        begun = time.process_time()
        try:
            solved = solve(read(text, file=f"{i}.toml", title="Part"))
        except PlumplineError as error:
            wrong[type(error).__name__] += 1
            print(i, f"{time.process_time() - begun:.1f} s", str(error)[:200], flush=True)
            continue
        spent = time.process_time() - begun
        times.append((sum(solved.piece.counts), spent))
        if told := _told(kind, i, solved):
            wrong[told] += 1
            if len(sys.argv) > 5:
                print(i, told, solved.rms, solved.plain_rule, flush=True)
        if kind == "oval" and len(sys.argv) > 5:
            print(i, times[-1], f"rms {solved.rms:.2f}", flush=True)
    for low, high in ((0, 1000), (1000, 8000), (8000, 10**9)):
        some = [each[1] for each in times if low <= each[0] < high]
        if some:
            median, nine, most = np.quantile(some, [0.5, 0.9, 1.0])
            told = f"median {median:.2f} s, nine in ten {nine:.2f} s, most {most:.1f} s"
            print(f"{low} to {high} stitches: {len(some)} parts, {told}")
    print(f"{len(times)} solved; {dict(wrong)}")


if __name__ == "__main__":
    main()
