"""Rounds from a text, made ready for their form: what `preview` and `compare` share."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from solver.errors import InputError, Problem

if TYPE_CHECKING:
    from solver.equilibrium import Form
    from solver.gauge import Gauge, Stuffing
    from solver.rounds import Piece

_GAUGE = re.compile(
    r"\s*(?P<stitches>\d+(?:\.\d+)?)\s*(?:sts?|stitches|sc|dc)?\s*"
    r"(?:[x×]\s*(?P<rows>\d+(?:\.\d+)?)\s*(?:rows?|rounds?|rnds?)?\s*)?(?:/|per|to|over|in|=)\s*(?P<over>\S.*)",
    re.IGNORECASE,
)

part_number = click.option(
    "--part",
    "number",
    type=click.IntRange(min=1),
    default=1,
    show_default=True,
    help="Which part of a page that holds several.",
)
"""Which part of a page to take."""


@dataclass(frozen=True, slots=True)
class Written:
    """The rounds of one part of a page.

    Attributes
    ----------
    counts : tuple of int
        Stitches in each round.
    piece : Piece or None
        The piece; None where the rounds do not add up.
    reason : str
        Why there is no piece.
    notes : tuple of str
        For the maker.
    terms : str
        "US" or "UK", as the page has it; empty for languages with one set of terms.
    """

    counts: tuple[int, ...]
    piece: Piece | None
    reason: str
    notes: tuple[str, ...]
    terms: str


def written(file: Path, *, number: int = 1) -> Written:
    """Read one part of a page of rounds.

    Parameters
    ----------
    file : Path
        Plain text.
    number : int
        Which part, from 1.

    Raises
    ------
    InputError
        If the page can't be read or has no such part.
    """
    from solver.cli.proof import page_text
    from solver.notation.convert import converted
    from solver.notation.proof import proof_read

    proof = proof_read(page_text(file))
    parts = [
        one for one in converted(proof) if any(line.counts for line in proof.lines if line.part == one.part)
    ]
    if number > len(parts):
        rule = "the page has rounds that can be read" if not parts else f"the page has a part {number}"
        raise InputError(Problem(rule, got=f"{len(parts)} parts", file=str(file)))
    one = parts[number - 1]
    lines = [line for line in proof.lines if line.part == one.part]
    notes = [*one.notes]
    wrong = [str(line.line) for line in lines if line.problems]
    if wrong:
        which = f"line {wrong[0]}" if len(wrong) == 1 else f"lines {', '.join(wrong)}"
        notes.append(f"Something is wrong on {which}: plumpline proof {file} tells what.")
    counts = tuple(count for line in lines for count in line.counts)
    return Written(counts, one.piece, one.reason, tuple(notes), proof.terms)


def gauge_of(text: str) -> Gauge:
    """Return the gauge that a text like "20 x 22 / 10 cm" tells.

    Raises
    ------
    InputError
        If it can't be understood.
    """
    from solver.gauge import Gauge
    from solver.units import to_mm

    match = _GAUGE.fullmatch(text)
    if not match:
        raise InputError(
            Problem(
                "a gauge tells stitches, rows and what they measure",
                got=text,
                remedy='Write it like "20 x 22 / 10 cm"; leave the rows out where you did not count them.',
                place="--gauge",
            )
        )
    rows = float(match["rows"]) if match["rows"] else None
    return Gauge.from_swatch(stitches=float(match["stitches"]), rows=rows, over_mm=to_mm(match["over"]))


def form_of(piece: Piece, gauge: Gauge, stuffing: Stuffing) -> Form:
    """Return what rounds become when stuffed.

    Parameters
    ----------
    piece : Piece
        Begun with a ring or open; cinched or open at the end. An open end is held as wide as its fabric.
    gauge : Gauge
        How large a stitch is.
    stuffing : Stuffing
        How hard it is stuffed.

    Raises
    ------
    InputError
        If the piece is no solid of revolution.
    """
    from solver.equilibrium import RingFabric, ring_form
    from solver.rounds import Finish, Start

    if piece.start is Start.CHAIN or piece.finish is Finish.SEAMED:
        rule = "a form is worked out for parts that are round"
        raise InputError(Problem(rule, got="an oval or a part sewn flat", remedy="Proof-read it instead."))
    radius = gauge.stitch_width * max(piece.counts) / (2 * math.pi)
    opened = piece.start is Start.OPEN
    fabric = RingFabric.from_counts(
        [float(count) for count in piece.counts],
        stitch_width=gauge.stitch_width,
        row_height=gauge.row_height,
        foundation=float(piece.foundation) if opened else 0.0,
        cinched=piece.finish is Finish.CINCHED,
        wale_stiffness=gauge.stiffness_ratio,
    )
    return ring_form(fabric, pressure=stuffing.pressure(radius * (1 + stuffing.stretch)))


def changed_rounds(edited: tuple[int, ...], solved: tuple[int, ...]) -> Iterator[str]:
    """Yield, as sentences, where edited counts differ from the solved ones."""
    if len(edited) != len(solved):
        same = _alike(edited, solved)
        many = f"The page has {len(edited)} rounds, the solved part {len(solved)}"
        yield f"{many}: they part at round {same + 1}."
        # Shifted by a round or two: a list of counts side by side would tell nothing.
        again = _alike(edited[same:][::-1], solved[same:][::-1])
        if again:
            yield f"Counted from the end, {again} {'round is' if again == 1 else 'rounds are'} the same."
        return
    told = 0
    for number, (mine, ours) in enumerate(zip(edited, solved, strict=True), start=1):
        if mine != ours and told < 12:
            yield f"Round {number} has {mine} stitches, the solved part {ours}."
            told += 1


def _alike(one: tuple[int, ...], other: tuple[int, ...]) -> int:
    """Return how many counts at the beginning are the same."""
    return next(
        (i for i, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other))
    )
