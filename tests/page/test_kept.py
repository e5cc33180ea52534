"""Files that are taken away from the page."""

from __future__ import annotations

import json
import re
from typing import Any

from solver.page.making import kept

BANDS = [{"colour": "red", "low": 12, "high": 24}]
DRAFT: dict[str, Any] = {
    "tables": {
        "gauge": {"stitches": 20, "rows": 20},
        "shape": {"kind": "ball", "width": 40},
        "colours": {"main": "white", "bands": BANDS},
    },
    "base": "",
    "name": "",
    "folder": ".",
}


def test_turning_page_has_the_colours() -> None:
    """The page that turns shows each face in the colour of its yarn, as the command's does."""
    made = kept(draft=DRAFT, what="turning", ending=".html", options={})
    told = re.search(r"colours = (\[\[.*?\]\]), names", made["content"].decode())
    assert told
    colours = json.loads(told[1])
    reds = sum(red > 200 and green < 60 for red, green, _ in colours)
    whites = sum(green > 200 for _, green, _ in colours)
    assert reds > 40
    assert whites > 40


def test_mesh_has_the_colours() -> None:
    """A mesh in a format that has colours comes in pieces by colour."""
    made = kept(draft=DRAFT, what="mesh", ending=".glb", options={})
    plain = {**DRAFT, "tables": {key: DRAFT["tables"][key] for key in ("gauge", "shape")}}
    assert made["content"] != kept(draft=plain, what="mesh", ending=".glb", options={})["content"]
    assert made["content"].count(b"baseColorFactor") == 2
