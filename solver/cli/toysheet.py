"""The sheet of a whole toy: its parts, eyes among their rounds, how they are joined, with pin maps."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from solver.cli.sheetpictures import charts_of, photo_of, portrait
from solver.cli.work import solved_toy
from solver.notes import Said
from solver.sentences.say import sentences
from solver.sheet.contents import SheetPart, Whole, sheet_of, steps
from solver.sheet.model import Heading, Picture, Points

if TYPE_CHECKING:
    from solver.sheet.model import Block, Copy, Sheet
    from solver.toy.model import Toy, ToyPart
    from solver.toy.places import EyePlace
    from solver.toy.solved import SolvedToy

_COLUMN = 6.2
"""Width of a sheet's column: letters of pin maps are printed as large as they are drawn. [inches]"""
_DOTS = 700
"""Of the picture of the whole, on its longer side."""


def toy_sheet(toy: Toy, copy: Copy, *, folder: Path, forms: bool) -> Sheet:
    """Return the sheet of a toy."""
    return sheet_of_solved(solved_toy(toy), copy, folder=folder, forms=forms)


def sheet_of_solved(solved: SolvedToy, copy: Copy, *, folder: Path, forms: bool) -> Sheet:
    """Return the sheet of a toy that is solved."""
    from solver.toy.places import eye_places
    from solver.toy.summary import cautions
    from solver.toy.words import size_words

    toy = solved.toy
    eyes = eye_places(solved)
    own = toy.own_lines
    whole = Whole(
        title=toy.title,
        lines=own,
        pictures=(photo_of(own.photo, folder, toy.title, copy) if own.photo else _picture(solved, copy),),
        sizes=(size_words(solved.sizes, sentences(copy.terms)),),
        joining=tuple(_joining(solved, copy)),
        cautions=cautions(solved, sentences(copy.terms)),
    )
    parts = [_part(solved, each, eyes, copy) for each in toy.as_worked]
    return sheet_of(whole, parts, copy, forms=forms)


def _part(solved: SolvedToy, each: ToyPart, eyes: tuple[EyePlace, ...], copy: Copy) -> SheetPart:
    from solver.toy.words import eye_line

    one = solved.parts[each.name]
    say = sentences(copy.terms)
    between = [(eye.below, eye_line(eye, left=copy.left, say=say)) for eye in eyes if eye.part == each.name]
    return SheetPart(
        name=one.part.title,
        solved=one,
        make=len(solved.copies_of(each.name)),
        pictures=(portrait(one, copy),),
        charts=charts_of(one, copy, one.part.title),
        told=steps(one, copy, between=between),
    )


def _joining(solved: SolvedToy, copy: Copy) -> Iterator[Block]:
    """Yield how each part is joined, then a pin map of each part that carries something."""
    from solver.toy.places import places
    from solver.toy.words import called, joining

    say, told = sentences(copy.terms), places(solved)
    named = [each.name for each in solved.toy.as_worked if each.on]
    if not named:
        return
    yield Heading(say.say("joining"))
    for name in named:
        of_part = tuple(place for place in told if place.copy.wanted.name == name)
        if of_part:
            yield Heading(solved.parts[name].part.title, 3)
            yield Points(tuple(joining(of_part, left=copy.left, say=say)))
    for each in solved.toy.as_worked:
        on_it = [called(other, say) for other in solved.toy.parts if other.on == each.name]
        on_it += [say.within(f"{eye.what}s" if eye.twins else eye.what) for eye in each.eyes]
        if on_it:
            yield from _pin_map(solved, each, dict.fromkeys(on_it), copy)


def _pin_map(solved: SolvedToy, each: ToyPart, on_it: Iterable[str], copy: Copy) -> Iterator[Block]:
    """Yield the pin map of a part with its heading and how to read it."""
    from solver.cli.places import pin_map
    from solver.toy.words import called
    from viz.figure import figure_bytes

    say = sentences(copy.terms)
    on = Said("the_part", {"name": called(each, say)})
    title = say.say("places_on", on=on)
    figure = pin_map(solved, each.name, title=title, left=copy.left, column=_COLUMN, say=say)
    yield Heading(title, 3)
    words = say.say("pin_map", on=on, what=say.joined(on_it))
    tall = 135.0 if copy.large else 200.0  # with the words on how to read it
    yield Picture(figure_bytes(figure, "svg"), "svg", words, 1.0, tall=tall)
    yield Points((say.say("pin_map_how"),))


def _picture(solved: SolvedToy, copy: Copy) -> Picture:
    import numpy as np
    from PIL import Image

    from solver.toy.beads import beads
    from viz.camera import Camera
    from viz.toy import Skin, colours_of, rendered

    skins = [Skin(each.surface.form.fabric, each.points, each.solved.shades) for each in solved.copies]
    palette = colours_of([name for skin in skins for name in skin.names])
    mm = max(solved.sizes) / _DOTS
    picture, _ = rendered(skins, beads(solved), Camera(tilt=15.0, turn=-60.0), palette, mm_a_dot=mm)
    if copy.left:
        picture = picture[:, ::-1]
    out = io.BytesIO()
    Image.fromarray((np.clip(picture, 0.0, 1.0) * 255).astype(np.uint8)).save(
        out, format="PNG", compress_level=4
    )
    words = sentences(copy.terms).say("toy_right" if copy.left else "toy_left", name=solved.toy.title)
    return Picture(out.getvalue(), "png", words, 0.7)
