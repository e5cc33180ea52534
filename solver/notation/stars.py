"""The stars and brackets of a line: which open, close, multiply, and which are only spoken of."""

from __future__ import annotations

import re
from dataclasses import replace

from solver.notation.token import Token, shape

_OPEN, _CLOSE = "([{<", ")]}>"
#: Brackets within brackets deeper than this are not read.
_DEEPEST = 12


def starred(found: list[Token]) -> list[Token]:
    """Tell stars that open, close, multiply and are referred to apart."""
    out: list[Token] = []
    is_open = False
    stars = [i for i, token in enumerate(found) if token.cls == "*"]
    if stars and all(_multiplies(found, i) for i in stars):
        return [replace(token, cls="x") if token.cls == "*" else token for token in found]
    for i, token in enumerate(found):
        if is_open and _spoken_of(found, i):
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
            if out and out[-1].cls == "v":
                # "repeat from * to * 3 more times"
                out.pop()
            continue
        if not is_open and after is not None and after.cls == "x" and any(t.cls in _CLOSE for t in out):
            # "*sc, inc*. *x8": the star only leads the number in.
            continue
        if before and before in _CLOSE and number_next and not is_open:
            out.append(replace(token, cls="x"))
        elif is_open and i > 0 and found[i - 1].cls != "*":
            out.append(_bracket(token, ")"))
            is_open = False
        elif (
            not is_open
            and number_next
            and not later
            and before
            and before not in ",;:.([{"
            and not _returns(found, i)
        ):
            out.append(replace(token, cls="x"))
        elif not is_open:
            out.append(_bracket(token, "("))
            is_open = True
    return out


def _multiplies(found: list[Token], at: int) -> bool:
    """Tell the star of "X*6" and "(X,V)*6", which touches what stands beside it."""
    if not 0 < at < len(found) - 1 or not (found[at].glued and found[at + 1].glued):
        return False
    return found[at + 1].cls == "n" and found[at - 1].cls in "sid)]}"


def _spoken_of(found: list[Token], at: int) -> bool:
    """Tell the "from" before a star that a verb behind it repeats."""
    star = at + 1 < len(found) and found[at + 1].cls == "*"
    return found[at].cls == "f" and star and found[at - 1].cls not in "rqz"


def _bracket(token: Token, cls: str) -> Token:
    return replace(token, cls=cls, text="*")


def _named(token: Token, text: str) -> Token:
    return replace(token, text=text)


def _refers(found: list[Token], at: int) -> bool:
    """Tell whether a "repeat" closes what an open star began."""
    rest = shape(found[at : at + 8])
    return bool(re.match(r"r[fqzpBw,]*(?:\*|[aeX]|v|nx|xn|$)", rest))


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


def balanced(found: list[Token]) -> list[Token]:
    """Return tokens with one kind of bracket, each opened and closed, none empty or too deep."""
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
