"""Spoilt files of every kind: told, or read; never a traceback, and no file left by what ends with exit 2."""

import random
from pathlib import Path

import pytest

from tests.bench.mutants import faults, made
from tests.faults import seeds
from tests.faults.nearly import PARTS, nearly
from tests.faults.runner import MOST_MEMORY, run


@pytest.mark.parametrize(
    ("kind", "number", "words"),
    [
        ("parts", 40, ["rounds", "--out", "out.txt"]),
        ("gauges", 20, ["rounds", "--out", "out.txt"]),
        ("drawings", 30, ["trace", "--height", "6 cm", "--out", "out.toml"]),
        ("models", 25, ["trace", "--height", "6 cm", "--out", "out.toml"]),
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


def test_files_nearly_as_they_should_be(tmp_path: Path) -> None:
    """Values a little off, legal words in other places: a sample of what `tests/bench/nearly.py` tries."""
    (inputs := tmp_path / "inputs").mkdir()
    (work := tmp_path / "work").mkdir()
    commands = []
    for i in range(12):
        name = ("wing.toml", "ear.toml", "insole.toml", "tube.toml", "lean.toml", "plain.toml")[i % 6]
        path = inputs / f"{i}-{name}"
        path.write_bytes(nearly(PARTS[name], random.Random(f"test {i}")))
        commands.append(["rounds", str(path), *([["--json"], ["--out", "out.txt"]][i // 6 % 2])])
    every = run(commands, folder=work)
    wrong = {" ".join(words): faults(ended) for words, ended in zip(commands, every, strict=True)}
    assert not any(wrong.values()), wrong
    assert sum(not ended.code for ended in every) > 3
    told = " ".join(ended.out for words, ended in zip(commands, every, strict=True) if "--json" in words)
    assert "NaN" not in told
    assert "Infinity" not in told


_SHEET = '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="80mm" viewBox="0 0 80 80">{}</svg>'


def test_what_such_mutants_found(tmp_path: Path) -> None:
    """Two points of a spine in one place, no rows for a limb, a hand on an arm that is told of itself."""
    (inputs := tmp_path / "inputs").mkdir()
    (work := tmp_path / "work").mkdir()
    spine, limb, toy = (inputs / name for name in ("spine.toml", "limb.svg", "toy.svg"))
    spine.write_bytes(seeds.PARTS["spine.toml"].replace(b"[0, 20]", b"[0, 0]"))
    limb.write_text(_SHEET.format('<path d="M20,75 L20,40 C20,15 30,8 50,8 L52,20 C38,20 33,28 33,75 Z"/>'))
    body = '<ellipse id="body" cx="40" cy="80" rx="24" ry="32"/><circle id="arm" cx="77.9" cy="80" r="14"/>'
    toy.write_text(_SHEET.format(f'{body}<circle id="hand" cx="78" cy="80" r="5"/>'))
    every = run(
        [
            ["rounds", str(spine)],
            ["trace", str(limb), "--limb", "--height", "6 cm", "--rows", "0"],
            ["toy", str(toy), "--height", "9 cm"],
        ],
        folder=work,
    )
    assert [ended.code for ended in every] == [2, 2, 2], [ended.told for ended in every]
    assert not any(ended.left for ended in every)
    assert "spine.toml" in every[0].told
