"""Files that we write: whole or not at all, and by the extension of their name."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from pathlib import Path

from solver.errors import InputError, Problem


def extension_of(path: Path, known: Collection[str], *, what: str) -> str:
    """Return the extension of a file to write, in small letters and with its dot.

    Parameters
    ----------
    path : Path
        Where the file shall go.
    known : collection of str
        The extensions that work, each with its dot.
    what : str
        What is written, for the message ("a picture").

    Raises
    ------
    InputError
        If the extension is none of the known ones.
    """
    extension = path.suffix.lower()
    if extension not in known:
        raise InputError(
            Problem(
                f"{what} is written as {', '.join(known)}",
                got=path.suffix or "no extension",
                remedy="Choose one of these endings for the file's name.",
                file=str(path),
            )
        )
    return extension


@contextmanager
def replacing(path: Path) -> Iterator[Path]:
    """Give a temporary path beside `path` to write to; it takes the place of `path` when all went well.

    The file that was there before is kept whole until then, and nothing is left over when writing fails.

    Yields
    ------
    Path
        A path in the same folder with the same extension, so that writers which go by the extension work.

    Raises
    ------
    InputError
        If the folder is missing, or the place can't be written to.
    """
    if path.is_dir():
        raise InputError(
            Problem("a file is written to a name, not to a folder", remedy="Add a name.", file=str(path))
        )
    temporary = path.with_name(f".{path.stem}-{os.getpid()}{path.suffix}")
    try:
        yield temporary
        os.replace(temporary, path)
    except OSError as error:
        raise InputError(
            Problem(
                "the place of a file must be there and open to writing",
                got=error.strerror or str(error),
                remedy="Make the folder first, or choose another one.",
                file=str(path),
            )
        ) from error
    finally:
        temporary.unlink(missing_ok=True)
