"""Words, letters and signs whose class hangs on what stands beside them, or on the page: x, dots, parts."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from solver.notation.token import Token, shape


def settled(found: list[Token], *, letters: bool, in_one: frozenset[int]) -> list[Token]:
    """Return the tokens of a line, each with the class that it has there.

    Parameters
    ----------
    found : list of Token
        As the words alone tell them.
    letters : bool
        Whether the page is written in one-letter stitches, where x is one.
    in_one : frozenset of int
        Numbers n for which "(n sc)" are worked in one stitch.
    """
    found = _with_lettered_stitches(_with_arrows(_joined_by_stitch(_with_parts(found))), always=letters)
    found = _with_shared_place(_by_neighbours(found))
    return _with_brackets_in_one(found, in_one) if in_one else found


def multiplies(found: Sequence[Token]) -> bool:
    """Tell a times sign from a stitch where both are written x: it stands behind a bracket."""
    before = [token.cls for token in found[-2:]]
    return bool(before) and (
        before[-1] in ")]}*" or (before[-1] == "n" and len(before) > 1 and before[0] in ")]}")
    )


_JOINED_ON = re.compile(r"gq*[Fo2]?q*(?=[Yz])")
_OTHER_THING = re.compile(r"[Fo2]q*(z)|p[q]*([Fo])(?=[,;.)(\[]|$)")


def _with_parts(found: list[Token]) -> list[Token]:
    """Read "together with the first arm", and "round the first lobe, ... round the second", by any name."""
    classes = shape(found)
    out = list(found)
    for match in _JOINED_ON.finditer(classes):
        if match.end() - match.start() > 1:
            out[match.start()] = replace(found[match.start()], cls="q", text="noise")
    things = [max(match.start(1), match.start(2)) for match in _OTHER_THING.finditer(classes)]
    names = [found[i].text if found[i].cls == "z" else "" for i in things]
    for i, name in zip(things, names, strict=True):
        if names.count(name) > 1:
            out[i] = replace(found[i], cls="Y", text="part")
    return out


_JOINED_BY = re.compile(r"(j(?=[^,;.:]*Y)[^,;.:sln]*)(?:n?)s([^,;.:n]*)(?=[,;.:]|$)")


def _joined_by_stitch(found: list[Token]) -> list[Token]:
    """Read "join to leg 1 with a sc" as the stitch that joins, the first on that leg."""
    classes = shape(found)
    if "j" not in classes or "Y" not in classes:
        return found
    match = _JOINED_BY.search(re.sub("(?<=Y)n", "q", classes))  # the number of "leg 1" is its name
    if match is None:
        return found
    return [*found[: match.start(1)], *found[match.end(1) : match.start(2)], *found[match.end(2) :]]


_SHARED = re.compile(r"[(\[]n?s,n?s(pq*(?:[mN]|n)t?)[)\]]")


def _with_shared_place(found: list[Token]) -> list[Token]:
    """Read "(1 sc and 1 hdc in one st)" like "(1 sc, 1 hdc) in one st"."""
    for match in _SHARED.finditer(shape(found)):
        start, stop = match.start(1), match.end(1)
        joined = any(token.text == "and" for token in found[match.start() : start])
        one = all(token.value == 1 for token in found[start:stop] if token.cls == "n")
        if joined and one:
            found = [*found[:start], found[stop], *found[start:stop], *found[stop + 1 :]]
    return found


def _with_arrows(found: list[Token]) -> list[Token]:
    """Tell an arrow, "12 -> 18", from the end of a bracket."""
    opened = 0
    out = []
    for token in found:
        opened += token.cls == "<"
        if token.cls == ">":
            out.append(token if opened else replace(token, cls="~"))
            opened = max(opened - 1, 0)
        else:
            out.append(token)
    return out


_BRACKETED = re.compile(r"[(\[]ns[)\]](?!x|n?x|X)")


def _with_brackets_in_one(found: list[Token], numbers: frozenset[int]) -> list[Token]:
    """Read "(2sc)" as an increase where the page says so."""
    out: list[Token] = []
    classes, at = shape(found), 0
    while at < len(found):
        match = _BRACKETED.match(classes, at)
        if match and found[at + 1].value in numbers and len(found) > 4 and match.end() < len(found):
            size = found[at + 1].value
            text = "inc" if size == 2 else "inc3"
            out.append(Token("i", text, 0, found[at].start, found[at + 3].end, False))
            at = match.end()
        else:
            out.append(found[at])
            at += 1
    return out


_LETTERED = re.compile(r"(?:^|[(\[{:])n?x(?=[,;)\]}p]|[iv])")


def _with_lettered_stitches(found: list[Token], *, always: bool) -> list[Token]:
    """Read "(2x, inc)" and "6x, 3v, 9x", where x can't be a times sign, as single crochet.

    `always`: the page is written in letters: x is a stitch wherever no number or bracket makes it a sign.
    """
    letters = "".join(
        "~" if token.cls == "x" and token.end - token.start > 1 else token.cls for token in found
    )
    if not always and not _LETTERED.search(letters):
        return found
    out: list[Token] = []
    for i, token in enumerate(found):
        if token.cls in "xs" and token.end - token.start == 1 and token.text in ("times", "sc"):
            sign = _is_sign(found, i) if always else token.cls == "s" or multiplies(out)
            token = token if token.cls == "s" and not always else _as_sign(token, sign=sign)
        out.append(token)
    return out


def _as_sign(token: Token, *, sign: bool) -> Token:
    return replace(token, cls="x", text="times") if sign else replace(token, cls="s", text="sc")


_LETTER_COUNT = re.compile(r"[(\[{<]n[ts]?[)\]}>]")


def _is_sign(found: Sequence[Token], at: int) -> bool:
    """Tell the times sign of a page in letters: "(..) x 6", "6x(..)", "V x6"; not "12X 2V", "18X (18)"."""
    before = found[at - 1].cls if at else ""
    closed = before in ("n",) and at > 1 and found[at - 2].cls in ")]}"
    after = shape(found[at + 1 : at + 4])
    if closed or (before and before in ")]}"):
        return True
    if after[:1] == "n" and before in ("", ",", ";", ":", "(", "[", "{") and found[at + 1].glued:
        # "[X2, V1]x6"
        return False
    if after[:1] == "n" and before != "n":
        return True
    return after[:1] in ("(", "[", "{") and before == "n" and not _LETTER_COUNT.match(after)


#: What stands for a token instead; None where a row does not speak of it.
Seen = list[Token] | None


def _added(found: list[Token], at: int, out: list[Token]) -> Seen:
    """Take "add 8 mm eyes", "add the eyes" for a remark: nothing is worked."""
    if found[at].cls in "id" and _ADDED.match(shape(found[at + 1 : at + 6])):
        return [replace(found[at], cls="Z", text="remark")]
    return None


def _said_before(found: list[Token], at: int, out: list[Token]) -> Seen:
    """Drop the first of "dec by working sc2tog 4 times"."""
    again = {"i": "q+z?n?i", "d": "q+z?n?(?:d|sn?[tc]?g)"}.get(found[at].cls)
    if again and re.match(again, shape(found[at + 1 : at + 7])):
        spoken = found[at + 1].text == "noise" and not found[at + 1].glued
        return [] if spoken and shape(out[-1:]) != "n" else None
    return None


def _without(found: list[Token], at: int, out: list[Token]) -> Seen:
    """Read "no inc", "without decreases" as even."""
    if found[at].cls in "id" and at and found[at - 1].text in _NOT and not found[at - 1].glued:
        out[-1] = replace(found[at - 1], cls="E", text="even")
        return []
    return None


def _dot_of_abbreviation(found: list[Token], at: int, out: list[Token]) -> Seen:
    """Drop the dot of "3 sc. in the chain"."""
    token = found[at]
    led_on = at + 1 < len(found) and found[at + 1].cls in "p,g"
    if at and found[at - 1].cls in "id" and _ONE_BEHIND.match(shape(found[at + 1 : at + 3])):
        # "dec. 1; rep from *"
        led_on = True
    if at and found[at - 1].cls in "NLFRm" and shape(found[at + 1 : at + 2]) in ("t", "c"):
        # "in die folg. M"
        return [] if token.cls == "." and token.glued else None
    if token.cls == "." and token.glued and at and found[at - 1].cls in "sidctl" and led_on:
        return []
    return None


def _hyphen_within(found: list[Token], at: int, out: list[Token]) -> Seen:
    """Drop the hyphen of "2-sc", "dc-inc", "ch-1", "sc-6" and "7-mal"."""
    if found[at].cls == "-" and found[at].glued and _between_number_and_stitch(found, at):
        return []
    return None


def _which_part(found: list[Token], at: int, out: list[Token]) -> Seen:
    """Drop which of them "the second leg", "leg 1" is."""
    if found[at].cls == "Y" and next((t.cls for t in reversed(out) if t.cls != "q"), "") in ("o", "F"):
        out.pop(max(j for j, t in enumerate(out) if t.cls != "q"))
        return [found[at]]
    counted = shape(found[at + 1 : at + 2]) in ("s", "i", "d")
    if found[at].cls == "n" and at and found[at - 1].cls == "Y" and not counted:
        return []
    return None


def _lettered_name(found: list[Token], at: int, out: list[Token]) -> Seen:
    """Read "as R8", "back to R6" with a round; "C1" is a name, and no number of stitches."""
    token = found[at]
    if not (token.cls == "n" and token.glued and at and found[at - 1].cls == "z" and token.text.isdigit()):
        return None
    led = at > 1 and (found[at - 2].cls in "rPf" or found[at - 1].text == "r")
    if found[at - 1].text not in _ROUND_LETTERS or not led:
        return []
    out[-1] = replace(found[at - 1], cls="w", text="round")
    return [token]


def _dotted_ordinal(found: list[Token], at: int, out: list[Token]) -> Seen:
    """Read "jede 3. M" and "jede 3. und 4. M" with ordinals."""
    token = found[at]
    if not (token.cls == "." and token.glued and at and found[at - 1].cls == "n" and out):
        return None
    every = any(before.cls == "e" for before in found[max(at - _NEAR, 0) : at])
    # "ab der 2. Lm"
    begins = shape(found[at + 1 : at + 2]) == "c" and at > 1 and found[at - 2].cls in "fpq"
    if begins or (every and shape(found[at + 1 : at + 2]) in ("t", "s", ",", "+", "/", "-")):
        out[-1] = replace(out[-1], cls="o")
        return []
    return None


def _all_round(found: list[Token], at: int, out: list[Token]) -> Seen:
    """Read "1 sc, inc all" like "1 sc, inc all round": nothing is named of which there are all."""
    alone = at + 1 == len(found) or found[at + 1].cls in "([{=-.;"
    if found[at].cls == "e" and alone and shape(out[-1:]) in ("s", "i", "d"):
        return [replace(found[at], cls="a", text="around")]
    return None


def _made_of(found: list[Token], at: int, out: list[Token]) -> Seen:
    """Read "dc2inc" as an increase, "4-hdc bobble" as one stitch: what they are made of is no work."""
    token, made_of = found[at], shape(out[-2:])
    if token.cls == "i" and token.glued and made_of == "sn" and out[-1].glued and out[-1].value == 2:
        first = found[at - 2]
    elif token.text == "fancy" and made_of == "ns" and shape(found[max(at - 3, 0) : at]) == "n-s":
        first = found[at - 3]
    else:
        return None
    del out[-2:]
    return [replace(token, start=first.start, glued=first.glued)]


def _pair_of_ordinals(found: list[Token], at: int, out: list[Token]) -> Seen:
    """Read "every 3+4th", "jede 3./4. M", "every 2nd-3rd" like "every 3rd and 4th"."""
    if found[at].cls not in "+/-" or not out or out[-1].cls not in "no" or at + 1 >= len(found):
        return None
    first, second = out[-1], found[at + 1]
    led = shape([token for token in out[:-1] if token.cls != "q"])[-1:] == "e"
    named = first.cls == "o" or second.cls == "o" or shape(found[at + 2 : at + 3]) in (".", "t")
    if not led or not named or second.cls not in "no" or second.value != first.value + 1:
        return None
    out[-1] = replace(first, cls="o")
    return [replace(found[at], cls=",", text="and")]


def _side_of_chain(found: list[Token], at: int, out: list[Token]) -> Seen:
    """Read "the underside of your starting chain" as the other side."""
    talk = next((i for i, token in enumerate(reversed(out)) if token.cls != "q"), 0)
    if found[at].cls in "cW" and talk and len(out) > talk and out[-1 - talk].cls == "O":
        return []
    following = shape([token for token in found[at + 1 : at + 5] if token.cls not in "qp"])
    if found[at].cls == "/" and following.startswith("O"):
        # "3 sc in last ch / other side: ..."
        return [replace(found[at], cls=",", text=",")]
    return None


#: Words and signs whose meaning hangs on what stands beside them, one row each.
_ROWS = (
    _side_of_chain,
    _added,
    _said_before,
    _without,
    _dot_of_abbreviation,
    _hyphen_within,
    _which_part,
    _lettered_name,
    _dotted_ordinal,
    _all_round,
    _made_of,
    _pair_of_ordinals,
)


def _by_neighbours(found: list[Token]) -> list[Token]:
    """Return tokens, each as the first row that speaks of it has it."""
    out: list[Token] = []
    for at, token in enumerate(found):
        seen = next((one for row in _ROWS if (one := row(found, at, out)) is not None), [token])
        out += seen
    return out


#: Tokens among which an "every" speaks of an ordinal.
_NEAR = 7
_NOT = ("no", "without", "ohne", "keine", "kein", "sans", "sin", "sem", "zonder", "geen", "без")
_ONE_BEHIND = re.compile(r"n(?:[,;.:)]|$)")
#: What may be added that is no stitch.
_ADDED = re.compile("q?(?:n?x?n?q?Z|nzZ)")
#: Letters that stand for a round before its number.
_ROUND_LETTERS = ("r", "rd", "rg", "v", "t", "h", "р", "carr", "rnd")


def _between_number_and_stitch(found: list[Token], at: int) -> bool:
    """Tell the hyphen of "2-sc", "dc-inc", "ch-1" and "7-mal"."""
    if not 0 < at < len(found) - 1 or not found[at + 1].glued:
        return False
    before, after = found[at - 1].cls, found[at + 1].cls
    if before == "n" and after == "x":
        # "7-mal"
        return found[at + 1].end - found[at + 1].start > 1
    if before in "sid" and after == "n":
        # "sc-6"; but "18 sc-18" says what it makes
        return at < 2 or found[at - 2].cls != "n"
    return (before in "ns" and after in "sid") or (before == "c" and after == "n")
