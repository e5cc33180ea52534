"""Where a stitch goes: "in next st", "in every third", "in the last 2"."""

from __future__ import annotations

import re
from collections.abc import Sequence as Seq
from typing import NamedTuple

from solver.notation.classes import NOUN, WHICH
from solver.notation.instructions import Choice, Fill, Node, Repeat, Sequence, Work, work
from solver.notation.token import Token

#: Where a stitch goes, the most telling first: what it says, and its pattern.
_WHERE = tuple(
    (kind, re.compile(pattern))
    for kind, pattern in (
        ("start", rf"p?(?:oc|F?c|o{NOUN}|ot?)[pf]H"),
        ("named", rf"p(?=[^p]*[FL]|o{NOUN}?,q?o{NOUN}?,)[FoL]{NOUN}?(?:,q?[FoL](?!n){NOUN}?)+"),
        ("pair", rf"p?e?o,?[v,]?oc?{NOUN}?"),
        ("every", rf"p?(?:e?2|eo){NOUN}?"),
        ("each", rf"p?e{WHICH}*n{WHICH}*(?:{NOUN}t?{WHICH}?)?"),
        ("fill", rf"p?e{WHICH}*(?:{NOUN}t?)?(?:pw)?(?:pe?{NOUN}+)?"),
        (
            "some",
            rf"pOf?n(?:[tc]|s(?!p))|p?{WHICH}+n{NOUN}?t?|pn{WHICH}+{NOUN}?|pn{NOUN}{WHICH}?|pn(?=[,;)]|xn|$)",
        ),
        ("same", rf"p?m{NOUN}?t?(?:PF?n?{NOUN}*)?|p{NOUN}mF?{NOUN}?"),
        ("one", rf"p?{WHICH}+(?:{NOUN}t?)?|po{NOUN}?|p{NOUN}F{NOUN}(?![p,]*{NOUN})|p{NOUN}{WHICH}?|po?W|pK"),
    )
)


SHORT = "a decrease over"
"""How a decrease over fewer stitches than it takes is told."""

_ROUNDS = re.compile("p?e?w")


class Where(NamedTuple):
    """Where a stitch goes: what is said, the number in it, and the token after it."""

    kind: str
    number: int
    end: int


class Phrase(NamedTuple):
    """One instruction: what it comes to, whether it names its own number, and the token after it."""

    node: Node
    end: int
    numbered: bool = True


def where(classes: str, found: Seq[Token], at: int) -> Where | None:
    """Read where a stitch goes, beginning at a token; None when nothing is said."""
    if _ROUNDS.match(classes, at):
        return None
    for kind, pattern in _WHERE:
        match = pattern.match(classes, at)
        if match and match.end() > at:
            numbers = [token.value for token in found[match.start() : match.end()] if token.cls in "no"]
            count = numbers[0] if numbers else (2 if kind == "every" else 1)
            if kind == "named":
                # "2 sc in the first and the fifth": each of them
                if not any(token.text == "and" for token in found[match.start() : match.end()]):
                    continue
                return Where("some", len(re.findall("[FoL]", match[0])), match.end())
            if kind == "pair" and "e" not in match[0] and match[0].startswith("p"):
                # "dec over the second and third"
                return Where("some", len(numbers), match.end())
            if kind == "start":
                count = 1
            if match[0] == "R" and re.search("n[stid]$", classes[:at]):
                # "2 sc left over"
                return None
            if kind == "one" and "R" in match[0]:
                # "sc in the remaining sts"
                return Where("fill", 1, match.end())
            return Where(kind, count, match.end())
    return None


def _ranked(each: Node, plain: Node, times: int) -> tuple[tuple[float, str, Node], ...]:
    """Return both ways to read "3 sc in next 3 sts"; of two it is likelier that each takes two."""
    told = f"{times} in each of {times}"
    if times == 2:
        return (0.0, told, each), (0.6, "one in each", plain)
    return (0.0, "", plain), (0.6, told, each)


def number_of(found: Seq[Token], match: re.Match[str], *groups: int) -> int | None:
    """Return the number that the first matched group holds."""
    for group in groups:
        if match[group] is not None:
            return found[match.start(group)].value
    return None


def placed(act: Work, place: Where) -> Node:
    """Return a shaping stitch in its place."""
    uses = act.act.uses
    if place.kind == "fill":
        return Fill(act)
    if place.kind == "every":
        return Fill(Sequence((work("sc", 1, 1, max(place.number - uses, 0)), act)))
    times = place.number if place.kind in ("some", "each") else 1
    if place.kind == "some" and times < uses:
        # "decrease over the next 1 stitches"
        told = f"{SHORT} {times}, which takes {uses}"
        return Choice("short", ((0.5, told, act), (0.5, told, work(act.act.stitch, times, act.act.makes))))
    if uses > 1 and place.kind in ("some", "each"):
        if times % uses == 0 and times > 0:
            one = Repeat(act, times // uses)
            return Choice("over", ((0.0, "", one), (1.5, f"{times} decreases", Repeat(act, times))))
        return Repeat(act, times)
    return Repeat(act, times)


def stitched(stitch: str, times: int, place: Where, *, first: bool) -> Node:
    """Return a stitch, or several in one, in its place."""
    one: Work = work(stitch, 1, times)
    match place.kind:
        case "fill":
            return Fill(one)
        case "every":
            if times == 1:
                return Fill(one)
            return Fill(Sequence((work(stitch, 1, 1, max(place.number - 1, 0)), one)))
        case "pair":
            return Fill(Sequence((work(stitch, 1, 1, max(place.number - 1, 0)), one)))
        case "some" | "each":
            each = Repeat(one, place.number)
            if times == place.number and times > 1 and place.kind == "some":
                plain = work(stitch, 1, 1, times)
                return Choice("in next", _ranked(each, plain, times))
            return each
        case "same" if times == 1 and not first:
            return Choice("same", ((0.0, "", work(stitch, 0, 1)), (0.5, "", work(stitch, 1, 1))))
    return one
