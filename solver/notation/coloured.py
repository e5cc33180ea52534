"""Rounds in several colours put into words: each colour stands before the stitches that are worked in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import TYPE_CHECKING

from solver.notation.stitch_words import item
from solver.notation.stitch_words import spelled as in_full
from solver.rounds import Piece, Round, Stitch
from solver.rounds.repeats import runs_of, told

if TYPE_CHECKING:
    from solver.notation.words import Words

CARRIED = 20
"""Stitches over which yarn that is not in use is carried inside, or brought back behind (common practice, no
source: about two hands' breadths are too far)."""

Names = tuple[str, ...]
"""The colour of each stitch that a round makes."""


def by_stitch(piece: Piece, colours: Sequence[str | Sequence[str]]) -> tuple[Names, ...]:
    """Return the colour of each stitch of each round, where some rounds may be told by one name.

    Raises
    ------
    ValueError
        If there are colours, and not one a round, or not one a stitch.
    """
    if not colours:
        return ()
    if len(colours) != len(piece.rounds):
        msg = f"there is one colour a round, got {len(colours)} for {len(piece.rounds)} rounds"
        raise ValueError(msg)
    found = tuple(
        (each,) * this.count if isinstance(each, str) else tuple(each)
        for each, this in zip(colours, piece.rounds, strict=True)
    )
    for number, (each, this) in enumerate(zip(found, piece.rounds, strict=True), start=1):
        if len(each) != this.count:
            msg = f"there is one colour a stitch, got {len(each)} for the {this.count} of round {number}"
            raise ValueError(msg)
    return found


def marked(table: Words, name: str, items: str, *, spelled: bool) -> str:
    """Return instructions with the colour that they are worked in before them."""
    return table.say("spelled" if spelled else "terse", "colored", name=name, items=items)


_Part = tuple[str, list[tuple[bool, tuple[Stitch, ...]]]]
"""A colour, and what is worked in it: stitches, or (true) one more in the place of the one before."""


def _parts(this: Round, names: Names) -> list[_Part]:
    """Return a round cut where its colour changes; an increase that changes colour is cut in two."""
    units: list[tuple[str, bool, Stitch]] = []
    at = 0
    for stitch in this.stitches:
        own = names[at : at + stitch.makes]
        at += stitch.makes
        if len(set(own)) == 1:
            units.append((own[0], False, stitch))
        else:
            units += [(name, k > 0, stitch.plain) for k, name in enumerate(own)]
    out: list[_Part] = []
    for name, group in groupby(units, key=lambda unit: unit[0]):
        pieces: list[tuple[bool, tuple[Stitch, ...]]] = []
        for again, same in groupby(group, key=lambda unit: unit[1]):
            stitches = tuple(unit[2] for unit in same)
            pieces += [(True, (stitch,)) for stitch in stitches] if again else [(False, stitches)]
        out.append((name, pieces))
    return out


def colored_text(this: Round, names: Names, table: Words, *, spelled: bool = False) -> str:
    """Write what one round in several colours does: "(grey) 8 sc, (white) 6 sc, (grey) 10 sc".

    Parameters
    ----------
    this : Round
    names : tuple of str
        The colour of each stitch that it makes.
    table : Words
        The words of a language.
    spelled : bool, optional
        In full.

    Returns
    -------
    str
        Repeats are told within one colour, and never across two.
    """
    between = table.say("spelled" if spelled else "terse", "between")
    out = []
    for name, pieces in _parts(this, names):
        texts: list[str] = []
        for again, stitches in pieces:
            texts += (
                [_again(table, stitches[0], spelled=spelled)]
                if again
                else _stitches(table, stitches, spelled=spelled)
            )
        out.append(marked(table, name, between.join(texts), spelled=spelled))
    return between.join(out)


def _stitches(table: Words, stitches: tuple[Stitch, ...], *, spelled: bool) -> Iterator[str]:
    if not stitches:
        return
    if spelled:
        yield in_full(table, runs_of(stitches))
        return
    between = table.say("terse", "between")
    pieces = told(
        stitches,
        width=lambda stitch, number: len(item(table, stitch, number)),
        leads=lambda stitch: stitch is not Stitch.SC,
    )
    for piece in pieces:
        body = between.join(item(table, *run) for run in piece.runs)
        yield body if piece.times == 1 else table.say("terse", "repeat", items=body, n=piece.times)


def _again(table: Words, stitch: Stitch, *, spelled: bool) -> str:
    word = table["slip" if stitch is Stitch.SLST else str(stitch)]
    if spelled:
        return table.say("spelled", "same", n=1, stitch=word.one)
    return table.say("terse", "same", n=1, stitch=word.short, place=table["stitch"].short)


def colored_ring(this: Round, names: Names, table: Words, *, spelled: bool) -> str:
    """Write a first round in several colours, worked into a ring."""
    plain = this.stitches[0].plain
    style = "spelled" if spelled else "terse"
    between = table.say(style, "between")
    word = table[str(plain)]

    def told(n: int) -> str:
        return f"{n} {word.one if n == 1 else word.many}" if spelled else item(table, plain, n)

    items = between.join(marked(table, name, told(n), spelled=spelled) for name, n in runs_of(names))
    return table.say(style, "ring_colored" if spelled else "into_ring", items=items, n=this.count)


def colored_chain(piece: Piece, names: Names, table: Words, *, spelled: bool) -> str:
    """Write a first round in several colours, worked along a chain."""
    style = "spelled" if spelled else "terse"
    between = table.say(style, "between")
    before, far, after = piece.ends
    if piece.foundation == 2:
        places = [("chain_first", before + far + after)]
        turn = len(places)
    else:
        side = [("chain_side", 1)] * piece.side
        places = [("chain_first", before), *side, ("chain_last", far)]
        turn = len(places)
        places += [*side, *([("chain_again", after)] if after else [])]
    told_: list[list[tuple[str, str]]] = [[], []]
    at = 0
    for half, own in ((0, places[:turn]), (1, places[turn:])):
        for where, group in groupby(_colours_of(own, names, at), key=lambda one: one[:2]):
            kind, name = where
            n = sum(one[2] for one in group)
            if kind == "same":
                told_[half] += [(name, _again(table, Stitch.SC, spelled=spelled))] * n
            else:
                told_[half].append((name, table.say(style, kind, n=n)))
        at += sum(makes for _, makes in own)
    out: list[str] = []
    last = ""
    for half in (0, 1):
        texts = []
        for name, text in told_[half]:
            texts.append(text if name == last else marked(table, name, text, spelled=spelled))
            last = name
        if texts:
            out.append(
                between.join(texts)
                if half == 0
                else table.say(style, "chain_turn", items=between.join(texts))
            )
    return between.join(out)


def _colours_of(places: Sequence[tuple[str, int]], names: Names, at: int) -> Iterator[tuple[str, str, int]]:
    """Yield what is worked into each place of a chain, cut where the colour changes, with its number."""
    for kind, makes in places:
        own = names[at : at + makes]
        at += makes
        for k, (name, group) in enumerate(groupby(own)):
            yield (kind if k == 0 else "same"), name, len(list(group))


@dataclass(frozen=True, slots=True)
class Handling:
    """What is done with a yarn that is not in use.

    Attributes
    ----------
    sentence : str
        "color_carry", "color_leave", "color_cut" or "color_end".
    before : int
        Number of the round that it is told before.
    names : tuple of str
    next_round : int
        Where it is used again; 0: nowhere.
    """

    sentence: str
    before: int
    names: Names
    next_round: int = 0


def handlings(colours: Sequence[Names]) -> list[Handling]:
    """Return what is done with yarns that are not in use, by how far it is to the next use.

    A yarn is carried along inside where it is used again within `CARRIED` stitches; left hanging where the
    next
    round needs it so near to where it hangs; else cut. What holds for rounds that follow each other is told
    once.
    """
    several = [len(set(names)) > 1 for names in colours]
    blocks: dict[int, dict[str, str]] = {}
    cuts: list[Handling] = []
    first = 0
    for k, names in enumerate(colours):
        if not several[k]:
            continue
        first = first if k and several[k - 1] else k
        known = blocks.setdefault(first, {})
        for name in dict.fromkeys(names):
            for j in (j for j, (a, b) in enumerate(pairwise((*names, ""))) if a == name != b):
                how, where = _next_use(colours, name, k, j)
                if how in ("cut", "end") and k + 1 < len(colours):
                    cuts.append(Handling(f"color_{how}", k + 2, (name,), where))
                elif how in _ORDER:
                    known[name] = max(how, known.get(name, how), key=_ORDER.index)
    out = [
        Handling(f"color_{how}", k + 1, tuple(name for name, own in known.items() if own == how))
        for k, known in blocks.items()
        for how in _ORDER
        if how in known.values()
    ]
    return sorted([*out, *cuts], key=lambda one: one.before)


_ORDER = ("carry", "leave", "rejoin")


def _next_use(colours: Sequence[Names], name: str, k: int, j: int) -> tuple[str, int]:
    """Return what is done with a yarn behind stitch j of round k, and the round that needs it next."""
    names, gap = colours[k], 0
    for other in names[j + 1 :]:
        if other == name:
            return ("carry" if gap <= CARRIED else "rejoin"), k + 1
        gap += 1
    for later in range(k + 1, len(colours)):
        for at, other in enumerate(colours[later]):
            if other != name:
                gap += 1
            elif not gap:
                return "", later + 1
            elif gap <= CARRIED:
                return "carry", later + 1
            elif later > k + 1:
                return "cut", later + 1
            else:
                back = abs(at / len(colours[later]) - (j + 1) / len(names)) * len(names)
                return ("leave" if back <= CARRIED else "rejoin"), later + 1
    return "end", 0
