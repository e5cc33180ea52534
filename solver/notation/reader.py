"""Read a page of written rounds: every line in the way that fits its own count and the rounds before and after it.

Each line has a few possible readings. A chain of readings through the page is found that explains most of it: a
reading costs what its wording makes it unlikely, and ten more where it does not use the stitches that are there
or does not make what is stated. After a line whose count is wrong both the stated and the true number go on.
"""

from __future__ import annotations

import re
from collections.abc import Sequence as Seq
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from solver.notation.body import tree
from solver.notation.counts import ROUNDS_IN_BRACKETS, Content, contents, core
from solver.notation.instructions import (
    Act,
    Fill,
    Node,
    Reading,
    Sequence,
    TooManyError,
    Worked,
    open_ended,
    readings,
    stitches,
    totals,
    work,
    worked,
)
from solver.notation.page import Entry, Page, page
from solver.notation.tokens import Token, shape

#: What a misfit costs: more than any doubtful wording.
MISFIT = 10.0
#: What a repeat cut short at the end of the round costs.
CUT_SHORT = 3.0
#: Rounds by which a range and its own number of rounds may disagree.
_MISCOUNTED = 2
#: What it costs to take the counts of several rounds told in one line without working them.
_TOLD_TOGETHER = 5.0
#: Chains of readings that are followed side by side.
_BEAM = 6
#: Most rounds that one line may stand for.
_MOST_ROUNDS = 200


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


@dataclass(frozen=True, slots=True)
class Begun:
    """What stands before the first round of a part.

    Attributes
    ----------
    kind : str
        "ring", "chain", "joined chain"; empty in the midst of a part.
    chain : int
        Chain stitches, 0 when not told.
    """

    kind: str = ""
    chain: int = 0


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

    @property
    def made(self) -> int | None:
        """Stitches when the last round of the line is done."""
        return self.fit.counts[-1] if self.fit and self.fit.counts else None

    @property
    def stated(self) -> int | None:
        """The (last) count that the line states."""
        if self.fit is None or not self.fit.way.content.stated:
            return None
        return self.fit.way.content.stated[-1].count


@dataclass(frozen=True, slots=True)
class Read:
    """A page as it was read."""

    page: Page
    lines: tuple[Line, ...]


def read(text: str) -> Read:
    """Read a page of written rounds.

    Parameters
    ----------
    text : str
        Any text; what holds no rounds is passed over.
    """
    taken = page(text)
    parts = _parts(taken)
    lines: list[Line] = []
    for number, part in enumerate(parts):
        lines += _Part(part, number).read()
    return Read(taken, tuple(lines))


# ---- parts -------------------------------------------------------------------------------------------------


def _parts(taken: Page) -> list[list[Entry]]:
    """Cut the entries where a new part begins."""
    parts: list[list[Entry]] = []
    last = 0
    for entry in taken.entries:
        if not parts or _begins(entry, parts[-1], last):
            parts.append([])
            last = 0
        parts[-1].append(entry)
        if entry.label is not None:
            last = entry.label.numbers[-1]
    return parts


def _begins(entry: Entry, part: list[Entry], last: int) -> bool:
    """Tell whether an entry begins a new part."""
    worked_yet = any(one.kind in ("round", "even") for one in part)
    if not worked_yet:
        return False
    starts = _is_start(entry) or entry.kind == "chain"
    label = entry.label
    if label is None:
        return starts and (entry.heading or last > 1 or all(one.label is None for one in part))
    if label.numbers[0] == 1:
        return last > 1 or entry.heading
    return entry.heading and label.numbers[0] <= last - 2


def _is_start(entry: Entry) -> bool:
    return "M" in shape(entry.tokens)


# ---- one line ----------------------------------------------------------------------------------------------

_AS_ROUND = re.compile(r"[:,=.-]*(?:r[qfL]?|P)(?:q?w)?(n)(?:[v,-](n))?")
_AS_LAST = re.compile(r"[:,=.-]*r[qfz]?(?:L|z)?w[.]?")


def ways_of(entry: Entry) -> list[Way]:
    """Return the ways to read the instructions of an entry, the likeliest first."""
    found: list[Way] = []
    for content in contents(entry.tokens):
        for body, extra in _languages_apart(content.body):
            node = tree(body)
            if node is None:
                continue
            taken = content if extra == 0 else replace(content, body=tuple(body), cost=content.cost + extra)
            found += [Way(taken, reading) for reading in readings(node)]
    return found


def _languages_apart(body: Seq[Token]) -> list[tuple[Seq[Token], float]]:
    """Return a body, and its two halves where a slash may part one language from another."""
    depth = 0
    slashes = []
    for i, token in enumerate(body):
        depth += (token.cls in "([{") - (token.cls in ")]}")
        if token.cls == "/" and depth == 0:
            slashes.append(i)
    if len(slashes) != 1 or not core(body[: slashes[0]]) or not any(token.cls in "nz" for token in body[slashes[0] :]):
        return [(body, 0.0)]
    return [(body, 0.0), (body[: slashes[0]], 0.5), (body[slashes[0] + 1 :], 0.6)]


class _Part:
    """One part of a page on its way from entries to lines."""

    def __init__(self, entries: Seq[Entry], number: int) -> None:
        self.entries = list(entries)
        self.number = number
        self.begun = Begun()
        self.known: dict[int, tuple[list[Way], int | None]] = {}

    def read(self) -> list[Line]:
        steps = [step for i in range(len(self.entries)) if (step := self._step(i)) is not None]
        return _best_chain(steps, self.number)

    def _step(self, at: int) -> _Step | None:
        entry = self.entries[at]
        if entry.kind == "chain":
            self.begun = _foundation(entry)
            if entry.label is not None:
                return _Step(entry, [], entry.label.numbers, True, self.begun, False, foundation=True)
            return None
        if entry.kind == "empty":
            return _Step(entry, [], entry.label.numbers if entry.label else (), True, Begun(), False)
        begun = self._begun(entry)
        ways = self._as_other(entry) or ways_of(entry)
        label = entry.label
        numbers = label.numbers if label is not None else ()
        if entry.kind == "even" and not self._fills_gap(at, ways):
            return None
        step = _Step(entry, ways, numbers, label is not None, begun, begun.kind != "" or not self.known)
        if label is not None:
            stated = ways[0].content.stated[-1].count if ways and ways[0].content.stated else None
            for number in numbers:
                self.known[number] = (ways, stated)
        else:
            self.known.setdefault(0, (ways, None))
        if ways:
            self.begun = Begun()
        step.earlier = self._earlier(entry)
        return step

    def _begun(self, entry: Entry) -> Begun:
        classes = shape(entry.tokens)
        if self.known and any(number > 0 for number in self.known):
            return Begun()
        if "M" in classes:
            return Begun("ring")
        own = _chain_inside(entry.tokens)
        if own:
            return own
        return self.begun

    def _fills_gap(self, at: int, ways: list[Way]) -> bool:
        """Tell whether an unlabelled "work 6 rounds even" stands for rounds that no label names."""
        before = next((e.label for e in reversed(self.entries[:at]) if e.label), None)
        after = next((e.label for e in self.entries[at + 1 :] if e.label), None)
        rounds = ways[0].content.rounds if ways else None
        if before is None or rounds is None:
            return False
        return after is None or after.numbers[0] == before.numbers[-1] + rounds + 1

    def _as_other(self, entry: Entry) -> list[Way]:
        """Return the ways of the round that "repeat round 5" speaks of."""
        found = contents(entry.tokens)[0]
        classes = shape(found.body)
        bare = "".join(cls for cls in classes if cls not in "qzb")
        match = _AS_ROUND.match(bare)
        target: int | None = None
        if match and ("w" in match[0] or re.fullmatch(r"[:,=.-]*(?:r|P)n[.,]?(?:x?n?x?)?", bare)):
            numbers = [token.value for token in found.body if token.cls == "n"]
            target = numbers[0]
        elif _AS_LAST.fullmatch(bare) and self.known:
            target = max(self.known)
        if target is None or target not in self.known:
            return []
        stated = found.stated
        return [
            Way(Content(found.body, stated, way.content.rounds if False else None, way.content.cost), way.reading)
            for way in self.known[target][0]
        ]

    def _earlier(self, entry: Entry) -> int | None:
        """Return the count of an earlier round whose loops a line says it is worked into."""
        classes = shape([t for t in entry.tokens if t.cls not in "q"])
        match = re.search(r"b[pfz]?w(n)", classes)
        if not match:
            return None
        kept = [t for t in entry.tokens if t.cls not in "q"]
        known = self.known.get(kept[match.start(1)].value)
        return known[1] if known else None


@dataclass(slots=True)
class _Step:
    """One line on its way to be read."""

    entry: Entry
    ways: list[Way]
    numbers: tuple[int, ...]
    labelled: bool
    begun: Begun
    start: bool
    foundation: bool = False
    earlier: int | None = None
    fits: dict[int | None, list[Fit]] = field(default_factory=dict)


def _foundation(entry: Entry) -> Begun:
    classes = [token for token in entry.tokens if token.cls not in "q"]
    text = shape(classes)
    match = re.search(r"(n)[cW]|[cW](n)", text)
    chain = 0
    if match:
        chain = classes[match.start(1) if match[1] else match.start(2)].value
    joined = "j" in text or "l" in text or "M" in text
    extra = re.search(r"[,+](n)c?|\+(n)", text)
    if extra and not joined:
        group = 1 if extra[1] else 2
        added = classes[extra.start(group)].value
        if added == 1:
            chain += 1
    return Begun("joined chain" if joined else "chain", chain)


def _chain_inside(found: Seq[Token]) -> Begun | None:
    """Return the chain that a first round brings along: "Ch 7, sc in 2nd ch from hook, ..."."""
    classes = shape([t for t in found if t.cls not in "q"])
    kept = [t for t in found if t.cls not in "q"]
    match = re.match(r"[WpFzC:,.=-]*(?:(n)c|c(n))", classes)
    if not match:
        return None
    number = kept[match.start(1) if match[1] else match.start(2)].value
    rest = classes[match.end() :]
    if re.match(r"[,.;:]*(?:j|l)", rest):
        return Begun("joined chain", number)
    if number == 2 and "H" in rest[:14]:
        return Begun("ring")
    if "H" in rest or "O" in rest or re.search("L[tc]?c", rest):
        return Begun("chain", number)
    return None


# ---- fits --------------------------------------------------------------------------------------------------


def _span(step: _Step, way: Way) -> int:
    """Return how many rounds a way stands for."""
    own = way.content.rounds
    if len(step.numbers) > 1 or (step.labelled and own is None):
        return min(len(step.numbers), _MOST_ROUNDS)
    stated = len(way.content.stated)
    if own is None:
        return max(1, stated if stated > 1 else 1)
    return max(1, min(own, _MOST_ROUNDS))


def _fit(step: _Step, way: Way, there: int | None) -> Fit | None:
    try:
        if step.begun.kind and step.start:
            return _fit_start(step, way)
        return _fit_on(step, way, there)
    except TooManyError:
        return None


def _fit_on(step: _Step, way: Way, there: int | None) -> Fit:
    node = way.reading.node
    stated = [one.count for one in way.content.stated]
    span = _span(step, way)
    combined = any(token.cls == "Y" for token in way.content.body)
    counts: list[int] = []
    first: Worked | None = None
    uses_ok, cost = True, way.reading.cost + way.content.cost
    needs, has = 0, there or 0
    now = None if combined else there
    open_node = open_ended(node)
    for number in range(span):
        goal = stated[number] if len(stated) == span else (stated[-1] if stated else None)
        come = worked(node, now, makes=goal)
        if number == 0:
            first = come
        cost += CUT_SHORT * (come.over > 0)
        if now is not None and (come.uses != now or not come.even):
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
    cost += _misfit(uses_ok, count_ok)
    if 1 < span == len(stated) and not (uses_ok and count_ok):
        # Rounds told together, each with its count: taken as they are counted.
        return Fit(way, there, first, tuple(stated), True, True, way.reading.cost + way.content.cost + _TOLD_TOGETHER)
    return Fit(way, None if combined else there, first, tuple(counts), uses_ok, count_ok, cost, needs, has)


def _misfit(uses_ok: bool, count_ok: bool) -> float:
    """Return what a line costs that does not fit; one slip often spoils both sums."""
    return (MISFIT if not (uses_ok and count_ok) else 0.0) + (0.2 if not uses_ok and not count_ok else 0.0)


def _as_rounds(step: _Step, way: Way, there: int | None) -> float:
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


def _fit_start(step: _Step, way: Way) -> Fit:
    """Fit the first round of a part: into a ring or a chain."""
    node = way.reading.node
    stated = [one.count for one in way.content.stated]
    goal = stated[-1] if stated else None
    cost = way.reading.cost + way.content.cost
    if way.content.cost == ROUNDS_IN_BRACKETS:
        cost += _as_rounds(step, way, None)
    begun = step.begun
    if begun.kind == "ring":
        node = _without_chain(node)
        come = worked(node, None, makes=goal)
        fits_ring = True
    elif begun.kind == "joined chain":
        return _fit_on(_Step(step.entry, step.ways, step.numbers, step.labelled, Begun(), False), way, begun.chain or None)
    else:
        come, node, fits_ring = _along_chain(_without_chain(node), begun.chain, goal)
    span = _span(step, way)
    counts = [come.makes]
    for _ in range(1, span):
        counts.append(worked(node, counts[-1]).makes if begun.kind != "ring" else come.makes)
    count_ok = not stated or stated[-1] == counts[-1] or counts == stated
    cost += _misfit(fits_ring, count_ok)
    return Fit(Way(way.content, Reading(node, way.reading.cost, way.reading.taken)), None, come, tuple(counts), fits_ring, count_ok, cost)


def _without_chain(node: Node) -> Node:
    """Return a tree without its leading foundation chain."""
    if isinstance(node, Sequence) and node.items:
        first = node.items[0]
        act = getattr(first, "act", None)
        if act is not None and act.stitch == "chain":
            return Sequence(node.items[1:])
        if isinstance(first, Fill | Sequence):
            return Sequence((_without_chain(first), *node.items[1:])) if isinstance(first, Sequence) else node
    return node


def _along_chain(node: Node, chain: int, goal: int | None) -> tuple[Worked, Node, bool]:
    """Work round 1 along a chain: a side of chain - 1 stitches, the turn, and the other side.

    The end chains may count for both sides, so a round uses two to four fewer than twice the chain.
    """
    uses, makes = totals(node)
    if not open_ended(node):
        flat = chain > 0 and uses in (chain - 1, chain)
        around = chain == 0 or 2 * chain - 4 <= uses <= 2 * chain - 1
        return Worked(uses, makes, 0, 0), node, flat or around
    if chain == 0:
        return worked(node, None, makes=goal), node, True
    items = node.items if isinstance(node, Sequence) else (node,)
    fills = [i for i, item in enumerate(items) if open_ended(item)]
    best: tuple[float, Worked, Node] | None = None
    for options in _fill_lengths(chain, len(fills)):
        filled = tuple(
            _filled(item, options[fills.index(i)]) if i in fills else item for i, item in enumerate(items)
        )
        tried = Sequence(filled)
        uses, makes = totals(tried)
        misfit = 0.0 if (goal is None or makes == goal) else 5.0
        wanted = 2 * chain - 3 if len(fills) > 1 or any(_is_side(item) for item in items) else chain - 1
        misfit += abs(uses - wanted) * 0.5
        if best is None or misfit < best[0]:
            best = (misfit, Worked(uses, makes, 0, 0), tried)
    assert best is not None
    return best[1], best[2], True


def _is_side(item: Node) -> bool:
    return getattr(getattr(item, "act", None), "stitch", "") == "side"


def _fill_lengths(chain: int, fills: int) -> list[tuple[int, ...]]:
    one_side = [chain - 3, chain - 2, chain - 1, chain - 4]
    lengths = [length for length in one_side if length > 0] or [1]
    if fills == 1:
        return [(length,) for length in (*lengths, 2 * chain - 3, 2 * chain - 2, chain)]
    found = [(a, b) for a in lengths for b in lengths]
    return [(*pair, *(1,) * (fills - 2)) for pair in found]


def _filled(item: Node, length: int) -> Node:
    """Return an open-ended part worked over a number of stitches."""
    if isinstance(item, Fill):
        uses = max(totals(item.item)[0], 1)
        return Sequence((item.item,) * max(1, length // uses)) if length // uses < 400 else item
    if isinstance(item, Sequence):
        return Sequence(tuple(_filled(one, length) if open_ended(one) else one for one in item.items))
    return item


# ---- the chain of readings ---------------------------------------------------------------------------------


class _State(NamedTuple):
    cost: float
    count: int | None
    back: _State | None
    fit: Fit | None
    stated: bool


def _best_chain(steps: list[_Step], part: int) -> list[Line]:
    beam: list[_State] = [_State(0.0, None, None, None, False)]
    last_number = 0
    for step in steps:
        gap = step.labelled and last_number > 0 and step.numbers[0] > last_number + 1
        beam = _advance(beam, step, gap=gap)
        if step.labelled:
            last_number = step.numbers[-1]
    chain: list[_State] = []
    state: _State | None = min(beam, key=lambda one: one.cost)
    while state is not None and state.back is not None:
        chain.append(state)
        state = state.back
    chain.reverse()
    return _lines_of(steps, chain, part)


def _advance(beam: list[_State], step: _Step, *, gap: bool) -> list[_State]:
    best: dict[tuple[int | None, bool], _State] = {}
    if not step.ways:
        stays = not step.foundation
        return [_State(state.cost, state.count if stays else None, state, None, state.stated if stays else False) for state in beam]
    for state in beam:
        options: list[tuple[int | None, float]] = [(state.count, 0.0)]
        if step.earlier is not None and step.earlier != state.count:
            options.append((step.earlier, 0.1))
        if gap:
            options.append((None, 1.5))
        for there, extra in options:
            fits = step.fits.get(there)
            if fits is None:
                fits = [fit for way in step.ways if (fit := _fit(step, way, there)) is not None]
                fits.sort(key=lambda fit: fit.cost)
                step.fits[there] = fits = fits[:12]
            for fit in fits:
                for count, follows, more in _goes_on(fit):
                    cost = state.cost + fit.cost + extra + more
                    key = (count, follows)
                    known = best.get(key)
                    if known is None or cost < known.cost:
                        best[key] = _State(cost, count, state, fit, follows)
    if not best:
        return [_State(state.cost + MISFIT, None, state, None, False) for state in beam]
    return sorted(best.values(), key=lambda state: state.cost)[:_BEAM]


def _goes_on(fit: Fit) -> list[tuple[int, bool, float]]:
    """Return the counts that the next line may follow, whether that is the stated one, and what it costs."""
    made = fit.counts[-1]
    ways = [(made, False, 0.0)]
    if not fit.count_ok and fit.way.content.stated:
        stated = fit.way.content.stated[-1].count
        if stated != made:
            ways.append((stated, True, 0.2))
    return ways


def _lines_of(steps: list[_Step], chain: list[_State], part: int) -> list[Line]:
    lines: list[Line] = []
    last = 0
    for i, (step, state) in enumerate(zip(steps, chain, strict=True)):
        numbers = step.numbers
        span = len(numbers)
        if state.fit is not None and not step.labelled:
            first = last + 1
            if step.begun.kind and step.start and last == 0 and any(s.labelled and s.numbers[0] == 1 for s in steps):
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
            )
        )
    return lines


def acts(fit: Fit) -> tuple[tuple[Act, ...], ...]:
    """Return the stitches of every round of a line."""
    out: list[tuple[Act, ...]] = []
    there = fit.there
    node = fit.way.reading.node
    for count in fit.counts:
        come = worked(node, there, makes=count)
        out.append(tuple(stitches(node, come.fill, max(come.over, 0))))
        there = count
    return tuple(out)


__all__ = ["Begun", "Fit", "Line", "Read", "Way", "acts", "read", "ways_of", "work"]
