"""Sheets of a draft, written by the command that writes them for a file."""

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
from solver.page.drafts import confined
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
        if options.get("language"):
            command += ["--language", str(options["language"])]
        elif options.get("spelled"):
            command += ["--spelled"]
        command += ["--paper", "letter" if options.get("inches") else "a4"]
        ended = subprocess.run(
            [sys.executable, "-m", "solver", *command],
            env={**os.environ, "PYTHONPATH": str(Path(solver.__file__).parents[1])},
            capture_output=True,
            text=True,
            timeout=MOST_SECONDS,
        )
        if ended.returncode or not out.is_file():
            told = ended.stderr.replace(f"{folder}{os.sep}", "").strip().rstrip(".")
            raise InputError(Problem(f"no sheet could be made: {told}"))
        return out.read_bytes()


def _brought(draft: Draft, folder: Path) -> None:
    """Copy the files that a draft names beside it; they lie in the opened folder."""
    confined(draft["tables"], Path(draft["folder"]))
    shape = draft["tables"].get("shape", {})
    for name in (draft["tables"].get("gauge"), shape.get("file"), shape.get("plan")):
        source = Path(draft["folder"]) / name if isinstance(name, str) else None
        if source and source.is_file():
            target = folder / source.relative_to(draft["folder"])
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(source, target)
