"""What stands before every request: this machine alone, this page alone, and no more than is needed."""

from __future__ import annotations

import hmac
import re
from http.cookies import CookieError, SimpleCookie
from typing import TYPE_CHECKING
from urllib.parse import parse_qs

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_TEXT = 600_000
"""Bytes of a request that tells of a draft: a part file is 200 kB at most, written and as data."""

MOST_PICTURE = 25_000_000
"""Bytes of a photograph; phones make some 10 MB."""

PICTURES = "/api/trace"

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)

_HEADERS = [
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), microphone=(), geolocation=()"),
    (b"cache-control", b"no-store"),
]


class Guard:
    """Refuses what does not come from the page itself, before any of it is read.

    Parameters
    ----------
    app : ASGI application
    port : int
        That the server listens on.
    token : str
        Of the first address.
    """

    def __init__(self, app: ASGIApp, *, port: int, token: str) -> None:
        self.app, self.token = app, token
        self.hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}
        self.cookie = f"plumpline-{port}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, or let the page's own application answer."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        headers: dict[str, list[str]] = {}
        for name, value in scope["headers"]:
            headers.setdefault(name.decode("latin-1").lower(), []).append(value.decode("latin-1"))
        if refused := self._refused(scope, headers):
            await _answer(send, *refused)
        elif scope["method"] == "GET" and scope["path"] == "/" and self._first(scope):
            await self._welcome(send)
        else:
            await self._passed(scope, receive, send)

    def _refused(self, scope: Scope, headers: dict[str, list[str]]) -> tuple[int, str] | None:
        """Return how a request is refused; None when it may go on."""
        host, origin = headers.get("host", []), headers.get("origin", [])
        if len(host) != 1 or host[0] not in self.hosts:
            return 421, "Plumpline answers to this machine's own address alone."
        own = [f"http://{host[0]}"]
        if origin and origin != own:
            return 403, "Plumpline answers its own page alone."
        if scope["method"] not in ("GET", "HEAD", "POST"):
            return 405, "Plumpline knows GET and POST."
        if scope["method"] == "POST" and origin != own:
            return 403, "Plumpline answers its own page alone."
        site = headers.get("sec-fetch-site", ["none"])
        is_first = scope["path"] == "/" and scope["method"] == "GET"
        if site not in (["none"], ["same-origin"]) and not is_first:
            return 403, "Plumpline answers its own page alone."
        if not (is_first and self._first(scope)) and not self._known(headers.get("cookie", [])):
            return 403, "Open the address that Plumpline printed when it started."
        return self._too_long(scope, headers)

    @staticmethod
    def _too_long(scope: Scope, headers: dict[str, list[str]]) -> tuple[int, str] | None:
        length = headers.get("content-length", ["0"])
        if len(length) != 1 or not re.fullmatch(r"\d{1,15}", length[0], re.ASCII):
            return 400, "The length of a request is a number."
        if int(length[0]) > most_of(scope):
            return 413, f"This is more than the {most_of(scope) / 1e6:g} MB that Plumpline takes."
        return None

    def _first(self, scope: Scope) -> bool:
        """Whether the address bears the token."""
        try:
            given = parse_qs(scope["query_string"].decode("ascii"), max_num_fields=8).get("token", [])
        except ValueError:
            return False
        return len(given) == 1 and hmac.compare_digest(given[0].encode(), self.token.encode())

    def _known(self, cookies: list[str]) -> bool:
        """Whether the browser has been here by the first address."""
        jar: SimpleCookie = SimpleCookie()
        try:
            jar.load("; ".join(cookies))
        except CookieError:
            return False
        given = jar[self.cookie].value if self.cookie in jar else ""
        return hmac.compare_digest(given.encode(), self.token.encode())

    async def _welcome(self, send: Send) -> None:
        cookie = f"{self.cookie}={self.token}; Path=/; HttpOnly; SameSite=Strict"
        await _answer(send, 303, "", [(b"location", b"/"), (b"set-cookie", cookie.encode())])

    async def _passed(self, scope: Scope, receive: Receive, send: Send) -> None:
        body: bytes | None = await _whole(scope, receive)
        if body is None:
            await _answer(send, 413, "This is more than Plumpline takes.")
            return

        async def once() -> Message:
            nonlocal body
            if body is None:
                return await receive()
            whole, body = body, None
            return {"type": "http.request", "body": whole, "more_body": False}

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                message = {**message, "headers": [*message["headers"], *_HEADERS]}
            await send(message)

        await self.app(scope, once, guarded)


async def _whole(scope: Scope, receive: Receive) -> bytes | None:
    """Return the body of a request; None where it told no length, or a wrong one, and is too long."""
    parts, got = [], 0
    while True:
        message = await receive()
        parts.append(message.get("body", b""))
        got += len(parts[-1])
        if got > most_of(scope):
            return None
        if not message.get("more_body"):
            return b"".join(parts)


def most_of(scope: Scope) -> int:
    """Return how many bytes a request may have."""
    if scope["method"] != "POST":
        return 0
    return MOST_PICTURE if scope["path"] == PICTURES else MOST_TEXT


async def _answer(send: Send, status: int, text: str, more: list[tuple[bytes, bytes]] | None = None) -> None:
    body = text.encode()
    headers = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"content-length", str(len(body)).encode()),
        *_HEADERS,
        *(more or []),
        *([(b"connection", b"close")] if status >= 400 else []),
    ]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
