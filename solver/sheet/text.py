"""A sheet as plain text: for screen readers and braille displays, one instruction a line."""

from __future__ import annotations

from collections.abc import Iterator

from solver.sheet.model import Block, Form, Grid, Heading, Picture, Points, Room, Sheet, Steps, Words


def as_text(sheet: Sheet) -> str:
    """Return a sheet as plain text: no line is broken, nothing is told by layout."""
    lines: list[str] = []
    for block in sheet.blocks:
        told = list(_lines(block))
        if told:
            lines += [*told, ""]
    return "\n".join(lines[:-1]) + "\n"


def _lines(block: Block) -> Iterator[str]:
    match block:
        case Heading(text) | Words(text):
            yield text
        case Points(items):
            yield from items
        case Picture(words=words):
            yield words
        case Grid():
            yield from block.lines()
        case Steps(steps=steps):
            yield from (step.text for step in steps)
        case Room(question):
            yield question
        case Form():
            return
