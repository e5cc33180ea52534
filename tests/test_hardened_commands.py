"""What an adversary and a clumsy user try at the command line: titles, pages, targets, and ending a sweep."""

import logging
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from click.testing import CliRunner, Result

from solver.cli import main
from solver.units import InputError, to_ml

ROOT = Path(__file__).parents[1]
BALL = "[gauge]\nstitches = 20\nrows = 20\n[shape]\nkind = 'ball'\nwidth = '5 cm'\n"


@pytest.fixture
def part(tmp_path: Path) -> Path:
    """Return a part file with an invented ball."""
    path = tmp_path / "ball.toml"
    path.write_text(BALL, encoding="utf-8")
    return path


def run(*words: object) -> Result:
    """Return how a command ended."""
    return CliRunner().invoke(main, [str(word) for word in words], catch_exceptions=False)


@pytest.mark.parametrize("letters", ["\u6d77\u306e\u6d6e", "\u0928\u093e\u0935", "<b>&</b>", "Бакен"])
def test_titles_in_any_script(letters: str, part: Path) -> None:
    """A picture is drawn whole, what no font here has is told in one sentence, and SVG stays well-formed."""
    part.write_text(f'title = "{letters}"\n{BALL}', encoding="utf-8")
    told = run("compare", part, "--out", part.with_suffix(".svg"))
    assert told.exit_code == 0
    assert told.stderr.count("No font here") <= 1
    assert "Warning" not in told.stderr
    drawn = ET.parse(part.with_suffix(".svg"))
    assert letters in {(each.text or "").strip() for each in drawn.iter()}


def test_letters_that_no_font_has_are_told_once(part: Path) -> None:
    """A letter of the private use area is in no font: a box stands for it, and that is said once."""
    part.write_text(f'title = "Seal \uf8a1"\n{BALL}', encoding="utf-8")
    told = run("compare", part, "--out", part.with_suffix(".png"))
    assert told.exit_code == 0
    assert told.stderr.count("boxes stand for them") == 1


@pytest.mark.parametrize("sign", ["\\u001b[2J", "\\u009b2J", "\\uFFFE", "\\u2028", "\\n"])
def test_control_characters_in_a_title_are_told(sign: str, part: Path) -> None:
    """They are refused with their line, and none reaches the terminal."""
    part.write_text(f'title = "Seal {sign} pup"\n{BALL}', encoding="utf-8")
    told = run("rounds", part)
    assert told.exit_code == 2
    assert "title, line 1" in told.output
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f]", told.output)


def test_terminal_escapes_of_a_page_are_shown(tmp_path: Path) -> None:
    """What a terminal would obey comes out as a picture of it."""
    page = tmp_path / "page.txt"
    page.write_bytes(b"Rnd 1: 6 sc in a magic ring (6)\nRnd 2: inc x 6 (12) \x1b[31m\x07\n")
    told = run("proof", page)
    assert "\x1b" not in told.output
    assert "\N{SYMBOL FOR ESCAPE}" in told.output


def test_file_names_with_anything_in_them(tmp_path: Path) -> None:
    """A line end and an escape in a name are shown in title and messages, not passed on."""
    path = tmp_path / "a\x1b[2J\nb.toml"
    path.write_text(BALL, encoding="utf-8")
    told = run("rounds", path)
    assert told.exit_code == 0
    assert "\x1b" not in told.output
    assert "\x1b" not in run("rounds", path.with_name("\x1b.toml")).output


def test_a_result_with_an_escape_in_its_name_is_told_as_a_picture_of_it(
    part: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a terminal too, where nothing else would take it out."""
    monkeypatch.setattr("click.utils.should_strip_ansi", lambda *_: False)
    for words in (["rounds", part], ["chart", part], ["gauge", "--yarn", "medium"]):
        told = run(*words, "--out", part.with_name("a\x1b[2J.svg" if words[0] == "chart" else "a\x1b[2J"))
        assert told.exit_code == 0
        assert "\x1b" not in told.stderr


def test_what_pictures_are_drawn_with_tells_makers_nothing(part: Path) -> None:
    """That its folder for fonts can't be made, say, is for developers."""
    run("rounds", part)
    assert logging.getLogger("matplotlib").getEffectiveLevel() > logging.WARNING


def test_long_values_are_cut() -> None:
    """A message shows as much of a value as a person reads."""
    told = run("preview", "x.txt", "--gauge", "9" * 10_000)
    assert told.exit_code == 2
    assert len(told.output) < 500


def test_a_missing_gauge_file_is_told_with_the_line_that_names_it(part: Path) -> None:
    """File, line and name: she finds all three in one sentence."""
    text = 'title = "Seal"\ngauge = "gone.toml"\n[shape]\nkind = "ball"\nwidth = 50\n'
    part.write_text(text, encoding="utf-8")
    told = run("rounds", part).output
    assert str(part) in told
    assert "gauge, line 2" in told
    assert "gone.toml" in told


@pytest.mark.parametrize(
    ("written", "ml"),
    [("250", 250), ("250 ml", 250), ("0.25 l", 250), ("2,5 dl", 250), ("25 centilitres", 250)],
)
def test_volumes(written: str, ml: float) -> None:
    """The litre and what it is divided into (SI brochure, 9th ed., table 8; 1 l = 1 dm3)."""
    assert to_ml(written) == pytest.approx(ml)


@pytest.mark.parametrize("written", ["", "ml", "-3 ml", "1,000 ml", "3 cups", "nan"])
def test_no_volumes(written: str) -> None:
    """What is none, or could be read in two ways, is told."""
    with pytest.raises(InputError):
        to_ml(written)


def test_tune_takes_a_volume_with_its_unit(part: Path) -> None:
    """The same volume however it is written, and the command takes it so."""
    assert {to_ml(text) for text in ("100", "100 ml", "0.1 l")} == {100.0}
    assert "asked for 100.0 ml" in run("tune", part, "--volume", "0.1 l").output


@pytest.mark.parametrize(
    "words",
    [
        ["--height", "900 m"],
        ["--width", "0.1 mm"],
        ["--volume", "900000 l"],
        ["--table", "6 cm, 7 cm, 800 m"],
        ["--table", ",".join(["6 cm"] * 1000)],
    ],
)
def test_absurd_targets_are_refused_at_once(words: list[str], part: Path) -> None:
    """Before anything is solved, with the option that asked for it."""
    begun = time.process_time()
    told = run("tune", part, *words)
    assert told.exit_code == 2
    assert words[0] in told.output.splitlines()[0]
    assert time.process_time() - begun < 1.0


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks at processes as Linux shows them")
def test_a_sweep_that_is_killed_takes_its_workers_along(part: Path) -> None:
    """Even ended in a way that nothing can be done about, it leaves no process behind, and no file."""
    words = ["sweep", str(part), "--gauge-from", "10", "--gauge-to", "60", "--steps", "200", "--jobs", "1"]
    sweep = subprocess.Popen(
        [sys.executable, "-m", "solver", *words, "--out", str(part.with_name("out.csv"))],
        cwd=ROOT,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    workers: set[int] = set()
    until = time.monotonic() + 30
    while not workers and time.monotonic() < until:
        time.sleep(0.1)
        workers = {number for number in _children(sweep.pid) if b"spawn_main" in _words(number)}
    time.sleep(1.0)
    os.kill(sweep.pid, signal.SIGKILL)
    sweep.wait()
    while any(b"spawn_main" in _words(number) for number in workers) and time.monotonic() < until:
        time.sleep(0.1)
    assert workers
    assert not any(b"spawn_main" in _words(number) for number in workers)
    assert sorted(part.parent.iterdir()) == [part]


def _children(parent: int) -> list[int]:
    found = []
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = path.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if int(fields[1]) == parent:
            found.append(int(path.parent.name))
    return found


def _words(number: int) -> bytes:
    """Return the command line of a process; nothing of one that has ended."""
    try:
        return Path(f"/proc/{number}/cmdline").read_bytes()
    except OSError:
        return b""


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["toy", "gone.svg", "--height", "9 cm", "--stitches", "nan"], "--stitches"),
        (["toy", "gone.svg", "--height", "-9 cm"], "--height"),
        (["gauge", "--swatch", "20 x 20", "--thickness", "nan"], "--thickness"),
        (["trace", "gone.stl", "--height", "9 cm", "--tolerance", "nan"], "--tolerance"),
        (["sheet", "PART", "--out", "o.txt", "--sizes", "S=5 cm, S=6 cm"], "a name of its own"),
        (["rounds", "DRAWING"], "plumpline trace"),
        (["compare", "PAGE"], "plumpline proof"),
        (["preview", "PAGE", "--gauge", "20 x 20", "--part", "9"], "got 1 part)"),
        (["resize", "PAGE", "--from", "PART", "--to", "PART"], "a gauge file holds"),
    ],
)
def test_a_clumsy_word_is_told_with_what_it_is_about(words: list[str], told: str, part: Path) -> None:
    """The option that is wrong, before a file that is not there; or what reads a file of that kind."""
    (drawing := part.with_name("seal.svg")).write_text("<svg/>", encoding="utf-8")
    page = part.with_name("page.txt")
    page.write_text("Rnd 1: 6 sc in a magic ring (6)\nRnd 2: inc x 6 (12)\n", encoding="utf-8")
    names = {"PART": part, "DRAWING": drawing, "PAGE": page}
    ended = run(*(names.get(word, word) for word in words))
    assert ended.exit_code == 2
    assert told in ended.stderr
