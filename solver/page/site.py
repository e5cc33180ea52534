"""What the page can ask for, and what it is answered."""

from __future__ import annotations

import asyncio
import json
import time
from collections.abc import Callable, Coroutine
from importlib.resources import files
from typing import Any

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from solver.errors import InputError, Problem
from solver.page.folder import ChangedError, Opened
from solver.page.guard import Guard
from solver.page.start import beginnings, sample_text
from solver.page.told import problems_told
from solver.page.workers import StaleError, Workers

Told = dict[str, Any]

_TYPES = {
    "html": "text/html; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "svg": "image/svg+xml",
}


class Site:
    """The page's answers.

    Parameters
    ----------
    opened : Opened
        The folder.
    workers : Workers
    """

    def __init__(self, opened: Opened, workers: Workers) -> None:
        self.opened, self.workers = opened, workers
        self.last_heard = time.monotonic()
        self.files = {
            path.name: (path.read_bytes(), _TYPES[path.name.rpartition(".")[2]])
            for path in files("solver.page").joinpath("static").iterdir()
            if path.name.rpartition(".")[2] in _TYPES
        }

    def app(self, *, port: int, token: str) -> Guard:
        """Return the whole application behind its guard."""
        asked: dict[str, Callable[[Told], Coroutine[Any, Any, Told]]] = {
            "open": self.open,
            "look": self.look,
            "first": self.first,
            "solve": self.solve,
            "form": self.form,
            "points": self.points,
            "size": self.size,
            "save": self.save,
            "stamp": self.stamp,
        }
        routes = [Route("/", self.page), Route("/look/{name}", self.page), Route("/api/start", self.start)]
        routes += [Route("/api/trace", self.trace, methods=["POST"])]
        routes += [Route("/api/keep", self.keep, methods=["POST"])]
        routes += [
            Route(f"/api/{name}", self._answering(work), methods=["POST"]) for name, work in asked.items()
        ]
        app = Starlette(routes=routes)
        app.router.redirect_slashes = False
        return Guard(app, port=port, token=token)

    # ---- the page itself ----

    async def page(self, request: Request) -> Response:
        """Return the page, or one of the files that it is made of."""
        self.last_heard = time.monotonic()
        found = self.files.get(request.path_params.get("name", "index.html"))
        if found is None:
            return Response("There is no such page.", 404, media_type="text/plain")
        return Response(found[0], media_type=found[1])

    async def start(self, request: Request) -> Response:
        """Return what one can begin with."""
        self.last_heard = time.monotonic()
        folder = {"folder": self.opened.folder.name, "files": self.opened.names(), "first": self.opened.first}
        return JSONResponse({"ok": True, **folder, **beginnings()})

    def _answering(
        self, work: Callable[[Told], Coroutine[Any, Any, Told]]
    ) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """Return the answer to a request whose body is an object."""

        async def answer(request: Request) -> Response:
            self.last_heard = time.monotonic()
            try:
                asked = json.loads(await request.body())
                if not isinstance(asked, dict):
                    raise ValueError
            except (ValueError, RecursionError):
                return JSONResponse({"ok": False, "problems": [_said("a request is an object")]}, 400)
            try:
                return JSONResponse(await _while_there(request, work(asked)))
            except StaleError:
                return JSONResponse({"ok": False, "stale": True, "problems": []}, 409)
            except ChangedError as changed:
                told = {"ok": False, "changed": True, "stamp": changed.stamp, "problems": []}
                return JSONResponse(told, 409)
            except InputError as error:
                return JSONResponse(problems_told(error))
            except (KeyError, TypeError, ValueError):
                told = {"ok": False, "problems": [_said("a request says all that it is about")]}
                return JSONResponse(told, 400)

        return answer

    def _draft(self, asked: Told) -> Told:
        """Return the draft that a request is about, in the opened folder."""
        draft = asked["draft"]
        tables, base, name = draft["tables"], draft.get("base", ""), draft.get("name", "")
        if not (isinstance(tables, dict) and isinstance(base, str) and isinstance(name, str)):
            raise ValueError
        if name:
            self.opened.path_of(name)
        return {"tables": tables, "base": base, "name": name, "folder": str(self.opened.folder)}

    # ---- drafts and files ----

    async def open(self, asked: Told) -> Told:
        """Return a file of the folder, a sample, or a text as a draft."""
        stamp, name = "", ""
        if "name" in asked:
            name = _text(asked, "name")
            text, stamp = self.opened.read(name)
        elif "sample" in asked:
            text = sample_text(_text(asked, "sample"))
        else:
            text = _text(asked, "text")
        folder = str(self.opened.folder)
        told = await self.workers.run("jobs.opened", {"text": text, "name": name or "text", "folder": folder})
        return {**told, "name": name, "stamp": stamp}

    async def look(self, asked: Told) -> Told:
        """Return the small picture of a file or a sample."""
        told = {**asked, "ok": True} if "draft" in asked else {"draft": await self.open(asked)}
        if not told["draft"].get("ok", True):
            return dict(told["draft"])
        return await self.workers.run("jobs.looked_at", {"draft": self._draft(told)})

    async def save(self, asked: Told) -> Told:
        """Write a draft into the folder, if the file there is as it was when it was read."""
        draft, stamp = self._draft(asked), _text(asked, "stamp")
        if not draft["name"]:
            raise InputError(Problem("a file has a name", remedy="Give it one that ends in .toml."))
        job = "toys.saved" if "parts" in draft["tables"] else "jobs.saved"
        told = await self.workers.run(job, {"draft": draft})
        if not told["ok"]:
            return told
        return {**told, "stamp": self.opened.write(draft["name"], told["text"], stamp=stamp)}

    async def stamp(self, asked: Told) -> Told:
        """Return the stamp of a file. It also tells the server that a page is there."""
        name = _text(asked, "name")
        return {"ok": True, "stamp": self.opened.stamp(name) if name else ""}

    # ---- work ----

    async def solve(self, asked: Told) -> Told:
        """Return a draft solved, a part or a toy."""
        page = _text(asked, "page", "")
        draft = self._draft(asked)
        if "parts" in draft["tables"]:
            point = asked.get("point")
            if point is not None:
                point = [float(each) for each in point[:3]]
            work = {"draft": draft, "dragged": _text(asked, "dragged", ""), "point": point}
            return await self.workers.run("toys.solve", work, page=page)
        return await self.workers.run(
            "jobs.solve",
            {
                "draft": draft,
                "language": _text(asked, "language", ""),
                "spelled": asked.get("spelled") is True,
                "written": _text(asked, "written", ""),
            },
            page=page,
        )

    async def first(self, asked: Told) -> Told:
        """Return a first look at a part, there before it is solved."""
        return await self.workers.run(
            "jobs.first", {"draft": self._draft(asked)}, page=_text(asked, "page", "")
        )

    async def form(self, asked: Told) -> Told:
        """Return the form in space."""
        work = {"draft": self._draft(asked), "written": _text(asked, "written", "")}
        return await self.workers.run("jobs.form", work, page=_text(asked, "page", ""))

    async def points(self, asked: Told) -> Told:
        """Return a shape as points."""
        return await self.workers.run("jobs.as_points", {"draft": self._draft(asked)})

    async def size(self, asked: Told) -> Told:
        """Return a draft at a finished size."""
        work = {name: _text(asked, name) for name in ("measure", "target")}
        return await self.workers.run("making.sized", {"draft": self._draft(asked), **work})

    async def trace(self, request: Request) -> Response:
        """Return the outline in a picture; the draft comes in the address, the picture is the body."""
        self.last_heard = time.monotonic()
        query = request.query_params
        try:
            draft = self._draft({"draft": json.loads(query.get("draft", "{}"))})
        except (ValueError, KeyError, TypeError, RecursionError):
            return JSONResponse({"ok": False, "problems": [_said("a picture comes with a draft")]}, 400)
        work: Told = {"picture": await request.body(), "name": query.get("name", ""), "draft": draft}
        work |= {name: query.get(name, "") for name in ("height", "start", "finish")}
        return JSONResponse(await self.workers.run("making.traced", work))

    async def keep(self, request: Request) -> Response:
        """Return a file to keep: a picture, a mesh, a page."""
        made: Told = {}

        async def work(asked: Told) -> Told:
            arguments: Told = {"draft": self._draft(asked), "options": dict(asked.get("options", {}))}
            arguments |= {name: _text(asked, name) for name in ("what", "ending")}
            page = _text(asked, "page", "")
            made.update(await self.workers.run("making.kept", arguments, page=page, all_wanted=True))
            return {key: value for key, value in made.items() if key != "content"}

        told = await self._answering(work)(request)
        return Response(made["content"], media_type="application/octet-stream") if made.get("ok") else told


async def _while_there(request: Request, work: Coroutine[Any, Any, Told]) -> Told:
    """Return what work gives; let it be when whoever asked has gone."""
    working = asyncio.ensure_future(work)
    leaving = asyncio.ensure_future(request.receive())
    try:
        await asyncio.wait((working, leaving), return_when=asyncio.FIRST_COMPLETED)
        if not working.done():
            working.cancel()
            await asyncio.wait((working,))
            raise StaleError
        return working.result()
    finally:
        leaving.cancel()
        working.cancel()


def _text(asked: Told, name: str, default: str | None = None) -> str:
    value = asked[name] if default is None else asked.get(name, default)
    if not isinstance(value, str):
        raise TypeError
    return value


def _said(rule: str) -> Told:
    return {"text": f"{rule.capitalize()}.", "place": "", "points": []}
