"""The server: on this machine alone, at an address with a token, until nobody has been there for a while."""

from __future__ import annotations

import asyncio
import secrets
import socket
import time
import webbrowser
from collections.abc import Callable

import uvicorn

from solver.errors import InputError, Problem
from solver.page.folder import Opened
from solver.page.site import Site
from solver.page.workers import Workers

PORT = 7417
"""Where the page is unless told: always at one address, so that the browser finds what it kept. Any free one
where this is taken."""

IDLE = 20 * 60.0
"""After so long without a page the server ends. [s]"""


def serve(
    opened: Opened,
    *,
    port: int | None,
    browser: bool,
    tell: Callable[[str], None],
    idle: float = IDLE,
) -> None:
    """Serve the page until it is ended, or nobody is there.

    Parameters
    ----------
    opened : Opened
    port : int or None
        0: any free one; None: the usual one, or any free one.
    browser : bool
        Open it in the reader's browser.
    tell : callable
        Told the address.
    idle : float
        [s]

    Raises
    ------
    InputError
        If the port is taken.
    """
    listening = _socket(port)
    number = listening.getsockname()[1]
    token = secrets.token_urlsafe(24)
    address = f"http://127.0.0.1:{number}/?token={token}"
    workers = Workers()
    site = Site(opened, workers)
    config = uvicorn.Config(
        site.app(port=number, token=token),
        log_level="error",
        access_log=False,
        lifespan="off",
        server_header=False,
        h11_max_incomplete_event_size=600_000,
        timeout_graceful_shutdown=2,
        ws="none",
        http="h11",
    )
    server = uvicorn.Server(config)
    workers.warm()
    tell(address)
    if browser:
        webbrowser.open(address)
    try:
        asyncio.run(_until_idle(server, site, listening, idle=idle))
    finally:
        workers.end()
        listening.close()


async def _until_idle(server: uvicorn.Server, site: Site, listening: socket.socket, *, idle: float) -> None:
    async def watch() -> None:
        while not server.should_exit:
            await asyncio.sleep(min(1.0, idle / 4))
            if time.monotonic() - site.last_heard > idle:
                server.should_exit = True
        site.workers.end()  # whatever they are at: nobody waits for them to the end of a long search

    watching = asyncio.create_task(watch())
    await server.serve(sockets=[listening])
    watching.cancel()


def _socket(port: int | None) -> socket.socket:
    for number in (PORT, 0) if port is None else (port,):
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind(("127.0.0.1", number))
            listening.listen(64)
        except OSError as error:
            listening.close()
            refused = error
        else:
            return listening
    rule = "the port of the page is free"
    remedy = "Is Plumpline running already? Or take any free port: --port 0."
    raise InputError(Problem(rule, got=f"{port}: {refused.strerror}", remedy=remedy, place="--port"))
