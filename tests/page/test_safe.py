"""Hostile requests to the page's server: refused, nothing read or written, and the server well after each."""

from __future__ import annotations

import json
import shutil
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from tests.serving import ROOT, Served

SECRET = "the harbour master's letter"
DRAFT = {"tables": {"gauge": {"stitches": 20, "rows": 20}, "shape": {"kind": "ball", "width": 20}}}


@pytest.fixture(scope="module")
def harbour(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder to open, with something beside it that is nobody's business."""
    folder = tmp_path_factory.mktemp("outside") / "harbour"
    folder.mkdir()
    shutil.copy(ROOT / "samples" / "buoy.toml", folder)
    (folder.parent / "secret.toml").write_text(f'title = "{SECRET}"\n')
    (folder / "broken.toml").write_text("gauge = [[[\n")
    (folder / "linked.toml").symlink_to(folder.parent / "secret.toml")
    return folder


@pytest.fixture
def untouched(harbour: Path, server: Served) -> Iterator[None]:
    """See that nothing in or beside the folder changes, and that the server goes on."""

    def all_of() -> dict[str, bytes]:
        return {str(path): path.read_bytes() for path in harbour.parent.rglob("*") if path.is_file()}

    before = all_of()
    yield
    assert all_of() == before
    assert server.process.poll() is None
    assert server.ask("/api/start")[0] == 200


pytestmark = pytest.mark.usefixtures("untouched")

HOSTS = [
    "evil.example",
    "127.0.0.1",
    "localhost",
    "127.0.0.1:1",
    "127.0.0.1.evil.example",
    "0.0.0.0:{port}",
    "[::1]:{port}",
    "evil.example:{port}",
    "127.0.0.1:{port}.evil.example",
    "user@127.0.0.1:{port}",
    " ",
]
ORIGINS = [
    "null",
    "http://evil.example",
    "https://127.0.0.1:{port}",
    "http://127.0.0.1",
    "http://127.0.0.1:1",
    "http://localhost:{port}",
    "http://127.0.0.1:{port}.evil.example",
    "http://127.0.0.1:{port}/",
    "file://",
    "chrome-extension://abc",
]
NAMES = [
    "../secret.toml",
    "..\\secret.toml",
    "/etc/passwd",
    "....//secret.toml",
    "%2e%2e/secret.toml",
    "./../secret.toml",
    "harbour/../../secret.toml",
    "linked.toml",
    ".toml",
    "..toml",
    "buoy.toml\0.png",
    "buoy.toml/",
    "~/secret.toml",
    "C:\\secret.toml",
    "buoy.txt",
    "-rf.toml",
    "a" * 300 + ".toml",
    "",
    "\n.toml",
    "buoy.toml\n",
]
PATHS = [
    "/../secret.toml",
    "/look/../../secret.toml",
    "/look/..%2f..%2fsecret.toml",
    "/look/%2e%2e%2fsecret.toml",
    "/look/....//",
    "/look//etc/passwd",
    "/static/index.html",
    "/api/",
    "/api/../api/open",
    "/api/opened",
    "/api/__init__",
    "/secret.toml",
    "//evil.example/",
    "/look/serve.py",
    "/look/%00",
]


@pytest.mark.parametrize("host", HOSTS)
def test_other_hosts(server: Served, host: str) -> None:
    """A name that leads here, but is not ours, is refused: another site can't reach us by its own name."""
    status, body = server.ask("/api/start", Host=host.format(port=server.port))
    assert status in (400, 421)
    assert b"files" not in body


def test_no_host_and_two(server: Served) -> None:
    """Without a Host, or with two, nothing is answered."""
    cookie = server.headers()["Cookie"]
    assert server.send(f"GET /api/start HTTP/1.1\r\nCookie: {cookie}\r\n\r\n".encode())[0] == 400
    two = f"GET /api/start HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nHost: evil.example\r\n"
    assert server.send(f"{two}Cookie: {cookie}\r\nConnection: close\r\n\r\n".encode())[0] in (400, 421)


@pytest.mark.parametrize("origin", ORIGINS)
def test_other_origins(server: Served, origin: str) -> None:
    """A page from elsewhere in the same browser can neither ask nor write, though the cookie comes along."""
    body = json.dumps({"draft": {**DRAFT, "name": "new.toml"}, "stamp": ""}).encode()
    assert server.ask("/api/save", body, Origin=origin.format(port=server.port))[0] == 403
    assert server.ask("/api/start", Origin=origin.format(port=server.port))[0] == 403


def test_no_origin_and_other_sites(server: Served) -> None:
    """Nothing is written for a request that doesn't say where it comes from, or comes from another site."""
    body = json.dumps({"draft": {**DRAFT, "name": "new.toml"}, "stamp": ""}).encode()
    assert server.ask("/api/save", body, Origin="")[0] == 403
    for site in ("cross-site", "same-site"):
        assert server.ask("/api/save", body, Sec_Fetch_Site=site)[0] == 403
        assert server.ask("/api/start", Sec_Fetch_Site=site)[0] == 403


@pytest.mark.parametrize("token", ["", "x", "{token}x", "{short}", "%00", "{token}&token={token}", "é"])
def test_wrong_tokens(server: Served, token: str) -> None:
    """Without the token of the first address nothing is shown and nobody let in."""
    told = token.format(token=server.token, short=server.token[:-1])
    for path in ("/", f"/?token={told}"):
        status, body = server.ask(path, Cookie="")
        assert status in (400, 403)
        assert server.token.encode() not in body
    if "&" not in told:
        assert server.ask("/api/start", Cookie=f"plumpline-{server.port}={told}")[0] in (400, 403)
    assert server.ask("/api/start", Cookie="")[0] == 403


@pytest.mark.parametrize("name", NAMES, ids=range(len(NAMES)))
def test_names_outside(server: Served, name: str) -> None:
    """No name leads out of the folder, to read or to write."""
    for told in (
        server.api("open", name=name),
        server.api("save", draft={**DRAFT, "name": name}, stamp=""),
        server.api("solve", draft={**DRAFT, "name": name}) if name else {"ok": False},
        server.api("stamp", name=name) if name else {"ok": False},
    ):
        assert not told["ok"]
        assert SECRET not in json.dumps(told)


@pytest.mark.parametrize("path", PATHS)
def test_paths(server: Served, path: str) -> None:
    """No address leads to a file that is not a part of the page."""
    status, body = server.ask(path)
    assert status in (400, 403, 404, 405)
    assert SECRET.encode() not in body
    assert b"root:" not in body
    assert b"import" not in body


@pytest.mark.parametrize(
    "tables",
    [
        {"gauge": "../secret.toml", "shape": {"kind": "ball", "width": 20}},
        {"gauge": "/etc/passwd", "shape": {"kind": "ball", "width": 20}},
        {"gauge": "linked.toml", "shape": {"kind": "ball", "width": 20}},
        {**DRAFT["tables"], "shape": {"kind": "sketch", "file": "../secret.png", "height": 50}},
        {**DRAFT["tables"], "shape": {"kind": "model", "file": "/etc/passwd"}},
        {**DRAFT["tables"], "shape": {"kind": "sketch", "file": "a.png", "plan": "../b.png"}},
    ],
    ids=range(6),
)
def test_files_named_in_drafts(server: Served, tables: dict[str, Any]) -> None:
    """A draft names no file outside the folder: whether there is one is not even told."""
    for job in ("solve", "form", "points", "look"):
        told = server.api(job, draft={"tables": tables}, name="x.toml") if job != "look" else {"ok": False}
        assert not told["ok"]
        assert SECRET not in json.dumps(told)
        assert "lies in the folder" in json.dumps(told) or job == "look"


@pytest.mark.parametrize("file", ["../secret.toml", "/etc/passwd", "linked.toml"])
def test_files_named_in_toys(server: Served, file: str) -> None:
    """A toy takes no part from outside the folder, and no part that names a file outside."""
    told = server.api(
        "solve", draft={"tables": {"gauge": {"stitches": 20}, "parts": {"body": {"file": file}}}}
    )
    assert not told["ok"]
    assert SECRET not in json.dumps(told)
    assert "lies in the folder" in json.dumps(told)


BODIES = [
    b"",
    b"{",
    b"[]",
    b"null",
    b"\xff\xfe\x00",
    b'{"draft": 1}',
    b'{"draft": {"tables": []}}',
    b'{"draft": {"tables": {}, "base": 5}}',
    b'{"draft": {"tables": {"gauge": NaN}}}',
    b"[" * 100_000,
    b'{"draft": {"tables": {"gauge": ' + b'{"a":' * 3000 + b"1" + b"}" * 3002 + b"}",
    b'{"draft": {"tables": {"gauge": {"stitches": 1e999}, "shape": {"kind": "ball"}}}}',
    b'{"draft": {"tables": {"gauge": {"stitches": 20}, "shape": {"kind": "outline", "points": "x"}}}}',
    b'{"draft": {"tables": {"title": "\\ud800", "gauge": {"stitches": 20}}}}',
]


@pytest.mark.parametrize("body", BODIES, ids=range(len(BODIES)))
def test_broken_drafts(server: Served, body: bytes) -> None:
    """What is no draft is refused in words."""
    for job in ("solve", "form", "points"):
        status, told = server.ask(f"/api/{job}", body)
        assert status in (200, 400)
        assert not json.loads(told)["ok"]


@pytest.mark.parametrize(
    "text", ["gauge = [[[", "\0", "a = 1\na = 2", "[shape]\nkind = 'ball", "x = 1e99999", "€"]
)
def test_broken_toml(server: Served, text: str) -> None:
    """Text that is no part file is refused, or opened as what it holds; never solved."""
    told = server.api("open", text=text)
    if told["ok"]:
        told = server.api("solve", draft=told)
    assert not told["ok"]
    assert not server.api("open", name="broken.toml")["ok"]


@pytest.mark.parametrize("path", ["/api/solve", "/api/trace?name=a.png", "/api/save", "/"])
def test_bodies_of_100_mb(server: Served, path: str) -> None:
    """A body that is too long is refused by its length, before any of it is read."""
    status, _ = server.ask(path, b"", Content_Length=str(100_000_000))
    assert status == 413


def test_long_bodies_without_a_length(server: Served) -> None:
    """One that tells no length is refused when it has become too long."""
    chunk = b"10000\r\n" + b" " * 65536 + b"\r\n"
    assert server.ask("/api/solve", chunk * 12, Transfer_Encoding="chunked")[0] in (413, 0)


@pytest.mark.parametrize("length", ["-1", "1e3", "abc", "99999999999999999999"])
def test_lengths(server: Served, length: str) -> None:
    """A length that is none is refused."""
    assert server.ask("/api/solve", b"{}", Content_Length=length)[0] in (400, 413)


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT"])
def test_methods(server: Served, method: str) -> None:
    """Nothing but GET and POST is known."""
    assert server.ask("/api/start", b"", Method=method)[0] in (400, 405)


def _png(width: int, height: int) -> bytes:
    import struct
    import zlib

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", b"\0" * 50) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("a.png", _png(4000, 3000)),  # 12 million pixels that are not there
        ("a.png", _png(100_000, 100_000)),
        ("a.png", b""),
        ("a.jpg", b"\xff\xd8\xff\xe0" + b"\0" * 1000),
        ("a.svg", b"<svg xmlns='http://www.w3.org/2000/svg'><image href='file:///etc/passwd'/></svg>"),
        ("a.svg", b"<!DOCTYPE x [<!ENTITY a SYSTEM 'file:///etc/passwd'>]><svg>&a;</svg>"),
        ("a.stl", b"solid nothing"),
        ("a.exe", b"MZ"),
        ("../a.png", b"x"),
        ("", b"x"),
    ],
    ids=range(10),
)
def test_pictures_that_are_none(server: Served, name: str, content: bytes) -> None:
    """A picture that is none is refused in words, and names no place on this machine."""
    from urllib.parse import quote

    query = f"name={quote(name)}&height=50&draft={quote(json.dumps(DRAFT))}"
    status, body = server.ask(f"/api/trace?{query}", content)
    told = json.loads(body)
    assert status == 200
    assert not told["ok"]
    assert "tmp" not in json.dumps(told)
    assert "root:" not in json.dumps(told)


def test_newest_alone_is_wanted(server: Served) -> None:
    """A newer question of the same page drops an older one where it stands; another page's goes on."""
    oval = {"kind": "oval", "length": 120, "width": 56, "height": 44}
    slow = {"tables": {"gauge": {"stitches": 20, "rows": 22}, "shape": oval, "work": {"start": "chain"}}}
    with ThreadPoolExecutor() as hands:
        older = hands.submit(server.api, "solve", draft=slow, page="one")
        other = hands.submit(server.api, "solve", draft=slow, page="two")
        time.sleep(0.3)
        newer = hands.submit(server.api, "solve", draft=DRAFT, page="one")
        assert older.result().get("stale")
        assert newer.result()["ok"]
        assert other.result()["ok"]


def test_headers(server: Served) -> None:
    """What is sent tells the browser to run nothing but the page's own files."""
    raw = f"GET / HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nCookie: {server.headers()['Cookie']}\r\n"
    import socket

    with socket.create_connection(("127.0.0.1", server.port), timeout=20) as line:
        line.sendall(f"{raw}Connection: close\r\n\r\n".encode())
        got = b"".join(iter(lambda: line.recv(65536), b"")).decode()
    head, _, page = got.partition("\r\n\r\n")
    assert "default-src 'none'; script-src 'self'; style-src 'self'" in head
    assert "nosniff" in head
    assert "unsafe" not in head
    assert "http://" not in page.replace("http://www.w3.org/", "")
    assert "https://" not in page
