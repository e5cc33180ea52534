"""Plain stitches, chains, slip stitches, and numbers without a name."""

from __future__ import annotations

import re
from collections.abc import Sequence as Seq

from solver.notation.classes import NOUN, WHICH
from solver.notation.instructions import Choice, Node, Repeat, work
from solver.notation.places import Phrase, Where, number_of, stitched, where
from solver.notation.token import Token, shape

#: Several in one end of a chain, said so.
_IN_LAST = re.compile("nspq*Lq*[ct]")
#: Most stitches that are worked in each one.
_IN_EACH = 4
_STITCH = re.compile(r"(n)?([scl])(?:(n)(?![nw]|x(?!n)))?")


def stitch(classes: str, found: Seq[Token], at: int, after: bool) -> Phrase | None:
    """Read a stitch with its number or its place."""
    match = _STITCH.match(classes, at)
    if not match:
        return None
    token = found[match.start(2)]
    times, end = _times(classes, found, match, after=after)
    if times is None and classes.startswith("X", end):
        # "sc twice in next st"
        place = where(classes, found, end + 1)
        if place is not None:
            return Phrase(stitched(token.text, found[end].value, place, first=False), place.end)
    place = where(classes, found, end)
    if (
        place is not None
        and place.kind == "fill"
        and classes[end : place.end] == "e"
        and (times or 1) > _IN_EACH
    ):
        # "16 sc each", of several rounds
        return Phrase(work(token.text, 1, 1, times or 1), place.end)
    if classes.startswith("Fp", end) and found[end].text == "first" and times not in (None, 1):
        # "11 sc starting in the 2nd chain"
        begins_in = where(classes, found, end + 1)
        if begins_in is not None:
            return Phrase(work(token.text, 1, 1, times), begins_in.end)
    if token.cls == "c" and at and classes[at - 1] in "oNLFms" and times is None:
        # "2nd ch from hook:", "4 sc along the chain" name a place
        return Phrase(work("chain", 0, 0), place.end if place is not None else end)
    if token.cls == "c":
        tall = any(t.text in ("dc", "tr", "dtr") for t in found[end : end + 8]) and "H" not in classes
        return _chain(
            times,
            place,
            end,
            starts=at == 0 and tall,
            tall=tall,
            starts_line=at == 0,
            counted_as=classes.startswith("Q", end),
            turns=re.match("[,;.]?u", classes[end:]) is not None,
        )
    if place is None and token.cls == "l":
        begins = not re.search("[sidlc]", classes[:at])
        # Who begins with one slip stitch of the round works that at its end too.
        worked = re.match("[^sidc]*(?:nl|ln)", classes[:at]) is not None
        return Phrase(work("slip", 1, 1, times) if (begins or worked) and times else _slip(times), end)
    if place is None:
        return Phrase(_plain(token.text, times, found, match), end, times is not None)
    if token.cls == "l" and place.kind == "one" and times in (None, 1):
        return Phrase(_slip_in_one(times), place.end)
    begins = not any(cls in "sidc" for cls in classes[:at])
    node = stitched(token.text, times or 1, place, first=begins)
    if place.kind == "one" and times not in (None, 1):
        node = in_chain(node, token.text, times or 1, classes[end : place.end])
    return Phrase(node, place.end)


def _times(classes: str, found: Seq[Token], match: re.Match[str], *, after: bool) -> tuple[int | None, int]:
    """Return how often a stitch is worked, by the number before or behind it, and where that ends."""
    end = match.end()
    times = number_of(found, match, 1)
    trailing = number_of(found, match, 3)
    if trailing is not None and (_leans_on(found, match.start(3)) or re.match("s?[tc]?g", classes[end:])):
        # "sc 2sc in next": the number belongs to what follows.
        trailing, end = None, match.start(3)
    follows = classes[end : end + 1]
    if trailing is not None and times is None and follows == "t":
        # "sc 6 sts"
        end += 1
    elif trailing is not None and (times is not None or (not after and follows and follows in "sidgcl")):
        trailing, end = None, match.start(3)
    return (trailing if times is None else times), end


def in_chain(node: Node, stitch: str, times: int, place: str) -> Node:
    """Return stitches "in the chain", which may be a bridge of as many chains; "in the last chain" is one."""
    if "c" not in place or set("NLFoem") & set(place):
        return node
    return Choice("in chain", ((0.0, "", node), (0.6, "one in each chain", work(stitch, 1, 1, times))))


def _slip_in_one(times: int | None) -> Choice:
    """Return a slip stitch in one place: it joins, or where it has its number it is worked."""
    joins, told = (0.0, 0.8) if times is None else (0.5, 0.0)
    return Choice(
        "join", ((joins, "", work("join", 0, 0)), (told, "a slip stitch counted", work("slip", 1, 1)))
    )


def _leans_on(found: Seq[Token], at: int) -> bool:
    """Tell whether a number touches the word after it and not the word before."""
    return (
        at + 1 < len(found) and found[at + 1].glued and found[at + 1].cls in "sidtcl" and not found[at].glued
    )


def _plain(stitch: str, times: int | None, found: Seq[Token], match: re.Match[str]) -> Node:
    """Return a stitch with only a number; "2sc" may be two in one."""
    plain = work(stitch, 1, 1, 1 if times is None else times)
    if match[1] is None or times not in (2, 3, 4):
        return plain
    if _IN_LAST.search(shape(found)):
        # Who writes "3 sc in the last ch" in the same line does not mean one place by "2 sc".
        return plain
    in_one = work(stitch, 1, times)
    glued = found[match.start(2)].glued
    cost = 0.6 if glued else 1.2
    shaped = any(token.cls in "idg" for token in found)
    if shaped and not glued:
        # Who writes "inc" or "dec" in the same line does not mean one by "2 sc".
        return plain
    if shaped:
        cost += 2.0
    return Choice(
        f"{times} {stitch}", ((0.0, "", plain), (cost, f"{times}{stitch} means {times} in one", in_one))
    )


def _slip(times: int | None) -> Node:
    counted = work("slip", 1, 1, times or 1)
    if times not in (None, 1):
        return counted
    told, joins = (0.5, 0.0) if times is None else (0.0, 0.5)  # who counts them works them as stitches
    return Choice("join", ((joins, "", work("join", 0, 0)), (told, "a slip stitch counted", counted)))


def _chain(
    times: int | None,
    place: Where | None,
    end: int,
    *,
    starts: bool,
    tall: bool,
    counted_as: bool,
    starts_line: bool,
    turns: bool,
) -> Phrase:
    count = 1 if times is None else times
    if counted_as:
        return Phrase(work("chain", 1, 1), end + 1)
    if place is not None and place.kind in ("start", "one", "same"):
        end = place.end
    nothing = work("chain", 0, 0)
    counted = work("chain", 0, 1, count)
    if count == 1:
        if starts_line or turns:
            return Phrase(nothing, end)
        return Phrase(Choice("chain 1", ((0.0, "", nothing), (2.5, "the chain is counted", counted))), end)
    as_one = work("chain", 1, 1)
    options: list[tuple[float, str, Node]] = [(0.0, "", counted), (0.4, "the chain is not counted", nothing)]
    if count in (2, 3, 4) and starts:
        # A tall stitch begins with a chain of its own height, which stands for it.
        return Phrase(
            Choice("chain", ((0.0, "", as_one), (0.3, *options[1][1:]), (0.6, *options[0][1:]))), end
        )
    if count in (2, 3, 4) and tall:
        options.append((0.5, "the chain counts as a stitch", as_one))
    return Phrase(Choice("chain", tuple(options)), end)


def number(classes: str, found: Seq[Token], at: int, after: bool) -> Phrase | None:
    """Read a bare number ("inc, 4, inc x 3") or a number of stitches without a name ("4 sts")."""
    if classes[at] == "t" or re.match(r"nt", classes[at:]):
        times = found[at].value if classes[at] == "n" else None
        end = at + 1 if times is None else at + 2
        place = where(classes, found, end)
        if (
            place is not None
            and place.kind in ("one", "same", "some", "each", "fill")
            and classes[end] == "p"
        ):
            return Phrase(stitched("sc", times or 1, place, first=at == 0), place.end)
        plain = work("sc", 1, 1, times or 1)
        if found[end - 1].text == "inc_or_stitch":
            # Russian п is a stitch, and in terse patterns an increase.
            inc = Repeat(work("sc", 1, 2), times or 1)
            return Phrase(
                Choice("п", ((0.0, "", plain), (0.3, "п means an increase", inc))), end, times is not None
            )
        if times is None:
            return None
        return Phrase(plain, end)
    alone = re.match(r"n(?=[,;:.)MO+]|p[OM]|x?$)", classes[at:]) and (
        at == 0 or classes[at - 1] in ",;:.(b-=MO+" or classes[max(at - 2, 0) : at] == "Mx"
    )
    if alone:
        return Phrase(work("sc", 1, 1, found[at].value, bare=True), at + 1)
    if classes[at] in WHICH[1:-1]:
        match = re.match(rf"{WHICH}+n{NOUN}", classes[at:])
        if match and not classes.startswith(("k", "x"), at + match.end()):
            return Phrase(work("sc", 1, 1, found[at + match.end() - 2].value), at + match.end())
    return None
