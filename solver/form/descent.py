"""Descent to the least energy of a stitch fabric, with what holds the part.

A limited-memory quasi-Newton method [1]_ whose first metric is the inverse of one constant matrix: the
fabric with all its fibres taut, the same for each coordinate, factored once (the local-global matrix of
projective dynamics [2]_).

References
----------
.. [1] J. Nocedal and S. Wright, "Numerical Optimization", 2nd ed., Springer, 2006, section 7.2; from memory.
.. [2] S. Bouaziz et al., "Projective dynamics: fusing constraint projections for fast simulation",
   ACM Trans. Graphics 33(4), 2014; from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

import numpy as np

from solver.arrays import Floats, Ints, frozen
from solver.form.energy import inner
from solver.form.metric import SINGLE, Metric
from solver.rounds import Finish, Start
from solver.rounds.evenness import alike_all_round

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from solver.form.energy import StitchEnergy
    from solver.form.fabric import StitchFabric

    Single = NDArray[np.float32]

Real = TypeVar("Real", np.float64, np.float32)

MAX_STEPS = 1500

MEMORY, SLOW, LONG_MEMORY = 10, 100, 30
"""Pairs of step and change of force that the quasi-Newton method keeps; steps after which a descent is slow,
and pairs that it keeps from then on: a third fewer steps where slack fabric hangs."""

SETTLING = 0.1
"""Residual from which on what hangs slack mostly stays so: a slow descent then takes a metric that knows it,
and another after `SLOW` steps more; a fifth fewer steps."""

SHORTER, LONGER, SHORTEST = 0.5, 1.05, 0.1
"""How the first metric's steps are scaled after one that was too long, and after one that was not, and the
least scale: slack fabric that pulls taut makes them too long, and half of all trials were then in vain."""

ENERGY_NOISE = 1e-13
"""Relative rounding of the energy: a step may raise it by this much."""


@dataclass(frozen=True, slots=True, eq=False)
class Supports:
    """What holds a part. An open edge that is not held stays in a plane and is free in it.

    Attributes
    ----------
    start, finish : (m, 2) or (m, 3) float or None
        Where an open start or an open last edge is held (sewn to something stiff), by stitch: in its plane,
        or with three columns anywhere in space. [mm]
    sole : int
        Rounds that lie on a stiff flat insert.
    sole_edge : (m, 2) float or None
        Where the last round on the insert is held, by stitch. [mm]
    ties : tuple of (int, int, float)
        Pairs of nodes that are tied to each other through the part, and the length left between them. [mm]
    walls : tuple of ((k,) int, int)
        Nodes that keep to one side of the plane x = 0, and the side, 1 or -1: two limbs against each other.
    """

    start: Floats | None = None
    finish: Floats | None = None
    sole: int = 0
    sole_edge: Floats | None = None
    ties: tuple[tuple[int, int, float], ...] = ()
    walls: tuple[tuple[Ints, int], ...] = ()

    def __post_init__(self) -> None:
        for name in ("start", "finish", "sole_edge"):
            if getattr(self, name) is not None:
                object.__setattr__(self, name, frozen(getattr(self, name)))

    def scaled(self, factor: float) -> Supports:
        """Return the same supports with all their lengths times a factor above zero."""
        start, finish, sole_edge = (
            None if at is None else at * factor for at in (self.start, self.finish, self.sole_edge)
        )
        ties = tuple((one, other, length * factor) for one, other, length in self.ties)
        return Supports(start, finish, self.sole, sole_edge, ties, self.walls)


FREE = Supports()


class Constraints:
    """Where nodes may move: fixed coordinates, and rims that stay in one plane.

    Moves are projected: `project` sets what is fixed to zero and gives a free rim's nodes one common height;
    of a part that bends, a rim beside one in a level plane stays in a plane that tilts.
    """

    def __init__(self, fabric: StitchFabric, points: Floats, supports: Supports) -> None:
        n = fabric.node_count
        self.points = points
        fixed = np.zeros((n, 3), dtype=bool)
        self.level: list[Ints] = []
        self.tilting: list[_Tilting] = []
        rims = []
        if fabric.opens_at_start:
            rims.append((fabric.rings[0], supports.start))
        if supports.sole:
            flat = np.flatnonzero(fabric.ring_of_node <= supports.sole)
            points[flat, 2] = 0.0
            fixed[flat, 2] = True
            self._hold(fixed, fabric.rings[supports.sole], supports.sole_edge)
        if fabric.piece.finish is Finish.OPEN:
            rims.append((fabric.rings[-1], supports.finish))
        for rim, place in rims:
            if place is not None and place.shape[1] > 2:
                points[rim] = place
                fixed[rim] = True
                continue
            if fixed[:, 2].any() and place is None and _bends(fabric):
                self.tilting.append(_Tilting.of(rim, points))
                points[rim] = self.tilting[-1].flat(points[rim])
                continue
            points[rim, 2] = points[rim, 2].mean()
            if fixed[:, 2].any():
                self.level.append(rim)
            else:
                fixed[rim, 2] = True
            self._hold(fixed, rim, place)
        # What is fixed so far shapes the metric; the pins below only stop rigid drift and carry no force.
        self.held = fixed.copy()
        self.pinned = np.zeros((n, 3), dtype=bool)
        self._pin(fabric)
        self.fixed = fixed | self.pinned

    def _hold(self, fixed: NDArray[np.bool_], ring: Ints, place: Floats | None) -> None:
        if place is not None:
            self.points[ring, :2] = place
            fixed[ring, :2] = True

    def _pin(self, fabric: StitchFabric) -> None:
        """Add 3-2-1 pins where nothing else stops the part from drifting or turning."""
        held, pinned = self.held, self.pinned
        first = fabric.rings[0]
        self.anchor = anchor = int(first[len(first) // 4])
        far = int(np.argmax(np.abs(self.points[:, 0] - self.points[anchor, 0])))
        if not held[:, 2].any():
            top = int(np.argmax(self.points[:, 2]))
            pinned[anchor, 2] = True
            pinned[top, :2] = True
        if not held[:, :2].any():
            pinned[anchor, :2] = True
            pinned[far, 1] = True

    def project(self, moves: NDArray[Real]) -> NDArray[Real]:
        """Return moves as far as they are allowed."""
        out = np.where(self.fixed, moves.dtype.type(0), moves)
        for rim in self.level:
            out[rim, 2] = out[rim, 2].mean()
        for edge in self.tilting:
            out[edge.rim] = edge.allowed(out[edge.rim])
        return out


def _bends(fabric: StitchFabric) -> bool:
    """Whether stitches of several heights, or shaping on one side, tilt one end against the other."""
    along_chain = fabric.piece.start is Start.CHAIN
    return not fabric.is_even or not (along_chain or alike_all_round(fabric.piece))


@dataclass(frozen=True, slots=True, eq=False)
class _Tilting:
    """A rim in a plane that may tilt: moves along its first normal are those of a plane.

    Attributes
    ----------
    rim : (m,) int
        Its nodes.
    normal : (3,) float
        Of its plane, first.
    planes : (m, 3) float
        Orthonormal: what the nodes' moves along the normal may be.
    middle : (3,) float
        A point of the plane.
    """

    rim: Ints
    normal: Floats
    planes: Floats
    middle: Floats

    @classmethod
    def of(cls, rim: Ints, points: Floats) -> _Tilting:
        middle = points[rim].mean(axis=0)
        across, _, axes = np.linalg.svd(points[rim] - middle, full_matrices=False)
        flat = np.column_stack([np.ones(len(rim)), across[:, :2]])
        return cls(rim=rim, normal=axes[2], planes=np.linalg.qr(flat)[0], middle=middle)

    def flat(self, places: Floats) -> Floats:
        """Return places moved along the normal into the plane."""
        return np.asarray(places - np.outer((places - self.middle) @ self.normal, self.normal))

    def allowed(self, moves: NDArray[np.floating]) -> Floats:
        """Return moves as far as they keep the rim in a plane."""
        along = moves @ self.normal
        return np.asarray(moves + np.outer(self.planes @ (self.planes.T @ along) - along, self.normal))


def descend(
    energy: StitchEnergy, constraints: Constraints, tolerance: float, *, most_steps: int = MAX_STEPS
) -> tuple[Floats, tuple[float, ...]]:
    """Return where the descent ends, and the residual at each step; the caller checks it."""
    x = constraints.points
    metric = Metric(energy, constraints)
    unit = energy.pressure * energy.fabric.stitch_width * energy.fabric.row_height
    longest = 2 * energy.fabric.row_height
    value, full = energy(x)
    gradient = constraints.project(full)
    history = [_largest(gradient) / unit]
    pairs: list[tuple[Single, Single, np.float32]] = []
    scale, renewed = 1.0, 0
    while history[-1] > tolerance and len(history) <= most_steps:
        if history[-1] < SETTLING and len(history) > renewed + SLOW:
            metric, scale, renewed = Metric(energy, constraints, x), 1.0, len(history)
        step = -_two_loop(gradient.astype(SINGLE), pairs, metric, SINGLE(scale)).astype(np.float64)
        slope = inner(step, gradient)
        if not slope < 0:
            pairs.clear()
            step = -metric(gradient.astype(SINGLE)).astype(np.float64)
            slope = inner(step, gradient)
        length = first = min(1.0, longest / _largest(step))
        while True:
            trial = x + length * step
            new, full = energy(trial)
            if new <= value + 1e-4 * length * slope + ENERGY_NOISE * abs(value):
                break
            length /= 2
            if length < 1e-8:
                return x, tuple(history)
        scale = max(SHORTER * scale, SHORTEST) if length < first else min(LONGER * scale, 1.0)
        change = constraints.project(full) - gradient
        gradient = gradient + change
        curvature = length * inner(step, change)
        if curvature > 1e-12 * inner(change, change):
            pairs.append(((length * step).astype(SINGLE), change.astype(SINGLE), SINGLE(1 / curvature)))
            del pairs[: -(LONG_MEMORY if len(history) > SLOW else MEMORY)]
        x, value = trial, new
        history.append(_largest(gradient) / unit)
    return x, tuple(history)


def _largest(vectors: NDArray[np.floating]) -> float:
    return float(np.sqrt(np.einsum("ij,ij->i", vectors, vectors).max()))


def _two_loop(
    gradient: Single,
    pairs: list[tuple[Single, Single, np.float32]],
    metric: Callable[[Single], Single],
    scale: np.float32,
) -> Single:
    """Return the quasi-Newton direction's opposite (Nocedal and Wright, algorithm 7.4)."""
    q = gradient.copy()
    weights = []
    for s, y, rho in reversed(pairs):
        weights.append(rho * SINGLE(inner(s, q)))
        q -= weights[-1] * y
    r = scale * metric(q)
    for (s, y, rho), weight in zip(pairs, reversed(weights), strict=True):
        r += (weight - rho * SINGLE(inner(y, r))) * s
    return r
