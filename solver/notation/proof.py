"""Proof-reading: what each line says, makes, needs and has; what is wrong with it, and what mends it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from solver.notation.certain import Told, borne_words, only_certain
from solver.notation.changes import wrong_change
from solver.notation.colouring import colours_of
from solver.notation.describe import described
from solver.notation.endings import endings
from solver.notation.entries import LONGEST_LINE
from solver.notation.finding import Finding, columns
from solver.notation.fits import Fit, acts
from solver.notation.instructions import Act
from solver.notation.likeliest import Line
from solver.notation.numbering import Numbering, range_problems
from solver.notation.reader import Read, read
from solver.notation.sizes import sizes
from solver.notation.strange import halves_differ
from solver.notation.sums import reading_problems, usual_repeats
from solver.notation.terms import page_terms, strangers
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
        How its part was begun ("ring", "chain", "joined chain"; "legs" round both; empty in its midst), and
        the chains of it.
    fit : Fit or None
        How it was read; None when it could not be.
    implied : int
        Plain rounds before it that a line further up told for all ("Rnd 2 and all even rnds").
    colours : tuple of tuple of str
        For each round the colour of each stitch that it makes; empty where the page doesn't tell.
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
    implied: int = 0
    colours: tuple[tuple[str, ...], ...] = ()

    @property
    def stitches(self) -> tuple[tuple[Act, ...], ...]:
        """Every stitch of each round."""
        return acts(self.fit) if self.fit is not None else ()

    def as_dict(self) -> dict[str, Any]:
        """Return what was found of it as plain data."""
        return {
            "line": self.line,
            "text": self.text,
            "label": self.label,
            "rounds": list(self.rounds),
            "stated": self.stated,
            "made": self.made,
            "needed": self.needed,
            "available": self.available,
            "reading": self.reading,
            "counts": list(self.counts),
            "notes": list(self.notes),
            "part": self.part,
            "problems": [asdict(one) for one in self.problems],
        }


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
    parts : tuple of str
        The name of each part, by its heading; empty where it has none.
    """

    terms: str
    declared: bool
    language: str
    lines: tuple[ProofLine, ...]
    endings: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()

    @property
    def clean(self) -> bool:
        """Whether nothing is wrong."""
        return not any(line.problems for line in self.lines)


def proof_read(text: str) -> Proof:
    """Proof-read a page of written rounds, in any notation, single crochet in the round.

    Where lines tell several sizes side by side the first is returned, with what is wrong in either.
    """
    first, *others = (proof_of(read(one)) for one in sizes(text))
    for which, other in zip(_WHICH, others, strict=False):
        first = _with_size(first, other, text.split("\n"), which)
    return first


_WHICH = ("second", "third", "fourth", "fifth")


def _with_size(first: Proof, other: Proof, texts: list[str], which: str) -> Proof:
    """Return a page of several sizes, the lines as they were written, with the mistakes of a further one."""
    seconds = {(line.line, line.label): line for line in other.lines}
    lines = []
    for line in first.lines:
        text = line.text if "\n" in line.text else texts[line.line - 1].strip()
        second = seconds.get((line.line, line.label))
        if second is None or (second.made == line.made and not second.problems):
            lines.append(replace(line, text=text if line.text.strip() in texts[line.line - 1] else line.text))
            continue
        told = tuple(
            replace(one, message=f"In the {which} size: {one.message}", mended="") for one in second.problems
        )
        note = f"Several sizes: the {which} makes {second.made}."
        lines.append(replace(line, text=text, notes=(*line.notes, note), problems=(*line.problems, *told)))
    return replace(first, lines=tuple(lines))


def proof_of(found: Read) -> Proof:
    """Proof-read a page that was read."""
    terms, declared = page_terms(found)
    alien = strangers(found, terms, declared=declared)
    lines = found.lines
    numbering = Numbering(lines, found.page)
    table = words(found.page.lexicon.code)
    usual, borne = usual_repeats(lines), borne_words(lines)
    gathered: list[Told] = []
    for i, line in enumerate(lines):
        before = lines[i - 1] if i and lines[i - 1].part == line.part else None
        certain = _certain(line, before)
        after = next((one for one in lines[i + 1 : i + 3] if one.part == line.part), None)
        problems = [
            *(replace(one, sure=one.sure and certain) for one in reading_problems(line, after, usual, borne)),
            *wrong_change(line),
            *halves_differ(line, found.page.lexicon.code),
            *numbering.problems(i),
            *range_problems(line),
            *(
                Finding("terms", message, fix, "", *columns(line, start, end))
                for message, fix, start, end in alien.get(i, ())
            ),
        ]
        last_here = i + 1 == len(lines) or lines[i + 1].entry.line != line.entry.line
        if last_here and line.entry.line in found.page.cut:
            message = (
                f"Only the first {LONGEST_LINE} signs of this line are read: break it where rounds begin."
            )
            problems.append(Finding("unread", message))
        gathered.append(Told(problems, [*_borne(line, borne), *numbering.notes(i)]))
    only_certain(lines, gathered)
    out: list[ProofLine] = []
    for i, (line, one) in enumerate(zip(lines, gathered, strict=True)):
        before = lines[i - 1] if i and lines[i - 1].part == line.part else None
        last = before.rounds[-1] if before is not None and before.rounds else 0
        implied = int(bool(line.every and last and line.rounds and line.rounds[0] == last + 2))
        shown = _proof_line(line, tuple(one.problems), table, implied)
        out.append(replace(shown, notes=(*shown.notes, *one.notes, *_slips(line, found))))
    told = _with_colours(out, found)
    return Proof(terms, declared, found.page.lexicon.code, told, endings(found), _names(found))


def _borne(line: Line, borne: Mapping[str, str]) -> list[str]:
    word = line.fit.way.content.unknown if line.fit is not None else ""
    return [f'"{word}" is taken as {borne[word]}: so all its lines come out.'] if word in borne else []


def _with_colours(out: list[ProofLine], found: Read) -> tuple[ProofLine, ...]:
    """Return lines with the colours of their stitches; a yarn stays in hand until the page changes it."""
    palette = found.page.colours
    if not palette.names:
        return tuple(out)
    told, in_hand = [], ""
    changes = sorted((palette.changes or {}).items())
    for line, read_line in zip(out, found.lines, strict=True):
        while changes and changes[0][0] < line.line:
            in_hand = changes.pop(0)[1]
        colours = colours_of(read_line, palette, in_hand)
        told.append(replace(line, colours=colours))
        in_hand = colours[-1][-1] if colours and colours[-1] else in_hand
    return tuple(told)


def _names(found: Read) -> tuple[str, ...]:
    """Return the name of each part: the last heading before it."""
    names = []
    before = 0
    for part in range(found.lines[-1].part + 1 if found.lines else 0):
        here = [line.entry.line for line in found.lines if line.part == part]
        first = min(here, default=before)
        names.append(next((name for at, name in reversed(found.page.titles) if before < at <= first), ""))
        before = max(here, default=before)
    return tuple(names)


def _certain(line: Line, before: Line | None) -> bool:
    """Tell whether a line, and the one before it, could only be read in one way."""
    fit = line.fit
    if fit is None:
        return True
    plain = fit.way.is_plain and not fit.way.reading.taken
    known = not any(token.cls == "z" for token in fit.way.content.body)
    sound = before is None or (before.fit is not None and before.fit.comes_out)
    return (
        plain and known and sound and not fit.at_word and not (before and before.fit and before.fit.at_word)
    )


def _proof_line(line: Line, problems: tuple[Finding, ...], table: Words, implied: int) -> ProofLine:
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
        needed=fit.first.uses
        if fit and not fit.at_word and (fit.there is not None or not line.begun.kind)
        else None,
        available=fit.there if fit else None,
        counts=fit.counts if fit else (),
        reading=_reading(fit, table) if fit else "",
        notes=_notes(line),
        problems=problems,
        part=line.part,
        begun=line.begun.kind or ("legs" if any(token.cls == "Y" for token in line.entry.tokens) else ""),
        chain=line.begun.chain,
        fit=fit,
        implied=implied,
    )


def _slips(line: Line, found: Read) -> Iterator[str]:
    """Yield the misspelt words of a line, with the stitch that each is taken for."""
    folded = line.entry.folded.text
    for word in dict.fromkeys(folded[token.start : token.end] for token in line.entry.tokens):
        if word in found.page.slips:
            yield f'Taken as: "{word}" is {found.page.slips[word]}, misspelt.'


def _reading(fit: Fit, table: Words) -> str:
    if fit.at_word:
        return "read in part: " + ", ".join(map(str, fit.counts))
    if fit.given:
        return "as in that part: " + ", ".join(map(str, fit.counts))
    return described(fit.way.reading.node, table, fit.first.fill)


def _notes(line: Line) -> tuple[str, ...]:
    fit = line.fit
    if fit is None:
        return ()
    if fit.at_word:
        return (f"Read in part: taken at the {fit.counts[-1]} that it states.",)
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
