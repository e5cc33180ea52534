"""Readings worked into the stitches that are there: what fits, and how unlikely each fit is."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import NamedTuple

from solver.notation.chains import Sides, along_chain, skipped_at_hook, with_chain_for, without_chain
from solver.notation.choices import Reading
from solver.notation.costs import CUT_SHORT, MISFIT, misfit
from solver.notation.counts import ROUNDS_IN_BRACKETS, Content
from solver.notation.entries import Entry
from solver.notation.instructions import (
    Act,
    Sequence,
    TooManyError,
    Worked,
    implied,
    open_ended,
    stitches,
    work,
    worked,
)

#: Rounds by which a range and its own number of rounds may disagree.
_MISCOUNTED = 2
#: What it costs to take the counts of several rounds told in one line without working them.
_TOLD_TOGETHER = 5.0
#: Most rounds that one line may stand for.
MOST_ROUNDS = 1000


@dataclass(frozen=True, slots=True)
class Way:
    """One way to read a line.

    Attributes
    ----------
    content : Content
        Instructions and statements told apart.
    reading : Reading
        What is worked.
    """

    content: Content
    reading: Reading

    @property
    def cost(self) -> float:
        """Its cost in likelihood; 0: as plain as day."""
        return self.reading.cost + self.content.cost

    @property
    def is_plain(self) -> bool:
        """Whether it can hardly be taken in another way."""
        return self.cost < _PLAIN_COST


#: What wording that can hardly be taken in another way costs at the most.
_PLAIN_COST = 0.5


@dataclass(frozen=True, slots=True)
class Begun:
    """What stands before the first round of a part.

    Attributes
    ----------
    kind : str
        "ring", "chain", "joined chain"; empty in the midst of a part.
    chain : int
        Chain stitches, 0 when not told.
    line, text : int, str
        The line that tells of the chain.
    """

    kind: str = ""
    chain: int = 0
    line: int = 0
    text: str = ""


class Fit(NamedTuple):
    """A way worked into the stitches that are there, round by round.

    Attributes
    ----------
    way : Way
        The way.
    there : int or None
        Stitches of the round before; None when nobody knows.
    first : Worked
        The first round.
    counts : tuple of int
        Stitches after each round.
    uses_ok, count_ok : bool
        Whether it uses the stitches that are there, and makes what is stated.
    cost : float
        Unlikeliness of all this.
    needs, has : int
        Stitches used and there in the first round that does not fit.
    sides : Sides or None
        How a first round lies on its chain.
    left : int
        Stitches that a row says it leaves unworked before it turns.
    given : tuple of tuple of Act
        The stitches of each round, where the line takes them from another part.
    at_word : bool
        Whether it was read in part, and is taken at the count that it states.
    """

    way: Way
    there: int | None
    first: Worked
    counts: tuple[int, ...]
    uses_ok: bool
    count_ok: bool
    cost: float
    needs: int = 0
    has: int = 0
    sides: Sides | None = None
    left: int = 0
    given: tuple[tuple[Act, ...], ...] = ()
    at_word: bool = False

    @property
    def comes_out(self) -> bool:
        """Whether the line uses what is there, and makes what it states."""
        return self.uses_ok and self.count_ok


@dataclass(slots=True)
class Step:
    """One line on its way to be read.

    `counted` holds the numbers of its rounds where no line of the part has a label: they are counted through.
    `earlier`: the round into whose loops it is worked, or `may_be` is.
    `passing`: it may be no round at all, but a remark about one.
    `every`: a line before told every second round at once. `given`: the stitches of each of its rounds,
    where it takes them from another part. `settled`: how it is taken where no reading of it comes out.
    """

    entry: Entry
    ways: list[Way]
    numbers: tuple[int, ...]
    labelled: bool
    begun: Begun
    start: bool
    foundation: bool = False
    earlier: int | None = None
    may_be: bool = False
    passing: bool = False
    every: bool = False
    counted: tuple[int, ...] = ()
    given: tuple[tuple[Act, ...], ...] = ()
    fits: dict[int | None, list[Fit]] = field(default_factory=dict)
    loose: list[Way] | None = None
    settled: Fit | None = None


def _span(step: Step, way: Way) -> int:
    """Return how many rounds a way stands for."""
    own = way.content.rounds
    if len(step.numbers) > 1 or (step.labelled and own is None):
        return min(len(step.numbers), MOST_ROUNDS)
    stated = len(way.content.stated)
    return max(1, stated) if own is None else max(1, min(own, MOST_ROUNDS))


def fitted(step: Step, way: Way, there: int | None) -> Fit | None:
    """Return a way to read a line worked into the stitches that are there; None when it asks for too many."""
    try:
        if step.given:
            return _fit_given(step, way, there)
        if step.begun.kind and step.start:
            return _fit_start(step, way)
        return _fit_on(step, way, there)
    except TooManyError:
        return None


def _fit_on(step: Step, way: Way, there: int | None) -> Fit:
    node = way.reading.node
    stated = [one.count for one in way.content.stated]
    span = _span(step, way)
    combined = any(token.cls == "Y" for token in step.entry.tokens)
    counts: list[int] = []
    first: Worked | None = None
    uses_ok, cost = True, way.cost
    needs, has, cut, left = 0, there or 0, False, 0
    now = None if combined else there
    open_node = open_ended(node)
    for number in range(span):
        goal = stated[number] if len(stated) == span else (stated[-1] if stated else None)
        come = worked(node, now, makes=goal)
        if number == 0:
            first = come
        cut = cut or come.over > 0
        uses_ok = uses_ok and (come.over <= 0 or way.is_plain)  # none is cut short in doubtful words
        if now is not None and come.uses < now and come.even and not left and says_short(step.entry):
            left = now - come.uses
        elif now is not None and (come.uses != now or not come.even):
            if uses_ok:
                needs, has = come.uses, now
            uses_ok = False
        counts.append(come.makes)
        before, now = now, come.makes
        if come.makes == before or (not open_node and come.uses == come.makes):
            # The further rounds of the range come out the same.
            counts += [come.makes] * (span - number - 1)
            break
    assert first is not None
    count_ok = _counts_fit(counts, stated, span)
    if way.content.cost == ROUNDS_IN_BRACKETS:
        cost += _as_rounds(step, way, there)
    cost += misfit(uses_ok, count_ok) + CUT_SHORT * (cut and uses_ok and count_ok)
    if 1 < span == len(stated) and not (uses_ok and count_ok):
        # Rounds told together, each with its count: taken as they are counted.
        told = way.cost + _TOLD_TOGETHER
        return Fit(way, there, first, tuple(stated), True, True, told)
    there = None if combined else there
    return Fit(way, there, first, tuple(counts), uses_ok, count_ok, cost, needs, has, left=left)


def _fit_given(step: Step, way: Way, there: int | None) -> Fit:
    """Fit rounds that are taken from another part: "Rnds 1-5: as head (30)"."""
    counts = tuple(sum(act.makes for act in round_) for round_ in step.given)
    uses = sum(act.uses for act in step.given[0])
    uses_ok = there is None or uses == there
    count_ok = _counts_fit(list(counts), [one.count for one in way.content.stated], len(counts))
    cost = way.content.cost + misfit(uses_ok, count_ok)
    return Fit(
        way,
        there,
        Worked(uses, counts[0], 0, 0),
        counts,
        uses_ok,
        count_ok,
        cost,
        uses,
        there or 0,
        given=step.given,
    )


_LEAVES = re.compile(r"\bunworked\b|\bshort row")


def says_short(entry: Entry) -> bool:
    """Tell whether a row says that it leaves stitches unworked and turns."""
    return bool(_LEAVES.search(entry.folded.text)) and any(token.cls == "u" for token in entry.tokens)


def _as_rounds(step: Step, way: Way, there: int | None) -> float:
    """Return what it costs more to take a lone number in brackets as the number of rounds."""
    own = way.content.rounds
    span = len(step.numbers)
    if span < 2 or own is None or own == there or abs(own - span) > _MISCOUNTED:
        return 3 * MISFIT
    return 0.1 - ROUNDS_IN_BRACKETS if own == span else 3.0


def _counts_fit(counts: list[int], stated: list[int], span: int) -> bool:
    if not stated:
        return True
    if len(stated) == span:
        return stated == counts
    if len(stated) > 1 and len(stated) < span:
        return stated[-1] == counts[-1]
    return stated[-1] == counts[-1] or (len(stated) > 1 and counts[-1] in stated)


def _fit_start(step: Step, way: Way) -> Fit:
    """Fit the first round of a part: into a ring or a chain."""
    node = way.reading.node
    stated = [one.count for one in way.content.stated]
    goal = stated[-1] if stated else None
    cost = way.cost
    if way.content.cost == ROUNDS_IN_BRACKETS:
        cost += _as_rounds(step, way, None)
    begun = step.begun
    sides = None
    if begun.kind == "ring":
        node = without_chain(node)
        if implied(node):  # nothing goes on to the end of a round that is only begun
            raise TooManyError
        come = worked(node, None, makes=goal)
        fits_ring = True
    elif begun.kind == "joined chain":
        inside = Step(step.entry, step.ways, step.numbers, step.labelled, Begun(), False)
        return _fit_on(inside, way, begun.chain or None)
    else:
        if any(told.startswith(_NOT_ALONG) for told in way.reading.taken):
            raise TooManyError
        skipped = skipped_at_hook(way.content.body)
        written = without_chain(node)
        come, node, sides = along_chain(written, begun.chain, goal, skipped=skipped)
        if goal is not None and come.makes != goal and open_ended(written):
            sides = with_chain_for(goal, written, sides, skipped)
        fits_ring = sides.fits
        if goal == come.makes + 1 and come.uses == 1 and begun.chain in _TALL_CHAINS:
            # "Ch 4, 11 dc in the 4th ch from hook (12)": the chains that are skipped stand for one.
            come, node = come._replace(makes=goal), Sequence((work("chain", 0, 1), node))
            fits_ring = True
    span = _span(step, way)
    counts = [come.makes]
    for _ in range(1, span):
        counts.append(worked(node, counts[-1]).makes if begun.kind != "ring" else come.makes)
    count_ok = not stated or stated[-1] == counts[-1] or counts == stated
    cost += misfit(fits_ring, count_ok)
    return Fit(
        Way(way.content, Reading(node, way.reading.cost, way.reading.taken)),
        None,
        come,
        tuple(counts),
        fits_ring,
        count_ok,
        cost,
        sides=sides,
    )


#: How no round along a chain is meant: "inc, sc x 4, 3 sc in last ch".
_NOT_ALONG = ("all of it", "the chain is counted")
#: Chains as high as a stitch, with the one that the round stands in.
_TALL_CHAINS = (3, 4, 5)


def acts(fit: Fit) -> tuple[tuple[Act, ...], ...]:
    """Return the stitches of every round of a line; none of a round that asks for too many."""
    if fit.given:
        return fit.given
    if fit.at_word:
        return ((),) * len(fit.counts)
    out: list[tuple[Act, ...]] = []
    there = fit.there
    node = fit.way.reading.node
    for count in fit.counts:
        try:
            come = worked(node, there, makes=count)
            out.append(tuple(stitches(node, come.fill, max(come.over, 0))))
        except TooManyError:
            # A count that is only taken at its word may be out of reach of the words.
            out.append(())
        there = count
    return tuple(out)
