"""Counts fitted to the wanted outline: membrane statics, whole stitches, then refined on the real form."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solver.arrays import Floats
from solver.errors import ConvergenceError, InputError
from solver.form.fabric import CLOSING_ROWS
from solver.form.rings import Form, RingFabric, count_sensitivity, ring_form
from solver.search.counts import LEAST, RING, CountRules, Whole, best_counts, step_limits
from solver.search.membrane import RestFabric, rest_fabric
from solver.wanted.outline import Outline, turning_directions
from solver.wanted.silhouette import deviation, even_samples, mixed, offsets

LEAST_FILL, MOST_FILL = 0.80, 1.03
"""Bounds of a count, as a share of wanted girth over stitch width: a fuller round parks slack as a ruffle.
The first and the last round of a closed part are let off: their 4 to 8 stitches are drawn together anyway."""

SAMPLES_PER_ROUND = 6
MOST_SAMPLES = 480
"""Of a form: more than 80 rounds are sampled less closely than `SAMPLES_PER_ROUND`."""

REACH = 4
"""Multiples by which a count may first differ from the one that statics asks for."""
LONGEST_BLOCK = 24
TRIES = 30
"""Single moves that are tried on the real form before counts are taken as the best."""
MOST_STEPS = 60
MOST_ROUNDS = 40_000
"""Rounds of all trials together: a part of hundreds of rounds lies near its drawing long before the last."""
OPEN_HEIGHT_WEIGHT = 0.25
"""Share of an open part's height misfit that counts like a deviation: along a straight wall height leaves no
distance along the normal."""

SLACK_WEIGHT = 0.3
"""Share of a slack stitch's width that counts like a deviation: a ruffle moves the form by nothing."""

FINE = 2e-3
"""Part of a row that the outline which forms are measured against may differ from the drawn one by."""

TURN_STITCHES = 0.5
"""A rise or fall of the wanted girth by less than this many stitches is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """A size that the form shall have, besides lying near the outline.

    Attributes
    ----------
    measure : str
        "height", "width" or "volume".
    size : float
        Of the middle of the fabric, > 0. [mm, mm^3]
    weight : float
        Part of the misfit, as a length, that counts like a deviation.
    """

    measure: str
    size: float
    weight: float

    def off(self, form: Form) -> float:
        """Return the misfit of a form, as a length times its weight. [mm]"""
        got = {"height": form.size, "width": form.width, "volume": form.volume}[self.measure]
        return (got - self.size) * self.unit

    def slope(self, form: Form, moved: Floats) -> Floats:
        """Return how the misfit moves where rings move by (m, 2, n). [mm]"""
        r, z = form.points.T
        if self.measure == "width":
            return np.asarray(2 * moved[int(np.argmax(r)), 0] * self.unit)
        if self.measure == "height":
            return np.asarray((moved[int(np.argmax(z)), 1] - moved[int(np.argmin(z)), 1]) * self.unit)
        a, b, dz = r[:-1, None], r[1:, None], np.diff(z)[:, None]
        of_radii = dz * ((2 * a + b) * moved[:-1, 0] + (a + 2 * b) * moved[1:, 0])
        of_heights = (a * a + a * b + b * b) * (moved[1:, 1] - moved[:-1, 1])
        return np.asarray(np.pi / 3 * (of_radii + of_heights).sum(axis=0) * self.unit)

    @property
    def unit(self) -> float:
        """Length that one unit of the size counts as: for a volume, what each side of a cube of it gains."""
        return self.weight / (3 * self.size ** (2 / 3) if self.measure == "volume" else 1.0)


@dataclass(frozen=True, slots=True)
class Making:
    """How a part is to be made.

    Attributes
    ----------
    stitch_width, row_height : float
        w and h, > 0. [mm]
    pressure : float
        p/k, > 0. [1/mm]
    start_open, finish_open : bool
        An open chain, an open edge; else a ring and a cinch.
    held : bool
        Open ends are sewn to something stiff and held to their wanted radius.
    ring : int or None
        Stitches in the ring, where the maker says so.
    multiple : int
        Counts are multiples of this, >= 1.
    stiffness_ratio : float
        k_w/k_c: along the part over round it, > 0.
    aim : Aim or None
        A size that is wanted besides the outline.
    """

    stitch_width: float
    row_height: float
    pressure: float
    start_open: bool = False
    finish_open: bool = False
    held: bool = True
    ring: int | None = None
    multiple: int = 1
    stiffness_ratio: float = 1.0
    aim: Aim | None = None

    @property
    def closing_rows(self) -> float:
        """Rows between the last edge and the end of the meridian."""
        return 0.0 if self.finish_open else CLOSING_ROWS

    def shaped(self, counts: Whole) -> slice:
        """Return which rounds hold the part's shape: all but those that a ring or a cinch draws together."""
        return slice(0 if self.start_open else 1, len(counts) if self.finish_open else len(counts) - 1)

    def fabric(self, counts: Whole, outline: Outline, *, foundation: int | None = None) -> RingFabric:
        """Return the rings of fabric that rounds of these counts are.

        Parameters
        ----------
        counts : (n,) int
        outline : Outline
            Holds the open ends.
        foundation : int, optional
            Chain stitches of an open start; left out: as many as round 1 has.
        """
        radius = outline.points[:, 0].tolist()
        return RingFabric.from_counts(
            counts.astype(np.float64),
            stitch_width=self.stitch_width,
            row_height=self.row_height,
            foundation=float(foundation or counts[0]) if self.start_open else 0.0,
            cinched=not self.finish_open,
            held=(
                radius[0] if self.start_open and self.held else None,
                radius[-1] if self.finish_open and self.held else None,
            ),
            wale_stiffness=self.stiffness_ratio,
        )


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
    """

    counts: Whole
    form: Form
    misfit_rows: float
    scale_to_fit: float
    rest: RestFabric


@dataclass(frozen=True, slots=True, eq=False)
class _Trial:
    """Counts with their form, and where it lies against the wanted outline."""

    counts: Whole
    form: Form
    residuals: Floats
    direction: Floats
    index: NDArray[np.intp]
    share: Floats

    @property
    def cost(self) -> float:
        return float(self.residuals @ self.residuals)


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
    rest = rest_fabric(
        outline,
        pressure=making.pressure,
        row_height=making.row_height,
        wale_stiffness=making.stiffness_ratio,
    )
    exact = rest.length / making.row_height - making.closing_rows
    thin = outline.thinned(FINE * making.row_height)
    numbers = sorted({max(2, int(np.floor(exact))), max(2, int(np.ceil(exact)))})
    found = []
    for done, number in enumerate(numbers):
        if progress:
            progress(done / len(numbers))
        found.append(_fit_rounds(thin, making, rest, number))
    best = min(found, key=lambda trial: trial.cost)
    if making.aim is None:
        best = _plain_if_nearer(best, outline, making)
    rows = len(best.counts) + making.closing_rows
    return Fit(
        counts=best.counts,
        form=best.form,
        misfit_rows=rest.length / making.row_height - rows,
        scale_to_fit=rows * making.row_height / rest.length,
        rest=rest,
    )


def plain_counts(outline: Outline, making: Making, *, least: int = 3) -> Whole:
    """Return the counts of the plain rule, girth over stitch width at each row, and `least` at the least."""
    rows = max(2, round(outline.length / making.row_height) - (not making.finish_open))
    at = np.arange(1, rows + 1) * making.row_height
    girth = 2 * np.pi * np.interp(at, outline.arc, outline.points[:, 0])
    m = making.multiple
    counts = m * np.round(girth / (making.stitch_width * m))
    return np.asarray(np.maximum(-(-least // m) * m, counts), dtype=np.int64)


def _plain_if_nearer(best: _Trial, outline: Outline, making: Making) -> _Trial:
    """Return the plain rule's counts where they can be worked and their form lies nearer than the best."""
    counts = plain_counts(outline, making)
    if counts.max() < LEAST:
        return best
    ring, tip = _multiples((3, RING[1]), making.multiple), np.flatnonzero(counts >= LEAST)
    inner = slice(0 if making.start_open else tip[0], len(counts) if making.finish_open else tip[-1])
    counts[inner] = np.maximum(counts[inner], -(-LEAST // making.multiple) * making.multiple)
    if not making.start_open:
        counts[0] = making.ring or np.clip(counts[0], *ring)
    if not making.finish_open:
        counts[-1] = np.clip(counts[-1], *ring)
    if np.any(counts[1:] > 2 * counts[:-1]) or np.any(2 * counts[1:] < counts[:-1]):
        return best
    try:
        plain = _tried(counts, outline, making, None)
    except ConvergenceError:
        return best
    nearer = deviation(plain.form.points, outline).rms < deviation(best.form.points, outline).rms * (1 - 1e-9)
    return plain if nearer else best


def _fit_rounds(outline: Outline, making: Making, rest: RestFabric, number: int) -> _Trial:
    """Return the best trial with this number of rounds."""
    rows = np.arange(1, number + 1) / (number + making.closing_rows) * rest.length
    asked, flat = (
        np.interp(rows, rest.arc, girth) / making.stitch_width for girth in (rest.girth, rest.wanted_girth)
    )
    counts, rules = _first_counts(asked, flat, making, rest)
    at = np.interp(np.concatenate([[0.0], rows, [rest.length]]), rest.arc, rest.wanted_arc)
    guess = np.column_stack([np.interp(at, outline.arc, values) for values in outline.points.T])
    return _refined(counts, rules, outline, making, flat, guess[:-1] if making.finish_open else guess)


def _first_counts(asked: Floats, flat: Floats, making: Making, rest: RestFabric) -> tuple[Whole, CountRules]:
    """Return the whole counts nearest to those asked for, and the rules that they and their kin keep to."""
    m = making.multiple
    ends = np.array([0.0]) if not making.start_open else flat[:0]
    tip = np.array([0.0]) if not making.finish_open else flat[:0]
    outlined = np.concatenate([ends, rest.wanted_girth / making.stitch_width, tip])
    directions = turning_directions(outlined, slack=TURN_STITCHES)
    ring = (making.ring, making.ring) if making.ring else _multiples(RING, m)
    least = min(making.ring or LEAST, LEAST)
    low = -(-least // m) * m
    near = (max(low, int(asked[0]) - REACH * m), max(low, int(asked[0]) + REACH * m))
    far = (max(low, int(asked[-1]) - REACH * m), max(low, int(asked[-1]) + REACH * m))
    most = int(np.ceil(2 * np.pi * making.row_height / making.stitch_width)) + (m == 1)
    fault: InputError | None = None
    # a corner or a shoulder may ask for more than a gentle step, or for a turn that the drawing has not
    for slack, reach in ((1, REACH), (2, 2 * REACH), (4, 6 * REACH), (16, 30 * REACH)):
        rules = CountRules(
            directions=tuple(directions),
            first=near if making.start_open else ring,
            last=far if making.finish_open else _multiples(RING, m),
            steps=step_limits(asked, multiple=m, most=most, slack=slack),
            multiple=m,
            least=least,
        )
        try:
            return best_counts(asked, weight=np.ones(len(asked)), rules=rules, reach=reach), rules
        except InputError as error:
            fault = error
    assert fault is not None
    raise fault


def _multiples(span: tuple[int, int], multiple: int) -> tuple[int, int]:
    """Return the least and greatest multiple in a span, or the first one above it."""
    low = -(-span[0] // multiple) * multiple
    return low, max(low, span[1] // multiple * multiple)


def _refined(
    counts: Whole, rules: CountRules, outline: Outline, making: Making, flat: Floats, guess: Floats
) -> _Trial:
    """Return the best trial that moves of whole stitches lead to from `counts`."""
    least, most = np.floor(LEAST_FILL * flat), np.ceil(MOST_FILL * flat)
    for end, is_open in ((0, making.start_open), (-1, making.finish_open)):
        if not is_open:
            least[end], most[end] = 0, max(most[end], RING[1], making.multiple)

    def fits(trial: Whole, current: Whole) -> bool:
        if not rules.allow(trial):
            return False
        low, high = np.minimum(least, current), np.maximum(most, current)
        return bool((trial >= low).all() and (trial <= high).all())

    best = _tried(counts, outline, making, guess)
    seen = {tuple(counts.tolist())}
    for _ in range(MOST_STEPS):
        slope, bend = _quadratic(best, making)
        for trial in _moves(best.counts, slope, bend, rules.multiple, fits):
            if (key := tuple(trial.tolist())) in seen:
                continue
            seen.add(key)
            if len(seen) * len(trial) > MOST_ROUNDS:
                return best
            next_best = _tried(trial, outline, making, best.form.points)
            if next_best.cost < best.cost * (1 - 1e-6):
                best = next_best
                break
        else:
            break
    return best


def _tried(counts: Whole, outline: Outline, making: Making, guess: Floats | None) -> _Trial:
    """Return the solved form of `counts` and how it lies against the outline."""
    form = ring_form(making.fabric(counts, outline), pressure=making.pressure, guess=guess)
    low, high = float(form.height.min()), float(form.height.max())
    aligned = form.points + np.array([0.0, outline.middle - (low + high) / 2])
    index, share = even_samples(aligned, max(120, min(SAMPLES_PER_ROUND * len(counts), MOST_SAMPLES)))
    lie = offsets(mixed(aligned, index, share), outline)
    residuals = lie.distance / np.sqrt(len(index))
    if making.start_open or making.finish_open:
        residuals = np.append(residuals, OPEN_HEIGHT_WEIGHT * (high - low - outline.height))
    if making.aim:
        residuals = np.append(residuals, making.aim.off(form))
    slack = np.maximum(-form.course_stretch[1:][: len(counts)] * counts, 0.0)[making.shaped(counts)]
    residuals = np.append(residuals, _slack_weight(making, counts) * slack)
    return _Trial(counts, form, residuals, lie.direction, index, share)


def _slack_weight(making: Making, counts: Whole) -> float:
    """Return what one slack stitch counts among the residuals. [mm]."""
    return SLACK_WEIGHT * making.stitch_width / float(np.sqrt(len(counts)))


def _quadratic(trial: _Trial, making: Making) -> tuple[Floats, Floats]:
    """Return slope and bend of the cost with the counts: Gauss-Newton, on the form's exact sensitivity."""
    moved = count_sensitivity(trial.form)
    number = len(trial.counts)
    columns = moved[:, :, 1 : number + 1].copy()
    if making.start_open:
        columns[:, :, 0] += moved[:, :, 0]
    height = trial.form.height
    top, bottom = columns[int(np.argmax(height)), 1], columns[int(np.argmin(height)), 1]
    share = trial.share[:, None, None]
    samples = columns[trial.index] * (1 - share) + columns[trial.index + 1] * share
    jacobian = np.einsum("qk,qkn->qn", trial.direction, samples)
    jacobian -= trial.direction[:, 1:] * (top + bottom) / 2
    jacobian /= np.sqrt(len(trial.index))
    if making.start_open or making.finish_open:
        jacobian = np.vstack([jacobian, OPEN_HEIGHT_WEIGHT * (top - bottom)])
    if making.aim:
        jacobian = np.vstack([jacobian, making.aim.slope(trial.form, columns)])
    rings = np.arange(1, number + 1)[making.shaped(trial.counts)]
    # slack n - 2 pi r / w, where there is any
    slack = np.eye(number)[rings - 1] - 2 * np.pi / making.stitch_width * columns[rings, 0]
    slack[trial.form.course_stretch[rings] >= 0] = 0.0
    jacobian = np.vstack([jacobian, _slack_weight(making, trial.counts) * slack])
    return jacobian.T @ trial.residuals, jacobian.T @ jacobian


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
