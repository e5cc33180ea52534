"""Counts tried on the real form: how it lies against the outline, and how it would move with them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solver.arrays import Floats, frozen
from solver.form.folded import FoldedForm
from solver.form.rings import Form
from solver.search.counts import Whole
from solver.search.making import Making
from solver.wanted.outline import Outline
from solver.wanted.silhouette import even_samples, mixed, near_offsets

SAMPLES_PER_ROUND = 6
MOST_SAMPLES = 480
"""Of a form: more than 80 rounds are sampled less closely than `SAMPLES_PER_ROUND`."""

OPEN_HEIGHT_WEIGHT = 0.25
"""Share of an open part's height misfit that counts like a deviation: along a straight wall height leaves no
distance along the normal."""

PLAIN_SIZE_WEIGHT = 0.15
"""Share of a misfit of height or width that counts like a deviation where counts are plain: what is off by a
little all over is seen in the size first."""

SLACK_WEIGHT = 0.3
"""Share of a slack stitch's width that counts like a deviation: a ruffle moves the form by nothing."""


@dataclass(frozen=True, slots=True, eq=False)
class Trial:
    """Counts with their form, and where it lies against the wanted outline.

    Attributes
    ----------
    counts : (n,) float
        Stitches of each round: not whole where a search begins.
    form : Form
        Solved from them.
    residuals : (q,) float
        Distances at the samples, over the root of their number, then what else counts like one. [mm]
    direction : (s, 2) float
        Unit vectors along which the distances grow.
    index, share : (s,) int, float
        The samples; see `even_samples`.
    """

    counts: Floats
    form: Form | FoldedForm
    residuals: Floats
    direction: Floats
    index: NDArray[np.intp]
    share: Floats

    def __post_init__(self) -> None:
        for name in ("counts", "residuals", "direction", "share"):
            object.__setattr__(self, name, frozen(getattr(self, name)))
        object.__setattr__(self, "index", frozen(self.index, np.intp))

    @property
    def whole(self) -> Whole:
        """The counts, where they are whole."""
        return np.rint(self.counts).astype(np.int64)

    @property
    def cost(self) -> float:
        """Squared distances, and what else counts like one. [mm^2]."""
        return float(self.residuals @ self.residuals)

    @property
    def rms(self) -> float:
        """Root mean square distance from the outline. [mm]."""
        distance = self.residuals[: len(self.index)]
        return float(np.sqrt(distance @ distance))


def tried(counts: Whole | Floats, outline: Outline, making: Making, guess: Floats | None) -> Trial:
    """Return the solved form of `counts` and how it lies against the outline, whose points stand close.

    Raises
    ------
    ConvergenceError
        If the counts have no form.
    """
    return _laid_against([(counts, making.form(counts, outline, guess))], outline, making)[0]


def all_tried(
    many: Sequence[Whole], outline: Outline, making: Making, guesses: Sequence[Floats]
) -> list[Trial | None]:
    """Return `tried` of several counts of as many rounds, solved at once; None for those without a form."""
    forms = making.forms(many, outline, guesses)
    with_form = [(counts, form) for counts, form in zip(many, forms, strict=True) if form]
    trials = iter(_laid_against(with_form, outline, making))
    return [next(trials) if form else None for form in forms]


def _laid_against(
    formed: Sequence[tuple[Whole | Floats, Form | FoldedForm]], outline: Outline, making: Making
) -> list[Trial]:
    """Return how forms lie against the outline."""
    sampled = []
    for counts, form in formed:
        aligned = form.points + np.array([0.0, outline.middle - _middle(form)])
        index, share = even_samples(aligned, max(120, min(SAMPLES_PER_ROUND * len(counts), MOST_SAMPLES)))
        sampled.append((index, share, mixed(aligned, index, share)))
    if not formed:
        return []
    lie = near_offsets(np.concatenate([places for _, _, places in sampled]), outline)
    trials, first = [], 0
    for (counts, form), (index, share, _) in zip(formed, sampled, strict=True):
        own = slice(first, first + len(index))
        first += len(index)
        residuals = np.concatenate(
            [lie.distance[own] / np.sqrt(len(index)), _besides(counts, form, outline, making)]
        )
        trials.append(Trial(counts.astype(np.float64), form, residuals, lie.direction[own], index, share))
    return trials


def _middle(form: Form | FoldedForm) -> float:
    return float(form.height.min() + form.height.max()) / 2


def _besides(counts: Whole | Floats, form: Form | FoldedForm, outline: Outline, making: Making) -> Floats:
    """Return what counts like a deviation: sizes that are off, slack stitches. [mm]."""
    by_height, by_width = _size_weights(making)
    sizes = [by_height * (form.size - outline.height)] if by_height else []
    if by_width:
        sizes.append(by_width * (form.width - outline.width))
    if making.aim:
        sizes.append(making.aim.off(form))
    slack = np.maximum(-form.course_stretch[1:][: len(counts)] * counts, 0.0)[making.shaped(counts)]
    return np.concatenate([sizes, _slack_weight(making, counts) * slack])


def _size_weights(making: Making) -> tuple[float, float]:
    """Return what a millimetre of height and of width counts among the residuals; 0 for nothing."""
    plain = PLAIN_SIZE_WEIGHT if making.tolerance else 0.0
    is_open = making.start_open or making.finish_open
    return max(plain, OPEN_HEIGHT_WEIGHT if is_open else 0.0), plain


def _slack_weight(making: Making, counts: Whole | Floats) -> float:
    """Return what one slack stitch counts among the residuals. [mm]."""
    return SLACK_WEIGHT * making.stitch_width / float(np.sqrt(len(counts)))


@dataclass(frozen=True, slots=True, eq=False)
class Nearby:
    """What counts near a trial's come to, told by its form's exact sensitivity.

    Attributes
    ----------
    trial : Trial
    slope, bend : (n,), (n, n) float
        Halves of the first and second derivative of the cost with the counts. [mm^2]
    columns : (m, 2, n) float
        How the rings move with each round's count. [mm]
    """

    trial: Trial
    slope: Floats
    bend: Floats
    columns: Floats

    def form(self, counts: Whole | Floats) -> Floats:
        """Return where the rings of a form of other counts are, to first order, (m, 2). [mm]."""
        return np.asarray(self.trial.form.points + self.columns @ (counts - self.trial.counts))


def nearby(trial: Trial, making: Making) -> Nearby:
    """Return how cost and form go on near a trial: Gauss-Newton, on the form's exact sensitivity."""
    moved = making.moved(trial.form)
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
    by_height, by_width = _size_weights(making)
    if by_height:
        jacobian = np.vstack([jacobian, by_height * (top - bottom)])
    if by_width:
        jacobian = np.vstack([jacobian, by_width * 2 * columns[int(np.argmax(trial.form.radius)), 0]])
    if making.aim:
        jacobian = np.vstack([jacobian, making.aim.slope(trial.form, columns)])
    rings = np.arange(1, number + 1)[making.shaped(trial.counts)]
    # slack n - 2 pi r / w, where there is any
    slack = np.eye(number)[rings - 1] - 2 * np.pi / making.stitch_width * columns[rings, 0]
    slack[trial.form.course_stretch[rings] >= 0] = 0.0
    jacobian = np.vstack([jacobian, _slack_weight(making, trial.counts) * slack])
    return Nearby(trial, jacobian.T @ trial.residuals, jacobian.T @ jacobian, columns)
