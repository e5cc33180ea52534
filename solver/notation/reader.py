"""Read a page of written rounds: every line in the way that fits its count and the rounds around it.

Each line has a few possible readings. A chain of readings through the page is found that explains most of it:
a reading costs what its wording makes it unlikely, and ten more where it does not use the stitches that are
there or does not make what is stated. After a line whose count is wrong the stated and the true number go on.
"""

from __future__ import annotations

import re
from collections.abc import Sequence as Seq
from dataclasses import dataclass, replace
from typing import NamedTuple

from solver.notation.counts import Content, contents, core, said, unknown
from solver.notation.fits import MISFIT, Begun, Fit, Step, Way, fitted
from solver.notation.grammar import tree
from solver.notation.instructions import Reading, readings
from solver.notation.loops import loops_of
from solver.notation.page import Entry, Page, page
from solver.notation.tokens import Token, shape

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
        if self.fit is None:
            return said(self.entry.tokens) if garbled(self.entry) else None
        if not self.fit.way.content.stated:
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
#: What it costs to work all of a line whose label stands in two languages.
_SAID_TWICE = 2.0
_AS_LAST = re.compile(r"[:,=.-]*r[qfz]?(?:L|z)?w[.]?")


def ways_of(entry: Entry) -> list[Way]:
    """Return the ways to read the instructions of an entry, the likeliest first."""
    found: list[Way] = []
    doubled = entry.label is not None and entry.label.doubled
    for content in contents(entry.tokens):
        if unknown(content.body):
            continue
        for body, extra in _languages_apart(content.body, doubled=doubled):
            node = tree(body)
            if node is None:
                continue
            taken = content if extra == 0 else replace(content, body=tuple(body))
            found += [Way(taken, Reading(one.node, one.cost + extra, one.taken)) for one in readings(node)]
    return found


def _languages_apart(body: Seq[Token], *, doubled: bool) -> list[tuple[Seq[Token], float]]:
    """Return a body, and its pieces where slashes may part one language from another."""
    depth = 0
    pieces: list[list[Token]] = [[]]
    for token in body:
        depth += (token.cls in "([{") - (token.cls in ")]}")
        if token.cls == "/" and depth == 0:
            pieces.append([])
        else:
            pieces[-1].append(token)
    told = [piece for piece in pieces if core(piece) or any(token.cls in "nz" for token in piece)]
    if not 2 <= len(told) <= 3 or not any(core(piece) for piece in told):
        return [(body, 0.0)]
    # Where the label is said twice, so are the instructions.
    whole = _SAID_TWICE if doubled else 0.0
    return [(body, whole), *((piece, 0.5 + 0.1 * i) for i, piece in enumerate(told))]


class _Part:
    """One part of a page on its way from entries to lines."""

    def __init__(self, entries: Seq[Entry], number: int) -> None:
        self.entries = list(entries)
        self.number = number
        self.begun = Begun()
        #: The earlier round whose loops the next round is worked into.
        self.loops: int | None = None
        self.known: dict[int, list[Way]] = {}
        self.counted: dict[int, list[Way]] | None = {} if all(not e.labels for e in self.entries) else None

    def read(self) -> list[Line]:
        steps = [step for i in range(len(self.entries)) if (step := self._step(i)) is not None]
        return _best_chain(steps, self.number)

    def _step(self, at: int) -> Step | None:
        entry = self.entries[at]
        if entry.kind == "loops":
            self.loops = loops_of(entry.tokens)
            return None
        if entry.kind == "chain":
            self.begun = _foundation(entry)
            if entry.label is not None:
                return Step(entry, [], entry.label.numbers, True, self.begun, False, foundation=True)
            return None
        if entry.kind == "empty":
            return Step(entry, [], entry.label.numbers if entry.label else (), True, Begun(), False)
        begun = self._begun(entry)
        ways = self._as_other(entry) or ways_of(entry)
        label = entry.label
        numbers = label.numbers if label is not None else ()
        if entry.kind == "even" and not self._fills_gap(at, ways):
            return None
        step = Step(entry, ways, numbers, label is not None, begun, begun.kind != "" or not self.known)
        if label is not None:
            self.known.update(dict.fromkeys(numbers, ways))
        else:
            self.known.setdefault(0, ways)
        if self.counted is not None and ways:
            first = len(self.counted) + 1
            step.counted = tuple(range(first, first + (ways[0].content.rounds or 1)))
            self.counted.update(dict.fromkeys(step.counted, ways))
        if ways:
            self.begun = Begun()
        step.earlier, self.loops = loops_of(entry.tokens) or self.loops, None
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
        for found in contents(entry.tokens):
            kept = [token for token in found.body if token.cls not in "qzb"]
            target, said_at = self._target(shape(kept))
            if said_at:
                target = kept[said_at].value
            known = self.known.get(target) or (self.counted or {}).get(target) if target is not None else None
            if known is None:
                continue
            rounds = found.rounds
            if entry.label is None:
                # "Repeat round 5 three times": there is no label to say how many rounds these are.
                rounds = next((token.value for token in kept[said_at + 1 :] if token.cls in "nX"), 1)
            return [
                Way(Content(found.body, found.stated, rounds, way.content.cost), way.reading) for way in known
            ]
        return []

    def _target(self, bare: str) -> tuple[int | None, int]:
        """Return which round is repeated, or the place of the token that tells it."""
        match = _AS_ROUND.match(bare)
        if match and ("w" in match[0] or re.fullmatch(r"[:,=.-]*(?:r|P)n[.,]?(?:x?n?A?x?|X)[.]?", bare)):
            return None, match.start(1)
        if _AS_LAST.fullmatch(bare) and self.known:
            return max(self.counted or self.known), 0
        return None, 0


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


def garbled(entry: Entry) -> bool:
    """Tell a line that looks like a round, and can't be read, from a remark that happens to have a label."""
    if entry.kind in ("chain", "empty"):
        return False
    found = [token for token in entry.tokens if token.cls not in "q"]
    classes = shape(found)
    return core(found) or (bool(found) and not any(cls in "ZKCjuSM" for cls in classes))


# ---- the chain of readings ---------------------------------------------------------------------------------


class _State(NamedTuple):
    cost: float
    there: int | None
    back: _State | None
    fit: Fit | None
    stated: bool


def _best_chain(steps: list[Step], part: int) -> list[Line]:
    beam: list[_State] = [_State(0.0, None, None, None, False)]
    last_number = 0
    for done, step in enumerate(steps):
        gap = step.labelled and last_number > 0 and step.numbers[0] > last_number + 1
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
    best: dict[tuple[int | None, bool], _State] = {}
    if not step.ways:
        if not step.foundation and not garbled(step.entry):
            return [_State(state.cost, state.there, state, None, state.stated) for state in beam]
        # What can't be read is taken at its word: the next line follows the count that it states.
        count = None if step.foundation else said(step.entry.tokens)
        return [_State(state.cost, count, state, None, False) for state in beam]
    for state in beam:
        options: list[tuple[int | None, float]] = [(state.there, 0.0)]
        made = _made_at(state, earlier) if earlier is not None else None
        if made is not None and made != state.there:
            # What a line says of itself goes first; a remark in passing may still be just that.
            options = [(made, 0.0), (state.there, 0.3)]
        if gap:
            options.append((None, 1.5))
        for there, extra in options:
            fits = step.fits.get(there)
            if fits is None:
                fits = [fit for way in step.ways if (fit := fitted(step, way, there)) is not None]
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


def _lines_of(steps: list[Step], chain: list[_State], part: int) -> list[Line]:
    lines: list[Line] = []
    last = 0
    for i, (step, state) in enumerate(zip(steps, chain, strict=True)):
        numbers = step.numbers
        span = len(numbers)
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
            )
        )
    return lines
