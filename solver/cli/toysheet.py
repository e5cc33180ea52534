"""The sheet of a whole toy: its parts, eyes among their rounds, how they are joined, with pin maps."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from solver.cli.sheetpictures import charts_of, photo_of, portrait
from solver.cli.work import solved_toy
from solver.sheet.contents import SheetPart, Whole, sheet_of, steps
from solver.sheet.model import Heading, Picture, Words
from solver.sheet.sentences import sentences

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

    toy = solved.toy
    eyes = eye_places(solved)
    own = toy.own_lines
    whole = Whole(
        title=toy.title,
        lines=own,
        pictures=(photo_of(own.photo, folder, toy.title, copy) if own.photo else _picture(solved, copy),),
        sizes=(_whole_size(solved, copy),),
        joining=tuple(_joining(solved, copy)),
        cautions=cautions(solved),
    )
    parts = [_part(solved, each, eyes, copy) for each in toy.as_worked]
    return sheet_of(whole, parts, copy, forms=forms)


def _whole_size(solved: SolvedToy, copy: Copy) -> str:
    """Return the sizes of the whole toy, in the language of a copy."""
    from solver.toy.words import size_words
    from solver.units import in_both

    say = sentences(copy.terms)
    if say.own is say.english:
        return size_words(solved.sizes)
    width, depth, height = solved.sizes
    told = (("height", height), ("width", width), ("depth", depth))
    return ", ".join(f"{say.say(name)}\N{NO-BREAK SPACE}{in_both(mm)}" for name, mm in told) + "."


def _part(solved: SolvedToy, each: ToyPart, eyes: tuple[EyePlace, ...], copy: Copy) -> SheetPart:
    from solver.toy.words import eye_line

    one = solved.parts[each.name]
    between = [(eye.below, eye_line(eye, left=copy.left)) for eye in eyes if eye.part == each.name]
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
    from solver.cli.places import pin_map
    from solver.toy.places import places
    from solver.toy.words import joining
    from viz.figure import figure_bytes

    told = places(solved)
    named = [each.name for each in solved.toy.as_worked if each.on]
    if not named:
        return
    yield Heading(sentences(copy.terms).say("joining"))
    for name in named:
        of_part = tuple(place for place in told if place.copy.wanted.name == name)
        if of_part:
            yield Heading(solved.parts[name].part.title, 3)
            yield Words(" ".join(joining(of_part, left=copy.left)))
    for each in solved.toy.as_worked:
        on_it = [other.spoken for other in solved.toy.parts if other.on == each.name]
        on_it += [eye.what for eye in each.eyes]
        if on_it:
            title = f"Places on the {each.spoken}"
            data = figure_bytes(
                pin_map(solved, each.name, title=title, left=copy.left, column=_COLUMN), "svg"
            )
            words = (
                f"Pin map of the {each.spoken}: its rounds against its stitches, the middle of the front in "
                f"the middle, with the places of: {', '.join(dict.fromkeys(on_it))}. The joining tells "
                "the same."
            )
            yield Heading(title, 3)
            yield Picture(data, "svg", words, 1.0, tall=200.0)


def _picture(solved: SolvedToy, copy: Copy) -> Picture:
    import numpy as np
    from PIL import Image

    from solver.toy.beads import beads
    from solver.toy.words import size_words
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
    side = "right" if copy.left else "left"
    words = f"{solved.toy.title}, put together, seen from its front and {side}. {size_words(solved.sizes)}"
    return Picture(out.getvalue(), "png", words, 0.7)
