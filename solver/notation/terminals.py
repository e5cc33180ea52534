"""The terminals of the grammar: phrases, multipliers and repeats found among the tokens of a line."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from lark import Token as Terminal

from solver.notation.instructions import Fill, Node, work
from solver.notation.phrases import phrase
from solver.notation.token import Token


@dataclass(frozen=True, slots=True)
class Again:
    """What a "repeat from *" says: how often, whether that comes on top, and what is repeated.

    Attributes
    ----------
    times : int or None
        Number said; None: to the end of the round.
    more : bool
        "5 more times".
    leave : int
        Stitches left at the end.
    starred : bool
        Whether a star says what is repeated.
    in_all : bool
        "3 times in all".
    once : bool
        Whether the star stood only before it ("*...; rep from * 5 times": 6 in all).
    """

    times: int | None
    more: bool
    leave: int
    starred: bool
    once: bool
    in_all: bool = False


_TIMES_AFTER = re.compile(r"(?:A?x?nx|A?xnx?|nA)(?:A?x?)(?:T)?|A?X(?:A?x?)|xXx?")
_TIMES_SAID = re.compile(r"xnx?(?!w)|nx(?!w)|X")
_LEAVE = re.compile(r"(?:v|B)(?:p?[LF]+(n)?[tscR]*|(n)[tsc]R?)")
_AGAIN = re.compile(r"r[fq]*(?:v(?=A?x?nA?x|X))?")
_OFTEN = r"(?:A?x?n(?:A?x|xA?|A)?x?|A?X[Ax]*)"
_AGAIN_TIMES = re.compile(rf",?(?:\({_OFTEN}\)|{_OFTEN})")
#: "join with a slip stitch to first dc2tog": what a round is joined to is not worked again.
_JOIN = re.compile(
    r"(?:j[tscid](?=[,;.:)(\[\]-]|$)|j|n?l(?=[vp][Foc]))(?:[vp]?n?l)?(?:[vp]?[Fo]?[tscid]?ng|[vp]?cn?(?!c)|[vp]?[Fo][tscid]?|[vp][tsc](?![tsc])|v(?=ns))?"
)
_HEADED = re.compile(r"[,:.-]*s?a?:(?=.*[sidn])")
#: "Starting in the 2nd ch from hook, 5 sc": where the round begins.
_FROM = re.compile(r"[,:.-]*F?p?(?:o[tc]?|F?c)[pf]H(?=[,;:])")
_LEAD = re.compile(r"[,:.-]*(?:nx|r[nX]x?):(?!\()")
_BEFORE = re.compile(
    r"(?:nx|xn|X):?(?=\()|(?:nx):(?=.)|nx(?=[sid]|n[stc]*g)|n(?=\([^()]*[sid][^()]*\)(?!n?[xX]|[*]n))"
)
_OVER_ALL = re.compile(r"p[NLFR]*n[NLFR]*[tsc]")
_INTO = re.compile(r"p?[NmL](?:[tsc])?(?![n])|pm?[tsc]|pn[tsc]?")


def terminals(kept: list[Token], *, number_after: bool) -> list[Terminal]:
    """Return the terminals of a line's instructions.

    Parameters
    ----------
    kept : list of Token
        Its tokens, brackets balanced.
    number_after : bool
        Whether numbers stand after the stitches ("sc 2, inc 1").
    """
    classes = "".join(token.cls for token in kept)
    out: list[Terminal] = []
    at = 0
    separated = True
    lead = _LEAD.match(classes)
    headed = _HEADED.match(classes) or _FROM.match(classes)
    if lead or headed:
        at = (lead or headed).end()  # type: ignore[union-attr]
    while at < len(kept):
        cls = classes[at]
        closed = bool(out) and out[-1].type in ("CLOSE", "TIMES")
        if cls == "(":
            out.append(Terminal("OPEN", kept[at].text))
            at, separated = at + 1, True
            continue
        if cls == ")":
            _close(out, kept[at].text)
            at, separated = at + 1, False
            continue
        joined = _JOIN.match(classes, at)
        if joined:
            at, separated = joined.end(), True
            continue
        step = _multiplied(classes, kept, at, out, separated=separated, closed=closed)
        if step is not None:
            at, separated = step, False
            continue
        if cls in _ALONE:
            node, numbered, separated = _ALONE[cls]
            out.append(_item(node, numbered))
            at += 1
            continue
        if cls in ",;:.-/+v" or cls not in "nosldcitkNLFRepgmSDGMEX":
            separated = separated or cls in ",;:.-/+"
            at += 1
            continue
        result = phrase(classes, kept, at, number_after=number_after)
        if result is None:
            at += 1
            continue
        out.append(_item(result.node, result.numbered))
        at, separated = result.end, False
    while out and out[-1].type == "BEFORE":
        out.pop()
    if lead:
        # "6x: 2 sc, inc"
        out.append(_of("AGAIN", Again(_first_number(kept[: lead.end()]), False, 0, False, False)))
    return _without_empty(out)


#: Words that are an instruction by themselves: the turn at the end of a chain, "the skipped chains count as a
#: stitch", "even"; with whether each names its number, and whether it parts what stands beside it.
_ALONE: dict[str, tuple[Node, bool, bool]] = {
    "O": (work("side", 0, 0), True, True),
    "Q": (work("chain", 0, 1), True, False),
    "E": (Fill(work("sc", 1, 1)), False, False),
}


def _close(out: list[Terminal], text: str) -> None:
    """Close a bracket; one with nothing in it goes."""
    if out and out[-1].type == "OPEN":
        out.pop()
        return
    while out and out[-1].type == "BEFORE":
        out.pop()
    out.append(Terminal("CLOSE", text))


def _item(node: Node, numbered: bool) -> Terminal:
    terminal = Terminal("ITEM", "")
    terminal.value = (node, numbered)
    return terminal


def _turns(terminal: Terminal) -> bool:
    return terminal.type == "ITEM" and terminal.value[0] == work("side", 0, 0)


def _of(kind: str, value: Any) -> Terminal:
    terminal = Terminal(kind, "")
    terminal.value = value
    return terminal


def _multiplied(
    classes: str, kept: list[Token], at: int, out: list[Terminal], *, separated: bool, closed: bool
) -> int | None:
    """Read a multiplier, a "to the end" or a "repeat" at a token, and return the place after it."""
    cls = classes[at]
    if cls == "r":
        return _repeated(classes, kept, at, out)
    if not closed:
        match = _BEFORE.match(classes, at)
        if (
            match
            and match[0].strip(":") != "xn"
            and (separated or match[0] != "nx" or classes[match.end()] == "(")
        ):
            out.append(_of("BEFORE", _first_number(kept[at : match.end()])))
            return match.end()
    if out and out[-1].type == "TO_END":
        match = _TIMES_SAID.match(classes, at)
        if match:
            # "(2 sc, inc) around x 6": the number counts.
            out[-1] = _of("TIMES", _first_number(kept[at : match.end()]))
            return match.end()
    if not out or out[-1].type not in ("ITEM", "CLOSE", "TIMES", "IN_ONE") or _turns(out[-1]):
        return None
    return _after_unit(classes, kept, at, out, separated=separated, closed=closed)


def _after_unit(
    classes: str, kept: list[Token], at: int, out: list[Terminal], *, separated: bool, closed: bool
) -> int | None:
    """Read how often what stands before is worked, and return the place after it."""
    cls = classes[at]
    if out[-1].type == "TIMES" and not separated:
        there = _OVER_ALL.match(classes, at)
        if there:
            # "(inc, sc) 3 times over the first 6 sts"
            return there.end()
    match = _TIMES_AFTER.match(classes, at)
    if match and not (separated and out[-1].type == "ITEM" and match[0] == "nA"):
        times = _first_number(kept[at : match.end()])
        more = "A" in match[0]
        if separated and out[-1].type == "ITEM":
            out.append(_of("AGAIN", Again(times, more, 0, False, False, match[0].endswith("T"))))
        elif more:
            out.append(_of("AGAIN", Again(times, True, 0, False, False)))
        elif out[-1].type != "TIMES":
            out.append(_of("TIMES", times))
        return match.end()
    if (
        out[-1].type == "CLOSE"
        and cls == "n"
        and (out[-1].value == "*" or kept[at].glued)
        and re.match(r"n(?:[,;.)(]|$)", classes[at:])
    ):
        out.append(_of("TIMES", kept[at].value))
        return at + 1
    if cls == "a" or (cls in "vB" and _LEAVE.match(classes, at)):
        leave, end = _left_over(classes, kept, at)
        if out[-1].type == "TIMES":
            return end
        if separated and out[-1].type == "ITEM":
            out.append(_of("AGAIN", Again(None, False, leave, False, False)))
        else:
            out.append(_of("TO_END", leave))
        return end
    if closed and not separated:
        match = _INTO.match(classes, at)
        if match and out[-1].type == "CLOSE":
            out.append(_of("IN_ONE", 1))
            return match.end()
    return None


def _first_number(found: list[Token]) -> int:
    return next((token.value for token in found if token.cls in "nX"), 1)


def _left_over(classes: str, kept: list[Token], at: int) -> tuple[int, int]:
    """Return how many stitches "around to last 2 sts" leaves, and the place after it."""
    end = at
    while classes[end : end + 1] == "a":
        end += 1
    match = _LEAVE.match(classes, end)
    if not match:
        return 0, end
    group = 1 if match[1] is not None else 2
    leave = kept[match.start(group)].value if match[group] is not None else 1
    return leave, match.end()


def _repeated(classes: str, kept: list[Token], at: int, out: list[Terminal]) -> int:
    named = kept[at].text
    match = _AGAIN.match(classes, at)
    end = match.end() if match else at + 1
    times: int | None = None
    more = False
    leave = 0
    in_all = False
    number = _AGAIN_TIMES.match(classes, end)
    if number and not classes.startswith(("s", "i", "d", "t"), number.end()):
        times = _first_number(kept[end : number.end()])
        more = "A" in number[0]
        end = number.end()
        if classes.startswith("A", end):
            more, end = True, end + 1
        in_all = classes.startswith("T", end)
        while classes[end : end + 1] in ("a", "x"):
            end += 1
    elif classes[end : end + 1] in ("a", "v", "B", "e"):
        while classes[end : end + 1] in ("e", "w"):
            end += 1
        leave, after = _left_over(classes, kept, end)
        end = max(after, end)
    elif classes[end : end + 1] in ("s", "i", "d", "n", "t", "c", "l", "E", "p", "M"):
        # "continue 2 sc in next": the word only leads on.
        return end
    if times is None and not leave and out and out[-1].type in ("TIMES", "AGAIN", "TO_END"):
        # "6 x wiederholen", "repeat": the number came before the verb.
        return end
    if out:
        starred, once = named in ("once", "starred"), named == "once"
        out.append(_of("AGAIN", Again(times, more, leave, starred, once, in_all)))
    return end


def numbers_after(classes: str) -> bool:
    """Tell whether a line writes its numbers after the stitches ("sc 2, inc 1")."""
    after = len(re.findall(r"[sidt]n(?![xtpn])", classes))
    before = len(re.findall(r"(?<![sidx])n[sid]", classes))
    return after > before


def _without_empty(out: list[Terminal]) -> list[Terminal]:
    """Drop brackets with nothing in them, and multipliers of nothing."""
    kept: list[Terminal] = []
    for terminal in out:
        if terminal.type == "CLOSE" and kept and kept[-1].type == "OPEN":
            kept.pop()
            continue
        if terminal.type == "CLOSE":
            while kept and kept[-1].type == "BEFORE":
                kept.pop()
        needs = {
            "TIMES": ("ITEM", "CLOSE", "IN_ONE"),
            "TO_END": ("ITEM", "CLOSE", "TIMES", "IN_ONE"),
            "IN_ONE": ("CLOSE",),
        }
        if terminal.type in needs and (not kept or kept[-1].type not in needs[terminal.type]):
            continue
        if terminal.type not in ("ITEM", "OPEN", "BEFORE"):
            while kept and kept[-1].type == "BEFORE":
                kept.pop()
        kept.append(terminal)
    while kept and kept[-1].type == "BEFORE":
        kept.pop()
    return kept
