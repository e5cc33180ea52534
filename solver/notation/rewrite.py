"""A page written anew in one clean style: the work is kept, and so is what the author says beside it.

Each line with rounds is written from the stitches that were read; headings, remarks, colours and loops stay
where they stood. The new page is then read itself: a line that does not come back as the same stitches, or on
which something is wrong, stays as its author wrote it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from collections.abc import Sequence as Seq
from dataclasses import dataclass, field

from solver.notation.convert import converted
from solver.notation.dialect import declared_terms
from solver.notation.entries import BREAK
from solver.notation.fold import fold
from solver.notation.likeliest import Line
from solver.notation.linebreaks import WIDTH, bound, broken
from solver.notation.proof import Proof, ProofLine, proof_of, proof_read
from solver.notation.reader import Read, read
from solver.notation.retold import Retold, retold, why_kept
from solver.notation.sizes import sizes
from solver.notation.tokens import tokens
from solver.notation.words import Words, words
from solver.rounds import Piece

#: Times that the new page is read and mended before the author's own is given back.
_TRIES = 8


@dataclass(frozen=True, slots=True)
class Rewritten:
    """A page written anew.

    Attributes
    ----------
    text : str
        The page.
    changed : tuple of int
        Lines (of the old page) whose rounds are written in another way.
    kept : tuple of (int, str)
        Lines with rounds that stay as they were, each with the reason.
    table : str
        Word table that it is written in.
    spelled : bool
        Whether its rounds are spelled out.
    """

    text: str
    changed: tuple[int, ...]
    kept: tuple[tuple[int, str], ...]
    table: str
    spelled: bool = False


def rewritten(text: str, *, terms: str = "", spelled: bool = False) -> Rewritten:
    """Write a page anew.

    Parameters
    ----------
    text : str
        A page of written rounds.
    terms : str, optional
        "US" or "UK"; left out, the words of the page.
    spelled : bool, optional
        In full: no brackets, no abbreviations. Short all the same where the language has no words for that.
    """
    found = read(text)
    own = found.page.lexicon.code
    code = f"en-{terms}" if terms else own if words(own).written else "en-US"
    spelled = spelled and words(code).spells
    job = _Job(text, found, proof_of(found), words(code), spelled)
    if len(sizes(text)) > 1:
        job.keep = dict.fromkeys(range(len(found.lines)), "two sizes in one line")
    for _ in range(_TRIES):
        draft = job.draft()
        unlike = job.unlike(draft)
        if not unlike:
            return job.result(draft)
        job.keep.update(dict.fromkeys(unlike, "in the new words it would not be read as the same stitches"))
    job.keep = {
        i: job.keep.get(i, "the page as a whole would be read otherwise") for i in range(len(found.lines))
    }
    return job.result(job.draft())


@dataclass(slots=True)
class _Draft:
    """Lines on their way, and for each line of rounds the old line that it comes from."""

    lines: list[str] = field(default_factory=list)
    origin: dict[int, int] = field(default_factory=dict)

    def add(self, text: str, index: int | None = None, *, as_it_is: bool = False) -> None:
        """Add a line, broken where it is long."""
        if index is not None:
            self.origin[len(self.lines) + 1] = index
        if "\n" in text or len(text) <= WIDTH or as_it_is:
            self.lines += text.split("\n")
            return
        self.lines += _broken(text)


#: A colour stands on the line of its stitches.
_NAMED = re.compile(r"[(\[][^()\[\]\d]{1,40}[)\]] (?:\d+ )?|with [^,:]{1,40}: ")
#: What a line that goes on must not begin with: it would be read as a round of its own.
_LIKE_A_ROUND = re.compile(r"\s*(?:#|[^\W\d_]{1,7}\.?\s?)?\d+\s*[:.,)=-]")


def _broken(text: str) -> list[str]:
    """Return a line broken to a width at which nothing that goes on looks like a round."""
    whole = bound(text, _NAMED)
    for width in range(WIDTH, WIDTH // 2, -4):
        lines = broken(whole, width=width)
        if not any(map(_LIKE_A_ROUND.match, lines[1:])):
            return lines
    return [text]


class _Job:
    """One page on its way from the old words to the new."""

    def __init__(self, text: str, found: Read, proof: Proof, table: Words, spelled: bool) -> None:
        self.rows = [part for line in text.splitlines() or [""] for part in BREAK.split(line)]
        self.numbers = [i for i, line in enumerate(text.splitlines() or [""], 1) for _ in BREAK.split(line)]
        self.found, self.proof, self.table, self.spelled = found, proof, table, spelled
        self.keep: dict[int, str] = {}
        self.pieces: dict[int, Piece | None] = {one.part: one.piece for one in converted(proof)}
        own = found.page.lexicon.code
        #: The words of a page change from one English set to the other.
        self.turned = own.startswith("en-") and table.code.startswith("en-") and own != table.code
        self.foreign = "" if own.startswith("en-") or own in ("letters", table.code) else words(own).name
        for i, (line, told) in enumerate(zip(found.lines, proof.lines, strict=True)):
            why = why_kept(line, told)
            if why:
                self.keep[i] = why

    def draft(self) -> _Draft:
        """Return the new page as it stands."""
        out = _Draft()
        at: dict[int, list[int]] = {}
        for i, line in enumerate(self.found.lines):
            at.setdefault(line.entry.line, []).append(i)
        if self.turned and not self.found.page.declared:
            out.add(self.table.say("notes", "terms"))
        skip: set[int] = set()
        done: set[int] = set()
        for row, number in zip(self.rows, self.numbers, strict=True):
            here = at.get(number, [])
            if not here or number in done:
                if number not in skip and number not in done:
                    out.add(self._remark(row))
                continue
            done.add(number)
            self._rounds(
                out, [one for one, at_ in zip(self.rows, self.numbers, strict=True) if at_ == number], here
            )
            last = max(self.found.lines[i].entry.text.count("\n") for i in here)
            skip.update(range(number + 1, number + last + 1))
        return out

    def _rounds(self, out: _Draft, rows: Seq[str], here: Seq[int]) -> None:
        """Add the rounds of one old line, with what stands before and between them."""
        place = 0
        row = rows[0]
        for i in here:
            line = self.found.lines[i]
            start = line.entry.offset
            if len(rows) == 1 and row[place:start].strip(" -*·•"):
                out.add(self._remark(row[place:start].rstrip()))
            place = max(place, start + len(line.entry.text.split("\n")[0]))
            for text in self._line(i, line, self.proof.lines[i]):
                out.add(text, i, as_it_is=i in self.keep)
        if len(rows) == 1 and row[place:].strip():
            out.add(self._remark(row[place:].strip()))

    def _line(self, i: int, line: Line, told: ProofLine) -> Iterator[str]:
        if i not in self.keep:
            new = self._retold(line, told)
            if new is not None:
                yield from new.lines
                return
            self.keep[i] = "it can't be told in one clean line"
        yield self._in_terms(line.entry.text)

    def _retold(self, line: Line, told: ProofLine) -> Retold | None:
        piece = self.pieces.get(told.part)
        words_, colours = self._in_terms, self.found.page.colours
        return retold(line, told, self.table, piece, spelled=self.spelled, turned=words_, palette=colours)

    def _remark(self, text: str) -> str:
        """Return a line that holds no rounds: in the author's words, marked where they are foreign."""
        if self.turned and self.found.page.declared and self._declares(text):
            return self.table.say("notes", "terms")
        if self.foreign and text.strip():
            return f"[{self.foreign}] {text.strip()}"
        return self._in_terms(text)

    def _declares(self, text: str) -> bool:
        return bool(declared_terms([fold(text).text]))

    def _in_terms(self, text: str) -> str:
        """Return a line of the author's with the names of stitches in the new terms."""
        if not self.turned:
            return text
        folded = fold(text)
        out, place = [], 0
        for token in tokens(folded, self.found.page.lexicon):
            if token.cls != "s" or token.text not in self.table.word:
                continue
            first, last = folded.place(token.start), folded.place(token.end - 1) + 1
            name = self.table[token.text]
            old = text[first:last]
            out += [text[place:first], name.short if len(old) <= _SHORT else name.one]
            place = last
        return "".join([*out, text[place:]])

    def unlike(self, draft: _Draft) -> list[int]:
        """Return the old lines that the new page does not say again, or for which another one does not."""
        again: dict[int, list[tuple[object, ...]]] = {}
        told: dict[int, set[str]] = {}
        stray = False
        for new in proof_read("\n".join(draft.lines)).lines:
            index = draft.origin.get(new.line)
            if index is None:
                stray = stray or bool(new.counts)
                continue
            again.setdefault(index, []).extend(_work(new))
            told.setdefault(index, set()).update(one.kind for one in new.problems)
        free = [i for i in range(len(self.found.lines)) if i not in self.keep]
        wrong = []
        for i, (line, old) in enumerate(zip(self.found.lines, self.proof.lines, strict=True)):
            problems = {one.kind for one in old.problems}
            same = again.get(i, []) == _work(old) and told.get(i, set()) <= problems
            if same or (line.fit is None and i in self.keep):
                continue
            # A line that stays as it was, and is read otherwise now, hangs on one beside it.
            near = [one for one in (i, i - 1, i + 1) if one in free] or free[:1]
            wrong += near[:1] if i in free else near
        if stray and not wrong:
            return free[:1]
        return list(dict.fromkeys(wrong))

    def result(self, draft: _Draft) -> Rewritten:
        """Return the new page with what became of each line."""
        texts = "\n".join(draft.lines)
        lines = self.found.lines
        changed = tuple(dict.fromkeys(line.entry.line for i, line in enumerate(lines) if i not in self.keep))
        kept = tuple((lines[i].entry.line, why) for i, why in sorted(self.keep.items()))
        return Rewritten(texts + "\n", changed, kept, self.table.code, self.spelled)


#: Letters of an abbreviation; what is longer is a name in full.
_SHORT = 5


def _work(line: ProofLine) -> list[tuple[object, ...]]:
    """Return the stitches of each round of a line, but for what leaves none, with their colours."""
    rounds = [tuple(act for act in acts if act.uses or act.makes) for acts in line.stitches]
    return list(zip(rounds, line.colours or ((),) * len(rounds), strict=True))
