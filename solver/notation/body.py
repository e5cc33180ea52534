"""The instructions of one round: stars told apart, brackets balanced, phrases found; then the grammar makes a tree of it."""

from __future__ import annotations

import re
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
from solver.notation.phrases import phrase, where
from solver.notation.tokens import Token, shape

_OPEN, _CLOSE = "([{<", ")]}>"
#: Brackets within brackets deeper than this are not read.
_DEEPEST = 12


@dataclass(frozen=True, slots=True)
class Again:
    """ "Repeat from * ...": how often, whether that comes on top, and what is repeated.

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
    once : bool
        Whether the star stood only before it ("*...; rep from * 5 times": 6 in all).
    """

    times: int | None
    more: bool
    leave: int
    starred: bool
    once: bool


def tree(found: Seq[Token]) -> Node | None:
    """Return the tree of the instructions in tokens; None when there are none."""
    kept = [token for token in _balanced(_starred(list(found))) if token.cls not in "qzbKCYuT\"="]
    classes = shape(kept)
    spread = _spread_evenly(kept, classes)
    if spread is not None:
        return spread
    after = _numbers_after(classes)
    node = _parsed(_terminals(kept, number_after=after))
    if node is None or not re.search(r"[sid]n[sid]", classes):
        return node
    # "sc 2 sc in next": the two belongs to what stands before it, or to what follows.
    other = _parsed(_terminals(kept, number_after=not after))
    if other is None or other == node:
        return node
    return Choice("number", ((0.0, "", node), (0.4, "", other)))


def _spread_evenly(kept: list[Token], classes: str) -> Node | None:
    """Read "increase 6 stitches evenly": how many, but not where."""
    numbers = [token.value for token in kept if token.cls == "n"]
    if "V" not in classes or len(numbers) != 1 or not re.search("[id]", classes):
        return None
    act = work("sc", 1, 2) if "i" in classes else work("sc", 2, 1)
    return Sequence((Fill(work("sc", 1, 1)), Repeat(act, numbers[0])))


def _parsed(terminals: list[Terminal]) -> Node | None:
    if not any(terminal.type == "ITEM" for terminal in terminals):
        return None
    try:
        parsed = _grammar().parse(iter(terminals))  # type: ignore[arg-type]
    except UnexpectedInput:
        return None
    return _whole(_Builder().transform(parsed))


# ---- stars and brackets ------------------------------------------------------------------------------------


def _starred(found: list[Token]) -> list[Token]:
    """Tell stars that open, close, multiply and are referred to apart."""
    out: list[Token] = []
    is_open = False
    stars = [i for i, token in enumerate(found) if token.cls == "*"]
    for i, token in enumerate(found):
        if token.cls == "f" and is_open and i + 1 < len(found) and found[i + 1].cls == "*" and found[i - 1].cls not in "rqz":
            # "..., ab * noch 5 x wiederholen": the star is spoken of before the verb.
            out += [_bracket(token, ")"), replace(token, cls="r", text="once")]
            is_open = False
            continue
        if token.cls == "r" and is_open and _refers(found, i):
            out += [_bracket(token, ")"), _named(token, "once")]
            is_open = False
            continue
        if token.cls != "*":
            out.append(token)
            continue
        before = out[-1].cls if out else ""
        after = found[i + 1] if i + 1 < len(found) else None
        number_next = after is not None and after.cls in "nX"
        later = any(star > i for star in stars)
        if _referred(found, i):
            if out and out[-1].cls == "r" and out[-1].text != "once":
                out[-1] = _named(out[-1], "starred")
            continue
        if before and before in _CLOSE and number_next and not is_open:
            out.append(replace(token, cls="x"))
        elif is_open and i > 0 and found[i - 1].cls != "*":
            out.append(_bracket(token, ")"))
            is_open = False
        elif not is_open and number_next and not later and before and before not in ",;:.([{" and not _returns(found, i):
            out.append(replace(token, cls="x"))
        elif not is_open:
            out.append(_bracket(token, "("))
            is_open = True
    return out


def _bracket(token: Token, cls: str) -> Token:
    return replace(token, cls=cls, text="*")


def _named(token: Token, text: str) -> Token:
    return replace(token, text=text)


def _refers(found: list[Token], at: int) -> bool:
    """Tell whether a "repeat" closes what an open star began."""
    rest = shape(found[at : at + 8])
    return bool(re.match(r"r[fqzpBw,]*(?:\*|[aeX]|v|nx|xn|$)", rest)) and not _star_closes(found, at)


def _star_closes(found: list[Token], at: int) -> bool:
    return False


def _referred(found: list[Token], at: int) -> bool:
    """Tell whether a star is only spoken of ("from *", "* to *")."""
    before = found[at - 1].cls if at else ""
    if before in ("f", "r") or (before in ("q", "z", "p") and at > 1 and found[at - 2].cls in "rf"):
        return True
    if before in ("v", ",") and at > 1 and found[at - 2].cls == "*" and _repeat_before(found, at):
        return True
    return at + 2 < len(found) and found[at + 1].cls == "v" and found[at + 2].cls == "*"


def _repeat_before(found: list[Token], at: int) -> bool:
    return any(token.cls in "rf" for token in found[max(0, at - 5) : at])


def _returns(found: list[Token], at: int) -> bool:
    return any(token.cls == "r" for token in found[at + 1 :])


def _balanced(found: list[Token]) -> list[Token]:
    """Return tokens with one kind of bracket, each opened and closed; empty ones and what lies too deep are dropped."""
    out: list[Token] = []
    depth = 0
    for token in found:
        if token.cls in _OPEN:
            depth += 1
            if depth <= _DEEPEST:
                out.append(replace(token, cls="("))
        elif token.cls in _CLOSE:
            if depth == 0:
                continue
            depth -= 1
            if depth < _DEEPEST:
                if out[-1].cls == "(":
                    out.pop()
                else:
                    out.append(replace(token, cls=")"))
        else:
            out.append(token)
    out += [replace(found[-1], cls=")")] * min(depth, _DEEPEST) if depth else []
    return out


# ---- phrases and multipliers -------------------------------------------------------------------------------

_TIMES = re.compile(r"x?nx?A?x?p?T?|X[Ax]*|xX")
_TIMES_AFTER = re.compile(r"(?:A?x?nx|A?xnx?|nA)(?:A?x?)(?:T)?|A?X(?:A?x?)|xXx?")
_LEAVE = re.compile(r"(?:v|B)(?:p?[LF]+(n)?[tscR]*|(n)[tsc]R?)")
_AGAIN = re.compile(r"r[fq]*")
_OFTEN = r"(?:A?x?n(?:A?x|xA?|A)?x?|A?X[Ax]*)"
_AGAIN_TIMES = re.compile(rf",?(?:\({_OFTEN}\)|{_OFTEN})")
#: "join with a slip stitch to first dc2tog": what a round is joined to is not worked again.
_JOIN = re.compile(r"(?:j|n?l(?=[vp]F))(?:[vp]?l)?(?:[vp]?F?[tscid]?ng|[vp]?F[tscid]?|[vp][tsc](?![tsc]))?")
_HEADED = re.compile(r"[,:.-]*s?a?:(?=.*[sidn])")
_LEAD = re.compile(r"[,:.-]*(?:nx|r[nX]x?):(?!\()")
_BEFORE = re.compile(r"(?:nx|xn|X):?(?=\()|(?:nx):(?=.)|nx(?=[sid])")
_INTO = re.compile(r"p?[NmL](?:[tsc])?(?![n])|pm?[tsc]|pn[tsc]?")


def _terminals(kept: list[Token], *, number_after: bool) -> list[Terminal]:
    classes = shape(kept)
    out: list[Terminal] = []
    at = 0
    separated = True
    lead = _LEAD.match(classes)
    headed = _HEADED.match(classes)
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
            if out and out[-1].type == "OPEN":
                out.pop()
            else:
                while out and out[-1].type == "BEFORE":
                    out.pop()
                out.append(Terminal("CLOSE", kept[at].text))
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
        if cls in ",;:.-/+v" or cls not in "nosldcitkNLFRepgmSDGMEX":
            separated = separated or cls in ",;:.-/+"
            at += 1
            continue
        if cls == "E":
            out.append(_item(Fill(work("sc", 1, 1)), False))
            at, separated = at + 1, False
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


def _item(node: Node, numbered: bool) -> Terminal:
    terminal = Terminal("ITEM", "")
    terminal.value = (node, numbered)  # type: ignore[assignment]
    return terminal


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
        if match and match[0].strip(":") != "xn" and (separated or match[0] != "nx" or classes[match.end()] == "("):
            out.append(_of("BEFORE", _first_number(kept[at : match.end()])))
            return match.end()
    after_unit = bool(out) and out[-1].type in ("ITEM", "CLOSE", "TIMES", "IN_ONE")
    if not after_unit:
        return None
    match = _TIMES_AFTER.match(classes, at)
    if match and not (separated and out[-1].type == "ITEM" and match[0] == "nA"):
        times = _first_number(kept[at : match.end()])
        more = "A" in match[0]
        if separated and out[-1].type == "ITEM":
            out.append(_of("AGAIN", Again(times, more, 0, False, False)))
        elif more:
            out.append(_of("AGAIN", Again(times, True, 0, False, False)))
        elif out[-1].type != "TIMES":
            out.append(_of("TIMES", times))
        return match.end()
    if out[-1].type == "CLOSE" and cls == "n" and out[-1] == "*" and re.match(r"n(?:[,;.)(]|$)", classes[at:]):
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
    number = _AGAIN_TIMES.match(classes, end)
    if number and not classes.startswith(("s", "i", "d", "t"), number.end()):
        times = _first_number(kept[end : number.end()])
        more = "A" in number[0]
        end = number.end()
        if classes.startswith("A", end):
            more, end = True, end + 1
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
        out.append(_of("AGAIN", Again(times, more, leave, named in ("once", "starred"), named == "once")))
    return end


def _numbers_after(classes: str) -> bool:
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
        needs = {"TIMES": ("ITEM", "CLOSE", "IN_ONE"), "TO_END": ("ITEM", "CLOSE", "TIMES", "IN_ONE"), "IN_ONE": ("CLOSE",)}
        if terminal.type in needs and (not kept or kept[-1].type not in needs[terminal.type]):
            continue
        if terminal.type not in ("ITEM", "OPEN", "BEFORE"):
            while kept and kept[-1].type == "BEFORE":
                kept.pop()
        kept.append(terminal)
    while kept and kept[-1].type == "BEFORE":
        kept.pop()
    return kept


# ---- the tree ----------------------------------------------------------------------------------------------


@cache
def _grammar() -> Lark:
    text = (files("solver.notation") / "rounds.lark").read_text(encoding="utf-8")
    return Lark(text, parser="lalr", lexer=_Ready)


class _Ready(Lexer):
    """Hands lark the terminals that were found already."""

    def __init__(self, conf: object) -> None:
        del conf

    def lex(self, data: Any) -> Any:
        return data


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
        return _Part(inner, "group", star=opened == "*")

    def before(self, children: list[Any]) -> _Part:
        part = children[1]
        return _Part(Repeat(part.node, children[0].value), "done")

    def times(self, children: list[Any]) -> _Part:
        part, number = children[0], children[1].value
        node = Repeat(_number_of_times(part), number)
        if part.kind == "item":
            return _Part(node, "item", numbered=part.numbered, times=number)
        return _Part(node, "done", times=number)

    def to_end(self, children: list[Any]) -> _Part:
        part, leave = children[0], children[1].value
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


def _number_of_times(part: _Part) -> Node:
    """Return what is multiplied: in "2 in one x 6" or "1 inc x 6" the whole item."""
    return part.node


def _sequence(children: list[Any]) -> Node:
    parts: list[_Part] = []
    for child in children:
        if isinstance(child, Again):
            _take_again(parts, child)
        else:
            parts.append(child)
    parts = _scoped(parts)
    if len(parts) > 1 and parts[0].node == Fill(work("sc", 1, 1)) and any(isinstance(part.node, Fill) for part in parts[1:]):
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
    parts[start:] = [_Part(_again(inner, again), "done"), *rest]


def _again(inner: Node, again: Again) -> Node:
    if again.times is None:
        return inner if isinstance(inner, Fill) else Fill(inner, again.leave)
    total, on_top = Repeat(inner, again.times), Repeat(inner, again.times + 1)
    in_all = (f"{again.times} in all", total)
    one_more = (f"once, then {again.times} more", on_top)
    if again.more or again.once:
        return Choice("repeat", ((0.0, *one_more), (1.5, *in_all)))
    return Choice("repeat", ((0.0, *in_all), (1.0, *one_more)))


def _scoped(parts: list[_Part]) -> list[_Part]:
    """A multiplier behind an unmarked list may belong to its last stitch or to all of it."""
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
        options = ((0.0, "", apart), (doubt, f"all of it {last.times} times", whole))
    else:
        whole = Fill(everything, last.leave)
        options = ((0.0, "all of it to the end of the round", whole), (0.2, "", apart))
    return [_Part(Choice("scope", options), "done"), *rest]


def _whole(node: Node) -> Node:
    """A list with nothing marked may be meant for the whole round."""
    if not isinstance(node, Sequence) or not node.items:
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
        return node.name not in ("bracket", "repeat", "scope") and all(_simple(option) for _, _, option in node.options)
    return False
