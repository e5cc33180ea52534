"""Whole reports of random parts, read back: python -m tests.bench.read_back [PARTS] [SEED].

The same rounds, start and finish, one part, and no problem told; whatever differs is printed.
"""

from __future__ import annotations

import random
import sys
import tempfile
from pathlib import Path

from solver.cli.report import report
from solver.cli.work import part_of, solved_part
from solver.errors import ConvergenceError, InputError
from solver.notation.convert import converted
from solver.notation.proof import proof_read

SHAPES = ("ball", "egg", "cone", "tube", "dome", "lens")


def part_file(rng: random.Random) -> str:
    """Return a part file with a shape, a gauge and a finish drawn at random."""
    shape = rng.choice(SHAPES)
    width = rng.uniform(20, 80)
    height = width if shape == "ball" else width * rng.uniform(0.6, 1.6)
    sizes = f"height = {height:.1f}" + ("" if shape == "ball" else f"\nwidth = {width:.1f}")
    start = "\nstart = 'open'" if shape == "tube" else ""
    kind = "staggered" if rng.random() < 0.7 else "stacked"
    return (
        f"[gauge]\nstitches = {rng.uniform(16, 40):.1f}\n[shape]\nkind = '{shape}'\n{sizes}\n"
        f"[work]\nincreases = '{kind}'{start}\n"
    )


def main() -> None:
    """Write, read back, compare."""
    numbers = [int(word) for word in sys.argv[1:] if word.isdigit()] or [100]
    rng = random.Random(numbers[1] if len(numbers) > 1 else 1)
    done = wrong = 0
    for _ in range(numbers[0]):
        text = part_file(rng)
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "part.toml"
            file.write_text(text, encoding="utf-8")
            try:
                solved = solved_part(part_of(file))
            except (InputError, ConvergenceError):
                continue
        for spelled in (False, True):
            page = report(solved, spelled=spelled)
            proof = proof_read(page)
            pieces = [one.piece for one in converted(proof)]
            done += 1
            if pieces != [solved.piece] or not proof.clean:
                wrong += 1
                told = [(line.line, one.message) for line in proof.lines for one in line.problems]
                print(text, spelled, told, [one.reason for one in converted(proof)], sep="\n")
    print(f"{done} reports, {wrong} read back otherwise")


if __name__ == "__main__":
    main()
