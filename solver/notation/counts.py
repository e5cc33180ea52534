"""What a line states beside its instructions: counts and its own number of rounds."""

from __future__ import annotations

import re
from collections.abc import Iterator
from collections.abc import Sequence as Seq
from dataclasses import dataclass, replace

from solver.notation.brackets import COUNTS, Stated, bracketed, counted, groups, may_be_rounds, without_talk
from solver.notation.classes import core, unknown
from solver.notation.remarks import without_remarks
from solver.notation.token import Token, shape

#: Most words and signs of one round; what is longer is none.
MOST_WORDS = 520
#: What it costs to take a lone number in brackets as a number of rounds.
ROUNDS_IN_BRACKETS = 1.5


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
    unknown, instead : str
        A word that stands where a stitch should and is not known, and the stitch that it is taken for.
    """

    body: tuple[Token, ...]
    stated: tuple[Stated, ...] = ()
    rounds: int | None = None
    cost: float = 0.0
    unknown: str = ""
    instead: str = ""


def contents(found: Seq[Token]) -> list[Content]:
    """Return the ways to tell instructions and statements apart, the likeliest first."""
    if len(found) > MOST_WORDS:
        return [Content(())]
    found = _without_join(_count_behind(_changed_alone(_without_name(found))))
    tokens = _without_lead(without_remarks(without_talk(_half_bracketed(_starred_count(list(found))))))
    body, stated, rounds = bracketed(tokens)
    body = _spread(_without_total(body, stated), tokens, stated)
    body, own = _own_rounds(body)
    rounds = rounds if rounds is not None else own
    if stated:
        ways = [Content(tuple(body), tuple(stated), rounds)]
        if (
            not any(t.cls in "sidltEDGrPAmg" for t in body)
            and not re.search(r"n|c", shape(body))
            and not unknown(body)
        ):
            # Only a count: as many plain stitches.
            ways = [Content((*body, *_as_number(stated[0])), tuple(stated), rounds)]
        if rounds is None and may_be_rounds(tokens, stated[-1]):
            # "Rnd 10-18 = 60 sc (9)": a last lone number in brackets may be the number of rounds.
            ways.append(Content(tuple(body), tuple(stated[:-1]), stated[-1].count, ROUNDS_IN_BRACKETS))
        return ways
    return list(_bare(body, rounds))


_TOLD_TOO = re.compile(r"[,;.:-]?q*T[Tq=:e]*(n)[tsN]?[q.,;:!]*$")


_TOLD_BARE = re.compile(r"[,;.:-]q*(n)t?[,.]?$")


def _without_total(body: list[Token], stated: list[Stated]) -> list[Token]:
    """Drop "you will be left with 18 sts" where a bracket behind it states the same."""
    match = _TOLD_TOO.search(shape(body)) or _TOLD_BARE.search(shape(body))
    if match is None or not core(body[: match.start()]):
        return body
    said_too = body[match.start(1)].value in [one.count for one in stated]
    return body[: match.start()] if said_too else body


_CHANGED = re.compile(r"[(\[]([+-])(n)t?(?:[)\]]|$)")


def _spread(body: list[Token], found: list[Token], stated: list[Stated]) -> list[Token]:
    """Read "14 sts (+7)", which does not say where, as 7 increases spread evenly."""
    match = _CHANGED.search(shape([token for token in found if token.cls != "q"]))
    if match is None or stated or not re.fullmatch(r"q*nq*t?q*(?:[(\[][+-]n)?[.]?", shape(body)):
        return body
    kept = [token for token in found if token.cls != "q"]
    number = kept[match.start(2)]
    count = next(token for token in body if token.cls == "n")
    stated.append(Stated(count.value, count.start, count.end))
    act = replace(number, cls="i" if match[1] == "+" else "d", text="inc" if match[1] == "+" else "dec")
    return [act, number, replace(number, cls="V", text="evenly")]


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


_NAMED = re.compile(r"[(\[]n[)\]]:")


def _without_name(found: Seq[Token]) -> Seq[Token]:
    """Drop a number in brackets behind the label, "R1 (101): ... = 5", where the line ends in a count."""
    if not _NAMED.match(shape(found[:4])):
        return found
    rest = list(found[4:])
    stated = any(group.kind in COUNTS for group in groups(rest)) or _SURE.search(shape(rest))
    return rest if stated and core(rest) else found


_CHANGE_FIRST = re.compile(
    r"[:,=q|/]*(?:([+])(?=n[tid]?[=:,/(\[-]*q*n)|([-])(?=n[tid]?[=(\[]+q*n))(n)[tid]?[=:,/(\[-]*q*n"
)
_CHANGE_LAST = re.compile(r"[:,=q|/]*(n)t?[,/|:=]*([+-])(n)[tid]?[.]?$")
_EVEN_BEHIND = re.compile(r"[:,=q|/]*(n)t?[,/|:=-]*(?:E+|[+-]?=?n)[.]?$")


def _changed_alone(found: Seq[Token]) -> Seq[Token]:
    """Read the row of a table that tells a count and its change alone, "+7 = 14", "14 +7", as shaping."""
    classes = shape(found)
    last = _CHANGE_LAST.match(classes)
    first = None if last else _CHANGE_FIRST.match(classes)
    even = _EVEN_BEHIND.match(classes)
    if even and (classes.endswith(("E", "E.")) or (found[even.end() - 1].text == "0")):
        # "28 sts no change"
        return found[even.start(1) : even.start(1) + 1]
    if last is None and (first is None or core(found)):
        return found
    match = last or first
    assert match is not None
    number = match.start(3)
    sign = number - 1
    count = found[match.start(1) if last else match.end() - 1]
    if found[sign].cls == "-" and (not found[number].glued or found[sign].glued):
        # "6 sts - 6 sts"
        return found
    if first and found[sign].cls == "-" and found[number].value >= count.value:
        # "Rnd 4 - 12 = 12"
        return found
    name = "inc" if found[sign].cls == "+" else "dec"
    act = replace(found[sign], cls=name[0], text=name)
    opened, closed = (replace(count, cls=one, text=one) for one in "()")
    return [act, found[number], replace(found[number], cls="V", text="evenly"), opened, count, closed]


_JOINED = re.compile(
    r"[=-]q*n(?:t?[,;.]q*z?q*j[^sidnTM]*|t?[,;.]q*(?=[^sidtclDEGMXxraTNe]*[ZYKC])[^sidtclDEGMXxraTNe]*"
    r"|[ts]?[.](?=[^sidncltEGMgxr*(\[]*[zZKCYj])[^sidncltEGMgxr*(\[]*)$"
)


def _without_join(found: Seq[Token]) -> Seq[Token]:
    """Drop what is behind a count without brackets: "- 16 sts, join", "= 12, fold in two", "= 6. A wheel"."""
    match = _JOINED.search(shape(found))
    if match is None or not core(found[: match.start()]):
        return found
    tail = next(i for i in range(match.start(), len(found)) if found[i].cls in ",;.")
    return found[:tail]


_COUNT_FIRST = re.compile(r"[/,:-]*(nt)/")


def _count_behind(found: Seq[Token]) -> Seq[Token]:
    """Put the count of "Rnd 2 / 12 sts / inc x 6" behind its instructions, in brackets."""
    match = _COUNT_FIRST.match(shape(found))
    rest = list(found[match.end() :]) if match else []
    if match is None or not core(rest) or any(group.kind in COUNTS for group in groups(rest)):
        return found
    count = list(found[match.start(1) : match.end(1)])
    opened, closed = (replace(token, cls=sign, text=sign) for token, sign in zip(count, "()", strict=True))
    return [*rest, opened, *count, closed]


def _half_bracketed(found: list[Token]) -> list[Token]:
    """Read "... 24)", whose bracket was never opened, like "... (24)"."""
    classes = shape(found)
    match = re.search(r"nt?[)\]][.]?$", classes)
    if not match or re.search(r"[(\[]", classes[: match.start()].rpartition(")")[2]) or not match.start():
        return found
    place = found[match.start()].start
    opened = replace(found[match.start()], cls="(", text="(", start=place, end=place, glued=False)
    return [*found[: match.start()], opened, *found[match.start() :]]


def said(found: Seq[Token]) -> int | None:
    """Return the count that a line states, whatever its words are; None when it states none."""
    first = contents(found)[0]
    if first.stated:
        return first.stated[-1].count if first.stated[-1].sure else None
    match = _SURE.search(shape(first.body))
    numbers = [token.value for token in first.body[match.start() :] if token.cls == "n"] if match else []
    return numbers[0] if numbers else None


_LEAD = re.compile(r"[,:.q-]*pq*[eNF]?q*[tsc]q*(?:[Lf]*q*w)?q*:(?=[^,;]*[sid][^,;]*[,;].*[sid])")


def _without_lead(found: list[Token]) -> list[Token]:
    """Drop "over the sc of the last round:" before a list of stitches."""
    match = _LEAD.match(shape(found))
    return found[match.end() :] if match else found


def _core_count(body: Seq[Token]) -> int:
    return sum(token.cls in "sidcltEDGMg" for token in body)


def _has_plain(body: Seq[Token]) -> bool:
    return bool(re.search(r"(?:^|[(,;:=-])n(?:$|[),;:])", shape([t for t in body if t.cls not in "qzb"])))


def _as_number(stated: Stated) -> tuple[Token, ...]:
    return (
        Token("n", str(stated.count), stated.count, stated.start, stated.end, False),
        Token("t", "stitch", 0, stated.end, stated.end, True),
    )


#: What may follow a count: units, and "by the end of round 3", "in each round".
_TAIL = r"(?:[tTqzR]|[pfeqLaNF]*w?n?(?=[.,;:!q]*$)|[pveqLaN]+wn?)*[.,;:!qT]*$"
_SURE = re.compile(rf"(?:=|>|~|[,;.:-]?T+=?)[=:qz-]*n[tsNl]?{_TAIL}")
_DASHED = re.compile(r"-+n[tsN]?[tTq]*-*[.,;:q]*$")
#: "24 sc | 24", "(sc, inc) x 6 / 18": a count in a column of its own; not "5/6".
_COLUMN = re.compile(r"(?:(?<=[stidaebM)\]}])|(?<=xn)|(?<=[sidA]n))/nt?[.q]*$")
_LOOSE = re.compile(r"(?:^|[,;.:])[q]*n[tsl](?:[tTq]|p[qF]*M)*[.,;q]*$")
_TOTAL_AFTER = re.compile(r"n[tsN]?q*T[tTq]*[.,;:q]*$|(?:(?<=[,;.:-])|(?<=-q))n[ts]?q*R+[.,;:q]*$")
_LONE = re.compile(r"(?:(?<=xn)|(?<=nx))nt?[tTq]*[.,;:q]*$|(?<![xpNLFRevfwo*nQZKC])n(?:[t])?[.,;:q]*$")


def _bare(body: list[Token], rounds: int | None) -> Iterator[Content]:
    """Yield the ways to take a count without brackets at the end of a line."""
    body = counted(body) if body and any(t.cls == "o" and t.text == "st" for t in body[-3:]) else body
    classes = shape(body)
    ahead = re.match("[,:q-]*nt?=", classes)
    if (
        ahead
        and core(body[ahead.end() :])
        and not any(p.search(classes[ahead.end() :]) for p in (_SURE, _DASHED))
    ):
        # "2: 12 = inc x 6"
        number = next(token for token in body if token.cls == "n")
        yield Content(tuple(body[ahead.end() :]), (Stated(number.value, number.start, number.end),), rounds)
        return
    for pattern, sure in (
        (_SURE, True),
        (_TOTAL_AFTER, True),
        (_DASHED, True),
        (_COLUMN, True),
        (_LOOSE, False),
        (_LONE, False),
    ):
        match = pattern.search(classes)
        if not match:
            continue
        before = body[: match.start()]
        if not _core_count(before) and not _has_plain(before) and not any(t.cls in "rPm" for t in before):
            continue
        yield from _behind(body, match.start(), rounds, sure=sure)
        return
    yield Content(tuple(body), (), rounds)
    starred = re.search(r"[*](n)t?[.]?$", classes)
    if starred and core(body[: starred.start(1)]):
        # "*1 sc, 2 sc in next* 18": how often, or how many
        number = body[starred.start(1)]
        stated = Stated(number.value, number.start, number.end, False)
        yield Content(tuple(body[: starred.start(1)]), (stated,), rounds, 0.4)
    # Somewhere in the line: "24 sts = (2 sc, inc) x 6".
    match = re.match(r"[,:=q-]*(?:n[ts]?[=:]|n[ts]-)", classes)
    if match:
        number = next(token for token in body if token.cls == "n")
        yield Content(
            tuple(body[match.end() :]), (Stated(number.value, number.start, number.end, False),), rounds, 0.2
        )


def _behind(body: list[Token], at: int, rounds: int | None, *, sure: bool) -> Iterator[Content]:
    """Yield the ways to take a count that begins at a place, behind the instructions."""
    before, behind = body[:at], body[at:]
    number = next(token for token in behind if token.cls == "n")
    stated = Stated(number.value, behind[0].start, body[-1].end, sure)
    if re.fullmatch("[M,.:q]*", shape(before)):
        # "MR - 7 sc"
        yield Content((*before, *_as_number(stated)), (stated,), rounds)
        return
    named = before[-1:] and before[-1].cls == "s" and behind[0].cls == "n"
    if not sure and named:
        # "sc 17" is an instruction first.
        yield Content(tuple(body), (), rounds)
        yield Content(tuple(before), (stated,), rounds, 0.2)
        return
    yield Content(tuple(before), (stated,), rounds)
    if sure or (shape(before).endswith("xn") and len(behind) == 1):
        # "(sc, inc) x 6 18"
        return
    # "dec around, 9 sts" can hardly go on with nine more.
    ended = any(token.cls in "ae" for token in before) or any(token.cls == "t" for token in behind)
    yield Content(tuple(body), (), rounds, 12.0 if ended else 0.4)


def _own_rounds(body: list[Token]) -> tuple[list[Token], int | None]:
    """Take "for 14 rounds" or "8 rows" out of the instructions."""
    classes = shape(body)
    match = re.search(r"(?<![wnv,LF])(?:T|f)?n[AN]?w", classes)
    if not match:
        match = re.search(r"(?<=[,:;])n[AN]?w", classes)
    if not match:
        return body, None
    number = next(token for token in body[match.start() : match.end()] if token.cls == "n")
    return body[: match.start()] + body[match.end() :], number.value
