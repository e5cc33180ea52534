"""The rounds of a part that bends: its straight rounds fitted, bends worked in, solved, and corrected."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from solver.arrays import Floats
from solver.errors import ConvergenceError
from solver.form.descent import Supports
from solver.form.fabric import StitchFabric, stitch_fabric
from solver.form.stitches import StitchForm, stitch_form
from solver.rounds import Finish, Piece, Start
from solver.search.bent_lie import laid_on, off_middle, ring_tilts
from solver.search.bent_plan import Known, Straight, Turn, bent_piece, combined, tilt_of
from solver.search.making import Making
from solver.search.round_counts import fit
from solver.wanted.gauge import Gauge
from solver.wanted.outline import Outline
from solver.wanted.swept import Bend, Swept

SOLVES, MOST_SOLVES = 8, 11
"""Sets of rounds that are solved at the most: where one holds the form well, and where none does yet."""

TILT, MIDDLE, SURFACE = np.radians(5.0), 0.5, 0.35
"""What a form is judged by: tilt of the last round [rad], middle line and surface [stitch widths, rms]."""

GOOD, ENOUGH = 0.45, 0.75
"""Parts of these within which the search ends at once, and after `SOLVES`."""

LEVEL_SHARES = (0.0, 0.5, 1.0)
"""Parts of the bends of a belly's middle line that are tried in turn."""

SOLVED = 1e-2
"""Residual of forms that are compared in the search."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class BentForm:
    """A bent part's rounds and form, lying on the wanted surface.

    Attributes
    ----------
    piece : Piece
    form : StitchForm
    points : (n, 3) float
        Its nodes where they lie nearest to the wanted surface. [mm]
    turns : tuple of Turn
    surface, middle, tilt : float
        Root mean square distance of the surface and of the middle line [mm], tilt of the last round against
        the first beyond the wanted one [rad].
    """

    piece: Piece
    form: StitchForm
    points: Floats
    turns: tuple[Turn, ...]
    surface: float
    middle: float
    tilt: float

    def worst(self, stitch_width: float) -> float:
        """Return the greatest of its faults, each as part of what it is judged by."""
        faults = (
            self.surface / SURFACE / stitch_width,
            self.middle / MIDDLE / stitch_width,
            abs(self.tilt) / TILT,
        )
        return float(max(faults))


def fit_bent(
    wanted: Swept,
    outline: Outline,
    bends: Sequence[Bend],
    making: Making,
    gauge: Gauge,
    *,
    increases: str,
    progress: Callable[[float], None] | None = None,
) -> tuple[BentForm, int]:
    """Return the rounds whose form lies nearest to a surface that bends, and how many were solved.

    Parameters
    ----------
    wanted : Swept
    outline : Outline
        Of the same part without its bends, radius against length along it.
    bends : sequence of Bend
        Where rounds tilt against their neighbours by more than evenly tall stitches give.
    making : Making
        How the straight part is made.
    gauge : Gauge
    increases : str
        "staggered" or "stacked".
    progress : callable, optional
        Told the share of the work done, 0 to 1.

    Notes
    -----
    Of level circles (a belly) evenly worked rounds are tried first, then more and more of the bends: turned a
    little, a round form often is the belly, and the plainest rounds that hold it are taken.

    Raises
    ------
    InputError, ConvergenceError
        If no whole stitches make the part, or no form has a balance.
    """
    straight = _straight(outline, making, gauge, increases)
    if not wanted.is_level:
        return _fit(wanted, bends, straight, making, gauge, progress)
    tried, best = 0, None
    for share in LEVEL_SHARES:
        parts = [replace(bend, angle=bend.angle * share) for bend in bends] if share else []
        found, solved = _fit(wanted, parts, straight, making, gauge, progress)
        tried += solved
        if best is None or found.worst(gauge.stitch_width) < best.worst(gauge.stitch_width):
            best = found
        if best.worst(gauge.stitch_width) < ENOUGH or not bends:
            break
    assert best is not None  # as one share at least was tried
    return best, tried


def _fit(
    wanted: Swept,
    bends: Sequence[Bend],
    straight: Straight,
    making: Making,
    gauge: Gauge,
    progress: Callable[[float], None] | None,
) -> tuple[BentForm, int]:
    """Return the best rounds with these bends, and how many were solved."""
    known = Known()
    best: BentForm | None = None
    seen: set[tuple[Turn, ...]] = set()
    fault: ConvergenceError | None = None
    while len(seen) < (SOLVES if best and best.worst(gauge.stitch_width) < ENOUGH else MOST_SOLVES):
        turns = next((each for each in combined(straight, bends, known) if each not in seen), None)
        if turns is None:
            break
        seen.add(turns)
        if progress:
            progress(len(seen) / (SOLVES + 1))
        try:
            found = formed(wanted, straight, turns, bends, making, gauge)
        except ConvergenceError as error:
            fault = error
            continue
        if best is None or found.worst(gauge.stitch_width) < best.worst(gauge.stitch_width):
            best = found
        if best.worst(gauge.stitch_width) < GOOD or not bends:
            break
        known = _learned(known, found, wanted, bends, straight)
    if best is None:
        raise fault or ConvergenceError(
            what="the bent form", iterations=0, residual=np.inf, tried="no bend fits"
        )
    return best, len(seen)


def _straight(outline: Outline, making: Making, gauge: Gauge, increases: str) -> Straight:
    """Return the rounds of the part without its bends, and where they lie along it."""
    found = fit(outline, making)
    height = found.form.height[: len(found.counts) + 1]
    low, high = outline.points[[0, -1], 1]
    whole = found.form.height[-1] - found.form.height[0]
    return Straight(
        counts=tuple(found.counts.tolist()),
        at=low + (height - height[0]) * (high - low) / whole,
        stitch_width=gauge.stitch_width,
        row_height=gauge.row_height,
        heights=gauge.heights,
        start=Start.OPEN if making.start_open else Start.RING,
        finish=Finish.OPEN if making.finish_open else Finish.CINCHED,
        increases=increases,
    )


def formed(
    wanted: Swept,
    straight: Straight,
    turns: tuple[Turn, ...],
    bends: Sequence[Bend],
    making: Making,
    gauge: Gauge,
) -> BentForm:
    """Return the form of rounds that bend so."""
    piece, places, forward = bent_piece(straight, turns, bends)
    fabric = fabric_of(piece, gauge)
    guess = guessed(fabric, wanted, places, forward)
    form = held_form(fabric, guess, wanted, making, tolerance=SOLVED)
    return laid_out(piece, form, wanted, turns)


def fabric_of(piece: Piece, gauge: Gauge) -> StitchFabric:
    """Return the fabric of rounds at a gauge."""
    return stitch_fabric(
        piece, stitch_width=gauge.stitch_width, row_height=gauge.row_height, heights=gauge.heights
    )


def guessed(fabric: StitchFabric, wanted: Swept, places: Floats, forward: float) -> Floats:
    """Return the nodes on the wanted surface, rings at their places along it, (n, 3). [mm]"""
    out = np.zeros((fabric.node_count, 3))
    order = np.linspace(0, 1e-6, len(wanted.along))  # lengths of a flat end are alike
    for i, ring in enumerate(fabric.rings):
        at = places[i] if i < len(places) else wanted.along[-1]
        x, z, tilt, radius = (
            float(np.interp(at, wanted.along + order, values))
            for values in (*wanted.spine.T, wanted.tilt, wanted.radius)
        )
        if len(ring) == 1:
            out[ring] = [x, 0.0, z]
            continue
        radius = max(radius, len(ring) * fabric.stitch_width / 12)
        turn = -2 * np.pi * (fabric.place(i) - forward)
        ahead = radius * np.cos(turn)
        out[ring] = np.column_stack(
            [x + ahead * np.cos(tilt), radius * np.sin(turn), z - ahead * np.sin(tilt)]
        )
    return out


def places_of(fabric: StitchFabric, wanted: Swept) -> Floats:
    """Return the length along the outline at the start and at each round's edge of any rounds. [mm]"""
    at = np.cumsum(fabric.row_heights)
    whole = at[-1]
    return np.asarray(wanted.along[0] + at[: len(fabric.piece.rounds) + 1] * np.ptp(wanted.along) / whole)


def front_of(fabric: StitchFabric) -> float:
    """Return where the front is in the evenly spaced layout, by the first round that bends. [turns]"""
    below, _ = fabric.slot_heights()
    for ring in range(1, len(fabric.piece.rounds) + 1):
        if np.ptp(below[ring]) > 0:
            low = -(below[ring] * np.exp(2j * np.pi * fabric.place(ring))).sum()
            return float(np.angle(low) / (2 * np.pi))
    return 0.0


def held_form(
    fabric: StitchFabric, guess: Floats, wanted: Swept, making: Making, *, tolerance: float
) -> StitchForm:
    """Return the form, one open edge level and, where it is held, on its circle."""
    end = 0 if making.start_open else -1
    turned = _turned(guess, float(wanted.tilt[end]))
    supports = Supports()
    if making.start_open or making.finish_open:
        rim = fabric.rings[end]
        if making.held:
            ring = turned[rim, :2] - turned[rim, :2].mean(axis=0)
            ring *= float(wanted.radius[end]) / np.hypot(*ring.T)[:, None]
            turned[:, :2] -= turned[rim, :2].mean(axis=0)
            supports = Supports(start=ring) if making.start_open else Supports(finish=ring)
    return stitch_form(
        fabric,
        pressure=making.pressure,
        guess=turned,
        supports=supports,
        tolerance=tolerance,
        wale_stiffness=making.stiffness_ratio,
    )


def _turned(points: Floats, tilt: float) -> Floats:
    """Return points with what was tilted forward upright."""
    c, s = np.cos(tilt), np.sin(tilt)
    x, y, z = points.T
    return np.column_stack([c * x - s * z, y, s * x + c * z])


def laid_out(piece: Piece, form: StitchForm, wanted: Swept, turns: tuple[Turn, ...]) -> BentForm:
    """Return a form moved onto the wanted surface, and how far it lies off it."""
    points = laid_on(form.fabric, form.points, wanted)
    tilts = ring_tilts(form.fabric, points)
    return BentForm(
        piece=piece,
        form=form,
        points=points,
        turns=turns,
        surface=_rms(wanted.distance(points)),
        middle=_rms(off_middle(form.fabric, points, wanted)),
        tilt=float(tilts[-1] - tilts[0] - wanted.end_tilt),
    )


def _rms(off: Floats) -> float:
    return float(np.sqrt(np.mean(off**2)))


def _learned(
    known: Known, found: BentForm, wanted: Swept, bends: Sequence[Bend], straight: Straight
) -> Known:
    """Return what a form tells of the patterns in it, besides what was known."""
    tilts = ring_tilts(found.form.fabric, found.points)
    edges, moved = [], 0
    for turn in found.turns:
        edges.append((turn.first + moved, turn.first + moved + turn.rounds))
        moved += turn.rounds - (turn.last - turn.first)
    begins = [0, *((before[1] + after[0]) // 2 for before, after in itertools.pairwise(edges))]
    ends = [*begins[1:], len(tilts) - 1]
    order = np.linspace(0, 1e-6, len(wanted.along))
    places = bent_piece(straight, found.turns, bends)[1][1:]
    told = np.interp(places, wanted.along + order, wanted.tilt)
    for bend, turn, begin, end in zip(bends, found.turns, begins, ends, strict=True):
        beyond = float(tilts[end] - tilts[begin] - (told[end] - told[begin]))
        share = (abs(bend.angle) + beyond * np.sign(bend.angle)) / (
            turn.rounds * tilt_of(turn.pattern, straight)
        )
        known = known.more(turn.pattern, share)
    return known
