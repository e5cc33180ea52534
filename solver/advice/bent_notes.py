"""What a maker hears of a part that bends: how its bends are worked, and what they rest on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

import numpy as np

from solver.arrays import Floats
from solver.notation.words import words
from solver.notation.writer import round_text
from solver.notes import About, Note
from solver.rounds import HEIGHTS, Heights, Piece, Round, Stitch
from solver.rounds.evenness import bends
from solver.units import in_mm

TILT_TOLD, MIDDLE_TOLD = 5.0, 0.5
"""Degrees of tilt, and stitch widths of the middle line, from which a form is told to fall short."""


def bend_notes(piece: Piece, *, terms: str, towards_front: bool) -> Iterator[Note]:
    """Yield how each bend is worked: the same in every round of it.

    Parameters
    ----------
    piece : Piece
    terms : str
        "US", "UK" or the name of a word table.
    towards_front : bool
        Whether the tall stitches are the front, as of a belly; else the low ones are the inside of a bend.
    """
    table = words(terms)
    bent, shaped = False, None
    for this, group in groupby(enumerate(piece.rounds, start=1), key=lambda each: each[1]):
        if not bends(this):
            continue
        bent = True
        numbers = [number for number, _ in group]
        which = f"Rounds {numbers[0]} to {numbers[-1]}" if len(numbers) > 1 else f"Round {numbers[0]}"
        alike = ", all alike" if len(numbers) > 1 else ""
        side = "they stand in front" if towards_front else _inside(this)
        does = "moves the part aside" if _stays(this) else "bends the part"
        does = does if len(numbers) == 1 else does.replace("s the", " the")
        yield Note(f"{which} {does}{alike}: {round_text(this, table)}; {side}.", About.CHOICE)
        shaped = shaped or this
    if bent and shaped and shaped.increases and not _stays(shaped):
        yield Note(
            "Leave the marker where each round ends all through such a bend: increases and decreases walk "
            "a little round the part, and that is what tilts it. How far it does rests on how stitches lean, "
            "which is assumed: try it on a few rounds before you count on it.",
            About.CHOICE,
        )
    elif bent:
        yield Note(
            "Keep the marker at the first stitch of the round all through a bend: where the stitches drift "
            "to one side as you work, as they do in a spiral, move it back in line with the middle of the "
            "bend's inside.",
            About.CHOICE,
        )


def _stays(this: Round) -> bool:
    """Whether the increases of rounds alike stand in line: such rounds move a part aside."""
    return this.increases > 0 and this.stitches[0].makes > 1 and this.stitches[-1].makes > 1


def _inside(this: Round) -> str:
    """Return where the inside of a bend is in a round, in words."""
    if this.increases:
        return "it leans towards the increases"
    low = Stitch.SLST in this.stitches
    return "the slip stitches are the inside of the bend" if low else "the tall stitches are its outside"


def reach_note(*, wanted: float, got: float, middle: float, stitch_width: float, is_level: bool) -> str:
    """Return how near the form comes to the bend that is wanted; angles in degrees, lengths in mm."""
    if is_level:
        return ""
    told = (
        f"Stuffed, its last round is tilted by {abs(got):.0f} degrees against the first (wanted: "
        f"{abs(wanted):.0f}); its middle line lies {in_mm(middle)} off the drawn one on average."
    )
    short = abs(got - wanted) > TILT_TOLD or middle > MIDDLE_TOLD * stitch_width
    more = " That falls short: make the bend longer, or gentler." if short else ""
    return Note(told + more, About.FORM)


def girth_note(girths: Floats, asked: Floats, counts: Sequence[int]) -> str:
    """Return how far whole stitches leave a part's girths off the drawn ones; empty where they are near.

    Parameters
    ----------
    girths, asked : (n,) float
        Of each round, as it is and as it is drawn. [mm]
    counts : sequence of int
        Stitches of each round.
    """
    told = max((girth for girth in counts if girth > THICK * max(counts)), key=list(counts).count)
    rounds = [i for i, count in enumerate(counts) if count == told]
    got, drawn = float(np.median(girths[rounds])), float(np.median(asked[rounds]))
    if not GIRTH_TOLD < abs(got / drawn - 1) <= MOST_WHOLE / told:  # more is not for whole stitches' sake
        return ""
    other = got * (told + (1 if got < drawn else -1)) / told
    low, high = sorted((got / np.pi, other / np.pi))
    how = "thinner" if got < drawn else "thicker"
    return Note(
        f"Stitches are whole: its rounds of {told} come out {abs(got / drawn - 1):.0%} {how} than drawn. "
        f"Drawn {in_mm(low)} or {in_mm(high)} across, not {in_mm(drawn / np.pi)}, they come out as drawn.",
        About.FORM,
    )


GIRTH_TOLD, MOST_WHOLE, THICK = 0.03, 0.8, 0.5
"""Part of a girth from which a part is told to come out thinner or thicker; stitches up to which that is for
whole ones; part of the most stitches that rounds have which tell it."""


def slant_note(slant: float, *, bends: bool) -> str:
    """Return how a part whose front stands out comes to it; the slant of its last round in degrees."""
    if abs(slant) < SLANT_TOLD:
        return ""
    how = "besides" if bends else "it is worked evenly all round, and"
    towards = "front" if slant > 0 else "back"
    return Note(
        f"Its front stands out as drawn: {how} it sits leaning, its last round {abs(slant):.0f} degrees "
        f"lower towards the {towards}. Pin it so before you sew anything to it.",
        About.FORM,
    )


SLANT_TOLD = 3.0
"""Degrees from which a round is told to lie slanted."""


def rounds_note(tried: int) -> str:
    """Return how the rounds were chosen; empty where they were not."""
    if not tried:
        return ""
    several = f"{tried} sets of rounds were" if tried > 1 else "one set of rounds was"
    return Note(f"The rounds were chosen by their stuffed form: {several} worked out.", About.CHOICE)


def height_note(piece: Piece, heights: Heights) -> str:
    """Return what is taken of stitches of other heights; empty without them, or where measured."""
    used = {stitch.plain for this in piece.rounds for stitch in this.stitches} - {Stitch.SC}
    names = {Stitch.SLST: "a slip stitch", Stitch.HDC: "a half double crochet", Stitch.DC: "a double crochet"}
    told = [f"{names[stitch]} {heights.of(stitch):g}" for stitch in names if stitch in used]
    if not told or heights != HEIGHTS:
        return ""
    return (
        f"Assumed heights, in rows of single crochet (US): {', '.join(told)}. Measure yours on swatches and "
        "write them under [gauge], heights = { slst = ..., hdc = ..., dc = ... }."
    )
