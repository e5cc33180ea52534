"""A tube or a cone of fabric, folded flat, is what paper makes: closed forms of elementary geometry.

A tube of girth N w folds to a rectangle of half that width. A cone that unrolls to a sector of slant height s
and angle phi folds to a sector of half that angle: 2 s sin(phi / 4) wide, and s high along its middle. A flat
disc (phi = 2 pi) folds to a half disc.
"""

from __future__ import annotations

import numpy as np
import pytest

from solver.form.folded import FoldedFabric, count_sensitivity, folded_form, row_arc
from solver.form.layers import folded_fabric, folded_sizes, in_layers
from solver.rounds import Finish, Start
from solver.rounds.shaping import shaped_piece
from solver.wanted.gauge import Gauge

W = 5.0


@pytest.mark.parametrize("stitches", [12, 25, 60])
def test_a_tube_folds_to_half_its_girth(stitches: int) -> None:
    """A tube folds to half its girth."""
    gauge = Gauge(stitch_width=W, row_height=4.6)
    piece = shaped_piece([stitches] * 9, start=Start.OPEN, finish=Finish.OPEN, foundation=stitches)
    form = in_layers(folded_form(folded_fabric(piece, gauge)), piece, gauge)
    width, height = folded_sizes(form)
    assert width == pytest.approx(stitches * W / 2, rel=1e-6)
    assert height == pytest.approx(9 * 4.6, rel=1e-6)
    assert form.volume == 0
    assert form.is_folded


@pytest.mark.parametrize(("more", "angle"), [(2, np.pi / 3), (3, np.pi / 2), (6, np.pi)])
def test_a_cone_folds_to_half_its_sector(more: int, angle: float) -> None:
    """A cone folds to half its sector."""
    rounds, row = 14, 6 * W / (2 * np.pi)  # six more a round lie flat
    rows = np.arange(rounds + 1) * more * W / 4
    form = folded_form(FoldedFabric(rows=rows, spacing=np.full(rounds, row), side=0.0, stitch_width=W))
    slant = rounds * row
    assert form.width == pytest.approx(2 * slant * np.sin(angle / 2), rel=1e-4)
    assert np.ptp(form.middle) == pytest.approx(slant, rel=1e-4)
    assert form.size == pytest.approx(slant * np.cos(angle / 2), abs=0.02)
    assert np.abs(form.strain).max() < 1e-4


def test_a_cones_row_is_an_arc_about_its_tip() -> None:
    """A cone's row is an arc about its tip."""
    half, angle = np.array([10.0, 10.0]), np.array([np.pi / 6, 0.0])
    long, deep = row_arc(half, angle)
    assert long == pytest.approx([20 * np.pi / 6, 10.0])
    assert deep == pytest.approx([20 * (1 - np.cos(np.pi / 6)), 0.0])


def test_how_a_fold_moves_with_its_counts_is_what_folding_again_tells() -> None:
    """The sensitivity is what folding again with more stitches tells."""
    counts = np.array([6, 9, 12, 15, 18, 20, 20, 20, 18, 16], dtype=float)

    def folded(counts: np.ndarray) -> np.ndarray:
        rows = np.append(0.0, counts) * W / 4
        fabric = FoldedFabric(rows=rows, spacing=np.full(len(counts), 4.8), side=0.0, stitch_width=W)
        form = folded_form(fabric)
        return form.points if counts is not given else form

    given = counts
    form = folded(counts)
    told = count_sensitivity(form)
    for row in (3, 6):
        more = counts.copy()
        more[row] += 0.1
        moved = (folded(more) - form.points) / 0.1
        assert told[:, :, row + 1] == pytest.approx(moved, abs=0.15)
