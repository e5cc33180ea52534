"""The shortest writing of a sequence whose repeats may be told once, in brackets."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate, groupby
from typing import Generic, TypeVar

import numpy as np

#: A cost is one integer: things to read first, then characters, then brackets that open with a shaping.
_ITEM, _CHARACTER, _LEAD = 1 << 40, 1 << 16, 1
#: Characters of ", " between two things, and of "(", ")" and " x " round a repeat.
_BETWEEN, _BRACKET = 2, 5


@dataclass(frozen=True, slots=True)
class Fold:
    """Things that stand next to each other, told once and worked several times.

    Attributes
    ----------
    start, length : int
        The things `start` to `start + length`, the end excluded.
    times : int
        How often they are worked in all; 1 where there is no repeat.
    """

    start: int
    length: int
    times: int

    @property
    def items(self) -> int:
        """Things that a reader takes in: those in the bracket, and the bracket's number."""
        return self.length + (self.times > 1)


Thing = TypeVar("Thing", bound=Hashable)


@dataclass(frozen=True, slots=True)
class Told(Generic[Thing]):
    """Runs of like stitches, and how often they are worked in all.

    Attributes
    ----------
    runs : tuple of (stitch, int)
        Like stitches that follow each other, with their number.
    times : int
        1 where there is no repeat.
    """

    runs: tuple[tuple[Thing, int], ...]
    times: int

    @property
    def items(self) -> int:
        """Things that a reader takes in: those in the bracket, and the bracket's number."""
        return len(self.runs) + (self.times > 1)


def told(
    stitches: Sequence[Thing],
    *,
    width: Callable[[Thing, int], int] = lambda stitch, number: 4 + len(str(number)),
    leads: Callable[[Thing], bool] = lambda stitch: False,
) -> tuple[Told[Thing], ...]:
    """Write the stitches of a round with as few things to read as can be, then as few characters.

    A round that is one repeat all through may be cut anywhere: "(2 sc, inc, 2 sc) x 6" is shorter than
    "2 sc, inc, (4 sc, inc) x 5, 2 sc", and of two writings of equal length the one of one bracket is taken,
    as the most regular. Elsewhere brackets hold whole runs; see `folded`.

    Parameters
    ----------
    stitches : sequence
        In working order.
    width : callable
        Characters of a run, by its stitch and number.
    leads : callable
        Whether a bracket had better not open with this stitch, all else being equal.
    """
    runs = runs_of(stitches)
    widths = [width(*run) for run in runs]
    folds = folded(runs, widths=widths, leads=[leads(stitch) for stitch, _ in runs])
    pieces = tuple(Told(tuple(runs[fold.start : fold.start + fold.length]), fold.times) for fold in folds)
    body = _period(stitches)
    if body == len(stitches) or len(runs) < 3:
        return pieces
    whole = Told(tuple(runs_of(stitches[:body])), len(stitches) // body)
    return (whole,) if _length((whole,), width) <= _length(pieces, width) else pieces


def things_to_read(stitches: Sequence[Hashable]) -> int:
    """Return the things to read on the line of a round: its runs, a bracket's once, and its number."""
    return sum(piece.items for piece in told(stitches))


def runs_of(stitches: Iterable[Thing]) -> list[tuple[Thing, int]]:
    """Return things that stand together, and how many of each there are."""
    return [(stitch, len(list(group))) for stitch, group in groupby(stitches)]


def _length(pieces: tuple[Told[Thing], ...], width: Callable[[Thing, int], int]) -> tuple[int, int]:
    """Return things and characters of a writing."""
    characters = sum(
        sum(width(*run) + _BETWEEN for run in piece.runs)
        + (_BRACKET + len(str(piece.times)) if piece.times > 1 else 0)
        for piece in pieces
    )
    return sum(piece.items for piece in pieces), characters


def _period(stitches: Sequence[Hashable]) -> int:
    """Return the length of the shortest body that a sequence is a repeat of (Knuth, Morris and Pratt)."""
    reach = [0] * (len(stitches) + 1)
    k = 0
    for i in range(1, len(stitches)):
        while k and stitches[i] != stitches[k]:
            k = reach[k]
        k += stitches[i] == stitches[k]
        reach[i + 1] = k
    body = len(stitches) - reach[-1]
    return body if len(stitches) % body == 0 else len(stitches)


def folded(things: Sequence[Hashable], *, widths: Sequence[int], leads: Sequence[bool]) -> tuple[Fold, ...]:
    """Write a sequence with as few items as can be, then as few characters.

    Brackets hold whole things and are never nested.

    Parameters
    ----------
    things : sequence
        What is written, in order; no two neighbours alike.
    widths : sequence of int
        Characters of each.
    leads : sequence of bool
        Whether a bracket had better not open with this thing, all else being equal.

    Returns
    -------
    tuple of Fold
        Covers the sequence from first to last.

    Notes
    -----
    Dynamic programming from the end: the best writing of each tail, over one thing alone or any number of
    turns of any repetition that begins there. Only bodies that are no repetitions themselves are tried (the
    others are never shorter); a sequence of n has fewer than n maximal repetitions of those [1]_, so the
    search stays small.

    References
    ----------
    .. [1] H. Bannai et al., "The 'runs' theorem", SIAM J. Comput. 46(5), 2017, 1501-1514; from memory.
    """
    n = len(things)
    repetitions_at: list[list[tuple[int, int]]] = [[] for _ in things]
    for start, stop, period in _repetitions(things):
        for i in range(start, stop - 2 * period + 1):
            repetitions_at[i].append((period, stop))
    written = [0, *accumulate(_CHARACTER * (width + _BETWEEN) for width in widths)]
    digits = _CHARACTER * np.array([len(str(times)) for times in range(n + 1)])
    best = np.zeros(n + 1, dtype=np.int64)
    choice = [Fold(0, 1, 1)] * n
    for i in reversed(range(n)):
        least = int(best[i + 1]) + _ITEM + written[i + 1] - written[i]
        choice[i] = Fold(i, 1, 1)
        for period, stop in repetitions_at[i]:
            body = written[i + period] - written[i] + _CHARACTER * _BRACKET
            costs = best[i + 2 * period : stop + 1 : period] + digits[2 : (stop - i) // period + 1]
            turns = int(costs.argmin())
            cost = int(costs[turns]) + body + _ITEM * (period + 1) + _LEAD * leads[i]
            if cost < least:
                least = cost
                choice[i] = Fold(i, period, turns + 2)
        best[i] = least
    folds = []
    i = 0
    while i < n:
        folds.append(choice[i])
        i += choice[i].length * choice[i].times
    return tuple(folds)


def _repetitions(things: Sequence[Hashable]) -> list[tuple[int, int, int]]:
    """Find each stretch (start, stop, period) of two or more bodies that are no repetitions themselves."""
    n = len(things)
    known: dict[Hashable, int] = {}
    codes = np.array([known.setdefault(thing, len(known)) for thing in things])
    found: list[tuple[int, int, int]] = []
    for period in range(2, n // 2 + 1):
        unlike = np.ones(n - period + 2, dtype=bool)
        unlike[1:-1] = codes[:-period] != codes[period:]
        breaks = unlike.nonzero()[0]
        lengths = breaks[1:] - breaks[:-1] - 1
        if lengths.max() < period:
            continue
        for k in (lengths >= period).nonzero()[0]:
            start, stop = int(breaks[k]), int(breaks[k] + lengths[k]) + period
            if not any(p <= start and stop <= q and period % r == 0 for p, q, r in found):
                found.append((start, stop, period))
    return found
