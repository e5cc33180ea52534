"""A toy read off a drawing: what sits on what, where, sizes, guesses and faults."""

import math
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner
from numpy.testing import assert_allclose

from solver.cli import main
from solver.toy.drawn import drawn_toy
from solver.toy.toyfile import load_toy

W, H = 100 / 24, 100 / 26

BODY = '<ellipse id="body" cx="100" cy="160" rx="55" ry="65"/>'
HEAD = '<circle id="head" cx="100" cy="68" r="42"/>'
FACE = """<ellipse id="snout" cx="100" cy="78" rx="20" ry="13"/>
<circle id="eye-left" cx="116" cy="60" r="4"/><circle id="eye-right" cx="84" cy="60" r="4"/>"""
ARMS = """<ellipse id="arm-left" cx="165" cy="140" rx="26" ry="12"/>
<ellipse id="arm-right" cx="35" cy="140" rx="26" ry="12"/>"""
SIDE = """<g id="side"><ellipse id="side-body" cx="400" cy="160" rx="55" ry="65"/>
<circle id="side-head" cx="400" cy="68" r="42"/>
<rect id="side-snout" x="338" y="65" width="40" height="26"/></g>"""


def drawing(folder: Path, *lines: str, head: str = 'viewBox="0 0 500 240"') -> Path:
    """Write a drawing (invented: a harbour gull)."""
    path = folder / "gull.svg"
    inside = "\n".join(lines)
    path.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{inside}</svg>', encoding="utf-8")
    return path


def test_parts_and_places(tmp_path: Path) -> None:
    """Sizes, carriers, heights and turns are those of the circles and ellipses that are drawn."""
    path = drawing(tmp_path, BODY, HEAD, FACE, ARMS)
    toy = drawn_toy(path, height=199.0, stitch_width=W, row_height=H)  # of 199 units: a millimetre each
    parts = {part.name: part for part in toy.parts}
    assert {name: part.on for name, part in parts.items()} == {
        "body": "", "head": "body", "snout": "head", "arm": "body"}  # fmt: skip
    body, head, snout, arm = (parts[name].points for name in ("body", "head", "snout", "arm"))
    assert body is not None
    assert head is not None
    assert arm is not None
    assert_allclose([body[:, 0].max(), body[-1, 1]], [55, 130], atol=0.6)
    # a head of radius 42 that meets the body where both lines cross
    assert_allclose(head[:, 0].max(), 42, atol=0.6)
    y = _crossing()
    assert_allclose(head[-1], [math.sqrt(42**2 - (y - 68) ** 2), y - 26], atol=0.6)
    assert parts["head"].top
    assert snout is None
    assert parts["snout"].oval is not None
    assert_allclose(parts["snout"].oval[:2], [40, 26], atol=0.1)
    assert_allclose(parts["snout"].height, y - 78, atol=0.5)
    assert_allclose(parts["snout"].turn, 0, atol=0.5)
    assert parts["arm"].twins
    assert_allclose(parts["arm"].turn, 90, atol=1)
    assert_allclose(parts["arm"].height, 225 - 140, atol=3)
    assert_allclose(arm[:, 0].max(), 12, atol=0.5)
    (eyes,) = toy.beads
    assert eyes.twins
    assert eyes.part == "head"
    assert_allclose(eyes.diameter, 8, atol=0.1)
    assert_allclose(eyes.height, y - 60, atol=0.5)
    assert_allclose(eyes.turn, math.degrees(math.asin(16 / math.sqrt(42**2 - 8**2))), atol=0.5)


def test_what_is_used_has_the_name_of_its_use(tmp_path: Path) -> None:
    """One ellipse drawn as both arms, a circle in the side view: each by its own id, where it is used."""
    shared = '<defs><ellipse id="oblong" rx="26" ry="12"/><circle id="big" r="60"/></defs>'
    arms = '<use id="arm-left" href="#oblong" x="165" y="140"/>'
    arms += '<use id="arm-right" href="#oblong" x="35" y="140"/>'
    side = '<g id="side"><use id="side-body" href="#big" x="400" y="160"/></g>'
    fine = {"height": 199.0, "stitch_width": W, "row_height": H}
    used = drawn_toy(drawing(tmp_path, shared, BODY, HEAD, arms, side), **fine)
    assert {part.name for part in used.parts} == {"body", "head", "arm"}
    plain = arms.replace("<use id", '<ellipse rx="26" ry="12" id').replace(' href="#oblong"', "")
    plain = plain.replace(' x="', ' cx="').replace(' y="', ' cy="')
    front = (
        side.replace("<use id", '<circle r="60" id').replace(' href="#big" x', " cx").replace(' y="', ' cy="')
    )
    told = drawn_toy(drawing(tmp_path, BODY, HEAD, plain, front), **fine)
    for one, other in zip(used.parts, told.parts, strict=True):
        assert repr(one) == repr(other)


def _crossing() -> float:
    """Return where the head's circle and the body's ellipse cross (analytic geometry, by bisection)."""
    low, high = 95.0, 110.0
    for _ in range(60):
        y = (low + high) / 2
        inside = 55**2 * (1 - ((y - 160) / 65) ** 2) < 42**2 - (y - 68) ** 2
        low, high = (y, high) if inside else (low, y)
    return low


def test_the_side_view_tells_how_far_out(tmp_path: Path) -> None:
    """With a side view the snout stands out as it is drawn there; without, its height is a guess, told."""
    told = []
    for more in ("", SIDE):
        toy = drawn_toy(drawing(tmp_path, BODY, HEAD, FACE, more), height=199.0, stitch_width=W, row_height=H)
        snout = next(part for part in toy.parts if part.name == "snout")
        assert snout.oval is not None
        told.append((snout.oval[2], bool(snout.guesses)))
    assert told[0] == (pytest.approx(13.0), True)
    # from x = 338 to the head's line at the snout's lower edge
    assert_allclose(told[1][0], 400 - math.sqrt(42**2 - 23**2) - 338, atol=0.5)
    assert told[1][1] is False


def test_the_command(tmp_path: Path) -> None:
    """The file solves and places right away, is as high as asked, and `compare` lays it over the drawing."""
    path = drawing(tmp_path, BODY, HEAD, FACE, ARMS, '<ellipse id="ear" cx="128" cy="32" rx="11" ry="16"/>')
    out = tmp_path / "gull.toml"
    run = CliRunner()
    found = run.invoke(main, ["toy", str(path), "--height", "22 cm"])
    assert found.exit_code == 0, found.output
    text = out.read_text(encoding="utf-8")
    assert "# twins = true   # a guess" in text
    assert "how far it stands out is a guess" in text
    assert "a guess that a side view would settle" in text
    assert tomllib.loads(text)["drawing"] == {"file": "gull.svg", "height": "220.0 mm"}
    toy = load_toy(out)
    assert toy.drawing == path
    picture = tmp_path / "over.png"
    found = run.invoke(main, ["compare", str(out), "--out", str(picture)])
    assert found.exit_code == 0, found.output
    assert picture.stat().st_size > 10_000
    high = float(found.output.split("the toy is ")[1].split(" mm")[0])
    assert_allclose(high, 220, rtol=0.04)
    out.write_text(edited := text + "# edited\n", encoding="utf-8")
    found = run.invoke(main, ["toy", str(path), "--height", "22 cm"])
    assert (found.exit_code, "--out" in found.output) == (2, True), found.output
    assert out.read_text(encoding="utf-8") == edited


@pytest.mark.parametrize(
    ("lines", "options", "told"),
    [
        ((BODY, HEAD), [], "needs the toy's height"),
        (
            (BODY, '<circle id="moon" cx="300" cy="40" r="20"/>'),
            ["--height", "20 cm"],
            '"moon" touches nothing',
        ),
        (
            (BODY, '<path id="tail" d="M150 200 L 190 220 L 200 180"/>'),
            ["--height", "20 cm"],
            "which is open",
        ),
        (('<ellipse cx="100" cy="160" rx="55" ry="65"/>',), ["--height", "20 cm"], "no line with an id"),
        (
            (BODY, '<rect id="pin" x="150" y="158" width="40" height="3"/>'),
            ["--height", "10 cm"],
            "6 stitches",
        ),
        ((BODY, HEAD), ["--height", "-2 cm"], "not below zero"),
        ((BODY,), ["--height", "none"], "none"),
    ],
)
def test_faults(lines: tuple[str, ...], options: list[str], told: str, tmp_path: Path) -> None:
    """Each is told, with status 2, and nothing is written."""
    found = CliRunner().invoke(main, ["toy", str(drawing(tmp_path, *lines)), *options])
    assert found.exit_code == 2, found.output
    assert told in " ".join(found.output.split())
    assert not (tmp_path / "gull.toml").exists()


def test_a_toy_without_a_drawing(tmp_path: Path) -> None:
    """`compare` tells what is missing."""
    file = tmp_path / "toy.toml"
    file.write_text(
        '[gauge]\nstitches = 24\nrows = 26\n[parts.body]\nshape = { kind = "ball", width = "50 mm" }\n'
    )
    found = CliRunner().invoke(main, ["compare", str(file), "--out", str(tmp_path / "over.png")])
    assert found.exit_code == 2
    assert "its file names none" in " ".join(found.output.split())
