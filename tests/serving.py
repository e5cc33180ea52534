"""A server of the page, started as its user starts it, and plain requests to it."""

from __future__ import annotations

import json
import re
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]


@dataclass
class Served:
    """A server that runs: its process and its first address."""

    process: subprocess.Popen[str]
    address: str

    @property
    def port(self) -> int:
        """Where it listens."""
        return int(re.findall(r":(\d+)/", self.address)[0])

    @property
    def origin(self) -> str:
        """Its own origin."""
        return f"http://127.0.0.1:{self.port}"

    @property
    def token(self) -> str:
        """The token of its first address."""
        return self.address.partition("token=")[2]

    def headers(self, **others: str) -> dict[str, str]:
        """Return the headers of a request of the page itself."""
        own = {
            "Host": f"127.0.0.1:{self.port}",
            "Origin": self.origin,
            "Cookie": f"plumpline-{self.port}={self.token}",
        }
        return {**own, **{name.replace("_", "-"): value for name, value in others.items()}}

    def ask(self, path: str, body: bytes | None = None, **others: str) -> tuple[int, bytes]:
        """Return status and body of the answer to a request, written by hand."""
        headers = {name: value for name, value in self.headers(**others).items() if value}
        method = headers.pop("Method", "GET" if body is None else "POST")
        if body is not None and "Content-Length" not in headers and "Transfer-Encoding" not in headers:
            headers["Content-Length"] = str(len(body))
        lines = [f"{method} {path} HTTP/1.1", *(f"{name}: {value}" for name, value in headers.items())]
        raw = "\r\n".join([*lines, "Connection: close", "", ""]).encode("latin-1") + (body or b"")
        return self.send(raw)

    def send(self, raw: bytes) -> tuple[int, bytes]:
        """Return the status and the body of the answer to raw bytes; 0 where there is none."""
        with socket.create_connection(("127.0.0.1", self.port), timeout=60) as line:
            got = b""
            try:
                line.sendall(raw)
                while part := line.recv(65536):
                    got += part
            except ConnectionError:
                pass
        head, _, body = got.partition(b"\r\n\r\n")
        match = re.match(rb"HTTP/1.1 (\d{3})", head)
        return (int(match[1]) if match else 0), body

    def api(self, job: str, /, **asked: Any) -> dict[str, Any]:
        """Return what the page would be answered."""
        status, body = self.ask(f"/api/{job}", json.dumps(asked).encode())
        assert status < 500
        told = json.loads(body)
        assert isinstance(told, dict)
        return told


@contextmanager
def served(*arguments: str, port: int = 0) -> Iterator[Served]:
    """Run `plumpline draw`, and end it."""
    command = ["draw", *arguments, "--port", str(port), "--no-browser"]
    process = subprocess.Popen(
        [sys.executable, "-m", "solver", *command], cwd=ROOT, stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    try:
        address = process.stdout.readline().strip()
        assert address.startswith("http://127.0.0.1:"), address
        yield Served(process, address)
    finally:
        process.terminate()
        process.wait(timeout=20)
        process.stdout.close()
