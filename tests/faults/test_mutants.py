"""Spoilt files of every kind: told, or read; never a traceback, and no file left by what ends with exit 2."""

from pathlib import Path

import pytest

from tests.bench.mutants import faults, made
from tests.faults.runner import MOST_MEMORY, run


@pytest.mark.parametrize(
    ("kind", "number", "words"),
    [
        ("parts", 60, ["rounds", "--out", "out.txt"]),
        ("drawings", 50, ["trace", "--height", "6 cm", "--out", "out.toml"]),
        ("models", 40, ["trace", "--height", "6 cm", "--out", "out.toml"]),
        ("pictures", 10, ["trace", "--height", "6 cm", "--out", "out.toml"]),
    ],
)
def test_mutants(kind: str, number: int, words: list[str], tmp_path: Path) -> None:
    """A sample of those that `tests/bench/mutants.py` makes by the thousand, from a fixed seed."""
    (inputs := tmp_path / "inputs").mkdir()
    (work := tmp_path / "work").mkdir()
    paths = made(kind, number, 1, inputs)
    every = run([[words[0], str(path), *words[1:]] for path in paths], folder=work)
    wrong = {path.name: told for path, ended in zip(paths, every, strict=True) if (told := faults(ended))}
    assert not wrong
    assert max(ended.memory for ended in every) < MOST_MEMORY
    assert {ended.code for ended in every} == {0, 2}  # both kinds are among them
