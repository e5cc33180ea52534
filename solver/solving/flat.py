"""Flat ovals: the kind that is not stuffed."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from solver.advice.oval_notes import flat_choice_note
from solver.form.fabric import lofted, stitch_fabric
from solver.form.stitches import StitchForm
from solver.form.stuffed import StuffedForm
from solver.form.views import placed, views
from solver.notes import About, Note
from solver.rounds import Piece
from solver.search.flat_oval import TALL_AS, FlatOval, LastRound, flat_oval, flatness, last_round
from solver.search.oval_limits import Limit
from solver.solving.kinds import Found, Lie
from solver.solving.oval import OvalKind, oval_of
from solver.solving.solved import Solved
from solver.wanted.part import OvalPart


class FlatKind(OvalKind):
    """What flat ovals can do: they lie on the table, relaxed."""

    name = "a flat piece"
    measures = ("length", "width", "girth")

    def limits(self, part: OvalPart) -> tuple[Limit, ...]:
        """Return nothing: no stuffing pushes at a flat piece."""
        return ()

    def found(
        self, part: OvalPart, *, aim: object = None, progress: Callable[[float], None] | None = None
    ) -> Found:
        """Return the rounds that lie flat and come nearest to a part."""
        gauge, work, wanted = part.gauge, part.work, part.wanted
        oval = flat_oval(
            length=wanted.length,
            width=wanted.width,
            stitch_width=gauge.stitch_width,
            row_height=gauge.row_height,
            chain=work.chain,
            end=work.ends,
            begin=work.begin,
            increases=work.increases,
            multiple=work.multiple,
        )
        return Found(piece=oval.piece, form=_lying(part, oval.piece, oval.last), last=oval.last)

    def formed(
        self,
        part: OvalPart,
        piece: Piece,
        *,
        near: Solved | None = None,
        last: str = "",
        close: bool = False,
    ) -> StuffedForm:
        """Return a piece as it lies."""
        told = last_round(piece)
        if told is LastRound.PLAIN:
            told = LastRound(last or (near.last if near else told))
        return _lying(part, piece, told)

    def plain_rule(self, part: OvalPart) -> None:
        """Return nothing: a flat piece follows no girth."""

    def lie(self, part: OvalPart, form: StuffedForm) -> Lie:
        """Return how a piece lies over the wanted outline."""
        points = placed(form.points, part.wanted)
        seen = views(form.fabric, points, part.wanted)
        rms, greatest = seen["plan"].rms, seen["plan"].greatest
        return Lie(points=points, rms=rms, greatest=greatest, outline=None, views=seen)

    def misfit(self, part: OvalPart, form: StuffedForm, last: str) -> float:
        """Return the rounds that half the width has beyond the whole number."""
        rows = len(form.piece.rounds) - 1 + TALL_AS[LastRound(last)]
        return part.half_width / part.gauge.row_height - rows

    def notes(self, solved: Solved, *, tried: int = 0) -> Iterator[str]:
        """Yield how it was chosen, and whether it lies flat."""
        part, piece, gauge = oval_of(solved), solved.piece, solved.part.gauge
        counts = piece.counts[: -1 if last_round(piece) is LastRound.SLIP else None]
        ends = tuple(count / 2 - piece.side for count in counts)
        lies = flatness(ends, stitch_width=gauge.stitch_width, row_height=gauge.row_height)
        oval = FlatOval(piece, LastRound(solved.last), solved.form.length, solved.form.width, lies)
        chain, ends_given = bool(part.work.chain), bool(part.work.ends)
        told = flat_choice_note(oval, row_height=gauge.row_height, chain_given=chain, ends_given=ends_given)
        yield Note(told, About.CHOICE)
        yield lies.note


KIND = FlatKind()


def _lying(part: OvalPart, piece: Piece, last: LastRound) -> StuffedForm:
    """Return a flat piece as it lies, relaxed."""
    w, h = part.gauge.stitch_width, part.gauge.row_height
    fabric = stitch_fabric(piece, stitch_width=w, row_height=h, lean=part.gauge.leans)
    rows = np.arange(len(fabric.rings), dtype=float)
    rows[-1] += TALL_AS[last] - 1
    form = StitchForm(
        fabric=fabric,
        pressure=0.0,
        points=lofted(fabric, radius=rows * h, height=np.zeros(len(rows))),
        course_stretch=np.zeros(1),
        wale_stretch=np.zeros(1),
        volume=0.0,
        residual=0.0,
        pin_reaction=0.0,
        iterations=0,
        history=(),
    )
    return StuffedForm.of_stitches(form)
