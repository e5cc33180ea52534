"""A size typed on the page: all of a part's lengths follow, as they do in a part that is scaled."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from solver.page.drafts import merged, plain_tables
from solver.page.resized import scaled_tables
from solver.partfile import read
from solver.wanted.part import AnyPart, BentPart, OvalPart, Part, RowsPart
from tests.serving import ROOT

SAMPLES = sorted((ROOT / "samples").glob("*.toml"))
FACTOR = 1.3


def drawn(part: AnyPart) -> list[np.ndarray]:
    """Return what a part is drawn by. [mm]"""
    match part:
        case Part():
            return [part.outline.points]
        case OvalPart():
            return [part.wanted.profile, part.wanted.straights]
        case BentPart():
            return [part.outline.points, np.array([[bend.begin, bend.end] for bend in part.bends])]
        case RowsPart():
            return [np.asarray(part.outline.left), np.asarray(part.outline.right)]
    raise TypeError


@pytest.mark.parametrize("file", SAMPLES, ids=lambda file: file.stem)
def test_all_lengths_follow(file: Path) -> None:
    """What is read of the scaled tables is the part scaled: drawing, cuts, bends, bands and patches."""
    text = file.read_text(encoding="utf-8").replace('thickness = "5 mm"', "")
    part = read(text, file=str(file), title="x", folder=file.parent)
    tables = scaled_tables(plain_tables(text, file=file.name), FACTOR)
    again = read(merged(text, tables), file=str(file), title="x", folder=file.parent)
    wanted = part.scaled(FACTOR)
    for mine, theirs in zip(drawn(again), drawn(wanted), strict=True):
        assert np.abs(mine - theirs).max() < 2e-3 * part.half_width
    for one, two in zip(again.supplies.bands, wanted.supplies.bands, strict=True):
        assert (one.low, one.high) == pytest.approx((two.low, two.high))
    for one, two in zip(again.supplies.patches, wanted.supplies.patches, strict=True):
        for name in ("width", "height", "low", "high"):
            assert getattr(one, name, None) == pytest.approx(getattr(two, name, None))
        assert one.place.height == pytest.approx(two.place.height)


def test_cut_and_share() -> None:
    """A cut told as a length follows; one told as a share of the part is a share already."""
    shape = {"kind": "ball", "width": "5 cm", "cut": "30 mm"}
    assert scaled_tables({"shape": shape}, 2.0)["shape"] == {"kind": "ball", "width": "10 cm", "cut": "60 mm"}
    shape["cut"] = "80 %"
    assert scaled_tables({"shape": shape}, 2.0)["shape"]["cut"] == "80 %"


def test_what_is_bought_stays() -> None:
    """Eyes are as large as they were bought, and yarn as thick."""
    tables = {"shape": {"kind": "ball", "width": 40}, "extras": {"eyes": {"diameter": "9 mm", "count": 2}}}
    scaled = scaled_tables({**tables, "gauge": {"stitches": 20, "over": "10 cm"}}, 2.0)
    assert scaled["extras"] == tables["extras"]
    assert scaled["gauge"] == {"stitches": 20, "over": "10 cm"}
