"""The words of written rounds, read from tables that anyone can edit (in the folder `tables`)."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

from solver.errors import InputError, Problem

#: What a table may hold besides the sections of sentences.
_HEAD = frozenset({"like", "name", "terms", "telltale", "written"})
_SECTIONS = frozenset({"terse", "spelled", "plain", "notes"})
_WORD = frozenset({"short", "short_many", "one", "many", "read"})


@dataclass(frozen=True, slots=True)
class Word:
    """One thing that rounds speak of, as it is written and as it may be read.

    Attributes
    ----------
    short, short_many : str
        The form in a short round, for one and for several ("st", "sts").
    one, many : str
        The full name, for one and for several.
    read : tuple of str
        Further spellings to read, in lower case.
    """

    short: str
    short_many: str
    one: str
    many: str
    read: tuple[str, ...]

    @property
    def spellings(self) -> tuple[str, ...]:
        """Every way to read it, in lower case, each once, the longest first."""
        every = {form.lower() for form in (self.short, self.short_many, self.one, self.many, *self.read)}
        return tuple(sorted(every, key=lambda form: (-len(form), form)))


@dataclass(frozen=True, slots=True)
class Words:
    """The words of one language in one set of terms.

    Attributes
    ----------
    code : str
        Name of the table ("en-US", "de").
    name : str
        The language as its readers call it.
    terms : str
        The set of terms within the language ("US", "UK"); empty where there is only one.
    telltale : tuple of str
        Spellings that give these terms away in a pattern that does not declare them.
    word : mapping of str to Word
        Each word by its notion; stitches go by their US abbreviation in every language.
    numbers : mapping of str to int
        Number words to read.
    also : mapping of str to tuple of str
        Spellings that are only read, never written, by notion ("remark", "part").
    """

    code: str
    name: str
    terms: str
    telltale: tuple[str, ...]
    word: Mapping[str, Word]
    numbers: Mapping[str, int]
    also: Mapping[str, tuple[str, ...]]
    _sentences: Mapping[str, Mapping[str, str]]
    #: Whether it has sentences of its own to spell rounds out.
    spells: bool = True
    #: Whether rounds are written in it, or only read.
    written: bool = True

    def __getitem__(self, notion: str) -> Word:
        """Return the word for a notion ("sc", "round").

        Raises
        ------
        InputError
            If the table has no word for it.
        """
        try:
            return self.word[notion]
        except KeyError:
            raise InputError(_wrong(self.code, f"word.{notion}", "the table has this word")) from None

    def has(self, section: str, sentence: str) -> bool:
        """Return whether the table has a sentence."""
        return sentence in self._sentences[section]

    def say(self, section: str, sentence: str, *, n: int | None = None, **values: object) -> str:
        """Return a sentence of the table with its blanks filled in.

        Parameters
        ----------
        section : str
            "terse", "spelled", "plain" or "notes".
        sentence : str
            The sentence's name within the section.
        n : int, optional
            The number that the sentence agrees with: for 1 its form for one is taken, where it has one.
        **values
            What the blanks hold; words of the table need not be passed.

        Raises
        ------
        InputError
            If the table lacks the sentence, or the sentence has a blank that nothing fills.
        """
        sentences = self._sentences[section]
        if n == 1 and f"{sentence}_one" in sentences:
            sentence = f"{sentence}_one"
        place = f"{section}.{sentence}"
        template = sentences.get(sentence)
        if template is None:
            raise InputError(_wrong(self.code, place, "the table has this sentence"))
        try:
            return template.format_map({**self.word, **values, "n": n})
        except (KeyError, AttributeError, IndexError, ValueError) as error:
            raise InputError(
                _wrong(self.code, place, "every blank in braces can be filled in", got=template)
            ) from error


def available() -> tuple[str, ...]:
    """Return the names of all word tables, sorted."""
    return tuple(sorted(_tables()))


@cache
def words(terms: str) -> Words:
    """Return a word table.

    Parameters
    ----------
    terms : str
        "US" or "UK" for English, or the name of any table ("en-US", "de").

    Raises
    ------
    InputError
        If there is no such table, or it can't be used as it stands.
    """
    code = next((code for code in (terms, f"en-{terms}") if code in _tables()), None)
    if code is None:
        known = ", ".join(code.removeprefix("en-") for code in available())
        raise InputError(Problem("the terms are those of a word table", got=terms, remedy=f"Known: {known}."))
    raw = _raw(code)
    return Words(
        code=code,
        name=raw.get("name", code),
        terms=raw.get("terms", ""),
        telltale=tuple(raw.get("telltale", ())),
        word=MappingProxyType(
            {notion: _word(code, notion, forms) for notion, forms in raw.get("word", {}).items()}
        ),
        numbers=MappingProxyType(raw.get("numbers", {})),
        also=MappingProxyType({notion: tuple(forms) for notion, forms in raw.get("also", {}).items()}),
        _sentences=MappingProxyType({section: raw.get(section, {}) for section in _SECTIONS}),
        spells=code.startswith("en-") or "spelled" in _parsed(code),
        written=raw.get("written", True),
    )


@cache
def _tables() -> Mapping[str, Any]:
    found = (files("solver.notation") / "tables").iterdir()
    return {entry.name.removesuffix(".toml"): entry for entry in found if entry.name.endswith(".toml")}


def _raw(code: str) -> dict[str, Any]:
    """Read one table, laid over the one that it says it is like."""
    own = _parsed(code)
    base = own.get("like")
    if base is None:
        return own
    if base not in _tables() or "like" in _parsed(base):
        rule = "a table is like one that is there and is whole in itself"
        raise InputError(_wrong(code, "like", rule, got=str(base)))
    return _over(_parsed(base), own)


def _parsed(code: str) -> dict[str, Any]:
    try:
        own = tomllib.loads(_tables()[code].read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InputError(_wrong(code, "", "the table is written in TOML", got=str(error))) from error
    unknown = own.keys() - _HEAD - _SECTIONS - {"word", "numbers", "also"}
    if unknown:
        raise InputError(*(_wrong(code, key, "a table has no such part", got=key) for key in sorted(unknown)))
    return own


def _over(base: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    """Lay a table over another: tables are merged, anything else is replaced."""
    merged = dict(base)
    for key, value in own.items():
        inner = base.get(key)
        merged[key] = _over(inner, value) if isinstance(inner, dict) and isinstance(value, dict) else value
    return merged


def _word(code: str, notion: str, forms: Any) -> Word:
    place = f"word.{notion}"
    if not isinstance(forms, dict):
        raise InputError(_wrong(code, place, "a word is a table with its forms", got=str(forms)))
    problems = [
        _wrong(code, place, "a word has a form of this name", got=key) for key in forms if key not in _WORD
    ]
    for key in ("short", "one", "many"):
        if not isinstance(forms.get(key), str):
            problems.append(
                _wrong(code, place, f'a word has "{key}", between quotes', got=str(forms.get(key, "")))
            )
    if problems:
        raise InputError(*problems)
    return Word(
        short=forms["short"],
        short_many=forms.get("short_many") or forms["short"],
        one=forms["one"],
        many=forms["many"],
        read=tuple(spelling.lower() for spelling in forms.get("read", ())),
    )


def _wrong(code: str, place: str, rule: str, *, got: str = "") -> Problem:
    remedy = "Compare with en-US.toml in the folder of word tables."
    return Problem(rule, got=got, remedy=remedy, place=place, file=f"{code}.toml")
