"""What is wrong with a part file: gathered, and told in plain words by table, key and line."""

from __future__ import annotations

import difflib
import json
import re
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from typing import TYPE_CHECKING, TypeVar, get_args

from pydantic import BaseModel, ValidationError

from solver.errors import InputError, Problem
from solver.partfile.places import Path

if TYPE_CHECKING:
    from pydantic.fields import FieldInfo
    from pydantic_core import ErrorDetails

MOST_TOLD = 50
"""Problems of one file that are told; more come of something that is no part file."""

OF_PARTS = ("shape", "work", "colours", "extras")
"""Tables that each part of a toy has of its own."""

Model = TypeVar("Model", bound=BaseModel)


def nearest(word: str, known: Collection[str]) -> str:
    """Return the known word that `word` was probably meant to be; empty when none is near."""
    by_small_letters = {name.lower(): name for name in known}
    near = difflib.get_close_matches(word.lower(), by_small_letters, n=1)
    return by_small_letters[near[0]] if near else ""


def as_written(value: object) -> str:
    """Return a value of the file much as it was written, shortened."""
    if isinstance(value, bool):
        text = str(value).lower()
    elif isinstance(value, dict):
        text = "a table"
    else:
        try:
            text = json.dumps(value, ensure_ascii=False) if isinstance(value, str) else str(value)
        except ValueError:  # Python writes no whole number of more than 4300 digits
            text = "a number with thousands of digits"
    return text if len(text) <= 60 else f"{text[:57]}..."


class Problems:
    """The problems of one file.

    Parameters
    ----------
    file : str
        Its name, for the messages.
    lines : mapping of path to int
        The line of each table, key and list entry.
    homes : mapping of str to str
        The table that each known key belongs to, to tell where a misplaced one goes.
    within : str
        The table that all tables stand in, as "parts.head."; empty for the file itself.
    """

    def __init__(
        self, file: str, *, lines: Mapping[Path, int], homes: Mapping[str, str], within: str = ""
    ) -> None:
        self._file = file
        self._within = within
        self._lines = lines
        self._homes = homes
        self._found: list[tuple[int, Problem]] = []

    def add(self, problem: Problem, *path: str | int) -> None:
        """Add a problem that stands at a path: table ("" for none), key, place in a list.

        A key that the problem names as its place goes before; it may belong to another table.
        """
        table, *keys = path
        if problem.place:
            table, keys = self._homes.get(problem.place, table), [problem.place]
        whole = self._within.removesuffix(".")
        table = f"{self._within}{table}" if table else whole if whole else ""
        steps = (table, *keys) if table else tuple(keys)
        line = next((self._lines[steps[:n]] for n in range(len(steps), 0, -1) if steps[:n] in self._lines), 0)
        where = [f"[{table}]"] if table else []
        where += [".".join(key for key in keys if isinstance(key, str))] if keys else []
        entry = "point" if keys[:1] == ["points"] else "entry"
        place = " ".join(where) + "".join(f", {entry} {key + 1}" for key in keys[1:2] if isinstance(key, int))
        place += f", line {line}" if line else ""
        told = Problem(problem.rule, problem.got, problem.remedy, place=place, file=self._file)
        self._found.append((line, told))

    def take(self, error: InputError, *, line: int = 0) -> None:
        """Add problems that were told elsewhere, of another file or table, as they are."""
        for problem in error.problems:
            own = re.search(r"line (\d+)", problem.place) if problem.file == self._file else None
            self._found.append((int(own[1]) if own else line, problem))

    @contextmanager
    def of(self, *path: str) -> Iterator[None]:
        """Add the problems that arise within, at a path, and go on."""
        try:
            yield
        except InputError as error:
            for problem in error.problems:
                self.add(problem, *path)

    @contextmanager
    def taken(self) -> Iterator[None]:
        """Add the problems that arise within as they are, and go on."""
        try:
            yield
        except InputError as error:
            self.take(error)

    def checked(self, model: type[Model], values: object, *, table: str) -> Model | None:
        """Return a table's values as its model, or None after adding all that is wrong with them."""
        try:
            return model.model_validate(values)
        except ValidationError as error:
            faults = error.errors(include_url=False)
        unknown = [fault["loc"] for fault in faults if fault["type"] == "extra_forbidden"]
        meant = {(*loc[:-1], nearest(str(loc[-1]), _inside(model, loc).model_fields)) for loc in unknown}
        for fault in faults:
            if fault["type"] == "missing" and fault["loc"] in meant:
                continue  # it is there, written wrongly, and told as unknown
            is_table = not table and isinstance(fault["input"], dict)
            path = fault["loc"] if is_table else (table, *fault["loc"])
            self.add(self._told(fault, model, table=table), *path)
        return None

    def tell(self) -> None:
        """Raise all problems as one error, in the order of the file; do nothing when there are none."""
        if self._found:
            told = [problem for _, problem in sorted(self._found, key=lambda found: found[0])]
            if len(told) > MOST_TOLD:
                rest = f"{len(told) - MOST_TOLD:,} problems more are not told"
                told[MOST_TOLD:] = [Problem(rest, remedy="Put these right first.", file=self._file)]
            raise InputError(*told)

    def _told(self, fault: ErrorDetails, model: type[BaseModel], *, table: str) -> Problem:
        loc = fault["loc"]
        while loc and not isinstance(loc[-1], str):
            loc = loc[:-1]  # an entry of a list is told by the list's meaning
        names = [part for part in loc if isinstance(part, str)]
        fields = _inside(model, loc).model_fields
        if fault["type"] == "told":
            problem = fault["ctx"]["problem"]
            assert isinstance(problem, Problem)
            return problem
        name = names[-1]
        if fault["type"] == "extra_forbidden":
            what = "table" if isinstance(fault["input"], dict) else "key"
            return self._unknown(name, fields, what, table=table)
        meaning = fields[name].description or ""
        if fault["type"] == "missing":
            return Problem(f"{name} is missing", remedy=f"It is {meaning}.")
        near = fault.get("ctx", {}).get("near")
        remedy = f'Did you mean "{near}"?' if near else ""
        return Problem(f"{name} is {meaning}", got=as_written(fault["input"]), remedy=remedy)

    def _unknown(self, name: str, fields: Mapping[str, FieldInfo], what: str, *, table: str) -> Problem:
        home = self._homes.get(name)
        if name in OF_PARTS and "parts" in fields:
            remedy = f"It is of one part: [parts.body.{name}]."
        elif name in OF_PARTS and "gauge" in fields:
            remedy = "It is of a part, and a gauge file holds [gauge], [stuffing] and [yarn] alone."
        elif home and home != table:
            remedy = f"It belongs in [{self._within}{home}]."
        elif home:
            known = ", ".join(fields)
            remedy = f"It is of another kind of part. Leave it out; known here: {known}."
        elif near := nearest(name, {*fields, *self._homes}):
            here = near in fields
            remedy = f'Did you mean "{near}"{"" if here else f", in [{self._homes[near]}]"}?'
        else:
            remedy = f"Known here: {', '.join(fields)}."
        return Problem(f'"{name}" is not a {what} that is known here', remedy=remedy)


def _inside(model: type[BaseModel], loc: tuple[str | int, ...]) -> type[BaseModel]:
    """Return the model that holds the last key of a place within `model`."""
    for part in loc[:-1]:
        annotation = model.model_fields[part].annotation if isinstance(part, str) else None
        model = next(_models(annotation), model)
    return model


def _models(annotation: object) -> Iterator[type[BaseModel]]:
    """Yield the models in an annotation, however deep: those of a list's entries, too."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        yield from _models(inner)
