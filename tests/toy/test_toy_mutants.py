"""Toy files with anything wrong in them: told, all at once, and never more than told."""

import random
from pathlib import Path

import pytest

from solver.errors import InputError
from solver.toy.toyfile import load_toy, read_toy

SAMPLES = Path(__file__).parents[2] / "samples"
VALUES = (
    "-1", "0", "1e9", "nan", "inf", '""', '"top"', "true", "[]", "{}", '"x y"', "[[0, 0]]", '"-3 mm"',
    '"body"', "0x10", "1979-05-27", "99999999999999999999",
    '{ height = "9999 mm" }', "{ round = 3 }", '"\\u0000"',
)  # fmt: skip
KEYS = (
    "on", "at", "join", "twins", "make", "lean", "spin", "front", "edge", "chain", "eyes", "file", "shape",
    "work", "drawing", "gauge", "nonsense",
)  # fmt: skip


def mutated(text: str, rng: random.Random) -> str:
    """Return a text with one to three lines changed, dropped, doubled, moved or added."""
    lines = text.splitlines()
    for _ in range(rng.randint(1, 3)):
        at = rng.randrange(len(lines))
        way = rng.randrange(6)
        if way == 0:
            del lines[at]
        elif way == 1:
            lines.insert(at, lines[at])
        elif way == 2 and "=" in lines[at]:
            lines[at] = f"{lines[at].split('=')[0]}= {rng.choice(VALUES)}"
        elif way == 3:
            lines.insert(at, f"{rng.choice(KEYS)} = {rng.choice(VALUES)}")
        elif way == 4 and lines[at]:
            where = rng.randrange(len(lines[at]))
            lines[at] = lines[at][:where] + rng.choice('[]{}"=.#,\\ x9') + lines[at][where + 1 :]
        else:
            lines.append(lines[at])
        if not lines:
            return ""
    return "\n".join(lines)


@pytest.mark.parametrize("name", ["seal", "puffin", "tug"])
def test_mutants(name: str) -> None:
    """150 mutants of each sample: read, or told with a sentence and what to do; no other error."""
    rng = random.Random(13)
    text = (SAMPLES / name / f"{name}.toml").read_text(encoding="utf-8")
    refused = read = 0
    for _ in range(150):
        try:
            read_toy(mutated(text, rng), file="toy.toml", title="T", folder=SAMPLES / name)
        except InputError as error:
            refused += bool(error.problems) and all(each.rule for each in error.problems)
        else:
            read += 1
    assert refused + read == 150
    assert refused > 40


FAULTS = (
    ("lean = -20", "lean = 999", "lean"),
    ("turn = 34 }\ntwins = true", "turn = 0 }\ntwins = true", "left and right of the middle of the front"),
    ('[parts.tail]\non = "body"', '[parts.tail]\non = "boody"', '"boody"'),
    ("[parts.flipper]\n", "[parts.flipper]\nnonsense = 3\n", '"nonsense"'),
    ('diameter = "8 mm"\nat = { height = "8 mm"', 'diameter = "-8 mm"\nat = { height = "8 mm"', "-8 mm"),
    ("stitches = 24", "stitches = 2400", "stitch width"),
)


def test_all_at_once() -> None:
    """Six faults in six places of one file are six messages of one error, each with its line."""
    text = (SAMPLES / "seal" / "seal.toml").read_text(encoding="utf-8")
    for old, new, _ in FAULTS:
        assert old in text, old
        text = text.replace(old, new, 1)
    with pytest.raises(InputError) as caught:
        read_toy(text, file="seal.toml", title="Seal", folder=SAMPLES / "seal")
    told = [str(problem) for problem in caught.value.problems]
    for _, _, words in FAULTS:
        assert any(words in each for each in told), (words, told)
    assert all("line" in each for each in told)
    assert len(told) == len(FAULTS), told


def test_files_in_files(tmp_path: Path) -> None:
    """A fault in each of two part files is told by that file's own name, both at once."""
    for name, shape in (("one", "bal"), ("two", "cyl")):
        (tmp_path / f"{name}.toml").write_text(
            f'[gauge]\nstitches = 20\nrows = 22\n[shape]\nkind = "{shape}"\n', encoding="utf-8"
        )
    toy = tmp_path / "toy.toml"
    toy.write_text(
        '[parts.one]\nfile = "one.toml"\n[parts.two]\nfile = "two.toml"\non = "one"\nat = "top"\n'
        '[parts.three]\nfile = "three.toml"\non = "one"\nat = "top"\n',
        encoding="utf-8",
    )
    with pytest.raises(InputError) as caught:
        load_toy(toy)
    told = [str(problem) for problem in caught.value.problems]
    for name in ("one.toml", "two.toml", "three.toml"):
        assert any(name in each for each in told), told
