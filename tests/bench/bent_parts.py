"""Ten parts that bend, drawn by a seed: how near their forms come, if bends are alike, and how long it takes.

Run by hand: python tests/bench/bent_parts.py [seed]. The bars: end tilt within 5 degrees, middle line within
half a stitch, girths within 3 %, surface within 0.35 stitch (root mean square), under 6 s of one core each.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from itertools import groupby

import numpy as np

from solver.partfile import read
from solver.rounds.evenness import bends
from solver.solving.solved import Solved, solve
from solver.wanted.part import BentPart


def parts(seed: int) -> Iterator[tuple[str, str]]:
    """Yield names and part files: knees and elbows, feet, bellies."""
    rng = np.random.default_rng(seed)
    for i, (degrees, girth) in enumerate([(30, 80), (60, 80), (90, 80), (30, 110), (60, 110), (90, 110)]):
        radius = girth / (2 * np.pi) * rng.uniform(0.95, 1.05)
        over = np.radians(degrees) * radius / rng.uniform(0.6, 1.1)
        length = over + rng.uniform(70, 90)
        at = over / 2 + rng.uniform(32, 40)
        shape = (
            f'kind = "bent"\npoints = [[0, 0], [{0.7 * radius}, {0.28 * radius}], [{radius}, {radius}], '
            f"[{radius}, {length}]]\nbends = [{{ at = {at}, angle = {degrees}, over = {over} }}]"
        )
        yield f"{'knee' if i % 2 else 'elbow'} {degrees} of {girth}", shape
    for number in (1, 2):
        ankle = rng.uniform(18, 28)
        across = ankle * rng.uniform(1.1, 1.35)
        shape = (
            f'kind = "foot"\nlength = {across * 0.5 + ankle * rng.uniform(1.3, 1.6)}\nwidth = {across}\n'
            f"height = {across * rng.uniform(0.88, 1.0)}\nankle = {ankle}\nleg = {rng.uniform(20, 40)}"
        )
        yield f"foot {number}", shape
    for number in (1, 2):
        r = rng.uniform(24, 32)
        out, high = r * rng.uniform(1.15, 1.35), 2.4 * r
        at = rng.uniform(0.3, 0.45) * high
        shape = (
            f'kind = "belly"\nfront = [[0, 0], [{0.75 * out}, {0.08 * high}], [{out}, {at}], '
            f"[{0.75 * r}, {0.8 * high}], [0, {high}]]\nback = [[0, 0], [{0.75 * r}, {0.08 * high}], "
            f"[{0.95 * r}, {at}], [{0.72 * r}, {0.8 * high}], [0, {high}]]"
        )
        yield f"belly {number}", shape


def girths_off(solved: Solved) -> float:
    """Return how far girths of rounds lie off the wanted ones where these are over a third, on average."""
    part = solved.part
    assert isinstance(part, BentPart)
    wanted = part.wanted
    if wanted.is_level:  # rounds that lean have another girth; the widest is told
        return abs(float(solved.lie.girths.max()) / (np.pi * part.outline.width) - 1)
    off = []
    for girth, ring in zip(solved.lie.girths, solved.form.fabric.rings[1:], strict=False):
        middle = solved.points[ring].mean(axis=0)[[0, 2]]
        nearest = np.argmin(((wanted.spine - middle) ** 2).sum(axis=1))
        asked = 2 * np.pi * wanted.radius[nearest]
        if wanted.radius[nearest] > 0.95 * wanted.radius.max():
            off.append(abs(girth / asked - 1))
    return float(np.mean(off))


def main() -> None:
    """Print a line for each part."""
    seed = int(sys.argv[1]) if len(sys.argv) > 1 else 16
    gauge = "[gauge]\nstitches = 20\nrows = 21\n[shape]\n"
    for name, shape in parts(seed):
        part = read(gauge + shape, file=name, title=name)
        assert isinstance(part, BentPart)
        begun = time.process_time()
        solved = solve(part)
        took = time.process_time() - begun
        w = part.gauge.stitch_width
        tilt = abs(solved.lie.end_tilt) - abs(np.degrees(part.wanted.end_tilt))
        runs = sum(bent for bent, _ in groupby(map(bends, solved.piece.rounds)))
        kinds = len({this for this in solved.piece.rounds if bends(this)})
        ok = abs(tilt) < 5 and solved.lie.off_middle < w / 2 and girths_off(solved) < 0.03
        ok = ok and solved.rms < 0.35 * w and kinds <= runs and took < 6
        print(
            f"{name:18} tilt {tilt:+5.1f} deg, middle {solved.lie.off_middle / w:.2f} w, surface "
            f"{solved.rms / w:.2f} w, girth {girths_off(solved):5.1%}, {took:.1f} s, {kinds} of {runs} alike "
            f"{'ok' if ok else 'FALLS SHORT'}"
        )


if __name__ == "__main__":
    main()
