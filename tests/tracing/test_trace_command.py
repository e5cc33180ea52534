"""`plumpline trace`, and part files that name a sketch, a drawing or a model."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import rendering
import trimesh
from click.testing import CliRunner, Result
from numpy.testing import assert_allclose
from PIL import Image, ImageDraw
from shapely.geometry import LineString

from solver.cli import main
from solver.errors import InputError
from solver.form.views import wanted_outline
from solver.partfile import OvalPart, load
from solver.tracing.smoothing import NEAR

ROOT = Path(__file__).parents[2]
SKETCHES = [ROOT / "samples" / "sketches" / f"{name}.jpg" for name in ("gull", "buoy", "bollard")]
SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="90mm" viewBox="0 0 90 90">'
FLOAT = '<ellipse id="float" cx="45" cy="45" rx="20" ry="40"/>'
GAUGE = "[gauge]\nstitches = 20\nrows = 20\n"


def run(*words: str | Path) -> Result:
    """Run a command as typed."""
    return CliRunner().invoke(main, [str(word) for word in words], catch_exceptions=False)


@pytest.mark.parametrize("sketch", SKETCHES, ids=lambda path: path.stem)
def test_from_a_sketch_to_rounds(sketch: Path, tmp_path: Path) -> None:
    """A sketch of the harbour becomes a part file and a check picture, and the part file becomes rounds."""
    part, picture = tmp_path / "part.toml", tmp_path / "check.png"
    result = run("trace", sketch, "--height", "9 cm", "--out", part, "--picture", picture)
    assert result.exit_code == 0
    assert "Read as a drawn line" in result.stderr
    with Image.open(picture) as shown:
        assert min(shown.size) > 500
    outline = load(part).outline
    assert_allclose(outline.height, 90)
    rounds = run("rounds", part)
    assert rounds.exit_code == 0
    assert "Rnd 1:" in rounds.stdout


def test_the_part_file_holds_what_was_read(tmp_path: Path) -> None:
    """The points of the written part file give the outline that a part file naming the sketch gives."""
    gull = ROOT / "samples" / "sketches" / "gull.jpg"
    shown = run("trace", gull, "--height", "9 cm", "--picture", tmp_path / "check.png")
    (part := tmp_path / "part.toml").write_text(shown.stdout)
    written, named = load(part).outline, load(gull.with_suffix(".toml")).outline
    assert_allclose([written.width, written.volume], [named.width, named.volume], rtol=NEAR / 10)


def test_the_gauge_and_the_ends_are_written(tmp_path: Path) -> None:
    """Gauge, start and finish of the command line stand in the part file, and the open end is open."""
    picture = tmp_path / "bottle.png"
    rendering.drawn(rendering.bottle(), rendering.Look(size=500)).save(picture)
    words = ["--stitches", "17", "--rows", "18", "--over", "4 in", "--finish", "open"]
    shown = run("trace", picture, "--width", "5 cm", "--picture", tmp_path / "c.svg", *words)
    assert shown.exit_code == 0
    (tmp_path / "part.toml").write_text(shown.stdout)
    part = load(tmp_path / "part.toml")
    assert_allclose([part.gauge.stitch_width, part.gauge.row_height], [101.6 / 17, 101.6 / 18])
    assert part.outline.points[0, 0] == 0
    assert_allclose(part.outline.points[-1, 0], 25 * 0.1 / 0.26, rtol=0.03)
    assert "</svg>" in (tmp_path / "c.svg").read_text()


def test_from_two_views_to_rounds(tmp_path: Path) -> None:
    """A front and a plan that are ellipses become an oval part, its sides shrinking with it, and rounds."""
    for name, outline in (("front", "black"), ("plan", None)):
        image = Image.new("RGB", (500, 500), "white")
        ImageDraw.Draw(image).ellipse(
            [50, 150, 450, 350], outline=outline, fill=None if outline else "grey", width=4
        )
        image.save(tmp_path / f"{name}.png")
    front, plan, part = (tmp_path / name for name in ("front.png", "plan.png", "part.toml"))
    words = ["--height", "4 cm", "--stitches", "30", "--rows", "30", "--picture", tmp_path / "check.png"]
    assert run("trace", front, "--plan", plan, *words, "--out", part).exit_code == 0
    written = part.read_text()
    assert 'section = "oval"\nstraight = [[0, 0], [' in written
    assert 'start = "chain"\nfinish = "seamed"' in written
    wanted = load(part).wanted
    # twice as long as wide at every level: the sides are as long as the part is wide
    assert_allclose([wanted.length, wanted.width, wanted.height], [80, 40, 40], rtol=0.02)
    angle = np.linspace(0, 2 * np.pi, 721)
    ellipse = LineString(np.column_stack([40 * np.cos(angle), 20 + 20 * np.sin(angle)]))
    front_view = LineString(wanted_outline(wanted, "front"))
    assert front_view.hausdorff_distance(ellipse) < 100 / 30 / 2  # half a stitch
    rounds = run("rounds", part)
    assert rounds.exit_code == 0
    assert "Each end lies at most" in " ".join(rounds.stdout.split())


@pytest.mark.parametrize(
    "shape",
    [
        'kind = "sketch"\nfile = "front.png"\nheight = 40\nplan = "front.png"',
        'kind = "sketch"\nfile = "front.png"\nheight = 40\nplan = "front.png"\nfirst = "top"',
        'kind = "model"\nfile = "fender.stl"\naxis = [0, 0, 1]',
    ],
)
def test_elongated_shapes_are_ovals(shape: str, tmp_path: Path) -> None:
    """A capsule of 90 x 40 by two sketches, or as a mesh, is an oval part with one length of its sides."""
    files(tmp_path)
    path = tmp_path / "part.toml"
    path.write_text(f"{GAUGE}[shape]\n{shape}\n")
    part = load(path)
    assert isinstance(part, OvalPart)
    assert_allclose([part.wanted.length, part.wanted.width, part.wanted.height], [90, 40, 40], rtol=0.01)
    assert part.wanted.is_even
    assert any("Elongated" in note for note in part.notes)
    path.write_text(f"{GAUGE}[shape]\n{shape}\n[work]\nring = 6\n")
    with pytest.raises(InputError, match=r"ring, line \d+: ring is for round parts"):
        load(path)


def files(folder: Path) -> None:
    """Put a drawing, a model and two sketches into a folder."""
    (folder / "float.svg").write_text(f"{SVG}{FLOAT}</svg>")
    trimesh.creation.icosphere(radius=30).export(folder / "ball.stl")
    fender = trimesh.creation.icosphere(subdivisions=5, radius=20)
    fender.vertices[:, 0] += 25 * np.sign(fender.vertices[:, 0].round(9))
    fender.export(folder / "fender.stl")
    for name, box in (("front.png", [25, 150, 475, 350]), ("blank.png", [0, 0, 0, 0])):
        image = Image.new("RGB", (500, 500), "white")
        if box[2]:
            ImageDraw.Draw(image).rounded_rectangle(box, 100, fill="black")
        image.save(folder / name)


@pytest.mark.parametrize(
    ("shape", "height", "width"),
    [
        ('kind = "drawing"\nfile = "float.svg"', 80, 40),
        ('kind = "drawing"\nfile = "float.svg"\nelement = "float"\nwidth = "2 in"', 101.6, 50.8),
        ('kind = "model"\nfile = "ball.stl"\naxis = [0, 1, 0]', 60, 60),
        ('kind = "model"\nfile = "ball.stl"\nunit = "in"\nheight = 80', 80, 80),
        ('kind = "sketch"\nfile = "front.png"\nheight = 40\nfirst = "top"\naxis = "vertical"', 40, 90),
    ],
)
def test_part_files_name_other_files(shape: str, height: float, width: float, tmp_path: Path) -> None:
    """A part file may name a sketch, a drawing or a model beside it; the notes tell what was read."""
    files(tmp_path)
    path = tmp_path / "part.toml"
    path.write_text(f"{GAUGE}[shape]\n{shape}\n")
    part = load(path)
    assert_allclose([part.outline.height, part.outline.width], [height, width], rtol=0.01)
    assert any("Smoothed" in note for note in part.notes)


@pytest.mark.parametrize(
    ("shape", "told"),
    [
        ('kind = "sketch"\nfile = "gull.png"\nheight = 90', r"\[shape\] file, line 6: the file is not there"),
        ('kind = "sketch"\nfile = "blank.png"\nheight = 90', "nothing drawn"),
        ('kind = "sketch"\nfile = "front.png"', "no size of its own"),
        (
            'kind = "sketch"\nfile = "front.png"\nheight = 90\naxis = "upright"',
            r"axis, line 8: axis is .auto",
        ),
        ('kind = "sketch"\nfile = "front.png"\nheight = 90\nelement = "a"', '"element" is not a key'),
        ('kind = "drawing"\nfile = "float.svg"\nelement = "hull"', '"hull" is an outline'),
        ('kind = "drawing"\nfile = "blank.png"', "SVG file"),
        ('kind = "model"\nfile = "ball.stl"\naxis = [0, 0, 0]', "axis is a direction"),
        ('kind = "model"\nfile = "ball.stl"\ntolerance = 8', "tolerance is a share"),
        ('kind = "scetch"\nfile = "front.png"', 'Did you mean "sketch"'),
    ],
)
def test_refused_part_files(shape: str, told: str, tmp_path: Path) -> None:
    """What is wrong with such a part file, or with the file it names, is told at its line."""
    files(tmp_path)
    path = tmp_path / "part.toml"
    path.write_text(f"{GAUGE}\n[shape]\n{shape}\n".replace("\n\n", "\n"))
    with pytest.raises(InputError, match=told):
        load(path)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["gull.bmp"], "a file to trace ends in"),
        (["blank.png", "--height", "90 furlongs"], "--height: a length is"),
        (["blank.png", "--height", "9 cm", "--width", "5 cm"], "one size"),
        (["blank.png", "--height", "9 cm"], "nothing drawn"),
        (["front.png", "--height", "9 cm", "--element", "a"], "element belongs to a drawing"),
        (["float.svg", "--unit", "cm"], "unit belongs to a model"),
        (["ball.stl", "--axis", "0,0"], "--axis: the axis of a model"),
        (["front.png", "--height", "9 cm", "--picture", "check.bmp"], "a picture is written as"),
        (["front.png", "--height", "4 cm", "--plan", "front.png", "--start", "ring"], "starts on a chain"),
        (["front.png", "--height", "4 cm", "--finish", "seamed"], "no seam"),
        (["front.png", "--height", "9 cm", "--stitches", "0"], "stitches"),
    ],
)
def test_refusals(words: list[str], told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Mistakes on the command line and in files end with code 2 and a message; no part file is written."""
    files(tmp_path)
    monkeypatch.chdir(tmp_path)
    result = run("trace", *words, "--out", "part.toml")
    assert result.exit_code == 2
    assert told in result.stderr
    assert "Traceback" not in result.stderr
    assert not (tmp_path / "part.toml").exists()


def test_a_refused_model_is_drawn(tmp_path: Path) -> None:
    """A model that is no round body is refused, and the check picture shows how far it is from one."""
    trimesh.creation.box([20, 60, 90]).export(path := tmp_path / "crate.stl")
    picture = tmp_path / "check.png"
    result = run("trace", path, "--picture", picture)
    assert result.exit_code == 2
    assert "for a round body" in result.stderr
    assert picture.is_file()


def test_a_photograph_of_12_megapixels(tmp_path: Path) -> None:
    """A 12-megapixel JPEG is traced in under 600 MB, Python's start and the picture included."""
    look = rendering.worn(rendering.Look(style="outlined", size=1000, turned=3, fills=0.6), seed=4)
    small = rendering.drawn(rendering.pear(), look)
    photograph = small.resize((4000, 4000), Image.Resampling.BICUBIC).crop((0, 500, 4000, 3500))
    photograph.save(path := tmp_path / "photograph.jpg", quality=90)
    code = (
        "import pathlib, sys; from solver.cli import main; main(sys.argv[1:], standalone_mode=False);"
        "held = pathlib.Path('/proc/self/status');"
        "text = held.read_text() if held.exists() else 'VmHWM: 0 kB';"
        "print(text.partition('VmHWM:')[2].split()[0], file=sys.stderr)"
    )
    words = [sys.executable, "-c", code, "trace", str(path), "--height", "9 cm", "--out", "p.toml"]
    done = subprocess.run(
        words, cwd=tmp_path, env={"PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert float(done.stderr.split()[-1]) < 600e3  # the most it ever held, in kB, where the system tells it
    assert load(tmp_path / "p.toml").outline.height == 90.0


def test_rounds_of_a_drawn_outline_need_no_readers() -> None:
    """A part file with its own points imports nothing that reads pictures, drawings or meshes."""
    code = (
        "import sys; from solver.partfile import load; load(sys.argv[1]);"
        "print(*[m for m in ('PIL', 'skimage', 'scipy.ndimage', 'svgelements', 'trimesh')"
        " if m in sys.modules])"
    )
    words = [sys.executable, "-c", code, str(ROOT / "samples" / "bollard.toml")]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.split() == []


def test_what_is_too_small_to_be_worked_is_told(tmp_path: Path) -> None:
    """A slim spindle, 3 cm high at a coarse gauge: its file is written, and what is missing is told."""
    drawing = tmp_path / "slim.svg"
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 90">'
        '<ellipse cx="20" cy="45" rx="12" ry="40"/></svg>',
        encoding="utf-8",
    )
    words = ["trace", str(drawing), "--height", "30 mm", "--stitches", "10"]
    words += ["--picture", str(tmp_path / "seen.png")]
    told = CliRunner().invoke(main, [*words, "--out", str(tmp_path / "slim.toml")])
    assert told.exit_code == 0
    assert "can't be worked as it is: the widest round" in told.stderr
