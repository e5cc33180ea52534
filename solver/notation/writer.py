"""Rounds put into words: short lines in one house style, or every line spelled out in full."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby

from solver.notation.coloured import by_stitch, colored_chain, colored_ring, colored_text, handlings
from solver.notation.filling import stuffing_lines
from solver.notation.leg_words import onto_legs, round_legs
from solver.notation.oval_words import oval_text
from solver.notation.row_words import row_line
from solver.notation.stitch_words import item, notes
from solver.notation.stitch_words import spelled as in_full
from solver.notation.words import Words, words
from solver.rounds import Finish, Piece, Round, Start, Stitch
from solver.rounds.repeats import told

#: Stitches that a whole round of is told with an x: "inc x 6".
_WHOLE = (Stitch.INC, Stitch.INC3, Stitch.DEC, Stitch.DEC3)


class LineKind(StrEnum):
    """What a line tells the maker."""

    START = "start"
    ROUND = "round"
    STUFFING = "stuffing"
    COLOUR = "colour"
    FINISH = "finish"


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a written piece.

    Attributes
    ----------
    kind : LineKind
        What it tells.
    first, last : int
        Numbers of the rounds that it covers; for the other kinds both are the number of the round that it
        stands before (one more than there are rounds at the end of the piece).
    text : str
        As it is printed.
    """

    kind: LineKind
    first: int
    last: int
    text: str


def round_text(this: Round, table: Words, *, spelled: bool = False) -> str:
    """Write what one round does, without its number and its count.

    Parameters
    ----------
    this : Round
        The round.
    table : Words
        The words of a language.
    spelled : bool, optional
        In full: every stitch told in order, without brackets, symbols and abbreviations.

    Returns
    -------
    str
        "(2 sc, inc, 2 sc) x 6": as few things to read as can be, then as few characters. The number always
        stands before the stitch. What a number stands after with an x (a bracket, or the one stitch of a
        whole round: "inc x 6") is worked so many times in all. Brackets are never nested, and only that of a
        round which is one repeat all through splits a run of like stitches.
    """
    if spelled:
        return in_full(table, this.runs)
    runs = this.runs
    if len(runs) == 1 and runs[0][1] > 1 and runs[0][0] in _WHOLE:
        stitch, number = runs[0]
        return table.say("terse", "whole_round", stitch=table[stitch].short, n=number)
    between = table.say("terse", "between")
    pieces = told(
        this.stitches,
        width=lambda stitch, number: len(item(table, stitch, number)),
        leads=lambda stitch: stitch is not Stitch.SC,
    )
    bodies = [(between.join(item(table, *run) for run in piece.runs), piece.times) for piece in pieces]
    return between.join(
        body if times == 1 else table.say("terse", "repeat", items=body, n=times) for body, times in bodies
    )


def write_rounds(
    piece: Piece,
    *,
    terms: str = "US",
    spelled: bool = False,
    stuffed: bool = True,
    colours: Sequence[str | Sequence[str]] = (),
) -> tuple[Line, ...]:
    """Write a piece from its start to its finish.

    Parameters
    ----------
    piece : Piece
        Begun with a ring, open or along a chain.
    terms : str, optional
        "US", "UK" or the name of a word table.
    spelled : bool, optional
        In full, for reading voices and for makers who want every stitch told: each round has a line of its
        own, without brackets, symbols and abbreviations.
    stuffed : bool, optional
        Lines tell when to stuff it.
    colours : sequence of str or of sequence of str, optional
        The colour of each round, or of each stitch that it makes. A line stands before the start and before
        each round in one other colour; in a round of several each stands before its stitches, and lines tell
        what is done with the yarns meanwhile.

    Returns
    -------
    tuple of Line
        Each round is covered by one line, and each line ends with the count. Rounds that follow each other
        and are worked alike, in the same colours, share one, with their number.

    Raises
    ------
    InputError
        If the terms are unknown.
    ValueError
        If there are colours, and not one a round, or not one a stitch.
    """
    table = words(terms)
    stuffing = stuffing_lines(piece) if stuffed and piece.start is not Start.ROWS else {}
    names = by_stitch(piece, colours)
    changes = _changes(names, table)
    lines = [*changes.get(1, ()), *_start(piece, table)]
    turns = {number: told for number, told in changes.items() if number > 1}
    for first, last, this in _alike(piece, names, turns, spelled=spelled):
        if first in stuffing:
            lines.append(_plain(LineKind.STUFFING, first, table, stuffing[first]))
        lines += turns.get(first, ())
        own = names[first - 1] if names else ()
        text = _round_line(piece, first, last, this, table, spelled=spelled, names=own)
        lines.append(Line(LineKind.ROUND, first, last, text))
    end = len(piece.rounds) + 1
    if end in stuffing and not piece.goes_on:
        lines.append(_plain(LineKind.STUFFING, end, table, stuffing[end]))
    lines.append(_finish(piece, table))
    return tuple(lines)


def each_round(
    piece: Piece,
    *,
    terms: str = "US",
    spelled: bool = False,
    colours: Sequence[str | Sequence[str]] = (),
) -> tuple[str, ...]:
    """Write every round of a piece on a line of its own, equal ones too, and nothing else.

    Parameters
    ----------
    piece, terms, spelled, colours
        As for `write_rounds`; only rounds in several colours tell them.

    Returns
    -------
    tuple of str
        One line a round: "Rnd 6: (2 sc, inc, 2 sc) x 6 (36)".
    """
    table = words(terms)
    names = by_stitch(piece, colours) or ((),) * len(piece.rounds)
    return tuple(
        _round_line(piece, number, number, this, table, spelled=spelled, names=own)
        for number, (this, own) in enumerate(zip(piece.rounds, names, strict=True), start=1)
    )


def standing_notes(
    piece: Piece,
    *,
    terms: str = "US",
    spelled: bool = False,
    colours: Sequence[str | Sequence[str]] = (),
    joined: bool = False,
) -> tuple[str, ...]:
    """Return what the reader of a piece must know once, as short notes.

    Parameters
    ----------
    piece : Piece
        The piece; notes that it doesn't need are left out.
    terms : str, optional
        As for `write_rounds`.
    spelled : bool, optional
        For lines that are spelled out.
    colours : sequence of str or of sequence of str, optional
        As for `write_rounds`.
    joined : bool, optional
        Whether each round is joined; else they run on.

    Returns
    -------
    tuple of str
        What the words mean, then how to work and how to read, then other ways to begin and to work.
    """
    table = words(terms)
    used = {stitch for this in piece.rounds for stitch in this.stitches}
    worked = "rows" if (in_rows := piece.start is Start.ROWS) else "joined" if joined else "spiral"
    if spelled:
        wanted = ["terms"]
        wanted += ["inc_spelled"] * (Stitch.INC in used)
        wanted += ["dec_spelled"] * bool({Stitch.DEC, Stitch.DEC3} & used)
        wanted += ["heights_spelled"] * bool({stitch.plain for stitch in used} - {Stitch.SC})
        wanted += [worked, "count_rows_spelled" if in_rows else "count_spelled"]
    else:
        wanted = [
            "terms",
            *["ch"] * (piece.start in (Start.CHAIN, Start.ROWS)),
            "sc",
            *notes(table, (stitch for stitch in Stitch if stitch in used - {Stitch.SC})),
        ]
        wanted += [worked, "number_first"]
        wanted += ["brackets"] * (used != {Stitch.SC}) + ["count_rows" if in_rows else "count"]
    wanted += ["no_ring"] * (piece.start is Start.RING)
    names = by_stitch(piece, colours)
    if any(len(set(own)) > 1 for own in names):
        wanted += ["color_within_spelled" if spelled else "color_within"]
    else:
        wanted += ["color"] * (len({name for own in names for name in own}) > 1)
    wanted += ["left_handed_rows" if in_rows else "left_handed"]
    return tuple(table.say("notes", note, n=piece.counts[0]) for note in wanted)


def _plain(
    kind: LineKind, number: int, table: Words, sentence: str, *, n: int = 0, name: str = "", other: int = 0
) -> Line:
    text = table.say("plain", sentence, number=number, n=n, half=n // 2, name=name, other=other)
    return Line(kind, number, number, text)


def _changes(colours: Sequence[tuple[str, ...]], table: Words) -> dict[int, list[Line]]:
    """Return the lines that tell of colours, by the number of the round that they stand before."""
    if not colours:
        return {}
    several = any(len(set(names)) > 1 for names in colours)
    lines: dict[int, list[Line]] = {1: []}
    if several:
        every = ", ".join(dict.fromkeys(name for names in colours for name in names))
        lines[1].append(_plain(LineKind.COLOUR, 1, table, "color_all", name=every))
    lines[1].append(_plain(LineKind.COLOUR, 1, table, "color_first", name=colours[0][0]))
    for each in handlings(colours) if several else ():
        told = _plain(
            LineKind.COLOUR, each.before, table, each.sentence, n=len(each.names), name=", ".join(each.names),
            other=each.next_round,
        )  # fmt: skip
        lines.setdefault(each.before, []).append(told)
    in_hand = colours[0][0]
    for number, names in enumerate(colours, start=1):
        if len(set(names)) == 1 and names[0] != in_hand:
            change = _plain(LineKind.COLOUR, number, table, "color_change", name=names[0])
            lines.setdefault(number, []).append(change)
        in_hand = names[-1]
    return lines


def _start(piece: Piece, table: Words) -> Iterator[Line]:
    if piece.legs:
        yield Line(LineKind.START, 1, 1, onto_legs(piece.legs, table))
    elif piece.start is Start.OPEN:
        yield _plain(LineKind.START, 1, table, "start_joined", n=piece.foundation)
    if piece.start is Start.ROWS:
        yield _plain(LineKind.START, 1, table, "start_single_chain", n=piece.foundation + 1)
    if piece.start is Start.CHAIN:
        sentence = "start_chain" if piece.foundation > 2 else "start_single_chain"
        yield _plain(LineKind.START, 1, table, sentence, n=piece.foundation)


def _finish(piece: Piece, table: Words) -> Line:
    if piece.start is Start.ROWS and piece.finish is Finish.SEAMED:
        text = table.say("plain", "finish_folded", number=len(piece.rounds) // 2)
        return Line(LineKind.FINISH, len(piece.rounds) + 1, len(piece.rounds) + 1, text)
    end = len(piece.rounds) + 1
    ending = "goes_on" if piece.goes_on else f"finish_{piece.finish}"
    return _plain(LineKind.FINISH, end, table, ending, n=piece.counts[-1])


def _alike(
    piece: Piece, colours: Sequence[tuple[str, ...]], turns: Container[int], *, spelled: bool
) -> Iterator[tuple[int, int, Round]]:
    """Yield the first and last number of rounds that share a line; a first round reads like no other."""
    before = 0

    def line(numbered: tuple[int, Round]) -> tuple[int, int, tuple[str, ...], Round]:
        nonlocal before
        number, this = numbered
        alone = spelled or (number == 1 and (piece.legs is not None or piece.start is not Start.OPEN))
        alone |= piece.start is Start.ROWS and number == len(piece.rounds)  # which is not turned
        before += number in turns  # what is told between two rounds parts their lines
        return (number if alone else 0), before, (colours[number - 1] if colours else ()), this

    for (*_, this), group in groupby(enumerate(piece.rounds, start=1), key=line):
        numbers = [number for number, _ in group]
        yield numbers[0], numbers[-1], this


def _round_line(
    piece: Piece,
    first: int,
    last: int,
    this: Round,
    table: Words,
    *,
    spelled: bool,
    names: tuple[str, ...] = (),
) -> str:
    style = "spelled" if spelled else "terse"
    if piece.start is Start.ROWS:
        return row_line(piece, first, last, table, round_text, spelled=spelled)
    several = len(set(names)) > 1
    if piece.legs and first == 1 and not several:
        text = round_legs(piece.legs, table, style)
    elif several and first == 1 and piece.start is Start.CHAIN:
        text = colored_chain(piece, names, table, spelled=spelled)
    elif several and first == 1 and piece.start is Start.RING:
        text = colored_ring(this, names, table, spelled=spelled)
    elif several:
        text = colored_text(this, names, table, spelled=spelled)
    elif piece.start is Start.CHAIN:
        text = oval_text(piece, first, table, round_text, spelled=spelled)
    else:
        text = round_text(this, table, spelled=spelled)
    if first == 1 and piece.start is Start.RING and not several:
        plain = this.stitches[0].plain
        into = "into_ring" if plain is Stitch.SC else f"into_ring_{plain}"
        text = table.say(style, into if spelled else "into_ring", items=text, n=this.count)
    return table.say(
        style,
        "round" if first == last else "range",
        first=first,
        last=last,
        items=text,
        count=this.count,
        n=this.count if spelled else last - first + 1,
    )
