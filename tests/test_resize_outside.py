"""`plumpline resize`: the outside keeps its size in another yarn, and nothing that was known is lost."""

import json
import math
from pathlib import Path

import pytest
from click.testing import CliRunner

from solver.cli import main
from solver.cli.resize import resized
from solver.notation.writer import write_rounds
from solver.rounds import Finish, Piece, Round, Start
from solver.rounds.shaping import shaped_piece
from solver.solving.again import form_of
from solver.wanted.gauge import Gauge, Stuffing
from solver.wanted.supplies import Supplies

BALL = shaped_piece(
    [6, 12, 18, 24, 30, 36, *[36] * 6, 30, 24, 18, 12, 6],
    start=Start.RING,
    finish=Finish.CINCHED,
    increases="stacked",
)
MEDIUM = Stuffing.of_firmness("medium")
PAGE = """UK terms
Rnd 1: 6 dc in a magic ring (6)
Rnd 2: inc x 6 (12)
Rnd 3: (dc, inc) x 6 (18)
Rnd 4: (2 dc, inc) x 6 (24)
Rnds 5-8: 24 dc (24)
Rnd 9: (2 dc, dec) x 6 (18)
Rnd 10: (dc, dec) x 6 (12)
Rnd 11: dec x 6 (6)
"""
"""A ball of the harbour (invented)."""


@pytest.mark.parametrize("thickness", [2.0, 6.0])
def test_a_thicker_fabric_keeps_the_outside(thickness: float) -> None:
    """The wanted outside is that of the rounds as written: its middle moves in by half of what is thicker."""
    thin = Gauge(stitch_width=5.0, row_height=4.5, thickness=2.0)
    thick = Gauge(stitch_width=8.0, row_height=7.5, thickness=thickness)
    form = form_of(BALL, thin, MEDIUM)
    new = resized(form, thick, MEDIUM, thickness=2.0, supplies=Supplies(), title="Buoy", terms="US")
    assert new.wanted.width == pytest.approx(form.width + 2.0, abs=0.05)
    assert new.wanted.height == pytest.approx(form.height + 2.0, abs=0.05)
    assert not any("thinner" in note for note in new.notes)


def test_a_thinner_fabric_is_told() -> None:
    """Where the new fabric is thinner its middle keeps its size, and a note tells how much is missing."""
    gauges = [Gauge(stitch_width=5.0, row_height=4.5, thickness=thickness) for thickness in (5.0, 2.0)]
    form = form_of(BALL, gauges[0], MEDIUM)
    new = resized(form, gauges[1], MEDIUM, thickness=5.0, supplies=Supplies(), title="B", terms="US")
    assert new.wanted.width == pytest.approx(form.width + 2.0, rel=1e-9)
    assert any("3.0 mm thinner" in note for note in new.notes)


def test_a_tube_keeps_its_ends(tmp_path: Path) -> None:
    """An open tube stays one; its outside has the thickness across and not along, in both ways to keep."""
    tube = Piece(Start.OPEN, 30, tuple(Round.plain(30) for _ in range(12)), Finish.OPEN)
    page = tmp_path / "tube.txt"
    page.write_text("\n".join(line.text for line in write_rounds(tube)))
    (tmp_path / "a.toml").write_text("[gauge]\nstitches = 20\nrows = 20\nthickness = 3\n")
    (tmp_path / "b.toml").write_text("[gauge]\nstitches = 12\nrows = 12\nthickness = 3\n")
    form = form_of(tube, Gauge(stitch_width=5.0, row_height=5.0), MEDIUM)
    gauges = ("--from", str(tmp_path / "a.toml"), "--to", str(tmp_path / "b.toml"))
    got = []
    for keep in ("stitches", "size"):
        result = CliRunner().invoke(main, ["resize", str(page), *gauges, "--json", "--keep", keep])
        assert result.exit_code == 0, result.output
        got.append(json.loads(result.stdout))
    assert got[0]["from"] == pytest.approx(
        {
            "height_mm": form.height,
            "width_mm": form.width + 3.0,
            "girth_mm": math.pi * (form.width + 3.0),
            "volume_ml": form.volume / 1000,
        },
        rel=1e-9,
    )
    assert (got[1]["start"], got[1]["finish"]) == ("open", "open")
    assert got[1]["wanted"]["height_mm"] == pytest.approx(form.height, rel=1e-9)


def test_terms_yarn_and_notes_come_along(tmp_path: Path) -> None:
    """The page's own terms, the yarn of the new gauge file and what is wrong with the page are all told."""
    (tmp_path / "a.toml").write_text("[gauge]\nstitches = 20\nrows = 20\n")
    yarn = 'swatch = { stitches = 10, rows = 10, weight = "5 g" }\nmetres_per_100g = 80\n'
    (tmp_path / "b.toml").write_text(f"[gauge]\nstitches = 16\nrows = 16\n[yarn]\n{yarn}")
    page = tmp_path / "buoy.txt"
    page.write_text(PAGE.replace("Rnd 10:", "Rnd 12:"))
    gauges = ("--from", str(tmp_path / "a.toml"), "--to", str(tmp_path / "b.toml"))

    def run(*more: str) -> dict:
        result = CliRunner().invoke(main, ["resize", str(page), *gauges, "--json", *more])
        assert result.exit_code == 0, result.output
        return json.loads(result.stdout)

    new = run()
    assert new["terms"] == "UK"
    assert new["materials"]["yarn_g"]["value"] == pytest.approx(new["materials"]["stitches"] * 0.05)
    assert not new["materials"]["yarn_m"]["guess"]
    for data in (new, run("--keep", "stitches")):
        assert any("Something is wrong on line" in note for note in data["notes"])
    assert run("--terms", "us")["terms"] == "US"
