"""The fixed sentences of patterns, from tables that anyone can edit (in the folder `tables`)."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files

from solver.errors import InputError, Problem
from solver.notation.words import Words, available, words
from solver.notes import About, Note, Said
from solver.units import Length, in_inches

#: Lengths below this are told to a tenth. [mm]
_TENTHS = 20.0


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

    @property
    def is_english(self) -> bool:
        """Whether it is English, US or UK."""
        return self.table.code.startswith("en-")

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

        Numbers, lengths and sentences that fill its blanks are told in its language.

        Raises
        ------
        InputError
            If a sentence of a table has a blank that nothing fills.
        """
        if name not in self.own:
            plain = name.removesuffix("_one")
            if plain in self.own:  # a language that has no form of its own for one
                name = plain
            else:
                self.lacking.add(name)
        template = self.own[name] if name in self.own else self.english[name]
        filled = {blank: self._told(value) for blank, value in values.items()}
        try:
            return template.format_map({**self.table.word, **filled})
        except (KeyError, AttributeError, IndexError, ValueError) as error:
            rule = f'every blank in braces of the sentence "{name}" can be filled in'
            raise InputError(Problem(rule, got=template, file=f"{self.table.code}.toml")) from error

    def counted(self, name: str, number: float, /, **values: object) -> str:
        """Return a sentence in the form that agrees with its number, {n}: "1 stitch", "2.5 stitches"."""
        form = f"{name}_{_form(self.table.code, number)}"
        return self.within(form if form in self.own else name, n=number, **values)

    def joined(self, several: Iterable[str], between: str = "list_between") -> str:
        """Return several texts as one, with what stands between them in this language."""
        return self.within(between).join(several)

    def tell(self, note: str) -> str:
        """Return a note in this language; one that knows no sentences stands as it is."""
        said = getattr(note, "said", ())
        return self.joined((self.say(each.name, **each.values) for each in said), "sentence_between") or note

    def number(self, value: float) -> str:
        """Return a number, to a hundredth where it has one."""
        return f"{value:.2f}".rstrip("0").removesuffix(".").replace(".", self.within("decimal"))

    def length(self, mm: float) -> str:
        """Return a length: to a tenth below 20 mm, else to the millimetre."""
        told = self.number(round(mm, 1) if mm < _TENTHS else round(mm))
        return self.within("length_told", mm=told, inches=in_inches(mm))

    def _told(self, value: object) -> object:
        if isinstance(value, Said):
            return self.within(value.name, **value.values)
        if isinstance(value, Length):
            return self.length(value.mm)
        return self.number(value) if isinstance(value, float) else value


def _form(code: str, number: float) -> str:
    """Return the form of a noun behind a number: "one", "few" or "many" (CLDR's plural rules)."""
    if code != "ru":
        return "one" if number == 1 else "many"
    if number != round(number):
        return "few"
    tens, ones = int(number) % 100, int(number) % 10
    if ones == 1 and tens != 11:
        return "one"
    return "few" if ones in (2, 3, 4) and tens not in (12, 13, 14) else "many"


def noted(*said: Said, about: About = About.FORM, short: str = "") -> Note:
    """Return sentences of the tables as one note, in English, which can be told in other languages."""
    say = sentences("US")
    return Note(" ".join(say.say(each.name, **each.values) for each in said), about, short=short, said=said)


def languages() -> tuple[str, ...]:
    """Return the languages that sheets are written in, besides English."""
    return tuple(code for code in available() if not code.startswith("en-") and words(code).written)


@cache
def sentences(terms: str) -> Sentences:
    """Return the sentences for a word table: "US", "UK" or a language; once, to know what lacks."""
    table = words(terms)
    english = _table("en")
    if table.code.startswith("en-"):
        own = english if table.code == "en-US" else {**english, **_table(table.code)}
        return Sentences(table, own, own)
    return Sentences(table, _table(table.code), english)


@cache
def _table(code: str) -> Mapping[str, str]:
    found = files("solver.sentences") / "tables" / f"{code}.toml"
    if not found.is_file():
        return {}
    return {name: str(text) for name, text in tomllib.loads(found.read_text(encoding="utf-8")).items()}
