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
    "|": ",", "·": "·", "#": "q", '"': "q", "'": "q", "?": "q", "_": "q", "%": "z", "$": "z", "◆": "q",
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
    cut = _pieces(text, start)
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
    found = _with_dotted_ordinals(_with_lettered_stitches(_with_arrows(found)))
    return _with_brackets_in_one(found, lexicon.in_one) if lexicon.in_one else found


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


def _with_lettered_stitches(found: list[Token]) -> list[Token]:
    """Read "(2x, inc)" and "6x, 3v, 9x", where x can't be a times sign, as single crochet."""
    letters = "".join(
        "~" if token.cls == "x" and token.end - token.start > 1 else token.cls for token in found
    )
    if not _LETTERED.search(letters):
        return found
    out: list[Token] = []
    for token in found:
        if token.cls == "x" and token.end - token.start == 1 and not _multiplies(out):
            token = replace(token, cls="s", text="sc")
        out.append(token)
    return out


def _with_dotted_ordinals(found: list[Token]) -> list[Token]:
    """Read "jede 3. M" and "jede 3. und 4. M" with ordinals."""
    out: list[Token] = []
    every = 0
    for i, token in enumerate(found):
        if token.cls in "id" and _ADDED.match(shape(found[i + 1 : i + 6])):
            # "add 8 mm eyes", "add the eyes": nothing is worked.
            out.append(replace(token, cls="Z", text="remark"))
            continue
        if token.cls == "z" and token.text == "r" and _behind_loops(out) and i + 1 < len(found):
            # "the front loops of R5"
            out += [replace(token, cls="w", text="round"), *found[i + 1 : i + 2]]
            continue
        if token.cls == "." and token.glued and i and found[i - 1].cls in "sidctl" and _leads_on(found, i):
            # "3 sc. in the chain"
            continue
        if token.cls == "-" and token.glued and _between_number_and_stitch(found, i):
            continue
        if token.cls == "Y" and next((t.cls for t in reversed(out) if t.cls != "q"), "") in ("o", "F"):
            # "the second leg"
            out.pop(max(j for j, t in enumerate(out) if t.cls != "q"))
        if token.cls == "n" and i and found[i - 1].cls == "Y" and found[i - 1].text != "whole":
            # "leg 1", "fin 2": which of them.
            continue
        if token.cls == "n" and token.glued and i and found[i - 1].cls == "z" and token.text.isdigit():
            if found[i - 1].text in _ROUND_LETTERS and i > 1 and found[i - 2].cls in "rPf":
                # "as R8", "repeat R4"
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
_LEFT_FREE = ("free", "unused", "left")


def _behind_loops(out: list[Token]) -> bool:
    """Tell whether the last word that counts names loops."""
    before = next((t.cls for t in reversed(out) if t.cls not in "qfpR" and t.text not in _LEFT_FREE), "")
    return before in ("b", "O")


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


def _joins(between: str, word: str) -> bool:
    """Tell whether two words may be one spelling: "sl-st", "f. M.", but not the end of a sentence."""
    return bool(_JOINT.fullmatch(between)) and not (between.startswith(". ") and len(word) > 3)


def _between(cut: list[_Piece], last: int, place: int) -> str:
    return "".join(piece.text for piece in cut[last + 1 : place + 1])


def _token(cls: str, text: str) -> Token:
    return Token(cls, text, 0, 0, 0, False)
