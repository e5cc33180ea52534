"""A sheet as PDF, set by a typesetting library, with all that reading voices need (PDF/UA-1)."""

from __future__ import annotations

import json
import re
import shutil
import tempfile
from collections.abc import Sequence
from importlib.resources import files
from importlib.util import find_spec
from itertools import pairwise
from pathlib import Path
from typing import Any

from solver.errors import InputError, Problem, shown
from solver.notation.linebreaks import bound
from solver.notation.words import words
from solver.sentences.say import sentences
from solver.sheet.model import Block, Form, Grid, Heading, Picture, Points, Room, Sheet, Steps, Words

SIZE, LARGE = 11.0, 24.0
"""Of letters. [pt]"""

FONTS = ("DejaVu Sans", "Droid Sans Fallback", "Noto Sans CJK JP")
"""Upright, even, clear for low vision; the others for letters that it lacks, where this computer has them."""

_LONGEST_WORD = 24
_SHORT, _SHORT_LARGE = 22, 22
"""Letters of an instruction that is not broken; in a large copy."""

_RUNNING = 60
"""Letters of the title in the header."""

_PRINTED = "the sheet's template makes a PDF that reading voices can read (PDF/UA-1)"


def as_pdf(sheet: Sheet, *, template: Path | None = None, by: str = "") -> bytes:
    """Return a sheet as PDF/UA-1.

    Parameters
    ----------
    sheet : Sheet
    template : Path, optional
        A template of the designer's own; left out: ours.
    by : str
        The author, for the file's properties.

    Raises
    ------
    InputError
        If her template can't be set, or breaks what PDF/UA-1 asks.
    """
    import typst

    with tempfile.TemporaryDirectory(prefix="plumpline-") as name:
        folder = Path(name)
        names = _names(sheet.copy.terms)
        most = _SHORT_LARGE if sheet.copy.large else _SHORT
        blocks = [
            _data(block, number, folder, names=names, most=most) for number, block in enumerate(sheet.blocks)
        ]
        for here, after in pairwise(blocks):
            if here and here["kind"] == "picture":  # it stays with the words on how to read it
                here["keep"] = bool(after and after["kind"] in ("points", "steps"))
        data = {**_page(sheet), "by": by or (), "blocks": [block for block in blocks if block]}
        (folder / "data.json").write_text(json.dumps(data, ensure_ascii=False), encoding="utf-8")
        source = folder / "sheet.typ"
        if template:
            try:
                shutil.copyfile(template, source)
            except OSError as error:
                rule, remedy = "the template can be read", "Copy solver/sheet/sheet.typ there and change it."
                got = error.strerror or "it can't be opened"
                raise InputError(Problem(rule, got=got, remedy=remedy, file=str(template))) from None
        else:
            source.write_text(
                (files("solver.sheet") / "sheet.typ").read_text(encoding="utf-8"), encoding="utf-8"
            )
        try:
            pdf = typst.compile(
                str(source),
                root=str(folder),
                font_paths=[str(path) for path in _fonts()],
                format="pdf",
                pdf_standards=["ua-1"],
            )
        except typst.TypstError as error:
            remedy = "Compare your template with solver/sheet/sheet.typ." if template else ""
            got = shown(" ".join(str(error).split()), 300)
            where = str(template) if template else ""
            raise InputError(Problem(_PRINTED, got=got, remedy=remedy, file=where)) from None
    return bytes(pdf)


def _fonts() -> list[Path]:
    """Return the folder of the fonts that come with the library of pictures, without loading it."""
    spec = find_spec("matplotlib")
    if not spec or not spec.submodule_search_locations:
        return []
    return [Path(place) / "mpl-data" / "fonts" / "ttf" for place in spec.submodule_search_locations]


def _page(sheet: Sheet) -> dict[str, Any]:
    copy = sheet.copy
    language, _, region = sheet.language.partition("-")
    title = _breakable(" ".join(sheet.title.split()))
    return {
        "title": title,
        "description": sheet.language,
        "running": title if len(title) <= _RUNNING else f"{title[: _RUNNING - 4]} ...",
        "page": sentences(copy.terms).say("page", n="{n}", all="{all}"),
        "lang": language,
        "region": region or None,
        "paper": {"a4": "a4", "letter": "us-letter"}[copy.paper],
        "large": copy.large,
        "size": LARGE if copy.large else SIZE,
        "side": 42.0 if copy.tester and not copy.large else 20.0,
        "fonts": list(FONTS),
    }


def _data(
    block: Block, number: int, folder: Path, *, names: Sequence[str], most: int
) -> dict[str, Any] | None:
    """Return a block as plain data; its picture is put into the folder."""
    match block:
        case Heading(level=1):
            return {"kind": "title"}
        case Heading(text, level):
            return {"kind": "heading", "level": level - 1, "text": _breakable(text)}
        case Words(text):
            return {"kind": "words", "text": _breakable(text)}
        case Points(items):
            return {"kind": "points", "items": [_breakable(item) for item in items]}
        case Picture(data, kind, words, width, tall):
            (folder / f"{number}.{kind}").write_bytes(data)
            return {
                "kind": "picture",
                "file": f"{number}.{kind}",
                "words": words,
                "width": width,
                "tall": tall,
            }
        case Grid(head, rows):
            return {
                "kind": "grid",
                "head": head,
                "rows": [[_breakable(cell) for cell in row] for row in rows],
            }
        case Steps(steps=steps):
            return {
                "kind": "steps",
                "steps": [
                    {
                        "text": _in_pieces(step.text, names, most)
                        if step.first
                        else _breakable(_counted(step.text, names)),
                        "boxes": step.boxes,
                    }
                    for step in steps
                ],
            }
        case Room(question, lines):
            return {"kind": "room", "question": _breakable(question), "lines": lines}
        case Form():
            return None


def _names(terms: str) -> tuple[str, ...]:
    """Return the names of several words that rounds are written with."""
    forms = {form for word in words(terms).word.values() for form in (word.short, word.one, word.many)}
    return tuple(sorted((form for form in forms if " " in form), key=len, reverse=True))


def _in_pieces(text: str, names: Sequence[str], most: int) -> str:
    """Return a round that breaks between instructions; a long one never beside a number or inside a name."""

    def whole(match: re.Match[str]) -> str:
        piece = match[0]
        wide = len(_CJK.findall(piece))  # such letters are twice as wide as others
        if len(piece) + wide <= most:
            return piece.replace(" ", "\N{NO-BREAK SPACE}")
        for name in names:
            piece = piece.replace(name, name.replace(" ", "\N{NO-BREAK SPACE}"))
        # a line that ends with a number and a stitch would look as if it told the count
        if wide:
            piece = re.sub(r" (?=\S+ )", "\N{NO-BREAK SPACE}", piece)
        else:
            piece = re.sub(r"(\d) ([^ ]+) ", "\\1\N{NO-BREAK SPACE}\\2\N{NO-BREAK SPACE}", piece)
        return re.sub(r" (?=\(?\d|[A-ZÄÖÜ])|(?<=\d) ", "\N{NO-BREAK SPACE}", piece)

    text = re.sub(r"(?<=[,:] )[^,:]+|^[^,:]+", whole, text)
    text = re.sub(r"(?<=\w)-(?=[^\W\d])", "-\N{WORD JOINER}", text)  # a name of two words: hStb-Zun
    return _CJK.sub("\\g<0>\N{WORD JOINER}", text)


#: A letter of a script without spaces, before another: a line would end in the midst of a word there.
_CJK = re.compile(r"[\u3040-\u30ff\u4e00-\u9fff](?=[\u3040-\u30ff\u4e00-\u9fff\uff08])")


_COUNT = re.compile(r"\d \w{1,14}(?: \w{1,10}\b)?")
_LIKE_A_ROUND = re.compile(
    r"(?:\w+\s\w{1,4}|\w+)\s(?:rounds?|Runden?|Reihen?|rangs?|rangées?|vueltas?|hileras?|carreiras?|fileiras?|toer(?:en)?"
    r"|rij(?:en)?|ряд\w*)\s\d+(?:\s(?:and|und|et|y|e|en|и|bis|à|a)\s\d+)?"
)
"""A round with its number in a sentence, and the words before it, in any language."""
_A_NUMBER = re.compile(r"(?<=[^\W\d]) (?=\d)|(?<=\d) (?=[\u3040-\u30ff\u4e00-\u9fff])")
"""Where no line of a sentence is broken: before a number, and behind it in a script without spaces."""


def _counted(text: str, names: Sequence[str]) -> str:
    """Return a sentence in which a number and what it counts stand on one line, and no name is broken."""
    for name in names:
        text = text.replace(name, name.replace(" ", "\N{NO-BREAK SPACE}"))
    return bound(text, _COUNT)


def _breakable(text: str) -> str:
    """Return a text whose endless words may be broken."""
    text = re.sub(r"(?<=\d) (?=(?:\d+/\d+|mm|cm|ml|g|in)\b)", "\N{NO-BREAK SPACE}", text)
    text = re.sub(r"(?<=mm) (?=\(\d)|(?<=\d) (?=CFR )", "\N{NO-BREAK SPACE}", text)
    # no line of a sentence begins like a round
    text = _A_NUMBER.sub("\N{NO-BREAK SPACE}", bound(text, _LIKE_A_ROUND))
    return re.sub(rf"(\S{{{_LONGEST_WORD}}})(?=\S)", "\\1\N{ZERO WIDTH SPACE}", text)
