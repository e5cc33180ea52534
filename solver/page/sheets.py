"""Sheets of a draft, and all files of a whole toy, written by the commands that write them for a file."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import solver
from solver.errors import InputError, Problem
from solver.page.drafts import confined, plain_tables
from solver.page.jobs import Draft, part_of, text_of_draft, with_any_shape

MOST_SECONDS = 100.0


def sheet_of(draft: Draft, ending: str, options: dict[str, Any]) -> bytes:
    """Return the sheet of a draft, or of somebody's rounds at its gauge.

    Parameters
    ----------
    draft : dict
    ending : str
        ".pdf", ".html" or ".txt".
    options : dict
        `written`, `language`, `spelled`; `inches` for the paper of those who measure so.

    Raises
    ------
    InputError
        If the command tells what is wrong.
    """
    written = str(options.get("written", ""))
    if "shape" not in draft["tables"]:
        title = draft["tables"].get("title")
        draft = with_any_shape(draft)
        draft["tables"].update({"title": title} if title else {})
    part_of(draft)
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        file, out = folder / "part.toml", folder / f"sheet{ending}"
        file.write_text(text_of_draft(draft), encoding="utf-8")
        _brought(draft, folder)
        command = ["sheet", str(file), "--out", str(out)]
        if written.strip():
            (folder / "rounds.txt").write_text(written, encoding="utf-8")
            command += ["--from", str(folder / "rounds.txt")]
        return _made([*command, *_wished(options)], folder, out)


TOY_FILES = {
    "sheet": ("sheet", (".pdf", ".html", ".txt")),
    "stuffed": ("preview", (".png", ".svg", ".pdf")),
    "turning": ("preview", (".html",)),
    "mesh": ("preview", (".stl", ".obj", ".ply", ".glb")),
}
"""What a whole toy can be kept as: the command that makes it, and its endings."""


def of_toy(draft: Draft, what: str, ending: str, options: dict[str, Any]) -> bytes:
    """Return a file of a whole toy.

    Parameters
    ----------
    draft : dict
    what, ending : str
        One of `TOY_FILES`.
    options : dict
        As for `sheet_of`.

    Raises
    ------
    InputError
        If a toy is not kept like that, or the command tells what is wrong.
    """
    from solver.page.toys import toy_of

    command, endings = TOY_FILES.get(what, ("", ()))
    if ending not in endings:
        raise InputError(Problem("a whole toy is kept as a sheet, a picture, a page or a mesh", got=what))
    toy_of(draft)
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        file, out = folder / "toy.toml", folder / f"kept{ending}"
        _brought(draft, folder)
        for table in draft["tables"]["parts"].values():
            _brought({**draft, "tables": table}, folder)
        title = {"title": _title(draft), **draft["tables"]}
        file.write_text(text_of_draft({**draft, "tables": title}), encoding="utf-8")
        wished = _wished(options) if command == "sheet" else ()
        return _made([command, str(file), "--out", str(out), *wished], folder, out)


def _title(draft: Draft) -> str:
    """Return what a toy without a title is called: as its file is."""
    return Path(draft["name"] or "toy.toml").stem.replace("-", " ").capitalize()


def _wished(options: dict[str, Any]) -> list[str]:
    """Return the options of the command that writes sheets."""
    told = ["--paper", "letter" if options.get("inches") else "a4"]
    if options.get("language"):
        told += ["--language", str(options["language"])]
    elif options.get("spelled"):
        told += ["--spelled"]
    return told


def _made(command: list[str], folder: Path, out: Path) -> bytes:
    """Run a command and return the file that it makes."""
    ended = subprocess.run(
        [sys.executable, "-m", "solver", *command],
        env={**os.environ, "PYTHONPATH": str(Path(solver.__file__).parents[1])},
        capture_output=True,
        text=True,
        timeout=MOST_SECONDS,
    )
    if ended.returncode or not out.is_file():
        told = ended.stderr.replace(f"{folder}{os.sep}", "").strip().rstrip(".")
        raise InputError(Problem(f"no file could be made: {told}"))
    return out.read_bytes()


def _brought(draft: Draft, folder: Path) -> None:
    """Copy the files that a draft names beside it, and those that they name; all lie in the opened folder."""
    from solver.partfile.source import text_of

    tables = draft["tables"]
    confined(tables, Path(draft["folder"]))
    shape = tables.get("shape", {})
    for name in (tables.get("gauge"), tables.get("file"), shape.get("file"), shape.get("plan")):
        source = Path(draft["folder"]) / name if isinstance(name, str) else None
        if not (source and source.is_file()):
            continue
        target = folder / source.relative_to(draft["folder"])
        if target.exists():
            continue
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(source, target)
        if name == tables.get("file"):
            _brought({**draft, "tables": plain_tables(text_of(source), file=str(name))}, folder)
