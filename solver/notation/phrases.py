"""Phrases: the words of one instruction ("2 sc in next st", "jede 3. M verdoppeln") and what they come to.

Each pattern is a regular expression over the classes of the tokens (`lexicon.CLASS`), one letter a token, so
that the same patterns serve every language; what can be taken in two ways becomes a `Choice`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence as Seq

from solver.notation.classes import NOUN, WHICH
from solver.notation.instructions import Choice, Fill, Repeat, Sequence, Work, work
from solver.notation.places import Phrase, number_of, placed, stitched, where
from solver.notation.plain import in_chain, number, stitch
from solver.notation.token import Token

_WORKED_THERE = re.compile(r"(?:(n)?s|(n)t)(?!n)")
_IN_LAST = re.compile(r"p[LF](n)(s)(?=[,;.)(]|$)")
_TOG = re.compile(r"(?:[NLF]+(?=n[stc]*g))?(n)?(?:s[NF]?(n)[tcs]?g|(n)s?[tc]?g)")
_EVERY_TOG = re.compile(rf"p?e(?:o,?o|n,?n|n){NOUN}?s?g")
_SHAPING = re.compile(r"(n)?(s)?([id])(s(?![npid]))?(?:(n)(?![ncw]|x(?!n)))?(?:(?<=[id])(n))?")
_GROUPS = re.compile(r"p?eN*(n)U(?:(n)?t)?")
_SKIP = re.compile(rf"(n)?k(?:p?{WHICH}*(n)?{WHICH}*{NOUN}?)?")
_IN_ONE = re.compile(rf"(n)t?T?p(?:(n)(?![{NOUN[1:-1]}])|(?={WHICH}|m|e|{NOUN}|o))")
#: Most stitches that are worked together.
_MOST_TOGETHER = 3
_SHIFT = re.compile(r"(n)?S(n)?")
_PUT_IN = re.compile(r"(n)?s(n)?[tc]?D(n)?")
_DOUBLED = re.compile(r"(n)?t?D")


def phrase(classes: str, found: Seq[Token], at: int, *, number_after: bool) -> Phrase | None:
    """Read the instruction that begins at a token.

    Parameters
    ----------
    classes : str
        Classes of the tokens.
    found : sequence of Token
        The tokens.
    at : int
        Where to begin.
    number_after : bool
        Whether this line writes its numbers after the stitch ("sc 2, inc 1").
    """
    for read in (
        _and_in,
        _skip,
        _every_together,
        _every_verb,
        _together,
        _put_in,
        _shaping,
        _in_one,
        _shift,
        stitch,
        number,
    ):
        result = read(classes, found, at, number_after)
        if result is not None:
            return result
    return None


def _skip(classes: str, found: Seq[Token], at: int, after: bool) -> Phrase | None:
    match = _SKIP.match(classes, at)
    if not match:
        return None
    if classes.startswith("v", match.end()):
        # "skip to the other leg"
        return Phrase(work("skip", 0, 0), match.end() + 1)
    times = number_of(found, match, 1, 2)
    return Phrase(work("skip", 1, 0, 1 if times is None else times), match.end())


def _and_in(classes: str, found: Seq[Token], at: int, after: bool) -> Phrase | None:
    """Read the second half of "sc in next st and in each st around"."""
    if classes[at] not in "pe":
        return None
    last = _IN_LAST.match(classes, at)
    if last and (at == 0 or classes[at - 1] in ",;.:("):
        # "in the last 2 sc": in the last one, or in each of two
        times, name = found[last.start(1)].value, found[last.start(2)].text
        ways = ((0.0, "", work(name, 1, 1, times)), (0.4, "", work(name, 1, times)))
        return Phrase(Choice("in last", ways), last.end())
    place = where(classes, found, at)
    first = None
    if place is not None:
        # "in die folg. M. 2 f. M."
        dot = classes.startswith(".", place.end) and at > 0 and classes[at - 1] in ",;("
        first = _WORKED_THERE.match(classes, place.end + dot)
    if (
        place is not None
        and first
        and place.kind in ("fill", "some", "each", "one", "same", "start", "every")
    ):
        # "into each st work 2 sc"
        times = number_of(found, first, 1, 2) or 1
        token = found[first.end() - 1]
        return Phrase(
            stitched(token.text if token.cls == "s" else "sc", times, place, first=False), first.end()
        )
    if place is not None and place.kind == "fill" and at == 0 and place.end == len(classes):
        # "every stitch", and nothing else
        return Phrase(stitched("sc", 1, place, first=False), place.end)
    if at == 0 or classes[at - 1] != "," or (classes[at] != "p" and found[at - 1].text != "and"):
        return None
    if place is None or place.kind not in ("fill", "some", "each"):
        return None
    name = next((token.text for token in reversed(found[:at]) if token.cls == "s"), "sc")
    return Phrase(stitched(name, 1, place, first=False), place.end)


def _every_together(classes: str, found: Seq[Token], at: int, after: bool) -> Phrase | None:
    match = _EVERY_TOG.match(classes, at)
    if not match:
        return None
    numbers = [token.value for token in found[match.start() : match.end()] if token.cls in "no"]
    if len(numbers) == 1:
        return Phrase(Fill(work("sc", max(numbers[0], 2), 1)), match.end())
    if numbers[1] <= numbers[0]:
        return None
    # "every 3rd and 4th together"; numbers that are not neighbours make a repeat that will not fit.
    apart = numbers[1] - numbers[0] - 1
    plain = max(numbers[0] - 1, 0) + max(apart, 0)
    return Phrase(Fill(Sequence((work("sc", 1, 1, plain), work("sc", 2, 1)))), match.end())


def _every_verb(classes: str, found: Seq[Token], at: int, after: bool) -> Phrase | None:
    """Read "jede 3. M verdoppeln", "die letzten 2 M verdoppeln": where first, what to do last."""
    place = where(classes, found, at)
    if place is None or place.kind in ("start", "pair"):
        return None
    if classes.startswith("D", place.end):
        return Phrase(placed(work("sc", 1, 2), place), place.end + 1)
    if place.kind == "every" and classes[place.end : place.end + 1] in ("i", "d"):
        # "every 4th stitch inc"
        act = work("sc", 1, 2) if classes[place.end] == "i" else work("sc", 2, 1)
        return Phrase(placed(act, place), place.end + 1)
    return None


def _together(classes: str, found: Seq[Token], at: int, after: bool) -> Phrase | None:
    match = _TOG.match(classes, at)
    if not match:
        return None
    size = number_of(found, match, 2, 3)
    times = number_of(found, match, 1) or 1
    end = match.end()
    if classes.startswith("vd", end):
        # "sc next 2 sts tog to dec"
        end += 2
    stitch = next((token.text for token in found[match.start() : end] if token.cls == "s"), "sc")
    act = work(stitch, max(size or 2, 1), 1)
    place = where(classes, found, end)
    if place is not None:
        if place.kind in ("fill", "every"):
            return Phrase(placed(act, place), place.end)
        end = place.end
        if place.kind in ("some", "each") and times == 1 and place.number > act.act.uses:
            return Phrase(placed(act, place), end)
    elif re.match(r"n(?:[,)\]]|$)", classes[end:]) and times == 1:
        return Phrase(Repeat(act, found[end].value), end + 1)
    return Phrase(Repeat(act, times) if times != 1 else act, end, match[1] is not None)


def _put_in(classes: str, found: Seq[Token], at: int, after: bool) -> Phrase | None:
    match = _DOUBLED.match(classes, at)
    if match:
        times = number_of(found, match, 1)
        return _shaped(classes, found, work("sc", 1, 2), times, match.end())
    match = _PUT_IN.match(classes, at)
    if not match:
        return None
    return Phrase(work("sc", 1, number_of(found, match, 1, 2) or 2), match.end(), numbered=False)


def _shaping(classes: str, found: Seq[Token], at: int, after: bool) -> Phrase | None:
    told = _told_by_stitch(classes, found, at)
    if told is not None:
        return told
    match = _SHAPING.match(classes, at)
    if not match:
        return None
    token = found[match.start(3)]
    end = match.end()
    trailing = number_of(found, match, 5)
    if match[6] and not (found[match.start(6)].glued and found[match.start(6)].value == 3):
        end = match.start(6)
    elif match[6] or (match[1] and trailing == 3 and found[match.start(5)].glued):
        three = work("sc", 1, 3) if token.cls == "i" else work("sc", 3, 1)
        return _shaped(classes, found, three, number_of(found, match, 1), end)
    follows = classes[end : end + 1]
    if trailing is not None and not after and follows and follows in "sidctl":
        # "inc 3 sc": the number belongs to what follows.
        trailing, end = None, match.start(5)
    if match[4] and trailing is None and follows and follows in "ei":
        end = match.start(4)
    stitch = next((found[match.start(g)].text for g in (2, 4) if match[g] and match.start(g) < end), "sc")
    size = 3 if token.text.endswith("3") else 2
    act = work(stitch, 1, size) if token.cls == "i" else work(stitch, size, 1)
    times = number_of(found, match, 1)
    if times is None:
        times = trailing
    node = _shaped(classes, found, act, times, end)
    if trailing == 3 and match[1] is None and found[match.start(5)].glued:
        three = work(stitch, 1, 3) if token.cls == "i" else work(stitch, 3, 1)
        if node.end > end:
            # "inc3 in 2nd ch from hook"
            return _shaped(classes, found, three, None, end)
        node = Phrase(Choice("inc3", ((0.0, "3 in one", three), (0.3, "3 times", Repeat(act, 3)))), end)
    if match[4] and match.start(4) < end and token.text != "inc3":
        return _or_apart(found, match, node)
    if match[2] and match[4] is None:
        apart = Sequence(
            (
                work(found[match.start(2)].text, 1, 1, times or 1),
                _shaped(classes, found, act, trailing, end).node,
            )
        )
        one = (0.0, "", node.node)
        if token.glued:
            # "2 hStb-Zun"
            return Phrase(Choice("sc-inc", (one, (0.5, "two stitches", apart))), node.end, node.numbered)
        if match[1]:
            return Phrase(Choice("n sc inc", ((0.0, "", apart), (0.5, "one stitch", node.node))), node.end)
        return Phrase(Choice("sc inc", (one, (0.5, "two stitches", apart))), node.end, node.numbered)
    return node


def _or_apart(found: Seq[Token], match: re.Match[str], node: Phrase) -> Phrase:
    """Return "inc sc" as one stitch, or as an increase and a stitch."""
    parts = [work(found[match.start(g)].text, 1, 1) for g in (2, 4) if match[g]]
    plain = work("sc", 1, 2) if match[3] == "i" else work("sc", 2, 1)
    apart = Sequence((*parts[:-1], plain, parts[-1]))
    doubt = 0.2 if found[match.start(4)].text != "sc" else 0.1
    return Phrase(Choice("inc sc", ((0.0, "", node.node), (doubt, "", apart))), node.end, node.numbered)


_OF_TWO = re.compile(r"n?in(s),n(s)")
_ONE_OF = re.compile(r"([id])(n)(s)(?=p)")


def _told_by_stitch(classes: str, found: Seq[Token], at: int) -> Phrase | None:
    """Read "dec 1 hdc over next 2 sts" and "one increase of 1 sc and 1 dc"."""
    match = _ONE_OF.match(classes, at)
    if match and found[match.start(2)].value == 1:
        name = found[match.start(3)].text
        act = work(name, 1, 2) if match[1] == "i" else work(name, 2, 1)
        return _shaped(classes, found, act, None, match.end())
    match = _OF_TWO.match(classes, at)
    if match is None or any(t.value != 1 for t in found[at : match.end()] if t.cls == "n"):
        return None
    inc, first = classes.index("i", at), classes.index("i", at) + 1
    joined = found[match.start(1) + 1].text == "and" and found[first].start - found[inc].end > 1
    return Phrase(work(found[match.start(1)].text, 1, 2), match.end(), numbered=False) if joined else None


def _shaped(classes: str, found: Seq[Token], act: Work, times: int | None, end: int) -> Phrase:
    """Return an increase or decrease with its number or its place."""
    groups = _GROUPS.match(classes, end)
    if groups:
        # "decrease over each of the next 4 groups of 3 stitches"
        size = found[groups.start(2)].value if groups[2] else 2
        return Phrase(Repeat(work(act.act.stitch, size, 1), found[groups.start(1)].value), groups.end())
    place = where(classes, found, end)
    if (
        place is not None
        and act.act.uses == 2
        and place.number == 3
        and place.kind in ("some", "each")
        and times in (None, 1)
    ):
        three = work(act.act.stitch, 3, 1)
        return Phrase(Choice("over", ((0.0, "", three), (1.5, "3 decreases", Repeat(act, 3)))), place.end)
    if place is None or (place.kind == "one" and classes[end] != "p" and classes[end] not in "NLF"):
        if times is None:
            return Phrase(act, end, numbered=False)
        return Phrase(Repeat(act, times), end)
    if place.kind in ("same", "one", "start"):
        return Phrase(Repeat(act, times or 1), place.end, numbered=True)
    if place.kind == "pair":
        return Phrase(Fill(Sequence((work("sc", 1, 1, max(place.number - 1, 0)), act))), place.end)
    if times not in (None, 1) and place.kind in ("some", "each"):
        return Phrase(Repeat(act, times or 1), place.end)
    if act.act.uses > 1 and place.kind in ("every",):
        apart = Fill(Sequence((work("sc", 1, 1, place.number), act)))
        inside = Fill(Sequence((work("sc", 1, 1, max(place.number - act.act.uses, 0)), act)))
        # Some mean every third place of a decrease: "every third" on 24 makes 18.
        nth = Fill(Sequence((work("sc", 1, 1, max(place.number - 1, 0)), act)))
        return Phrase(Choice("every", ((0.0, "", inside), (0.3, "", apart), (0.4, "", nth))), place.end)
    return Phrase(placed(act, place), place.end)


def _in_one(classes: str, found: Seq[Token], at: int, after: bool) -> Phrase | None:
    """Read "3 in 1", "2 in next st", "2 in each": no stitch is named."""
    match = _IN_ONE.match(classes, at)
    if not match:
        return None
    size = found[at].value
    if match[2] is not None:
        below = found[match.start(2)].value
        if size < below <= _MOST_TOGETHER:
            # "one over two"
            return Phrase(work("sc", below, size), match.end(), numbered=False)
        if below != 1:
            return None
        if size == below + 1 and classes[at + 1] == "t":
            # "2 sts made into one"
            two = ((0.0, "", work("sc", 1, 2)), (0.5, "", work("sc", 2, 1)))
            return Phrase(Choice("into one", two), match.end(), numbered=False)
        return Phrase(work("sc", 1, size), match.end(), numbered=False)
    place = where(classes, found, at + 1)
    if place is None:
        return None
    node = stitched("sc", size, place, first=False)
    if place.kind == "one":
        node = in_chain(node, "sc", size, classes[at : place.end])
    return Phrase(node, place.end)


def _shift(classes: str, found: Seq[Token], at: int, after: bool) -> Phrase | None:
    match = _SHIFT.match(classes, at)
    return Phrase(work("shift", 0, 0), match.end()) if match else None
