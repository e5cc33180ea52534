"""The pictures of a sheet: the form, the chart of its start, a photo of the designer's own."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from solver.errors import InputError, Problem

if TYPE_CHECKING:
    from solver.sheet.model import Copy, Picture
    from solver.solving.solved import Solved

_PHOTOS = {".png": "png", ".jpg": "jpg", ".jpeg": "jpg"}
_LARGEST_PHOTO = 20_000_000


def portrait(solved: Solved, copy: Copy) -> Picture:
    """Return the picture of a part's form."""
    from solver.cli.incolours import in_colours
    from solver.sentences.say import sentences
    from solver.sheet.contents import size_words
    from solver.sheet.model import Picture
    from viz.figure import figure_bytes
    from viz.portrait import draw_portrait

    shown, front = solved.form if solved.form.is_flat else solved.standing, None
    if solved.painted.shown and not solved.form.is_flat:
        look = in_colours(solved)
        shown, front = look.form, look.front
    data = figure_bytes(draw_portrait(shown, colours=solved.shades, left=copy.left, front=front), "png")
    what = (
        "picture_flat" if solved.form.is_flat else "picture" if solved.part.is_stuffed else "picture_folded"
    )
    words = sentences(copy.terms).say(what, name=solved.part.title, sizes=size_words(solved, copy))
    return Picture(data, "png", words, 0.55)


def charts_of(solved: Solved, copy: Copy, name: str) -> tuple[Any, ...]:
    """Return the chart of the first rounds, or of a whole flat piece, with how to read it.

    Where a round has several colours, also one of all rounds in them.
    """
    from solver.cli.chart import chart_colours
    from solver.sheet.charts import chart_blocks, chart_rounds, colour_blocks
    from viz.chart import draw_chart, letters
    from viz.figure import figure_bytes

    last = chart_rounds(solved.piece)
    blocks: list[Any] = []
    if last:
        data = figure_bytes(draw_chart(solved.piece, last=last, rows=False, left=copy.left), "svg")
        blocks += chart_blocks(solved.piece, data, copy, name=name, last=last)
    if any(len(set(own)) > 1 for own in solved.colours):
        chart = draw_chart(solved.piece, rows=True, left=copy.left, **chart_colours(solved))
        blocks += colour_blocks(
            solved.piece, figure_bytes(chart, "svg"), copy, name=name, signs=letters(solved.colours)
        )
    return tuple(blocks)


def photo_of(name: str, folder: Path, title: str, copy: Copy) -> Picture:
    """Return a designer's own photo."""
    from PIL import Image, UnidentifiedImageError

    from solver.files.inputs import note_input
    from solver.sentences.say import sentences
    from solver.sheet.model import Picture

    path = folder / name
    kind = _PHOTOS.get(path.suffix.lower())
    remedy = "Give a .png or .jpg file beside the part file, of at most 20 MB."
    try:
        note_input(path)
        if not kind or path.stat().st_size > _LARGEST_PHOTO:
            raise InputError(Problem("a photo is a .png or .jpg file", got=name, remedy=remedy))
        data = path.read_bytes()
        with Image.open(path) as image:
            image.verify()
    except (OSError, ValueError, SyntaxError, UnidentifiedImageError) as error:
        got = getattr(error, "strerror", None) or "something else"
        raise InputError(Problem("the photo can be read", got=got, remedy=remedy, file=str(path))) from None
    return Picture(data, kind, sentences(copy.terms).say("photo", name=title), 0.7)
