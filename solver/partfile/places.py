"""On which line of a TOML text each table, key and list entry stands."""

from __future__ import annotations

import re
from collections.abc import Mapping

Path = tuple[str | int, ...]

_TOKEN = re.compile(
    r"""(?P<newline>\n)
      | (?P<skip>[^\S\n]+|\#[^\n]*)
      | (?P<string>\"{3}(?:\\.|[^\\])*?\"{3,5} | '{3}.*?'{3,5} | "(?:\\.|[^"\\\n])*" | '[^'\n]*')
      | (?P<mark>[\[\]{},=.])
      | (?P<bare>[^\s\[\]{},=.\#"']+)""",
    re.VERBOSE | re.DOTALL,
)


def line_numbers(text: str) -> Mapping[Path, int]:
    """Return the line, from 1, of each table, of each key, and of each list within a key's list.

    Parameters
    ----------
    text : str
        Valid TOML. Keys of tables within a line are left out: they stand where their table does. Of a table
        given several times, `[[name]]`, each has its number from 0 behind its name.

    Returns
    -------
    mapping of path to int
        A path is the table's name, the key, and the place in its list: `("shape", "points", 3)`.
    """
    found: dict[Path, int] = {}
    last: dict[Path, int] = {}
    table: Path = ()
    key: list[str] = []
    line, depth, entry, state = 1, 0, 0, "key"
    for token in _TOKEN.finditer(text):
        kind, mark = token.lastgroup, token[0]
        if state == "key" and kind in ("bare", "string"):
            key.append(mark.strip("\"'"))
        elif state == "key" and mark == "[":
            state = "header"
        elif state == "key" and mark == "=":
            found.setdefault((*table, *key), line)
            depth, entry, state = 0, 0, "value"
        elif state == "header" and kind in ("bare", "string"):
            key.append(mark.strip("\"'"))
        elif state == "header" and mark == "]":
            is_listed = text[token.end() : token.end() + 1] == "]"  # a list of tables: [[name]]
            table, state = _numbered(key, last, again=is_listed), "value"
            found.setdefault(table, line)
            if is_listed:
                found.setdefault(table[:-1], line)
            depth = 1 if is_listed else 0
        elif state == "value" and kind == "mark":
            if mark in "[{":
                if depth == 1:
                    found.setdefault((*table, *key, entry), line)
                depth += 1
            elif mark in "]}":
                depth -= 1
            elif mark == "," and depth == 1:
                entry += 1
        elif kind == "newline" and depth == 0:
            key, state = [], "key"
        line += mark.count("\n")
    return found


def _numbered(names: list[str], last: dict[Path, int], *, again: bool) -> Path:
    """Return the path of a table, with the number of each table on it that is one of a list.

    `last` holds the number of the last table of each list so far; `again`: it begins the next of its list.
    """
    path: Path = ()
    for step, name in enumerate(names, start=1):
        path = (*path, name)
        if again and step == len(names):
            last[path] = last.get(path, -1) + 1
        if path in last:
            path = (*path, last[path])
    return path
