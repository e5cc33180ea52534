"""Pictures and traced colours: dots in her yarns, and where they come to lie; all drawn here."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw

from solver.partfile import load
from solver.solving.solved import solve
from solver.tracing.areas import nearest_yarns, read_areas

YARNS = {"grey": "#8a8d91", "white": "#f4f1e8", "black": "#202020"}
TABLE = 'yarns = { grey = "#8a8d91", white = "#f4f1e8", black = "#202020" }\n'
GAUGE = "[gauge]\nstitches = 24\nrows = 24\n"
SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="140mm" viewBox="0 0 100 140">
<ellipse cx="50" cy="70" rx="38" ry="58" fill="#888a90" stroke="black"/>
<ellipse cx="50" cy="95" rx="20" ry="26" fill="#fffff0"/></svg>"""


def test_nearest_yarns() -> None:
    """Each colour goes to the yarn that eyes take for nearest; by CIEDE2000 a blue-grey is grey, no black."""
    colours = np.array([[[0.5, 0.53, 0.6], [0.98, 0.98, 0.9], [0.1, 0.1, 0.12]]])
    assert nearest_yarns(colours, YARNS).tolist() == [[1, 2, 3]]


def test_a_picture_keeps_what_is_clear(tmp_path: Path) -> None:
    """A picture of a few dots is read dot by dot; what is clear stays so."""
    picture = Image.new("RGBA", (5, 3), (0, 0, 0, 0))
    picture.putpixel((1, 0), (250, 245, 230, 255))
    picture.putpixel((4, 2), (20, 20, 20, 255))
    picture.save(tmp_path / "dots.png")
    dots = read_areas(tmp_path / "dots.png", YARNS)
    assert dots.shape == (3, 5)
    assert (dots[0, 1], dots[2, 4], int((dots > 0).sum())) == (2, 3, 2)


def test_a_drawing_fills_its_shapes(tmp_path: Path) -> None:
    """Later shapes lie over earlier ones; an ellipse covers pi a b of the page."""
    (tmp_path / "seal.svg").write_text(SVG)
    dots = read_areas(tmp_path / "seal.svg", YARNS)
    page = dots.size / (100 * 140)
    assert (dots == 2).sum() / page == pytest.approx(np.pi * 20 * 26, rel=0.02)
    assert (dots == 1).sum() / page == pytest.approx(np.pi * (38 * 58 - 20 * 26), rel=0.02)


def test_a_picture_on_a_part(tmp_path: Path) -> None:
    """A face that is alike on both sides is alike to the stitch, at the front, the right way up."""
    picture = Image.new("RGBA", (100, 100), (0, 0, 0, 0))
    draw = ImageDraw.Draw(picture)
    draw.rectangle((10, 5, 34, 30), fill="#202020")
    draw.rectangle((65, 5, 89, 30), fill="#202020")
    draw.rectangle((20, 70, 79, 94), fill="#f4f1e8")
    picture.save(tmp_path / "face.png")
    patch = '[[colours.patches]]\nshape = "picture"\nfile = "face.png"\nwidth = 50\nat = { height = 45 }\n'
    part = f'{GAUGE}[shape]\nkind = "ball"\nwidth = "90 mm"\n[colours]\nmain = "grey"\n{TABLE}{patch}'
    (tmp_path / "head.toml").write_text(part)
    got = solve(load(tmp_path / "head.toml"))
    rows = {name: [i for i, own in enumerate(got.colours) if name in own] for name in ("white", "black")}
    assert max(rows["white"]) < min(rows["black"])
    for own, begins in zip(got.colours, got.painted.begins, strict=True):
        n = len(own)
        centre = round(2 * ((begins % 360) / 360 * n)) % (2 * n)
        assert all(own[j] == own[(centre - 1 - j) % n] for j in range(n))
    (shown,) = got.painted.shown
    assert shown.stitched == pytest.approx(shown.wanted, rel=1 / 25)


@pytest.mark.parametrize("kind", ["drawing", "sketch"])
def test_traced_colours(kind: str, tmp_path: Path) -> None:
    """The filled areas of what is traced are worked where they are drawn: a belly, low on the front."""
    if kind == "drawing":
        (tmp_path / "seal.svg").write_text(SVG)
    else:
        picture = Image.new("RGB", (500, 700), "white")
        draw = ImageDraw.Draw(picture)
        draw.ellipse((60, 60, 440, 640), fill="#8a8d91", outline="black", width=6)
        draw.ellipse((150, 345, 350, 605), fill="#f4f1e8")
        picture.save(tmp_path / "seal.png")
    file = "seal.svg" if kind == "drawing" else "seal.png"
    shape = f'[shape]\nkind = "{kind}"\nfile = "{file}"\nheight = "90 mm"\n'
    (tmp_path / "seal.toml").write_text(f"{GAUGE}{shape}[colours]\n{TABLE}")
    got = solve(load(tmp_path / "seal.toml"))
    assert got.part.supplies.main_colour == "grey"
    assert {name for own in got.colours for name in own} == {"grey", "white"}
    belly = [i for i, own in enumerate(got.colours) if "white" in own]
    assert max(belly) < len(got.colours) * 0.65
    for i in belly:
        own = got.colours[i]
        middle = np.mean([j for j, name in enumerate(own) if name == "white"])
        assert abs(middle - len(own) / 2) < len(own) / 8
    (tmp_path / "plain.toml").write_text(f"{GAUGE}{shape}[colours]\ntraced = false\n{TABLE}")
    assert not load(tmp_path / "plain.toml").supplies.patches
