"""The likeliest chain of readings through a part: what each line takes from the one before."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from solver.notation.costs import MISFIT
from solver.notation.counts import said
from solver.notation.entries import Entry
from solver.notation.fits import Begun, Fit, Step, fitted
from solver.notation.ways import garbled, loose_ways

#: Chains of readings that are followed side by side.
_BEAM = 6


@dataclass(frozen=True, slots=True)
class Line:
    """A line as it was read.

    Attributes
    ----------
    entry : Entry
        Where it stands.
    rounds : tuple of int
        Numbers of the rounds that it stands for.
    labelled : bool
        Whether it has a label of its own.
    begun : Begun
        How its part was begun, on the first line of a part.
    fit : Fit or None
        How it was read; None when it could not be.
    after_stated : bool
        Whether the line follows the number that the line before states, not the one it makes.
    part : int
        Number of the part on the page, from 0.
    followed : str
        Which number the next line follows where the two differ: "true", "stated" or "" when nothing follows.
    span : int
        Rounds that the label names; 0 without one.
    every : bool
        Whether a line before told every second round at once.
    more_than_said : bool
        Whether it comes out only where its "repeat" means so many times more, against the page's way.
    """

    entry: Entry
    rounds: tuple[int, ...]
    labelled: bool
    begun: Begun
    fit: Fit | None
    part: int
    span: int
    after_stated: bool = False
    followed: str = ""
    every: bool = False
    more_than_said: bool = False

    @property
    def made(self) -> int | None:
        """Stitches when the last round of the line is done."""
        return self.fit.counts[-1] if self.fit and self.fit.counts else None

    @property
    def stated(self) -> int | None:
        """The (last) count that the line states."""
        if self.fit is None:
            return said(self.entry.tokens) if garbled(self.entry) else None
        if not self.fit.way.content.stated:
            return None
        return self.fit.way.content.stated[-1].count


class _State(NamedTuple):
    cost: float
    there: int | None
    back: _State | None
    fit: Fit | None
    stated: bool
    ahead: int = 0  # stitches that the row before left, beyond those of this one
    behind: int = 0  # stitches that this row left itself, which the next one can't reach
    passed: bool = False  # a remark about rounds, and none itself


def best_chain(steps: list[Step], part: int) -> list[Line]:
    """Return the lines of a part, read in the way that explains most of it."""
    beam: list[_State] = [_State(0.0, None, None, None, False)]
    last_number = 0
    for done, step in enumerate(steps):
        gap = step.labelled and last_number > 0 and step.numbers[0] > last_number + 1 + step.every
        earlier = _place_of(step.earlier, steps[:done])
        beam = _advance(beam, step, gap=gap, earlier=earlier)
        if step.labelled:
            last_number = step.numbers[-1]
    chain: list[_State] = []
    state: _State | None = min(beam, key=lambda one: one.cost)
    while state is not None and state.back is not None:
        chain.append(state)
        state = state.back
    chain.reverse()
    return _lines_of(steps, chain, part)


def _place_of(number: int | None, done: list[Step]) -> tuple[int, int] | None:
    """Return how many lines back a round stands, and how many rounds before the last of its line."""
    if number is None:
        return None
    for back, step in enumerate(reversed(done)):
        numbers = step.numbers or step.counted
        if number in numbers:
            return back, len(numbers) - 1 - numbers.index(number)
    return None


def _made_at(state: _State, place: tuple[int, int]) -> int | None:
    """Return the stitches of an earlier round in one chain of readings."""
    lines, rounds = place
    for _ in range(lines):
        if state.back is None:
            return None
        state = state.back
    if state.fit is None or rounds == 0:
        return state.there
    counts = state.fit.counts
    return counts[-1 - rounds] if rounds < len(counts) else None


def _advance(
    beam: list[_State], step: Step, *, gap: bool, earlier: tuple[int, int] | None = None
) -> list[_State]:
    best: dict[tuple[int | None, bool, int, int], _State] = {}
    if not step.ways and step.settled is None:
        if not step.foundation and not garbled(step.entry):
            return [_State(state.cost, state.there, state, None, state.stated) for state in beam]
        # What can't be read is taken at its word: the next line follows the count that it states.
        count = None if step.foundation else said(step.entry.tokens)
        unknown = [_State(state.cost + _UNREAD, None, state, None, False) for state in beam if count]
        return [*(_State(state.cost, count, state, None, False) for state in beam), *unknown]
    for state in beam:
        options: list[tuple[int | None, float]] = [(state.there, 0.0)]
        made = _made_at(state, earlier) if earlier is not None else None
        if made is not None and made != state.there:
            # What a line says of itself goes first; a remark in passing may still be just that.
            options = [(made, 0.0), (state.there, 0.3)]
            if step.may_be:
                options = [(state.there, 0.0), (made, _PERHAPS)]
        if gap:
            options.append((None, 1.5))
        elif _all_said_wrong(state.fit):
            # What the line before should have made is told nowhere: this one is not blamed for it.
            options.append((None, _UNTOLD))
        if state.ahead and state.there is not None:
            options = [(state.there + state.ahead, 0.0), (state.there, 0.3)]
        for there, extra in options:
            for fit in _fits(step, there):
                for count, follows, more in _goes_on(fit):
                    cost = state.cost + fit.cost + extra + more
                    left = fit.left + (state.ahead if there == state.there else 0)
                    key = (count, follows, state.behind, left)
                    known = best.get(key)
                    if known is None or cost < known.cost:
                        best[key] = _State(cost, count, state, fit, follows, state.behind, left)
    if step.passing and beam:
        for state in beam:
            place = (state.there, state.stated, state.ahead, state.behind)
            known = best.get(place)
            if known is None or state.cost + _IN_PASSING < known.cost:
                best[place] = state._replace(cost=state.cost + _IN_PASSING, back=state, fit=None, passed=True)
    if not best:
        return [_State(state.cost + MISFIT, None, state, None, False) for state in beam]
    return sorted(best.values(), key=lambda state: state.cost)[:_BEAM]


def _fits(step: Step, there: int | None) -> list[Fit]:
    """Return the likeliest ways to work a line into the stitches that are there."""
    if step.settled is not None:
        return [step.settled._replace(there=there) if step.settled.at_word else step.settled]
    known = step.fits.get(there)
    if known is not None:
        return known
    fits = [fit for way in step.ways if (fit := fitted(step, way, there)) is not None]
    if not any(fit.comes_out for fit in fits):
        if step.loose is None:
            step.loose = [] if step.given else loose_ways(step.entry)
        loose = (fitted(step, way, there) for way in step.loose)
        fits += [fit for fit in loose if fit is not None and fit.comes_out]
    fits.sort(key=lambda fit: fit.cost)
    step.fits[there] = fits[:12]
    return step.fits[there]


#: What it costs not to hold a line against the count of one before it that could not be read.
_UNREAD = 2.0
#: What it costs to take a line that may be a round for a remark.
_IN_PASSING = 4.0
#: What it costs to work a line into a round that it only speaks of.
_PERHAPS = 1.5
#: What it costs not to hold a line against one before it that was wrong in its use alone.
_UNTOLD = 4.0


def _all_said_wrong(fit: Fit | None) -> bool:
    """Tell a line that does not use what is there, and states what it makes."""
    return fit is not None and not fit.uses_ok and fit.count_ok


def _goes_on(fit: Fit) -> list[tuple[int, bool, float]]:
    """Return the counts that the next line may follow, whether that is the stated one, and what it costs."""
    made = fit.counts[-1]
    ways = [(made, False, 0.0)]
    if not fit.count_ok and fit.way.content.stated:
        stated = fit.way.content.stated[-1].count
        if stated != made:
            ways.append((stated, True, 0.2))
    return ways


def _lines_of(steps: list[Step], chain: list[_State], part: int) -> list[Line]:
    lines: list[Line] = []
    last = 0
    for i, (step, state) in enumerate(zip(steps, chain, strict=True)):
        numbers = step.numbers
        span = len(numbers)
        if state.passed:
            continue
        if state.fit is not None and not step.labelled:
            first = last + 1
            if (
                step.begun.kind
                and step.start
                and last == 0
                and any(s.labelled and s.numbers[0] == 1 for s in steps)
            ):
                first = 0
            numbers = tuple(range(first, first + len(state.fit.counts)))
        elif state.fit is not None and len(state.fit.counts) > len(numbers):
            numbers = tuple(range(numbers[0], numbers[0] + len(state.fit.counts)))
        if numbers:
            last = numbers[-1]
        followed = ""
        if state.fit is not None and not state.fit.count_ok and i + 1 < len(chain):
            followed = "stated" if state.stated else "true"
        lines.append(
            Line(
                step.entry,
                numbers,
                step.labelled,
                step.begun if step.start else Begun(),
                state.fit,
                part,
                span,
                after_stated=bool(state.back and state.back.stated),
                followed=followed,
                every=step.every,
            )
        )
    return lines
