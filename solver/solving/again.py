"""Solved parts taken up again: with somebody's own rounds, at another gauge, stuffed otherwise."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from solver.form.folded import folded_form
from solver.form.layers import folded_fabric, folded_sizes, in_layers
from solver.form.stuffed import StuffedForm, stuffed_form
from solver.form.views import girth_from_above
from solver.rounds import Start
from solver.solving.kinds import kind_of
from solver.solving.sizes import Sizes, Wall
from solver.solving.solved import Solved, laid
from solver.wanted.part import Edge

if TYPE_CHECKING:
    from solver.rounds import Piece
    from solver.wanted.gauge import Gauge, Stuffing
    from solver.wanted.part import AnyPart


def with_rounds(solved: Solved, piece: Piece) -> Solved:
    """Return a solved part with somebody's own rounds in place of the solved ones.

    Everything in it is of these rounds: their form, sizes, materials, notes and cautions.

    Parameters
    ----------
    solved : Solved
    piece : Piece
        Finished as the part is. The last round of a flat piece is taken as tall as the solved one.

    Raises
    ------
    InputError
        If these rounds are no part, or fewer than lie on its sole.
    ConvergenceError
        If they have no balance.
    """
    part = solved.part
    form = kind_of(part).formed(part, piece, last=solved.last)
    return laid(part, piece, form, plain=lambda: solved.plain_rule, last=solved.last)


def reformed(solved: Solved, part: AnyPart) -> Solved:
    """Return the same rounds as another part: at another gauge, or stuffed otherwise.

    Parameters
    ----------
    solved : Solved
        The rounds as they are.
    part : AnyPart
        With the new gauge or stuffing; its drawing that of `solved`, or scaled.
    """
    factor = part.half_width / solved.part.half_width

    def plain() -> tuple[float, float] | None:
        rule = solved.plain_rule
        return (rule[0] * factor, rule[1] * factor) if rule else None

    return laid(
        part,
        solved.piece,
        kind_of(part).formed(part, solved.piece, near=solved),
        plain=plain,
        last=solved.last,
    )


def in_space(solved: Solved) -> StuffedForm:
    """Return the form of a solved part worked out stitch by stitch, whatever it was solved as."""
    if not solved.form.alike or solved.form.is_folded:
        return solved.form
    part, ends = solved.part, solved.kind.drawing(solved.part)[[0, -1], 0].tolist()
    held = (ends[0], ends[1]) if part.work.edge is Edge.HELD else (None, None)
    pressure = solved.form.pressure
    return stuffed_form(solved.piece, part.gauge, pressure=pressure, held=held, as_rings=False)


def form_of(
    piece: Piece, gauge: Gauge, stuffing: Stuffing, *, guess: StuffedForm | None = None
) -> StuffedForm:
    """Return what rounds become when stuffed, where nothing is known but their text: open edges are free.

    Parameters
    ----------
    piece : Piece
        However it is started, shaped and finished.
    gauge : Gauge
        How large a stitch is.
    stuffing : Stuffing
        How hard it is stuffed.
    guess : StuffedForm, optional
        The form of the same rounds at another gauge or stuffing, to start from.

    Raises
    ------
    InputError
        If a round is too small for a fabric.
    ConvergenceError
        If there is no balance.
    """
    if piece.start is Start.ROWS:
        from solver.form.flat_rows import flat_form

        return flat_form(piece, gauge)
    if not stuffing.stretch:
        return in_layers(folded_form(folded_fabric(piece, gauge)), piece, gauge)
    widest = (max(piece.counts) - 2 * piece.side) * gauge.stitch_width / (2 * np.pi)
    pressure = stuffing.pressure(widest * (1 + stuffing.stretch))
    return stuffed_form(piece, gauge, pressure=pressure, guess=guess)


def outside(form: StuffedForm, gauge: Gauge) -> Sizes:
    """Return the outside sizes of a form whose drawing is not known."""
    if form.piece.start is Start.ROWS:
        return _outside_of_rows(form, gauge)
    if form.is_folded:
        width, height = folded_sizes(form)
        girth = max(form.piece.counts) * gauge.stitch_width
        return Sizes(width=width, height=height, girth=girth, volume=0.0)
    along_chain = form.piece.start is Start.CHAIN
    wall = Wall.of(gauge.thickness, start=form.piece.start, finish=form.piece.finish)
    return wall.added(
        length=form.length if along_chain else None,
        width=form.width if along_chain or form.alike else max(form.width, form.length),
        height=form.height,
        girth=np.pi * form.width if form.alike else girth_from_above(form.fabric, form.points),
        volume=form.volume,
    )


def _outside_of_rows(form: StuffedForm, gauge: Gauge) -> Sizes:
    """Return the sizes of rows as they lie."""
    from solver.form.flat_rows import edge_outline

    at = edge_outline(form)
    width, length = np.ptp(at, axis=0).tolist()
    girth = float(np.linalg.norm(at - np.roll(at, 1, axis=0), axis=1).sum())
    return Sizes(length=length, width=width, height=gauge.thickness, girth=girth, volume=0.0)
