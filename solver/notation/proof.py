"""Proof-reading: what each line says, makes, needs and has; what is wrong with it, and what mends it."""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Sequence as Seq
from dataclasses import dataclass

from solver.notation.counts import ROUNDS_IN_BRACKETS, core
from solver.notation.describe import described
from solver.notation.fits import Fit, acts
from solver.notation.instructions import Act
from solver.notation.mend import Mend, body_mends, count_mend, left_over, mended
from solver.notation.reader import Line, Read, read
from solver.notation.terms import page_terms, strangers
from solver.notation.tokens import shape
from solver.notation.words import Words, words

KINDS = ("count", "consumes", "repeat", "numbering", "range", "terms", "unread")


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that is wrong with a line.

    Attributes
    ----------
    kind : str
        One of `KINDS`.
    message : str
        What is wrong, in one plain sentence.
    fix : str
        The smallest change that would mend it; empty when none is known.
    mended : str
        The line with the change made; empty when it can't be told.
    start, end : int
        The place in the line as it was written.
    """

    kind: str
    message: str
    fix: str = ""
    mended: str = ""
    start: int = 0
    end: int = 0


@dataclass(frozen=True, slots=True)
class ProofLine:
    """A line, proof-read.

    Attributes
    ----------
    line : int
        Its number on the page, from 1.
    text : str
        As it was written.
    label : str
        Its label as it was written; empty without one.
    rounds : tuple of int
        Numbers of the rounds that it stands for.
    stated, made : int or None
        Count that it states, and that it makes, when its last round is done.
    needed, available : int or None
        Stitches that its first round is worked into, and that the round before has.
    counts : tuple of int
        Stitches after each of its rounds.
    reading : str
        How it was read, in one clean notation.
    notes : tuple of str
        Which of several readings was taken, and what else is worth saying.
    problems : tuple of Finding
        What is wrong with it.
    part : int
        Number of the part of the page that it belongs to, from 0.
    begun, chain : str, int
        How its part was begun ("ring", "chain", "joined chain"; empty in its midst), and the chains of it.
    fit : Fit or None
        How it was read; None when it could not be.
    """

    line: int
    text: str
    label: str
    rounds: tuple[int, ...]
    stated: int | None
    made: int | None
    needed: int | None
    available: int | None
    counts: tuple[int, ...]
    reading: str
    notes: tuple[str, ...]
    problems: tuple[Finding, ...]
    part: int
    begun: str = ""
    chain: int = 0
    fit: Fit | None = None

    @property
    def stitches(self) -> tuple[tuple[Act, ...], ...]:
        """Every stitch of each round."""
        return acts(self.fit) if self.fit is not None else ()


@dataclass(frozen=True, slots=True)
class Proof:
    """A page, proof-read.

    Attributes
    ----------
    terms : str
        "US" or "UK"; empty for languages with one set of terms.
    declared : bool
        Whether the page says so itself.
    language : str
        Word table that it was read with.
    lines : tuple of ProofLine
        Its lines with rounds, in order.
    """

    terms: str
    declared: bool
    language: str
    lines: tuple[ProofLine, ...]

    @property
    def clean(self) -> bool:
        """Whether nothing is wrong."""
        return not any(line.problems for line in self.lines)


def proof_read(text: str) -> Proof:
    """Proof-read a page of written rounds, in any notation, single crochet in the round."""
    return proof_of(read(text))


def proof_of(found: Read) -> Proof:
    """Proof-read a page that was read."""
    terms, declared = page_terms(found)
    alien = strangers(found, terms, declared=declared)
    lines = found.lines
    numbering = _Numbering(lines)
    table = words(found.page.lexicon.code)
    out: list[ProofLine] = []
    for i, line in enumerate(lines):
        after = next((one for one in lines[i + 1 : i + 3] if one.part == line.part), None)
        problems = [
            *_reading_problems(line, after),
            *numbering.problems(i),
            *_range_problems(line),
            *(
                Finding("terms", message, fix, "", *_columns(line, start, end))
                for message, fix, start, end in alien.get(i, ())
            ),
        ]
        out.append(_proof_line(line, tuple(problems), table))
    return Proof(terms, declared, found.page.lexicon.code, tuple(out))


def _proof_line(line: Line, problems: tuple[Finding, ...], table: Words) -> ProofLine:
    fit = line.fit
    label = line.entry.label
    label_text = ""
    if label is not None:
        folded = line.entry.folded
        label_text = line.entry.text[: folded.place(label.end - 1) + 1 - line.entry.offset].strip()
    return ProofLine(
        line=line.entry.line,
        text=line.entry.text,
        label=label_text,
        rounds=line.rounds,
        stated=line.stated,
        made=line.made,
        needed=fit.first.uses if fit and (fit.there is not None or not line.begun.kind) else None,
        available=fit.there if fit else None,
        counts=fit.counts if fit else (),
        reading=described(fit.way.reading.node, table, fit.first.fill) if fit else "",
        notes=_notes(line),
        problems=problems,
        part=line.part,
        begun=line.begun.kind,
        chain=line.begun.chain,
        fit=fit,
    )


def _notes(line: Line) -> tuple[str, ...]:
    fit = line.fit
    if fit is None:
        return ()
    notes = [
        f"Taken as: {told}."
        for told in fit.way.reading.taken
        if not (told.startswith("all of it") and fit.first.fill == 1)
    ]
    if line.after_stated and fit.there is not None:
        notes.append(f"Follows the {fit.there} that the line before states, not what that line makes.")
    if fit.first.over > 0:
        notes.append(
            f"The repeat goes {fit.first.fill} times; the {fit.first.over} left are worked as its beginning."
        )
    return tuple(notes)


def _columns(line: Line, start: int, end: int) -> tuple[int, int]:
    folded, offset = line.entry.folded, line.entry.offset
    return max(folded.place(start) - offset, 0), max(folded.place(max(end - 1, start)) + 1 - offset, 0)


# ---- what a line uses and makes ----------------------------------------------------------------------------


def _reading_problems(line: Line, after: Line | None) -> Iterator[Finding]:
    if line.fit is None:
        if _should_read(line):
            yield Finding(
                "unread",
                "This line can't be read; the lines around it are still checked.",
                "",
                "",
                0,
                len(line.entry.text),
            )
        return
    fit = line.fit
    cut = fit.first.over > 0 and not (fit.count_ok and fit.way.content.stated)
    if fit.uses_ok and fit.count_ok and not cut:
        return
    if fit.uses_ok and not cut:
        yield _wrong_count(line, after)
        return
    yield from _wrong_use(line, after)


def _should_read(line: Line) -> bool:
    """Tell a line that looks like a round from a remark that happens to have a label."""
    if line.entry.kind in ("chain", "empty"):
        return False
    found = [token for token in line.entry.tokens if token.cls not in "q"]
    classes = shape(found)
    if core(found):
        return True
    return bool(found) and not any(cls in "ZKCjuSM" for cls in classes)


def _wrong_count(line: Line, after: Line | None) -> Finding:
    """Tell of a line that uses what is there and states another count than it makes."""
    fit = line.fit
    assert fit is not None
    stated = fit.way.content.stated[-1]
    made = fit.counts[-1]
    follows = {
        "true": f" The next line follows {made}.",
        "stated": f" The next line follows {stated.count}.",
        "": "",
    }[line.followed if after is not None and after.fit is not None and after.fit.uses_ok else ""]
    message = f"Makes {made}, says {stated.count}.{follows}"
    count = count_mend(stated, line, made)
    body = (
        body_mends(line, uses=fit.there, makes=stated.count)
        if line.followed == "stated" and len(fit.counts) == 1
        else []
    )
    best = body[0] if body else count
    return _with_mend("count", message, line, best, other=count if body else None, stated=stated.start)


def _wrong_use(line: Line, after: Line | None) -> Iterator[Finding]:
    """Tell of a line that does not use the stitches that are there."""
    fit = line.fit
    assert fit is not None
    there, uses, made = fit.there, fit.first.uses, fit.counts[-1]
    stated = fit.way.content.stated[-1] if fit.way.content.stated else None
    if there is None:
        yield Finding(
            "consumes",
            f"Uses {uses} stitches, which does not go round the chain.",
            "",
            "",
            0,
            len(line.entry.text),
        )
        return
    wanted = stated.count if stated else None
    if (
        wanted is None
        and after is not None
        and after.fit is not None
        and after.fit.first.fill == 0
        and after.fit.there is not None
    ):
        wanted = after.fit.first.uses if after.fit.first.uses != made else made
    mends = body_mends(line, uses=there, makes=wanted)
    if not mends and stated is None:
        mends = body_mends(line, uses=there, makes=None)
    best = mends[0] if mends else None
    over = left_over(fit)
    if uses == there and fit.needs:
        # A later round of a range: the first one fits.
        message = f"Worked again as the label says it needs {fit.needs} stitches, has {fit.has}."
        kind = "consumes"
    elif fit.first.fill:
        over = fit.first.over
        message = (
            f"The repeat does not fit: {there} stitches are there, {fit.first.fill} repeats leave {over} over."
            if over > 0
            else f"Needs at least {uses} stitches, has {there}."
        )
        kind = "repeat"
    else:
        lacks = f"{over} left over" if over > 0 else f"{-over} too few"
        message = f"Needs {uses} stitches, has {there}: {lacks}."
        kind = "repeat" if best is not None and best.kind == "multiplier" else "consumes"
    extra = f" Makes {made}, says {stated.count}." if stated and not fit.count_ok else ""
    if kind == "repeat" and not fit.first.fill and best is not None:
        yield _with_mend(
            "repeat",
            f"The repeat does not fit: worked {best.old} times it needs {uses} stitches, has {there}.",
            line,
            best,
        )
        yield _with_mend("consumes", message, line, best)
    elif best is not None:
        yield _with_mend(kind, message + extra, line, best)
    else:
        yield _unmended(kind, message + extra, line, over, made, stated.count if stated else None)
    if stated is not None and not fit.count_ok:
        yield _with_mend(
            "count",
            f"Makes {made}, says {stated.count}.",
            line,
            best or count_mend(stated, line, made),
            stated=stated.start,
        )


def _unmended(kind: str, message: str, line: Line, over: int, made: int, stated: int | None) -> Finding:
    """Return a finding that no single number mends."""
    fix = ""
    if over > 0 and (stated is None or made + over == stated):
        fix = f"{over} more sc at the end."
    elif over > 0:
        fix = f"Work the {over} left over, or check the round before."
    elif over < 0:
        fix = f"Check the number of repeats, or the round before: it would need {-over} more."
    return Finding(
        kind, message, fix, "", *_columns(line, line.entry.tokens[0].start, line.entry.tokens[-1].end)
    )


def _with_mend(
    kind: str, message: str, line: Line, mend: Mend, *, other: Mend | None = None, stated: int | None = None
) -> Finding:
    if mend.kind == "count":
        fix = f"({mend.old}) -> ({mend.new})"
    elif mend.kind == "multiplier":
        fix = f"x {mend.old} -> x {mend.new}"
    else:
        fix = f"{mend.old} -> {mend.new}"
    if other is not None:
        fix += f", or ({other.old}) -> ({other.new})"
    place = _columns(line, mend.start, mend.end)
    if stated is not None and kind == "count":
        found = line.fit.way.content.stated[-1] if line.fit else None
        if found is not None:
            place = _columns(line, found.start, found.end)
    return Finding(kind, message, fix, mended(line, mend), *place)


# ---- numbering ---------------------------------------------------------------------------------------------


class _Numbering:
    """Labels that are missing, repeated or out of order."""

    def __init__(self, lines: Seq[Line]) -> None:
        self.lines = lines
        # Where a label was wrong, its line's true last number: the next label may follow it.
        self.meant: dict[int, int] = {}

    def problems(self, at: int) -> Iterator[Finding]:
        line = self.lines[at]
        label = line.entry.label
        if label is None or not line.labelled:
            return
        first = label.numbers[0]
        previous = self._previous(at)
        if previous is None:
            if first == 2 and not line.begun.kind and not self._begun_before(at):
                yield self._told(line, first, 1, "Round 1 is missing.")
            return
        last = previous.rounds[-1] if previous.rounds else first - 1
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

    def _previous(self, at: int) -> Line | None:
        part = self.lines[at].part
        for line in reversed(self.lines[:at]):
            if line.part != part:
                return None
            if line.rounds:
                return line
        return None

    def _begun_before(self, at: int) -> bool:
        return any(line.part == self.lines[at].part for line in self.lines[:at])

    def _gap(self, line: Line, previous: Line, first: int, last: int, what: str, *, fits: bool) -> Finding:
        if fits and self._goes_on(line, first):
            message = f"{what}, yet the stitches fit: the number is wrong, or a plain round was left out."
        else:
            message = f"{what}."
        fix = f"{first} -> {last + 1}"
        missed = ""
        needs = (
            line.fit.first.uses
            if line.fit and not line.fit.first.fill
            else (line.fit.there if line.fit else None)
        )
        if first == last + 2 and previous.made is not None:
            goal = needs if needs is not None else self._needed_by_fill(line)
            missed = _bridge(previous.made, goal)
            if missed:
                fix = f"Round {last + 1}: {missed}" + (f", or {fix}" if fits else "")
        finding = self._told(line, first, last + 1, message)
        return Finding(
            "numbering",
            message,
            fix,
            f"{self._word(line)}{last + 1}: {missed}\n{line.entry.text}" if missed else finding.mended,
            finding.start,
            finding.end,
        )

    def _goes_on(self, line: Line, first: int) -> bool:
        return first > 0

    def _needed_by_fill(self, line: Line) -> int | None:
        """Return the stitches that an open-ended line must have met, from what it states."""
        return line.fit.first.uses if line.fit is not None else None

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
        return Finding("numbering", message, f"{got} -> {expected}", fixed, *_columns(line, place, end))


def _bridge(made: int, goal: int | None) -> str:
    """Return a round that leads from one count to another: what may have been left out."""
    if goal is None:
        return ""
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


def _range_problems(line: Line) -> Iterator[Finding]:
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
        *_columns(line, number.start, number.end),
    )
