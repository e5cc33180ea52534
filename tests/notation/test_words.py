"""The word tables: what they must hold, and what a damaged one says."""

from __future__ import annotations

import pytest

from solver.errors import InputError
from solver.notation import words as module
from solver.notation.words import available, words


@pytest.mark.parametrize(
    ("us", "uk"),
    [
        ("chain", "chain"),
        ("slip stitch", "slip stitch"),
        ("single crochet", "double crochet"),
        ("half double crochet", "half treble crochet"),
        ("double crochet", "treble crochet"),
        ("treble crochet", "double treble crochet"),
        ("gauge", "tension"),
        ("skip", "miss"),
        ("yarn over", "yarn round hook"),
    ],
)
def test_us_and_uk_names_pair_as_in_the_trade_s_table(us: str, uk: str) -> None:
    """US and UK names pair as in the Craft Yarn Council's conversion chart (seen in reprints)."""
    notion = next(notion for notion, word in words("US").word.items() if word.one == us)
    assert words("UK")[notion].one == uk


@pytest.mark.parametrize("code", available())
def test_no_spelling_stands_for_two_stitches(code: str) -> None:
    """Within one set of terms a spelling names at most one stitch."""
    stitches = ["chain", "slip", "sc", "hdc", "dc", "tr", "dtr", "inc", "inc3", "dec", "dec3", "stitch"]
    spellings = [spelling for notion in stitches for spelling in words(code)[notion].spellings]
    assert sorted(set(spellings)) == sorted(spellings)


@pytest.mark.parametrize("code", available())
def test_telltale_words_are_not_words_of_another_english_table_s_own(code: str) -> None:
    """A word that gives away one set of terms is never the preferred word of the other."""
    others = [words(other) for other in available() if other != code and other[:2] == code[:2]]
    theirs = {form for other in others for word in other.word.values() for form in (word.short, word.one)}
    assert not theirs & set(words(code).telltale)


def test_a_table_goes_by_its_terms_or_by_its_name() -> None:
    """`words("UK")` and `words("en-UK")` are the same table."""
    assert words("UK") == words("en-UK")


def test_unknown_terms_are_told_with_the_known_ones() -> None:
    """Terms without a table are an input error that lists what there is."""
    with pytest.raises(InputError, match=r"word table \(got Klingon\)\. Known: .*UK, US"):
        words("Klingon")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("name = ", "written in TOML"),
        ('colour = "red"', "no such part .*colour"),
        ('word.sc = "sc"', r"word\.sc: a word is a table with its forms"),
        ('like = "yy"', r"like one that is there .*\(got yy\)"),
        ('like = "xx"', r"whole in itself \(got xx\)"),
        ('[word.sc]\nshort = 1\none = "b"\nmany = "c"', r'a word has "short", between quotes \(got 1\)'),
        ('[word.sc]\nshort = "sc"\none = "single crochet"', r'xx\.toml: word\.sc: a word has "many"'),
        ('[word.sc]\nshort = "a"\none = "b"\nmany = "c"\nplural = "d"', r"of this name \(got plural\)"),
    ],
)
def test_a_damaged_table_says_what_is_wrong_and_where(
    text: str, message: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A table that can't be used is an input error naming file and place, never a traceback."""
    monkeypatch.setattr(module, "_tables", lambda: {"xx": _File(text)})
    with pytest.raises(InputError, match=message):
        words.__wrapped__("xx")


def test_a_blank_that_nothing_fills_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """A sentence with an unknown blank is an input error that names the sentence."""
    monkeypatch.setattr(module, "_tables", lambda: {"xx": _File('[terse]\nround = "{nonsense}"')})
    table = words.__wrapped__("xx")
    with pytest.raises(InputError, match=r"terse\.round.*\{nonsense\}"):
        table.say("terse", "round", n=1)
    with pytest.raises(InputError, match=r"terse\.range: the table has this sentence"):
        table.say("terse", "range")
    with pytest.raises(InputError, match=r"word\.sc: the table has this word"):
        _ = table["sc"]


class _File:
    def __init__(self, text: str) -> None:
        self.text = text

    def read_text(self, encoding: str) -> str:
        return self.text
