"""What is wrong with a table of patches is told by file, place, line, rule and value."""

import pytest

from solver.errors import InputError
from solver.partfile import read
from solver.solving.solved import solve

PART = """[gauge]
stitches = 20
rows = 20
[shape]
kind = "ball"
width = "80 mm"
[colours]
main = "grey"
"""


def told(patch: str) -> str:
    """Return what is said of a part with a patch."""
    with pytest.raises(InputError) as error:
        solve(read(f"{PART}{patch}\n", file="part.toml", title="Part"))
    return str(error.value)


E = 'shape = "ellipse"\ncolour = "a"\nwidth = 30'


@pytest.mark.parametrize(
    ("patch", "words"),
    [
        ('shape = "elipse"\ncolour = "a"\nwidth = 3', ["line 10", 'Did you mean "ellipse"']),
        ('shape = "ellipse"\ncolour = "a"', ["line 9", "got no width"]),
        ('shape = "ellipse"\ncolour = "a"\nwidth = "-3 mm"', ["patches.width", "line 12", "-3 mm"]),
        (
            E + "\nat = { height = 190 }",
            ["line 9", "a height of 190 mm"],
        ),
        (
            E + "\nat = { turn = 300 }",
            ["turn", "-180 to 180", "got 300"],
        ),
        (E + '\nat = "up"', ["line 13", '"up"']),
        (E + '\nat = "top"\nlaid = "side"', ["straight", "side"]),
        ('shape = "ellipse"\ncolour = "a"\nwidth = 30\ntwins = true', ["twins", "got 0"]),
        ('shape = "stripe"\ncolour = "a"\nwidth = 30\nheight = 3', ["height does not belong"]),
        ('shape = "stripe"\ncolour = "a"\nwidth = 30\nlow = 30\nhigh = 20', ["low lies below high"]),
        ('shape = "polygon"\ncolour = "a"\npoints = [[1, 2], [3, 4]]', ["points", "3 to 200 corners"]),
        ('shape = "polygon"\ncolour = "a"\npoints = [[1, 1], [3, 3], [5, 5]]', ["enclose an area"]),
        ('shape = "picture"\nfile = "none.png"\nwidth = 30', ["no yarns"]),
        ('shape = "ellipse"\ncolour = "a"\nwidth = 30\ndetail = 0', ["detail", "got 0"]),
    ],
)
def test_faults(patch: str, words: list[str]) -> None:
    """The message holds the file, the place, and what is wrong there."""
    message = told(f"[[colours.patches]]\n{patch}")
    assert message.startswith("part.toml: ")
    for word in words:
        assert word in message


def test_yarns() -> None:
    """Colours of yarns are six digits; pictures that are missing are named."""
    assert "six digits" in told('yarns = { white = "#fff" }')
    picture = '[[colours.patches]]\nshape = "picture"\nfile = "none.png"\nwidth = 30'
    assert "none.png: the file is not there" in told(f'yarns = {{ white = "#ffffff" }}\n{picture}')


def test_rows_have_bands_alone() -> None:
    """A piece worked in rows is refused patches, with the way out."""
    flag = """kind = "flat"
worked = "rows"
left = [[14, 0], [20, 25], [12, 60], [-8, 90]]
right = [[14, 0], [15, 25], [15, 60], [14, 90]]
"""
    part = PART.replace('kind = "ball"\nwidth = "80 mm"\n', flag)
    with pytest.raises(InputError, match=r"worked in rows") as error:
        solve(read(f"{part}[[colours.patches]]\n{E}\n", file="part.toml", title="Flag"))
    assert "Use bands." in str(error.value)
