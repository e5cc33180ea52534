"""Counts fitted to the wanted outline: membrane statics, whole stitches, then refined on the real form."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from solver.arrays import Floats, frozen
from solver.errors import InputError
from solver.form.folded import FoldedForm
from solver.form.rings import Form
from solver.search.counts import RING, CountRules, Whole, best_counts, step_limits
from solver.search.folded_rest import folded_rest
from solver.search.making import Making
from solver.search.membrane import RestFabric, rest_fabric
from solver.search.plain_counts import plainest
from solver.search.plain_rule import nearer_by_rule
from solver.search.rows import REACH, Rows, laid
from solver.search.trials import Trial, all_tried, nearby, tried
from solver.wanted.outline import Outline

LEAST_FILL, MOST_FILL = 0.80, 1.03
"""Bounds of a count, as a share of wanted girth over stitch width: a fuller round parks slack as a ruffle.
The first and the last round of a closed part are let off: their 4 to 8 stitches are drawn together anyway."""

LOT = 15
"""Moves that are solved at once."""

LONGEST_BLOCK = 24
TRIES = 30
"""Single moves that are tried on the real form before counts are taken as the best."""
MOST_STEPS = 60
MOST_ROUNDS = 40_000
"""Rounds of all trials together: a part of hundreds of rounds lies near its drawing long before the last."""

FINE = 2e-3
"""Part of a row that the outline which forms are measured against may differ from the drawn one by."""

CLOSE = 0.5
"""Rows that its points stand apart at most."""


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """The counts found, and the form that they become.

    Attributes
    ----------
    counts : (n,) int
        Stitches of each round.
    form : Form
        Solved from these counts.
    misfit_rows : float
        Rows that the rest meridian has more than the whole rounds (less: below zero).
    scale_to_fit : float
        Times this the wanted part's rest meridian would be a whole number of rounds.
    rest : RestFabric
        What the wanted outline asks for.
    exact : Fit or None
        The counts nearest to the outline, where these are plain ones.
    """

    counts: Whole
    form: Form | FoldedForm
    misfit_rows: float
    scale_to_fit: float
    rest: RestFabric
    exact: Fit | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "counts", frozen(self.counts, np.int64))


def fit(outline: Outline, making: Making, *, progress: Callable[[float], None] | None = None) -> Fit:
    """Return the whole counts whose stuffed form comes nearest to the outline.

    For each of the two whole numbers of rounds next to the rest meridian: the counts that membrane statics
    asks for, made whole by dynamic programming, then moved by whole stitches in whatever block of rounds
    brings the solved form nearer, until nothing does.

    Parameters
    ----------
    outline : Outline
        The wanted form, middle of the fabric.
    making : Making
        Gauge, stuffing, start and finish.
    progress : callable, optional
        Told the share of the work done, 0 to 1.

    Returns
    -------
    Fit
        The better of the two.

    Raises
    ------
    InputError
        If no whole counts follow the outline.
    ConvergenceError
        If a form has no balance.
    """
    rest = rest_of(outline, making)
    exact = rest.length / making.row_height - making.closing_rows
    thin = outline.thinned(FINE * making.row_height).no_coarser(CLOSE * making.row_height)
    numbers = sorted({max(2, int(np.floor(exact))), max(2, int(np.ceil(exact)))})
    found = []
    for done, number in enumerate(numbers):
        if progress:
            progress(done / len(numbers))
        found.append(_fit_rounds(thin, replace(making, tolerance=None), rest, number))
    best = min(found, key=lambda trial: trial.cost)
    if making.aim is None and not making.folded:
        best = nearer_by_rule(best, thin, making)
    nearest = _fit_of(best, making, rest)
    if making.tolerance is None:
        return nearest
    plain = plainest(thin, making, rest, exact=best)
    return replace(_fit_of(plain, making, rest), exact=nearest) if plain else nearest


def rest_of(outline: Outline, making: Making) -> RestFabric:
    """Return what the outline asks of the relaxed fabric, stuffed or folded flat."""
    if making.folded:
        return folded_rest(outline, making)
    return rest_fabric(
        outline,
        pressure=making.pressure,
        row_height=making.row_height,
        wale_stiffness=making.stiffness_ratio,
    )


def _fit_of(best: Trial, making: Making, rest: RestFabric) -> Fit:
    """Return the fit that a trial is."""
    rows = len(best.counts) + making.closing_rows
    return Fit(
        counts=best.whole,
        form=best.form,
        misfit_rows=rest.length / making.row_height - rows,
        scale_to_fit=rows * making.row_height / rest.length,
        rest=rest,
    )


def _fit_rounds(outline: Outline, making: Making, rest: RestFabric, number: int) -> Trial:
    """Return the best trial with this number of rounds."""
    rows = laid(outline, making, rest, number=number)
    counts, rules = first_counts(rows, making.multiple)
    return _refined(counts, rules, outline, making, rows)


def first_counts(rows: Rows, multiple: int) -> tuple[Whole, CountRules]:
    """Return the whole counts nearest to those asked for, and the rules that they and their kin keep to."""
    asked = rows.asked
    fault: InputError | None = None
    # a corner or a shoulder may ask for more than a gentle step, or for a turn that the drawing has not
    for slack, reach in ((1, REACH), (2, 2 * REACH), (4, 6 * REACH), (16, 30 * REACH)):
        rules = CountRules(
            directions=rows.directions,
            first=rows.first,
            last=rows.last,
            steps=step_limits(asked, multiple=multiple, most=rows.most, slack=slack),
            multiple=multiple,
            least=rows.least,
        )
        try:
            return best_counts(asked, weight=np.ones(len(asked)), rules=rules, reach=reach), rules
        except InputError as error:
            fault = error
    assert fault is not None
    raise fault


def _refined(counts: Whole, rules: CountRules, outline: Outline, making: Making, rows: Rows) -> Trial:
    """Return the best trial that moves of whole stitches lead to from `counts`."""
    least, most = np.floor(LEAST_FILL * rows.flat), np.ceil(MOST_FILL * rows.flat)
    for end, is_open in ((0, making.start_open), (-1, making.finish_open)):
        if not is_open:
            least[end], most[end] = 0, max(most[end], RING[1], making.multiple)

    def fits(trial: Whole, current: Whole) -> bool:
        if not rules.allow(trial):
            return False
        low, high = np.minimum(least, current), np.maximum(most, current)
        return bool((trial >= low).all() and (trial <= high).all())

    best = tried(counts, outline, making, rows.guess)
    seen = {tuple(counts.tolist())}
    for _ in range(MOST_STEPS):
        near = nearby(best, making)
        for some in _in_lots(_moves(best.whole, near.slope, near.bend, rules.multiple, fits)):
            fresh = [counts for counts in some if tuple(counts.tolist()) not in seen]
            seen.update(tuple(counts.tolist()) for counts in fresh)
            if len(seen) * len(counts) > MOST_ROUNDS:
                return best
            trials = all_tried(fresh, outline, making, [near.form(one) for one in fresh])
            better = [trial for trial in trials if trial and trial.cost < best.cost * (1 - 1e-6)]
            if better:
                best = min(better, key=lambda trial: trial.cost)
                break
        else:
            break
    return best


def _in_lots(moves: Iterator[Whole]) -> Iterator[list[Whole]]:
    """Yield moves in lots that are solved at once: the first alone, as it mostly suits."""
    for many in itertools.chain([1], itertools.repeat(LOT)):
        if not (lot := list(itertools.islice(moves, many))):
            return
        yield lot


def _moves(
    counts: Whole,
    slope: Floats,
    bend: Floats,
    multiple: int,
    fits: Callable[[Whole, Whole], bool],
) -> Iterator[Whole]:
    """Yield counts worth a trial, the most promising first: a descent of many moves, then single moves."""
    first, last = np.triu_indices(len(counts) + 1, 1)
    short = last - first <= LONGEST_BLOCK
    first, last = first[short], last[short]
    corner = np.zeros((len(counts) + 1,) * 2)
    corner[1:, 1:] = np.cumsum(np.cumsum(bend, 0), 1)
    square = corner[last, last] - 2 * corner[first, last] + corner[first, first]

    def promising(slope: Floats, most: int) -> Iterator[tuple[float, Whole]]:
        """Yield the gain and the move of blocks of rounds, the best first."""
        along = np.concatenate([[0.0], np.cumsum(slope)])
        line = 2 * multiple * (along[last] - along[first])
        gain = multiple**2 * np.concatenate([square, square]) + np.concatenate([line, -line])
        best = np.argpartition(gain, min(most, len(gain) - 1))[:most]
        for k in best[np.argsort(gain[best])].tolist():
            move = np.zeros(len(counts), dtype=np.int64)
            move[first[k % len(first)] : last[k % len(first)]] = multiple if k < len(first) else -multiple
            yield float(gain[k]), move

    descended, here = counts, slope
    for _ in range(MOST_STEPS):
        for gain, move in promising(here, 200):
            if gain < -1e-9 and fits(descended + move, counts):
                descended, here = descended + move, here + bend @ move
                break
        else:
            break
    if np.any(descended != counts):
        yield descended
    tried = 0
    for _, move in promising(slope, 200):
        if tried < TRIES and fits(counts + move, counts):
            tried += 1
            yield counts + move
