"""A drawing scaled until the solved form has a size: counts give way where whole rounds keep it away."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from solver.errors import InputError, PlumplineError, Problem
from solver.notes import About, Note
from solver.search.making import Aim
from solver.solving.kinds import Found, Kind, kind_of
from solver.solving.sizes import ML, wall_of
from solver.solving.solved import Solved, laid
from solver.units import in_mm
from solver.wanted.part import AnyPart

NEAR = 0.003
"""Relative misfit at which no better scale is looked for, where counts can give way."""

ENOUGH = 0.009
"""Relative misfit that is no reason to let the counts give way."""

MISSED = 0.01
"""Relative misfit, where that is more than half a step of whole stitches, from which a note tells why."""

SMALLEST, LARGEST = 2.0, 2000.0
"""Widths and lengths of parts that can be worked. [mm]"""

MOST_ROUND, MOST_STITCHES = 2000, 20_000
"""Stitches in a round, and rounds, of any part; stitches of one that is solved in space."""

MOST_SCALES = 4
"""Drawings that are solved to hit a size."""

REACH = 0.045
"""How far from the expected scale others are tried, where counts shall give way."""

WEIGHTS = {"height": 1.0, "width": 1.0, "volume": 2.0}
"""Part of a misfit, as a length, that counts like a deviation; see `round_counts.Aim`."""


@dataclass(frozen=True, slots=True, eq=False)
class _Trial:
    """A scaled drawing, its rounds, what was asked for as it came out, and what is wrong with them.

    `cost` is the squared deviation and misfit. [mm^2]
    """

    scale: float
    part: AnyPart
    found: Found
    size: float
    cost: float


def size_of(solved: Solved, measure: str) -> float:
    """Return a size of the solved part: outside, in mm; the volume in ml."""
    return float(getattr(solved.got, measure))


def wall_added(part: AnyPart, measure: str) -> float:
    """Return what the fabric's thickness adds to a size. [mm]"""
    wall = wall_of(part)
    return {"volume": 0.0, "height": wall.along, "girth": float(np.pi) * wall.across}.get(
        measure, wall.across
    )


def check_target(part: AnyPart, measure: str, target: float) -> None:
    """Refuse a size that no such part has.

    Raises
    ------
    InputError
        If the measure is none of the part's, or the target not above what the fabric alone takes up.
    """
    measures = kind_of(part).measures
    if measure not in measures:
        raise InputError(Problem(f"a size is one of: {', '.join(measures)}", got=measure))
    if not (np.isfinite(target) and target > 0):
        raise InputError(Problem("a size is above zero", got=f"{target:g}"))
    if target <= wall_added(part, measure):
        raise InputError(Problem(f"a {measure} is more than the fabric's thickness", got=in_mm(target)))


def check_scaled(part: AnyPart, measure: str, target: float) -> None:
    """Refuse a size that no part may have, or at which it has more stitches than can be worked out.

    Raises
    ------
    InputError
        As `check_target`, too.
    """
    check_target(part, measure, target)
    kind = kind_of(part)
    drawn, line = kind.wanted(part), kind.drawing(part)
    factor = (target / getattr(drawn, measure)) ** (1 / 3 if measure == "volume" else 1)
    sizes = {name: size for name in ("length", "width", "height") if (size := getattr(drawn, name, None))}
    name, most = max(sizes.items(), key=lambda size: size[1])
    least = drawn.width
    if factor * most > LARGEST or factor * least < SMALLEST:
        it, size = (name, most) if factor * most > LARGEST else ("width", least)
        rule = f"a part is at least {in_mm(SMALLEST)} and at most {in_mm(LARGEST)} in size"
        remedy = "Ask for a size that can be worked."
        raise InputError(Problem(rule, got=f"a {it} of {in_mm(factor * size)}", remedy=remedy))
    widest = factor * drawn.girth / part.gauge.stitch_width
    rounds = factor * float(np.hypot(*np.diff(line, axis=0).T).sum()) / part.gauge.row_height
    if max(widest, rounds) > MOST_ROUND or (not kind.gives_way and widest * rounds > MOST_STITCHES):
        oval = "" if kind.gives_way else f", and {MOST_STITCHES:,} in all"
        rule = f"{kind.name} has at most {MOST_ROUND:,} stitches in a round{oval}"
        got = f"about {widest:,.0f} stitches round, {rounds:,.0f} rounds"
        raise InputError(Problem(rule, got=got, remedy="Ask for less, or use thicker yarn."))


def bar(part: AnyPart, measure: str, target: float) -> float:
    """Return how far off whole stitches and rounds may leave a size. [mm, ml]

    1 %, or half of the step by which one stitch or one round more moves it.
    """
    return max(MISSED * target, kind_of(part).step(part, measure)[0] / 2)


def scaled_to(
    part: AnyPart, *, measure: str, target: float, progress: Callable[[float], None] | None = None
) -> Solved:
    """Return the part solved with its drawing scaled so that its form has a size.

    Parameters
    ----------
    part : AnyPart
        What is to be scaled, as drawn. What belongs to its size alone, as a chain does, is left out, which a
        note tells.
    measure : str
        One of the measures of its kind.
    target : float
        > 0. [mm, ml]
    progress : callable, optional
        Told the share of the work done, 0 to 1.

    Raises
    ------
    InputError
        If no part of that size can be worked.
    ConvergenceError
        If its rounds have no balance under the stuffing.

    Notes
    -----
    Each misfit corrects the scale. Stitches and rounds are whole, so the form's size moves in steps, and the
    target may lie between two. Where counts can give way, scales about it are then fitted again with the size
    as a further aim (`round_counts.Aim`): size and shape together come nearest.
    """
    check_scaled(part, measure, target)
    search = _Search(kind_of(part).free(part), measure, target, progress)
    best = search.best()
    kind = search.kind
    solved = laid(
        best.part,
        best.found.piece,
        best.found.form,
        plain=partial(kind.plain_rule, best.part),
        last=best.found.last,
        tried=best.found.tried,
        plainness=best.found.plainness,
    )
    if abs(best.size - target) <= bar(part, measure, target):
        return solved
    why = kind.step(part, measure)[1]
    multiple = getattr(part.work, "multiple", 1)
    told = missed_note(measure, best.size - target, why=why, multiple=multiple)
    return replace(solved, notes=(*solved.notes, told))


class _Search:
    """Scales of one drawing, tried for one size."""

    def __init__(
        self, part: AnyPart, measure: str, target: float, progress: Callable[[float], None] | None
    ) -> None:
        self.part, self.measure, self.target, self.progress = part, measure, target, progress
        self.kind: Kind = kind_of(part)
        self.wall = wall_added(part, measure)
        self.power = 1 / 3 if measure == "volume" else 1.0
        self.trials: list[_Trial] = []

    def best(self) -> _Trial:
        """Return the best of all scales that are worth a trial."""
        self._correct()
        best = min(self.trials, key=self._off)
        if self._off(best) <= ENOUGH or not self.kind.gives_way:
            return best
        beyond = [trial for trial in self.trials if (trial.size < self.target) != (best.size < self.target)]
        self._try_aimed([*self._whole_scales(best), *self._between()])
        if beyond and min(map(self._off, self.trials)) > MISSED:
            self._try_aimed(self._whole_scales(min(beyond, key=self._off)))
        return min(self.trials, key=lambda trial: trial.cost)

    def _try_aimed(self, scales: list[float]) -> None:
        for scale in scales:
            try:
                self._try(scale, aimed=True)
            except PlumplineError:
                continue  # the first trials have counts already

    def _correct(self) -> None:
        """Try scales, each corrected by the misfit of the one before."""
        drawn = float(getattr(self.kind.wanted(self.part), self.measure))
        scale = self._ratio(drawn)
        for _ in range(MOST_SCALES):
            try:
                trial = self._try(scale)
            except PlumplineError:
                if not self.trials:
                    raise
                break
            if self._off(trial) <= (NEAR if self.kind.gives_way else MISSED):
                break
            below = [each.scale for each in self.trials if each.size < self.target]
            above = [each.scale for each in self.trials if each.size > self.target]
            if below and above and not self.kind.gives_way:
                scale = (max(below) + min(above)) / 2
            else:
                scale *= self._ratio(trial.size)
            if any(abs(scale / other.scale - 1) < 1e-4 for other in self.trials):
                break

    def _try(self, scale: float, *, aimed: bool = False) -> _Trial:
        part, aim = self.part.scaled(scale), self._aim(self.target)
        found = self.kind.found(part, aim=aim if aimed else None, progress=self._told)
        size = float(getattr(self.kind.got(part, found.form), self.measure))
        off = (self._aim(size).size - aim.size) * aim.unit
        cost = self.kind.lie(part, found.form).rms ** 2 + off**2 if self.kind.gives_way else 0.0
        self.trials.append(_Trial(scale, part, found, size, cost))
        return self.trials[-1]

    def _told(self, share: float) -> None:
        if self.progress:
            most = 2 * MOST_SCALES if self.kind.gives_way else MOST_SCALES
            self.progress(min((len(self.trials) + share) / most, 0.95))

    def _off(self, trial: _Trial) -> float:
        return abs(trial.size / self.target - 1)

    def _ratio(self, size: float) -> float:
        """Return the scale by which a drawing of a size has the wanted one."""
        return float(((self.target - self.wall) / (size - self.wall)) ** self.power)

    def _aim(self, size: float) -> Aim:
        """Return the aim that an outside size is."""
        inside = size - self.wall
        if self.measure == "girth":
            return Aim(measure="width", size=inside / np.pi, weight=WEIGHTS["width"])
        return Aim(
            measure=self.measure,
            size=inside * (ML if self.measure == "volume" else 1.0),
            weight=WEIGHTS.get(self.measure, 1.0),
        )

    def _whole_scales(self, trial: _Trial) -> list[float]:
        """Return the scale of a trial, those about it that want whole rounds, and those half way."""
        form, found = trial.found.form, trial.found
        whole = self.kind.scale_to_fit(trial.part, form, found.last)
        step = whole / (len(found.piece.rounds) + form.closing / form.fabric.row_height)
        near = sorted((whole + k * step for k in (-2, -1, 0, 1, 2)), key=lambda factor: abs(factor - 1))[:3]
        factors = [1.0, *near, *((1 + factor) / 2 for factor in near)]
        return [trial.scale * factor for factor in factors if abs(factor - 1) <= REACH]

    def _between(self) -> list[float]:
        """Return scales between the last too small a size and the first too large, where they lie apart."""
        below = [trial.scale for trial in self.trials if trial.size < self.target]
        above = [trial.scale for trial in self.trials if trial.size > self.target]
        if not (below and above) or abs(min(above) / max(below) - 1) <= REACH / 3:
            return []
        return [max(below) + share * (min(above) - max(below)) for share in (1 / 3, 2 / 3)]


def missed_note(measure: str, off: float, *, why: str, multiple: int = 1) -> Note:
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
        else "Finer yarn makes"
    )
    return Note(
        f"The {measure} comes out {abs(off):.1f} {unit} {'over' if off > 0 else 'under'} what was asked for: "
        f"{why}. `--by gauge` hits it with rounds as they are, in another yarn. {finer} the steps smaller.",
        About.LIMIT,
    )
