"""Parts that are not stuffed but folded flat."""

from __future__ import annotations

import pytest

from solver.cli.report import report
from solver.errors import InputError
from solver.partfile import read
from solver.solving.solved import Solved, solve
from solver.wanted.part import AnyPart

EAR = """
title = "Ear"
gauge = { stitches = 20, rows = 21 }
stuffing = { firmness = "none" }
[shape]
kind = "outline"
points = [[0, 0], [12, 8], [20, 25], [19, 45], [14, 60]]
"""
FIN = """
title = "Fin"
gauge = { stitches = 20, rows = 21 }
stuffing = { firmness = "none" }
shape = { kind = "oval", length = "9 cm", width = "4 cm", height = "5 cm" }
"""


def _part(text: str) -> AnyPart:
    return read(text, file="part.toml", title="Part")


@pytest.fixture(scope="module", params=[EAR, FIN], ids=["ear", "fin"])
def folded(request: pytest.FixtureRequest) -> Solved:
    """Return a folded part, solved."""
    return solve(_part(request.param))


def test_the_flattened_fabric_has_the_drawn_sizes(folded: Solved) -> None:
    """The flattened fabric has the drawn sizes, and is half as wide as its widest round."""
    gauge = folded.part.gauge
    assert folded.got.width == pytest.approx(folded.wanted.width, abs=gauge.stitch_width)
    assert folded.got.height == pytest.approx(folded.wanted.height, abs=gauge.row_height / 2)
    assert folded.rms < folded.part.work.tolerance * gauge.stitch_width
    widest = max(folded.piece.counts) * gauge.stitch_width / 2
    assert folded.got.width == pytest.approx(widest, rel=0.03)


def test_nothing_is_said_of_stuffing(folded: Solved) -> None:
    """Nothing is said of stuffing; cautions stay."""
    told = report(folded, full=True)
    assert "folded flat" in told
    for word in ("Stuff", "stuffing", "Filling", "filling", "Small ball", "girth", "Girth", "Volume"):
        assert word not in told
    assert folded.materials.stuffing.value == 0
    assert folded.cautions


def test_one_that_bends_is_stuffed() -> None:
    """A part that bends is refused."""
    bent = EAR.replace(
        'kind = "outline"', 'kind = "outline"\nbends = [{ at = "30 mm", angle = "30 deg", over = "20 mm" }]'
    )
    with pytest.raises(InputError, match="a part that bends is stuffed"):
        _part(bent)


def test_one_on_a_chain_is_not_drawn_to_a_point() -> None:
    """A part on a chain that is drawn in is refused."""
    with pytest.raises(InputError, match="sewn flat or left open"):
        _part(FIN + '[work]\nfinish = "cinched"\n')


def test_rows_are_never_stuffed() -> None:
    """A flat piece in rows is the same whatever is told of stuffing."""
    shape = '[shape]\nkind = "flat"\nworked = "rows"\npoints = [[14, 0], [20, 25], [4, 80]]\n'
    text = f"gauge = {{ stitches = 20, rows = 21 }}\n{shape}"
    plain = solve(_part(text))
    told = solve(_part(f'stuffing = {{ firmness = "none" }}\n{text}'))
    assert told.piece == plain.piece
    assert told.part.kind == "rows"
