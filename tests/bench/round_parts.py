"""Round parts: how quick a form and a whole run are, and how near the solved rounds come. Run by hand:

python -m tests.bench.round_parts            # speed
python -m tests.bench.round_parts shapes     # ten outlines at ten gauges and all firmnesses: some minutes
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # one core, as the figures are quoted

import numpy as np
from scipy.optimize import minimize

from solver.form.ring_balance import Balance, RingFabric
from solver.form.rings import _flat_guess, ring_form
from solver.partfile import read
from solver.solving.solved import solve
from solver.wanted.gauge import FIRMNESS

GAUGES = [(20, 20), (18, 19), (22, 24), (24, 25), (26, 28), (16, 17), (20, 22), (13, 14), (28, 30), (22, 20)]
"""Stitches and rounds to 10 cm: rows 0.86 to 1.1 times as tall as stitches are wide. Invented."""


def _drawn(points: str) -> str:
    return f'kind = "outline"\npoints = [{points}]'


SHAPES = {
    "ball": 'kind = "ball"\nwidth = 70',
    "egg": 'kind = "egg"\nheight = 85\nwidth = 62',
    "spindle": 'kind = "spindle"\nheight = 110\nwidth = 50',
    "necked pear": _drawn("[0,0],[22,6],[33,28],[24,55],[15,72],[17,88],[10,99],[0,103]"),
    "skittle": _drawn("[0,0],[20,4],[27,30],[20,60],[11,85],[14,105],[10,118],[0,124]"),
    "lentil": 'kind = "spheroid"\nheight = 56\nwidth = 76',
    "drop": _drawn("[0,0],[25,8],[34,32],[24,60],[8,90],[0,102]"),
    "pill": 'kind = "capsule"\nheight = 94\nwidth = 44',
    "small ball": 'kind = "ball"\nwidth = {small}',
    "bottle": _drawn("[0,0],[18,4],[27,18],[28,45],[26,60],[14,78],[10,90],[10,105],[7,111],[0,114]"),
}
"""Invented. The small ball has 21 stitches round at its gauge."""


def _best(call: Callable[[], object], *, times: int) -> float:
    spent = []
    for _ in range(times):
        begun = time.perf_counter()
        call()
        spent.append(time.perf_counter() - begun)
    return min(spent)


def _capsule(rounds: int) -> RingFabric:
    rows = np.arange(1, rounds + 1)
    counts = np.minimum(np.round(2 * np.pi * np.minimum(rows, rows[::-1])), 36.0)
    return RingFabric.from_counts(counts, stitch_width=5.0, row_height=5.0)


def forms() -> None:
    """Print the time of a form, and scipy's general minimiser on the same energy."""
    for rounds in (20, 100, 500):
        fabric = _capsule(rounds)
        own = _best(partial(ring_form, fabric, pressure=0.003), times=9)
        print(f"form of {rounds} rounds: {own * 1e3:.1f} ms", end="")
        if rounds <= 100:
            balance = Balance(fabric, 0.003)
            begun = time.perf_counter()
            found = minimize(
                balance.energy, _flat_guess(fabric).ravel(), jac=balance.gradient, method="L-BFGS-B",
                options={"maxiter": 20_000, "maxfun": 40_000, "ftol": 1e-15, "gtol": 1e-9},
            )  # fmt: skip
            general = time.perf_counter() - begun
            left = balance.residual(balance.gradient(found.x))
            told = f"scipy's L-BFGS-B takes {general / own:.0f} times as long, to a residual of {left:.1g}"
            print(f"; {told}", end="")
        print()


def runs() -> None:
    """Print the time of whole runs, with Python's start, and of the imports alone."""
    with tempfile.TemporaryDirectory() as folder:
        for rounds, shape in ((30, 'kind = "egg"\nheight = 110\nwidth = 80'),
                              (200, 'kind = "capsule"\nheight = 950\nwidth = 120')):  # fmt: skip
            file = Path(folder) / f"{rounds}.toml"
            file.write_text(f"[gauge]\nstitches = 20\nrows = 20\n[shape]\n{shape}\n")
            command = [sys.executable, "-m", "solver", "rounds", str(file)]
            run = partial(subprocess.run, command, check=True, capture_output=True)
            spent = _best(run, times=5)
            print(f"plumpline rounds, about {rounds} rounds: {spent:.2f} s")
    command = [sys.executable, "-c", "import solver.cli, solver.partfile, solver.solving.round"]
    print(f"imports: {_best(lambda: subprocess.run(command, check=True), times=5):.2f} s")


def shapes() -> None:
    """Print how near the solved rounds come, in stitch widths, against the plain rule."""
    every, gain = [], []
    for name, shape in SHAPES.items():
        found = []
        for stitches, rows in GAUGES:
            small = f"{21 * 100 / stitches / np.pi:.3f}"
            for firmness in FIRMNESS:
                text = (
                    f'[gauge]\nstitches = {stitches}\nrows = {rows}\n[stuffing]\nfirmness = "{firmness}"\n'
                    f"[shape]\n{shape.replace('{small}', small)}\n"
                )
                solution = solve(read(text, file=name, title=name))
                found.append(solution.deviation.rms / solution.part.gauge.stitch_width)
                if solution.plain_rule:
                    gain.append(solution.plain_rule[0] / solution.deviation.rms)
        every += found
        print(f"{name:18} rms {np.median(found):.3f} w in the median, {max(found):.3f} w at the worst")
    print(f"all: {np.median(every):.3f} w in the median, {max(every):.3f} w at the worst,")
    print(f"{np.mean(np.array(every) > 0.12):.1%} of them over 0.12 w;")
    print(f"{np.median(gain):.1f} times nearer than the plain rule in the median")


if __name__ == "__main__":
    if "shapes" in sys.argv:
        shapes()
    else:
        forms()
        runs()
