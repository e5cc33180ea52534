"""Work in processes of its own: the page stays quick, and a job that fails takes nothing with it."""

from __future__ import annotations

import asyncio
import multiprocessing
import os
import signal
from collections.abc import Callable
from importlib import import_module
from itertools import count as count_from
from multiprocessing.connection import Connection
from types import FrameType, ModuleType
from typing import Any

MOST_SECONDS = 120.0
"""That one job may take."""

_SPAWN = multiprocessing.get_context("spawn")

ASIDE = ("jobs.first",)
"""Jobs beside which the page's own worker goes on with what takes longer."""

_DROP = getattr(signal, "SIGUSR1", None)
"""What tells a worker to drop its job; where there is none (Windows), jobs are done to their end."""

FAILED = "this could not be worked out: the work ended before its result was there"


class StaleError(Exception):
    """A newer request of the same page has taken the place of this one."""


class _DroppedError(BaseException):
    """What is being worked out is wanted no more. No net for faults catches it."""


class _Worker:
    """A process, started when it is first needed."""

    def __init__(self) -> None:
        self.pipe: Connection | None = None
        self.process: Any = None
        self.ended = False
        self.dropped = _SPAWN.Value("q", 0, lock=False)

    def start(self) -> None:
        """Start the process where it is not running."""
        if self.process is not None and self.process.is_alive():
            return
        self.pipe, theirs = _SPAWN.Pipe()
        self.process = _SPAWN.Process(target=_work, args=(theirs, self.dropped), daemon=True)
        self.process.start()
        theirs.close()

    def call(self, number: int, job: str, arguments: dict[str, Any]) -> dict[str, Any] | None:
        """Return what a job gives; None where it was dropped."""
        if not self.ended:
            self.start()
        pipe = self.pipe
        try:
            if pipe is not None:
                pipe.send((number, job, arguments))
                if pipe.poll(MOST_SECONDS):
                    result: dict[str, Any] | None = pipe.recv()
                    return result
        except (EOFError, OSError):
            pass
        self.end()
        return {"ok": False, "problems": [{"text": f"{FAILED}.", "rule": FAILED, "points": []}]}

    def drop(self, number: int) -> None:
        """Let a job be, if it is still that one."""
        if _DROP is not None and self.process is not None and self.process.is_alive():
            self.dropped.value = number
            os.kill(self.process.pid, _DROP)

    def end(self) -> None:
        """End the process; whoever waits for it goes on."""
        process, self.process = self.process, None
        if process is not None:
            process.kill()
            process.join()
        pipe, self.pipe = self.pipe, None
        if pipe is not None:
            pipe.close()


class Workers:
    """A few processes that share the work; of each page only the newest request of a kind is wanted.

    Parameters
    ----------
    count : int
        How many.
    """

    def __init__(self, count: int | None = None) -> None:
        self.all = [_Worker() for _ in range(count or min(2, os.cpu_count() or 1))]
        self.free = list(self.all)
        self.freed = asyncio.Condition()
        self.numbers = count_from(1)
        self.newest: dict[tuple[str, str], int] = {}
        self.under_way: dict[tuple[str, str], tuple[_Worker, int]] = {}
        self.homes: dict[str, _Worker] = {}

    async def run(
        self, job: str, arguments: dict[str, Any], *, page: str = "", all_wanted: bool = False
    ) -> dict[str, Any]:
        """Return what a job gives.

        Parameters
        ----------
        job : str
            A module of `solver.page`, and a function of it: "jobs.solve".
        arguments : dict
            Its arguments.
        page : str
            Who asks: its newest request of a kind alone is wanted, an older one is dropped where it stands.
            Where the worker is free that solved for it last, that one goes on: it has the part at hand.
        all_wanted : bool
            Every request is done, newest or not; so are those of nobody.

        Raises
        ------
        StaleError
            If a newer one of the same page came.
        """
        number, mine = next(self.numbers), (page, job)
        only_newest = bool(page) and not all_wanted
        if only_newest:
            self.newest[mine] = number
            if mine in self.under_way:
                worker, older = self.under_way[mine]
                worker.drop(older)
        worker = await self._taken(page, aside=job in ASIDE)
        try:
            if only_newest:
                if self.newest.get(mine) != number:
                    raise StaleError
                self.under_way[mine] = (worker, number)
            told = await _watched(worker, number, job, arguments)
            if told is None:
                raise StaleError
            return told
        finally:
            if self.under_way.get(mine) == (worker, number):
                del self.under_way[mine]
            async with self.freed:
                self.free.append(worker)
                self.freed.notify_all()
            for known in (self.newest, self.homes):
                if len(known) > 500:  # pages come and go
                    known.clear()

    async def _taken(self, page: str, *, aside: bool) -> _Worker:
        """Return a free worker: the page's own, if it is; for what is done aside, another."""
        async with self.freed:
            await self.freed.wait_for(lambda: self.free)
            own = self.homes.get(page)
            worker = next((one for one in self.free if (one is own) != aside), self.free[0])
            self.free.remove(worker)
            if page and not aside:
                self.homes[page] = worker
            return worker

    def warm(self) -> None:
        """Start the processes before they are needed."""
        if _DROP is not None:  # inherited: a worker that is still starting is not ended by it
            signal.signal(_DROP, signal.SIG_IGN)
        for worker in self.all:
            worker.start()

    def end(self) -> None:
        """End all processes, whatever they are at."""
        for worker in self.all:
            worker.ended = True
            worker.end()


async def _watched(
    worker: _Worker, number: int, job: str, arguments: dict[str, Any]
) -> dict[str, Any] | None:
    """Return what a worker gives; where nobody waits for it any more it lets the job be, and is free then."""
    work = asyncio.get_running_loop().run_in_executor(None, worker.call, number, job, arguments)
    try:
        return await asyncio.shield(work)
    except asyncio.CancelledError:
        worker.drop(number)
        await asyncio.wait([work])
        raise


def _work(pipe: Connection, dropped: Any) -> None:
    """Do jobs until the server ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the processes share the cores already
    number = 0

    def drop(_: int, frame: FrameType | None) -> None:
        if dropped.value != number:
            return
        if not _importing(frame):
            raise _DroppedError
        signal.setitimer(signal.ITIMER_REAL, 0.02)  # a little later, then

    if _DROP is not None:
        signal.signal(_DROP, drop)
        signal.signal(signal.SIGALRM, drop)
    jobs = import_module("solver.page.jobs")
    jobs.ready()
    while True:
        try:
            following, job, arguments = pipe.recv()
        except (EOFError, OSError):
            return
        try:
            number = following
            told = _done(jobs, job, arguments)
            number = 0
        except _DroppedError:
            number, told = 0, None
        pipe.send(told)


def _done(jobs: ModuleType, job: str, arguments: dict[str, Any]) -> dict[str, Any]:
    module, _, name = job.partition(".")
    work: Callable[..., dict[str, Any]] = getattr(import_module(f"solver.page.{module}"), name)
    told: dict[str, Any] = jobs.told(work, arguments)
    return told


def _importing(frame: FrameType | None) -> bool:
    """Tell whether a module is being loaded: half loaded it would stay broken."""
    while frame is not None:
        if frame.f_code.co_filename.startswith("<frozen importlib"):
            return True
        frame = frame.f_back
    return False
