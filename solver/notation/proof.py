"""Proof-reading: what each line says, makes, needs and has; what is wrong with it, and what mends it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from solver.notation.describe import described
from solver.notation.endings import endings
from solver.notation.finding import Finding, columns
from solver.notation.fits import Fit, acts
from solver.notation.instructions import Act
from solver.notation.likeliest import Line
from solver.notation.mend import Mend, body_mends, count_mend, left_over, mended
from solver.notation.numbering import Numbering, range_problems
from solver.notation.reader import Read, read
from solver.notation.terms import page_terms, strangers
from solver.notation.ways import garbled
from solver.notation.words import Words, words


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
    endings : tuple of str
        For each part, what the page says of its last edge: "seamed", "cinched", "closed", "opened" or "".
    """

    terms: str
    declared: bool
    language: str
    lines: tuple[ProofLine, ...]
    endings: tuple[str, ...] = ()

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
    numbering = Numbering(lines)
    table = words(found.page.lexicon.code)
    out: list[ProofLine] = []
    for i, line in enumerate(lines):
        after = next((one for one in lines[i + 1 : i + 3] if one.part == line.part), None)
        problems = [
            *_reading_problems(line, after),
            *numbering.problems(i),
            *range_problems(line),
            *(
                Finding("terms", message, fix, "", *columns(line, start, end))
                for message, fix, start, end in alien.get(i, ())
            ),
        ]
        out.append(_proof_line(line, tuple(problems), table))
    return Proof(terms, declared, found.page.lexicon.code, tuple(out), endings(found))


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


# ---- what a line uses and makes ----------------------------------------------------------------------------


def _reading_problems(line: Line, after: Line | None) -> Iterator[Finding]:
    if line.fit is None:
        if garbled(line.entry):
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
            f"The repeat does not fit: of {there} stitches {fit.first.fill} repeats leave {over} over."
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
        kind, message, fix, "", *columns(line, line.entry.tokens[0].start, line.entry.tokens[-1].end)
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
    place = columns(line, mend.start, mend.end)
    if stated is not None and kind == "count":
        found = line.fit.way.content.stated[-1] if line.fit else None
        if found is not None:
            place = columns(line, found.start, found.end)
    return Finding(kind, message, fix, mended(line, mend), *place)
