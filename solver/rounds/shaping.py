"""Where the increases and decreases of a round go: evenly spaced, set off against the rounds before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from math import gcd, inf, pi, sqrt
from operator import index

import numpy as np
from numpy.typing import NDArray

from solver.arrays import Floats
from solver.errors import InputError, Problem
from solver.rounds import Finish, Piece, Round, Start, Stitch
from solver.rounds.repeats import folded

#: Places round the turn at which the crowding of earlier shaping is known, and the waves that they can hold.
_PLACES = 4096
_WAVES = np.arange(1, _PLACES // 2 + 1)
#: How much of the crowding is left one shaping round later.
_FADING = 0.5
#: Weight of the places where a steady drift would go on, and how wide they are as a part of a gap.
_DRIFT, _DRIFT_WIDTH = 0.5, 0.12
#: What one thing less to read on the line is worth; nothing is given for more than so many. Turns of a round
#: that are tried for it, over the number of its shapings: between hundreds of them one turn is like another.
_READING, _MOST_SAVED, _TRIED = 0.06, 4, 72
#: Fewest plain stitches between shapings that a repeat is begun half way through.
_ROOM = 2


def shaped_piece(
    counts: Sequence[int],
    *,
    start: Start,
    finish: Finish,
    foundation: int = 0,
    increases: str = "staggered",
) -> Piece:
    """Turn whole counts into rounds.

    A round differs from the one before by plain increases or plain decreases, as many as it takes. Where
    their number divides the stitches the round is one repeat, plain stitches first. Elsewhere the plain
    stitches between them differ by one at most and are balanced (any two stretches of the round with equally
    many shapings hold equally many plain stitches, give or take one). Only the turn of the whole is free.

    Parameters
    ----------
    counts : sequence of int
        Stitches in each round when it is done, >= 1.
    start : Start
        `RING` or `OPEN`.
    finish : Finish
        What becomes of the last edge.
    foundation : int, optional
        Chain stitches of an `OPEN` start.
    increases : {"staggered", "stacked"}
        Set off against the rounds before, or in line with them as in the trade's plain recipe.

    Returns
    -------
    Piece
        Plain rounds stay plain; round 1 of a ring is plain.

    Raises
    ------
    InputError
        If a round has more than double or less than half the stitches of the one before (all such rounds are
        told), or the start or the arrangement is another one.

    Notes
    -----
    Staggering costs nothing to read: of the rounds that are one repeat every other begins half a repeat in,
    "(2 sc, inc, 2 sc) x 6", where there are two plain stitches or more to part.

    A round of no one repeat is turned to where it is least crowded. A shaping at x makes the places y near it
    crowded by -2 ln |2 sin pi (x - y)|, x and y in turns; k evenly spaced ones together by the same law of
    the gap between them. Crowding fades by `_FADING` from shaping round to shaping round. Placing points one
    by one where this potential is least (Leja points) fills the circle evenly; with fading every round would
    be set off by the golden section of a gap in one direction, as leaves are on a stem [1]_. Two things are
    added: some crowding where a steady drift would go on, so that the direction changes, and a small price on
    each thing to read on the line.

    References
    ----------
    .. [1] S. Douady and Y. Couder, "Phyllotaxis as a physical self-organized growth process", Phys. Rev.
       Lett. 68, 1992, 2098-2101; from memory.
    """
    if increases not in ("staggered", "stacked"):
        rule = 'increases are "staggered" or "stacked"'
        raise InputError(Problem(rule, got=increases))
    if start is Start.CHAIN:
        rule = "rounds worked along both sides of a chain are not shaped evenly all round"
        raise InputError(Problem(rule, remedy="Begin with a ring or a joined chain."))
    whole = [index(count) for count in counts]
    below = [foundation] if start is Start.OPEN else whole[:1]
    steps = list(zip(below + whole, whole, strict=False))
    _check_steps(steps, start)
    crowding = _Crowding() if increases == "staggered" else None
    return Piece(
        start=start,
        foundation=foundation if start is Start.OPEN else 0,
        rounds=tuple(_shaped_round(there, count, crowding) for there, count in steps),
        finish=finish,
    )


def _check_steps(steps: Sequence[tuple[int, int]], start: Start) -> None:
    problems = []
    for number, (there, count) in enumerate(steps, start=1):
        before = "the chain" if number == 1 and start is Start.OPEN else f"round {number - 1}"
        if count < 1:
            problems.append(Problem(f"round {number} has at least one stitch", got=f"{count}"))
        elif count > 2 * there or 2 * count < there:
            limit = "at most twice" if count > there else "at least half"
            problems.append(
                Problem(
                    f"round {number} has {limit} the stitches of {before}",
                    got=f"{count} after {there}",
                    remedy="Spread the change over more rounds.",
                )
            )
    if problems:
        raise InputError(*problems)


def _shaped_round(there: int, count: int, crowding: _Crowding | None) -> Round:
    if there == count:
        return Round.plain(count)
    stitch = Stitch.INC if count > there else Stitch.DEC
    number = abs(count - there)
    # A decrease makes one stitch and an increase uses one: the instructions are as many as the smaller count.
    length = min(there, count)
    # Balanced: the k shapings end at floor(j length / k), j = 1 .. k (a Christoffel word).
    ends = (np.arange(1, number + 1) * length) // number - 1
    line = [Stitch.SC] * length
    for end in ends:
        line[end] = stitch
    if crowding is None:
        return Round(tuple(line))
    times = gcd(length, number)
    if times == number:
        plain = length // number - 1
        turn = plain - plain // 2 if plain >= _ROOM and not crowding.halved else 0
        crowding.add(_turned_places(ends, np.array([turn]), length=length, count=count)[0], stitch=1 / count)
        crowding.halved = turn > 0
        return Round(_turned(line, turn))
    turns = np.arange(length // times)
    places = _turned_places(ends, turns, length=length, count=count)
    price = crowding.price(places)
    worth_trying = price.min() + _READING * _MOST_SAVED
    best, least = 0, inf
    for turn in np.argsort(np.round(price, 6), kind="stable")[: 1 + _TRIED // number].tolist():
        if price[turn] > worth_trying:
            break
        # Rounded, so that of two turns alike the first is taken: it begins with plain stitches.
        cost = round(float(price[turn]) + _READING * _things_to_read(_turned(line, turn), times=times), 6)
        if cost < least:
            best, least = turn, cost
    crowding.add(places[best], stitch=1 / count)
    return Round(_turned(line, best))


def _turned(line: list[Stitch], turn: int) -> tuple[Stitch, ...]:
    return tuple(line[turn:] + line[:turn])


def _turned_places(ends: NDArray[np.int64], turns: NDArray[np.int64], *, length: int, count: int) -> Floats:
    """Return the places (turn, shaping) of the shapings when the line begins `turns` instructions later."""
    instruction = (ends - turns[:, None]) % length
    if count == length:  # decreases: each instruction makes one stitch
        return np.asarray((instruction + 0.5) / count)
    passed = np.searchsorted(ends, turns)
    increases_before = (np.arange(len(ends)) - passed[:, None]) % len(ends)
    return np.asarray((instruction + increases_before + 1) / count)


def _things_to_read(stitches: tuple[Stitch, ...], *, times: int) -> int:
    """Return the things to read on the line of a round that repeats itself so many times."""
    # Which runs are alike is all that matters, so rounds of different size share an answer.
    known: dict[tuple[Stitch, int], int] = {}
    things = _things_in(tuple(known.setdefault(run, len(known)) for run in Round(stitches).runs))
    return things if times == 1 else min(things, 1 + len(Round(stitches[: len(stitches) // times]).runs))


@lru_cache(maxsize=4096)
def _things_in(runs: tuple[int, ...]) -> int:
    return sum(fold.items for fold in folded(runs, widths=[1] * len(runs), leads=[False] * len(runs)))


@dataclass(slots=True)
class _Crowding:
    """How crowded each place round the turn is with the shaping of the rounds before.

    Attributes
    ----------
    level : (p,) float
        At `_PLACES` places.
    last : list of (k,) float
        Where the last two shaped rounds are shaped. [turns]
    halved : bool
        Whether the last round of one repeat began half a repeat in.
    """

    level: Floats = field(default_factory=lambda: np.zeros(_PLACES))
    last: list[Floats] = field(default_factory=list)
    halved: bool = False

    def price(self, places: Floats) -> Floats:
        """Return the crowding that each row of places meets, on average over its shapings."""
        return np.asarray(_read_off(self.level + self._drift(), places).mean(axis=1))

    def add(self, places: Floats, *, stitch: float) -> None:
        """Take note of the places that a round was given, softened by half a stitch."""
        self.level = _FADING * (self.level + _spread(places, _blur(stitch / 2) / _WAVES))
        self.last = [*self.last[-1:], places]

    def _drift(self) -> Floats:
        """Crowding where the shift between the last two shaping rounds would lead if it went on."""
        if len(self.last) < 2 or len(self.last[0]) != len(self.last[1]):
            return np.zeros(_PLACES)
        before, now = self.last
        shift = (now[:, None] - before + 0.5) % 1 - 0.5
        nearest = shift[np.arange(len(now)), np.abs(shift).argmin(axis=1)]
        width = _DRIFT_WIDTH / len(now)
        return _DRIFT * _spread(now + nearest, sqrt(2 * pi) * width * _blur(width))


def _blur(width: float) -> Floats:
    """Return the waves of a normal curve of area one; `width` is its standard deviation in turns."""
    return np.asarray(np.exp(-2 * (pi * _WAVES * width) ** 2))


def _spread(places: Floats, waves: Floats) -> Floats:
    """Return, round the turn, the sum over the places of 2 sum_m waves[m] cos(2 pi m (x - place))."""
    cell, part = np.divmod(places % 1 * _PLACES, 1)
    whole = cell.astype(np.int64) % _PLACES
    at = np.bincount(whole, 1 - part, _PLACES) + np.bincount((whole + 1) % _PLACES, part, _PLACES)
    spectrum = np.fft.rfft(at) * _PLACES
    spectrum[0] = 0
    spectrum[1:] *= waves
    return np.fft.irfft(spectrum, _PLACES)


def _read_off(level: Floats, places: Floats) -> Floats:
    cell, part = np.divmod(places % 1 * _PLACES, 1)
    whole = cell.astype(np.int64) % _PLACES
    return np.asarray(level[whole] * (1 - part) + level[(whole + 1) % _PLACES] * part)
