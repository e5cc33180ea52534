"""Round parts: the kind whose rounds are alike all round."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, cast

import numpy as np

from solver.advice.notes import (
    assumption_notes,
    firm_rounds,
    fit_notes,
    plain_note,
    ruffle_notes,
    small_notes,
    unsupported_notes,
)
from solver.arrays import Floats
from solver.errors import ConvergenceError
from solver.form.rings import Form, ring_form
from solver.form.stuffed import StuffedForm, stuffed_form
from solver.form.views import both_halves, girth_from_above, placed, views
from solver.rounds import Finish, Increases, Piece, Start
from solver.rounds.reading import words_to_read
from solver.rounds.shaping import shaped_piece
from solver.search.making import Aim, Making
from solver.search.membrane import RestFabric, rest_fabric
from solver.search.plain_rule import rule_counts
from solver.search.round_counts import Fit, fit
from solver.solving.kinds import Found, Lie, Plainness
from solver.solving.multiples import multiple_notes
from solver.solving.sizes import Sizes, wall_of
from solver.solving.solved import Solved
from solver.wanted.outline import Outline
from solver.wanted.part import Edge, Part
from solver.wanted.part import Fit as Rounds
from solver.wanted.silhouette import deviation
from solver.wanted.stadium import Stadium

if TYPE_CHECKING:
    from solver.search.oval_limits import Limit


class RoundKind:
    """What round parts can do; see `solver.solving.kinds.Kind`."""

    name = "a round part"
    measures = ("height", "width", "girth", "volume")
    gives_way = True

    def limits(self, part: Part) -> tuple[Limit, ...]:
        """Return nothing: what stuffing can't hold of an outline is told in its notes."""
        return ()

    def found(
        self, part: Part, *, aim: Aim | None = None, progress: Callable[[float], None] | None = None
    ) -> Found:
        """Return the rounds that come nearest to a part, by `solver.search.round_counts.fit`."""
        making = making_of(part, aim=aim)
        best = fit(part.outline, making, progress=progress)
        piece = piece_of(part, best, part.work.increases)
        w, h = part.gauge.stitch_width, part.gauge.row_height
        form = StuffedForm.of_rings(
            cast(Form, best.form), piece, stitch_width=w, row_height=h, lean=part.gauge.leans
        )
        wall = wall_of(part)
        notes = multiple_notes(part.outline, making, best, wall=(wall.across, wall.along))
        plain = plainness_of(best, part.outline, lambda one: piece_of(part, one, Increases.STACKED))
        return Found(piece=piece, form=form, plainness=plain, notes=tuple(notes))

    def formed(
        self, part: Part, piece: Piece, *, near: Solved | None = None, last: str = "", close: bool = False
    ) -> StuffedForm:
        """Return what rounds become as this part, their open edges held as it says."""
        ends = part.outline.points[[0, -1], 0].tolist()
        held = (ends[0], ends[1]) if part.work.edge is Edge.HELD else (None, None)
        guess = near.form if near else None
        return stuffed_form(
            piece,
            part.gauge,
            pressure=part.pressure,
            held=held,
            guess=guess,
            as_rings=guess.alike if guess else None,
        )

    def plain_rule(self, part: Part) -> tuple[float, float] | None:
        """Return how far the plain rule comes out."""
        return _plain_rule(part.outline, making_of(part))

    def step(self, part: Part, measure: str) -> tuple[float, str]:
        """Return by how much one stitch or round more moves a size, and why."""
        stitch, row = part.gauge.stitch_width * part.work.multiple, part.gauge.row_height
        if measure == "height":
            return row, f"rounds are whole, and each is {row:.1f} mm tall"
        counts = (
            f"counts change by {stitch:.1f} mm of fabric at a time, which is {stitch / np.pi:.1f} mm of width"
        )
        return (0.0, f"{counts}, and rounds are whole") if measure == "volume" else (row, counts)

    def free(self, part: Part) -> Part:
        """Return the part: nothing in it belongs to its size alone."""
        return part

    def wanted(self, part: Part) -> Sizes:
        """Return the outside sizes that a part is drawn with."""
        drawn = part.outline
        return wall_of(part).added(
            width=drawn.width, height=drawn.height, girth=np.pi * drawn.width, volume=drawn.volume
        )

    def got(self, part: Part, form: StuffedForm) -> Sizes:
        """Return the outside sizes of a form of this part."""
        girth = np.pi * form.width if form.alike else girth_from_above(form.fabric, form.points)
        width = max(form.width, form.length)
        return wall_of(part).added(width=width, height=form.height, girth=girth, volume=form.volume)

    def lie(self, part: Part, form: StuffedForm) -> Lie:
        """Return how a form lies over the outline, aligned at half height; an uneven one over its surface."""
        if form.alike:
            off = deviation(form.outline, part.outline)
            points = form.points + np.array([0.0, 0.0, off.raised])
            return Lie(points=points, rms=off.rms, greatest=off.greatest, outline=off, views={})
        surface = Stadium(0.0, part.outline.points)
        points = placed(form.points, surface)
        apart = np.abs(surface.distance(points))
        return Lie(
            points=points,
            rms=float(np.sqrt(np.mean(apart**2))),
            greatest=float(apart.max()),
            outline=None,
            views=views(form.fabric, points, surface),
        )

    def misfit(self, part: Part, form: StuffedForm, last: str) -> float:
        """Return the rounds that the rest meridian has beyond the whole number."""
        return _rest(part).length / part.gauge.row_height - form.rows

    def scale_to_fit(self, part: Part, form: StuffedForm, last: str) -> float:
        """Return the scale at which the rest meridian would be a whole number of rounds."""
        return form.rows * part.gauge.row_height / _rest(part).length

    def drawing(self, part: Part) -> Floats:
        """Return the drawn half outline."""
        return part.outline.points

    def whole(self, part: Part) -> Floats:
        """Return the outline with its mirror image, from the front."""
        return both_halves(self.drawing(part))

    def notes(self, solved: Solved, *, tried: int = 0) -> Iterator[str]:
        """Yield where the form leaves the drawing, why, and what it rests on."""
        part, form = cast(Part, solved.part), solved.form
        yield from unsupported_notes(_rest(part).unsupported, part.outline, row_height=part.gauge.row_height)
        yield from fit_notes(
            solved.misfit,
            scale=solved.scale_to_fit,
            rounds=len(solved.piece.rounds),
            rms=solved.rms,
            stitch_width=part.gauge.stitch_width,
            height=solved.wanted.height,
        )
        if solved.plainness and solved.plainness.exact_rms < solved.rms:
            saved, w = solved.plainness, part.gauge.stitch_width
            yield plain_note(
                solved.rms / w, saved.exact_rms / w, words=saved.words, exact_words=saved.exact_words
            )
        counts = solved.piece.counts
        first, last = firm_rounds(
            counts,
            form.course_stretch,
            ring=part.work.start is Start.RING,
            cinched=part.work.finish is Finish.CINCHED,
        )
        yield from ruffle_notes(form.course_stretch, counts, first=first, last=last)
        rest, number = _rest(part), len(solved.piece.rounds)
        rows = np.arange(1, number + 1) / form.rows * rest.length
        girth = np.interp(rows, rest.arc, rest.wanted_girth)
        w = part.gauge.stitch_width
        yield from small_notes(solved.piece.counts, (girth / w).tolist(), stitch_width=w)
        if part.work.increases is Increases.STACKED:
            yield (
                "Increases that stand in line show as corners, a hexagon with six to a round (common "
                'practice); increases = "staggered" keeps the part round.'
            )
        yield from assumption_notes(
            measured=part.stuffing.measured,
            closing=form.closing,
            edge=part.work.edge if form.is_open else "",
        )


KIND = RoundKind()


def piece_of(part: Part, found: Fit, increases: Increases) -> Piece:
    """Return the rounds that counts are for a part."""
    counts = found.counts.tolist()
    return shaped_piece(
        counts,
        start=part.work.start,
        finish=part.work.finish,
        foundation=counts[0] if part.work.start is Start.OPEN else 0,
        increases=increases,
    )


def plainness_of(found: Fit, drawn: Outline, stacked: Callable[[Fit], Piece]) -> Plainness | None:
    """Return what plain rounds save and cost; None for exact ones.

    Parameters
    ----------
    found : Fit
    drawn : Outline
        What their form is held against.
    stacked : callable
        Gives the rounds that counts are, increases in line.
    """
    if found.exact is None:
        return None
    words, exact_words = (words_to_read(stacked(one)) for one in (found, found.exact))
    off = deviation(found.exact.form.points, drawn)
    return Plainness(words=words, exact_words=exact_words, exact_rms=off.rms)


def making_of(part: Part, *, aim: Aim | None = None) -> Making:
    """Return how a part is to be made, as fitting its counts needs it."""
    gauge, work = part.gauge, part.work
    return Making(
        stitch_width=gauge.stitch_width,
        row_height=gauge.row_height,
        pressure=part.pressure,
        start_open=work.start is Start.OPEN,
        finish_open=work.finish is Finish.OPEN,
        held=work.edge is Edge.HELD,
        ring=work.ring,
        multiple=work.multiple,
        stiffness_ratio=gauge.stiffness_ratio,
        aim=aim,
        tolerance=work.tolerance if work.fit is Rounds.PLAIN else None,
    )


def _rest(part: Part) -> RestFabric:
    """Return what the drawing asks of the relaxed fabric: a closed form, quick."""
    return rest_fabric(
        part.outline,
        pressure=part.pressure,
        row_height=part.gauge.row_height,
        wale_stiffness=part.gauge.stiffness_ratio,
    )


def _plain_rule(outline: Outline, making: Making) -> tuple[float, float] | None:
    """Return how far the counts of the plain rule, girth over stitch width at each row, come out."""
    counts = rule_counts(outline, making)
    try:
        form = ring_form(making.fabric(counts, outline), pressure=making.pressure)
    except ConvergenceError:
        return None
    off = deviation(form.points, outline)
    return off.rms, off.greatest
