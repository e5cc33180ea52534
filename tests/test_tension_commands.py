"""`plumpline gauge`, `tune`, `resize` and `sweep` as a maker runs them."""

import csv
import io
import itertools
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from solver.cli import main

BUOY = str(Path(__file__).parents[1] / "samples" / "buoy.toml")
FOOT = str(Path(BUOY).with_name("puffin-foot.toml"))
BALL = "6 12 18 24 30 36x6 30 24 18 12 6"
RESIZE_BAR = 0.12
"""Of the new stitch width: two and a half times what whole stitches alone leave (0.046), for whole rounds."""


def run(*arguments: str, code: int = 0) -> Result:
    """Run a command, and see that it ends with this exit code and no traceback."""
    result = CliRunner().invoke(main, list(arguments))
    assert result.exit_code == code, result.output
    assert "Traceback" not in result.output
    return result


def test_gauge_file_of_swatch_and_ball(tmp_path: Path) -> None:
    """`gauge --out` writes a file that a part file takes, stuffing included."""
    out = tmp_path / "gauge.toml"
    args = ("--swatch", "20 x 20 over 10 cm", "--counts", BALL, "--girth", "19 cm", "--height", "58 mm")
    data = json.loads(run("gauge", *args, "--json", "--out", str(out)).stdout)
    assert data["ball"]["stiffness_ratio"] == data["gauge"]["stiffness_ratio"] != 1.0
    part = tmp_path / "ball.toml"
    part.write_text('gauge = "gauge.toml"\n[shape]\nkind = "ball"\nwidth = 60\n')
    solved = json.loads(run("rounds", str(part), "--json").stdout)
    assert solved["stuffing"]["stretch"] == pytest.approx(data["ball"]["stretch"], rel=1e-4)


@pytest.mark.parametrize(
    "args",
    [
        (),
        ("--swatch", "22x"),
        ("--yarn", "thick"),
        ("--swatch", "20 x 20", "--girth", "20 cm"),
        ("--swatch", "20 x 20", "--counts", "6 twelve 6", "--girth", "20 cm"),
        ("--swatch", "20 x 20", "--counts", BALL, "--girth", "12 cm"),
    ],
)
def test_faults_of_gauge(args: tuple[str, ...]) -> None:
    """What can't be a gauge is told with the way out, and ends with exit code 2."""
    assert run("gauge", *args, code=2).stderr.strip()


def test_guess_is_told_as_one() -> None:
    """A gauge from the yarn table alone says that it is a guess, and whose table it is."""
    text = run("gauge", "--yarn", "medium").stdout
    assert "guess" in text
    assert "Craft Yarn Council" in text


def test_tune_by_drawing_as_data() -> None:
    """`tune --json` gives the keys of `rounds --json`, and the size that was asked for."""
    data = json.loads(run("tune", BUOY, "--height", "8 cm", "--json").stdout)
    assert {"rounds", "form", "materials", "cautions", "tuned"} <= set(data)
    assert data["form"]["height_mm"] == pytest.approx(80, abs=2.5)


def test_tune_by_gauge_tells_hook_and_yarn(tmp_path: Path) -> None:
    """`tune --by gauge` tells stitches, yarn class and a hook size up, as guesses; --plot draws it."""
    picture = tmp_path / "sizes.png"
    text = run("tune", BUOY, "--width", "9 cm", "--by", "gauge", "--plot", str(picture)).stdout
    assert "guess" in text
    assert "hook size up" in text
    assert picture.stat().st_size > 1000
    assert "stuffing alone" in run("tune", BUOY, "--height", "3 m", "--by", "firmness", code=2).stderr
    run("tune", BUOY, code=2)


def test_tune_an_oval(tmp_path: Path) -> None:
    """Ovals are tuned by their length too: written rounds, a table, data, a picture."""
    text = run("tune", FOOT, "--table", "8 cm, 12 cm").stdout
    assert text.count("Rnd 1: ") == 2
    assert "asked for 120.0 mm" in text
    assert "stretch one" not in text
    data = json.loads(run("tune", FOOT, "--width", "6 cm", "--json").stdout)
    plain = json.loads(run("rounds", FOOT, "--json").stdout)
    assert set(data) == {*plain, "tuned"}
    assert data["tuned"]["got"] == data["form"]["width_mm"] == pytest.approx(60, abs=2.5)
    picture = tmp_path / "sizes.png"
    text = run("tune", FOOT, "--length", "12 cm", "--by", "gauge", "--plot", str(picture)).stdout
    assert "Length: 120.0 mm" in text
    assert "hook size up" in text
    assert picture.stat().st_size > 1000


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ((FOOT, "--height", "9 cm"), "a flat piece is tuned by its length, width or girth (got --height)"),
        ((BUOY, "--length", "9 cm"), "a round part is tuned by its height, width, girth or volume"),
        (
            (BUOY, "--height", "9 cm", "--table", "9 cm"),
            "one size is asked for at a time (got height and table)",
        ),
        ((FOOT,), 'Write --length "12 cm"'),
        ((FOOT, "--width", "9 cm", "--by", "firmness"), "a flat piece is not stuffed"),
    ],
)
def test_tune_refuses(asked: tuple[str, ...], told: str) -> None:
    """A size that a part doesn't have, none or two of them, or stuffing for a flat piece: told, code 2."""
    assert told in run("tune", *asked, code=2).stderr


def test_sweep_in_processes() -> None:
    """A sweep gives one line a gauge, in order, with nothing else on the screen."""
    table = list(
        csv.DictReader(
            io.StringIO(run("sweep", BUOY, "--gauge-from", "16", "--gauge-to", "20", "--steps", "2").stdout)
        )
    )
    assert [float(row["stitches_to_10_cm"]) for row in table] == [16, 20]
    assert all(float(row["height_mm"]) > 50 and not row["fault"] for row in table)


def test_sweep_of_round_parts_and_ovals() -> None:
    """A list may mix both: an oval has a length, a round part has none; sizes are those of `rounds`."""
    table = list(csv.DictReader(io.StringIO(run("sweep", FOOT, BUOY, FOOT, "--jobs", "1").stdout)))
    assert [row["file"] for row in table] == [FOOT, BUOY, FOOT]
    oval, ball = table[:2]
    sizes = json.loads(run("rounds", FOOT, "--json").stdout)
    for name in ("length_mm", "width_mm", "girth_mm"):
        assert float(oval[name]) == pytest.approx(sizes["form"][name], abs=0.006)
    assert float(oval["deviation_rms_mm"]) == pytest.approx(sizes["deviation"]["rms_mm"], abs=6e-4)
    assert ball["length_mm"] == ""
    assert not oval["fault"] + ball["fault"]
    assert table[2] == oval


def test_resize(tmp_path: Path) -> None:
    """Rounds at 20 x 22 rewritten for 12 x 13 keep their outline; kept stitches grow with the gauge."""
    (tmp_path / "a.toml").write_text("[gauge]\nstitches = 20\nrows = 22\n")
    (tmp_path / "b.toml").write_text("[gauge]\nstitches = 12\nrows = 13\n")
    page = tmp_path / "rounds.txt"
    counts = [6, 12, 18, 24, 30, 36, 36, 36, 36, 36, 36, 30, 24, 18, 12, 6]
    text = ["Rnd 1: 6 sc in a magic ring (6)"]
    for number, (there, here) in enumerate(itertools.pairwise(counts), start=2):
        word = "inc" if here > there else "dec"
        plain = min(there, here) // 6 - 1
        inside = f"{plain} sc, {word}" if plain else word
        text.append(f"Rnd {number}: {f'({inside}) x 6' if here != there else f'{here} sc'} ({here})")
    page.write_text("\n".join(text) + "\n")
    both = (
        "resize",
        str(page),
        "--from",
        str(tmp_path / "a.toml"),
        "--to",
        str(tmp_path / "b.toml"),
        "--json",
    )
    new = json.loads(run(*both).stdout)
    assert new["deviation"]["rms_mm"] <= RESIZE_BAR * new["gauge"]["stitch_width_mm"]
    sizes = json.loads(run(*both, "--keep", "stitches").stdout)
    grown = sizes["to"]["width_mm"] / sizes["from"]["width_mm"]
    assert grown == pytest.approx(20 / 12, rel=0.02)  # rows grow a little more than stitches do
