"""The page that turns: what is in it."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np

from solver.files.turntable import write_turntable
from solver.form.halved import edges_told
from solver.form.stuffed import stuffed_form
from solver.rounds import Finish, Piece, Round, Start, Stitch
from solver.wanted.gauge import Gauge


def test_rounds_are_named_on_their_own_edges(tmp_path: Path) -> None:
    """Every round of a ball is in the page by its number, with as many places as it has stitches."""
    counts = (6, 12, 18, 18, 18, 12, 6)
    around = [Stitch.INC] * 6, [Stitch.SC, Stitch.INC] * 6, [Stitch.SC] * 18, [Stitch.SC] * 18
    rounds = [[Stitch.SC] * 6, *around, [Stitch.SC, Stitch.DEC] * 6, [Stitch.DEC] * 6]
    piece = Piece(Start.RING, 0, tuple(Round(tuple(stitches)) for stitches in rounds), Finish.CINCHED)
    gauge = Gauge.from_swatch(stitches=20, rows=20, over_mm=100.0)
    form = stuffed_form(piece, gauge, pressure=0.001)
    fabric, path = form.fabric, tmp_path / "ball.html"
    write_turntable(
        path,
        form.points,
        triangles=fabric.triangles,
        quads=fabric.quads,
        hollow=False,
        title="Ball",
        words="",
        rings=edges_told(fabric, form.points),
    )
    (told,) = re.findall(r"const rings = (\[.*\]);", path.read_text(encoding="utf-8"))
    rings = json.loads(told)
    assert [name for name, _ in rings] == [f"round {k}" for k in range(1, 8)]
    assert tuple(len(places) for _, places in rings) == counts
    assert np.allclose(rings[2][1], form.rings[3], atol=0.051)
