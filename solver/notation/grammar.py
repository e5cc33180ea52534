"""The tree of one round: what is repeated, how often, and what can be taken in two ways."""

from __future__ import annotations

import re
from collections.abc import Iterator
from collections.abc import Sequence as Seq
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Any

from lark import Lark, Transformer
from lark import Token as Terminal
from lark.exceptions import UnexpectedInput
from lark.lexer import Lexer

from solver.notation.instructions import (
    MOST_STITCHES,
    Act,
    Choice,
    Fill,
    Node,
    Repeat,
    Sequence,
    TooManyError,
    Work,
    totals,
    work,
)
from solver.notation.stars import balanced, starred
from solver.notation.terminals import Again, numbers_after, terminals
from solver.notation.token import Token, shape


def tree(found: Seq[Token]) -> Node | None:
    """Return the tree of the instructions in tokens; None when there are none."""
    kept = [
        replace(token, cls="x") if token.cls == "·" else token
        for token in balanced(starred(list(found)))
        if token.cls not in 'qzbKCYuT"=' and not (token.cls == "Q" and token.text != "counts_as")
    ]
    kept = _unwrapped(kept)
    classes = shape(kept)
    spread = _spread_evenly(kept, classes)
    if spread is not None:
        return spread
    scoped = _factor_over_all(kept, classes)
    if scoped is not None:
        # "[2x: inc, 2 sc] x 4": the inner factor is the first stitch's, or that of all behind the colon.
        ways = (_read(kept), _read(scoped))
        options = [(0.3 * i, "", node) for i, node in enumerate(ways) if node is not None]
        return Choice("factor", tuple(options)) if options else None
    return _read(kept)


_REPEAT_ALONE = re.compile(r"\((r[^()sid]*)\)")


def _unwrapped(kept: list[Token]) -> list[Token]:
    """Drop the brackets round "(repeat 3 times in all)", which repeats what stands before it."""
    signs = {i for match in _REPEAT_ALONE.finditer(shape(kept)) for i in (match.start(), match.end() - 1)}
    return [token for i, token in enumerate(kept) if i not in signs]


def _factor_over_all(kept: list[Token], classes: str) -> list[Token] | None:
    """Return tokens with brackets round all that stands behind a factor with a colon; None without one."""
    match = re.search(r"\((nx:)(?=[^()]+,[^()]+(\)))", classes)
    if match is None:
        return None
    after, close = match.end(1), match.start(2)
    opened, closed = kept[match.start()], kept[close]
    return [*kept[:after], opened, *kept[after:close], closed, *kept[close:]]


def _read(kept: list[Token]) -> Node | None:
    """Return the tree of tokens, their numbers before or after the stitches."""
    classes = shape(kept)
    after = numbers_after(classes)
    node = _parsed(terminals(kept, number_after=after))
    if node is None or not re.search(r"[sid]n[sid]", classes):
        return node
    # "sc 2 sc in next": the two belongs to what stands before it, or to what follows.
    other = _parsed(terminals(kept, number_after=not after))
    if other is None or other == node:
        return node
    return Choice("number", ((0.0, "", node), (0.4, "", other)))


def _spread_evenly(kept: list[Token], classes: str) -> Node | None:
    """Read "increase 6 stitches evenly": how many, but not where."""
    numbers = [token.value for token in kept if token.cls == "n"]
    if "V" not in classes or len(numbers) != 1 or not re.search("[id]", classes):
        return None
    act = work("sc", 1, 2) if "i" in classes else work("sc", 2, 1)
    spread = Sequence((Fill(work("sc", 1, 1)), Repeat(act, numbers[0])))
    return Choice("evenly", ((0.0, "", spread), (0.1, "", Repeat(act, numbers[0]))))


def _parsed(found: list[Terminal]) -> Node | None:
    if not any(terminal.type == "ITEM" for terminal in found):
        return None
    try:
        parsed = _grammar().parse(iter(found))
    except UnexpectedInput:
        return None
    return _whole(_Builder().transform(parsed))


@cache
def _grammar() -> Lark:
    text = (files("solver.notation") / "rounds.lark").read_text(encoding="utf-8")
    return Lark(text, parser="lalr", lexer=_Ready)


class _Ready(Lexer):
    """Hands lark the terminals that were found already."""

    def __init__(self, conf: object) -> None:
        del conf

    def lex(self, lexer_state: Any, parser_state: Any = None) -> Iterator[Terminal]:
        return iter(lexer_state)


@dataclass(frozen=True, slots=True)
class _Part:
    """A part of a sequence on its way to the tree."""

    node: Node
    kind: str  # item, group, done
    numbered: bool = True
    star: bool = False
    times: int = 0
    to_end: bool = False
    leave: int = 0


class _Builder(Transformer[Any, Any]):
    """Makes nodes of what the grammar found."""

    def item(self, children: list[Any]) -> _Part:
        node, numbered = children[0].value
        return _Part(node, "item", numbered=numbered)

    def group(self, children: list[Any]) -> _Part:
        opened, inner = children[0], children[1]
        return _Part(inner, "group", star=opened.value == "*")

    def before(self, children: list[Any]) -> _Part:
        part = children[1]
        return _Part(Repeat(part.node, children[0].value), "done")

    def times(self, children: list[Any]) -> _Part:
        part, number = children[0], children[1].value
        node = Repeat(part.node, number)
        if part.kind == "item":
            return _Part(node, "item", numbered=part.numbered, times=number)
        return _Part(node, "done", times=number)

    def to_end(self, children: list[Any]) -> _Part:
        part: _Part = children[0]
        leave: int = children[1].value
        if isinstance(part.node, Fill):
            # "in each st around": said twice.
            return replace(part, node=Fill(part.node.item, leave or part.node.leave))
        node = Fill(part.node, leave)
        if part.kind == "item":
            return _Part(node, "item", numbered=part.numbered, to_end=True, leave=leave)
        return _Part(node, "done", to_end=True)

    def in_one(self, children: list[Any]) -> _Part:
        try:
            makes = totals(children[0].node)[1]
        except TooManyError:
            makes = MOST_STITCHES
        return _Part(work("sc", 1, max(makes, 1)), "done")

    def again(self, children: list[Any]) -> Again:
        return children[0].value  # type: ignore[no-any-return]

    def sequence(self, children: list[Any]) -> Node:
        return _sequence(children)

    def start(self, children: list[Any]) -> Node:
        return children[0]  # type: ignore[no-any-return]


def _sequence(children: list[Any]) -> Node:
    parts: list[_Part] = []
    for child in children:
        if isinstance(child, Again):
            _take_again(parts, child)
        else:
            parts.append(child)
    parts = _scoped(parts)
    if (
        len(parts) > 1
        and parts[0].node == Fill(work("sc", 1, 1))
        and any(isinstance(part.node, Fill) for part in parts[1:])
    ):
        # "sc around, increasing in every 3rd st"
        parts = parts[1:]
    groups = [part for part in parts if part.kind == "group"]
    alone = len(parts) == 1
    return Sequence(tuple(_bare(part, alone=alone, several=len(groups) > 1) for part in parts))


def _bare(part: _Part, *, alone: bool, several: bool) -> Node:
    """Return a part; a bracket without a number may be worked once or to the end of the round."""
    if part.kind != "group":
        return part.node
    implied = not part.star
    once, fill = part.node, part.node if isinstance(part.node, Fill) else Fill(part.node, 0, implied)
    if part.star or alone:
        return Choice("bracket", ((0.0, "", fill), (0.5, "the bracket worked once", once)))
    return Choice("bracket", ((0.0, "", once), (0.5, "the bracket worked to the end of the round", fill)))


def _take_again(parts: list[_Part], again: Again) -> None:
    """Repeat what a "repeat" refers to: the bracket before it, else everything so far."""
    if not parts:
        return
    if again.starred or parts[-1].kind == "group":
        start = next((i for i in range(len(parts) - 1, -1, -1) if parts[i].kind == "group"), None)
        if start is None:
            start = len(parts) - 1 if parts[-1].kind == "done" else 0
        rest = parts[start + 1 :]
        inner: Node = parts[start].node
    else:
        start, rest = 0, []
        inner = Sequence(tuple(part.node for part in parts))
    if again.more and again.times is not None and _told_once(parts[:start], inner):
        # "2 sc, inc, (2 sc, inc) rep 5 more times"
        parts[start:] = [_Part(Repeat(inner, again.times), "done"), *rest]
        return
    parts[start:] = [_Part(_again(inner, again), "done"), *rest]


def _told_once(before: list[_Part], inner: Node) -> bool:
    """Tell whether what is repeated was told once already, before its bracket."""
    items = inner.items if isinstance(inner, Sequence) else (inner,)
    return tuple(part.node for part in before[-len(items) :]) == items


def _again(inner: Node, again: Again) -> Node:
    if again.times is None:
        return inner if isinstance(inner, Fill) else Fill(inner, again.leave)
    total, on_top = Repeat(inner, again.times), Repeat(inner, again.times + 1)
    in_all = (f"{again.times} in all", total)
    one_more = (f"once, then {again.times} more", on_top)
    if again.more or again.in_all:
        return on_top if again.more else total
    if again.once:
        return Choice("repeat", ((0.0, *one_more), (1.5, *in_all)))
    return Choice("repeat", ((0.0, *in_all), (1.0, *one_more)))


def _scoped(parts: list[_Part]) -> list[_Part]:
    """Let a multiplier behind an unmarked list belong to its last stitch, or to all of it."""
    at = next((i for i, part in enumerate(parts) if part.times or part.to_end), None)
    if not at or any(part.kind != "item" for part in parts[: at + 1]):
        return parts
    last, rest = parts[at], parts[at + 1 :]
    inner = last.node.item if isinstance(last.node, Repeat | Fill) else last.node
    everything = Sequence((*(part.node for part in parts[:at]), inner))
    apart = Sequence(tuple(part.node for part in parts[: at + 1]))
    if last.times:
        whole: Node = Repeat(everything, last.times)
        doubt = 0.8 if rest else 0.5
        options: tuple[tuple[float, str, Node], ...] = (
            (0.0, "", apart),
            (doubt, f"all of it {last.times} times", whole),
        )
    else:
        whole = Fill(everything, last.leave)
        options = ((0.0, "all of it to the end of the round", whole), (0.2, "", apart))
    return [_Part(Choice("scope", options), "done"), *rest]


def _whole(node: Node) -> Node:
    """Let a list with nothing marked be meant for the whole round, too."""
    if not isinstance(node, Sequence) or not node.items:
        return node
    *before, last = node.items
    if before and isinstance(last, Choice) and last.name == "bracket" and all(map(_simple, before)):
        # "2 sc, inc (sc in last 2 st)": what stands before the bracket goes on to what it leaves.
        once = last.options[0][2]
        try:
            left = totals(once)[0]
        except TooManyError:
            return node
        all_but = Sequence((Fill(Sequence(tuple(before)), left), once))
        told = "all before the bracket to the end of the round"
        return Choice("unmarked", ((0.0, "", node), (0.8, told, all_but)))
    if len(node.items) == 1 and isinstance(last, Choice) and re.fullmatch(r"\d+ \w+", last.name):
        # "4 sc (12)" on 12 is no repeat; "2sc (12)" on 6 may be two in each.
        in_one = last.options[-1][2]
        return Choice("unmarked", ((0.0, "", node), (1.2, "in every stitch", Fill(in_one, 0, True))))
    if len(node.items) == 1 and last == Repeat(work("sc", 1, 1), getattr(last, "times", 0)):
        return node
    if len(node.items) == 1 and isinstance(last, Work) and last.times > 1 and last.act == Act("sc", 1, 1):
        return node
    if all(_simple(item) for item in node.items):
        told = "all of it to the end of the round"
        return Choice("unmarked", ((0.0, "", node), (0.8, told, Fill(node, 0, True))))
    return node


def _simple(node: Node) -> bool:
    if isinstance(node, Work):
        return True
    if isinstance(node, Repeat):
        return isinstance(node.item, Work)
    if isinstance(node, Sequence):
        return all(isinstance(item, Work) for item in node.items)
    if isinstance(node, Choice):
        return node.name not in ("bracket", "repeat", "scope") and all(
            _simple(option) for _, _, option in node.options
        )
    return False
