"""The fixed sentences of a sheet, from tables that anyone can edit (in the folder `sentences`)."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files

from solver.errors import InputError, Problem
from solver.notation.words import Words, available, words


@dataclass(frozen=True, slots=True)
class Sentences:
    """The sentences of one language; those that it lacks are English, and noted.

    Attributes
    ----------
    table : Words
        Its words of rounds.
    own, english : mapping of str to str
    lacking : set of str
        Names of sentences that were asked for and are not there.
    """

    table: Words
    own: Mapping[str, str]
    english: Mapping[str, str]
    lacking: set[str] = field(default_factory=set)

    @property
    def language(self) -> str:
        """As the web names it: "en-US", "de"."""
        return {"en-UK": "en-GB"}.get(self.table.code, self.table.code)

    def say(self, name: str, /, **values: object) -> str:
        """Return a sentence with its blanks filled in, its first letter a capital.

        Raises
        ------
        InputError
            If a sentence of a table has a blank that nothing fills.
        """
        text = self.within(name, **values)
        return text[:1].upper() + text[1:]

    def within(self, name: str, /, **values: object) -> str:
        """Return a sentence as its table has it, to stand within another: German nouns keep their capitals.

        Raises
        ------
        InputError
            If a sentence of a table has a blank that nothing fills.
        """
        if name not in self.own:
            self.lacking.add(name)
        template = self.own.get(name, self.english[name])
        try:
            return template.format_map({**self.table.word, **values})
        except (KeyError, AttributeError, IndexError, ValueError) as error:
            rule = f'every blank in braces of the sentence "{name}" can be filled in'
            raise InputError(Problem(rule, got=template, file=f"{self.table.code}.toml")) from error


def languages() -> tuple[str, ...]:
    """Return the languages that sheets are written in, besides English."""
    return tuple(code for code in available() if not code.startswith("en-") and words(code).written)


def sentences(terms: str) -> Sentences:
    """Return the sentences for a word table: "US", "UK" or a language."""
    table = words(terms)
    english = _table("en")
    return Sentences(table, english if table.code.startswith("en-") else _table(table.code), english)


@cache
def _table(code: str) -> Mapping[str, str]:
    found = files("solver.sheet") / "sentences" / f"{code}.toml"
    if not found.is_file():
        return {}
    return {name: str(text) for name, text in tomllib.loads(found.read_text(encoding="utf-8")).items()}
