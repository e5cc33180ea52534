"""A drawing scaled until the solved form has a size: the counts give way where whole rounds keep it away."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from solver.errors import InputError, PlumplineError, Problem
from solver.form.rings import Form
from solver.partfile import Part
from solver.rounds import Finish, Start
from solver.search.making import Aim
from solver.search.round_counts import Fit, fit
from solver.solving.round import ML, Solution, fitted, making_of, wanted_sizes
from solver.units import in_mm
from solver.wanted.silhouette import deviation

if TYPE_CHECKING:
    from solver.solving.oval import OvalSolution

MEASURES = ("height", "width", "girth", "volume")
"""Sizes that can be asked for: outside sizes in mm, the volume in ml."""

NEAR = 0.003
"""Relative misfit at which no better scale is looked for."""

ENOUGH = 0.009
"""Relative misfit that is no reason to let the counts give way."""

MISSED = 0.01
"""Relative misfit, where that is more than half a row, from which a note tells why."""

MOST_SCALES = 4
REACH = 0.045
"""How far from the expected scale others are tried, where counts shall give way."""

WEIGHTS = {"height": 1.0, "width": 1.0, "volume": 2.0}
"""Part of a misfit, as a length, that counts like a deviation where counts give way; see `fitting.Aim`."""


@dataclass(frozen=True, slots=True, eq=False)
class _Trial:
    """A scaled drawing, its counts, and what is wrong with them.

    Attributes
    ----------
    scale : float
    part : Part
        With its drawing scaled.
    fit : Fit
    size : float
        What was asked for, as it came out. [mm, ml]
    cost : float
        Squared deviation and misfit. [mm^2]
    """

    scale: float
    part: Part
    fit: Fit
    size: float
    cost: float


def size_of(solution: Solution | OvalSolution, measure: str) -> float:
    """Return a size of the solved part: outside, in mm; the volume in ml."""
    return float(getattr(solution.got, measure))


def form_size(part: Part, form: Form, measure: str) -> float:
    """Return an outside size of a form of this part. [mm, ml]."""
    if measure == "volume":
        return form.volume / ML
    across = form.width + part.gauge.thickness
    sizes = {"height": form.size + _wall(part, "height"), "width": across, "girth": np.pi * across}
    return float(sizes[measure])


def check_target(measure: str, target: float, *, measures: tuple[str, ...] = MEASURES) -> None:
    """Refuse a size that no part has.

    Raises
    ------
    InputError
        If the measure is none of `measures`, or the target not above zero.
    """
    if measure not in measures:
        raise InputError(Problem(f"a size is one of: {', '.join(measures)}", got=measure))
    if not (np.isfinite(target) and target > 0):
        raise InputError(Problem("a size is above zero", got=f"{target:g}"))


def check_wall(measure: str, target: float, *, wall: float) -> None:
    """Refuse a size that the fabric's thickness alone takes up. [mm, ml]"""
    if target <= wall:
        raise InputError(Problem(f"a {measure} is more than the fabric's thickness", got=in_mm(target)))


def scaled_to(
    part: Part, *, measure: str, target: float, progress: Callable[[float], None] | None = None
) -> Solution:
    """Return the part solved with its drawing scaled so that its form has a size.

    Parameters
    ----------
    part : Part
        What is to be scaled, as drawn.
    measure : str
        One of `MEASURES`.
    target : float
        > 0. [mm, ml]
    progress : callable, optional
        Told the share of the work done, 0 to 1.

    Raises
    ------
    InputError
        If no part of that size can be worked.

    Notes
    -----
    Each misfit corrects the scale. Rounds are whole, so the form's size moves in steps, and the target may
    lie between two. Then scales about it are fitted again with the size as a further aim (`fitting.Aim`):
    the counts give way so far that size and shape together come nearest.
    """
    check_target(measure, target)
    wall = _wall(part, measure)
    check_wall(measure, target, wall=wall)
    power = 1 / 3 if measure == "volume" else 1.0
    aim = _aim(measure, target - wall)
    solved: list[_Trial] = []

    def off(trial: _Trial) -> float:
        return abs(trial.size / target - 1)

    def tried(scale: float, *, aimed: bool = False) -> _Trial:
        changed = replace(part, outline=part.outline.scaled(scale))
        making = making_of(changed)
        found = fit(changed.outline, replace(making, aim=aim) if aimed else making)
        apart = deviation(found.form.points, changed.outline).rms
        cost = apart**2 + aim.off(found.form) ** 2
        solved.append(_Trial(scale, changed, found, form_size(changed, found.form, measure), cost))
        if progress:
            progress(min(len(solved) / (2 * MOST_SCALES), 0.95))
        return solved[-1]

    drawn = float(getattr(wanted_sizes(part), measure))
    scale = ((target - wall) / (drawn - wall)) ** power
    for _ in range(MOST_SCALES):
        trial = tried(scale)
        if off(trial) <= NEAR:
            break
        scale *= ((target - wall) / (trial.size - wall)) ** power
        if any(abs(scale / other.scale - 1) < 1e-4 for other in solved):
            break
    best = min(solved, key=off)
    if off(best) > ENOUGH:
        for scale in [*_whole_scales(best, part.gauge.row_height), *_between(solved, target)]:
            try:
                tried(scale, aimed=True)
            except PlumplineError:
                continue  # the first trials have counts already
        best = min(solved, key=lambda trial: trial.cost)
    solution = fitted(best.part, best.fit)
    bar = max(MISSED * target, part.gauge.row_height / 2 if measure != "volume" else 0.0)
    if abs(best.size - target) <= bar:
        return solution
    why = _steps(measure, stitch=part.gauge.stitch_width * part.work.multiple, row=part.gauge.row_height)
    told = missed_note(measure, best.size - target, why=why, multiple=part.work.multiple)
    return replace(solution, notes=(*solution.notes, told))


def missed_note(measure: str, off: float, *, why: str, multiple: int = 1) -> str:
    """Return by how much a size was missed, why, and what helps.

    Parameters
    ----------
    measure : str
    off : float
        Size less what was asked for. [mm, ml]
    why : str
        What keeps it away, as a clause.
    multiple : int
        What all counts are a multiple of.
    """
    unit = "ml" if measure == "volume" else "mm"
    finer = (
        "A smaller multiple in the part file, or none, and finer yarn make"
        if multiple > 1
        else ("Finer yarn makes")
    )
    return (
        f"The {measure} comes out {abs(off):.1f} {unit} {'over' if off > 0 else 'under'} what was asked for: "
        f"{why}. `--by gauge` hits it with rounds as they are, in another yarn. {finer} the steps smaller."
    )


def _steps(measure: str, *, stitch: float, row: float) -> str:
    """Return the steps in which a size moves; `stitch` is the width of the least change of a count. [mm]"""
    round_ = (
        f"counts change by {stitch:.1f} mm of fabric at a time, which is {stitch / np.pi:.1f} mm of width"
    )
    if measure == "height":
        return f"rounds are whole, and each is {row:.1f} mm tall"
    return f"{round_}, and rounds are whole" if measure == "volume" else round_


def _whole_scales(trial: _Trial, row: float) -> list[float]:
    """Return the scale of a trial, those about it that want whole rounds, and those half way."""
    whole = trial.fit.scale_to_fit
    step = row / trial.fit.rest.length
    near = sorted((whole + k * step for k in (-2, -1, 0, 1, 2)), key=lambda factor: abs(factor - 1))[:3]
    factors = [1.0, *near, *((1 + factor) / 2 for factor in near)]
    return [trial.scale * factor for factor in factors if abs(factor - 1) <= REACH]


def _between(trials: list[_Trial], target: float) -> list[float]:
    """Return scales between the last too small a size and the first too large, where they lie apart."""
    below = [trial.scale for trial in trials if trial.size < target]
    above = [trial.scale for trial in trials if trial.size > target]
    if not (below and above) or abs(min(above) / max(below) - 1) <= REACH / 3:
        return []
    return [max(below) + share * (min(above) - max(below)) for share in (1 / 3, 2 / 3)]


def _aim(measure: str, size: float) -> Aim:
    """Return the aim that an inside size is, in mm or ml."""
    if measure == "girth":
        return Aim(measure="width", size=size / np.pi, weight=WEIGHTS["width"])
    return Aim(measure=measure, size=size * (ML if measure == "volume" else 1.0), weight=WEIGHTS[measure])


def _wall(part: Part, measure: str) -> float:
    """Return what the fabric's thickness adds to a size. [mm]."""
    if measure == "volume":
        return 0.0
    if measure == "height":
        closed = (part.work.start is not Start.OPEN) + (part.work.finish is not Finish.OPEN)
        return closed * part.gauge.thickness / 2
    return part.gauge.thickness * (np.pi if measure == "girth" else 1.0)
