"""From a file to its text, and from the text to its tables."""

from __future__ import annotations

import re
import tomllib
from enum import StrEnum
from pathlib import Path
from typing import Any

from solver.errors import InputError, Problem
from solver.files.inputs import note_input

MOST_BYTES = 200_000
"""Size of a part file; one with as many points as an outline may have takes a quarter of it."""

_HOW = 'Each line is: key = value. Text, and lengths with a unit, stand in straight quotes: width = "6 cm".'


def text_of(path: Path) -> str:
    """Return the text of a part file.

    Raises
    ------
    InputError
        If it is missing, no ordinary file, too large, can't be opened, or holds no text.
    """
    got, remedy = "", "Check the name and the folder."
    try:
        if path.is_dir():
            rule = "a part file is a file, and this is a folder"
        elif not path.exists():
            rule = "there is no such file"
        elif not path.is_file():
            rule = "a part file is an ordinary file"
        else:
            note_input(path)
            with path.open("rb") as file:
                return _decoded(file.read(MOST_BYTES + 1))
    except OSError as error:
        rule, got = "the file can't be opened", error.strerror or str(error)
    except ValueError as error:
        rule, remedy = str(error), "Save it as plain text (UTF-8) with a text editor."
    raise InputError(Problem(rule, got=got, remedy=remedy, file=str(path)))


def _decoded(content: bytes) -> str:
    if len(content) > MOST_BYTES:
        message = f"a part file has at most {MOST_BYTES // 1000} kB"
        raise ValueError(message)
    if b"\0" in content:
        message = (
            "a part file is text, and this is a picture (which plumpline trace reads) or another binary file"
        )
        raise ValueError(message)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        message = "a part file is text in the encoding UTF-8"
        raise ValueError(message) from None


def tables_of(text: str, *, file: str) -> dict[str, Any]:
    """Return the tables of a TOML text.

    Parameters
    ----------
    text : str
        TOML 1.0.
    file : str
        Its name, for the messages.

    Raises
    ------
    InputError
        If it breaks the rules of TOML: with the line, and the likely reason.
    """
    if other := _other_file(text):
        raise InputError(Problem("a part file is text, table by table", remedy=other, file=file))
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
    except RecursionError:
        message = "brackets stand too deep in each other"
    except ValueError:  # a whole number with thousands of digits
        message = "a number has too many digits"
    lines = text.rstrip().split("\n")
    at = re.search(r"\(at line (\d+)", message)
    line = int(at[1]) if at else len(lines) if "end of document" in message else 0
    written = lines[line - 1].strip() if line else ""
    rule, remedy = f"this can't be read as TOML: {message.partition(' (at ')[0].lower()}", _HOW
    if "overwrite" in message or "twice" in message or "uplicate" in message:
        rule, remedy = "each key and each table is given once", "Leave one of them out."
    elif re.search("[“”„‘’]", written):
        remedy = "Use straight quotes, not curly ones."
    got = written if len(written) <= 60 else f"{written[:57]}..."
    place = f"line {line}" if line else ""
    raise InputError(Problem(rule, got=got, remedy=remedy, place=place, file=file))


def _other_file(text: str) -> str:
    """Return what reads a text that is no part file; empty where nothing else does."""
    if re.match(r"\s*<(\?xml|svg|!DOCTYPE svg)\b", text):
        return (
            "This is a drawing: plumpline trace reads the shape of a part in it, plumpline toy a whole toy."
        )
    if re.search(r"(?m)^\s*\[", text) is None and re.search(r"(?mi)^\W*(rnd|round|row)s?\.? ?\d", text):
        return "These are written rounds: plumpline proof reads them, preview and chart draw them."
    return ""


class FileKind(StrEnum):
    """What a file of tables is about, as a message names it."""

    TOY = "a toy file"
    PART = "a part file"
    GAUGE = "a gauge file"


_TABLES = {FileKind.TOY: "parts", FileKind.PART: "shape", FileKind.GAUGE: "gauge"}
"""The table that tells each, the surest first."""


def kind_at(path: Path) -> FileKind | None:
    """Return what is kept at a name; None for nothing, or for what is none of ours.

    The file is only looked at: it does not count as one that a command works from.
    """
    try:
        with path.open("rb") as file:
            text = file.read(MOST_BYTES).decode("utf-8-sig", errors="replace")
    except (OSError, ValueError):
        return None
    for kind, table in _TABLES.items():
        if re.search(rf"^\s*\[*\s*\"?{table}\"?\s*[.=\]]", text, re.MULTILINE):
            return kind
    return None


def is_toy(file: Path) -> bool:
    """Return whether a file describes a toy: it has tables of parts."""
    try:
        return bool(re.search(r"^\s*\[\s*parts\s*\.", text_of(file), re.MULTILINE))
    except InputError:
        return False
