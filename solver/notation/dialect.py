"""What a page is written in: its language, its terms, and the abbreviations that it explains itself."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import pairwise

from solver.notation.classes import core
from solver.notation.fold import fold
from solver.notation.labels import labels
from solver.notation.lexicon import CLASS, Lexicon, languages, lexicon, pieces, telling
from solver.notation.token import shape
from solver.notation.tokens import tokens
from solver.notation.words import words as table_of

_TERMS = r"[^.\n]{0,25}\b(?:terms?|terminology|crochet|abbreviations?|stitch(?:es)?|notation)"
_US = re.compile(rf"\b(?:us|u s|usa|american)\b{_TERMS}|\bterms?\s*[:=]\s*us\b")
_UK = re.compile(rf"\b(?:uk|u k|british|english)\b{_TERMS}|\bterms?\s*[:=]\s*uk\b")
_DEFINES = re.compile(
    r"(?:^|(?<=[,;:.(\[/])|(?<=\s\s))\s*([^\W\d_][^\W\d_./]{0,7}(?:\s(?:st|sc|s))?)\s*"
    r"(?:[=:-]|\s(?:means|is|stands for|for)\s)(?=\s*([^\W\d_][^,;()=:\[\]]{0,40}))"
)
#: Stitches of one word, "hdc-inc": behind a plain stitch its increase or decrease explains nothing.
_OF_ONE_WORD = re.compile(r"\S-\S")
_NAMED = frozenset("sid")
_STITCHES = frozenset("sclditk")


def language(texts: Sequence[str], declared: str) -> str:
    """Return the word table that fits a page best.

    Parameters
    ----------
    texts : sequence of str
        Its folded lines.
    declared : str
        Terms that it declares.
    """
    words = _page_words(texts)
    code = _spoken(words, english=_DECLARED * bool(declared))
    if code.startswith("en-") and _in_letters(texts):
        return "letters"
    if code == "en-US" and (declared == "UK" or (not declared and _looks_uk(words, texts))):
        return "en-UK"
    return code


def _page_words(lines: Iterable[str]) -> Counter[str]:
    words: Counter[str] = Counter()
    for line in lines:
        found = re.findall(r"[^\W\d_]+", line)
        words.update(found)
        words.update(f"{a} {b}" for a, b in pairwise(found))
    return words


#: What a page that declares US or UK terms has said in English by that.
_DECLARED = 8


def _spoken(words: Counter[str], *, english: int = 0) -> str:
    """Return the word table whose own words turn up most often; `english` speaks for English beforehand."""
    joined = "".join(words) if len(words) < 20_000 else ""
    scores: dict[str, float] = {}
    for code in languages():
        own = telling(code)
        score = float(sum(min(words[word], 50) for word in own if word in words))
        if any(ord(sign) > 0x2E80 for sign in joined):
            # a script without spaces: words run into others, which are counted as often as they stand there
            score += sum(
                2 * min(sum(many for run, many in words.items() if word.replace(" ", "") in run), 50)
                for word in own
                if len(word) > 1 and ord(word[0]) > 0x2E80 and word.replace(" ", "") in joined
            )
        scores[code] = score
    scores["en-US"] += english
    symbols = scores.pop("letters", 0.0)
    best = max(scores, key=lambda code: (scores[code], code == "en-US", table_of(code).written))
    if best == "en-US" and symbols > _english_stitches(words):
        # English words for rounds and rings stand beside one-letter stitches too.
        return "letters"
    return best if scores[best] > scores["en-US"] else "en-US"


_ROUND = re.compile(
    r"\W*(?:[^\W\d_]{1,6}\.?\s?)?\d{1,3}(?:st|nd|rd|th)?(?:\s?-\s?\d{1,3}(?:st|nd|rd|th)?)?\s?(?:[:.)=-]|\s)"
)
_SYMBOL = re.compile(r"(?<![^\W\d_'])(?:[vwtfam](?=\s*(?:[,;)\]=+*]|\d|$))|x(?=\s*(?:[,;)\]=+*]|$)))")


def _in_letters(texts: Sequence[str]) -> bool:
    """Tell a page whose rounds are written in one-letter stitches, whatever its other words are."""
    rounds = [match.string[match.end() :] for text in texts if (match := _ROUND.match(text))]
    symbols = [found for text in rounds for found in _SYMBOL.findall(text)]
    worked = set(symbols) - {"a", "m"}
    return len(symbols) > 2 and bool(worked) and len(symbols) > 2 * _english_stitches(_page_words(rounds))


def _english_stitches(words: Counter[str]) -> int:
    """Return how often English names a stitch by more than a letter."""
    known = lexicon("en-US").entries
    return sum(
        often for word, often in words.items() if len(word) > 1 and known.get(word, ("", ""))[1] in _NAMED
    )


#: A chain that is joined into a ring, in a line that works no double crochet.
_CHAIN_RING = re.compile(r"^(?!.*\b(?:dc|double)\b).*\b(?:join|ring)\b")
_TALL_START = re.compile(r"\b(?:ch|chain)\s?[23]\b|\b[23]\s?ch\b")


def _looks_uk(words: Counter[str], texts: Iterable[str]) -> bool:
    """Tell UK dc, which is worked like US sc, from US dc, which starts on 2 or 3 chains."""
    us = any(words[sign] for sign in ("sc", "single", "hdc", "half double"))
    if us or words["dc"] + words["double"] == 0:
        return False
    if sum(words[sign] for sign in ("htr", "dtr", "miss", "tension", "ss", "colour", "yrh")):
        return True
    return not any(_TALL_START.search(text) and not _CHAIN_RING.search(text) for text in texts)


def declared_terms(lines: Iterable[str]) -> str:
    """Return the terms that a page says it is in ("US", "UK"); empty when it does not say."""
    for line in lines:
        us, uk = _US.search(line), _UK.search(line)
        if us and uk:
            return "US" if us.start() < uk.start() else "UK"
        if us or uk:
            return "US" if us else "UK"
    return ""


def own_abbreviations(lines: Iterable[str], known: Lexicon) -> dict[str, str]:
    """Return the abbreviations that a page explains, by their spelling."""
    own: dict[str, str] = {}
    for line in lines:
        if labels(line, len(line) - len(line.lstrip()), known):
            continue
        for match in _DEFINES.finditer(line[:400]):
            short, meaning = pieces(match[1]), pieces(match[2])
            entry = _meaning(meaning, known)
            if not short or entry is None or short == "x" or short in known.labels:
                continue
            now = known.find(short)
            if now is None or now[1] not in _STITCHES or entry[0] != now[0]:
                if now is not None and (entry[1] == "t" or (now[1], entry[1]) == ("q", "C")):
                    # the key of a chart in letters: "a: navy", and "a" is an article all the same
                    continue
                one_word = _OF_ONE_WORD.match(line, match.end() - 2)
                if one_word and now is not None and now[1] == "s" and entry[1] in "id":
                    continue
                own[short] = entry[0]
        named = _NAME_FIRST.match(line[:400])
        if named and pieces(named[2]) not in {"", "x", *known.labels}:
            # "Bobble (B): yarn over, ..."
            said = _meaning(pieces(named[1]), known)
            notion = said[0] if said is not None and said[1] in _NAMED else _shaping(named[3], known)
            if notion and known.find(pieces(named[2])) != (notion, CLASS[notion]):
                own[pieces(named[2])] = notion
        for match in _BY_NUMBER.finditer(line[:400]):
            notion = _shaping(match[2], known)
            if notion and pieces(match[1]) not in {"", "x", *known.labels}:
                own[pieces(match[1])] = notion
    return own


_NAME_FIRST = re.compile(
    r"\W*([^\W\d_][^()\d:=]{2,30}?)(?:\s(?:stitch|st))?\s*[(\[]([^\W\d_]{1,5})[)\]]\s*[:=-]\s*(.{0,80})"
)
_BY_NUMBER = re.compile(
    r"(?:^|(?<=[,;:.(\[/])|(?<=\s\s))\s*([^\W\d_]{1,7}|[<>^])\s*(?:[=:-]|means|is)"
    r"(?=\s*(?:[^\W\d_]{1,12}\s*[(\[]\s*)?(?:work\s+|make\s+)?"
    r"([^\W_](?:(?!,\s*[^\W\d_]{1,7}\s?[-:])[^;.()=\[\]]){3,55}))"
)
_BRACKETED = re.compile(
    r"[(\[](\d)\s?([^\W\d_]{1,4})[)\]]\s*(?:=|:|-|means|is|stands for|for)\s*(?=([^\n]{4,80}))"
)
_IN_ONE = re.compile(r"n[st]{0,2}[^g]*p[^g]*?(?:n|m|N|o|t|s|c)|n[st]{0,2}[^g]*m")
_TOGETHER = re.compile(r"n[^,]{0,4}g|n[st]{0,2}g")


#: Most stitches in one that are an increase.
_WIDEST = 3


def _shaping(meaning: str, known: Lexicon) -> str:
    """Return the shaping stitch that a few words describe: "3 sc in one stitch"; empty when they don't."""
    found = [token for token in tokens(fold(meaning), known) if token.cls != "q"]
    classes, number = shape(found), next((token.value for token in found if token.cls == "n"), 0)
    if not classes.startswith("n"):
        return ""
    if number > _WIDEST:
        # "5 dc in one stitch, drawn together": a bobble, whatever its name
        return "fancy" if _IN_ONE.match(classes) else ""
    if number < 2:
        return ""
    size = "3" if number == 3 else ""
    if _TOGETHER.search(classes):
        return f"dec{size}"
    return f"inc{size}" if _IN_ONE.match(classes) and classes[1:2] in ("s", "t", "p", "x", "z") else ""


_LETTERED = re.compile(r"\W{0,3}([^\W\d_]{1,12})\.?\s?(\d{1,2})(?:\s?-\s?\1?\s?\d{1,2})?\s?[:.)=-]")
_ROUNDS_LETTERED = 3


def own_labels(lines: Iterable[str], known: Lexicon) -> frozenset[str]:
    """Return what a page puts before the numbers of its rounds: "A1:", "A2:", "A3-A6:"; "Step 1."."""
    found: dict[str, list[int]] = {}
    for line in lines:
        match = _LETTERED.match(line)
        named = known.find(match[1]) if match else None
        if (
            match
            and (named is None or named[1] not in "ZQKYC")
            and (len(match[1]) == 1 or core(tokens(fold(line[match.end() : 400]), known)))
        ):
            found.setdefault(match[1], []).append(int(match[2]))
    return frozenset(
        letter
        for letter, numbers in found.items()
        if len(numbers) >= _ROUNDS_LETTERED and numbers[:2] == [1, 2]
    )


def own_brackets(lines: Iterable[str], known: Lexicon) -> frozenset[int]:
    """Return the numbers n for which a page says that (n sc) in brackets are worked in one stitch."""
    found: set[int] = set()
    for line in lines:
        for match in _BRACKETED.finditer(line[:400]):
            first = match[3].split()[0].strip(".,;:")
            again = found and known.numbers.get(first) == int(match[1])  # "..., [3sc] for three"
            if again or _shaping(match[3], known).startswith("inc"):
                found.add(int(match[1]))
    return frozenset(found)


def _meaning(meaning: str, known: Lexicon) -> tuple[str, str] | None:
    words = meaning.split()
    while len(words) > 1 and (
        words[0] == "1" or known.find(words[0]) == ("noise", "q") or words[0] in known.numbers
    ):
        words.pop(0)
    for used in range(min(4, len(words)), 0, -1):
        entry = known.find(" ".join(words[:used]))
        if entry is not None:
            tells = entry[1] in _STITCHES or entry[1] in "MC"
            rest = words[used:]
            made_of = rest[:1] in (["of"], ["made"]) and entry[1] == "s"
            simple = made_of or (len(rest) <= 2 and not any(word.isdigit() for word in rest))
            return entry if tells and simple else None
    return None
