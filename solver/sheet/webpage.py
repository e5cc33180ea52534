"""A sheet as one `.html` file without a network: rounds to tick, a counter, and forms that turn."""

from __future__ import annotations

import base64
import hashlib
import html
import json
from collections.abc import Iterator
from importlib.resources import files
from typing import Any

from solver.sentences.say import Sentences, sentences
from solver.sheet.model import Block, Form, Grid, Heading, Picture, Points, Room, Sheet, Step, Steps, Words

_MIME = {"png": "image/png", "jpg": "image/jpeg", "svg": "image/svg+xml"}
_LARGE = 200
"""Size of letters of a large copy. [% of the browser's]"""


def as_page(sheet: Sheet) -> str:
    """Return a sheet as one page. Without scripts it can be read, and its boxes ticked for the visit."""
    say = sentences(sheet.copy.terms)
    forms = [block for block in sheet.blocks if isinstance(block, Form)]
    told: list[str] = []
    number = {id(form): i for i, form in enumerate(forms)}
    parts = 0
    for block in sheet.blocks:
        if isinstance(block, Steps):
            if not parts:
                told.append(_place(say))
            told += _steps(block, parts)
            parts += 1
        elif isinstance(block, Form):
            told += _form(block, number[id(block)], say)
        else:
            told += _block(block)
    filled = {
        "LANG": html.escape(sheet.language),
        "TITLE": html.escape(sheet.title),
        "SIZE": str(_LARGE if sheet.copy.large else 112),
        "SKIP": html.escape(say.say("skip")),
        "BODY": "\n".join(told),
        "WORDS": _json({"mark": _mark(sheet), **{n: say.say(n) for n in ("none_done", "all_done", "sure")}}),
        "FORMS": _json(
            [
                {"points": f.points, "faces": f.faces, "rounds": f.rounds, "hollow": f.hollow, "name": f.name}
                for f in forms
            ]
        ),
    }
    page = (files("solver.sheet") / "sheet.html").read_text(encoding="utf-8")
    for_names = "|".join(filled)
    return _fill(page, filled, for_names)


def _fill(page: str, filled: dict[str, str], names: str) -> str:
    """Return the page with its blanks filled; what is filled in is never searched for blanks."""
    import re

    return re.sub(f"@({names})@", lambda match: filled[match[1]], page)


def _mark(sheet: Sheet) -> str:
    """Return what ticks are kept under: another pattern has other ticks."""
    rounds = [step.text for block in sheet.blocks if isinstance(block, Steps) for step in block.steps]
    return hashlib.sha256("\n".join([sheet.title, *rounds]).encode()).hexdigest()[:16]


def _json(value: Any) -> str:
    """Return data that can stand in a script element."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")


def _block(block: Block) -> Iterator[str]:
    match block:
        case Heading(text, level):
            yield f"<h{level}>{html.escape(text)}</h{level}>"
        case Words(text):
            yield f"<p>{html.escape(text)}</p>"
        case Points(items):
            yield "<ul>" + "".join(f"<li>{html.escape(item)}</li>" for item in items) + "</ul>"
        case Picture(data, kind, words):
            source = f"data:{_MIME[kind]};base64,{base64.b64encode(data).decode()}"
            yield f'<p><img src="{source}" alt="{html.escape(words)}"></p>'
        case Grid(head, rows):
            yield "<table><thead><tr>" + "".join(f'<th scope="col">{html.escape(each)}</th>' for each in head)
            yield "</tr></thead><tbody>"
            for row in rows:
                first, *rest = (html.escape(cell) for cell in row)
                yield f'<tr><th scope="row">{first}</th>' + "".join(f"<td>{cell}</td>" for cell in rest)
                yield "</tr>"
            yield "</tbody></table>"
        case Room(question):
            yield f'<p class="room">{html.escape(question)}</p>'
        case Steps() | Form():
            raise AssertionError  # these need to know of the others


def _place(say: Sentences) -> str:
    """Return the counter: the round at hand, with large buttons."""
    buttons = "".join(
        f'<button type="button"{css} data-act="{name}">{html.escape(say.say(name))}</button>'
        for name, css in (("next", ' class="main"'), ("back", ""), ("where", ""), ("again", ""))
    )
    sizes = "".join(
        f'<button type="button" data-act="{name}">{html.escape(say.say(name))}</button>'
        for name in ("smaller", "larger")
    )
    title, keys, here = (html.escape(say.say(name)) for name in ("tools_title", "keys", "here"))
    return (
        f'<section id="rounds" class="place scripted" aria-label="{title}"><h2>{here}</h2>'
        f'<p data-here aria-live="polite"></p><div>{buttons}</div><p>{keys}</p><div>{sizes}</div></section>'
    )


def _steps(block: Steps, part: int) -> Iterator[str]:
    yield '<ol class="rounds">'
    for line, step in enumerate(block.steps):
        yield _step(step, block.name, part, line)
    yield "</ol>"


def _step(step: Step, name: str, part: int, line: int) -> str:
    text = html.escape(step.text)
    if not step.boxes:
        return f'<li class="between">{text}</li>'
    words = f"t{part}-{line}"
    boxes = "".join(
        f'<input type="checkbox" id="r{part}-{number}" data-round="{number}" '
        f'data-part="{html.escape(name)}" aria-label="{number}: {text}">'
        for number in range(step.first, step.last + 1)
    )
    return (
        f'<li data-part="{html.escape(name)}" data-text="{text}"><span class="ticks">{boxes}</span>'
        f'<span id="{words}">{text}</span></li>'
    )


def _form(form: Form, number: int, say: Sentences) -> Iterator[str]:
    words = html.escape(form.words)
    left, right = (html.escape(say.say(name)) for name in ("turn_left", "turn_right"))
    yield (
        f'<div class="scripted"><canvas data-form="{number}" tabindex="0" role="img" aria-label="{words}">'
        f'</canvas><p><button type="button" data-turn="0.3">{left}</button> '
        f'<button type="button" data-turn="-0.3">{right}</button></p></div>'
    )
