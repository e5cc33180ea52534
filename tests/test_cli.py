"""The command line: what each command prints, writes and refuses."""

import io
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from solver.cli import main, progress
from solver.errors import ConvergenceError
from solver.shapes import named_shapes

ROOT = Path(__file__).parents[1]
SAMPLES = sorted((ROOT / "samples").glob("*.toml"))
BUOY = str(ROOT / "samples" / "buoy.toml")
GAUGE = "[gauge]\nstitches = 20\nrows = 20\n"
BALL = "[shape]\nkind = 'ball'\nwidth = 60\n"


def run(*words: str | Path) -> Result:
    """Run a command as typed."""
    return CliRunner().invoke(main, [str(word) for word in words], catch_exceptions=False)


def python(*words: str, **more: str) -> subprocess.CompletedProcess[str]:
    """Run Python in the project's folder."""
    return subprocess.run(
        [sys.executable, *words], cwd=ROOT, capture_output=True, text=True, check=False, timeout=60
    )


@pytest.mark.parametrize("command", ["rounds", "compare", "preview", "shapes"])
def test_help_shows_an_example(command: str) -> None:
    """The help of each command ends with an example from the samples."""
    shown = run(command, "--help").stdout
    example = shown[shown.index("Example, ") :]
    assert f"  plumpline {command} " in example
    if command != "shapes":
        sample = next(word for word in example.split() if word.startswith("samples/"))
        assert (ROOT / sample).is_file()


def test_module_is_the_command() -> None:
    """`python -m solver` is the command, under its own name."""
    shown = python("-m", "solver", "rounds", "--help")
    assert shown.returncode == 0
    assert shown.stdout.startswith("Usage: plumpline rounds")


def test_imports_are_light() -> None:
    """Help needs no numbers; rounds need neither pictures, meshes, sparse matrices nor optimisers."""
    heavy = "numpy pydantic scipy matplotlib trimesh".split()
    code = f"import sys, solver.cli; print(*[m for m in {heavy} if m in sys.modules])"
    assert python("-c", code).stdout.split() == []
    heavy = "matplotlib trimesh scipy.sparse scipy.optimize scipy.interpolate scipy.spatial".split()
    code = (
        "import sys; from solver.cli import main; main(['rounds', sys.argv[1], '--json'], standalone_mode=False);"
        f"print(*[m for m in {heavy} if m in sys.modules], file=sys.stderr)"
    )
    done = python("-c", code, BUOY)
    assert (done.returncode, done.stderr.split()) == (0, [])


def test_shapes_are_told() -> None:
    """Every shape is told with its sizes, and each example can be pasted into a part file and solved."""
    shown = run("shapes").stdout
    for name, shape in named_shapes().items():
        told = shown[shown.index(f"{name}\n") :].split("\n\n")[0]
        assert shape.sentence in told
        assert all(f" {size}: " in told for size in (*shape.needed, *shape.optional))
        example = told[told.index("[shape]") :]
        from solver.partfile import read

        assert read(GAUGE + example.replace("    ", ""), file="", title=name).outline.height > 0
    assert max(len(line) for line in shown.splitlines()) <= 88


def test_shapes_are_drawn(tmp_path: Path) -> None:
    """`--pictures` makes its folder and writes a drawing of each shape."""
    folder = tmp_path / "drawings"
    assert run("shapes", "--pictures", folder).exit_code == 0
    assert {path.stem for path in folder.iterdir()} == set(named_shapes())
    assert all(path.read_bytes().startswith(b"\x89PNG") for path in folder.iterdir())


def test_pictures_of_shapes_need_a_place(tmp_path: Path) -> None:
    """`--pictures` refuses a file, and a folder within one that is not there."""
    (tmp_path / "file").write_text("mine")
    for place in ("file", "absent/drawings"):
        done = run("shapes", "--pictures", tmp_path / place)
        assert (done.exit_code, done.stdout) == (2, "")
        assert "a folder that is there or can be made" in done.stderr


BAD = {
    "zero gauge": ("[gauge]\nstitches = 0\n" + BALL, "stitches is .* above zero"),
    "negative gauge": ("[gauge]\nstitches = -20\n" + BALL, "stitches is .* above zero"),
    "infinite gauge": ("[gauge]\nstitches = inf\n" + BALL, "stitches is .* above zero"),
    "gauge over 10 m": (
        "[gauge]\nstitches = 20\nover = '10 m'\n" + BALL,
        "stitch width is from 0.5 to 40 mm",
    ),
    "wrong unit": ("[gauge]\nstitches = 20\nover = '10 ells'\n" + BALL, "ells"),
    "unknown key": ("[gauge]\nstiches = 20\n" + BALL, 'Did you mean "stitches"'),
    "syntax": ("[gauge\n", "can't be read as TOML"),
    "one point": (GAUGE + "[shape]\nkind = 'outline'\npoints = [[0, 0]]", "a list of 2 to 2000"),
    "crossing": (
        GAUGE + "[shape]\nkind = 'outline'\npoints = [[0, 0], [40, 0], [20, 0], [0, 60]]",
        "does not cross",
    ),
    "negative radius": (
        GAUGE + "[shape]\nkind = 'outline'\npoints = [[0, 0], [-4, 9], [0, 60]]",
        "a radius is zero or more",
    ),
    "heights back": (
        GAUGE + "[shape]\nkind = 'outline'\npoints = [[0, 0], [30, 40], [20, 30], [0, 60]]",
        "heights never go back",
    ),
    "too small": (GAUGE + "[shape]\nkind = 'ball'\nwidth = 0.5", "from 2 mm to 2 m"),
    "too large": (GAUGE + "[shape]\nkind = 'ball'\nwidth = '5 m'", "from 2 mm to 2 m"),
    "count over 2,000": (
        "[gauge]\nstitches = 20\nover = 11\n[shape]\nkind = 'ball'\nwidth = 400",
        "2,000 stitches",
    ),
    "binary": ("\0", "binary"),
}


@pytest.mark.parametrize("command", ["rounds", "compare", "preview"])
@pytest.mark.parametrize("what", BAD)
def test_bad_part_files(command: str, what: str, tmp_path: Path) -> None:
    """A part file at fault ends with exit code 2, the reason on standard error, and nothing written."""
    text, told = BAD[what]
    path, out = tmp_path / "part.toml", tmp_path / "out.png"
    path.write_text(text)
    done = run(command, path, "--out", out)
    assert (done.exit_code, done.stdout) == (2, "")
    with pytest.raises(AssertionError, match=told):
        raise AssertionError(done.stderr)
    assert done.stderr.startswith(str(path))
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == [path]


def test_files_that_are_none(tmp_path: Path) -> None:
    """A missing file and a folder end with exit code 2 and one line."""
    for path, told in ((tmp_path / "absent.toml", "no such file"), (tmp_path, "this is a folder")):
        done = run("rounds", path)
        assert (done.exit_code, done.stdout, done.stderr.count("\n")) == (2, "", 1)
        assert told in done.stderr


def test_form_that_is_not_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """A form that did not converge is told with exit code 2, never shown."""

    def fails(*_: object, **__: object) -> None:
        raise ConvergenceError("the ball", iterations=7, residual=0.5, tried="Newton")

    monkeypatch.setattr("solver.solution.solve", fails)
    done = run("rounds", BUOY)
    assert (done.exit_code, done.stdout) == (2, "")
    assert "no balance between stuffing and fabric was found (7 steps" in done.stderr


def test_broken_pipe_ends_quietly() -> None:
    """A reader that stops early, such as `head`, gets its lines and no complaint follows."""
    shown = subprocess.run(
        f'"{sys.executable}" -m solver shapes | head -1',
        shell=True,
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    assert (shown.stdout, shown.stderr) == ("ball\n", "")


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        """Tell that it is one."""
        return True


def test_progress_on_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """Long work shows its share on a terminal, and wipes it when done."""
    monkeypatch.setattr(sys, "stderr", screen := Terminal())
    monkeypatch.setattr(progress, "PATIENCE", 0.0)
    with progress.progress("Solving") as report:
        report(0.5)
        assert screen.getvalue() == "\rSolving:  50%"
    assert screen.getvalue().split("\r")[-2].isspace()


@pytest.mark.parametrize(("stream", "patience"), [(Terminal, 60.0), (io.StringIO, 0.0)])
def test_no_progress(stream: type[io.StringIO], patience: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is shown within the first second, nor in a pipe."""
    monkeypatch.setattr(sys, "stderr", screen := stream())
    monkeypatch.setattr(progress, "PATIENCE", patience)
    with progress.progress("Solving") as report:
        report(0.5)
    assert screen.getvalue() == ""
