"""What a maker should hear about a solved elongated part: how it was chosen, where it leaves its shape."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from solver.advice.notes import RUFFLE
from solver.form.stuffed import StuffedForm
from solver.notes import About, Note, listed
from solver.rounds import Finish, Piece
from solver.search.flat_oval import FlatOval, LastRound
from solver.search.oval_ends import changes
from solver.search.oval_plan import OvalMaking, tolerances
from solver.search.oval_trial import FULL, LIES_NEAR, Trial, middle_sizes, misses, rms_distance, waist
from solver.units import in_mm
from solver.wanted.stadium import Stadium

DRAWN_IN = 12
"""Stitches of an oval edge that can be drawn to a point without a pucker (common practice, no source)."""

SEEN = 0.5, 0.25
"""Stitches by which an end lies off where it is worth a word at all, and where the other way is told too."""


def choice_note(piece: Piece, making: OvalMaking, *, solved: int = 0) -> str:
    """Return how chain, ends and rounds were chosen.

    Parameters
    ----------
    piece : Piece
        What was chosen.
    making : OvalMaking
    solved : int
        Sets of numbers tried; 0 where these were given.
    """
    flat = 2 * making.flat_end
    ends = [count // 2 - piece.side for count in piece.counts]
    widest, top = max(ends), 1 + ends.index(max(ends))
    why = "as the part file says" if making.chain else "for the straight sides"
    first = (
        "as the part file says"
        if making.end
        else f"as {flat:.1f} more stitches a round lie flat at this gauge"
    )
    told = (
        f"Chain {piece.foundation}, {why}: {piece.side} straight stitches on each side. {ends[0]} stitches "
        f"in each end chain, {first}. The ends grow to {widest} stitches each by round {top}; "
        f"{len(ends)} rounds."
    )
    return f"{told} The best of {solved} such sets, each tried on its stuffed form." if solved else told


def plain_ends_note(plain: Trial, exact: Trial, *, stitch_width: float) -> Note:
    """Return what plain rounds cost against the nearest ones, and what they spare. [mm]"""
    far, near = (trial.rms / stitch_width for trial in (plain, exact))
    many, few = (changes(trial.ends) for trial in (exact, plain))
    told = f"Plain rounds: {far:.2f} of a stitch from the drawing"
    return Note(
        f"{told} on average, and the ends change their step {_times(few)}; "
        f'exact ones (rounds = "exact"): {near:.2f}, and {_times(many)}.',
        About.PLAIN,
        short=f"{told}, the ends change step {_times(few)}; exact ones {near:.2f}, {_times(many)}.",
    )


def _times(number: int) -> str:
    """Return how often, in words."""
    return {0: "never", 1: "once", 2: "twice"}.get(number, f"{number} times")


def flat_choice_note(oval: FlatOval, *, row_height: float, chain_given: bool, ends_given: bool) -> str:
    """Return how chain, ends and rounds of a flat oval were chosen. [mm]"""
    piece = oval.piece
    chain = "as the part file says" if chain_given else "for the length"
    ends = "as the part file says" if ends_given else "as many as lie flat at this gauge"
    told = (
        f"Chain {piece.foundation}, {chain}: {piece.side} straight stitches on each side. "
        f"{piece.ends[0] + piece.ends[2]} stitches in each end chain in round 1, {ends}. "
        f"{len(piece.rounds)} rounds, each {in_mm(2 * row_height)} more across."
    )
    if oval.last is not LastRound.PLAIN:
        told += f" {str(oval.last).capitalize()} in the last round bring it nearer to the width."
    return told


def size_notes(form: StuffedForm, wanted: Stadium, making: OvalMaking) -> Iterator[str]:
    """Yield which sizes whole stitches and rounds miss, and by how much.

    Parameters
    ----------
    form : StuffedForm
    wanted : Stadium
        What the rounds are for.
    making : OvalMaking
    """
    near = tolerances(wanted, making)[:3]
    words = [("longer", "shorter"), ("wider", "narrower"), ("higher", "lower")]
    off = [
        f"{in_mm(abs(float(miss)))} {more if miss > 0 else less}"
        for miss, limit, (more, less) in zip(misses(form, wanted)[:3], near, words, strict=True)
        if abs(miss) > limit
    ]
    if off:
        yield (
            f"It comes out {' and '.join(off)} than wanted: no whole stitches and rounds tried come nearer. "
            "Try sizes a little larger or smaller, or finer yarn."
        )
    apart = rms_distance(form, wanted)
    if apart > LIES_NEAR * making.stitch_width:
        yield (
            f"Its surface lies {in_mm(apart)} from the wanted one on average, more than whole stitches "
            "alone explain: look at `plumpline compare`."
        )


def sides_note(form: StuffedForm, wanted: Stadium, making: OvalMaking) -> str:
    """Return what becomes of sides that change with the height; empty where that is less than half a stitch.

    Parameters
    ----------
    form : StuffedForm
    wanted : Stadium
    making : OvalMaking
    """
    least, most = (in_mm(float(end)) for end in (wanted.straights.min(), wanted.straights.max()))
    if making.finish is Finish.OPEN and not wanted.is_even:
        return (
            f"Straight sides from {least} to {most} long are wanted: they keep their stitches from round to "
            "round, and the two ends take up the difference."
        )
    sides = form.length - form.width
    short = (wanted.straights - sides) / 2
    if wanted.is_even or np.abs(short).max() <= SEEN[0] * making.stitch_width:
        return ""
    up = wanted.profile[:, 1] - wanted.profile[0, 1]
    words = [
        f"{in_mm(float(off.max()))} {where} the wanted one ({in_mm(float(up[off.argmax()]))} up)"
        for off, where in ((short, "short of"), (-short, "beyond"))
        if off.max() > SEEN[1] * making.stitch_width
    ]
    return (
        f"Straight sides from {least} to {most} long are wanted, and straight sides keep their stitches from "
        f"round to round: the part comes out with sides of about {in_mm(sides)} all the way. Each end lies "
        f"at most {' and '.join(words)}. If that is too much, work it as two parts, each with sides of one "
        "length, and sew them together; or add increases at the ends of the sides by hand."
    )


def closed_notes(form: StuffedForm) -> Iterator[str]:
    """Yield what law S made of a closed part without a sole."""
    across, up = middle_sizes(form)
    told = f"Stuffed, it is {in_mm(across)} wide and {in_mm(up)} high across its middle"
    if waist(form) < FULL:
        told += f", and has a waist: the middle is {1 - waist(form):.0%} narrower than its widest place"
    yield told + "."


def edge_note(form: StuffedForm) -> str:
    """Return what law O left of the oval at a free edge."""
    edge, chain = form.rings[-1], form.rings[0]
    length, width = (float(np.ptp(edge[:, axis])) for axis in (0, 1))
    kept = (length - width) / max(float(np.ptp(chain[:, 0])), form.fabric.stitch_width)
    return (
        f"Stuffed, its free edge is {in_mm(length)} by {in_mm(width)}: longer than wide by {kept:.0%} of the "
        "chain's length."
    )


def sole_note(wanted: Stadium, *, half: float) -> str:
    """Return how the stiff insert is cut. [mm]"""
    return (
        f"Cut the stiff flat insert {in_mm(wanted.straight + 2 * half)} long and {in_mm(2 * half)} wide, "
        "with round ends, and sew the base to it all round before you stuff: without it the base bulges."
    )


def pucker_note(piece: Piece) -> str:
    """Return what becomes of a large oval edge that is drawn to a point; empty where it is small enough."""
    last = piece.counts[-1]
    if piece.finish is not Finish.CINCHED or last <= DRAWN_IN:
        return ""
    return (
        f"The last round has {last} stitches, {2 * piece.side} of them on the straight sides, which "
        "decreases in the ends leave as they are: drawn to a point they gather. Thread the tail through them "
        'twice before you pull; or sew the last round shut flat (finish = "seamed").'
    )


def slack_note(form: StuffedForm) -> str:
    """Return which rounds hang slack in their ends; empty where none does."""
    last = len(form.fabric.piece.rounds) - (form.fabric.piece.finish is not Finish.OPEN)
    stretch = form.course_stretch
    slack = [number for number in range(2, last + 1) if stretch[number] < -RUFFLE]
    if not slack:
        return ""
    return f"Round{'s' if len(slack) > 1 else ''} {listed(slack)} may ripple a little."
