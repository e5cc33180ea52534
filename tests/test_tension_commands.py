"""`plumpline gauge`, `tune` and `sweep` as a maker runs them."""

import csv
import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from solver.cli import main

BUOY = str(Path(__file__).parents[1] / "samples" / "buoy.toml")
BALL = "6 12 18 24 30 36x6 30 24 18 12 6"


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


def test_sweep_in_processes() -> None:
    """A sweep gives one line a gauge, in order, with nothing else on the screen."""
    table = list(
        csv.DictReader(
            io.StringIO(run("sweep", BUOY, "--gauge-from", "16", "--gauge-to", "20", "--steps", "2").stdout)
        )
    )
    assert [float(row["stitches_to_10_cm"]) for row in table] == [16, 20]
    assert all(float(row["height_mm"]) > 50 and not row["fault"] for row in table)
