"""A folded line cut into tokens: words by their class, numbers, ordinals, brackets, stars and separators."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from solver.notation.fold import Folded
from solver.notation.lexicon import IDEOGRAPH, Lexicon

#: Longest number that is still a number of stitches, and not a phone number.
_DIGITS = 6
_SCAN = re.compile(r"(?P<word>[^\W\d_]+)|(?P<number>\d+)|(?P<space>\s+)|(?P<sign>.)", re.DOTALL)
_ORDINAL = re.compile(r"(?:st|nd|rd|th|ª|º|de|er|eme|e|ste|ая|ую|ой|й|го|目目)(?![^\W\d_])")
_SUFFIX = frozenset({"st", "nd", "rd", "th"})
_JOINT = re.compile(r"[ .\-'/]{0,2}")
_SIGN_CLASS = {
    "(": "(", ")": ")", "[": "[", "]": "]", "{": "{", "}": "}", "<": "<", ">": ">", "*": "*", "×": "x",
    ",": ",", ";": ";", ".": ".", ":": ":", "=": "=", "-": "-", "/": "/", "+": "+", "&": ",", "!": ";",
    "|": "/", "·": "·", "#": "q", '"': "q", "'": "q", "?": "q", "_": "q", "%": "z", "$": "z", "◆": "q",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Token:
    """One word, number or sign.

    Attributes
    ----------
    cls : str
        Its class, one letter (`lexicon.CLASS`): `n` a number, `o` an ordinal, `X` how often, `z` an unknown
        word; a sign goes by itself.
    text : str
        The notion of a known word, or the folded text.
    value : int
        The number of `n` and `o`.
    start, end : int
        Where it stands in the folded line.
    glued : bool
        Whether it touches the token before.
    """

    cls: str
    text: str
    value: int
    start: int
    end: int
    glued: bool


@dataclass(frozen=True, slots=True)
class _Piece:
    kind: str
    text: str
    start: int
    end: int


def tokens(line: Folded, lexicon: Lexicon, start: int = 0, stop: int | None = None) -> list[Token]:
    """Cut a folded line into tokens.

    Parameters
    ----------
    line : Folded
        The line.
    lexicon : Lexicon
        The words to know.
    start, stop : int
        The part of the line to cut.
    """
    text = line.text[: len(line.text) if stop is None else stop]
    found: list[Token] = []
    cut = _unglued_pieces(_pieces(text, start), lexicon)
    at = 0
    while at < len(cut):
        piece = cut[at]
        if piece.kind == "space":
            at += 1
            continue
        token, used = _one(cut, at, text, lexicon)
        glued = at > 0 and cut[at - 1].kind != "space"
        if token is not None:
            if piece.text == "x" and token.cls == "s" and _multiplies(found):
                token = _token("x", "times")
            if (
                token.cls == "T"
                and text[piece.start : cut[at + used - 1].end] == _IN_ALL
                and _number_next(cut, at + used)
            ):
                # "inc in all 6 sts"
                found.append(Token("p", "in", 0, piece.start, piece.start + 2, glued))
                token = _token("e", "each")
            found.append(
                Token(token.cls, token.text, token.value, piece.start, cut[at + used - 1].end, glued)
            )
        at += used
    found = _with_parts(found)
    found = _with_dotted_ordinals(
        _with_lettered_stitches(_with_arrows(found), always=lexicon.code == "letters")
    )
    return _with_brackets_in_one(found, lexicon.in_one) if lexicon.in_one else found


_JOINED_ON = re.compile(r"gq*[Fo2]?q*(?=[Yz])")
_OTHER_THING = re.compile(r"[Fo2]q*(z)|p[q]*([Fo])(?=[,;.)(\[]|$)")


def _with_parts(found: list[Token]) -> list[Token]:
    """Read "together with the first arm", and "round the first lobe, ... round the second lobe", of whatever name."""
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


_IN_ALL = "in all"


def _number_next(cut: Sequence[_Piece], at: int) -> bool:
    return next((piece.kind == "number" for piece in cut[at:] if piece.kind != "space"), False)


_LETTERED = re.compile(r"(?:^|[(\[{:])n?x(?=[,;)\]}p]|[iv])")


def _with_lettered_stitches(found: list[Token], *, always: bool) -> list[Token]:
    """Read "(2x, inc)" and "6x, 3v, 9x", where x can't be a times sign, as single crochet.

    `always`: the page is written in letters, where x is a stitch wherever no number or bracket makes it a sign.
    """
    letters = "".join(
        "~" if token.cls == "x" and token.end - token.start > 1 else token.cls for token in found
    )
    if not always and not _LETTERED.search(letters):
        return found
    out: list[Token] = []
    for i, token in enumerate(found):
        if token.cls in "xs" and token.end - token.start == 1 and token.text in ("times", "sc"):
            sign = _is_sign(found, i) if always else token.cls == "s" or _multiplies(out)
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
    if after[:1] == "n" and before != "n":
        return True
    return after[:1] in ("(", "[", "{") and before == "n" and not _LETTER_COUNT.match(after)


def _with_dotted_ordinals(found: list[Token]) -> list[Token]:
    """Read "jede 3. M" and "jede 3. und 4. M" with ordinals."""
    out: list[Token] = []
    every = 0
    for i, token in enumerate(found):
        if token.cls in "id" and _ADDED.match(shape(found[i + 1 : i + 6])):
            # "add 8 mm eyes", "add the eyes": nothing is worked.
            out.append(replace(token, cls="Z", text="remark"))
            continue
        if token.cls == "." and token.glued and i and found[i - 1].cls in "sidctl" and _leads_on(found, i):
            # "3 sc. in the chain"
            continue
        if token.cls == "-" and token.glued and _between_number_and_stitch(found, i):
            continue
        if token.cls == "Y" and next((t.cls for t in reversed(out) if t.cls != "q"), "") in ("o", "F"):
            # "the second leg"
            out.pop(max(j for j, t in enumerate(out) if t.cls != "q"))
        if (
            token.cls == "n"
            and i
            and found[i - 1].cls == "Y"
            and shape(found[i + 1 : i + 2]) not in tuple("sid")
        ):
            # "leg 1", "fin 2": which of them.
            continue
        if token.cls == "n" and token.glued and i and found[i - 1].cls == "z" and token.text.isdigit():
            led = i > 1 and (found[i - 2].cls in "rPf" or found[i - 1].text == "r")
            if found[i - 1].text in _ROUND_LETTERS and led:
                # "as R8", "repeat R4", "back to R6"
                out[-1] = replace(found[i - 1], cls="w", text="round")
                out.append(token)
            # "C1", "R10": a name, not a number of stitches.
            continue
        if token.cls == "e":
            every = 8
        every -= 1
        before = found[i - 1] if i else None
        if token.cls == "." and before is not None and before.cls == "n" and token.glued and every >= 0:
            following = found[i + 1].cls if i + 1 < len(found) else ""
            if following in ("t", "s", ",") and out:
                out[-1] = replace(out[-1], cls="o")
                continue
        out.append(token)
    return out


#: What may be added that is no stitch.
_ADDED = re.compile("q?(?:n?x?n?q?Z|nzZ)")
#: Letters that stand for a round before its number.
_ROUND_LETTERS = ("r", "rd", "rg", "v", "t", "h", "р", "carr", "rnd")


def _leads_on(found: list[Token], at: int) -> bool:
    return at + 1 < len(found) and found[at + 1].cls in "p,"


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


def _multiplies(found: Sequence[Token]) -> bool:
    """Tell a times sign from a stitch where both are written x: it stands behind a bracket."""
    before = [token.cls for token in found[-2:]]
    return bool(before) and (
        before[-1] in ")]}*" or (before[-1] == "n" and len(before) > 1 and before[0] in ")]}")
    )


def shape(found: Sequence[Token]) -> str:
    """Return the classes of tokens as one string, for patterns to match."""
    return "".join(token.cls for token in found)


def _pieces(text: str, start: int) -> list[_Piece]:
    cut: list[_Piece] = []
    for match in _SCAN.finditer(text, start):
        kind = match.lastgroup or "sign"
        if kind == "word" and IDEOGRAPH.search(match[0]):
            # Words of these scripts stand without blanks between them: each sign is a piece of its own.
            cut += [
                _Piece("word", sign, match.start() + i, match.start() + i + 1)
                for i, sign in enumerate(match[0])
            ]
        else:
            cut.append(_Piece(kind, match[0], match.start(), match.end()))
    return cut


def _unglued_pieces(cut: list[_Piece], lexicon: Lexicon) -> list[_Piece]:
    """Cut the words that are several without blanks between them."""
    out: list[_Piece] = []
    for piece in cut:
        strange = piece.kind == "word" and len(piece.text) >= _SHORTEST_GLUED and piece.text.isascii()
        if not strange or lexicon.most_pieces(piece.text) or piece.text in lexicon.numbers:
            out.append(piece)
            continue
        parts, place = unglued(piece.text, lexicon) or (piece.text,), piece.start
        for part in parts:
            out.append(_Piece("word", part, place, place + len(part)))
            place += len(part)
    return out


def _one(cut: list[_Piece], at: int, text: str, lexicon: Lexicon) -> tuple[Token | None, int]:
    """Return the token that begins at a piece (None to drop it) and the number of pieces it takes."""
    piece = cut[at]
    if piece.kind == "sign":
        return _token(_SIGN_CLASS.get(piece.text, "q"), piece.text), 1
    if piece.kind == "number":
        named = _known(cut, at, text, lexicon)
        if named is not None and named[1] > 1:
            return named
        if len(piece.text) > _DIGITS:
            return _token("z", piece.text), 1
        value = int(piece.text)
        following = cut[at + 1] if at + 1 < len(cut) else None
        if following is not None and following.kind in ("word", "sign"):
            match = _ORDINAL.match(text, following.start)
            if match and _is_ordinal(value, match[0]):
                return Token("o", match[0], value, 0, 0, False), 1 + len(
                    match[0] if _single(match[0]) else "1"
                )
        return Token("n", piece.text, value, 0, 0, False), 1
    named = _known(cut, at, text, lexicon)
    return named if named is not None else (_token("z", piece.text), 1)


#: Classes of the words that may stand without blanks: "scinmr", "incx".
_GLUED = frozenset("sidMtpxeabgc")
_LONGEST_GLUED, _SHORTEST_GLUED, _LONGEST_PART = 24, 4, 9


def unglued(word: str, lexicon: Lexicon) -> tuple[str, ...]:
    """Return the short words that a longer one is made of; none where it is not, or names no stitch."""
    if not _SHORTEST_GLUED <= len(word) <= _LONGEST_GLUED or not word.isalpha():
        return ()
    best: dict[int, tuple[str, ...]] = {0: ()}
    for end in range(1, len(word) + 1):
        for start in range(max(0, end - _LONGEST_PART), end):
            part = word[start:end]
            entry = lexicon.find(part) if start in best and (len(part) > 1 or part == "x") else None
            fewer = end not in best or (start in best and len(best[start]) + 1 < len(best[end]))
            if entry is not None and entry[1] in _GLUED and fewer:
                best[end] = (*best[start], part)
    parts = best.get(len(word), ())
    classes = "".join((lexicon.find(part) or ("", ""))[1] for part in parts)
    return parts if re.search(r"[sid].*[sidMxe]|x.*[sid]", classes) else ()


def _single(suffix: str) -> bool:
    return bool(IDEOGRAPH.search(suffix))


def _is_ordinal(value: int, suffix: str) -> bool:
    """Tell "1st" from "2st", which is two stitches."""
    if suffix not in _SUFFIX:
        return True
    if value % 100 in (11, 12, 13):
        return suffix == "th"
    return suffix == {1: "st", 2: "nd", 3: "rd"}.get(value % 10, "th")


def _known(cut: list[_Piece], at: int, text: str, lexicon: Lexicon) -> tuple[Token, int] | None:
    """Return the longest known spelling that begins at a piece."""
    dotted = _DOTTED.match(text, cut[at].start)
    if dotted is not None:
        # "d.c.", "h.d.c."
        entry = lexicon.find(dotted[0].replace(".", ""))
        if entry is not None:
            used = next((i for i in range(at, len(cut)) if cut[i].start >= dotted.end()), len(cut)) - at
            return Token(entry[1], entry[0], 0, 0, 0, False), used
    words: list[str] = []
    ends: list[int] = []
    place = at
    most = lexicon.most_pieces(cut[at].text)
    while place < len(cut) and len(words) < most:
        if cut[place].kind in ("word", "number"):
            words.append(cut[place].text)
            ends.append(place)
            place += 1
        elif words and _joins(_between(cut, ends[-1], place), words[-1]):
            place += 1
        else:
            break
    for length in range(len(words), 0, -1):
        key = " ".join(words[:length])
        entry = lexicon.find(key)
        if entry is not None:
            return Token(entry[1], entry[0], 0, 0, 0, False), ends[length - 1] - at + 1
        number = lexicon.numbers.get(key)
        if number is not None:
            cls = "X" if key in lexicon.often else "o" if key in lexicon.ordinals else "n"
            return Token(cls, key, number, 0, 0, False), ends[length - 1] - at + 1
    return None


#: An abbreviation with a dot behind each letter.
_DOTTED = re.compile(
    r"(?<![^\W\d_.])(?:[^\W\d_]\.){2,4}(?![^\W_])|(?<![^\W\d_.])(?:[^\W\d_]\.){1,3}[^\W\d_](?![^\W_])"
)


def _joins(between: str, word: str) -> bool:
    """Tell whether two words may be one spelling: "sl-st", "f. M.", but not the end of a sentence."""
    return bool(_JOINT.fullmatch(between)) and not (between.startswith(". ") and len(word) > 3)


def _between(cut: list[_Piece], last: int, place: int) -> str:
    return "".join(piece.text for piece in cut[last + 1 : place + 1])


def _token(cls: str, text: str) -> Token:
    return Token(cls, text, 0, 0, 0, False)
