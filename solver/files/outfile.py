"""Files that we write: whole or not at all, and by the extension of their name."""

from __future__ import annotations

import errno
import os
import stat
import threading
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path

from solver.errors import InputError, Problem
from solver.files.inputs import is_input

_WRITABLE = stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH
_CHOOSE = "Choose another name."

_under_way: set[Path] = set()
"""Temporary files that are being written."""

_waiting: ContextVar[list[tuple[Path, Path]] | None] = ContextVar("waiting", default=None)
"""Temporary files that are whole, each with its name, until all of them are."""


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


def target_of(path: Path) -> Path:
    """Return the plain file that a name leads to, links followed, whether it is there yet or not.

    Raises
    ------
    InputError
        If there is something else at that name (a folder, a device, a pipe), if it is kept from writing, if
        it is a file that this command reads, or if its folder is missing.
    """
    try:
        target = Path(os.path.realpath(path))
        found = _stat(target)
        if not target.parent.is_dir():
            raise _refused(path, "the folder of a file is there before it", "Make the folder first.")
    except (OSError, ValueError) as error:
        raise _unreachable(path, error) from error
    if found is None:
        return target
    if stat.S_ISDIR(found.st_mode):
        raise _refused(path, "a file is written to a name, not to a folder", "Add a name.")
    if not stat.S_ISREG(found.st_mode):
        raise _refused(path, "only a plain file is written over, no device and no pipe", _CHOOSE)
    if is_input(found):
        raise _refused(path, "a result is not written over a file that it is made from", _CHOOSE)
    if not found.st_mode & _WRITABLE or not os.access(target, os.W_OK):
        remedy = "Allow writing to it, or choose another name."
        raise _refused(path, "a file that is kept from writing is not written over", remedy)
    return target


def _stat(target: Path) -> os.stat_result | None:
    """Return what the system tells of a file; None where there is none. A name too long is an error."""
    try:
        return target.stat()
    except FileNotFoundError:
        return None


@contextmanager
def together() -> Iterator[None]:
    """Let no file that is written inside with `replacing` take its place before all went well: all or none.

    A reader of the standard output that has seen enough (a broken pipe) is no failure.
    """
    waiting: list[tuple[Path, Path]] = []
    token = _waiting.set(waiting)
    try:
        try:
            yield
        except BrokenPipeError:
            _all_put(waiting)
            raise
        _all_put(waiting)
    finally:
        _waiting.reset(token)
        for temporary, _ in waiting:
            _removed(temporary)
            _under_way.discard(temporary)


def _all_put(waiting: list[tuple[Path, Path]]) -> None:
    for temporary, path in waiting:
        _put(temporary, path)


@contextmanager
def replacing(path: Path) -> Iterator[Path]:
    """Give a temporary path beside `path` to write to; it takes the place of `path` when all went well.

    The file that was there before is kept whole until then, its permissions stay as they are, a link to it
    stays a link, and nothing is left over when writing fails. Inside `together` it waits for the others.

    Yields
    ------
    Path
        A path in the same folder with the same extension, so that writers which go by the extension work.

    Raises
    ------
    InputError
        If `target_of` refuses the place, or it can't be written to.
    """
    target = target_of(path)
    # cut, so that a name at the system's limit still has room for what is added
    mine = f"{os.getpid()}-{threading.get_ident()}"
    temporary = target.with_name(f".{target.stem[:40]}-{mine}{path.suffix}")
    if temporary in _under_way:
        raise _refused(path, "each result has a file of its own", _CHOOSE)
    _under_way.add(temporary)
    try:
        yield temporary
        if (waiting := _waiting.get()) is not None:
            waiting.append((temporary, path))
            return
        _put(temporary, path)
    except OSError as error:
        raise _unreachable(path, error) from error
    finally:
        if (temporary, path) not in (_waiting.get() or ()):
            _removed(temporary)
            _under_way.discard(temporary)


def _put(temporary: Path, path: Path) -> None:
    """Let a whole file take the place of what is at a name."""
    try:
        if (again := target_of(path)).exists():
            temporary.chmod(stat.S_IMODE(again.stat().st_mode))
        os.replace(temporary, again)
    except OSError as error:
        raise _unreachable(path, error) from error


def _removed(temporary: Path) -> None:
    try:
        temporary.unlink(missing_ok=True)
    except OSError:  # then it was never there: its folder is gone, or its name is too long
        return


def _refused(path: Path, rule: str, remedy: str) -> InputError:
    return InputError(Problem(rule, remedy=remedy, file=str(path)))


def _unreachable(path: Path, error: OSError | ValueError) -> InputError:
    remedy = "Make the folder first, or choose another one."
    if getattr(error, "errno", None) in (errno.ENOSPC, errno.EDQUOT):
        remedy = "Free some, or choose another place."
    return InputError(
        Problem(
            "the place of a file must be there and open to writing",
            got=getattr(error, "strerror", None) or str(error),
            remedy=remedy,
            file=str(path),
        )
    )
