"""A whole toy is taken away from the page as the commands make it: a sheet, pictures, meshes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from solver.errors import InputError
from solver.page.making import kept
from solver.page.sheets import TOY_FILES
from solver.page.start import keeps

GAUGE = '[gauge]\nstitches = 20\nrows = 22\nover = "10 cm"\n'
BALL = 'gauge = "gauge.toml"\n[shape]\nkind = "ball"\nwidth = "60 mm"\n'


def draft(folder: Path, **beak: Any) -> dict[str, Any]:
    """Return a toy of a file that names its gauge, and a part of its own."""
    (folder / "parts").mkdir()
    (folder / "gauge.toml").write_text(GAUGE, encoding="utf-8")
    (folder / "parts" / "ball.toml").write_text(BALL.replace("gauge.toml", "../gauge.toml"), encoding="utf-8")
    (folder / "ball.toml").write_text(BALL, encoding="utf-8")
    cone = {"kind": "outline", "points": [[0, 0], [10, 4], [11, 18]]}
    parts = {
        "body": {"file": "ball.toml"},
        "beak": {"shape": cone, "on": "body", "at": {"height": 30, "turn": 0}, **beak},
    }
    tables = {"gauge": "gauge.toml", "parts": parts}
    return {"folder": str(folder), "name": "wee-gull.toml", "base": "", "tables": tables}


@pytest.mark.parametrize(
    ("what", "ending", "begins"), [("sheet", ".txt", b"Wee gull"), ("mesh", ".glb", b"glTF")]
)
def test_a_toy_is_taken_away(tmp_path: Path, what: str, ending: str, begins: bytes) -> None:
    """With its files beside it, its title that of its file, and nothing left in her folder."""
    wanted = draft(tmp_path)
    before = sorted(tmp_path.rglob("*"))
    made = kept(draft=wanted, what=what, ending=ending, options={"language": "de", "inches": True})
    assert made["content"].startswith(begins)
    if ending == ".txt":
        assert "Rd 1:" in made["content"].decode()
    assert sorted(tmp_path.rglob("*")) == before


def test_all_that_is_offered_is_known() -> None:
    """The page offers a toy only what it can be kept as."""
    assert set(TOY_FILES) <= set(keeps())


@pytest.mark.parametrize(("what", "ending"), [("rounds", ".txt"), ("sheet", ".exe"), ("over", ".png")])
def test_what_a_toy_is_not_kept_as_is_told(tmp_path: Path, what: str, ending: str) -> None:
    """Before anything is solved."""
    with pytest.raises(InputError, match="kept as"):
        kept(draft=draft(tmp_path), what=what, ending=ending, options={})


def test_a_file_outside_the_folder_is_refused(tmp_path: Path) -> None:
    """A part's file, whatever it is."""
    inner = tmp_path / "inner"
    inner.mkdir()
    wanted = draft(inner)
    wanted["tables"]["parts"]["body"] = {"file": "../secret.toml"}
    (tmp_path / "secret.toml").write_text(BALL, encoding="utf-8")
    with pytest.raises(InputError, match="folder"):
        kept(draft=wanted, what="sheet", ending=".txt", options={})
