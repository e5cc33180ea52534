"""Files that a command works from, so that none of them is written over by its own result."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path

_kept: ContextVar[set[tuple[int, int]] | None] = ContextVar("kept", default=None)


@contextmanager
def kept_whole() -> Iterator[None]:
    """Keep every file that is read inside from being written over inside: one command's work."""
    token = _kept.set(set())
    try:
        yield
    finally:
        _kept.reset(token)


def note_input(path: Path) -> None:
    """Remember a file that is read, whatever name it goes by; outside `kept_whole` nothing is remembered."""
    kept = _kept.get()
    if kept is None:
        return
    try:
        found = path.stat()
    except (OSError, ValueError):
        return
    kept.add((found.st_dev, found.st_ino))


def is_input(found: os.stat_result) -> bool:
    """Return whether a file, by what the system tells of it, is one that was read."""
    return (found.st_dev, found.st_ino) in (_kept.get() or ())
