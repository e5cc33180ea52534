"""Words with a slip of the pen: "icn", "increse", "eahc", brought back to the words of the page.

Only a word that nobody knows, that stands where a stitch or its place should, and that is near to words of
one notion alone. The distance is that of Damerau and Levenshtein: letters put in, left out,
changed, or two neighbours swapped, which is the commonest slip and counts a little less.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from collections.abc import Sequence as Seq

from solver.notation.classes import core
from solver.notation.entries import Entry
from solver.notation.lexicon import Lexicon
from solver.notation.token import Token, shape

#: Words of stitches, and of places.
_STITCHES, _PLACES = "sid", "NLFemtaRx"
#: Where a stitch should stand, and where the word for a place.
_AS_STITCH = re.compile(r"(?:^|[,;.:(*\[{n])z(?=$|[,;.:)*\]}xpN(])|(?<=[,(\[{*n])z(?=n)|(?<=s)z(?=[)\],;])")
_AS_PLACE = re.compile(r"(?<=[ps])z(?=[tsc(,;.]|$)|(?<=[pN])z(?=[tc])")
_SHORTEST, _LONG = 3, 7
#: What two swapped letters count.
_SWAP = 0.8
#: Most unknown words of a line that may be slips.
_MOST = 2


def slips(rows: Seq[Entry], lexicon: Lexicon) -> Mapping[str, str]:
    """Return the misspelt words of the rounds of a page, each with the notion that it is taken for."""
    found: dict[str, str] = {}
    for row in rows:
        if row.labels and row.tokens:
            for token, wanted in _strange(row.tokens):
                notion = nearest(token.text, lexicon, wanted)
                if notion:
                    found[token.text] = notion
    return found


def _strange(tokens: Seq[Token]) -> Iterator[tuple[Token, str]]:
    """Yield the unknown words of a round that stand for a stitch or a place, with the classes it may have."""
    kept = [token for token in tokens if token.cls not in "qb"]
    classes = shape(kept)
    if not 0 < classes.count("z") <= _MOST or not (core(kept) or re.search("[sid]", classes)):
        return
    for pattern, wanted in ((_AS_STITCH, _STITCHES), (_AS_PLACE, _PLACES)):
        for match in pattern.finditer(classes):
            token = kept[match.end() - 1]
            if token.text.isalpha():
                yield token, wanted


def nearest(word: str, lexicon: Lexicon, classes: str) -> str:
    """Return the notion of the known word nearest to a misspelt one; empty where none is, or several are.

    Parameters
    ----------
    word : str
        Folded, of letters alone.
    lexicon : Lexicon
        The words that are known.
    classes : str
        Classes of words that it may be.
    """
    if len(word) < _SHORTEST:
        return ""
    most = 2 if len(word) >= _LONG else 1
    best, notions = most + _SWAP / 2, set[str]()
    for key, (notion, cls) in lexicon.entries.items():
        if cls not in classes or abs(len(key) - len(word)) > most or " " in key or len(key) < _SHORTEST:
            continue
        if not _begins_alike(word, key):
            continue
        off = distance(word, key)
        if off < best:
            best, notions = off, {notion}
        elif off == best:
            notions.add(notion)
    return next(iter(notions)) if len(notions) == 1 else ""


def _begins_alike(word: str, key: str) -> bool:
    """Tell whether a slip may have made one word of the other: hardly anybody mistakes the first letter."""
    if len(word) == _SHORTEST:
        return sorted(word) == sorted(key) or word.replace("l", "i") == key
    return word[0] == key[0] or word[1::-1] == key[:2] or {word[0], key[0]} == {"l", "i"}


def distance(a: str, b: str) -> float:
    """Return how far one word is from another, by Damerau and Levenshtein, each letter touched once."""
    table = [[float(j) for j in range(len(b) + 1)]]
    for i, left in enumerate(a, start=1):
        row = [float(i)]
        for j, right in enumerate(b, start=1):
            off = min(table[i - 1][j] + 1, row[j - 1] + 1, table[i - 1][j - 1] + (left != right))
            if i > 1 and j > 1 and left == b[j - 2] and right == a[i - 2]:
                off = min(off, table[i - 2][j - 2] + _SWAP)
            row.append(off)
        table.append(row)
    return table[-1][-1]
