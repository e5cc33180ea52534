"""One line of rounds told in clean words, with its loops, joins and remarks."""

from __future__ import annotations

import re
from collections.abc import Callable
from collections.abc import Sequence as Seq
from itertools import groupby
from typing import NamedTuple

from solver.notation.coloured import Names, colored_chain, colored_ring, colored_text
from solver.notation.colouring import Palette
from solver.notation.convert import round_of
from solver.notation.instructions import Act
from solver.notation.likeliest import Line
from solver.notation.loops import loops_of
from solver.notation.oval_words import oval_text
from solver.notation.proof import ProofLine
from solver.notation.token import Token, shape
from solver.notation.words import Words
from solver.notation.writer import round_text
from solver.rounds import Piece, Round, Start
from solver.rounds.repeats import folded

#: A clause that joins or turns, and one that only begins with chains.
_JOINS = re.compile(r"[vpFocstidlnguqjz]*(?:j|u|l(?=[vpoFq]))[vpFocstidlnguqjz]*")
_BEGINS = re.compile(r"q*(?:c-?n|nc|c)q*(?:Q[sqtn]*)?")
#: Stitches that our own rounds have.
_OURS = ("sc", "hdc", "dc", "slip")
_INTO_RING = ("sc", "hdc", "dc")
_BETWEEN = re.compile("[,;.]")


class Retold(NamedTuple):
    """The lines that a line of rounds becomes."""

    lines: tuple[str, ...]


def why_kept(line: Line, told: ProofLine) -> str:
    """Return why a line is not written anew, in a few words; empty where it is."""
    if told.problems:
        return "; ".join(dict.fromkeys(one.message for one in told.problems))
    if line.fit is None or not told.counts:
        return "no round was read in it"
    if not told.rounds or told.rounds[0] < 1:
        return "it has no number"
    if line.fit.at_word:
        return "it was read in part"
    if line.fit.given:
        return "it takes the rounds of another part"
    classes = shape(line.entry.tokens)
    label = line.entry.label
    if (label is not None and label.every) or line.every:
        return "it stands for every second round"
    if "Y" in classes:
        return "it works on other pieces"
    if "/" in classes:
        return "it is told twice"
    if loops_of(line.entry.tokens) is not None or classes.count("b") > 1:
        return "it tells of loops in its midst"
    if any(token.cls == "C" for token in line.fit.way.content.body):
        return "it changes colour in its midst"
    return ""


def retold(
    line: Line,
    told: ProofLine,
    table: Words,
    piece: Piece | None,
    *,
    spelled: bool,
    turned: Callable[[str], str] = str,
    palette: Palette | None = None,
) -> Retold | None:
    """Return a line told anew; None where it can't be told.

    Parameters
    ----------
    line : Line
        As it was read.
    told : ProofLine
        As it was proof-read; nothing is wrong with it.
    table : Words
        The words to tell it in.
    piece : Piece or None
        The part that it belongs to, where it is a whole one.
    spelled : bool
        In full.
    turned : callable, optional
        Turns the author's words into the new terms.
    palette : Palette, optional
        The colours of the page.
    """
    fit = line.fit
    assert fit is not None
    lead, ends = _apart(fit.way.content.body, line)
    rounds: list[tuple[int, int, str]] = []
    for i, work in enumerate(told.stitches):
        items = (
            _coloured(line, work, told.colours[i] if told.colours else (), table, piece, spelled=spelled)
            if palette and any(palette.name(token) is not None for token in line.entry.tokens)
            else _items(line, work, table, piece, first=i == 0, spelled=spelled)
        )
        if items is None:
            return None
        rounds.append((told.rounds[0] + i, told.counts[i], items))
    loops = next((t.text for t in line.entry.tokens if t.cls == "b" and t.text != "both_loops"), "")
    head = f"{table[loops].one if spelled else table[loops].short}: " if loops in table.word else ""
    head += f"{turned(lead)}, " if lead else ""
    tail = f", {turned(ends)}" if ends else ""
    lines = _told(rounds, head, tail, table, spelled=spelled)
    aside = turned(_asides(line))
    between = " - " if aside[:1] not in ("", "(", "[") else " "
    return Retold((*lines[:-1], f"{lines[-1]}{between}{aside}".rstrip()))


def _told(
    rounds: Seq[tuple[int, int, str]], head: str, tail: str, table: Words, *, spelled: bool
) -> list[str]:
    """Return rounds with their labels and counts, those alike in one line."""
    style = "spelled" if spelled else "terse"
    lines = []
    for (count, items), group in groupby(rounds, key=lambda one: one[1:]):
        numbers = [number for number, *_ in group]
        whole = f"{head}{items}{tail}"
        runs = [[number] for number in numbers] if spelled else [numbers]
        for run in runs:
            if len(run) == 1:
                lines.append(
                    table.say(style, "round", first=run[0], last=run[0], items=whole, count=count, n=count)
                )
            else:
                lines.append(
                    table.say(
                        "terse", "range", first=run[0], last=run[-1], items=whole, count=count, n=len(run)
                    )
                )
    return lines


def _apart(body: Seq[Token], line: Line) -> tuple[str, str]:
    """Return the chains that a round begins with, and how it is joined, in the author's words."""
    clauses: list[list[Token]] = [[]]
    depth = 0
    for token in body:
        depth += (token.cls in "([{") - (token.cls in ")]}")
        if depth == 0 and _BETWEEN.fullmatch(token.cls):
            clauses.append([])
        else:
            clauses[-1].append(token)
    clauses = [clause for clause in clauses if clause]
    lead = ends = ""
    if len(clauses) > 1 and _BEGINS.fullmatch(shape(clauses[0])) and line.begun.kind != "chain":
        lead = _text(line, clauses.pop(0))
    while len(clauses) > 1 and _JOINS.fullmatch(shape(clauses[-1])):
        ends = ", ".join(filter(None, (_text(line, clauses.pop()), ends)))
    return lead, ends


def _text(line: Line, found: Seq[Token]) -> str:
    """Return what the author wrote for some tokens."""
    folded, offset = line.entry.folded, line.entry.offset
    first = folded.place(found[0].start) - offset
    last = folded.place(found[-1].end - 1) + 1 - offset
    return " ".join(line.entry.text[first:last].split())


def _items(
    line: Line,
    work: Seq[Act],
    table: Words,
    piece: Piece | None,
    *,
    first: bool,
    spelled: bool,
) -> str | None:
    """Return the instructions of one round."""
    fit = line.fit
    assert fit is not None
    begins = first and bool(line.begun.kind)
    if begins and line.begun.kind == "chain":
        own = line.begun.line == line.entry.line
        if own or piece is None or piece.start is not Start.CHAIN or not piece.ends:
            return None
        return oval_text(piece, 1, table, round_text, spelled=spelled)
    kinds = {act.stitch for act in work if act.uses or act.makes}
    if begins and line.begun.kind == "ring":
        count = sum(act.makes for act in work)
        stitch = next(iter(kinds), "sc")
        if len(kinds) != 1 or stitch not in _INTO_RING or any(act.makes > 1 for act in work):
            return None
        items = table.say("terse", "item", stitch=table[stitch].short, n=count)
        sentence = "into_ring" if stitch == "sc" or not spelled else f"into_ring_{stitch}"
        return table.say("spelled" if spelled else "terse", sentence, items=items, n=count)
    one = round_of(work) if all(act.stitch in _OURS for act in work if act.uses or act.makes) else ""
    if isinstance(one, Round):
        return round_text(one, table, spelled=spelled)
    return _by_stitches(work, table, spelled=spelled)


def _coloured(
    line: Line, work: Seq[Act], names: Names, table: Words, piece: Piece | None, *, spelled: bool
) -> str | None:
    """Return the instructions of one round whose line tells colours; None where they can't be told anew."""
    one = round_of(work)
    if not names or not all(act.stitch in _OURS for act in work if act.uses or act.makes):
        return None
    if line.begun.kind == "chain":
        own = line.begun.line == line.entry.line
        if own or piece is None or piece.start is not Start.CHAIN or not piece.ends:
            return None
        return colored_chain(piece, names, table, spelled=spelled)
    if not isinstance(one, Round):
        return None
    if line.begun.kind == "ring":
        return colored_ring(one, names, table, spelled=spelled) if one.uses == one.count else None
    return colored_text(one, names, table, spelled=spelled)


def _by_stitches(work: Seq[Act], table: Words, *, spelled: bool) -> str | None:
    """Return a round of other stitches, each by its name; None where one has none."""
    runs = [(act, len(list(group))) for act, group in groupby(act for act in work if act.uses or act.makes)]
    items = [_item(act, times, table, spelled=spelled) for act, times in runs]
    if any(item is None for item in items):
        return None
    told = [item for item in items if item is not None]
    between = table.say("terse", "between")
    if spelled:
        return between.join(told)
    out = []
    folds = folded(
        runs, widths=[len(item) for item in told], leads=[act.uses != act.makes for act, _ in runs]
    )
    for fold in folds:
        text = between.join(told[fold.start : fold.start + fold.length])
        out.append(text if fold.times == 1 else table.say("terse", "repeat", items=text, n=fold.times))
    return between.join(out)


def _item(act: Act, times: int, table: Words, *, spelled: bool) -> str | None:
    """Return one stitch some times."""
    if act.stitch not in table.word:
        return None
    word = table[act.stitch]
    name = (word.many if times > 1 else word.one) if spelled else word.short
    number = f"{times} " if times > 1 or spelled else ""
    into, each, following, stitch = (table[one].short for one in ("in", "each", "next", "stitch"))
    match act.uses, act.makes:
        case (1, 1) | (0, 1) | (1, 0):
            return f"{number}{name}"
        case 1, size:
            several = f"{size} {word.many if spelled else word.short}"
            if times == 1:
                return f"{several} {into} {following} {stitch}"
            return f"{several} {into} {each} {following} {times} {table['stitch'].short_many}"
        case size, 1:
            return f"{number}{word.short}{size}{table['together'].short}"
    return None


def _asides(line: Line) -> str:
    """Return what a line says beside its rounds: remarks, in the author's words."""
    fit = line.fit
    assert fit is not None
    used = {(token.start, token.end) for token in fit.way.content.body}
    spans = [(one.start, one.end) for one in fit.way.content.stated]
    groups: list[list[Token]] = [[]]
    for token in line.entry.tokens:
        taken = (token.start, token.end) in used or any(a <= token.start and token.end <= b for a, b in spans)
        if taken or token.cls == "b":
            groups.append([])
        else:
            groups[-1].append(token)
    told = []
    for group in groups:
        while group and group[0].cls in ",;.:)]-=":
            group.pop(0)
        while group and group[-1].cls in ",;.:([-=":
            group.pop()
        if any(token.cls in "zZKCQTno" for token in group) and not _states_rounds(group, line):
            told.append(_text(line, group).strip(" ,;"))
    return " ".join(told)


def _states_rounds(group: Seq[Token], line: Line) -> bool:
    """Tell "(4 rounds)", which the new label says."""
    bare = re.sub(r"[()\[\]q,.]", "", shape(group))
    return bool(re.fullmatch(r"f?nA?w|T+n?|n", bare)) and line.fit is not None
