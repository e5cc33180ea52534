"""Work in processes of its own: the page stays quick, and a job that fails takes nothing with it."""

from __future__ import annotations

import asyncio
import multiprocessing
import os
import signal
from collections.abc import Callable
from importlib import import_module
from multiprocessing.connection import Connection
from typing import Any

MOST_SECONDS = 120.0
"""That one job may take."""

_SPAWN = multiprocessing.get_context("spawn")

FAILED = "this could not be worked out: the work ended before its result was there"


class StaleError(Exception):
    """A newer request of the same page has taken the place of this one."""


class _Worker:
    """A process, started when it is first needed."""

    def __init__(self) -> None:
        self.pipe: Connection | None = None
        self.process: Any = None

    def start(self) -> None:
        """Start the process where it is not running."""
        if self.process is not None and self.process.is_alive():
            return
        self.pipe, theirs = _SPAWN.Pipe()
        self.process = _SPAWN.Process(target=_work, args=(theirs,), daemon=True)
        self.process.start()
        theirs.close()

    def call(self, job: str, arguments: dict[str, Any]) -> dict[str, Any]:
        """Return what a job gives."""
        self.start()
        assert self.pipe is not None
        try:
            self.pipe.send((job, arguments))
            if self.pipe.poll(MOST_SECONDS):
                result: dict[str, Any] = self.pipe.recv()
                return result
        except (EOFError, OSError):
            pass
        self.end()
        return {"ok": False, "problems": [{"text": f"{FAILED}.", "rule": FAILED, "points": []}]}

    def end(self) -> None:
        """End the process."""
        if self.process is not None:
            self.process.kill()
            self.process.join()
            self.process = None
        if self.pipe is not None:
            self.pipe.close()
            self.pipe = None


class Workers:
    """A few processes that share the work; of each page only the newest request of a kind waits.

    Parameters
    ----------
    count : int
        How many.
    """

    def __init__(self, count: int | None = None) -> None:
        self.all = [_Worker() for _ in range(count or min(2, os.cpu_count() or 1))]
        self.free: asyncio.Queue[_Worker] | None = None
        self.newest: dict[tuple[str, str], int] = {}

    async def run(self, job: str, arguments: dict[str, Any], *, page: str = "") -> dict[str, Any]:
        """Return what a job gives.

        Parameters
        ----------
        job : str
            A module of `solver.page`, and a function of it: "jobs.solve".
        arguments : dict
            Its arguments.
        page : str
            Whose newest request alone is wanted; empty for a request that is done in any case.

        Raises
        ------
        StaleError
            If a newer one of the same page came while this one waited.
        """
        if self.free is None:
            self.free = asyncio.Queue()
            for worker in self.all:
                self.free.put_nowait(worker)
        mine = self.newest[page, job] = self.newest.get((page, job), 0) + 1
        worker = await self.free.get()
        try:
            if page and self.newest[page, job] != mine:
                raise StaleError
            return await asyncio.get_running_loop().run_in_executor(None, worker.call, job, arguments)
        finally:
            self.free.put_nowait(worker)
            if len(self.newest) > 500:  # pages come and go
                self.newest.clear()

    def warm(self) -> None:
        """Start the processes before they are needed."""
        for worker in self.all:
            worker.start()

    def end(self) -> None:
        """End all processes."""
        for worker in self.all:
            worker.end()


def _work(pipe: Connection) -> None:
    """Do jobs until the server ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the processes share the cores already
    jobs = import_module("solver.page.jobs")
    jobs.ready()
    while True:
        try:
            job, arguments = pipe.recv()
        except (EOFError, OSError):
            return
        module, _, name = job.partition(".")
        work: Callable[..., dict[str, Any]] = getattr(import_module(f"solver.page.{module}"), name)
        pipe.send(jobs.told(work, arguments))
