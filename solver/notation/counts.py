"""What a line states beside its instructions: counts, its own number of rounds, remarks."""

from __future__ import annotations

import re
from collections.abc import Iterator
from collections.abc import Sequence as Seq
from dataclasses import dataclass, replace

from solver.notation.tokens import Token, shape

#: What it costs to take a lone number in brackets as a number of rounds.
ROUNDS_IN_BRACKETS = 1.5

_OPEN, _CLOSE = "([{<", ")]}>"
_CORE = re.compile(
    r"[idEDGM]|n\*?[scl](?!H)|s[npexXg]|[scl]a|s[NF]|kn|k[NpF]|nk|r(?:.{0,3})[an*]|n[p]|[st]D|eo?t?s?g"
)
#: "(3R)": letters that stand for rounds behind a number.
_ROUND_LETTERS = ("r", "rd", "rg", "р")
_COUNTS = ("count", "unit", "several", "both", "change", "last")
_COUNT = re.compile(r"[Tqze=:]*n[tsN]?[tTqzRe]*(?:p?e?w)?[Tqz]*[.,!;]?")
_COUNT_AND_ROUNDS = re.compile(r"[Tqz=]*(n)[tsN]?[Tqz]*[,;:/-][qzf]*(n)A?w[Tqz]*")
_COUNT_AND_CHANGE = re.compile(
    r"[Tqz=]*n[t]?[Tqz]*[,;:/-]?[+-]?n(?:[idtA])?[tqz]*|[Tqz=]*n[t][Tqz]*,n[id](?:,n[id])*"
)
_CHANGE_AND_COUNT = re.compile(r"n[id][tTqz]*[,;]n[t][tTqz]*|nt?>nt?")
_SEVERAL = re.compile(r"[Tqz=]*n[ts]?(?:[,/;-]n[ts]?)+[Tqz]*")
_ROUNDS = re.compile(r"[Tqzf=]*nA?w[TqzRN]*")
_TIMES_IN = re.compile(r"(?:x?nx?A?x?|X)")
_CHANGE = re.compile(r"[+-]n[idtsA]*|n[idt]?A")
#: What tells that a line without stitches is a round all the same, or a remark: "BLO (18)", "grey (18)".
_TELLING = frozenset("sidltcEDGrMabCKZjuSgkwPVYX")
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


@dataclass(frozen=True, slots=True)
class Content:
    """A line with instructions and statements told apart, in one of the ways that it can be taken.

    Attributes
    ----------
    body : tuple of Token
        What is worked.
    stated : tuple of Stated
        Counts, in the order in which they stand.
    rounds : int or None
        Number of rounds that the line says it is worked for.
    cost : float
        How unlikely this way is by the wording alone.
    """

    body: tuple[Token, ...]
    stated: tuple[Stated, ...] = ()
    rounds: int | None = None
    cost: float = 0.0


def contents(found: Seq[Token]) -> list[Content]:
    """Return the ways to tell instructions and statements apart, the likeliest first."""
    tokens = _without_remarks(_starred_count(list(found)))
    body, stated, rounds = _bracketed(tokens)
    body, own = _own_rounds(body)
    rounds = rounds if rounds is not None else own
    if stated:
        ways = [Content(tuple(body), tuple(stated), rounds)]
        if (
            not any(t.cls in "sidltEDGr" for t in body)
            and not re.search(r"n|c", shape(body))
            and not unknown(body)
        ):
            # Only a count: as many plain stitches.
            ways = [Content((*body, *_as_number(stated[0])), tuple(stated), rounds)]
        if rounds is None and _may_be_rounds(tokens, stated[-1]):
            # "Rnd 10-18 = 60 sc (9)": a last lone number in brackets may be the number of rounds.
            ways.append(Content(tuple(body), tuple(stated[:-1]), stated[-1].count, ROUNDS_IN_BRACKETS))
        return ways
    return list(_bare(body, rounds))


def _starred_count(found: list[Token]) -> list[Token]:
    """Read "... * 24 sts *" like "... (24 sts)"."""
    match = re.search(r"\*(?:nt|n)\*$", shape(found))
    if not match or not core(found[: match.start()]):
        return found
    inner = found[match.start() + 1 : -1]
    return [
        *found[: match.start()],
        replace(found[match.start()], cls="("),
        *inner,
        replace(found[-1], cls=")"),
    ]


def core(found: Seq[Token]) -> bool:
    """Tell whether tokens hold something to work."""
    return bool(_CORE.search(shape([token for token in found if token.cls not in "q"])))


def unknown(body: Seq[Token]) -> bool:
    """Tell whether instructions are words that nobody knows: a number among them is no stitch either."""
    classes = {token.cls for token in body}
    return "z" in classes and not classes & _TELLING


def said(found: Seq[Token]) -> int | None:
    """Return the count that a line states, whatever its words are; None when it states none."""
    first = contents(found)[0]
    if first.stated:
        return first.stated[-1].count if first.stated[-1].sure else None
    match = _SURE.search(shape(first.body))
    numbers = [token.value for token in first.body[match.start() :] if token.cls == "n"] if match else []
    return numbers[0] if numbers else None


def _core_count(body: Seq[Token]) -> int:
    return sum(token.cls in "sidcltEDGM" for token in body)


def _has_plain(body: Seq[Token]) -> bool:
    return bool(re.search(r"(?:^|[(,;:=-])n(?:$|[),;:])", shape([t for t in body if t.cls not in "qzb"])))


def _as_number(stated: Stated) -> tuple[Token, ...]:
    return (
        Token("n", str(stated.count), stated.count, stated.start, stated.end, False),
        Token("t", "stitch", 0, stated.end, stated.end, True),
    )


# ---- remarks -----------------------------------------------------------------------------------------------


def _clauses(found: list[Token]) -> Iterator[list[Token]]:
    """Yield the parts of a line between separators that stand outside brackets; a separator ends its part."""
    depth = 0
    current: list[Token] = []
    ends = {group.end for group in _groups(found) if group.kind in _COUNTS}
    for i, token in enumerate(found):
        current.append(token)
        if token.cls in "([{":
            depth += 1
        elif token.cls in ")]}":
            depth = max(0, depth - 1)
            if i in ends and depth == 0:
                yield current
                current = []
        elif depth == 0 and token.cls in ",;.:" and not _and_between_numbers(found, i):
            yield current
            current = []
    if current:
        yield current


def _and_between_numbers(found: list[Token], at: int) -> bool:
    """Tell the "and" of "between rounds 3 and 4", which ends no clause."""
    return (
        found[at].text in ("and", "then")
        and 0 < at < len(found) - 1
        and found[at - 1].cls in "no"
        and found[at + 1].cls in "now"
    )


def _without_other_start(found: list[Token]) -> list[Token]:
    """Drop the second of two ways to begin: "6 sc in ring or ch 2, 6 sc in 2nd ch from hook"."""
    at = next((i for i, token in enumerate(found) if token.text == "or"), None)
    if at is None or not core(found[:at]) or not any(t.cls in "MH" for t in found[at:] + found[:at]):
        return found
    ends = [group.at for group in _groups(found) if group.kind in _COUNTS and group.at > at]
    return found[:at] + (found[ends[0] :] if ends else [])


def _without_remarks(found: list[Token]) -> list[Token]:
    found = _without_other_start(_without_remark_brackets(found))
    kept: list[Token] = []
    for clause in _clauses(found):
        classes = shape(clause)
        telling = "Z" in classes or "K" in classes or "C" in classes
        if telling and not _CORE.search(shape([t for t in clause if t.cls not in "qC"])):
            kept += _counts_of(clause)
            continue
        if any(token.text == "remark" for token in clause) and not re.search(r"[id]|n[sc]", classes):
            kept += _counts_of(clause)
            continue
        kept += clause
    return kept


def _counts_of(clause: list[Token]) -> list[Token]:
    """Return the counts in brackets that stand in a remark, and the sign that ends it."""
    found = [
        token
        for group in _groups(clause)
        if group.kind in ("count", "several", "both", "unit")
        for token in clause[group.at : group.end + 1]
    ]
    if clause[-1].cls in ".;":
        found.append(clause[-1])
    return found


def _without_remark_brackets(found: list[Token]) -> list[Token]:
    """Drop brackets that say nothing of stitches: "(RS)", "(optional)", "(or ch 2, ...)", "(make 2)"."""
    out: list[Token] = []
    at = 0
    while at < len(found):
        end = _bracket_end(found, at)
        if end is None or found[at].cls == "<":
            out.append(found[at])
            at += 1
            continue
        inner = [token for token in found[at + 1 : end] if token.cls != "q"]
        classes = shape(inner)
        remark = (
            not inner
            or (inner[0].cls == "o" and inner[0].text == "or")
            or (not re.search(r"[nX]", classes) and "w" in classes and re.search(r"[idE]", classes))
            or (not re.search(r"[idnEDGX]|s|t", classes) and "r" not in classes and "a" not in classes)
            or (re.search(r"[ZKCY]", classes) and not re.search(r"[id]|n[sc]|s[np]", classes))
        )
        if remark:
            if "b" in classes:
                out += [token for token in inner if token.cls == "b"]
            at = end + 1
            continue
        out.append(found[at])
        at += 1
    return out


def _bracket_end(found: list[Token], at: int) -> int | None:
    """Return where a bracket that holds no other one is closed."""
    if found[at].cls not in _OPEN:
        return None
    for i in range(at + 1, len(found)):
        if found[i].cls in _CLOSE:
            return i
        if found[i].cls in _OPEN:
            return None
    return None


# ---- counts in brackets ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Group:
    kind: str
    at: int
    end: int
    numbers: tuple[Token, ...]


def _groups(found: list[Token]) -> list[_Group]:
    groups: list[_Group] = []
    at = 0
    while at < len(found):
        end = _bracket_end(found, at)
        if end is None:
            at += 1
            continue
        inner = found[at + 1 : end]
        kind = _kind(_counted(inner), shape([t for t in found[end + 1 : end + 5] if t.cls != "q"]))
        numbers = tuple(t for t in _counted(inner) if t.cls == "n")
        if kind:
            groups.append(_Group(kind, at, end, numbers))
        at = end + 1
    return groups


def _counted(inner: list[Token]) -> list[Token]:
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
    if _COUNT.fullmatch(classes):
        if _TIMES_NEXT.match(following):
            return ""
        return "count" if "s" not in classes else "unit"
    if _SEVERAL.fullmatch(classes) and "s" not in classes:
        return "several" if len(numbers) > 1 else "count"
    if _CHANGE_AND_COUNT.fullmatch(classes) and not _TIMES_NEXT.match(following):
        return "last"
    if _COUNT_AND_CHANGE.fullmatch(classes) and not _TIMES_NEXT.match(following):
        return "change"
    return ""


def _bracketed(found: list[Token]) -> tuple[list[Token], list[Stated], int | None]:
    """Take the brackets that state something out of a line."""
    groups = _groups(found)
    rounds: int | None = None
    body: list[Token] = []
    stated: list[Stated] = []
    counts = [group for group in groups if group.kind in _COUNTS]
    first_core = next(
        (i for i, token in enumerate(found) if token.cls in "sidEDGM" and not _inside(i, groups)), len(found)
    )
    last_core = next((i for i in range(len(found) - 1, -1, -1) if token_works(found, i, groups)), -1)
    as_numbers = _multipliers(found, counts, last_core)
    alone = first_core == len(found) and not any(
        t.cls in "nr" and not _inside(i, groups) for i, t in enumerate(found)
    )
    ended = False
    by_start = {group.at: group for group in groups}
    at = 0
    while at < len(found):
        group = by_start.get(at)
        if group is None:
            if not ended:
                body.append(found[at])
            elif found[at].cls == "n" and at + 1 < len(found) and found[at + 1].cls == "w" and rounds is None:
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
        elif (group.kind == "unit" and alone and len(counts) == 1) or (
            group.kind == "unit" and not _after_work(found, group, groups)
        ):
            body += found[group.at : group.end + 1]
        else:
            took = inner if group.kind == "several" else inner[-1:] if group.kind == "last" else inner[:1]
            stated += [Stated(t.value, found[group.at].start, found[group.end].end) for t in took]
            if group.kind == "both":
                rounds = inner[-1].value
            if group.at > last_core and last_core >= 0:
                ended = True
    return body, stated, rounds


def _inside(at: int, groups: list[_Group]) -> bool:
    return any(group.at < at < group.end for group in groups)


def token_works(found: list[Token], at: int, groups: list[_Group]) -> bool:
    """Tell whether a token is a stitch of the instructions, not of a count, a join or a turn."""
    return found[at].cls in "sidEDGM" and not any(
        group.at < at < group.end and group.kind in _COUNTS for group in groups
    )


def _after_work(found: list[Token], group: _Group, groups: list[_Group]) -> bool:
    """Tell whether something was worked before a bracket like "(18 sc)"."""
    before = found[: group.at]
    return any(t.cls in "sidEDGMnr" for i, t in enumerate(before) if not _inside(i, groups))


def _multipliers(found: list[Token], counts: list[_Group], last_core: int) -> list[_Group]:
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


def _may_be_rounds(found: Seq[Token], stated: Stated) -> bool:
    """Tell whether a bracket holds a number and nothing else."""
    inside = [t for t in found if stated.start < t.start and t.end < stated.end]
    return shape(inside) == "n"


# ---- counts without brackets -------------------------------------------------------------------------------

_SURE = re.compile(r"(?:=|>|[,;.:-]?T+=?)[=:qz-]*n[tsN]?[tTqz]*(?:pw)?[.,;:!qT]*$")
_DASHED = re.compile(r"-+n[tsN]?[tTq]*[.,;:q]*$")
_LOOSE = re.compile(r"(?:^|[,;.:])[q]*n[ts][tTq]*[.,;q]*$")
_TOTAL_AFTER = re.compile(r"n[tsN]?q*T[tTq]*[.,;:q]*$")
_LONE = re.compile(r"(?<=xn)nt[tTq]*[.,;:q]*$|(?<![xpNLFRevfwo*n])n(?:[t])?[.,;:q]*$")


def _bare(body: list[Token], rounds: int | None) -> Iterator[Content]:
    """Yield the ways to take a count without brackets at the end of a line."""
    body = _counted(body) if body and any(t.cls == "o" and t.text == "st" for t in body[-3:]) else body
    classes = shape(body)
    for pattern, sure in (
        (_SURE, True),
        (_TOTAL_AFTER, True),
        (_DASHED, True),
        (_LOOSE, False),
        (_LONE, False),
    ):
        match = pattern.search(classes)
        if not match:
            continue
        before = body[: match.start()]
        if not _core_count(before) and not _has_plain(before) and not any(t.cls == "r" for t in before):
            continue
        number = next(token for token in body[match.start() :] if token.cls == "n")
        stated = Stated(number.value, body[match.start()].start, body[-1].end, sure)
        yield Content(tuple(before), (stated,), rounds)
        if not sure:
            # "dec around, 9 sts" can hardly go on with nine more.
            ended = any(token.cls in "ae" for token in before) or any(
                token.cls == "t" for token in body[match.start() :]
            )
            yield Content(tuple(body), (), rounds, 12.0 if ended else 0.4)
        return
    yield Content(tuple(body), (), rounds)
    # Somewhere in the line: "24 sts = (2 sc, inc) x 6".
    match = re.match(r"[,:=q-]*(?:n[ts]?[=:]|n[ts]-)", classes)
    if match:
        number = next(token for token in body if token.cls == "n")
        yield Content(
            tuple(body[match.end() :]), (Stated(number.value, number.start, number.end, False),), rounds, 0.2
        )


def _own_rounds(body: list[Token]) -> tuple[list[Token], int | None]:
    """Take "for 14 rounds" or "8 rows" out of the instructions."""
    classes = shape(body)
    match = re.search(r"(?<![wnv,L])(?:T|f)?n[AN]?w", classes)
    if not match:
        match = re.search(r"(?<=[,:;])n[AN]?w", classes)
    if not match:
        return body, None
    number = next(token for token in body[match.start() : match.end()] if token.cls == "n")
    return body[: match.start()] + body[match.end() :], number.value
