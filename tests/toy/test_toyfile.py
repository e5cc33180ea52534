"""The toy file: what it tells, and everything that can be wrong in it, told at once by line."""

from pathlib import Path

import pytest

from solver.errors import InputError
from solver.partfile.source import is_toy
from solver.toy.model import Join
from solver.toy.toyfile import load_toy, read_toy

SAMPLES = Path(__file__).parents[2] / "samples"

GOOD = """title = "Buoy with a flag"
[gauge]
stitches = 20
rows = 20
lean = 0.1
[stuffing]
firmness = "firm"

[parts.body.shape]
kind = "ball"
width = "60 mm"

[parts.flag]
on = "body"
at = { height = "40 mm", turn = 60 }
twins = true
join = "flat"
lean = 10

[parts.flag.shape]
kind = "outline"
points = [[0, 0], [10, 4], [12, 20]]

[[parts.body.eyes]]
diameter = "9 mm"
at = { round = 6, stitch = 9 }
"""


def read(text: str):
    """Read a toy file's text."""
    return read_toy(text, file="toy.toml", title="Toy", folder=SAMPLES)


def test_what_it_tells() -> None:
    """Parts with their places, joins, twins and eyes, under one gauge."""
    toy = read(GOOD)
    body, flag = toy.parts
    assert (toy.title, toy.lean, body.on, flag.on) == ("Buoy with a flag", 0.1, "", "body")
    assert (flag.join, flag.make, flag.lean, flag.edge) == (Join.FLAT, 2, 10.0, "finish")
    assert flag.part.gauge.stitch_width == 5.0
    assert body.eyes[0].at.round == 6
    assert body.part.supplies.extras[0].diameter == 9.0
    assert "line 15" in flag.where


def test_parts_in_files() -> None:
    """A part may be in a file of its own, which keeps its own gauge."""
    toy = read('[parts.body]\nfile = "buoy.toml"\n[parts.head]\nfile = "gull-head.toml"\non = "body"\n'
               'at = "top"\njoin = "pressed"\n')  # fmt: skip
    assert toy.parts[1].part.gauge.stitch_width == pytest.approx(100 / 24)


FAULTS = [
    ('kind = "ball"', 'kind = "bal"', r'\[parts.body.shape\] kind, line 10: .*Did you mean "ball"'),
    ('on = "body"', 'on = "bdy"', r'\[parts.flag\] on, line 14: .*got "bdy".*Did you mean "body"'),
    ('on = "body"', 'on = "flag"', r"\[parts.flag\] on, line 14: .*itself"),
    ('on = "body"\n', "", r"\[parts.flag\] on, line 13: every part but the first sits on another"),
    ('height = "40 mm"', 'height = "40 miles"', r"\[parts.flag\] at, line 15: a length is in mm"),
    ("turn = 60", "turn = 60, stitch = 3", r"\[parts.flag\] at, line 15: a place is told by height"),
    ("turn = 60", "turn = 0", r"\[parts.flag\] at, line 15: twins are left and right"),
    ("turn = 60", "trun = 60", r'"trun" is not a key of at.*Did you mean "turn"'),
    ('at = { height = "40 mm", turn = 60 }', 'at = "top"', r"line 15: twins are two left and right"),
    ('at = { height = "40 mm", turn = 60 }\n', "", r"\[parts.flag\] at, line 13: at is missing"),
    ('join = "flat"', 'join = "flaat"', r'\[parts.flag\] join, line 17: .*Did you mean "flat"'),
    ('join = "flat"', 'join = "pressed"', r"line 17: .*pressed.*has an open edge"),
    ("[10, 4], [12, 20]]", "[10, 4], [0, 20]]", r'line 17: join = "flat" needs an open edge'),
    ('join = "flat"', 'join = "worked in"', r"\[parts.flag\] at, line 15: .*needs the round"),
    ("twins = true", "twins = true\nmake = 3", r"\[parts.flag\] make, line 17: twins are two"),
    ("lean = 10", "lean = 400", r"\[parts.flag\] lean, line 18: lean is degrees downward"),
    ("twins = true", "twin = true", r'"twin" is not a key.*Did you mean "twins"'),
    ("rows = 20", "rows = -20", r"\[gauge\] rows, line 4: rows is the number of ro"),
    ('firmness = "firm"', 'firmness = "frim"', r'line 7: .*Did you mean "firm"'),
    ('diameter = "9 mm"', 'diameter = "0 mm"', r"\[parts.body\] eyes.diameter, entry 1, line 25: "),
    ("[parts.body.shape]", '[parts.body]\non = "flag"\n[parts.body.shape]', r"the first part stands on the"),
    ('kind = "ball"\n', "", r"\[parts.body.shape\] kind, line 9: kind is missing"),
    ("[parts.flag]\n", '[parts.flag]\nfile = "nothing.toml"\n', r"in a file of its own or in tables here"),
    ("[parts.flag.shape]\n", "[parts.flag.form]\n", r"a part has a file, or a shape of its own"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("good", "bad", "told"), FAULTS, ids=[bad.strip() or good for good, bad, _ in FAULTS]
)
def test_one_fault(good: str, bad: str, told: str) -> None:
    """A fault is told with its table, key and line, and with what to do."""
    assert good in GOOD
    with pytest.raises(InputError, match=told):
        read(GOOD.replace(good, bad))


def test_all_at_once() -> None:
    """Faults of gauge, parts, places and part files are all told together, in the order of the file."""
    text = GOOD
    for good, bad in (
        ("rows = 20", "rows = -20"),
        ('kind = "ball"', 'kind = "bal"'),
        ("turn = 60", "turn = 0"),
        ('join = "flat"', 'join = "fla"'),
        ('"9 mm"', '"x mm"'),
    ):
        text = text.replace(good, bad)
    text += '[parts.hat]\nfile = "no-such-file.toml"\non = "flga"\nat = "top"\n'
    with pytest.raises(InputError) as caught:
        read(text)
    told = [str(problem) for problem in caught.value.problems]
    assert len(told) == 7
    lines = [int(one.split("line ")[1].split(":")[0]) for one in told if "line " in one]
    assert lines == sorted(lines)


def test_a_circle_of_parts() -> None:
    """Parts that sit on each other in a circle are told once."""
    more = (
        '[parts.{}]\non = "{}"\nat = "top"\njoin = "pressed"\n[parts.{}.shape]\nkind = "ball"\nwidth = 30\n'
    )
    text = GOOD + more.format("hat", "brim", "hat") + more.format("brim", "hat", "brim")
    with pytest.raises(InputError, match="comes to sit on itself") as caught:
        read(text)
    assert len(caught.value.problems) == 1


def test_toys_are_told_from_parts() -> None:
    """A file with tables of parts is a toy."""
    assert is_toy(SAMPLES / "seal" / "seal.toml")
    assert not is_toy(SAMPLES / "buoy.toml")
    assert load_toy(SAMPLES / "seal" / "seal.toml").title == "Harbour seal"


def test_a_part_s_own_tables_go_into_the_part() -> None:
    """[work] at the top of a toy file is told where it belongs, not taken for a word much like it."""
    with pytest.raises(InputError, match=r"\[work\].*of one part: \[parts\.body\.work\]"):
        read(f'{GOOD}\n[work]\nfinish = "open"\n')
