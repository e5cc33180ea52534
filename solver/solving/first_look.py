"""A first look at a part: whole rounds in balance, long before the plainest are found."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from solver.arrays import Floats, frozen
from solver.search.making import Making
from solver.search.round_counts import FINE, first_counts, rest_of
from solver.search.rows import laid
from solver.search.trials import tried
from solver.solving import folded
from solver.solving.round import making_of
from solver.wanted.outline import Outline
from solver.wanted.part import AnyPart, OvalPart, Part
from solver.wanted.silhouette import deviation


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
        Radius and height of each ring of the solved form, as it lies over the drawing. [mm]
    rms : float
        Distance of the form from the drawing. [mm]
    """

    counts: tuple[int, ...]
    drawn: Floats
    outline: Floats
    rms: float

    def __post_init__(self) -> None:
        for name in ("drawn", "outline"):
            object.__setattr__(self, name, frozen(getattr(self, name)))


def first_look(part: AnyPart) -> FirstLook | None:
    """Return a first look at a part whose rounds are alike all round; None for the other kinds.

    The rows are laid along the rest meridian, the counts made whole by dynamic programming, and their form
    solved to balance, as where the search for exact counts starts: one form in place of hundreds.

    Raises
    ------
    InputError
        If no whole counts follow the outline.
    ConvergenceError
        If their form has no balance.
    """
    asked = _asked(part)
    if asked is None:
        return None
    drawn, making = asked
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


def _asked(part: AnyPart) -> tuple[Outline, Making] | None:
    """Return the outline that a part's form is held against, and how it is made."""
    if part.kind == "folded" and isinstance(part, Part | OvalPart):
        return folded.drawn_flat(part), replace(folded.making_of(part), tolerance=None)
    if part.kind == "round" and isinstance(part, Part):
        return part.outline, replace(making_of(part), tolerance=None)
    return None
