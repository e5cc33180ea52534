"""Ovals that once took minutes or found no balance, by hand: `python -m tests.bench.fault_ovals`."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from tests.faults.runner import run


def main() -> None:
    """Solve each in a process of its own, and print how it ended."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    for path in sorted((Path(__file__).parents[1] / "faults" / "ovals").iterdir()):
        with tempfile.TemporaryDirectory() as folder:
            (ended,) = run([["rounds", str(path), "--out", "out.txt"]], folder=Path(folder), most=600)
        print(f"{path.name}: exit {ended.code}, {ended.seconds:.1f} s, {ended.memory:.0f} MB", flush=True)


if __name__ == "__main__":
    main()
