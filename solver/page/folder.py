"""The opened folder: its part files by their plain names, read and written with a stamp of what they held."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from pathlib import Path

from solver.errors import InputError, Problem
from solver.files.inputs import kept_whole
from solver.files.outfile import replacing, together
from solver.partfile.source import MOST_BYTES, text_of

MOST_FILES = 200
"""Files of a folder that are shown."""

_NAME = re.compile(r"[^\W_][\w .()'-]{0,90}\.toml")


class ChangedError(Exception):
    """A file is not as it was when it was read: nothing was written.

    Parameters
    ----------
    name : str
    stamp : str
        Of what it holds now; empty where it is gone.
    """

    def __init__(self, name: str, stamp: str) -> None:
        self.name, self.stamp = name, stamp
        super().__init__(name)


@dataclass(frozen=True, slots=True)
class Opened:
    """A folder, or one file of it.

    Attributes
    ----------
    folder : Path
    first : str
        Name of the file that was asked for; empty for the folder as a whole.
    """

    folder: Path
    first: str = ""

    @classmethod
    def at(cls, path: Path) -> Opened:
        """Return what a path on the command line opens.

        Raises
        ------
        InputError
            If it is not there, or no part file.
        """
        if path.is_dir():
            return cls(path.resolve())
        text_of(path)
        if not _NAME.fullmatch(path.name):
            rule = "a file to draw on ends in .toml, its name made of letters, digits, spaces and - _ . ' ( )"
            raise InputError(Problem(rule, got=path.name, remedy="Give it another name.", file=str(path)))
        return cls(path.parent.resolve(), path.name)

    def names(self) -> list[str]:
        """Return the names of the files in it."""
        found = (path for path in self.folder.glob("*.toml") if _NAME.fullmatch(path.name))
        return sorted(path.name for path in found if path.is_file() and self._inside(path))[:MOST_FILES]

    def path_of(self, name: str) -> Path:
        """Return the path of a file by its plain name, whether it is there or not.

        Raises
        ------
        InputError
            If the name is none, or leads outside.
        """
        path = self.folder / name if _NAME.fullmatch(name) else None
        if path is None or not self._inside(path):
            rule = "a file's name is made of letters, digits, spaces and - _ . ' ( ), and ends in .toml"
            raise InputError(Problem(rule, got=name, remedy="Choose another name."))
        return path

    def _inside(self, path: Path) -> bool:
        try:
            return path.resolve().parent == self.folder
        except (OSError, RuntimeError):
            return False

    def read(self, name: str) -> tuple[str, str]:
        """Return the text of a file, and its stamp.

        Raises
        ------
        InputError
            If it can't be read.
        """
        text = text_of(self.path_of(name))
        return text, stamp_of(text)

    def stamp(self, name: str) -> str:
        """Return the stamp of what a file holds now; empty where it is gone or can't be read."""
        path = self.path_of(name)
        try:
            return stamp_of(text_of(path))
        except InputError:
            return ""

    def write(self, name: str, text: str, *, stamp: str) -> str:
        """Write a file, and return its stamp.

        Parameters
        ----------
        name, text : str
        stamp : str
            Of what it held when it was read; empty for a new one.

        Raises
        ------
        ChangedError
            If it is not as it was.
        InputError
            If it can't be written.
        """
        path = self.path_of(name)
        now = self.stamp(name)
        if now != stamp or (not stamp and path.exists()):
            raise ChangedError(name, now)
        if len(text.encode()) > MOST_BYTES:
            raise InputError(Problem(f"a part file has at most {MOST_BYTES // 1000} kB", file=name))
        with kept_whole(), together(), replacing(path) as temporary:  # what was read is hers to write over
            temporary.write_bytes(text.encode())
        return stamp_of(text)


def stamp_of(text: str) -> str:
    """Return what tells one text from another."""
    return hashlib.sha256(text.encode()).hexdigest()[:32]
