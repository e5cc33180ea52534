"""A whole toy as plain text: materials, key, parts in the order of work, joining, size, notes, cautions."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from solver.cli.paragraphs import paragraph
from solver.cli.report import gauge_line, wrapped
from solver.notation.words import words
from solver.notation.writer import LineKind, standing_notes, write_rounds
from solver.toy.places import EyePlace, eye_places, places
from solver.toy.summary import cautions, notes, stands, takes
from solver.toy.words import eye_line, joining, size_words, work_on

if TYPE_CHECKING:
    from solver.toy.model import ToyPart
    from solver.toy.solved import SolvedToy


def toy_text(solved: SolvedToy, *, spelled: bool = False, full: bool = False) -> str:
    """Return the whole pattern of a toy for its maker; in full with what amounts and forms rest on."""
    toy = solved.toy
    lines = [toy.title]
    gauges = dict.fromkeys(_gauge(each) for each in toy.as_worked)
    lines += ["", *(part for gauge in gauges for part in paragraph(gauge))]
    lines += _listed("Materials", takes(solved).sentences(basis=full))
    lines += _listed("How to read it", _key(solved, spelled=spelled))
    eyes = eye_places(solved)
    for each in toy.as_worked:
        lines += ["", *_part(solved, each, eyes, spelled=spelled)]
    told = places(solved)
    joined = [each.name for each in toy.as_worked if each.on]
    if joined:
        lines += ["", "Joining"]
    for name in joined:
        of_part = tuple(place for place in told if place.copy.wanted.name == name)
        if of_part:
            lines += ["", *paragraph(" ".join([*joining(of_part), work_on(of_part)]).strip())]
    lines += _listed("Size and weight", _whole(solved))
    lines += _listed("Notes", notes(solved, new=not full))
    lines += _listed("Cautions", cautions(solved))
    return "\n".join(lines)


def _gauge(each: ToyPart) -> str:
    return gauge_line(each.part.gauge, words(each.part.work.terms)["gauge"].one)


def _listed(heading: str, items: object) -> list[str]:
    told = list(items)  # type: ignore[call-overload]
    lines = ["", heading] if told else []
    for item in told:
        lines += paragraph(item, first="- ", hanging=2)
    return lines


def _key(solved: SolvedToy, *, spelled: bool) -> Iterator[str]:
    """Yield what the reader must know once, for all parts together: what ends a key stays at its end."""
    told: list[str] = []
    for each in solved.toy.as_worked:
        part = solved.parts[each.name]
        terms, rings = part.part.work.terms, part.piece.counts[0]
        joined = part.part.work.joined
        own = standing_notes(part.piece, terms=terms, spelled=spelled, colours=part.colours, joined=joined)
        at = 0
        for note in own:
            if note == words(terms).say("notes", "no_ring", n=rings):
                note = note.replace(f"{rings} ", "")
            if note in told:
                at = told.index(note) + 1
            else:
                told.insert(at, note)
                at += 1
    yield from told


def _part(solved: SolvedToy, each: ToyPart, eyes: tuple[EyePlace, ...], *, spelled: bool) -> Iterator[str]:
    """Yield a part's heading and rounds, its eyes in their place."""
    one, number = solved.parts[each.name], len(solved.copies_of(each.name))
    yield f"{one.part.title} (make {number})" if number > 1 else one.part.title
    waiting = sorted((place for place in eyes if place.part == each.name), key=lambda place: place.below)
    colours = one.colours
    written = write_rounds(
        one.piece, terms=one.part.work.terms, spelled=spelled, stuffed=one.part.is_stuffed, colours=colours
    )
    for line in written:
        # fixed as soon as the round above is worked, or before what closes the part
        while waiting and (line.first > waiting[0].below + 1 or line.kind is LineKind.FINISH):
            yield from paragraph(eye_line(waiting.pop(0)), hanging=4)
        yield from wrapped(line)


def _whole(solved: SolvedToy) -> Iterator[str]:
    how = stands(solved)
    yield size_words(solved.sizes)
    yield f"It weighs about {how.weight.grams:.0f} g."
