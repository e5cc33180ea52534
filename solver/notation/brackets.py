"""What stands in brackets: counts, numbers of rounds, how often, remarks."""

from __future__ import annotations

import re
from collections.abc import Sequence as Seq
from dataclasses import dataclass, replace

from solver.notation.classes import CLOSE, OPEN, WORKS, core
from solver.notation.token import Token, shape

#: "(3R)": letters that stand for rounds behind a number.
_ROUND_LETTERS = ("r", "rd", "rg", "р")
COUNTS = ("count", "unit", "several", "both", "change", "last", "told")
_COUNT = re.compile(r"[Tqze=:]*n(?:[tsN][tTqzRe]*(?:p?e?w)?|[tTqzRe]*(?:pe?w)?)[Tqz]*[.,!;]?")
_COUNT_AND_ROUNDS = re.compile(r"[Tqz=]*(n)[tsN]?[Tqz]*[,;:/-][qzf]*(n)A?w[Tqz]*")
_COUNT_AND_CHANGE = re.compile(
    r"[Tqz=]*n[t]?[Tqz]*[,;:/-]?[+-]?n(?:[idtA])?[tqz]*|[Tqz=]*n[t][Tqz]*,n[id](?:,n[id])*"
)
_CHANGE_AND_COUNT = re.compile(r"n[id][tTqz]*[,;]n[t][tTqz]*|nt?-*~nt?|[+-]n[tsid]?[=,;:/]T?nt?")
_SEVERAL = re.compile(r"[Tqz=]*n[ts]?(?:[,/;-]n[ts]?)+[Tqz]*")
_ROUNDS = re.compile(r"[Tqzf=]*nA?w[TqRN]*")
_TIMES_IN = re.compile(r"(?:x?nx?A?x?|X)")
#: "you should still have 14 stitches by the end of round 3"
_TOTAL_TOLD = re.compile(r"T[Tq=:e]*n[tsN]?(?![nwsid])|n[tsN]?q*R$")
_CHANGE = re.compile(r"[+-]n[idtsA]*|n[idt]?A")
#: Words that tell nothing of stitches, from which what follows a count is a story.
_STORY = 2
_TIMES_NEXT = re.compile(r"(?![,.]?x?n[AN]?w)(?:x|nx|X|\*n|n\*|[,.]?r[fq*]*[naxX*]|[,]?x|·n)")


@dataclass(frozen=True, slots=True)
class Stated:
    """A number that a line states as its count.

    Attributes
    ----------
    count : int
        The number.
    start, end : int
        Where it stands in the folded line.
    sure : bool
        False when the same words could be an instruction.
    """

    count: int
    start: int
    end: int
    sure: bool = True


def bracket_end(found: list[Token], at: int) -> int | None:
    """Return where a bracket that holds no other one is closed."""
    if found[at].cls not in OPEN:
        return None
    for i in range(at + 1, len(found)):
        if found[i].cls in CLOSE:
            return i
        if found[i].cls in OPEN:
            return None
    return None


@dataclass(frozen=True, slots=True)
class Group:
    """A bracket that states something: what, from where to where, and the numbers in it."""

    kind: str
    at: int
    end: int
    numbers: tuple[Token, ...]


def groups(found: list[Token]) -> list[Group]:
    """Return the brackets of a line that state something."""
    out: list[Group] = []
    at = 0
    while at < len(found):
        end = bracket_end(found, at)
        if end is None:
            at += 1
            continue
        inner = found[at + 1 : end]
        kind = _kind(counted(inner), shape([t for t in found[end + 1 : end + 5] if t.cls != "q"]))
        numbers = tuple(t for t in counted(inner) if t.cls == "n")
        if kind == "told":
            number = _TOTAL_TOLD.search(shape(counted(inner)))
            assert number is not None
            place = number.start() + number[0].index("n")
            numbers = (counted(inner)[place],)
        if kind:
            out.append(Group(kind, at, end, numbers))
        at = end + 1
    return out


def counted(inner: list[Token]) -> list[Token]:
    """Return the tokens of a bracket with "21st" read as 21 stitches."""
    out: list[Token] = []
    for token in inner:
        if token.cls == "o" and token.text == "st":
            out += [replace(token, cls="n"), replace(token, cls="t", text="stitch")]
        elif token.cls == "z" and token.text in _ROUND_LETTERS and out and out[-1].cls == "n":
            out.append(replace(token, cls="w", text="round"))
        else:
            out.append(token)
    return out


def _kind(inner: list[Token], following: str) -> str:
    classes = shape(inner)
    numbers = [token for token in inner if token.cls == "n"]
    if _TIMES_IN.fullmatch(classes) and classes != "n":
        return "times"
    if _ROUNDS.fullmatch(classes):
        return "rounds"
    if _COUNT_AND_ROUNDS.fullmatch(classes):
        return "both"
    if _CHANGE.fullmatch(classes):
        return "remark"
    if not numbers:
        return ""
    if _TOTAL_TOLD.search(classes) and not re.search("[idQ]", classes) and not _TIMES_NEXT.match(following):
        return "told"
    if _COUNT.fullmatch(classes):
        if _TIMES_NEXT.match(following) or (following.startswith("p") and "s" in classes):
            # "(2 sc, inc) x 6"; "(3 sc) in corner chain"
            return ""
        return "count" if "s" not in classes else "unit"
    if _SEVERAL.fullmatch(classes) and "s" not in classes:
        return "several" if len(numbers) > 1 else "count"
    if _CHANGE_AND_COUNT.fullmatch(classes) and not _TIMES_NEXT.match(following):
        return "last"
    if _COUNT_AND_CHANGE.fullmatch(classes) and not _TIMES_NEXT.match(following):
        return "change"
    return ""


def bracketed(found: list[Token]) -> tuple[list[Token], list[Stated], int | None]:
    """Take the brackets that state something out of a line."""
    found = without_talk(found)
    within = groups(found)
    rounds: int | None = None
    body: list[Token] = []
    stated: list[Stated] = []
    counts = [group for group in within if group.kind in COUNTS]
    held = {i for group in within for i in range(group.at + 1, group.end)}
    first_core = next(
        (i for i, token in enumerate(found) if token.cls in "sidEDGM" and i not in held), len(found)
    )
    last_core = next((i for i in range(len(found) - 1, -1, -1) if token_works(found, i, within)), -1)
    as_numbers = _multipliers(found, counts, last_core)
    alone = first_core == len(found) and not any(t.cls in "nr" and i not in held for i, t in enumerate(found))
    ended = False
    by_start = {group.at: group for group in within}
    at = 0
    while at < len(found):
        group = by_start.get(at)
        if group is None:
            if not ended:
                body.append(found[at])
            elif rounds is None and shape(found[at : at + 2]) == "nw" and found[at - 1].cls not in "FLe":
                rounds = found[at].value
            at += 1
            continue
        at = group.end + 1
        inner = group.numbers
        if group in as_numbers:
            body.append(replace(inner[0], start=found[group.at].start, end=found[group.end].end))
        elif group.kind == "times":
            if not ended:
                first, *rest = found[group.at + 1 : group.end]
                body += [replace(first, glued=False), *rest]
        elif group.kind == "rounds":
            rounds = inner[0].value if inner else rounds
        elif group.kind == "remark":
            continue
        elif (
            group.kind == "unit"
            and not _heads(found, group)
            and ((alone and len(counts) == 1) or not _after_work(found, group, within))
        ):
            body += found[group.at : group.end + 1]
        else:
            took = inner if group.kind == "several" else inner[-1:] if group.kind == "last" else inner[:1]
            stated += [Stated(t.value, found[group.at].start, found[group.end].end) for t in took]
            if group.kind == "both":
                rounds = inner[-1].value
            ended = ended or group.at > last_core >= 0
    return body, stated, rounds


def _heads(found: list[Token], group: Group) -> bool:
    """Tell the count of "Rnd 3 (9 sc): ...", which stands before the instructions."""
    behind = found[group.end + 1 :]
    return group.at == 0 and shape(behind[:1]) == ":" and any(token.cls in WORKS for token in behind)


_SAID = re.compile(r"[,;]q*n[ts]q*T\.(?=-)")


def without_talk(found: list[Token]) -> list[Token]:
    """Drop a story behind the count: "(14) - the increases sit at the back"."""
    said = _SAID.search(shape(found))
    behind = found[said.end() :] if said else []
    if said and core(found[: said.start()]) and not (core(behind) and re.search("[nsid]", shape(behind))):
        # "..., 12 stitches in all. - place a marker"
        return found[: said.end()]
    counts = [group for group in groups(found) if group.kind in ("count", "unit", "told")]
    if not counts or not any(token.cls in WORKS + "s" for token in found[: counts[-1].at]):
        return found
    end = counts[-1].end + 1
    behind = found[end:]
    words = sum(token.cls in "zqZQKC" for token in behind)
    named = sum(token.cls in "nsidtcl" for token in behind)
    told = (
        words >= _STORY
        and words >= named
        and not (
            re.search("x|X", shape(behind)) or (words == named and re.search("n[sid]|[sid]n", shape(behind)))
        )
    )
    rounds = _ROUNDS_BEHIND.match(shape(behind))
    return found[: end + (rounds.end() if rounds else 0)] if told else found


_ROUNDS_BEHIND = re.compile(r"[,;.-]*q*nA?w")


def repeats_next(found: list[Token], end: int) -> bool:
    """Tell whether what stands behind a bracket says how often it is worked."""
    following = shape([token for token in found[end + 1 : end + 5] if token.cls != "q"])
    if following[:1] == "*" and sum(token.cls == "*" for token in found[:end]) % 2:
        # The star closes what one before the bracket opened.
        return False
    return bool(_TIMES_NEXT.match(following)) or following[:1] in ("a", "e") or following[1:2] == "a"


def _inside(at: int, within: list[Group]) -> bool:
    return any(group.at < at < group.end for group in within)


def token_works(found: list[Token], at: int, within: list[Group]) -> bool:
    """Tell whether a token is a stitch of the instructions, not of a count, a join or a turn."""
    return found[at].cls in "sidEDGM" and not any(
        group.at < at < group.end and group.kind in COUNTS for group in within
    )


def _after_work(found: list[Token], group: Group, within: list[Group]) -> bool:
    """Tell whether something was worked before a bracket like "(18 sc)"."""
    before = found[: group.at]
    return any(t.cls in "sidEDGMnr" for i, t in enumerate(before) if not _inside(i, within))


def _multipliers(found: list[Token], counts: list[Group], last_core: int) -> list[Group]:
    """Find brackets that give the number of a stitch: "sc (3), inc (1), sc (3)"."""
    taken = []
    for group in counts:
        if group.kind != "count" or group.at == 0 or group.end > last_core:
            continue
        if found[group.at - 1].cls in "sid" and len(group.numbers) == 1 and group.end - group.at == 2:
            taken.append(group)
    if taken and len(taken) < len([g for g in counts if g.end < last_core]):
        return []
    if len(taken) == 1 and len(counts) == 1:
        return []
    return taken


def may_be_rounds(found: Seq[Token], stated: Stated) -> bool:
    """Tell whether a bracket holds a number and nothing else."""
    inside = [t for t in found if stated.start < t.start and t.end < stated.end]
    return shape(inside) == "n"
