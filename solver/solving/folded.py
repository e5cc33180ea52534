"""Parts that are not stuffed but folded flat, begun with a ring, open or on a chain."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import cast

import numpy as np

from solver.advice.notes import fit_notes, plain_note
from solver.arrays import Floats
from solver.form.folded import FoldedForm, folded_form
from solver.form.layers import folded_fabric, folded_sizes, in_layers
from solver.form.stuffed import StuffedForm
from solver.form.views import both_halves
from solver.notes import About, Note
from solver.rounds import Finish, Increases, Piece, Start
from solver.rounds.along_chain import oval_piece
from solver.search.making import Aim, Making
from solver.search.oval_limits import Limit
from solver.search.round_counts import Fit, fit, rest_of
from solver.solving.kinds import Found, Lie
from solver.solving.oval import KIND as OVAL
from solver.solving.round import piece_of, plainness_of
from solver.solving.sizes import Sizes
from solver.solving.solved import Solved
from solver.wanted.outline import Outline
from solver.wanted.part import Fit as Rounds
from solver.wanted.part import OvalPart, Part
from solver.wanted.silhouette import deviation

PUCKERS = 0.12
"""Share of a row by which rows may lie too near each other, on average over one, before that is told."""

AnyFolded = Part | OvalPart


class FoldedKind:
    """What folded parts can do; see `solver.solving.kinds.Kind`."""

    name = "a part that is not stuffed"
    measures = ("height", "width")
    gives_way = True

    def limits(self, part: AnyFolded) -> tuple[Limit, ...]:
        """Return nothing: no stuffing pushes at it."""
        return ()

    def found(
        self, part: AnyFolded, *, aim: Aim | None = None, progress: Callable[[float], None] | None = None
    ) -> Found:
        """Return the rounds whose flattened fabric comes nearest to the drawing."""
        drawn, making = drawn_flat(part), making_of(part, aim=aim)
        best = fit(drawn, making, progress=progress)
        piece = _piece(part, best, making, part.work.increases)
        form = in_layers(cast(FoldedForm, best.form), piece, part.gauge)
        plain = plainness_of(best, drawn, lambda one: _piece(part, one, making, Increases.STACKED))
        return Found(piece=piece, form=form, plainness=plain)

    def formed(
        self,
        part: AnyFolded,
        piece: Piece,
        *,
        near: Solved | None = None,
        last: str = "",
        close: bool = False,
    ) -> StuffedForm:
        """Return what rounds become when they are folded flat."""
        return in_layers(folded_form(folded_fabric(piece, part.gauge)), piece, part.gauge)

    def plain_rule(self, part: AnyFolded) -> None:
        """Return nothing: that rule is for stuffed parts."""

    def step(self, part: AnyFolded, measure: str) -> tuple[float, str]:
        """Return by how much one stitch or round more moves a size, and why."""
        stitch, row = part.gauge.stitch_width * part.work.multiple / 2, part.gauge.row_height
        if measure == "height":
            return row, f"rounds are whole, and each is {row:.1f} mm tall"
        return max(stitch, row), f"stitches are whole, and each one more makes it {stitch:.1f} mm wider"

    def free(self, part: AnyFolded) -> AnyFolded:
        """Return the part with its chain left to the solver."""
        if isinstance(part, OvalPart) and part.work.chain:
            return replace(part, work=replace(part.work, chain=None))
        return part

    def wanted(self, part: AnyFolded) -> Sizes:
        """Return the sizes that the flattened piece is drawn with."""
        drawn = drawn_flat(part)
        return Sizes(width=drawn.width, height=drawn.height, girth=2 * drawn.width, volume=0.0)

    def got(self, part: AnyFolded, form: StuffedForm) -> Sizes:
        """Return the sizes of a flattened form."""
        girth = max(form.piece.counts) * part.gauge.stitch_width
        width, height = folded_sizes(form)
        return Sizes(width=width, height=height, girth=girth, volume=0.0)

    def lie(self, part: AnyFolded, form: StuffedForm) -> Lie:
        """Return how the fold lies over the drawn outline, aligned at half height."""
        off = deviation(form.outline, drawn_flat(part))
        points = form.points + np.array([0.0, 0.0, off.raised])
        return Lie(points=points, rms=off.rms, greatest=off.greatest, outline=off, views={})

    def misfit(self, part: AnyFolded, form: StuffedForm, last: str) -> float:
        """Return the rounds that the drawing has beyond the whole number."""
        return _rest_rows(part) - form.rows

    def scale_to_fit(self, part: AnyFolded, form: StuffedForm, last: str) -> float:
        """Return the scale at which the drawing would have a whole number of rounds."""
        return form.rows / _rest_rows(part)

    def drawing(self, part: AnyFolded) -> Floats:
        """Return the drawn half outline of the flattened piece."""
        return drawn_flat(part).points

    def whole(self, part: AnyFolded) -> Floats:
        """Return the drawn outline, from the front: of an oval part as for one that is stuffed."""
        return OVAL.whole(part) if isinstance(part, OvalPart) else both_halves(self.drawing(part))

    def notes(self, solved: Solved, *, tried: int = 0) -> Iterator[str]:
        """Yield how its sizes are meant, and where it leaves the drawing."""
        part, form = cast(AnyFolded, solved.part), solved.form
        yield Note(
            "It is not stuffed: its sizes are those of the two layers folded flat. Where its sides are "
            "straight it is half as wide as it is round, and as high as its rounds.",
            About.FORM,
        )
        yield from fit_notes(
            solved.misfit,
            scale=solved.scale_to_fit,
            rounds=len(solved.piece.rounds),
            rms=solved.rms,
            stitch_width=part.gauge.stitch_width,
            height=solved.wanted.height,
        )
        if (saved := solved.plainness) and saved.exact_rms < solved.rms:
            w = part.gauge.stitch_width
            yield plain_note(
                solved.rms / w, saved.exact_rms / w, words=saved.words, exact_words=saved.exact_words
            )
        yield from _lying_notes(form)


KIND = FoldedKind()


def drawn_flat(part: AnyFolded) -> Outline:
    """Return half the drawn outline of the flattened piece; of one on a chain as seen from the front."""
    if isinstance(part, Part):
        return part.outline
    wanted = part.wanted
    return Outline(np.column_stack([wanted.profile[:, 0] + wanted.straights / 2, wanted.profile[:, 1]]))


def making_of(part: AnyFolded, *, aim: Aim | None = None) -> Making:
    """Return how a part is to be made, as fitting its counts needs it."""
    gauge, work = part.gauge, part.work
    common = {
        "stitch_width": gauge.stitch_width,
        "row_height": gauge.row_height,
        "pressure": 0.0,
        "aim": aim,
        "tolerance": work.tolerance if work.fit is Rounds.PLAIN else None,
        "folded": True,
    }
    if isinstance(part, Part):
        return Making(
            **common,  # type: ignore[arg-type]
            start_open=part.work.start is Start.OPEN,
            finish_open=work.finish is Finish.OPEN,
            ring=part.work.ring,
            multiple=work.multiple,
        )
    oval = part.work
    side = oval.chain - 3 if oval.chain else round(part.wanted.straights[0] / gauge.stitch_width - 1)
    return Making(
        **common,  # type: ignore[arg-type]
        start_open=True,
        finish_open=True,
        ring=2 * oval.ends if oval.ends else None,
        multiple=2 * work.multiple,
        side=max(side, 1),
    )


def _piece(part: AnyFolded, found: Fit, making: Making, increases: Increases) -> Piece:
    """Return the rounds that counts are for a part."""
    if isinstance(part, OvalPart):
        return oval_piece(
            making.side + 3,
            [count // 2 for count in found.counts.tolist()],
            finish=part.work.finish,
            begin=part.work.begin,
            increases=increases,
        )
    return piece_of(part, found, increases)


def _rest_rows(part: AnyFolded) -> float:
    """Return the rows that the drawing asks for, not whole."""
    return rest_of(drawn_flat(part), making_of(part)).length / part.gauge.row_height


def _lying_notes(form: StuffedForm) -> Iterator[str]:
    """Yield where two layers don't lie flat."""
    near = np.flatnonzero(form.wale_stretch < -PUCKERS) + 1
    if len(near):
        told = f"round {near[0]}" if len(near) == 1 else f"rounds {near[0]} to {near[-1]}"
        yield Note(
            f"It won't lie quite flat: around {told} the middle puckers, or stays a little full. "
            "Rounds that grow or shrink more gently there lie flatter.",
            About.FORM,
        )


__all__ = ["KIND", "drawn_flat", "making_of"]
