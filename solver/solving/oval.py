"""Stuffed ovals: the kind that is worked along a chain and searched in space."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import cast

import numpy as np

from solver.advice.notes import assumption_notes
from solver.advice.oval_notes import (
    choice_note,
    closed_notes,
    edge_note,
    plain_ends_note,
    pucker_note,
    sides_note,
    size_notes,
    slack_note,
    sole_note,
)
from solver.arrays import Floats
from solver.errors import ConvergenceError
from solver.form.descent import FREE, Supports
from solver.form.fabric import stitch_fabric
from solver.form.stitches import FIRMEST, TOLERANCE, stitch_form
from solver.form.stuffed import StuffedForm
from solver.form.views import girth_from_above, placed, views, wanted_outline
from solver.notes import About, Note
from solver.rounds import Finish, Increases, Piece
from solver.search.flat_oval import LastRound
from solver.search.oval_limits import (
    Limit,
    cinch_limit,
    rim_limit,
    seam_limit,
    side_limit,
    tall_limit,
    tie_lengths,
    tie_note,
    ties,
)
from solver.search.oval_plan import OvalMaking, first_plan
from solver.search.oval_search import fit_oval
from solver.search.oval_trial import stuffed, tried
from solver.solving.kinds import Found, Lie
from solver.solving.sizes import Sizes, wall_of
from solver.solving.solved import Solved
from solver.wanted.part import Edge, OvalPart
from solver.wanted.stadium import Stadium

CLOSE = 1e-4
"""Residual of forms whose small differences are told."""


OF_FIRMEST = 0.85
"""Part of the firmest stuffing that rounds as large as the drawing are held to."""

HURRIED = Note(
    "The search for the best rounds was ended after some seconds; these are the best so far. A coarser "
    "gauge or a smaller part is searched to the end.",
    About.FORM,
)


class OvalKind:
    """What stuffed ovals can do; see `solver.solving.kinds.Kind`."""

    name = "an oval part"
    measures: tuple[str, ...] = ("length", "width", "height", "girth", "volume")
    gives_way = False

    def limits(self, part: OvalPart) -> tuple[Limit, ...]:
        """Return what stuffing can't hold of a part; each limit is of the form that the one before leaves."""
        work, wanted = part.work, part.wanted.even
        if work.finish is Finish.OPEN:
            edge = rim_limit(wanted) if work.edge is Edge.FREE else None
            side = side_limit(part.wanted) if work.edge is Edge.HELD else None
            return tuple(limit for limit in (edge, side) if limit)
        cinch = cinch_limit(wanted) if work.finish is Finish.CINCHED else None
        left = cinch.nearest if cinch and cinch.nearest else wanted
        seam = None if work.sole else seam_limit(left) or tall_limit(left)
        return tuple(limit for limit in (cinch, seam) if limit)

    def found(
        self, part: OvalPart, *, aim: object = None, progress: Callable[[float], None] | None = None
    ) -> Found:
        """Return the rounds that come nearest to a part, by `solver.search.oval_search.fit_oval`."""
        aimed, making = self.aim(part)
        found = fit_oval(aimed, making, progress=progress)
        notes = [HURRIED] if found.hurried else []
        if found.exact:
            notes.append(plain_ends_note(found.best, found.exact, stitch_width=making.stitch_width))
        form = StuffedForm.of_stitches(found.best.form)
        if part.gauge.leans:  # what a search compares does not lean
            form = self.formed(part, found.best.piece)
        return Found(
            piece=found.best.piece,
            form=form,
            last=LastRound.PLAIN,
            tried=found.solved,
            notes=tuple(notes),
        )

    def formed(
        self,
        part: OvalPart,
        piece: Piece,
        *,
        near: Solved | None = None,
        last: str = "",
        close: bool = False,
    ) -> StuffedForm:
        """Return what rounds become as this part, held as it says."""
        aimed, making = self.aim(part)
        if near is None:
            return StuffedForm.of_stitches(stuffed(aimed, making, piece, lean=part.gauge.leans))
        factor = part.half_width / near.part.half_width
        form = stitch_form(
            stitch_fabric(
                piece,
                stitch_width=part.gauge.stitch_width,
                row_height=part.gauge.row_height,
                lean=part.gauge.leans,
            ),
            pressure=making.pressure,
            guess=near.form.points * (part.gauge.stitch_width / near.part.gauge.stitch_width),
            supports=near.form.supports.scaled(factor) if near.form.supports else FREE,
            tolerance=CLOSE if close else TOLERANCE,
            wale_stiffness=part.gauge.stiffness_ratio,
        )
        return StuffedForm.of_stitches(form)

    def plain_rule(self, part: OvalPart) -> tuple[float, float] | None:
        """Return how far the plain rule comes out."""
        return _plain_rule(part.wanted, self.aim(part)[1])

    def step(self, part: OvalPart, measure: str) -> tuple[float, str]:
        """Return by how much one stitch or round more moves a size, and why."""
        w, h = part.gauge.stitch_width, part.gauge.row_height
        why = "stitches and rounds are whole, and each one more or fewer moves it by a step"
        return {"length": w, "width": w, "height": h, "girth": 2 * w}.get(measure, 0.0), why

    def free(self, part: OvalPart) -> OvalPart:
        """Return the part with its chain left to the solver, as a scaled drawing has its own."""
        if part.work.chain is None:
            return part
        note = (
            f"The chain of {part.work.chain} in the part file is left out here: a drawing of another size "
            "has its own."
        )
        work = replace(part.work, chain=None)
        return replace(part, work=work, notes=(*part.notes, Note(note, About.CHOICE)))

    def wanted(self, part: OvalPart) -> Sizes:
        """Return outside sizes as a part is drawn."""
        drawn = part.wanted
        return wall_of(part).added(
            length=drawn.length,
            width=drawn.width,
            height=drawn.height,
            girth=drawn.girth,
            volume=drawn.volume,
        )

    def got(self, part: OvalPart, form: StuffedForm) -> Sizes:
        """Return outside sizes of a form of this part."""
        return wall_of(part).added(
            length=form.length,
            width=form.width,
            height=form.height,
            girth=girth_from_above(form.fabric, form.points),
            volume=form.volume,
        )

    def lie(self, part: OvalPart, form: StuffedForm) -> Lie:
        """Return how a form lies over the wanted surface."""
        points = placed(form.points, part.wanted)
        apart = np.abs(part.wanted.distance(points))
        return Lie(
            points=points,
            rms=float(np.sqrt(np.mean(apart**2))),
            greatest=float(apart.max()),
            outline=None,
            views=views(form.fabric, points, part.wanted),
        )

    def misfit(self, part: OvalPart, form: StuffedForm, last: str) -> float:
        """Return the rounds that the profile has beyond those of a stuffed form."""
        wales = 1 + float(form.wale_stretch.mean())
        aimed, _ = self.aim(part)
        return aimed.meridian / (part.gauge.row_height * wales) - len(form.piece.rounds)

    def scale_to_fit(self, part: OvalPart, form: StuffedForm, last: str) -> float:
        """Return the scale at which the profile would have a whole number of rounds."""
        rounds = len(form.piece.rounds)
        return rounds / (rounds + self.misfit(part, form, last))

    def drawing(self, part: OvalPart) -> Floats:
        """Return the wanted profile."""
        return part.wanted.profile

    def whole(self, part: OvalPart) -> Floats:
        """Return the wanted outline from the front; of a flat one from above."""
        return wanted_outline(part.wanted, "front" if part.wanted.height else "plan")

    def notes(self, solved: Solved, *, tried: int = 0) -> Iterator[str]:
        """Yield how it was chosen, where the form leaves the drawing, why, and what it rests on."""
        part, form = oval_of(solved), solved.form
        limits = self.limits(part)
        aimed, making = self.aim(part)
        if making.pressure < part.pressure * (1 - 1e-9):
            share = making.pressure / part.pressure
            told = (
                "As firmly stuffed as asked, so long a part would go on stretching: its form is the one at "
                f"{share:.0%} of that, the firmest that it holds. Stuff it more lightly."
            )
            yield Note(told, About.STUFFING)
        yield sides_note(form, part.wanted, making)
        yield from _limit_notes(limits, part.wanted.even, form, stiffness_ratio=making.stiffness_ratio)
        yield pucker_note(form.piece)
        yield Note(choice_note(form.piece, making, solved=tried), About.CHOICE)
        if tried:
            yield from size_notes(form, aimed, making)
        yield from _form_notes(part, form)
        yield from assumption_notes(
            measured=part.stuffing.measured,
            closing=form.closing,
            edge=part.work.edge if part.work.finish is Finish.OPEN else "",
        )

    def aim(self, part: OvalPart) -> tuple[Stadium, OvalMaking]:
        """Return the nearest surface that stuffing can hold, and how a stuffed part is made."""
        work, wanted = part.work, part.wanted
        # a seam is as long as the chain: only an open edge may be longer or shorter
        drawn = wanted if work.finish is Finish.OPEN else wanted.even
        aimed = next((limit.nearest for limit in reversed(self.limits(part)) if limit.nearest), drawn)
        making = OvalMaking(
            stitch_width=part.gauge.stitch_width,
            row_height=part.gauge.row_height,
            stretch=part.stuffing.stretch,
            pressure=min(part.pressure, _most(aimed)),
            stiffness_ratio=part.gauge.stiffness_ratio,
            finish=work.finish,
            held=work.edge is Edge.HELD,
            sole=aimed.base if work.sole else 0.0,
            chain=work.chain,
            end=work.ends,
            begin=work.begin,
            increases=work.increases,
            multiple=work.multiple,
            fit=work.fit,
            tolerance=work.tolerance,
        )
        return aimed, making


KIND = OvalKind()


def _most(wanted: Stadium) -> float:
    """Return the firmest stuffing of a part, p/k, with room for rounds larger than its own. [1/mm]"""
    widest = min(wanted.girth / (2 * np.pi), 2 * wanted.meridian / np.pi)
    return OF_FIRMEST * FIRMEST / widest


def oval_of(solved: Solved) -> OvalPart:
    """Return the part of a solved oval, as what it is."""
    return cast(OvalPart, solved.part)


def _limit_notes(
    limits: tuple[Limit, ...], wanted: Stadium, form: StuffedForm, *, stiffness_ratio: float
) -> Iterator[str]:
    for limit in limits:
        yield Note(limit.note, About.LIMIT)
    if not any(limit.nearest for limit in limits) or form.piece.finish is not Finish.SEAMED:
        return
    number, length = tie_lengths(wanted)
    try:
        tied = stitch_form(
            form.fabric,
            pressure=form.pressure,
            guess=form.points,
            supports=Supports(ties=ties(form.fabric.rings, number=number, length=length)),
            wale_stiffness=stiffness_ratio,
        )
    except ConvergenceError:
        return  # a remedy whose figures are not known is not told
    yield tie_note(wanted, length=tied.length, width=tied.width, height=tied.height)


def _form_notes(part: OvalPart, form: StuffedForm) -> Iterator[str]:
    work, wanted = part.work, part.wanted
    if work.finish is Finish.OPEN:
        if work.edge is Edge.FREE:
            yield edge_note(form)
    elif not work.sole:
        yield from closed_notes(form)
    if work.sole:
        yield sole_note(wanted, half=wanted.base)
    elif wanted.base:
        yield (
            "The base is drawn flat, and stuffing pushes a flat base out into a dome: put a stiff insert in "
            '(sole = "stiff").'
        )
    yield slack_note(form)
    if work.increases is Increases.STACKED:
        yield 'Increases that stand in line show as corners; increases = "staggered" keeps the ends round.'


def _plain_rule(wanted: Stadium, making: OvalMaking) -> tuple[float, float] | None:
    """Return how far the counts of the plain rule, girth over stitch width at each row, come out."""
    plain = replace(making, stretch=0.0)
    try:
        form = tried(wanted.even, plain, first_plan(wanted, plain)).form
    except ConvergenceError:
        return None
    apart = np.abs(wanted.distance(placed(form.points, wanted)))
    return float(np.sqrt(np.mean(apart**2))), float(apart.max())
