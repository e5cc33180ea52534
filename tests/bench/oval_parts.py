"""Oval parts at four gauges: sizes, distance, what there is to read, time. Run by hand.

python -m tests.bench.oval_parts [--exact] [--save FILE] [--against FILE]
"""

import argparse
import json
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np

from solver.rounds import Finish, Piece
from solver.rounds.along_chain import things_to_read
from solver.search.oval_ends import changes
from solver.search.oval_plan import tolerances
from solver.search.oval_search import fit_oval
from solver.search.oval_trial import Trial, waist
from solver.wanted.part import Fit
from solver.wanted.stadium import Stadium, domed, seamed, soled
from tests.search.test_oval_plan import GAUGES, PARTS, making

SEED, EACH = 11, 6
"""Of the parts drawn at random (invented), and how many of each kind."""


def parts() -> Iterator[tuple[str, Stadium, dict[str, object]]]:
    """Yield the parts of the tests, then others at random: snouts, capsules, pads and hulls on a sole."""
    for name, (wanted, how) in PARTS.items():
        yield name, wanted, how
    draw = np.random.default_rng(SEED)
    for number in range(1, EACH + 1):
        width = draw.uniform(32, 52)
        snout = domed(
            length=width * draw.uniform(1.2, 1.7), width=width, height=width * draw.uniform(0.55, 0.75)
        )
        yield f"snout {number}", snout, {"finish": Finish.OPEN}
        width = draw.uniform(28, 50)
        capsule = seamed(length=width * draw.uniform(1.5, 3), width=width, height=width)
        yield f"capsule {number}", capsule, {"finish": Finish.SEAMED}
        width = draw.uniform(28, 44)
        length, height = width * draw.uniform(1.3, 1.9), width * draw.uniform(0.4, 0.5)
        pad = domed(length=length, width=width, height=height)
        yield f"pad {number}", pad, {"finish": Finish.OPEN}
        width = draw.uniform(40, 64)
        hull = soled(
            length=width * draw.uniform(1.7, 2.6), width=width, height=width * draw.uniform(0.75, 0.9)
        )
        yield f"hull {number}", hull, {"finish": Finish.SEAMED, "sole": hull.base}


def measured(
    wanted: Stadium, gauge: tuple[float, float], best: Trial, *, seconds: float, forms: int
) -> dict[str, float]:
    """Return what a part is judged by: misses over their tolerances, distances in stitches."""
    piece, off = best.piece, np.abs(best.miss[:3])
    how = making(wanted, gauge, {"finish": piece.finish})
    return {
        "off": float((off / tolerances(wanted, how)[:3]).max()),
        "rms": best.rms / gauge[0],
        "waist": waist(best.form),
        "alike": _alike(piece),
        "steps": changes(best.ends),
        "rounds": len(piece.rounds),
        "things": things_to_read(piece),
        "stitches": sum(piece.counts),
        "forms": forms,
        "seconds": seconds,
    }


def _alike(piece: Piece) -> int:
    """Return the shaped rounds whose two halves are the same words."""
    lines = [each.stitches for each in piece.rounds[1:]]
    return sum(line[: len(line) // 2] == line[len(line) // 2 :] for line in lines)


def told(row: dict[str, float]) -> str:
    """Return a row of the table."""
    return " ".join(f"{key} {value:.3g}" for key, value in row.items())


def compared(now: dict[str, dict[str, float]], old: dict[str, dict[str, float]]) -> None:
    """Print what changed against a saved table."""
    more = sorted((now[name]["rms"] - old[name]["rms"], name) for name in now)
    print("rms more than before, greatest, in stitches:", more[-5:])
    for key in ("steps", "things", "seconds", "forms"):
        print(key, "over before", sum(row[key] for row in now.values()) / sum(old[name][key] for name in now))


def main() -> None:
    """Print the table, and what changed against a saved one."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--exact", action="store_true", help="the nearest rounds, not the plain ones")
    parser.add_argument("--save", type=Path)
    parser.add_argument("--against", type=Path)
    asked = parser.parse_args()
    rows: dict[str, dict[str, float]] = {}
    fit = Fit.EXACT if asked.exact else Fit.PLAIN
    for name, wanted, how in parts():
        for gauge in GAUGES:
            began = time.process_time()
            found = fit_oval(wanted, replace(making(wanted, gauge, how), fit=fit))
            took = time.process_time() - began
            row = measured(wanted, gauge, found.best, seconds=took, forms=found.solved)
            rows[f"{name} {gauge[0]}"] = row
            print(f"{name:10} {gauge[0]:.2f} {told(row)}", flush=True)
    for word, of in (("mean", np.mean), ("most", np.max)):
        print(f"{word:15} {told({key: float(of([row[key] for row in rows.values()])) for key in row})}")
    if asked.save:
        asked.save.write_text(json.dumps(rows))
    if asked.against:
        compared(rows, json.loads(asked.against.read_text()))


if __name__ == "__main__":
    main()
