"""`plumpline gauge`, `tune` and `sweep` as a maker runs them."""

import csv
import io
import json
import shlex
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from solver.cli import main
from solver.partfile import load

BUOY = str(Path(__file__).parents[1] / "samples" / "buoy.toml")
FOOT = str(Path(BUOY).with_name("puffin-foot.toml"))
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
        ("--swatch", "20 x 20", "--counts", BALL, "--rounds", "ball.txt", "--girth", "19 cm"),
        ("--swatch", "20 x 20", "--counts", BALL, "--girth", "19 cm", "--part", "1"),
        ("--swatch", "20 x 20", "--rounds", "ball.txt"),
        ("--swatch", "20 x 20", "--rounds", "missing.txt", "--girth", "19 cm"),
    ],
)
def test_faults_of_gauge(args: tuple[str, ...]) -> None:
    """What can't be a gauge is told with the way out, and ends with exit code 2."""
    assert run("gauge", *args, code=2).stderr.strip()


def test_no_gauge_file_of_a_ball_that_can_not_be(tmp_path: Path) -> None:
    """A stretch over 15 % is warned of, and no part file is to build on it."""
    out = tmp_path / "gauge.toml"
    args = ("--swatch", "20 x 20", "--counts", BALL, "--girth", "21 cm", "--out", str(out))
    assert "gauge is probably wrong" in " ".join(run("gauge", *args, code=2).stdout.split())
    assert not out.exists()


BUOY_ROUNDS = """Little buoy
Rnd 1: 6 sc in a magic ring (6)
Rnd 2: inc x 6 (12)
Rnd 3: (sc, inc) x 6 (18)
Rnds 4-6: sc around (18)
Rnd 7: (sc, dec) x 6 (12)
Rnd 8: dec x 6 (6)
"""
"""A ball in words (invented)."""


def gauge_of_ball(folder: Path, rounds: str, *options: str, code: int = 0) -> Result:
    """Run `gauge` on a swatch and a ball told by its written rounds."""
    page = folder / "ball.txt"
    page.write_text(rounds)
    args = ("--swatch", "20 x 20", "--rounds", str(page), "--girth", "95 mm", *options)
    return run("gauge", *args, "--height", "24 mm", code=code)


def test_gauge_of_a_ball_by_its_rounds(tmp_path: Path) -> None:
    """A ball told by its written rounds is the ball of the same counts."""
    written = json.loads(gauge_of_ball(tmp_path, BUOY_ROUNDS, "--json").stdout)
    args = ("--swatch", "20 x 20", "--counts", "6 12 18x4 12 6", "--girth", "95 mm", "--height", "24 mm")
    counted = json.loads(run("gauge", *args, "--json").stdout)
    assert written == counted
    assert written["ball"]["stretch"] > 0.02


@pytest.mark.parametrize(
    ("rounds", "told"),
    [
        (BUOY_ROUNDS.replace("(sc, inc)", "(zzz, inc)"), "wrong on line 4"),
        (BUOY_ROUNDS.replace("(18)\nRnds", "(19)\nRnds"), "wrong on line"),
        (BUOY_ROUNDS + "\nAnchor\n" + BUOY_ROUNDS.partition("\n")[2], "--part 1 to --part 2"),
        (BUOY_ROUNDS.partition("Rnd 7")[0], "18 stitches that is left open"),
        (BUOY_ROUNDS + "Fold flat and sew the opening closed.\n", "6 stitches that is sewn flat"),
        (BUOY_ROUNDS.partition("Rnd 3")[0], "2 rounds"),
        (
            "Ch 18, join with a sl st to form a ring.\nRnd 1: 18 sc (18)\nRnd 2: (sc, dec) x 6 (12)\n",
            "joined",
        ),
        ("Ch 6\nRnd 1: sc in 2nd ch from hook, 3 sc, 3 sc in last ch, 3 sc, 2 sc in last ch (12)\n", "oval"),
        ("A ball of yarn and a hook.\n", "can be read"),
    ],
)
def test_rounds_that_tell_no_ball(rounds: str, told: str, tmp_path: Path) -> None:
    """Lines that are wrong, several parts, an open end and a chain are told, with what to do."""
    assert told in gauge_of_ball(tmp_path, rounds, code=2).stderr


def test_examples_of_the_help_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each example that `gauge --help` shows runs as it stands, and warns of nothing."""
    monkeypatch.chdir(tmp_path)
    Path("ball.txt").write_text(BUOY_ROUNDS)
    examples = (main.get_command(click.Context(main), "gauge").epilog or "").replace("\\\n", " ").splitlines()
    commands = [shlex.split(line)[1:] for line in examples if line.startswith("  plumpline")]
    assert len(commands) == 5
    for command in commands:
        assert "Warning" not in run(*command).stdout


def test_one_part_of_a_page_is_the_ball(tmp_path: Path) -> None:
    """`--part` picks the ball; stitches that are not single crochet are warned of."""
    taller = "Anchor\nRnd 1: 6 hdc in a magic ring (6)\nRnd 2: 6 hdc (6)\n\n"
    data = json.loads(gauge_of_ball(tmp_path, taller + BUOY_ROUNDS, "--part", "2", "--json").stdout)
    assert not any("hdc" in warning for warning in data["warnings"])
    half = BUOY_ROUNDS.replace("Rnds 4-6: sc", "Rnds 4-6: hdc")
    warnings = json.loads(gauge_of_ball(tmp_path, half, "--json").stdout)["warnings"]
    assert any("hdc" in warning for warning in warnings)


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


def test_heights_of_other_stitches_are_measured_on_swatches(tmp_path: Path) -> None:
    """14 rows of hdc where 21 of sc go to 10 cm: 1.5 rows each; the gauge file hands it on to part files."""
    out = tmp_path / "gauge.toml"
    tall = ["--tall", "hdc: 14 rows over 10 cm", "--tall", "slst 60 over 10 cm"]
    told = run("gauge", "--swatch", "20 x 21 over 10 cm", *tall, "--json", "--out", str(out))
    heights = json.loads(told.stdout)["gauge"]["heights"]
    assert heights["hdc"] == pytest.approx(1.5)
    assert heights["slst"] == pytest.approx(0.35)
    assert heights["dc"] == 2.0
    assert "heights = { slst = 0.35, hdc = 1.5, dc = 2 }" in out.read_text(encoding="utf-8")
    part = tmp_path / "buoy.toml"
    part.write_text('gauge = "gauge.toml"\n[shape]\nkind = "ball"\nwidth = "60 mm"\n', encoding="utf-8")
    assert load(part).gauge.heights.slst == pytest.approx(0.35)


def test_heights_that_are_none_are_told() -> None:
    """A stitch that nobody knows, or one told twice."""
    for wrong in (["--tall", "bobble: 3"], ["--tall", "hdc 14", "--tall", "hdc 15"]):
        found = run("gauge", "--swatch", "20 x 21", *wrong, code=2)
        assert "hdc: 14 rows over 10 cm" in found.output
