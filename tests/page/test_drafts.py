"""Drafts and the text that they are saved as; files of the folder; the samples that the page carries."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from solver.errors import InputError
from solver.page.drafts import merged, plain_tables
from solver.page.folder import ChangedError, Opened
from solver.page.jobs import solve
from solver.page.start import sample_text, samples
from tests.serving import ROOT

TEXT = """# hers
title = "Post"   # its name
shape.kind = "outline"
shape.points = [
  [0, 0],            # the foot
  ["2 cm", "1 in"],  # measured
  [18, 40],
  [0, 60], # the top
]

[gauge]
over = "4 in"
rows = 17
stitches = 17 # always
"""


def test_unchanged_is_the_very_text() -> None:
    """A draft that was not changed is saved as it was written, to the byte; so is every sample."""
    for text in (TEXT, *(sample_text(name) for name in samples())):
        assert merged(text, plain_tables(text, file="x")) == text


def test_lengths_that_mean_the_same_stay() -> None:
    """Points that the page has in millimetres leave what she wrote in other units."""
    tables = plain_tables(TEXT, file="x")
    tables["shape"]["points"] = [[0, 0], [20, 25.4], [18, 40], [0, 60]]
    assert merged(TEXT, tables) == TEXT


@pytest.mark.parametrize(
    ("points", "gone", "there"),
    [
        ([[0, 0], [20, 25.4], [18, 41.5], [0, 60]], "[18, 40]", "[18, 41.5]"),
        ([[0, 0], [20, 25.4], [19, 33], [18, 40], [0, 60]], "nothing", "[19, 33]"),
        ([[0, 0], [20, 25.4], [0, 60]], "[18, 40]", "the top"),
    ],
)
def test_one_point_changes_one_line(points: list[list[float]], gone: str, there: str) -> None:
    """A point that is moved, added or taken away leaves all other lines, and reads back as it was meant."""
    tables = plain_tables(TEXT, file="x")
    tables["shape"]["points"] = points
    text = merged(TEXT, tables)
    assert gone not in text
    assert there in text
    assert sum(line not in TEXT.splitlines() for line in text.splitlines()) <= 1
    for comment in ("# hers", "# its name", "# the foot", "# measured", "# the top", "# always"):
        assert comment in text
    assert len(plain_tables(text, file="x")["shape"]["points"]) == len(points)


def test_a_new_text_reads_well() -> None:
    """A new file has its tables in the order in which one thinks of them, its points one a line."""
    points = [[0, 0], [10.5, 4], [0, 20]]
    shape = {"kind": "outline", "points": points}
    text = merged("", {"shape": shape, "gauge": {"stitches": 20, "rows": 20.0}, "title": "Post"})
    assert text.splitlines()[0] == 'title = "Post"'
    assert text.index("[gauge]") < text.index("[shape]")
    assert "[10.5, 4],\n" in text
    assert "rows = 20\n" in text
    assert plain_tables(text, file="x")["shape"] == shape


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    """A file that is not as it was when it was read is not written; nor is one that was not known of."""
    opened = Opened(tmp_path.resolve())
    first = opened.write("post.toml", "a = 1\n", stamp="")
    with pytest.raises(ChangedError):
        opened.write("post.toml", "a = 2\n", stamp="")
    (tmp_path / "post.toml").write_text("a = 3\n")
    with pytest.raises(ChangedError):
        opened.write("post.toml", "a = 2\n", stamp=first)
    assert (tmp_path / "post.toml").read_text() == "a = 3\n"
    opened.write("post.toml", "a = 4\n", stamp=opened.stamp("post.toml"))
    (tmp_path / "post.toml").unlink()
    with pytest.raises(ChangedError):
        opened.write("post.toml", "a = 5\n", stamp=first)
    assert list(tmp_path.iterdir()) == []


def test_a_name_in_the_folder() -> None:
    """What is opened is a folder or a part file in one; anything else is told."""
    theirs = sorted(path.name for path in (ROOT / "samples").glob("*.toml"))
    assert Opened.at(ROOT / "samples").names() == theirs
    assert Opened.at(ROOT / "samples" / "buoy.toml").first == "buoy.toml"
    with pytest.raises(InputError):
        Opened.at(ROOT / "README.md")


def test_samples_are_those_of_the_repository() -> None:
    """A sample that the page carries is the repository's (DEVELOPERS tells how to bring one up to date)."""
    files = [path for path in (ROOT / "samples").rglob("*.toml") if path.parent.name != "sketches"]
    theirs = {path.stem: path.read_text(encoding="utf-8") for path in files}
    assert len(samples()) >= 11
    for name in samples():
        assert sample_text(name) == theirs[name]


def test_notes_name_no_tables_of_a_file() -> None:
    """What is told of a part tells where on the page things are set, not in which table of a file."""
    tables = {
        "gauge": {"stitches": 20, "rows": 20},
        "shape": {"kind": "drop", "height": 62, "width": 46},
        "work": {"multiple": 6},
    }
    told = solve(draft={"tables": tables, "base": "", "name": "", "folder": "."})
    notes = [*told["data"]["notes"], *told["materials"]]
    assert any("below the gauge" in text for text in notes)
    assert not [text for text in notes if re.search(r"\[\w+\]|\w = ", text)]
