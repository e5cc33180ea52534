"""An elongated part solved: its rounds, the form that they become, and what to say about it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from solver.advice.cautions import oval_cautions
from solver.advice.materials import Materials, materials
from solver.advice.notes import assumption_notes
from solver.advice.oval_notes import (
    choice_note,
    closed_notes,
    edge_note,
    flat_choice_note,
    plain_note,
    pucker_note,
    ring_stretch,
    sides_note,
    size_notes,
    slack_note,
    sole_note,
)
from solver.arrays import Floats, frozen
from solver.errors import ConvergenceError
from solver.form.descent import Supports
from solver.form.fabric import lofted, stitch_fabric
from solver.form.stitches import StitchForm, stitch_form
from solver.form.views import View, views
from solver.partfile import OvalPart
from solver.rounds import Finish, Increases, Piece
from solver.search.flat_oval import TALL_AS, FlatOval, LastRound, flat_oval, flatness
from solver.search.oval_limits import (
    Limit,
    cinch_limit,
    rim_limit,
    seam_limit,
    side_limit,
    tie_lengths,
    tie_note,
    ties,
)
from solver.search.oval_plan import OvalMaking, first_plan
from solver.search.oval_search import fit_oval
from solver.search.oval_trial import placed, stuffed, tried
from solver.solving.round import ML, written
from solver.wanted.part import Edge
from solver.wanted.stadium import Stadium


@dataclass(frozen=True, slots=True)
class OvalSizes:
    """Sizes of an elongated part: outside sizes where the fabric has a thickness.

    Attributes
    ----------
    length, width, height : float
        Along the chain, across it, and upward from it. [mm]
    girth : float
        Round the part as seen from above. [mm]
    volume : float
        Inside the middle of the fabric. [ml]
    """

    length: float
    width: float
    height: float
    girth: float
    volume: float


@dataclass(frozen=True, slots=True)
class Section:
    """A round of the stuffed part. Lengths in mm."""

    number: int
    length: float
    width: float


@dataclass(frozen=True, slots=True, eq=False)
class OvalSolution:
    """An elongated part and everything that was worked out for it.

    Attributes
    ----------
    part : OvalPart
        What was wanted.
    piece : Piece
        The rounds.
    form : StitchForm
        What they become: stuffed; a flat piece as it lies.
    points : (n, 3) float
        The form's nodes about the middle of the wanted surface. [mm]
    views : dict of str to View
        Outlines from the front, from the side and from above ("plan").
    rms, greatest : float
        Distance of the form's stitches from the wanted surface; of a flat piece from its outline. [mm]
    direct_rule : tuple of two float, or None
        The same for the plain rule "girth over stitch width at each row"; None where there is no such form.
    misfit : float
        Rounds that the wanted profile has beyond the whole number.
    last : LastRound
        Stitches of the last round of a flat piece.
    materials : Materials
        What the part takes.
    notes, cautions : tuple of str
        For the maker.
    """

    part: OvalPart
    piece: Piece
    form: StitchForm
    points: Floats
    views: dict[str, View]
    rms: float
    greatest: float
    direct_rule: tuple[float, float] | None
    misfit: float
    last: LastRound
    materials: Materials
    notes: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def got(self) -> OvalSizes:
        """Sizes of the form."""
        form = self.form
        volume = 0.0 if self.part.is_flat else form.volume
        return _sizes(
            self.part, form.length, form.width, form.height, _around(self.views["plan"].form), volume
        )

    @property
    def wanted(self) -> OvalSizes:
        """Sizes that were asked for."""
        return wanted_oval_sizes(self.part)

    @property
    def sections(self) -> tuple[Section, ...]:
        """Length and width of every round."""
        rings = self.form.rings[1 : len(self.piece.rounds) + 1]
        return tuple(
            Section(number, float(np.ptp(ring[:, 0])), float(np.ptp(ring[:, 1])))
            for number, ring in enumerate(rings, start=1)
        )

    def as_dict(self, *, spelled: bool = False) -> dict[str, Any]:
        """Return the solution as plain data, with the keys of a round part and more; lengths in mm.

        Parameters
        ----------
        spelled : bool
            Write the text of each round out in full.
        """
        form, got, wanted = self.form, self.got, self.wanted
        course = ring_stretch(form)[1 : len(self.piece.rounds) + 1]
        middles = [[float(np.ptp(ring[:, 1])) / 2, float(ring[:, 2].mean())] for ring in form.rings]
        return {
            **written(
                self.part,
                self.piece,
                pressure=form.pressure,
                spelled=spelled,
                colours=self.materials.round_colours,
            ),
            "last_round": str(self.last),
            "form": {
                **_told(got),
                "mean_stretch": form.mean_stretch,
                "course_stretch": [float(course.min()), float(course.max())],
                "wale_stretch": [float(form.wale_stretch.min()), float(form.wale_stretch.max())],
                "residual": form.residual,
                "iterations": form.iterations,
                "outline": _rounded(middles),
                "outlines": {name: _rounded(view.form) for name, view in self.views.items()},
                "sections": [
                    {"round": each.number, "length_mm": each.length, "width_mm": each.width}
                    for each in self.sections
                ],
            },
            "wanted": {
                **_told(wanted),
                "outline": _rounded(self.part.wanted.profile),
                "outlines": {name: _rounded(view.wanted) for name, view in self.views.items()},
            },
            "deviation": {
                "rms_mm": self.rms,
                "max_mm": self.greatest,
                "length_mm": got.length - wanted.length,
                "width_mm": got.width - wanted.width,
                "height_mm": got.height - wanted.height,
                **{name: {"rms_mm": view.rms, "max_mm": view.greatest} for name, view in self.views.items()},
            },
            "direct_rule": self.direct_rule
            and {"rms_mm": self.direct_rule[0], "max_mm": self.direct_rule[1]},
            "rest_meridian_misfit_rows": self.misfit,
            "scale_to_whole_rows": len(self.piece.rounds) / (len(self.piece.rounds) + self.misfit),
            "closing_mm": _closing(form),
            "materials": self.materials.as_dict(),
            "notes": list(self.notes),
            "cautions": list(self.cautions),
        }


def solve_oval(part: OvalPart, *, progress: Callable[[float], None] | None = None) -> OvalSolution:
    """Return the rounds of an elongated part, proved against the form that they become.

    Parameters
    ----------
    part : OvalPart
        What is wanted.
    progress : callable, optional
        Told the share of the work done, 0 to 1.

    Raises
    ------
    InputError
        If no whole stitches make such a part.
    ConvergenceError
        If the rounds have no balance under the stuffing.
    """
    return _flat(part) if part.is_flat else _stuffed(part, progress)


def _stuffed(part: OvalPart, progress: Callable[[float], None] | None) -> OvalSolution:
    wanted = part.wanted
    limits = limits_of(part)
    aimed, making = _aim(part, limits)
    found = fit_oval(aimed, making, progress=progress)
    best = found.best
    notes = [
        *part.notes,
        sides_note(best.form, wanted, making),
        *_limit_notes(limits, wanted.even, best.form, stiffness_ratio=making.stiffness_ratio),
        pucker_note(best.piece),
        choice_note(best.piece, making, solved=found.solved),
        plain_note(best, found.exact, stitch_width=making.stitch_width) if found.exact else "",
        *size_notes(best.form, aimed, making),
        *_form_notes(part, best.form),
        *_assumptions(part, best.form),
    ]
    return _laid(
        part,
        best.piece,
        best.form,
        misfit=_misfit(part, aimed, best.form),
        direct_rule=_direct_rule(wanted, making),
        notes=tuple(note for note in notes if note),
    )


def with_rounds(solution: OvalSolution, piece: Piece) -> OvalSolution:
    """Return a solution with somebody's own rounds in place of the solved ones.

    Its one note is whether a flat piece lies flat.

    Parameters
    ----------
    solution : OvalSolution
    piece : Piece
        Rounds along a chain, finished as the part is. The last round of a flat piece is taken as tall as the
        solved one.

    Raises
    ------
    InputError
        If these rounds are no part, or fewer than lie on its sole.
    ConvergenceError
        If they have no balance.
    """
    part, gauge = solution.part, solution.part.gauge
    if part.is_flat:
        form = lying(piece, solution.last, stitch_width=gauge.stitch_width, row_height=gauge.row_height)
        misfit = solution.misfit + len(solution.piece.rounds) - len(piece.rounds)
        ends = tuple(count / 2 - piece.side for count in piece.counts)
        lies = flatness(ends, stitch_width=gauge.stitch_width, row_height=gauge.row_height)
        return _laid(part, piece, form, misfit=misfit, last=solution.last, notes=(lies.note,))
    aimed, making = _aim(part, limits_of(part))
    form = stuffed(aimed, making, piece)
    misfit = _misfit(part, aimed, form)
    return _laid(part, piece, form, misfit=misfit, direct_rule=solution.direct_rule)


def _aim(part: OvalPart, limits: tuple[Limit, ...]) -> tuple[Stadium, OvalMaking]:
    """Return the nearest surface that stuffing can hold, and how a stuffed part is made."""
    work, wanted = part.work, part.wanted
    # a seam is as long as the chain: only an open edge may be longer or shorter
    drawn = wanted if work.finish is Finish.OPEN else wanted.even
    aimed = next((limit.nearest for limit in reversed(limits) if limit.nearest), drawn)
    making = OvalMaking(
        stitch_width=part.gauge.stitch_width,
        row_height=part.gauge.row_height,
        stretch=part.stuffing.stretch,
        pressure=part.stuffing.pressure(wanted.width / 2),
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


def _misfit(part: OvalPart, aimed: Stadium, form: StitchForm) -> float:
    """Return the rounds that a profile has beyond those of a stuffed form."""
    wales = 1 + float(form.wale_stretch.mean())
    return aimed.meridian / (part.gauge.row_height * wales) - len(form.fabric.piece.rounds)


def _laid(
    part: OvalPart,
    piece: Piece,
    form: StitchForm,
    *,
    misfit: float,
    direct_rule: tuple[float, float] | None = None,
    last: LastRound = LastRound.PLAIN,
    notes: tuple[str, ...] = (),
) -> OvalSolution:
    """Return the solution that these rounds and their form are, laid over the wanted surface."""
    points = frozen(placed(form.points, part.wanted))
    seen = views(form.fabric, points, part.wanted)
    rms, greatest = seen["plan"].rms, seen["plan"].greatest
    if not part.is_flat:
        apart = np.abs(part.wanted.distance(points))
        rms, greatest = float(np.sqrt(np.mean(apart**2))), float(apart.max())
    return OvalSolution(
        part=part,
        piece=piece,
        form=form,
        points=points,
        views=seen,
        rms=rms,
        greatest=greatest,
        direct_rule=direct_rule,
        misfit=misfit,
        last=last,
        materials=_materials(part, piece, form),
        notes=notes,
        cautions=_cautions(part, form),
    )


def _flat(part: OvalPart) -> OvalSolution:
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
    form = lying(oval.piece, oval.last, stitch_width=gauge.stitch_width, row_height=gauge.row_height)
    choice = flat_choice_note(
        oval, row_height=gauge.row_height, chain_given=bool(work.chain), ends_given=bool(work.ends)
    )
    return _laid(
        part,
        oval.piece,
        form,
        misfit=wanted.width / 2 / gauge.row_height - (len(oval.piece.rounds) - 1 + TALL_AS[oval.last]),
        last=oval.last,
        notes=(*part.notes, choice, oval.flatness.note),
    )


def lying(piece: Piece, last: LastRound, *, stitch_width: float, row_height: float) -> StitchForm:
    """Return a flat piece as it lies, relaxed. [mm]"""
    fabric = stitch_fabric(piece, stitch_width=stitch_width, row_height=row_height)
    rows = np.arange(len(fabric.rings), dtype=float)
    rows[-1] += TALL_AS[last] - 1
    points = lofted(fabric, radius=rows * row_height, height=np.zeros(len(rows)))
    return StitchForm(
        fabric=fabric,
        pressure=0.0,
        points=points,
        course_stretch=np.zeros(1),
        wale_stretch=np.zeros(1),
        volume=0.0,
        residual=0.0,
        pin_reaction=0.0,
        iterations=0,
        history=(),
    )


def limits_of(part: OvalPart) -> tuple[Limit, ...]:
    """Return what stuffing can't hold of a part, known before anything is solved.

    Each limit is that of the form which the one before leaves.
    """
    work, wanted = part.work, part.wanted.even
    if part.is_flat:
        return ()
    if work.finish is Finish.OPEN:
        edge = rim_limit(wanted) if work.edge is Edge.FREE else None
        side = side_limit(part.wanted) if work.edge is Edge.HELD else None
        return tuple(limit for limit in (edge, side) if limit)
    cinch = cinch_limit(wanted) if work.finish is Finish.CINCHED else None
    left = cinch.nearest if cinch and cinch.nearest else wanted
    seam = None if work.sole else seam_limit(left)
    return tuple(limit for limit in (cinch, seam) if limit)


def reformed(solution: OvalSolution, part: OvalPart, form: StitchForm) -> OvalSolution:
    """Return the same rounds as another part: at another gauge, or stuffed otherwise.

    Parameters
    ----------
    solution : OvalSolution
        The rounds as they are.
    part : OvalPart
        With the new gauge or stuffing; its wanted surface that of `solution`, or scaled.
    form : StitchForm
        What the rounds become there.
    """
    factor, misfit, rule = (
        part.wanted.width / solution.part.wanted.width,
        solution.misfit,
        solution.direct_rule,
    )
    if not part.is_flat:
        old, new = ((1 + float(each.wale_stretch.mean())) for each in (solution.form, form))
        rows = factor * old * solution.part.gauge.row_height / (new * part.gauge.row_height)
        rounds = len(solution.piece.rounds)
        misfit = (rounds + misfit) * rows - rounds
    return _laid(
        part,
        solution.piece,
        form,
        misfit=misfit,
        direct_rule=rule and (rule[0] * factor, rule[1] * factor),
        last=solution.last,
        notes=tuple(note for note in _notes_again(solution, part, form) if note),
    )


def _notes_again(solution: OvalSolution, part: OvalPart, form: StitchForm) -> Iterator[str]:
    """Yield what there is to say of rounds that were not chosen for this gauge and stuffing."""
    piece, gauge, work = solution.piece, part.gauge, part.work
    ends = tuple(count // 2 - piece.side for count in piece.counts)
    yield from part.notes
    if part.is_flat:
        lies = flatness(ends, stitch_width=gauge.stitch_width, row_height=gauge.row_height)
        oval = FlatOval(piece, solution.last, form.length, form.width, lies)
        yield flat_choice_note(
            oval, row_height=gauge.row_height, chain_given=bool(work.chain), ends_given=bool(work.ends)
        )
        yield lies.note
        return
    limits = limits_of(part)
    _, making = _aim(part, limits)
    yield sides_note(form, part.wanted, making)
    yield from _limit_notes(limits, part.wanted.even, form, stiffness_ratio=making.stiffness_ratio)
    yield pucker_note(piece)
    yield choice_note(piece, making)
    yield from _form_notes(part, form)
    yield from _assumptions(part, form)


def _assumptions(part: OvalPart, form: StitchForm) -> Iterator[str]:
    return assumption_notes(
        measured=part.stuffing.measured,
        closing=_closing(form),
        edge=part.work.edge if part.work.finish is Finish.OPEN else "",
    )


def _limit_notes(
    limits: tuple[Limit, ...], wanted: Stadium, form: StitchForm, *, stiffness_ratio: float
) -> Iterator[str]:
    for limit in limits:
        yield limit.note
    if not any(limit.nearest for limit in limits) or form.fabric.piece.finish is not Finish.SEAMED:
        return
    number, length = tie_lengths(wanted)
    supports = Supports(ties=ties(form.fabric.rings, number=number, length=length))
    try:
        tied = stitch_form(
            form.fabric,
            pressure=form.pressure,
            guess=form.points,
            supports=supports,
            wale_stiffness=stiffness_ratio,
        )
    except ConvergenceError:
        return  # a remedy whose figures are not known is not told
    yield tie_note(wanted, length=tied.length, width=tied.width, height=tied.height)


def _form_notes(part: OvalPart, form: StitchForm) -> Iterator[str]:
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


def _direct_rule(wanted: Stadium, making: OvalMaking) -> tuple[float, float] | None:
    """Return how far the counts of the plain rule, girth over stitch width at each row, come out."""
    plain = replace(making, stretch=0.0)
    try:
        form = tried(wanted.even, plain, first_plan(wanted, plain)).form
    except ConvergenceError:
        return None
    apart = np.abs(wanted.distance(placed(form.points, wanted)))
    return float(np.sqrt(np.mean(apart**2))), float(apart.max())


def _cautions(part: OvalPart, form: StitchForm) -> tuple[str, ...]:
    return tuple(
        oval_cautions(
            form.points,
            thickness=part.gauge.thickness,
            open_edge=part.work.finish is Finish.OPEN,
            supplies=part.supplies,
        )
    )


def _materials(part: OvalPart, piece: Piece, form: StitchForm) -> Materials:
    """Return what the part takes; a round lies at the mean height of its stitches."""
    height = form.points[:, 2] - form.points[:, 2].min()
    edges = np.array([height[nodes].mean() for nodes in form.fabric.rings[: len(piece.rounds) + 1]])
    return materials(
        piece,
        part.supplies,
        gauge=part.gauge,
        stretch=part.stuffing.stretch,
        volume=0.0 if part.is_flat else form.volume,
        heights=edges,
    )


def form_sizes(part: OvalPart, form: StitchForm) -> OvalSizes:
    """Return outside sizes of a form of this part."""
    around = _around(views(form.fabric, placed(form.points, part.wanted), part.wanted)["plan"].form)
    volume = 0.0 if part.is_flat else form.volume
    return _sizes(part, form.length, form.width, form.height, around, volume)


def wanted_oval_sizes(part: OvalPart) -> OvalSizes:
    """Return outside sizes as a part is drawn."""
    asked = part.wanted
    return _sizes(part, asked.length, asked.width, asked.height, asked.girth, asked.volume)


def _sizes(
    part: OvalPart, length: float, width: float, height: float, girth: float, volume: float
) -> OvalSizes:
    """Return outside sizes: half a thickness more at each closed end, a whole one across."""
    t = 0.0 if part.is_flat else part.gauge.thickness
    closed = 1 + (part.work.finish is not Finish.OPEN)
    up = part.gauge.thickness if part.is_flat else height + closed * t / 2
    return OvalSizes(length + t, width + t, up, girth + np.pi * t, volume / ML)


def _told(sizes: OvalSizes) -> dict[str, float]:
    return {
        "length_mm": sizes.length,
        "width_mm": sizes.width,
        "height_mm": sizes.height,
        "girth_mm": sizes.girth,
        "volume_ml": sizes.volume,
    }


def _around(outline: Floats) -> float:
    """Return the length of a closed outline. [mm]"""
    return float(np.linalg.norm(outline - np.roll(outline, 1, axis=0), axis=1).sum())


def _closing(form: StitchForm) -> float:
    """Return the rest distance from the last edge to the drawn-in point; 0 where it is not drawn in. [mm]"""
    return form.fabric.closing if form.fabric.piece.finish is Finish.CINCHED else 0.0


def _rounded(points: Any) -> list[list[float]]:
    return [[round(x, 4), round(y, 4)] for x, y in np.asarray(points).tolist()]
