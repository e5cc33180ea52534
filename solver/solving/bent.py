"""Parts that bend, and parts that stand out in front: searched in space, with stitches of several heights."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, cast

import numpy as np

from solver.advice.bent_notes import bend_notes, girth_note, height_note, reach_note, rounds_note, slant_note
from solver.advice.notes import assumption_notes
from solver.arrays import Floats
from solver.form.bent_views import bent_views, side_of
from solver.form.fabric import StitchFabric
from solver.form.stitches import stitch_form
from solver.form.stuffed import StuffedForm
from solver.form.views import centred
from solver.rounds import Piece
from solver.rounds.evenness import bends
from solver.search.bent_form import BentForm, laid_out, rms
from solver.search.bent_girths import wanted_girths
from solver.search.bent_held import fabric_of, front_of, guessed, held_form, places_of
from solver.search.bent_lie import laid_on, off_middle, ring_tilts
from solver.search.bent_search import fit_bent
from solver.search.making import Aim, Making
from solver.solving.kinds import Found, Lie
from solver.solving.round import making_of
from solver.solving.sizes import Sizes, wall_of
from solver.solving.solved import Solved
from solver.wanted.part import BentPart, Part

if TYPE_CHECKING:
    from solver.search.oval_limits import Limit

CLOSE = 1e-4
"""Residual of the forms that are told: two starts then end within a twentieth of a stitch."""


class BentKind:
    """What parts that bend can do; see `solver.solving.kinds.Kind`."""

    name = "a part that bends"
    measures: tuple[str, ...] = ("height", "length", "width", "girth", "volume")
    gives_way = False

    def limits(self, part: BentPart) -> tuple[Limit, ...]:
        """Return nothing: a bend that no stitches make is refused where the part is read."""
        return ()

    def found(
        self, part: BentPart, *, aim: Aim | None = None, progress: Callable[[float], None] | None = None
    ) -> Found:
        """Return the rounds that come nearest to a part, by `solver.search.bent_search.fit_bent`."""
        best, tried = fit_bent(
            part.wanted,
            part.outline,
            part.bends,
            straight_making(part),
            part.gauge,
            increases=part.work.increases,
            start=part.work.start,
            chain=part.work.chain,
            by=part.work.bend_by,
            progress=progress,
        )
        form = stitch_form(
            best.form.fabric,
            pressure=best.form.pressure,
            guess=best.form.points,
            supports=best.form.supports,
            tolerance=CLOSE,
            wale_stiffness=part.gauge.stiffness_ratio,
        )
        return Found(
            piece=best.piece, form=_laid(laid_out(best.piece, form, part.wanted, best.turns)), tried=tried
        )

    def formed(
        self, part: BentPart, piece: Piece, *, near: Solved | None = None, last: str = "", close: bool = False
    ) -> StuffedForm:
        """Return what rounds become as this part, its open edge held as it says."""
        fabric = fabric_of(piece, part.gauge)
        if near is None:
            guess = guessed(fabric, part.wanted, places_of(fabric, part.wanted), front_of(fabric))
        else:
            guess = near.form.points * (part.gauge.stitch_width / near.part.gauge.stitch_width)
        form = held_form(fabric, guess, part.wanted, straight_making(part), tolerance=CLOSE)
        return _laid(laid_out(piece, form, part.wanted, ()))

    def plain_rule(self, part: BentPart) -> tuple[float, float] | None:
        """Return nothing: the plain rule knows no bends."""
        return None

    def step(self, part: BentPart, measure: str) -> tuple[float, str]:
        """Return by how much one stitch or round more moves a size, and why."""
        w, h = part.gauge.stitch_width, part.gauge.row_height
        why = "stitches and rounds are whole, and each one more or fewer moves it by a step"
        return {"length": h, "height": h, "width": w / np.pi, "girth": w}.get(measure, 0.0), why

    def free(self, part: BentPart) -> BentPart:
        """Return the part: nothing in it belongs to its size alone."""
        return part

    def wanted(self, part: BentPart) -> Sizes:
        """Return the outside sizes that a part is drawn with."""
        length, width, height = part.wanted.sizes
        girth = float(np.pi * part.outline.width)
        return wall_of(part).added(
            length=length, width=width, height=height, girth=girth, volume=part.wanted.volume
        )

    def got(self, part: BentPart, form: StuffedForm) -> Sizes:
        """Return the outside sizes of a form of this part; the girth is its widest round's."""
        length, width, height = np.ptp(laid_on(form.fabric, form.points, part.wanted), axis=0).tolist()
        return wall_of(part).added(
            length=length, width=width, height=height, girth=float(girths(form).max()), volume=form.volume
        )

    def lie(self, part: BentPart, form: StuffedForm) -> Lie:
        """Return how a form lies over the wanted surface, its forward side where the drawing's is."""
        points = laid_on(form.fabric, form.points, part.wanted)
        apart = np.abs(part.wanted.distance(points))
        towards = -1.0 if part.wanted.bends and part.wanted.bends[0].angle < 0 else 1.0
        tilts = ring_tilts(form.fabric, points)
        rings = form.fabric.rings[1 : len(form.piece.rounds) + 1]
        middles = np.array([points[ring].mean(axis=0)[[0, 2]] for ring in rings])
        return Lie(
            points=points,
            rms=rms(apart),
            greatest=float(apart.max()),
            outline=None,
            views=bent_views(form.fabric, points, part.wanted),
            centres=middles * np.array([towards, 1.0]),
            end_tilt=float(np.degrees(tilts[-1] - tilts[0])) * towards,
            off_middle=rms(off_middle(form.fabric, points, part.wanted)),
            girths=girths(form),
            front=(towards, 0.0),
        )

    def misfit(self, part: BentPart, form: StuffedForm, last: str) -> float:
        """Return the rows that the outline has beyond those of the rounds, stuffed."""
        stuffed = 1 + float(form.wale_stretch.mean())
        return part.outline.length / (part.gauge.row_height * stuffed) - _rows(form.fabric)

    def scale_to_fit(self, part: BentPart, form: StuffedForm, last: str) -> float:
        """Return the scale at which the outline would have as many rows as the rounds."""
        rows = _rows(form.fabric)
        return rows / (rows + self.misfit(part, form, last))

    def drawing(self, part: BentPart) -> Floats:
        """Return the outline, [radius, length along] of its points. [mm]"""
        return part.outline.points

    def whole(self, part: BentPart) -> Floats:
        """Return the drawn outline from the side, its middle at 0."""
        return centred(side_of(part.wanted))

    def notes(self, solved: Solved, *, tried: int = 0) -> Iterator[str]:
        """Yield how its bends are worked, how near the form comes, and what it rests on."""
        part, form = cast(BentPart, solved.part), solved.form
        yield from bend_notes(solved.piece, terms=part.work.terms, towards_front=part.wanted.is_level)
        yield reach_note(
            wanted=np.degrees(part.wanted.end_tilt),
            got=(solved.lie.end_tilt or 0.0) * (np.sign(part.bends[0].angle) if part.bends else 1.0),
            middle=solved.lie.off_middle or 0.0,
            stitch_width=part.gauge.stitch_width,
            is_level=part.wanted.is_level,
        )
        if part.wanted.is_level:
            slant = float(np.degrees(ring_tilts(form.fabric, solved.points)[-1]))
            yield slant_note(slant, bends=any(map(bends, solved.piece.rounds)))
        else:
            asked = wanted_girths(form.fabric, solved.points, part.wanted)
            yield girth_note(girths(form), asked, form.piece.counts)
        yield rounds_note(tried)
        yield height_note(solved.piece, part.gauge.heights)
        yield from assumption_notes(
            measured=part.stuffing.measured,
            closing=form.closing,
            edge=part.work.edge if form.is_open else "",
        )


KIND = BentKind()


def girths(form: StuffedForm) -> Floats:
    """Return the girth of every round of a form. [mm]"""
    counts = np.array(form.piece.counts, dtype=float) * form.fabric.stitch_width
    return np.asarray(counts * (1 + form.course_stretch[1 : len(counts) + 1]))


def straight_making(part: BentPart) -> Making:
    """Return how its straight rounds are made."""
    straight = Part(
        title=part.title,
        gauge=part.gauge,
        stuffing=part.stuffing,
        work=part.work,
        notes=(),
        outline=part.outline,
    )
    return making_of(straight)


def _laid(found: BentForm) -> StuffedForm:
    """Return a form where it lies on the drawing, held by what it is held by as it is worked out anew."""
    form = StuffedForm.of_stitches(found.form)
    outline = np.array([[np.ptp(found.points[ring][:, 1]) / 2, found.points[ring][:, 2].mean()]
                        for ring in form.fabric.rings])  # fmt: skip
    return replace(form, points=found.points, outline=outline)


def _rows(fabric: StitchFabric) -> float:
    """Return the rows of a fabric, the closing one as the part of a row that it is."""
    return float(fabric.row_heights.sum() / fabric.row_height)
