"""Runs commands one after the other in a process of its own, and prints what came of each.

Started as `python runner.py`, with a list of lists of words on its standard input (JSON).
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
MOST_MEMORY = 500
"""[MB]"""


@dataclass(frozen=True, slots=True)
class Ended:
    """How a command ended.

    Attributes
    ----------
    code : int
        Its exit code; 1 for a traceback.
    told : str
        What it told on standard error, or the traceback.
    out : str
        Its standard output.
    left : tuple of str
        Files that it left in the folder where it ran.
    seconds : float
        Of the processor.
    memory : float
        The most that it and those before it took. [MB]
    """

    code: int
    told: str
    out: str
    left: tuple[str, ...]
    seconds: float
    memory: float


def run(commands: Sequence[Sequence[str]], *, folder: Path, most: float = 120.0) -> list[Ended]:
    """Return how commands end, each run in an emptied folder; a process that is killed fails.

    Parameters
    ----------
    commands : sequence of sequences of str
        Each as on the command line.
    folder : Path
        An empty one.
    most : float
        Seconds for all of them.
    """
    ended = subprocess.run(
        [sys.executable, __file__],
        input=json.dumps([list(command) for command in commands]),
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=most,
    )
    assert ended.returncode == 0, ended.stderr[-2000:]
    return [Ended(**{**each, "left": tuple(each["left"])}) for each in json.loads(ended.stdout)]


def _one(command: list[str]) -> dict[str, object]:
    import traceback

    from click.testing import CliRunner

    from solver.cli import main

    begun = time.process_time()
    result = CliRunner().invoke(main, command)
    seconds = time.process_time() - begun
    code, told = result.exit_code, result.stderr
    if result.exception and not isinstance(result.exception, SystemExit):
        code, told = 1, "".join(traceback.format_exception(result.exception))
    left = sorted(path.name for path in Path().iterdir())
    for name in left:
        Path(name).unlink()
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return {
        "code": code,
        "told": told,
        "out": result.stdout,
        "left": left,
        "seconds": seconds,
        "memory": memory,
    }


if __name__ == "__main__":
    json.dump([_one(command) for command in json.load(sys.stdin)], sys.stdout)
