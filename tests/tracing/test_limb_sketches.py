"""Limbs and bellies in sketches: drawn from known surfaces, read, and found again."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image, ImageDraw

from solver.cli import main
from solver.partfile import load
from solver.wanted.outline import Outline
from solver.wanted.part import BentPart
from solver.wanted.swept import Bend, Swept

PX = 8.0
"""Of a millimetre in the pictures."""


def drawn(path: Path, outline: np.ndarray, *, line: bool) -> None:
    """Draw a closed outline, [mm] y up, filled or as a line, on paper."""
    low, high = outline.min(axis=0) - 12, outline.max(axis=0) + 12
    size = tuple(int(each) for each in (high - low) * PX)
    image = Image.new("L", size, 250)
    points = [(float(x), float(size[1] - y)) for x, y in (outline - low) * PX]
    pen = ImageDraw.Draw(image)
    if line:
        pen.line([*points, points[0]], fill=30, width=7, joint="curve")
    else:
        pen.polygon(points, fill=40)
    image.save(path)


def limb(degrees: float) -> Swept:
    """Return an arm of 13 mm radius and 110 mm length that bends."""
    turn = np.linspace(0, np.pi / 2, 25)
    tip = 13 * np.column_stack([np.sin(turn), 1 - np.cos(turn)])
    whole = Outline(np.concatenate([tip, (tip * [1, -1] + [0, 110])[::-1]]))
    return Swept.bent(whole, [Bend(begin=40.0, end=68.0, angle=np.radians(degrees))])


def run(*arguments: str) -> str:
    """Run a command that ends well."""
    found = CliRunner().invoke(main, list(arguments))
    assert found.exit_code == 0, found.output
    return found.output


@pytest.mark.parametrize("degrees", [30.0, 60.0, -80.0])
@pytest.mark.parametrize("line", [False, True], ids=["filled", "line"])
def test_middle_line_of_a_limb_is_found(tmp_path: Path, degrees: float, line: bool) -> None:
    """The line within half a millimetre on average, girth within 3 %, the bend within 4 degrees."""
    wanted = limb(degrees)
    reach = wanted.radius[:, None] * wanted.forward
    outline = np.concatenate([wanted.spine + reach, (wanted.spine - reach)[::-1]])
    drawn(tmp_path / "arm.png", outline, line=line)
    told = run("trace", str(tmp_path / "arm.png"), "--limb", "--height", f"{np.ptp(outline[:, 1])} mm",
               "--out", str(tmp_path / "arm.toml"), "--picture", str(tmp_path / "check.png"))  # fmt: skip
    assert "middle line" in told
    part = load(tmp_path / "arm.toml")
    assert isinstance(part, BentPart)
    assert np.degrees(part.wanted.end_tilt) == pytest.approx(degrees, abs=4)
    off = wanted.off_spine(part.wanted.spine - part.wanted.spine.mean(axis=0) + wanted.spine.mean(axis=0))
    assert np.sqrt(np.mean(off**2)) < 0.8
    middle = (part.wanted.along > 30) & (part.wanted.along < 80)
    assert part.wanted.radius[middle].mean() == pytest.approx(13, rel=0.03)
    assert part.outline.height == pytest.approx(110, rel=0.02)


def test_front_and_side_view_give_front_and_back(tmp_path: Path) -> None:
    """A belly of known front and back, within a millimetre of both."""
    z = np.linspace(0, 70, 80)
    radius = 26 * np.sqrt(np.clip(1 - ((z - 35) / 35) ** 2, 0, None))
    ahead = 6 * np.sin(np.pi * z / 70) ** 2
    for name, middle in (("front", 0 * z), ("side", ahead)):
        right, left = (np.column_stack([middle + sign * radius, z]) for sign in (1, -1))
        drawn(tmp_path / f"{name}.png", np.concatenate([right, left[::-1]]), line=False)
    files = ["--out", str(tmp_path / "belly.toml"), "--picture", str(tmp_path / "check.png")]
    views = [str(tmp_path / "front.png"), "--side-view", str(tmp_path / "side.png")]
    told = run("trace", *views, "--height", "70 mm", *files)
    assert "stands out by 5.9 mm at 35 mm" in told
    part = load(tmp_path / "belly.toml")
    assert isinstance(part, BentPart)
    assert part.wanted.is_level
    at = np.linspace(8, 62, 30)
    spine = np.interp(at, part.wanted.along, part.wanted.spine[:, 0])
    wide = np.interp(at, part.wanted.along, part.wanted.radius)
    assert np.abs(spine - np.interp(at, z, ahead)).max() < 1.0
    assert np.abs(wide - np.interp(at, z, radius)).max() < 1.0


def test_a_limb_without_a_size_is_told(tmp_path: Path) -> None:
    """A picture has no size of its own."""
    drawn(tmp_path / "arm.png", np.array([[0, 0], [20, 0], [20, 60], [0, 60]], dtype=float), line=False)
    found = CliRunner().invoke(main, ["trace", str(tmp_path / "arm.png"), "--limb"])
    assert found.exit_code == 2
    assert "--height" in found.output
