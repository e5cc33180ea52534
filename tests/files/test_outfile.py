"""Nothing is lost when a result is written: every command, whatever stands at the name that it is given."""

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from solver.cli import main
from solver.errors import InputError
from solver.files.outfile import replacing

BALL = "[gauge]\nstitches = 20\nrows = 20\n[shape]\nkind = 'ball'\nwidth = '5 cm'\n"
ROOT = Path(__file__).parents[2]
LINKS = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes and links with names on this system")


@pytest.fixture
def part(tmp_path: Path) -> Path:
    """Return a part file with an invented ball."""
    path = tmp_path / "ball.toml"
    path.write_text(BALL, encoding="utf-8")
    return path


def run(*words: object) -> Result:
    """Return how a command ended."""
    return CliRunner().invoke(main, [str(word) for word in words], catch_exceptions=False)


def commands(part: Path, out: Path) -> list[list[object]]:
    """Return one call of each command that writes a file, to a name given whole."""
    drawing = part.with_name("drawing.svg")
    drawing.write_text('<svg xmlns="http://www.w3.org/2000/svg"><circle r="40"/></svg>', encoding="utf-8")
    return [
        ["rounds", part, "--out", out],
        ["sweep", part, "--out", out],
        ["gauge", "--yarn", "medium", "--out", out],
        ["compare", part, "--out", out],
        ["preview", part, "--out", out],
        ["tune", part, "--height", "6 cm", "--plot", out],
        ["trace", drawing, "--height", "6 cm", "--picture", out],
        ["trace", drawing, "--height", "6 cm", "--picture", part.with_name("seen.png"), "--out", out],
    ]


@LINKS
@pytest.mark.parametrize("number", range(8))
def test_what_is_no_plain_file_is_refused(number: int, part: Path) -> None:
    """A pipe with a name, a device and a folder stay what they are, and the command ends before it works."""
    pipe = part.with_name("pipe.png")
    os.mkfifo(pipe)
    device = part.with_name("device.png")
    device.symlink_to(os.devnull)
    folder = part.with_name("folder.png")
    folder.mkdir()
    before = sorted(part.parent.iterdir())
    for out, word in ((pipe, "plain file"), (device, "plain file"), (folder, "not to a folder")):
        told = run(*commands(part, out)[number])
        assert told.exit_code == 2
        assert word in told.output
        assert str(out) in told.output
    assert stat.S_ISFIFO(pipe.stat().st_mode)
    assert device.is_symlink()
    assert set(part.parent.iterdir()) <= {*before, part.with_name("drawing.svg")}


@LINKS
def test_a_link_leads_to_its_target_and_the_mode_stays(part: Path) -> None:
    """The target is written, keeps its permissions, and the link stays a link; one to a new name as well."""
    (target := part.with_name("target.txt")).write_text("old", encoding="utf-8")
    target.chmod(0o640)
    (link := part.with_name("link.txt")).symlink_to("target.txt")
    (dangling := part.with_name("dangling.txt")).symlink_to("new.txt")
    assert run("rounds", part, "--out", link).exit_code == 0
    assert run("rounds", part, "--out", dangling).exit_code == 0
    assert link.is_symlink()
    assert "Rnd 1" in target.read_text(encoding="utf-8")
    assert stat.S_IMODE(target.stat().st_mode) == 0o640
    assert part.with_name("new.txt").read_text(encoding="utf-8") == target.read_text(encoding="utf-8")


@LINKS
def test_the_input_is_never_written_over(part: Path) -> None:
    """Under its own name, by a link, by another name of the same file, or as a file that it names."""
    link, twin = part.with_name("link.toml"), part.with_name("twin.toml")
    link.symlink_to(part)
    twin.hardlink_to(part)
    for out in (part, link, twin, part.parent / ".." / part.parent.name / part.name):
        told = run("rounds", part, "--out", out)
        assert told.exit_code == 2
        assert "made from" in told.output
    assert part.read_text(encoding="utf-8") == BALL
    measured = part.with_name("measured.toml")
    assert run("gauge", "--yarn", "medium", "--out", measured).exit_code == 0
    before = measured.read_bytes()
    part.write_text('gauge = "measured.toml"\n' + BALL[BALL.index("[shape]") :], encoding="utf-8")
    assert run("rounds", part, "--out", measured).exit_code == 2
    assert measured.read_bytes() == before


def test_what_a_file_names_is_kept_by_commands_that_do_not_read_it(part: Path) -> None:
    """The photo and the template of its sheet."""
    named = {key: part.with_name(f"mine.{end}") for key, end in (("photo", "png"), ("template", "typ"))}
    for path in named.values():
        path.write_bytes(b"hers")
    lines = "".join(f'{key} = "{path.name}"\n' for key, path in named.items())
    part.write_text(f"{BALL}[sheet]\n{lines}", encoding="utf-8")
    for path in named.values():
        told = run("rounds", part, "--out", path)
        assert told.exit_code == 2
        assert "made from" in told.output
        assert path.read_bytes() == b"hers"


def test_files_of_hers_are_not_written_over_by_others(part: Path) -> None:
    """A part, gauge or toy file by another kind of result; by its own kind each is."""
    folder = part.parent
    drawing, gauge, toy = (folder / name for name in ("ball.svg", "gauge.toml", "toy.toml"))
    commands(part, drawing)
    drawing.write_bytes((folder / "drawing.svg").read_bytes().replace(b"<circle", b'<circle id="body"'))
    measured = ("gauge", "--yarn", "medium", "--out")
    traced = ("trace", drawing, "--height", "6 cm", "--picture", folder / "seen.png", "--out")
    assert run(*measured, gauge).exit_code == 0
    assert run(*measured, gauge).exit_code == 0
    assert run("toy", folder, "--out", toy).exit_code == 0
    assert run("toy", folder, "--out", toy).exit_code == 0
    before = [path.read_bytes() for path in (part, gauge, toy)]
    for words in (
        [*measured, part],
        ["sweep", gauge, "--out", part],
        ["toy", folder, "--out", part],
        ["toy", drawing, "--height", "6 cm"],
        [*traced, gauge],
        [*traced, toy],
    ):
        told = run(*words)
        assert told.exit_code == 2
        assert "of yours is not written over" in told.output
    assert [path.read_bytes() for path in (part, gauge, toy)] == before


def test_kept_from_writing_and_out_of_reach(part: Path) -> None:
    """A file kept from writing, a missing folder, a path through a file, a looping link, a name too long."""
    (locked := part.with_name("locked.txt")).write_text("mine", encoding="utf-8")
    locked.chmod(0o444)
    loop = part.with_name("loop.txt")
    loop.symlink_to(loop)
    for out in (locked, part.parent / "no" / "x.txt", part / "x.txt", loop, part.with_name("a" * 300)):
        told = run("rounds", part, "--out", out)
        assert told.exit_code == 2
        assert len(told.output.strip().splitlines()) == 1
    assert locked.read_text(encoding="utf-8") == "mine"


def test_two_results_in_one_place(part: Path) -> None:
    """A picture and a part file under one name: neither is written."""
    commands(part, out := part.with_name("one.png"))
    told = run("trace", part.with_name("drawing.svg"), "--height", "6 cm", "--picture", out, "--out", out)
    assert told.exit_code == 2
    assert not out.exists()


def test_nothing_is_left_when_writing_fails(part: Path) -> None:
    """An error while writing keeps the old file whole, and no temporary one stays."""

    def write() -> None:
        with replacing(part) as temporary:
            temporary.write_text("half", encoding="utf-8")
            raise OSError(28, "No space left on device")

    with pytest.raises(InputError, match=r"No space left on device.*Free some"):
        write()
    assert part.read_text(encoding="utf-8") == BALL
    assert list(part.parent.iterdir()) == [part]


TOY = """gauge = "20 x 20"
[parts.body]
shape = { kind = "ball", width = "6 cm" }
[parts.knob]
on = "body"
at = { height = "3 cm", turn = 0 }
join = "pressed"
shape = { kind = "ball", width = "2 cm" }
[[parts.knob.eyes]]
diameter = "6 mm"
at = { height = "1 cm", turn = 20 }
"""


@LINKS
def test_of_several_results_all_are_written_or_none(part: Path) -> None:
    """Two pin maps, a traced part and its picture, all shapes: where one has no place, none is there."""
    toy, drawing = part.with_name("toy.toml"), part.with_name("drawing.svg")
    toy.write_text(TOY, encoding="utf-8")
    os.mkfifo(part.with_name("pins-knob.png"))
    (shapes := part.with_name("shapes")).mkdir()
    os.mkfifo(shapes / "tube.png")
    commands(part, drawing)
    picture = part.with_name("seen.png")
    before = sorted(part.parent.rglob("*"))
    long = part.with_name("a" * 300 + ".toml")
    for words in (
        ["places", toy, "--out", part.with_name("pins.png")],
        ["trace", drawing, "--height", "6 cm", "--picture", picture, "--out", long],
        ["trace", drawing, "--height", "6 cm", "--picture", part.with_name(f"{'a' * 300}.png")],
        ["shapes", "--pictures", shapes],
    ):
        assert run(*words).exit_code == 2
    assert sorted(part.parent.rglob("*")) == before


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_what_ends_with_2_leaves_no_file_though_only_its_words_had_no_place(part: Path) -> None:
    """The gauge file is whole, and what is told beside it has no place: neither is there."""
    words = [sys.executable, "-m", "solver", "gauge", "--yarn", "medium", "--out", "gauge.toml"]
    there = {"cwd": part.parent, "env": {**os.environ, "PYTHONPATH": str(ROOT)}}
    with open("/dev/full", "w", encoding="utf-8") as full:
        ended = subprocess.run(words, stdout=full, stderr=subprocess.PIPE, check=False, **there)
    assert ended.returncode == 2
    assert ended.stderr.strip()
    assert list(part.parent.iterdir()) == [part]


@LINKS
@pytest.mark.parametrize("closed", ["<&-", ">&-", "2>&-", "<&- >&- 2>&-", "> /dev/full"])
def test_closed_streams(closed: str, part: Path) -> None:
    """With a stream closed, or a disk full, there is a result, or one sentence and exit 2."""
    script = f'"{sys.executable}" -m solver rounds "{part}" {closed}'
    ended = subprocess.run(["sh", "-c", script], cwd=ROOT, capture_output=True, text=True, timeout=60)
    lost = ">&-" in closed.replace("2>&-", "") or "full" in closed
    assert ended.returncode == (2 if lost else 0)
    assert "Traceback" not in ended.stderr
    assert len(ended.stderr.strip().splitlines()) <= 1
