"""How the parts of a toy are joined, in words: one paragraph a part, first for the eye, then by count."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from solver.rounds import Start
from solver.toy.model import Join
from solver.toy.placed import turns_over
from solver.toy.places import Count, EyePlace, Place
from solver.toy.pressing import pins
from solver.units import in_mm
from solver.wanted.part import BentPart, RowsPart

if TYPE_CHECKING:
    from solver.toy.placed import Copy

FITS = 0.5
"""Stitches by which an edge may differ from its place and fit."""
_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def joining(of_part: tuple[Place, ...], *, left: bool = False) -> Iterator[str]:
    """Yield the sentences that join all copies of one part.

    Parameters
    ----------
    of_part : tuple of Place
        Of all its copies, the first one first.
    left : bool
        As left hands make it: the whole toy in the mirror, stitches counted the same from the marker.
    """
    first = of_part[0]
    copy = first.copy
    assert copy.carrier is not None
    name, on = copy.wanted.spoken, copy.carrier.wanted.spoken
    what = f"the {name}" if len(of_part) == 1 else f"the {_number(len(of_part))} {_many(name)}"
    if not copy.is_sewn_on:
        yield from _limbs(of_part, on, left=left)
        return
    if copy.matched:
        yield from _edge_to_edge(first, what, on)
        return
    in_rows = copy.wanted.part.start is Start.ROWS
    how = "Work in" if copy.wanted.join is Join.WORKED else "Sew"
    verb = f"{how} the {'chain' if copy.wanted.edge == 'start' else 'last row'} of" if in_rows else ""
    where = _where(first, on, several=len(of_part) > 1, left=left)
    if copy.is_laid_rows:
        them = "it" if len(of_part) == 1 else "each"
        yield f"Lay {what} flat {where}, and sew {them} down all round{_between(first)}"
        yield _points_to(copy, several=len(of_part) > 1, left=left)
    else:
        yield f"{verb or _verb(copy.wanted.join)} {what} {where}{_between(first)}"
    each_alike = len({_counted(place, left=left) for place in of_part}) == 1
    for place in of_part[:1] if each_alike else of_part:
        if len(of_part) > 1 and not each_alike:
            yield f"{_which(place, of_part, left=left)}: {_counted(place, left=left)}"
        else:
            told = _counted(place, left=left)
            yield told[0].upper() + told[1:]
    yield from _turned(copy, several=len(of_part) > 1, left=left)
    yield from _edge(first)
    if copy.is_laid_rows:
        yield from _row_pins(of_part, left=left)
    elif copy.wanted.join in (Join.SEWN, Join.PRESSED) and not first.all_round and copy.edge_stitches:
        yield from _pins(first)


def _limbs(of_part: tuple[Place, ...], on: str, *, left: bool) -> Iterator[str]:
    """Yield where the limbs are that the body was worked on from; in the mirror for the left hand."""
    copy = of_part[0].copy
    assert copy.carrier is not None
    legs = copy.carrier.surface.form.piece.legs
    assert legs is not None
    name, n = copy.wanted.spoken, legs.stitches
    sides = ("right", "left") if left else ("left", "right")
    runs = [f"stitches {first} to {first + n - 1}" for first in (1, n + legs.chain + 1)]
    chain = f", along the {legs.chain} chains between them" if legs.chain > 1 else ""
    chain = ", along the chain between them" if legs.chain == 1 else chain
    back = " and back along them" if legs.chain > 1 else " and back along it" if legs.chain else ""
    yield (
        f"The two {_many(name)} and the {on} are one piece: nothing is sewn. The first round of the {on} "
        f"goes round the toy's own {sides[0]} {name} ({runs[0]}){chain}, "
        f"round the {sides[1]} {name} ({runs[1]}){back}. "
        f"The marker is at the back, between the {_many(name)}."
    )


def eye_line(place: EyePlace, *, left: bool = False) -> str:
    """Return where an eye or a nose is fixed, as a line among the rounds; in the mirror for the left hand."""
    eyes, below = place.eyes, place.below
    stitches = " and ".join(str(stitch) for stitch in sorted(place.stitches))
    where = f"between rounds {below} and {below + 1}"
    if len(place.counts) == 1:
        front = _from_front(place.counts[0], left=left)
        return (
            f"Fix the {eyes.what} ({in_mm(eyes.diameter)} across) {where}, above stitch {stitches} of round "
            f"{below}, counted from the marker: {front}."
        )
    return (
        f"Fix the two {eyes.what}s ({in_mm(eyes.diameter)} across) {where}, above stitches {stitches} of "
        f"round {below}, counted from the marker: {_stitches(place.stitches_between)} between them over the "
        "middle of the front."
    )


def _verb(join: Join) -> str:
    return {
        Join.SEWN: "Sew the open edge of",
        Join.FLAT: "Fold the edge flat and sew",
        Join.PRESSED: "Lay on and sew down all round",
        Join.WORKED: "Work in",
    }[join]


def _where(place: Place, on: str, *, several: bool, left: bool) -> str:
    """Return on which side of the carrying part it sits, as one sees it."""
    copy = place.copy
    assert copy.carrier is not None
    if place.all_round or copy.wanted.at.is_top:
        return f"on top of each {on}" if several else f"on top of the {on}"
    point = copy.carrier.surface.at(copy.ring, copy.turn)
    turn = math.degrees(math.atan2(-point[0] if left else point[0], -point[1]))
    if several:
        kind = "front" if abs(turn) < 45 else "sides" if abs(turn) <= 135 else "back"
        return f"to the {kind} of the {on}, left and right" if copy.wanted.twins else f"round the {on}"
    side = "front" if abs(turn) <= 45 else "back" if abs(turn) >= 135 else "left" if turn > 0 else "right"
    return f"to the {side} of the {on}" if side in ("front", "back") else f"to the {on}'s own {side} side"


def _between(place: Place) -> str:
    """Return between which rounds its lower and its upper edge lie."""
    copy = place.copy
    assert copy.edge is not None
    if copy.wanted.join is Join.WORKED:
        return f", as round {place.middle.round + 1} is worked."
    low, high = _rows(place)
    if low == high:
        return f", its edge between rounds {low} and {low + 1}."
    points = copy.edge.points[:, 2]
    lower, upper = (round(float(copy.edge.rings[int(i)])) for i in (points.argmin(), points.argmax()))
    if place.all_round:
        return f", its edge all round between rounds {min(low, high)} and {max(low, high) + 1}."
    return (
        f", its lower end between rounds {lower} and {lower + 1}, its upper between rounds {upper} and "
        f"{upper + 1}."
    )


def _rows(place: Place) -> tuple[int, int]:
    return round(place.lowest), round(place.highest)


def _counted(place: Place, *, left: bool) -> str:
    """Return its middle by count from the marker and from the middle of the front."""
    middle, copy = place.middle, place.copy
    assert copy.carrier is not None
    on = copy.carrier.wanted.spoken
    if place.all_round or copy.wanted.at.is_top:
        return f"its middle is the end of the {on}."
    stitch = (round(middle.stitch) - 1) % middle.of + 1
    if copy.wanted.join is Join.WORKED:
        wide = copy.edge_stitches / (1 if copy.wanted.part.start is Start.ROWS else 2)
        return (
            f"hold it before the {on} and work {_stitches(wide)} of round {middle.round + 1} through both, "
            f"the middle one into stitch {stitch} of round {middle.round}, counted from the marker "
            f"({_from_front(middle, left=left)})."
        )
    found = (
        f"find round {middle.round}, count {_stitches(stitch)} from the marker: that is its middle "
        f"({_from_front(middle, left=left)})"
    )
    if copy.wanted.join is Join.FLAT:
        ends = [place.eighths[i][1] for i in (0, -1)]
        told = " to ".join(
            f"round {end.round}, stitch {(round(end.stitch) - 1) % end.of + 1}" for end in ends
        )
        return f"{found}; its line runs from {told}."
    return f"{found}; it covers {_stitches(place.across)} there."


def _which(place: Place, of_part: tuple[Place, ...], *, left: bool) -> str:
    copy: Copy = place.copy
    number = (copy.number - 1) % copy.wanted.make
    if copy.wanted.twins and len(of_part) == 2:
        return "The toy's own left one" if (number == 0) is not left else "The right one"
    return f"Number {copy.number}"


def _turned(copy: Copy, *, several: bool, left: bool) -> Iterator[str]:
    """Yield which way a part looks that is not alike all round; of twins, each the other's mirror image."""
    part = copy.wanted.part
    if isinstance(part, RowsPart):
        if copy.wanted.twins and several and turns_over(part):
            one, other = ("right", "left") if left else ("left", "right")
            joined = "join" if copy.wanted.join is Join.WORKED else "sew on"
            yield (
                f"They mirror each other: work both alike, and {joined} the toy's own {one} one with its "
                f"right side out, the {other} one turned over, its wrong side out."
            )
        return
    if not isinstance(part, BentPart):
        return
    what = "its belly" if part.wanted.is_level else "the inside of its bend"
    if copy.wanted.spin or copy.wanted.lean:
        way = f"turn it so that {what} looks as the picture has it"
    else:
        way = f"{what} looks to the toy's front"
    mirrored = ", the other as in a mirror" if copy.wanted.twins and several else ""
    told = f"{way}{mirrored}."
    yield told[0].upper() + told[1:]


def _edge(place: Place) -> Iterator[str]:
    """Yield how the edge fits its place."""
    copy = place.copy
    assert copy.edge is not None
    if not copy.edge_stitches:
        yield f"Its line is {in_mm(copy.edge.length)} long."
        return
    off = place.misfit
    in_rows = copy.wanted.part.start is Start.ROWS
    whole = copy.edge.closed or in_rows
    line = "" if whole else f", {_stitches(copy.edge_stitches / 2)} on each layer when folded"
    size = f"Its edge of {_stitches(copy.edge_stitches)}{line} takes {in_mm(copy.edge.length)} there"
    if abs(off) < FITS:
        yield f"{size}, and fits."
    else:
        yield f"{size}: {'ease in' if off > 0 else 'stretch by'} {_stitches(round(abs(off)))}."


def _pins(place: Place) -> Iterator[str]:
    """Yield what each eighth of the edge meets."""
    told = [
        f"stitch {number} at round {count.round}, stitch {(round(count.stitch) - 1) % count.of + 1}"
        for number, count in dict(place.eighths).items()
    ]
    yield f"Pin its edge by eighths: {'; '.join(told)}."


def _points_to(copy: Copy, *, several: bool, left: bool) -> str:
    """Return which way the chain of rows that are laid on looks."""
    ring = copy.surface.points[copy.surface.form.fabric.rings[0]].mean(axis=0)
    whole = copy.surface.points.mean(axis=0)
    across, ahead, up = copy.in_toy(ring) - copy.in_toy(whole)
    if max(abs(across), abs(ahead)) < abs(up):
        way = "up" if up > 0 else "down"
    elif abs(ahead) >= abs(across):
        way = "to the toy's front" if ahead < 0 else "to the toy's back"
    elif several:
        out = across * float(copy.in_toy(whole)[0]) > 0
        way = "outward" if out else "inward"
    else:
        way = "to the toy's own left" if (across > 0) is not left else "to the toy's own right"
    over = several and copy.wanted.twins and turns_over(copy.wanted.part)
    return f"{'Its' if over else 'Right side out, its'} chain looks {way}."


def _row_pins(of_part: tuple[Place, ...], *, left: bool) -> Iterator[str]:
    """Yield what the corners and the middles of the sides of rows that are laid on meet."""
    for place in of_part:
        met = [count for _, count in place.eighths]
        told = [
            f"{name} at round {met[i].round}, stitch {(round(met[i].stitch) - 1) % met[i].of + 1}"
            for i, name in pins(place.copy.solved.piece)
        ]
        whose = f"{_which(place, of_part, left=left)}: pin" if len(of_part) > 1 else "Pin"
        yield f"{whose} {'; '.join(told)}."


def _edge_to_edge(place: Place, what: str, on: str) -> Iterator[str]:
    copy = place.copy
    assert copy.carrier is not None
    have = len(copy.carrier.surface.form.fabric.rings[round(copy.ring)])
    yield f"Sew {what} to the open end of the {on}, edge to edge, both beginnings of rounds at the back."
    if have == copy.edge_stitches:
        yield (
            f"Both edges have {_stitches(have)}: stitch for stitch. Nothing needs sewing if you work on "
            f"from the {on} instead: as one part, with the neck as a waist in its outline."
        )
    else:
        more = copy.edge_stitches > have
        yield (
            f"Its edge has {_stitches(copy.edge_stitches)}, the {on}'s {have}: "
            f"{'ease in' if more else 'stretch by'} {abs(copy.edge_stitches - have)}, evenly round."
        )


def _from_front(count: Count, *, left: bool) -> str:
    off = round(2 * count.from_front) / 2 * (-1 if left else 1)
    if abs(off) < 0.5:
        return "the middle of the front"
    if abs(off) > count.of / 2 - 0.75:
        return "the middle of the back"
    return f"{_stitches(abs(off))} to the {'left' if off > 0 else 'right'} of the middle front"


def _stitches(number: float) -> str:
    told = f"{number:.1f}".removesuffix(".0") if abs(number - round(number)) > 0.25 else f"{round(number)}"
    return f"{told} stitch" if told == "1" else f"{told} stitches"


def _number(number: int) -> str:
    return _NUMBERS[number] if number < len(_NUMBERS) else str(number)


def _many(name: str) -> str:
    if name.endswith(("s", "x", "ch", "sh")):
        return f"{name}es"
    return {"foot": "feet"}.get(name, f"{name}s")


def size_words(sizes: tuple[float, float, float]) -> str:
    """Return the whole toy's sizes as a sentence."""
    from solver.units import in_both

    width, depth, height = (float(np.round(size, 1)) for size in sizes)
    return f"It is {in_both(height)} high, {in_both(width)} wide and {in_both(depth)} deep."
