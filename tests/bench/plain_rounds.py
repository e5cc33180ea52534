"""Plain rounds against exact ones: what they save to read and what they cost in shape. Run by hand:

python -m tests.bench.plain_rounds            # ten outlines, each seed at other gauges and firmnesses; balls
python -m tests.bench.plain_rounds speed      # plain against exact from the shell, as a ratio
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # one core, as the figures are quoted

import numpy as np

from solver.rounds import Finish, Piece, Start
from solver.rounds.reading import changes_of_step, words_to_read
from solver.rounds.shaping import shaped_piece
from solver.search.making import Making
from solver.search.plain_judge import SIZE_ROWS, SIZE_SHARE
from solver.search.round_counts import Fit, fit
from solver.wanted.gauge import FIRMNESS, Gauge, Stuffing
from solver.wanted.outline import Outline
from solver.wanted.part import TOLERANCE
from solver.wanted.silhouette import deviation
from tests.outlines import GAUGES, WANTED, ball

SEEDS = range(10)
BALLS = (30, 36, 42, 48, 54, 60)


def making(outline: Outline, gauge: Gauge, firmness: str) -> Making:
    """Return how a closed part is made in plain rounds."""
    return Making(
        stitch_width=gauge.stitch_width,
        row_height=gauge.row_height,
        pressure=Stuffing.of_firmness(firmness).pressure(outline.width / 2),
        tolerance=TOLERANCE,
    )


def piece_of(found: Fit) -> Piece:
    """Return the rounds of counts begun with a ring."""
    return shaped_piece(found.counts.tolist(), start=Start.RING, finish=Finish.CINCHED)


def of_one_repeat(found: Fit) -> tuple[int, int]:
    """Return the shaped rounds whose increases or decreases divide what they are worked into, and all."""
    below, steps = found.counts[:-1], np.abs(np.diff(found.counts))
    shaped = steps > 0
    return int(np.sum(below[shaped] % steps[shaped] == 0)), int(shaped.sum())


def sizes_off(found: Fit, outline: Outline, row: float) -> float:
    """Return how far the worse of height and width is off, over max(1.5 %, half a row)."""
    off = deviation(found.form.points, outline)
    pairs = ((off.height, outline.height), (off.width, outline.width))
    return max(abs(apart) / max(SIZE_SHARE * size, SIZE_ROWS * row) for apart, size in pairs)


def outlines() -> None:
    """Print the bars over ten outlines, for each seed and in all."""
    every = []
    for seed in SEEDS:
        rows = []
        for i, wanted in enumerate(WANTED.values()):
            gauge = GAUGES[(i + seed) % len(GAUGES)]
            outline = wanted(gauge)
            plain = fit(outline, making(outline, gauge, list(FIRMNESS)[(i + seed) % len(FIRMNESS)]))
            exact = plain.exact or plain
            pieces = [piece_of(one) for one in (plain, exact)]
            rms = [deviation(one.form.points, outline).rms / gauge.stitch_width for one in (plain, exact)]
            rows.append(
                [
                    *of_one_repeat(plain),
                    *(words_to_read(one) for one in pieces),
                    *(changes_of_step(one) for one in pieces),
                    *rms,
                    sizes_off(plain, outline, gauge.row_height),
                    sizes_off(exact, outline, gauge.row_height),
                ]
            )
        every += rows
        told(f"seed {seed}", np.array(rows))
    told("all", np.array(every))


def told(name: str, found: np.ndarray) -> None:
    """Print the bars over some parts."""
    one, shaped, words, exact_words, turns, exact_turns, rms, exact_rms, size, exact_size = found.T
    print(
        f"{name:7} one repeat {one.sum() / shaped.sum():.1%};",
        f"rms {np.median(rms):.3f}, worst {rms.max():.3f}",
        f"(exact {np.median(exact_rms):.3f}); size {size.max():.2f} of what it may be off",
        f"(exact {exact_size.max():.2f}), over it {np.mean(size > 1):.0%};",
        f"to read {words.sum() / exact_words.sum():.0%};",
        f"changes of step {turns.sum() / exact_turns.sum():.0%}",
    )


def balls() -> None:
    """Print balls of sixes at three gauges."""
    for ratio in (0.9, 0.96, 1.0):
        gauge = Gauge(stitch_width=5.0, row_height=5.0 * ratio)
        for stitches in BALLS:
            outline = ball(stitches * 5.0 / np.pi)
            found = fit(outline, making(outline, gauge, "medium"))
            off = deviation(found.form.points, outline).rms / 5.0
            print(f"{stitches} round, rows {ratio}: {off:.3f} {found.counts.tolist()}")


def speed() -> None:
    """Print how much longer plain rounds take than exact ones, from the shell."""
    with tempfile.TemporaryDirectory() as folder:
        for name, shape in (("30 rounds", 'kind = "egg"\nheight = 110\nwidth = 80'),
                            ("200 rounds", 'kind = "capsule"\nheight = 950\nwidth = 120')):  # fmt: skip
            spent: dict[str, list[float]] = {"plain": [], "exact": []}
            for _ in range(5):
                for rounds, times in spent.items():
                    file = Path(folder) / "part.toml"
                    file.write_text(
                        f"[gauge]\nstitches = 20\nrows = 20\n[shape]\n{shape}\n[work]\nrounds = '{rounds}'\n"
                    )
                    begun = time.perf_counter()
                    command = [sys.executable, "-m", "solver", "rounds", str(file)]
                    subprocess.run(command, check=True, capture_output=True)
                    times.append(time.perf_counter() - begun)
            best = {rounds: min(times) for rounds, times in spent.items()}
            ratio = best["plain"] / best["exact"]
            print(f"{name}: plain {best['plain']:.2f} s, {ratio:.2f} times exact ({best['exact']:.2f} s)")


if __name__ == "__main__":
    if "speed" in sys.argv:
        speed()
    else:
        outlines()
        balls()
