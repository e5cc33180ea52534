"""Files of every kind spoilt at random: bytes changed, cut out, doubled, words swapped for awkward ones."""

from __future__ import annotations

import random
import re
from collections.abc import Callable

AWKWARD = (
    b"0", b"-1", b"1e999", b"nan", b"inf", b"-inf", b"1e-320", b"9" * 400, b"0xff", b"1e9", b"6.0.0", b".",
    b"\x00", b"\xff\xfe", b"\xc3\x28", b"\xe2\x80\xae", b"\x1b[2J", b'"', b"'", b"[", b"]", b"{", b"}", b"=",
    b"true", b'"red"', b"[]", b"{}", b"<", b">", b"&foo;", b"#", b"\n", b"\r", b",", b"%", b"-0", b"1_000",
    b"1979-05-27", b'"\\u0000"', b"[[1,2],[3]]", b"4294967295", b"2147483648", b"18446744073709551616",
)  # fmt: skip
"""What is put in."""

_NUMBER = re.compile(rb"[-+]?\d+(?:\.\d+)?")
_NUMBERS = (b"0", b"-1", b"1e-9", b"3", b"1e6", b"1e30", b"0.5", b"17", b"200")
_WORD = re.compile(rb"[A-Za-z_]+|[-+.0-9eE]+")


def mutant(content: bytes, chance: random.Random) -> bytes:
    """Return a file spoilt in one to six places.

    Parameters
    ----------
    content : bytes
        A whole file.
    chance : random.Random
        Seeded, so that a mutant can be made again.
    """
    if chance.random() < 0.4:  # values alone: more of these get past the first look
        for _ in range(chance.choice([1, 1, 2])):
            content = _swap_number(content, chance)
        return content
    for _ in range(chance.choice([1, 1, 1, 2, 3, 6])):
        content = chance.choice(_WAYS)(content, chance)
    return content


def _put_in(content: bytes, chance: random.Random) -> bytes:
    at = chance.randrange(len(content) + 1)
    return content[:at] + chance.choice(AWKWARD) + content[at:]


def _swap_word(content: bytes, chance: random.Random) -> bytes:
    words = list(_WORD.finditer(content))
    if not words:
        return _put_in(content, chance)
    word = chance.choice(words)
    new = chance.choice([chance.choice(AWKWARD), chance.choice(words)[0]])
    return content[: word.start()] + new + content[word.end() :]


def _swap_number(content: bytes, chance: random.Random) -> bytes:
    numbers = list(_NUMBER.finditer(content))
    if not numbers:
        return content
    at = chance.choice(numbers)
    new = chance.choice([*_NUMBERS, chance.choice(numbers)[0]])
    return content[: at.start()] + new + content[at.end() :]


def _cut(content: bytes, chance: random.Random) -> bytes:
    first, last = sorted(chance.randrange(len(content) + 1) for _ in range(2))
    return content[:first] + content[min(last, first + chance.choice([1, 8, 100, 10**9])) :]


def _double(content: bytes, chance: random.Random) -> bytes:
    first = chance.randrange(len(content) + 1)
    part = content[first : first + chance.choice([1, 10, 60, 300])]
    return content[:first] + part * chance.choice([2, 2, 20]) + content[first:]


def _flip(content: bytes, chance: random.Random) -> bytes:
    if not content:
        return content
    spoilt = bytearray(content)
    for _ in range(chance.choice([1, 4, 30])):
        spoilt[chance.randrange(len(spoilt))] = chance.randrange(256)
    return bytes(spoilt)


def _shuffle_lines(content: bytes, chance: random.Random) -> bytes:
    lines = content.split(b"\n")
    i, j = chance.randrange(len(lines)), chance.randrange(len(lines))
    lines[i], lines[j] = lines[j], lines[i]
    return b"\n".join(lines)


_WAYS: tuple[Callable[[bytes, random.Random], bytes], ...] = (
    _put_in,
    _swap_word,
    _swap_word,
    _swap_word,
    _cut,
    _double,
    _flip,
    _shuffle_lines,
)
