"""Look-alike letters, typographic signs and PDF leftovers brought to one form.

A page may hold a Cyrillic `х` for times, a Turkish dotless `ı` in `ınc`, a ligature in "first" or eight kinds
of dash. `fold` gives the text that the reader works on, each sign with its place in the original; `unmixed`
turns a word with letters of two alphabets into Latin letters.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

# Letters that look like Latin ones and turn up in words of crochet patterns; a part of the confusables of
# Unicode Technical Standard 39 (from memory).
_CYRILLIC = "асеорхутквмнідјѕԁһԛԝ"
_LATIN_OF_CYRILLIC = "aceopxytkbmhidjsdhqw"
_GREEK = "αβεζηικμνορτυχ"
_LATIN_OF_GREEK = "abezhikmvoptux"
_LOOK_ALIKE = dict(zip(_CYRILLIC + _GREEK, _LATIN_OF_CYRILLIC + _LATIN_OF_GREEK, strict=True))

_SIGNS = {
    **dict.fromkeys("‐‑‒–—―−﹣－‾~〜～", "-"),
    **dict.fromkeys("×✕✖⨯╳", "×"),
    **dict.fromkeys("∗＊⁎✱﹡", "*"),
    **dict.fromkeys("·•∙⋅●▪◦‣", "·"),
    **dict.fromkeys("“”„«»‟＂", '"'),
    **dict.fromkeys("‘’‚‛′`´", "'"),
    **dict.fromkeys("→⇒➔➜➡►▶", ">"),
    **dict.fromkeys("（❨⦅", "("),
    **dict.fromkeys("）❩⦆", ")"),
    **dict.fromkeys("［【〔「", "["),
    **dict.fromkeys("］】〕」", "]"),
    **dict.fromkeys("｛❴", "{"),
    **dict.fromkeys("｝❵", "}"),
    **dict.fromkeys("：∶", ":"),
    **dict.fromkeys("，、﹐", ","),
    **dict.fromkeys("。．｡", "."),
    "＝": "=",
    "＋": "+",
    "／": "/",
    "；": ";",
    "…": ",",
    "ı": "i",
    "ß": "ss",
    "№": "no",
    "ª": "ª",
    "º": "º",
    "°": "º",
}
_DROPPED = frozenset("\u00ad\u200b\u200c\u200d\u2060\ufeff\u200e\u200f")


@dataclass(frozen=True, slots=True)
class Folded:
    """A line in the form that is read, and where each of its signs stood.

    Attributes
    ----------
    text : str
        Lower case, without accents, one kind of dash, star, quote and bracket.
    origin : tuple of int
        For each sign of `text` its place in the original line.
    """

    text: str
    origin: tuple[int, ...]

    def place(self, index: int) -> int:
        """Return where the sign at `index` stood in the original line."""
        if not self.origin:
            return 0
        return self.origin[min(max(index, 0), len(self.origin) - 1)]


def fold_sign(sign: str) -> str:
    """Return one sign in the form that is read (it may become several, or none)."""
    if sign in _DROPPED:
        return ""
    if sign < "\x7f":
        return " " if sign in "\t\r\v\f\x1c\x1d\x1e\x1f" else sign.lower()
    known = _SIGNS.get(sign)
    if known is not None:
        return known
    spread = unicodedata.normalize("NFKD", sign)
    bare = "".join(part for part in spread if not unicodedata.combining(part))
    if bare != sign and bare:
        return "".join(_SIGNS.get(part, part) for part in bare).lower().replace("ı", "i")
    if sign.isspace():
        return " "
    lower = sign.lower()
    return "".join(part for part in unicodedata.normalize("NFD", lower) if not unicodedata.combining(part))


def fold(line: str) -> Folded:
    """Return a line in the form that is read."""
    text: list[str] = []
    origin: list[int] = []
    for place, sign in enumerate(line):
        for part in fold_sign(sign):
            text.append(part)
            origin.append(place)
    return Folded("".join(text), tuple(origin))


def folded(phrase: str) -> str:
    """Return a phrase of a word table in the form that is read."""
    return fold(phrase).text


def unmixed(word: str) -> str:
    """Return a folded word with every look-alike letter made Latin; the word itself when none can be."""
    if word.isascii():
        return word
    return "".join(_LOOK_ALIKE.get(letter, letter) for letter in word)


_AS_DIGITS = str.maketrans("OIl", "011")
#: Letters that a scan has for digits: "1O", "l8"; "Rnd l:", "7-lO:"; "(lO)"; "l sc". Not "2l", Dutch chains.
_SCANNED = re.compile(
    r"(?<![^\W_])(?!\d+l(?![^\W_]))[OIl]*\d[OIl\d]*(?![^\W_])"
    r"|(?:(?<=nd )|(?<=nds )|(?<=[Rr]ow )|(?<=\d-)|(?<=\d - ))[OIl]{1,2}(?=\s?[:.)])"
    r"|(?<=[(\[=])[OIl]{2}(?=\s?(?:sts?|sc)?[)\]])"
    r"|(?<![^\W_])l(?= (?:sc|hdc|dc|inc|dec|tr)\b)"
)
_AS_LETTERS = str.maketrans("01", "oi")
#: Digits that it has for letters: "R0und", "1nc", "s1 st".
_DIGITS_FOR_LETTERS = re.compile(r"(?<=[A-Za-z])0(?=[A-Za-z])|(?<![^\W_])1(?=ncs?(?![^\W_]))")
_SLIP = re.compile(r"(?<![^\W_])([Ss])1(?= ?st\b)")


def unscanned(line: str) -> str:
    """Return a line with the letters and digits that a scan mistook put right, every sign in its place."""
    if "O" in line or "I" in line or "l" in line:
        line = _SCANNED.sub(lambda match: match[0].translate(_AS_DIGITS), line)
    if "0" in line or "1" in line:
        line = _DIGITS_FOR_LETTERS.sub(lambda match: match[0].translate(_AS_LETTERS), line)
        line = _SLIP.sub(r"\1l", line)
    return line
