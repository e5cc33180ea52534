"""What goes on a sheet: one part, several, or one part in several sizes, in the order in which it is read."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from solver.notation.words import words
from solver.notation.writer import LineKind, each_round, standing_notes, write_rounds
from solver.rounds import Start, Stitch
from solver.sentences.say import Sentences, sentences
from solver.sheet.model import (
    Block,
    Copy,
    Form,
    Heading,
    Picture,
    Points,
    Room,
    Sheet,
    Step,
    Steps,
    Words,
)
from solver.sheet.supplies import needs
from solver.units import Length
from solver.wanted.gauge import FIRMNESS

if TYPE_CHECKING:
    from solver.notation.writer import Line
    from solver.solving.solved import Solved
    from solver.wanted.own_lines import OwnLines

_EASY = {Stitch.SC, Stitch.INC, Stitch.DEC}
_MOST_POINTS = 30_000
"""Nodes of a form that a page turns."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPart:
    """A part on a sheet.

    Attributes
    ----------
    name : str
    solved : Solved
    make : int
        How many of it.
    pictures : tuple of Picture
        Of its form.
    charts : tuple of Block
    told : tuple of Step
        Rounds that someone wrote, laid out as they are; left out: written anew.
    label : str
        Of a size ("M"); empty where there is one.
    after : tuple of Block
        What follows its rounds.
    """

    name: str
    solved: Solved
    make: int = 1
    pictures: tuple[Picture, ...] = ()
    charts: tuple[Block, ...] = ()
    told: tuple[Step, ...] = ()
    label: str = ""
    after: tuple[Block, ...] = ()

    @property
    def heading(self) -> str:
        """Its name, with its size."""
        return f"{self.name}, {self.label}" if self.label else self.name


@dataclass(frozen=True, slots=True, kw_only=True)
class Whole:
    """What is told of the whole.

    Attributes
    ----------
    title : str
    lines : OwnLines
        The designer's.
    pictures : tuple of Picture
        On the first page.
    sizes : tuple of str
        Of the whole, as sentences; left out: those of the parts.
    joining : tuple of Block
        How the parts are put together.
    cautions : tuple of str
        Of the whole; left out: those of the parts.
    """

    title: str
    lines: OwnLines
    pictures: tuple[Picture, ...] = ()
    sizes: tuple[str, ...] = ()
    joining: tuple[Block, ...] = ()
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = field(default=())


def sheet_of(whole: Whole, parts: Sequence[SheetPart], copy: Copy, *, forms: bool = False) -> Sheet:
    """Return the sheet of a pattern.

    Parameters
    ----------
    whole : Whole
    parts : sequence of SheetPart
        In the order of work, at least one.
    copy : Copy
        Whom it is for.
    forms : bool
        With the forms, for pages that can turn them.
    """
    say = sentences(copy.terms)
    body: list[Block] = [
        *_front(whole, parts, say),
        *_gauge(parts[0].solved, say),
        *needs(whole.lines, [(part.label, part.solved, part.make) for part in parts], say, large=copy.large),
        *_reading(parts, copy, say),
    ]
    if whole.notes:
        body.append(Points(whole.notes))
    if copy.tester:
        body += [Heading(say.say("tester")), Room(say.say("tester_name")), Room(say.say("tester_tools"))]
    for part in parts:
        body += _part(part, copy, say, forms=forms)
    body += [*whole.joining, *_end(whole, parts, say)]
    return Sheet(
        title=whole.title,
        language=say.language,
        copy=copy,
        blocks=tuple(body),
        missing=_missing(copy, say),
    )


def _front(whole: Whole, parts: Sequence[SheetPart], say: Sentences) -> Iterator[Block]:
    yield Heading(whole.title, 1)
    if whole.lines.by:
        yield Words(say.say("by", name=whole.lines.by))
    yield from whole.pictures
    yield Heading(say.say("size"))
    if whole.sizes:
        yield Points(whole.sizes)
    elif len(parts) == 1:
        yield Points(tuple(f"{size[:1].upper()}{size[1:]}." for size in _sizes(parts[0].solved, say)))
    else:
        yield Points(tuple(f"{part.heading}: {_size(part.solved, say)}." for part in parts))
    yield Heading(say.say("skill"))
    yield Words(whole.lines.skill or _skill(parts, say))


def size_words(solved: Solved, copy: Copy) -> str:
    """Return the size of a part in words, in the language of a copy, to stand within a sentence."""
    return ", ".join(_sizes(solved, sentences(copy.terms)))


def _size(solved: Solved, say: Sentences) -> str:
    text = ", ".join(_sizes(solved, say))
    return text[:1].upper() + text[1:]


def _sizes(solved: Solved, say: Sentences) -> list[str]:
    """Return each size with its name; the two are never parted at the end of a line."""
    got = solved.got
    told = [(name, getattr(got, name)) for name in ("length", "width", "height")]
    sizes = [(name, mm) for name, mm in told if mm and (name != "height" or not solved.form.is_flat)]
    return [f"{say.within(name)}\N{NO-BREAK SPACE}{say.length(mm)}" for name, mm in sizes]


def _skill(parts: Sequence[SheetPart], say: Sentences) -> str:
    pieces = [part.solved.piece for part in parts]
    more = []
    if any(piece.start is Start.CHAIN for piece in pieces):
        more.append("skill_chain")
    if any(len({name for own in part.solved.colours for name in own}) > 1 for part in parts):
        more.append("skill_colours")
    if any(set(this.stitches) - _EASY for piece in pieces for this in piece.rounds):
        more.append("skill_heights")
    what = ", ".join(say.within(name) for name in more)
    if more:
        return say.say("skill_more", what=what)
    return say.say("skill_easy_rows" if all(piece.start is Start.ROWS for piece in pieces) else "skill_easy")


def _gauge(solved: Solved, say: Sentences) -> Iterator[Block]:
    gauge = solved.part.gauge
    across, along = (float(f"{100.0 / size:.3g}") for size in (gauge.stitch_width, gauge.row_height))
    wide, tall = (Length(10.0 * size) for size in (gauge.stitch_width, gauge.row_height))
    yield Heading(say.say("gauge"))
    rows = "_rows" if solved.piece.start is Start.ROWS else ""
    yield Words(say.say(f"gauge_text{rows}", across=across, along=along))
    yield Words(say.say(f"gauge_check{rows}", wide=wide, tall=tall))


_SAYS_NOTHING = re.compile(r"(.+?) ?[:：] ?\1[.。]")
"""A meaning that is the abbreviation again, in languages that write words out."""


def _reading(parts: Sequence[SheetPart], copy: Copy, say: Sentences) -> Iterator[Block]:
    """Yield the key to abbreviations, only those used, and what a beginner must know."""
    table = say.table
    notes: dict[str, None] = {}
    for part in parts:
        colours = part.solved.colours
        piece = part.solved.piece
        joined = part.solved.part.work.joined
        own = standing_notes(piece, terms=copy.terms, spelled=copy.spelled, colours=colours, joined=joined)
        rings = piece.counts[0]
        no_ring = table.say("notes", "no_ring", n=rings)
        if len(parts) > 1:  # each ring has its own number, which its round 1 tells
            own = tuple(note.replace(f"{rings} ", "") if note == no_ring else note for note in own)
        notes.update(dict.fromkeys(own))
    names = ["ch", *Stitch]
    meanings = {table.say("notes", name, n=1) for name in names if table.has("notes", name)}
    key = tuple(note for note in notes if note in meanings and not _SAYS_NOTHING.fullmatch(note))
    if key:
        yield Heading(say.say("key"))
        yield Points(key)
    yield Heading(say.say("know"))
    left = (say.say("left"),) if copy.left else ()
    known = {*meanings, table.say("notes", "left_handed")} if copy.left else meanings
    yield Points((*left, say.say("tick"), *(note for note in notes if note not in known)))


def _worked(part: SheetPart) -> str:
    """Return the name of the sentence for what a part is worked in."""
    return "rows" if part.solved.piece.start is Start.ROWS else "rounds"


def _firmness(solved: Solved) -> str:
    """Return the word for a firmness that comes nearest to a part's stuffing, as sentences are named."""
    stretch = np.log(solved.part.stuffing.stretch)
    return min(FIRMNESS, key=lambda word: abs(float(np.log(FIRMNESS[word]) - stretch))).replace(" ", "_")


def _part(part: SheetPart, copy: Copy, say: Sentences, *, forms: bool) -> Iterator[Block]:
    if part.make > 1:
        yield Heading(f"{part.heading} ({say.within('make', n=part.make)})")
    else:
        yield Heading(part.heading if part.label else f"{part.name}: {say.within(_worked(part))}")
    yield from part.pictures
    if forms:
        yield _form(part, copy, say)
    firm = (Step(say.say(f"filling_{_firmness(part.solved)}")),) if part.solved.part.is_stuffed else ()
    yield Steps(part.heading, (*firm, *(part.told or steps(part.solved, copy))))
    yield from part.charts
    yield from part.after
    if copy.tester:
        count = len(part.solved.piece.rounds)
        yield Room(say.say("tester_count", name=part.heading, n=count))
        for name in ("tester_size", "tester_time", "tester_yarn"):
            yield Room(say.say(name, name=part.heading))
        yield Room(say.say("tester_question", name=part.heading), 3)


def steps(solved: Solved, copy: Copy, *, between: Sequence[tuple[int, str]] = ()) -> tuple[Step, ...]:
    """Return the rounds of a part as lines, with what is done between them.

    Parameters
    ----------
    solved : Solved
    copy : Copy
    between : sequence of (int, str)
        Further lines, each with the round that it follows; none stands behind what closes the part.
    """
    lines = write_rounds(
        solved.piece,
        terms=copy.terms,
        spelled=copy.spelled,
        stuffed=solved.part.is_stuffed,
        colours=solved.colours,
    )
    alone: tuple[str, ...] = ()
    if copy.large:
        alone = each_round(solved.piece, terms=copy.terms, spelled=copy.spelled, colours=solved.colours)
    waiting = sorted(between)
    told: list[Step] = []
    for line in lines:
        while waiting and (line.first > waiting[0][0] + 1 or line.kind is LineKind.FINISH):
            told.append(Step(waiting.pop(0)[1]))
        told += _steps(line, alone)
    return tuple(told)


def _steps(line: Line, alone: Sequence[str]) -> Iterator[Step]:
    if line.kind is not LineKind.ROUND:
        yield Step(line.text)
    elif alone and line.last > line.first:
        for number in range(line.first, line.last + 1):
            yield Step(alone[number - 1], number, number)
    else:
        yield Step(line.text, line.first, line.last)


def _form(part: SheetPart, copy: Copy, say: Sentences) -> Form:
    """Return the form of a part to be turned; mirrored for the left hand."""
    form = part.solved.standing
    fabric = form.fabric
    way = slice(None, None, -1) if copy.left else slice(None)
    points = np.round(form.points * ([-1.0, 1.0, 1.0] if copy.left else [1.0, 1.0, 1.0]), 1)
    faces = [*fabric.quads[:, way].tolist(), *fabric.triangles[:, way].tolist()]
    return Form(
        points=tuple(map(tuple, points.tolist())),
        faces=tuple(map(tuple, faces)),
        rounds=(*fabric.quad_round.tolist(), *fabric.triangle_round.tolist()),
        hollow=form.is_open,
        name=part.heading,
        words=say.say("form", name=part.heading),
    )


def _end(whole: Whole, parts: Sequence[SheetPart], say: Sentences) -> Iterator[Block]:
    of_parts = (say.tell(told) for part in parts for told in part.solved.cautions)
    cautions = dict.fromkeys(whole.cautions or of_parts)
    if cautions:
        yield Heading(say.say("cautions"))
        yield Points(tuple(cautions))
    own = [line for line in (whole.lines.thanks, whole.lines.shop_line, whole.lines.licence) if line]
    if own:
        yield Heading(say.say("about"))
        for line in own:
            yield Words(line)


def _missing(copy: Copy, say: Sentences) -> tuple[str, ...]:
    """Return what stands in English on a sheet of another language."""
    if say.is_english:
        return ()
    told: Mapping[str, bool] = {
        f"{len(say.lacking)} fixed sentences": bool(say.lacking),
        "the notes on how to read rounds": words(copy.terms).say("notes", "spiral")
        == words("US").say("notes", "spiral"),
    }
    return tuple(what for what, is_so in told.items() if is_so)
