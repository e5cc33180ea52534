"""`plumpline resize` on written rounds of four parts of the toy harbour (invented)."""

import itertools
import json
import re
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

from solver.cli import main
from solver.form.fabric import CLOSING_ROWS
from solver.form.rings import Form, RingFabric, form_outline, ring_form
from solver.notation.writer import write_rounds
from solver.rounds import Finish, Start
from solver.rounds.shaping import shaped_piece
from solver.wanted.silhouette import deviation

RESIZE_BAR = 0.15
"""Of the new stitch width, rms. The bar of exact rounds was 0.12; of plain ones, with one repeat a round, the
open cabin comes to 0.146, the others to 0.100 to 0.121."""
SIZE_BAR = 0.005

SIX_TO_36 = [6, 12, 18, 24, 30, 36]
PARTS = {
    "buoy": [*SIX_TO_36, 42, *[48] * 8, 42, *SIX_TO_36[::-1]],
    "pear float": [*SIX_TO_36, 42, *[48] * 6, 42, 42, 36, 36, *[30] * 3, *[24] * 3, 18, 18, 12, 6],
    "fender": [*SIX_TO_36, *[36] * 19, *SIX_TO_36[-2::-1]],
    "open cabin": [*SIX_TO_36, *[42] * 6, *[36] * 4, *[30] * 5],
}
"""Counts of each round; the last is left open, the others drawn to a point."""


def page(counts: list[int]) -> str:
    """Return the rounds in words; counts turn by so many that every round is one repeat."""
    text = [f"Rnd 1: {counts[0]} sc in a magic ring ({counts[0]})"]
    for number, (there, here) in enumerate(itertools.pairwise(counts), start=2):
        plain, word = (there // 6 - 1, "inc") if here > there else (there // 6 - 2, "dec")
        inside = f"{plain} sc, {word}" if plain else word
        text.append(f"Rnd {number}: {f'({inside}) x 6' if here != there else f'{here} sc'} ({here})")
    return "\n".join(text) + "\n"


STUFFED = "[stuffing]\nstretch = 0.02\n"


def direct(counts: list[int], *, stitches: float, rows: float) -> Form:
    """Return the form of these rounds at so many stitches and rows to 10 cm, stuffed as `STUFFED` says."""
    width, height = 100 / stitches, 100 / rows
    closed = counts[-1] <= 12
    around = np.array([0.0, *counts, *([0.0] if closed else [])]) * width
    spacing = np.full(len(around) - 1, height)
    if closed:
        spacing[-1] *= CLOSING_ROWS
    stretch = 0.02
    stuffed = around.max() * (1 + stretch) / (2 * np.pi)
    pressure = 2 * stretch / (stuffed * (1 + stretch))
    return ring_form(RingFabric(around, spacing, stitch_width=width), pressure=pressure)


def resize(
    folder: Path, text: str, *options: str, code: int = 0, thickness: tuple[int, int] = (0, 0)
) -> Result:
    """Resize a page from 20 x 22 to 12 x 13 stitches and rows to 10 cm, of fabrics so thick in mm."""
    for name, counts, thick in zip(
        ("thin", "plush"), ("20\nrows = 22", "12\nrows = 13"), thickness, strict=True
    ):
        gauge = f"[gauge]\nstitches = {counts}\nthickness = {thick}\n{STUFFED}"
        (folder / f"{name}.toml").write_text(gauge)
    (folder / "rounds.txt").write_text(text)
    gauges = ("--from", str(folder / "thin.toml"), "--to", str(folder / "plush.toml"))
    result = CliRunner().invoke(main, ["resize", str(folder / "rounds.txt"), *gauges, *options])
    assert result.exit_code == code, result.output
    return result


@pytest.mark.parametrize("name", PARTS)
def test_outline_is_kept(name: str, tmp_path: Path) -> None:
    """The stuffed form of the new rounds lies on that of the old ones, each solved at its own gauge."""
    new = json.loads(resize(tmp_path, page(PARTS[name]), "--json").stdout)
    old = direct(PARTS[name], stitches=20, rows=22)
    apart = deviation(np.array(new["form"]["outline"]), form_outline(old))
    assert apart.rms <= RESIZE_BAR * 100 / 12
    assert new["deviation"]["rms_mm"] == pytest.approx(apart.rms, abs=0.01)
    assert new["finish"] == ("open" if name == "open cabin" else "cinched")
    counts = [this["count"] for this in new["rounds"]]
    again = direct(counts, stitches=12, rows=13)  # an open edge is held there, and free here
    assert again.size == pytest.approx(new["form"]["height_mm"], rel=SIZE_BAR)


@pytest.mark.parametrize("name", PARTS)
def test_kept_stitches_tell_the_size(name: str, tmp_path: Path) -> None:
    """`--keep stitches` tells, in words and as data, what the same counts solved at each gauge come to."""
    told = resize(tmp_path, page(PARTS[name]), "--keep", "stitches").stdout.splitlines()
    data = json.loads(resize(tmp_path, page(PARTS[name]), "--keep", "stitches", "--json").stdout)
    for line, which, stitches, rows in zip(told, ("from", "to"), (20, 12), (22, 13), strict=True):
        form = direct(PARTS[name], stitches=stitches, rows=rows)
        sizes = [form.size, form.width, np.pi * form.width]
        assert [float(one) for one in re.findall(r"([\d.]+) mm", line)] == pytest.approx(sizes, rel=SIZE_BAR)
        keys = ("height_mm", "width_mm", "girth_mm")
        assert [data[which][key] for key in keys] == pytest.approx(sizes, rel=SIZE_BAR)
        assert data[which]["volume_ml"] == pytest.approx(form.volume / 1000, rel=3 * SIZE_BAR)


@pytest.mark.parametrize("name", ["buoy", "open cabin"])
def test_the_outside_is_kept(name: str, tmp_path: Path) -> None:
    """Plush fabric 6 mm thick has the outside of the 2 mm that it replaces; a thinner one is noted."""
    text = page(PARTS[name])
    new = json.loads(resize(tmp_path, text, "--json", thickness=(2, 6)).stdout)
    old = json.loads(resize(tmp_path, text, "--keep", "stitches", "--json", thickness=(2, 6)).stdout)
    for key in ("width_mm", "girth_mm", "height_mm"):
        assert new["wanted"][key] == pytest.approx(old["from"][key], rel=SIZE_BAR)
    assert new["deviation"]["rms_mm"] <= RESIZE_BAR * 100 / 12
    thinner = json.loads(resize(tmp_path, text, "--json", thickness=(6, 2)).stdout)
    assert any("4.0 mm thinner" in note for note in thinner["notes"])
    assert thinner["wanted"]["width_mm"] == pytest.approx(old["from"]["width_mm"], rel=SIZE_BAR)


def test_an_oval_is_kept_or_refused(tmp_path: Path) -> None:
    """Rounds along a chain have a size in another yarn; to keep theirs they are drawn anew, as is told."""
    oval = "Ch 9\nRnd 1: sc in 2nd ch from hook, 6 sc, 3 sc in last ch, 6 sc, 2 sc in last ch (18)\n"
    oval += "Rnd 2: inc, 6 sc, 3 inc, 6 sc, 2 inc (24)\nRnd 3: 24 sc (24)\n"
    kept = json.loads(resize(tmp_path, oval, "--keep", "stitches", "--json").stdout)
    assert all(kept["to"][size] / kept["from"][size] > 1.3 for size in ("length_mm", "width_mm", "height_mm"))
    told = resize(tmp_path, oval, "--keep", "size", code=2).stderr
    assert "chain" in told
    assert 'kind = "oval"' in told


def test_an_edge_sewn_flat_is_refused(tmp_path: Path) -> None:
    """A last edge sewn flat is refused, and resized as an open one once the page says nothing of it."""
    sewn = page(PARTS["open cabin"]) + "Fold flat and sew the opening closed.\n"
    assert "line about the sewing" in resize(tmp_path, sewn, code=2).stderr


def test_what_is_not_stuffed_is_resized_folded_flat(tmp_path: Path) -> None:
    """An ear keeps height and width as it lies, half as wide as round; one yarn stuffed is told."""
    counts = [6, 12, 16, 18, 18, 18, 17, 16, 15, 14]
    for name, size in (("a", "20\nrows = 22"), ("b", "15\nrows = 16"), ("c", "15\nrows = 16")):
        firmness = "medium" if name == "c" else "none"
        gauge = f'[gauge]\nstitches = {size}\n[stuffing]\nfirmness = "{firmness}"\n'
        (tmp_path / f"{name}.toml").write_text(gauge)
    piece = shaped_piece(counts, start=Start.RING, finish=Finish.OPEN)
    (tmp_path / "ear.txt").write_text("\n".join(line.text for line in write_rounds(piece, stuffed=False)))

    def run(to: str, *more: str) -> Result:
        gauges = ["--from", str(tmp_path / "a.toml"), "--to", str(tmp_path / f"{to}.toml")]
        return CliRunner().invoke(main, ["resize", str(tmp_path / "ear.txt"), *gauges, *more])

    kept = run("b", "--keep", "stitches").stdout
    told = re.search(r"As written: ([\d.]+) mm high, ([\d.]+) mm wide, folded flat\.", kept)
    assert told is not None
    assert float(told[2]) == pytest.approx(18 * 5 / 2, rel=0.05)
    assert " round" not in kept
    assert "ml" not in kept
    new = json.loads(run("b", "--json").stdout)
    assert new["form"]["width_mm"] == pytest.approx(float(told[2]), abs=100 / 15 / 2)
    assert new["form"]["height_mm"] == pytest.approx(new["wanted"]["height_mm"], abs=100 / 16 / 2)
    refused = run("c")
    assert refused.exit_code == 2
    assert "stuffed in both yarns, or folded flat in both" in " ".join(refused.output.split())
