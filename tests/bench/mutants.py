"""Spoilt files of every kind: `python -m tests.bench.mutants [number] [seed] [kinds]`; no traceback, no file.

A third of the number are part files told as `rounds`, the rest is traced: 15,000 give 5,000 pictures,
drawings and models and 10,000 part files.
"""

from __future__ import annotations

import random
import sys
import tempfile
from collections import Counter
from pathlib import Path

from tests.faults import seeds
from tests.faults.mutants import mutant
from tests.faults.runner import Ended, run

BATCH = 250


def made(kind: str, number: int, seed: int, folder: Path) -> list[Path]:
    """Write mutants of a kind of file to a folder; return their paths."""
    whole = {
        "parts": lambda: seeds.PARTS,
        "gauges": lambda: seeds.GAUGES,
        "drawings": seeds.drawings,
        "models": seeds.models,
    }
    files = sorted(whole.get(kind, seeds.pictures)().items())
    paths = []
    for i in range(number):
        chance = random.Random(f"{seed} {kind} {i}")
        name, content = files[i % len(files)]
        path = folder / f"{i}-{name}"
        path.write_bytes(mutant(content, chance))
        if kind == "gauges":  # what is read is a part file that names it
            named = f'gauge = "{path.name}"\n[shape]\nkind = "ball"\nwidth = "4 cm"\n'
            (path := path.with_name(f"{i}-ball.toml")).write_text(named, encoding="utf-8")
        paths.append(path)
    return paths


def faults(ended: Ended) -> str:
    """Return what is wrong with how a command ended; empty for nothing."""
    if ended.code not in (0, 2):
        frames = [line for line in ended.told.splitlines() if "/solver/" in line]
        return f"{ended.told.strip().splitlines()[-1][:150]} | {frames[-1].strip()[-60:] if frames else ''}"
    if ended.code == 2 and (ended.left or not ended.told.strip()):
        return f"left {ended.left}" if ended.left else "nothing told"
    return ""


def main() -> None:
    """Run them in batches, and print how they ended."""
    number, seed = ([int(word) for word in sys.argv[1:3]] + [15_000, 1][len(sys.argv) - 1 :])[:2]
    kinds = sys.argv[3:] or ["parts", "gauges", "drawings", "models", "pictures"]
    for kind in kinds:
        many = number * 2 // 3 if kind == "parts" else number // 9
        codes: Counter[int] = Counter()
        wrong: dict[str, str] = {}
        slowest, most = 0.0, 0.0
        for first in range(0, many, BATCH):
            with tempfile.TemporaryDirectory() as work, tempfile.TemporaryDirectory() as inputs:
                paths = made(kind, min(BATCH, many - first), seed * 1000 + first // BATCH, Path(inputs))
                words = (
                    ["--out", "out.txt"]
                    if kind in ("parts", "gauges")
                    else ["--height", "6 cm", "--out", "out.toml"]
                )
                command = "rounds" if kind in ("parts", "gauges") else "trace"
                every = run([[command, str(path), *words] for path in paths], folder=Path(work), most=3600)
                for path, ended in zip(paths, every, strict=True):
                    codes[ended.code] += 1
                    slowest, most = max(slowest, ended.seconds), max(most, ended.memory)
                    if (told := faults(ended)) and told not in wrong:
                        wrong[told] = path.name
                        kept = Path(tempfile.gettempdir()) / f"mutant-{path.name}"
                        kept.write_bytes(path.read_bytes())
        print(f"{kind}: {many} files, ended {dict(codes)}, slowest {slowest:.1f} s, most {most:.0f} MB")
        for told, name in wrong.items():
            print(f"  {name}: {told}")


if __name__ == "__main__":
    main()
