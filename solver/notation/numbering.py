"""Labels that are missing, repeated, out of order, or at odds with their own number of rounds."""

from __future__ import annotations

import re
from collections.abc import Iterator
from collections.abc import Sequence as Seq
from dataclasses import replace
from itertools import pairwise

from solver.notation.counts import ROUNDS_IN_BRACKETS
from solver.notation.finding import Finding, columns
from solver.notation.labels import labels
from solver.notation.likeliest import Line
from solver.notation.mend import Mend, mended
from solver.notation.page import Page

#: "7 & 8 ...": a range without a sign behind it.
_BARE_RANGE = re.compile(
    r"[\W_]*(\d{1,3})\s?(?:-|&|,|and|to)\s?\d{1,3}\b(?!\s?(?:cm|mm|in\b|inch|g\b|sts?\b))"
)


class Numbering:
    """Labels that are missing, repeated or out of order."""

    def __init__(self, lines: Seq[Line], page: Page) -> None:
        self.lines, self.page = lines, page
        # Lines before which a round may stand in a line that was not read as one, with what is said of it.
        self.doubts: dict[int, str] = {}
        # Where a label was wrong, its line's true last number: the next label may follow it.
        self.meant: dict[int, int] = {}

    def problems(self, at: int) -> Iterator[Finding]:
        """Yield what is wrong with the label of a line, by the lines before it."""
        line = self.lines[at]
        label = line.entry.label
        if label is None or not line.labelled:
            return
        first = label.numbers[0]
        previous = self._previous(at)
        if previous is None:
            yield from self._first(at, line, first)
            return
        last = previous.rounds[-1] if previous.rounds else first - 1
        if first == self._top(at) + 1:
            return
        if line.every and first == last + 2:
            return
        if first == last + 1 or first == self.meant.get(id(previous), last) + 1:
            return
        self.meant[id(line)] = last + len(label.numbers)
        starts = previous.rounds[0]
        span = len(label.numbers)
        if first > last + 1:
            missing = f"{last + 1}" if first == last + 2 else f"{last + 1} to {first - 1}"
            fits = (
                line.fit is not None
                and line.fit.there is not None
                and line.fit.uses_ok
                and previous.made == line.fit.there
            )
            following = self._following(at)
            if first == last + 2 and following is not None and following.rounds[0] == first:
                # 3 is called 4, and 4 comes behind it.
                yield self._told(line, first, last + 1, f"Round {first} comes too early: this is {last + 1}.")
                return
            unseen = self._unseen(previous, line, range(last + 1, first))
            if unseen:
                self.doubts[at] = f"Round {missing} may stand in line {unseen}, which is not understood."
                return
            what = f"Round {missing} is missing" if "to" not in missing else f"Rounds {missing} are missing"
            yield self._gap(line, previous, first, last, what, fits=fits)
        elif starts <= first <= last:
            if len(previous.rounds) > 1 and previous.span > 1:
                message = f"Round {first} is already in the line before ({starts} to {last})."
            else:
                message = f"Round {first} comes a second time."
            yield self._told(line, first, last + 1, message, span)
        else:
            yield self._told(
                line, first, last + 1, f"Round {first} follows round {last}: out of order.", span
            )

    def notes(self, at: int) -> list[str]:
        """Return what is doubtful about the label of a line, once its problems were told."""
        return [self.doubts[at]] if at in self.doubts else []

    def _unseen(self, previous: Line, line: Line, missing: range) -> int:
        """Return a line of the page between two rounds that bears the number of a missing one; 0 without."""
        first = previous.entry.line + previous.entry.text.count("\n") + 1
        for number in range(first, line.entry.line):
            text = self.page.texts[number - 1]
            ways = labels(text, len(text) - len(text.lstrip(" *>-")), self.page.lexicon)
            bare = _BARE_RANGE.match(text)
            if any(set(way.numbers) & set(missing) for way in ways) or (bare and int(bare[1]) in missing):
                return number
        return 0

    def _first(self, at: int, line: Line, first: int) -> Iterator[Finding]:
        """Yield what is wrong with the first label of a part."""
        following = self._following(at)
        twice = following is not None and following.rounds[0] == 2
        if first == 2 and line.begun.kind == "ring" and twice:
            self.meant[id(line)] = 1
            yield self._told(line, 2, 1, "Round 2 comes a second time: this is round 1.")
        elif first == 2 and line.begun.kind in ("", "chain") and not self._begun_before(at):
            yield self._told(line, first, 1, "Round 1 is missing.")

    def _top(self, at: int) -> int:
        """Return the highest number of a round before a line of the same part, where lines were swapped."""
        part = self.lines[at].part
        numbers = [n for line in self.lines[:at] if line.part == part for n in line.rounds]
        swapped = any(a > b for a, b in pairwise(numbers))
        return max(numbers) if swapped else -1

    def _previous(self, at: int) -> Line | None:
        part = self.lines[at].part
        for line in reversed(self.lines[:at]):
            if line.part != part:
                return None
            if line.rounds:
                return line
        return None

    def _following(self, at: int) -> Line | None:
        """Return the next line of the same part with a label."""
        rest = (line for line in self.lines[at + 1 :] if line.labelled and line.rounds)
        line = next(rest, None)
        return line if line is not None and line.part == self.lines[at].part else None

    def _begun_before(self, at: int) -> bool:
        return any(line.part == self.lines[at].part for line in self.lines[:at])

    def _gap(self, line: Line, previous: Line, first: int, last: int, what: str, *, fits: bool) -> Finding:
        """Tell of rounds that are missing, and of the one that may have been left out."""
        doubt = ", yet the stitches fit: the number is wrong, or a plain round was left out" if fits else ""
        told = self._told(line, first, last + 1, f"{what}{doubt}.")
        if first != last + 2 or previous.made is None or line.fit is None:
            return told
        missed = _bridge(previous.made, line.fit.first.uses)
        if not missed:
            return told
        fix = f"Round {last + 1}: {missed}" + (f", or {told.fix}" if fits else "")
        whole = f"{self._word(line)}{last + 1}: {missed}\n{line.entry.text}"
        return replace(told, fix=fix, mended=whole)

    def _word(self, line: Line) -> str:
        label = line.entry.label
        assert label is not None
        start = line.entry.start
        place = next((i for i in range(start, label.end) if line.entry.folded.text[i].isdigit()), start)
        first = line.entry.folded.place(start) - line.entry.offset
        return line.entry.text[max(first, 0) : line.entry.folded.place(place) - line.entry.offset]

    def _told(self, line: Line, got: int, expected: int, message: str, span: int = 1) -> Finding:
        label = line.entry.label
        assert label is not None
        text = line.entry.folded.text
        place = next((i for i in range(line.entry.start, label.end) if text[i].isdigit()), line.entry.start)
        end = place
        while end < len(text) and text[end].isdigit():
            end += 1
        mend = Mend(place, end, str(got), str(expected), "number")
        fixed = mended(line, mend)
        return Finding("numbering", message, f"{got} -> {expected}", fixed, *columns(line, place, end))


def _bridge(made: int, goal: int) -> str:
    """Return a round that leads from one count to another: what may have been left out."""
    change = abs(goal - made)
    if change == 0:
        return f"sc in each st ({made})"
    less = min(goal, made)
    if change > less:
        return ""
    plain, rest = divmod(less - change, change)
    stitch = "inc" if goal > made else "dec"
    if rest:
        return ""
    inner = f"{plain} sc, {stitch}" if plain > 1 else (f"sc, {stitch}" if plain else stitch)
    return f"({inner}) x {change} ({goal})" if plain else f"{stitch} x {change} ({goal})"


def range_problems(line: Line) -> Iterator[Finding]:
    """Yield what is wrong where a range and its own number of rounds disagree."""
    fit = line.fit
    label = line.entry.label
    if fit is None or label is None or not label.ranged:
        return
    own = fit.way.content.rounds
    if own is None or own == len(label.numbers):
        return
    sure = fit.way.content.cost != ROUNDS_IN_BRACKETS
    first, last = label.numbers[0], label.numbers[-1]
    message = f"Rounds {first} to {last} are {len(label.numbers)} rounds, the line says {own}."
    number = next(
        (t for t in line.entry.tokens if t.cls == "n" and t.value == own and t not in fit.way.content.body),
        None,
    )
    if number is None or not sure:
        yield Finding("range", message, f"{own} -> {len(label.numbers)}", "", 0, len(line.entry.text))
        return
    mend = Mend(number.start, number.end, str(own), str(len(label.numbers)), "number")
    yield Finding(
        "range",
        message,
        f"{own} -> {len(label.numbers)} rounds",
        mended(line, mend),
        *columns(line, number.start, number.end),
    )
