"""What an instruction comes to: stitches used and made, repeats, and places that can be read in two ways.

A line is read into a tree of `Work`, `Sequence`, `Repeat`, `Fill` and `Choice`. A choice has a name: all
choices of one name in a line are taken alike ("2sc" does not mean two things in one line).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

#: More stitches in one round than any piece has; a text that asks for more is not read.
MOST_STITCHES = 3_000


class Act(NamedTuple):
    """One stitch as it is worked.

    Attributes
    ----------
    stitch : str
        US abbreviation ("sc", "hdc", "slip", "chain", "skip").
    uses, makes : int
        Stitches of the round below that it is worked into, and stitches that it adds to its own round.
    """

    stitch: str
    uses: int
    makes: int


@dataclass(frozen=True, slots=True)
class Work:
    """The same stitch some times."""

    act: Act
    times: int = 1
    bare: bool = False


@dataclass(frozen=True, slots=True)
class Sequence:
    """Instructions one after the other."""

    items: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Repeat:
    """Instructions worked some times in all."""

    item: Node
    times: int


@dataclass(frozen=True, slots=True)
class Fill:
    """Instructions repeated to the end of the round, or to where `leave` stitches are left.

    `implied`: the text does not say so; such a repeat has to come out even.
    """

    item: Node
    leave: int = 0
    implied: bool = False


@dataclass(frozen=True, slots=True)
class Choice:
    """A place that can be read in several ways, the likeliest first.

    Attributes
    ----------
    name : str
        What is in doubt; told to the user.
    options : tuple of (float, str, Node)
        For each way what it costs in likelihood (0: as plain as day), how it is told, and what it comes to.
    """

    name: str
    options: tuple[tuple[float, str, Node], ...]


Node = Work | Sequence | Repeat | Fill | Choice
SC = Act("sc", 1, 1)
PLAIN = Work(SC)


class Worked(NamedTuple):
    """What a reading comes to on the stitches that are there.

    Attributes
    ----------
    uses, makes : int
        Stitches used and made in all.
    fill : int
        How often the part that goes on to the end of the round is worked; 0 when there is none.
    over : int
        Stitches left over by that part and worked plain or as the beginning of one more repeat.
    even : bool
        Whether it comes out even, or may be cut short.
    """

    uses: int
    makes: int
    fill: int
    over: int
    even: bool = True


class TooManyError(ValueError):
    """An instruction asks for more stitches than any piece has."""


def work(stitch: str, uses: int, makes: int, times: int = 1, *, bare: bool = False) -> Work:
    """Return a stitch worked some times; `bare` when only a number stood there."""
    return Work(Act(stitch, uses, makes), times, bare)


def totals(node: Node, fill: int = 1) -> tuple[int, int]:
    """Return the stitches used and made when every open-ended part is worked `fill` times.

    Raises
    ------
    TooManyError
        If more than `MOST_STITCHES` come out.
    """
    match node:
        case Work():
            uses, makes = node.act.uses * node.times, node.act.makes * node.times
        case Sequence():
            uses = makes = 0
            for item in node.items:
                inner = totals(item, fill)
                uses, makes = uses + inner[0], makes + inner[1]
        case Repeat():
            inner = totals(node.item, fill)
            uses, makes = inner[0] * node.times, inner[1] * node.times
        case Fill():
            inner = totals(node.item, 1)
            uses, makes = inner[0] * fill, inner[1] * fill
        case Choice():
            return totals(node.options[0][2], fill)
    if max(uses, makes) > MOST_STITCHES:
        raise TooManyError
    return uses, makes


def open_ended(node: Node) -> bool:
    """Tell whether some part of a tree goes on to the end of the round."""
    match node:
        case Fill():
            return True
        case Sequence():
            return any(open_ended(item) for item in node.items)
        case Repeat():
            return open_ended(node.item)
        case Choice():
            return any(open_ended(option) for _, _, option in node.options)
    return False


def worked(node: Node, there: int | None, *, makes: int | None = None) -> Worked:
    """Work a reading into the stitches that are there.

    Parameters
    ----------
    node : Node
        A tree without choices.
    there : int or None
        Stitches of the round below; None when nobody knows.
    makes : int, optional
        The stated count: tells how often an open-ended part is worked where the stitches there are not known.
    """
    if not open_ended(node):
        uses, made = totals(node)
        return Worked(uses, made, 0, 0)
    least, once = totals(node, 0), totals(node, 1)
    step = (once[0] - least[0], once[1] - least[1])
    if there is None:
        fill = 1
        if makes is not None and step[1] > 0:
            fill = max(1, round((makes - least[1]) / step[1]))
        uses, made = totals(node, fill)
        return Worked(uses, made, fill, 0)
    if step[0] <= 0:
        return Worked(*once, 1, 0, once[0] == there)
    fill = max(1, (there - least[0]) // step[0])
    kept = _kept_back(node)
    uses, made = totals(node, fill)
    over = there - uses
    if over > 0 and fill == 1 and implied(node):
        # Worked once, it is the list as it stands.
        return Worked(uses, made, 0, 0)
    if over > 0:
        # What is left is worked as the beginning of one more repeat.
        made += _beginning(node, over)
        uses = there
    cut = over > 0 and fill > 1 and not implied(node)
    return Worked(uses, made, fill, max(over, 0), (over == 0 or cut) and kept)


def _kept_back(node: Node) -> bool:
    """Tell whether "to the last 2 sts" leaves as many as are worked behind it."""
    if not isinstance(node, Sequence):
        return True
    for i, item in enumerate(node.items):
        if isinstance(item, Fill) and item.leave and node.items[i + 1 :]:
            behind = sum(totals(one)[0] for one in node.items[i + 1 :])
            return behind in (0, item.leave)
    return True


def implied(node: Node) -> bool:
    """Tell whether some part goes on to the end of the round though the text does not say so."""
    return any(part.implied for part in _fills(node))


def _beginning(node: Node, over: int) -> int:
    """Return what the first `over` used stitches of the open-ended part make."""
    return sum(act.makes for act in cut_short(_open_part(node), over))


def _open_part(node: Node) -> Node:
    found = next(_fills(node), None)
    return found.item if found is not None else PLAIN


def _fills(node: Node) -> Iterator[Fill]:
    match node:
        case Fill():
            yield node
        case Sequence():
            for item in node.items:
                yield from _fills(item)
        case Repeat():
            yield from _fills(node.item)


def cut_short(node: Node, over: int) -> list[Act]:
    """Return the beginning of a repeat that uses `over` stitches; what does not fit is worked plain."""
    found: list[Act] = []
    for act in stitches(node):
        if act.uses > over:
            break
        found.append(act)
        over -= act.uses
        if over == 0:
            break
    return found + [SC] * over


def stitches(node: Node, fill: int = 1, over: int = 0) -> Iterator[Act]:
    """Yield every stitch of a reading in working order.

    Parameters
    ----------
    node : Node
        A tree without choices.
    fill, over : int
        As in `Worked`.
    """
    match node:
        case Work():
            for _ in range(node.times):
                yield node.act
        case Sequence():
            left = over
            for item in node.items:
                has = open_ended(item)
                yield from stitches(item, fill, left if has else 0)
                left = 0 if has else left
        case Repeat():
            # What uses and makes nothing (a join, a turn) need not be told a thousand times.
            times = node.times if any(totals(node.item)) else min(node.times, 1)
            for i in range(times):
                yield from stitches(node.item, fill, over if i == times - 1 else 0)
        case Fill():
            for _ in range(fill):
                yield from stitches(node.item)
            if over > 0:
                yield from cut_short(node.item, over)
