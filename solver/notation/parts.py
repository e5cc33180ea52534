"""The parts of a page: where each begins, and its entries on their way to be read."""

from __future__ import annotations

import re
from collections.abc import Sequence as Seq
from dataclasses import replace

from solver.notation.at_word import read_part
from solver.notation.choices import Reading
from solver.notation.classes import core
from solver.notation.counts import Content, contents
from solver.notation.entries import Entry
from solver.notation.fits import Begun, Step, Way, acts
from solver.notation.fold import folded
from solver.notation.instructions import PLAIN, SC, Fill, Node, Sequence, Work
from solver.notation.likeliest import Line
from solver.notation.loops import loops_of, may_be_loops_of
from solver.notation.page import Page
from solver.notation.token import Token, shape
from solver.notation.ways import ways_of


def parts_of(taken: Page) -> list[list[Entry]]:
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
        numbered = [one for one in part if one.label is not None]
        # Round 1 behind round 2 alone: two lines that were swapped.
        swapped = len(numbered) == 1 and last == 2
        other = last == 1 and len(numbered) == 1 and _word(entry) != _word(numbered[0])
        return (last > 1 and not swapped) or entry.heading or other
    return entry.heading and label.numbers[0] <= last - 2


_LETTERS = re.compile(r"[^\W\d_]*")


def _word(entry: Entry) -> str:
    """Return what stands before the number of a round: "rnd", "row"."""
    match = _LETTERS.match(entry.folded.text, entry.start)
    return match[0].rstrip("s") if match else ""


def _is_start(entry: Entry) -> bool:
    return "M" in shape(entry.tokens)


_AS_ROUND = re.compile(r"[:,=.-]*(?:r[.]?[qfL]?|P)q?(?:(?:w)?(n)(?:[v,-](n))?|(o|n(?=[.]))(?:[.]?w)?)")
_LAST_AGAIN = re.compile(r"[:,=.-]*r[qfz]?Lw(?:n?A?x|nA)")
_AS_LAST = re.compile(
    r"[:,=.-]*(?:(?:n?xn?x?|X)m|r[qfz]?(?:L|z)?w(?:,?n?A?x|n?A|X)?|Pf?(?:L|B|LB)w?|Pf?wB?|mA?|PA)[.]?"
)


class Part:
    """One part of a page on its way from entries to lines."""

    def __init__(
        self,
        entries: Seq[Entry],
        number: int,
        earlier: Seq[tuple[str, Seq[Line]]] = (),
        *,
        numbered: bool = False,
    ) -> None:
        self.entries = list(entries)
        #: Whether rounds have labels on this page.
        self.numbered = numbered
        #: The parts before it: each heading with the lines under it.
        self.earlier = earlier
        self.number = number
        self.begun = Begun()
        #: The earlier round whose loops the next round is worked into.
        self.loops: int | None = None
        self.known: dict[int, list[Way]] = {}
        #: Whether a line told every second round at once.
        self.every = False
        self.counted: dict[int, list[Way]] | None = {} if all(not e.labels for e in self.entries) else None

    def read(self) -> list[Line]:
        """Return its lines."""
        steps = [step for i in range(len(self.entries)) if (step := self._step(i)) is not None]
        return read_part(steps, self.number)

    def _step(self, at: int) -> Step | None:
        entry = self.entries[at]
        if entry.kind == "loops":
            self.loops = loops_of(entry.tokens)
            return None
        if entry.kind == "chain":
            self.begun = replace(_foundation(entry), line=entry.line, text=entry.text)
            if entry.label is not None:
                return Step(entry, [], entry.label.numbers, True, self.begun, False, foundation=True)
            return None
        if entry.kind == "every":
            self.every = True
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
        self._take(step)
        step.every = self.every
        step.passing = self.numbered and self._in_passing(at)
        self.every = self.every or (label is not None and label.every)
        step.earlier, self.loops = loops_of(entry.tokens) or self.loops, None
        if step.earlier is None:
            step.earlier, step.may_be = may_be_loops_of(entry.tokens, entry.folded.text), True
        return step

    def _in_passing(self, at: int) -> bool:
        """Tell a line without a number, among lines with one, whose words may only speak of rounds."""
        entry = self.entries[at]
        if entry.label is not None or not any(token.cls in "zZYCQK" for token in entry.tokens):
            return False
        others = [one.label for one in self.entries if one.label is not None]
        after = next((one.label for one in self.entries[at + 1 :] if one.label is not None), None)
        if _is_start(entry) and not (after is not None and after.numbers[0] == 1):
            return False
        begins = after is not None and after.numbers[0] == 2 and after is others[0]
        return not begins and (bool(others) or len(self.entries) == 1)

    def _take(self, step: Step) -> None:
        """Take the rounds of another part where a line says so: "Rnds 1-5: as head"."""
        lines = _named_part(step.entry, self.earlier)
        led = shape([token for token in step.entry.tokens if token.cls != "q"]).startswith("P")
        if not lines or step.begun.kind or (step.ways and core(step.entry.tokens) and not led):
            return
        made = {
            number: work
            for line in lines
            if line.fit is not None
            for number, work in zip(line.rounds, acts(line.fit), strict=False)
        }
        if not step.numbers or not all(made.get(number) for number in step.numbers):
            return
        content = contents(step.entry.tokens)[0]
        given = [made[number] for number in step.numbers]
        if content.rounds is not None and content.rounds != len(given) and "E" in shape(step.entry.tokens):
            # "Rnds 1-4 as for the head, then 2 rounds without increases"
            last = step.numbers[-1]
            step.numbers = (*step.numbers, *range(last + 1, last + 1 + content.rounds))
            given += [(SC,) * sum(act.makes for act in given[-1])] * content.rounds
        step.given = tuple(given)
        step.ways = [Way(replace(content, body=(), rounds=None), Reading(Sequence(()), 0.0, ()))]
        if step.start and step.numbers[0] == 1:
            step.begun = lines[0].begun

    def _begun(self, entry: Entry) -> Begun:
        classes = shape(entry.tokens)
        if self.known and any(number > 0 for number in self.known):
            return Begun()
        if "M" in classes:
            return Begun("ring")
        if classes.count("Y") > 1:  # round two legs: the chain between them, told before, founds nothing
            return Begun()
        own = _chain_inside(entry.tokens) if "Y" not in classes else None
        if own:
            return replace(own, line=entry.line, text=entry.text)
        first = entry.label is not None and entry.label.numbers[0] == 1
        if first and not self.begun.kind and "O" in classes and "c" in classes and "Y" not in classes:
            # Along a chain that is told nowhere: its sides are held against each other.
            return Begun("chain", 0, entry.line, entry.text)
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
        for found in contents(entry.tokens) if any(token.cls in "rPm" for token in entry.tokens) else ():
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
            told = [
                Way(Content(found.body, found.stated, rounds, way.content.cost), way.reading) for way in known
            ]
            return told + _even(told)
        return []

    def _target(self, bare: str) -> tuple[int | None, int]:
        """Return which round is repeated, or the place of the token that tells it."""
        # "Repeat the last round 5 more times" names no round 5.
        match = None if _LAST_AGAIN.match(bare) else _AS_ROUND.match(bare)
        if match and (
            "w" in match[0] or re.fullmatch(r"[:,=.-]*(?:r[.]?|P)[no]w?[.,]?(?:x?n?A?x?|X)[.]?", bare)
        ):
            return None, match.start(1 if match[1] else 3)
        if _AS_LAST.fullmatch(bare) and self.known:
            return max(self.counted or self.known), 0
        return None, 0


_SPOKEN_OF = re.compile(r"[^\W\d_]{3,}")


def _named_part(entry: Entry, earlier: Seq[tuple[str, Seq[Line]]]) -> Seq[Line]:
    """Return the lines of an earlier part that a line names behind an "as"; none where it names none."""
    at = next((token for token in entry.tokens if token.cls == "P"), None)
    if at is None:
        return ()
    said = {word.rstrip("s") for word in _SPOKEN_OF.findall(entry.folded.text[at.end :])}
    for heading, lines in reversed(earlier):
        if said & {word.rstrip("s") for word in _SPOKEN_OF.findall(folded(heading))} - _COMMON:
            return lines
    return ()


#: Words of headings that name no part.
_COMMON = frozenset(("make", "the", "for", "and", "with", "round", "rnd", "row", "yarn", "colour", "color"))


def _even(known: Seq[Way]) -> list[Way]:
    """Return "as round 3", where that is 12 sc, as single crochet in every stitch that is there by now."""
    return [
        Way(replace(way.content, cost=way.content.cost + 0.3), Reading(Fill(PLAIN), 0.0, ()))
        for way in known[:1]
        if _is_plain(way.reading.node)
    ]


def _is_plain(node: Node) -> bool:
    """Tell whether a tree is single crochet alone, one in each stitch."""
    if isinstance(node, Sequence):
        return bool(node.items) and all(_is_plain(item) for item in node.items)
    return isinstance(node, Work) and node.act == SC


def _foundation(entry: Entry) -> Begun:
    classes = [token for token in entry.tokens if token.cls not in "q"]
    text = shape(classes)
    match = re.search(r"(n)[cW]|[cW](n)", text)
    chain = 0
    if match:
        chain = classes[match.start(1) if match[1] else match.start(2)].value
    if chain == 2 and "M" in text:
        # "Ch 2 or magic ring"
        return Begun("ring")
    joined = "j" in text or "l" in text or "M" in text
    extra = re.compile("[,+](n)").search(text, match.end() if match else 0)
    if extra and not joined and classes[extra.start(1)].value == 1:
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
    if number == 2 and "H" in rest[:14] and "O" not in rest and "L" not in rest:
        return Begun("ring")
    if "H" in rest or "O" in rest or re.search("L[tc]?c|[fp]oc", rest):
        return Begun("chain", number)
    return None
