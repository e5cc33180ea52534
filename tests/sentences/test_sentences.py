"""Every language has every sentence with every blank, and none is taken for a round."""

from __future__ import annotations

import re
import string
import tomllib
from functools import cache
from itertools import count
from pathlib import Path

import pytest

from solver.advice.cautions import extra_cautions
from solver.notation.convert import converted
from solver.notation.proof import proof_read
from solver.notation.writer import write_rounds
from solver.rounds import Finish, Start
from solver.rounds.shaping import shaped_piece
from solver.sentences.say import Sentences, languages, sentences
from solver.units import Length
from solver.wanted.supplies import Cord, Extra, Supplies

TABLES = Path(__file__).parents[2] / "solver" / "sentences" / "tables"
LANGUAGES = (*languages(), "US", "UK")
ENGLISH_ONLY = {"yards"}
"""What no other language tells: yarn is sold by the metre."""
FORM = re.compile(r"_(one|few)$")
ALIKE = {"stitches": "stitch", "names": "name"}
"""Blanks of which a language may take the other: "the 12th stitch" for "12 stitches"."""
FREE = {"n", "inches", "weight"}
"""Blanks that a language may leave out, where it counts otherwise or has no such measure."""


@cache
def table(code: str) -> dict[str, str]:
    """Return the sentences of a language as they are written down."""
    return tomllib.loads((TABLES / f"{code}.toml").read_text(encoding="utf-8"))


def blanks(text: str) -> set[str]:
    """Return the names of the blanks of a sentence, words of the word table left out."""
    names = {name for _, name, _, _ in string.Formatter().parse(text) if name and "." not in name}
    return {ALIKE.get(name, name) for name in names} - FREE


@pytest.mark.parametrize("code", languages())
def test_every_language_has_every_sentence(code: str) -> None:
    """The names are those of the English table, but for forms of one and of few; none is English."""
    own, english = table(code), table("en")
    names = {name for name in english if not FORM.search(name)} - ENGLISH_ONLY
    assert not names - own.keys()
    assert not {FORM.sub("", name) for name in own} - english.keys()
    words = [name for name in names if re.search(r"[a-z]{4}", re.sub(r"\{[^}]*\}", "", english[name]))]
    assert not [name for name in words if len(english[name].split()) > 2 and own[name] == english[name]]


@pytest.mark.parametrize("code", languages())
def test_every_sentence_has_its_blanks(code: str) -> None:
    """What English fills in, each language does."""
    for name, text in table(code).items():
        assert blanks(text) == blanks(table("en")[name if name in table("en") else FORM.sub("", name)]), name


@pytest.mark.parametrize("code", languages())
def test_standards_are_named_alike(code: str) -> None:
    """Each caution has the sections and numbers of the English one, and none says that a toy is safe."""
    for name, text in table("en").items():
        if name.startswith("caution") and name in table(code):
            told = [re.findall(r"\d+(?:\.\d+)*(?:\(\w+\))*", each) for each in (text, table(code)[name])]
            assert sorted(told[0]) == sorted(told[1]), name
            assert ("EN 71-1" in text) == ("EN 71-1" in table(code)[name])
            assert ("ASTM F963" in text) == ("ASTM F963" in table(code)[name])


def filled(say: Sentences, name: str) -> str:
    """Return a sentence with numbers and names in its blanks. Invented."""
    numbers = count(12)
    texts = {
        **dict.fromkeys(("part", "on"), "the_part"),
        **dict.fromkeys(("stitches", "half", "off", "across", "apart"), "stitches"),
        **{"front": "front_left", "where": "where_front", "between": "between_ends", "which": "which_left"},
        **{"told": "middle_covers", "what": "eyes", "along": "along_chains", "back": "back_chains"},
        **{"way": "way_up", "pins": "pin_stitch", "one": "side_left", "other": "side_right"},
        "cord": "cord_itself",
    }
    lengths = {"size", "length", "least", "greatest", "height", "width", "depth", "wide", "tall"}
    values: dict[str, object] = {}
    template = say.own[name]
    if name == "fix_eyes" or name == "fix_noses":
        texts.pop("other")
    for blank in {field for _, field, _, _ in string.Formatter().parse(template) if field}:
        if "." in blank:
            continue
        if name.startswith("gauge_text"):
            values[blank] = next(numbers)
        elif blank in texts:
            values[blank] = filled(say, texts[blank])
        elif blank in ("name", "names", "parts"):
            values[blank] = "Bug"
        elif blank in lengths and not (blank == "wide" and name.startswith("caution")):
            values[blank] = Length(40.0)
        elif blank == "symbols":
            values[blank] = filled(say, "symbol_sc")
        elif blank in ("counts", "sizes", "inches"):
            values[blank] = {"counts": "6, 12, 18", "sizes": "40 mm", "inches": "1 in"}[blank]
        else:
            values[blank] = next(numbers)
    return say.say(name, **values)


FRAGMENTS = ("symbol_", "pin_", "between_", "where_", "way_", "length_", "along_", "back_")
"""Names of what never stands by itself."""
AT_ONCE = 20
"""Sentences on one page: more than a part's sheet has beside as few rounds would hide them."""


@pytest.mark.parametrize("terms", LANGUAGES)
def test_no_sentence_is_taken_for_a_round(terms: str) -> None:
    """Rounds with sentences behind them read as the rounds alone, without an accusation."""
    say = sentences(terms)
    piece = shaped_piece([6, 12, 18, 18, 12, 6], start=Start.RING, finish=Finish.CINCHED)
    rounds = [line.text for line in write_rounds(piece, terms=terms)]
    told = [
        text for name in say.own if not name.startswith(FRAGMENTS) and len(text := filled(say, name)) > 12
    ]
    for first in range(0, len(told), AT_ONCE):
        page = "\n".join([*rounds, "", *told[first : first + AT_ONCE]])
        proof = proof_read(page)
        assert not [(line.text, problem.message) for line in proof.lines for problem in line.problems]
        read = [each.piece for each in converted(proof)]
        assert [each.rounds if each else None for each in read] == [piece.rounds], page


def test_cautions_are_told_in_other_languages() -> None:
    """What a caution says is there by its name: sizes, things and standards in the language asked for."""
    supplies = Supplies(
        extras=(Extra(name="nose", diameter=8.5, height=3.0),), cords=(Cord(name="Leine", length=300.0),)
    )
    german = [sentences("de").tell(caution) for caution in extra_cautions(supplies)]
    assert german[0].startswith("Nase, 8,5 mm Durchmesser")
    assert "„Leine“, 300 mm lang" in german[1]
    assert all("EN 71-1" in each for each in german)


@pytest.mark.parametrize(
    ("number", "told"), [(1, "1 петля"), (2, "2 петли"), (5, "5 петель"), (11, "11 петель"),
                         (12, "12 петель"), (21, "21 петля"), (22, "22 петли"), (2.5, "2,5 петли")]
)  # fmt: skip
def test_numbers_agree(number: float, told: str) -> None:
    """Russian counts one, few and many (CLDR's plural rules), fractions as few."""
    assert sentences("ru").counted("stitches", number) == told
