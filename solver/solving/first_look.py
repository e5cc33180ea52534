"""A first look at a part: whole rounds in balance, long before the plainest are found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from solver.arrays import Floats, frozen
from solver.form.bent_views import swept_views
from solver.form.stuffed import StuffedForm
from solver.form.views import View
from solver.search.making import Making
from solver.search.oval_plan import OvalMaking, first_plan
from solver.search.oval_trial import tried as oval_tried
from solver.search.round_counts import FINE, first_counts, rest_of
from solver.search.rows import laid
from solver.search.trials import tried
from solver.solving import folded
from solver.solving.bent import straight_making
from solver.solving.oval import KIND as OVAL
from solver.solving.round import making_of
from solver.wanted.outline import Outline
from solver.wanted.part import AnyPart, BentPart, Fit, OvalPart, Part
from solver.wanted.silhouette import deviation

STITCHES = 300
"""Stitches of the coarser fabric that an oval of more is first looked at in."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FirstLook:
    """The form of whole rounds that nobody has looked at for plainness yet.

    Attributes
    ----------
    counts : tuple of int
        Stitches of each round.
    drawn : (n, 2) float
        The drawn half outline. [mm]
    outline : (m, 2) float
        Radius and height of each ring of the solved form, as it lies over the drawing; none of a part that is
        seen from its sides. [mm]
    rms : float
        Distance of the form from the drawing. [mm]
    views : dict of str to View
        Of a part that is not alike all round.
    coarser : bool
        Whether it is worked in fewer, larger stitches than the part will be.
    """

    counts: tuple[int, ...]
    drawn: Floats
    outline: Floats
    rms: float
    views: Mapping[str, View] = field(default_factory=dict)
    coarser: bool = False

    def __post_init__(self) -> None:
        for name in ("drawn", "outline"):
            object.__setattr__(self, name, frozen(getattr(self, name)))


def first_look(part: AnyPart) -> FirstLook | None:
    """Return a first look at a stuffed or folded part; None for flat pieces, which are soon there.

    The rows are laid along the rest meridian, the counts made whole by dynamic programming, and their form
    solved to balance, as where the search for exact counts starts: one form in place of hundreds. Of a part
    that bends it is the form of its straight rounds, swept along the drawn middle; of an oval that of the
    plan that geometry suggests, in fewer stitches where it has many.

    Raises
    ------
    InputError
        If no whole counts follow the outline.
    ConvergenceError
        If their form has no balance.
    """
    if part.kind == "oval" and isinstance(part, OvalPart):
        return _of_oval(part)
    if part.kind == "bent" and isinstance(part, BentPart):
        return _of_bent(part)
    asked = _asked(part)
    return None if asked is None else _of_round(*asked)


def _of_round(drawn: Outline, making: Making) -> FirstLook:
    rest = rest_of(drawn, making)
    number = max(2, int(rest.length / making.row_height - making.closing_rows + 0.5))
    thin = drawn.thinned(FINE * making.row_height)
    rows = laid(thin, making, rest, number=number)
    counts, _ = first_counts(rows, making.multiple)
    form = tried(counts, thin, making, rows.guess).form
    off = deviation(form.points, drawn)
    return FirstLook(
        counts=tuple(counts.tolist()),
        drawn=drawn.points,
        outline=form.points + np.array([0.0, off.raised]),
        rms=off.rms,
    )


def _of_bent(part: BentPart) -> FirstLook:
    """Return the form of a part's straight rounds, laid along its middle as it is drawn."""
    making = replace(straight_making(part), tolerance=None)
    straight, wanted = _of_round(part.outline, making), part.wanted
    rings = straight.outline
    rising = rings[:, 1] + np.linspace(0.0, 1e-6, len(rings))
    share = (wanted.along - wanted.along[0]) / (wanted.along[-1] - wanted.along[0])
    radius = np.interp(rising[0] + share * (rising[-1] - rising[0]), rising, rings[:, 0])
    seen = swept_views(replace(wanted, radius=radius), wanted)
    return replace(straight, outline=np.empty((0, 2)), views=seen)


def _of_oval(part: OvalPart) -> FirstLook:
    """Return the form of the plan that geometry suggests."""
    wanted, making = OVAL.aim(part)
    plan = first_plan(wanted, making)
    larger = float(np.sqrt(plan.rounds * (2 * plan.side + 1.4 * plan.widest) / STITCHES))
    if larger > 1:
        making = _larger(making, larger)
        plan = first_plan(wanted, making)
    trial = oval_tried(wanted, making, plan)
    lie = OVAL.lie(part, StuffedForm.of_stitches(trial.form))
    return FirstLook(
        counts=trial.piece.counts,
        drawn=OVAL.drawing(part),
        outline=np.empty((0, 2)),
        rms=lie.rms,
        views=lie.views,
        coarser=larger > 1,
    )


def _larger(making: OvalMaking, times: float) -> OvalMaking:
    """Return how a part is made of stitches so many times as large."""
    chain = max(round((making.chain - 2) / times) + 2, 3) if making.chain else None
    w, h = making.stitch_width * times, making.row_height * times
    return replace(making, stitch_width=w, row_height=h, chain=chain, end=None, fit=Fit.EXACT)


def _asked(part: AnyPart) -> tuple[Outline, Making] | None:
    """Return the outline that a part's form is held against, and how it is made."""
    if part.kind == "folded" and isinstance(part, Part | OvalPart):
        return folded.drawn_flat(part), replace(folded.making_of(part), tolerance=None)
    if part.kind == "round" and isinstance(part, Part):
        return part.outline, replace(making_of(part), tolerance=None)
    return None
