"""A folded line cut into tokens: words by their class, numbers, ordinals, brackets, stars and separators."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from solver.notation.fold import Folded
from solver.notation.lexicon import IDEOGRAPH, Lexicon
from solver.notation.settled import multiplies, settled
from solver.notation.token import Token

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
            if piece.text == "x" and token.cls == "s" and multiplies(found):
                token = _token("x", "times")
            if (
                token.cls == "T"
                and text[piece.start : cut[at + used - 1].end] == _IN_ALL
                and (_number_next(cut, at + used) or (found and found[-1].cls in "sid" and len(found) == 1))
            ):
                # "inc in all 6 sts", "sc in all"
                found.append(Token("p", "in", 0, piece.start, piece.start + 2, glued))
                token = _token("e", "each")
            found.append(
                Token(token.cls, token.text, token.value, piece.start, cut[at + used - 1].end, glued)
            )
        at += used
    return settled(found, letters=lexicon.code == "letters", in_one=lexicon.in_one)


_IN_ALL = "in all"


def _number_next(cut: Sequence[_Piece], at: int) -> bool:
    return next((piece.kind == "number" for piece in cut[at:] if piece.kind != "space"), False)


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
            used = ends[length - 1] - at + 1
            if length > 1 and "." in text[cut[at].start : cut[at + used - 1].start]:
                # the last dot of "p. b."
                used += at + used < len(cut) - 1 and cut[at + used].text == "."
            return Token(entry[1], entry[0], 0, 0, 0, False), used
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
