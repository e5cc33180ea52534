"""What a whole toy takes, and what there is to say about it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Container, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from solver.advice.cautions import BALL_HOLE, SMALL
from solver.advice.materials import Amount, filling_told, hours_told
from solver.notes import About
from solver.sentences.say import Sentences, sentences
from solver.toy.meetings import covered_eyes, edges_over_edges, meetings
from solver.toy.places import TELL, eye_places, flat_on_few, places
from solver.toy.standing import SETTLES, Standing, Weight, standing, together, weights_of
from solver.toy.words import called
from solver.units import in_both, in_mm
from solver.wanted.gauge import LEAN_UNSURE
from solver.wanted.supplies import MAIN_YARN

if TYPE_CHECKING:
    from solver.arrays import Floats
    from solver.toy.solved import SolvedToy

BALL = 50.0
"""Grams of yarn in a ball (the trade's usual small ball; common practice, no source)."""
SAFE_TIP = 10.0
"""A toy that may be tipped by this stands well on a shelf. ASSUMED. [degrees]"""
MOST_PELLETS = 500.0
"""Pellets beyond which they are no help. [g]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Takes:
    """What a toy takes.

    Attributes
    ----------
    colours : dict of str to tuple of (int, Amount, Amount)
        Stitches, metres and grams of each yarn.
    stuffing : Amount
        [g]
    hours : tuple of two float
        At the quickest and at the slowest.
    stitches : int
    hard : dict of (str, float) to int
        Eyes, noses and buttons by name and diameter, with their number. [mm]
    basis : tuple of str
        What the amounts rest on.
    """

    colours: dict[str, tuple[int, Amount, Amount]]
    stuffing: Amount
    hours: tuple[float, float]
    stitches: int
    hard: dict[tuple[str, float], int]
    basis: tuple[str, ...]

    def sentences(self, *, basis: bool = True) -> Iterator[str]:
        """Yield what the toy takes, for its maker, and what that rests on."""
        for colour, (_, metres, grams) in self.colours.items():
            balls = max(1, math.ceil(grams.most / BALL))
            told = "1 ball" if balls == 1 else f"{balls} balls"
            yield f"Yarn, {colour}: {metres.told('m')}, {grams.told('g')}: {told} of {BALL:g} g."
        for (name, diameter), number in self.hard.items():
            yield f"{name.capitalize()}: {number}, {in_mm(diameter)} across."
        if self.stuffing.value:
            yield f"Filling: {filling_told(self.stuffing.value)} of polyester."
        yield f"Stitches in all: {self.stitches:,}; {hours_told(*self.hours)}, sewing not counted."
        if basis:
            yield from self.basis

    def as_dict(self) -> dict[str, Any]:
        """Return what the toy takes as plain data."""
        return {
            "stitches": self.stitches,
            "colours": [
                {
                    "colour": colour,
                    "stitches": stitches,
                    "yarn_m": metres.as_dict(),
                    "yarn_g": grams.as_dict(),
                    "balls_of_50_g": max(1, math.ceil(grams.most / BALL)),
                }
                for colour, (stitches, metres, grams) in self.colours.items()
            ],
            "stuffing_g": self.stuffing.as_dict(),
            "hard": [
                {"name": name, "diameter_mm": diameter, "count": number}
                for (name, diameter), number in self.hard.items()
            ],
            "hours": list(self.hours),
            "basis": list(self.basis),
        }


def takes(solved: SolvedToy) -> Takes:
    """Return what all copies of all parts take."""
    colours: dict[str, tuple[int, Amount, Amount]] = {}
    nothing = Amount(value=0.0, least=0.0, most=0.0)
    stuffing, hours, stitches = nothing, (0.0, 0.0), 0
    hard: Counter[tuple[str, float]] = Counter()
    basis: dict[str, None] = {}
    for wanted in solved.toy.as_worked:
        number = len(solved.copies_of(wanted.name))
        one = solved.parts[wanted.name].materials
        stuffing = _sum(stuffing, one.stuffing.times(number))
        hours = (hours[0] + number * one.hours[0], hours[1] + number * one.hours[1])
        stitches += number * one.stitches
        shares = [(each.colour, each.stitches, each.metres, each.grams) for each in one.colours]
        for colour, count, metres, grams in shares or [(MAIN_YARN, one.stitches, one.metres, one.grams)]:
            before = colours.get(colour, (0, nothing, nothing))
            colours[colour] = (
                before[0] + number * count,
                _sum(before[1], metres.times(number)),
                _sum(before[2], grams.times(number)),
            )
        for extra in wanted.part.supplies.extras:
            name = "noses" if extra.name == "nose" and number * extra.count > 1 else extra.name
            hard[name, extra.diameter] += number * extra.count
        basis.update(dict.fromkeys(one.basis))
    return Takes(
        colours=colours,
        stuffing=stuffing,
        hours=hours,
        stitches=stitches,
        hard=dict(hard),
        basis=tuple(basis),
    )


def stands(solved: SolvedToy) -> Standing:
    """Return how a toy stands on the ground."""
    weight = together([each for copy in solved.copies for each in weights_of(copy)])
    return standing(solved.points, weight, settles=settles(solved))


def settles(solved: SolvedToy) -> float:
    """Return how far the first part's fabric gives where it rests on the ground. [mm]"""
    return SETTLES * solved.toy.parts[0].part.gauge.row_height


NEW = (About.LIMIT, About.FORM)
"""What notes of parts are about that a maker does not know from other parts."""


def notes(solved: SolvedToy, *, new: bool = False) -> tuple[str, ...]:
    """Return the notes on a toy: of the whole first, then of its parts, like ones once; all, or new ones."""
    about = NEW if new else tuple(About)
    return (*_of_the_whole(solved), *_of_parts(solved, "notes", about))


def cautions(solved: SolvedToy, say: Sentences | None = None) -> tuple[str, ...]:
    """Return the cautions for a toy as one set: like ones once, and the parts that may be pulled off."""
    say = say or sentences("US")
    names = {each.name: called(each, say) for each in solved.toy.as_worked}
    limbs = solved.toy.limbs.name if solved.toy.limbs else ""
    sewn = dict.fromkeys(names[each.wanted.name] for each in solved.copies if each.is_sewn_on)
    told: dict[str, list[str]] = {}  # each sentence and the parts that it is for
    sized: dict[str, list[str]] = {"caution_small": [], "caution_ball": []}
    for name, spoken in names.items():
        for caution in solved.parts[name].cautions:
            # a limb that the body is worked on from has no seam
            for said in getattr(caution, "said", ()):
                if name == limbs and said.name.startswith("caution_seam"):
                    continue
                if said.name in sized:
                    one = "part_by" if said.name == "caution_small" else "part_of"
                    sized[said.name].append(say.within(one, name=spoken, **said.values))
                else:
                    told.setdefault(say.say(said.name, **said.values), []).append(spoken)
    ends = tuple(say.say(name) for name in ("caution_cuddly", "caution_no_test"))
    return (
        *([say.say("caution_pull", parts=say.joined(sewn))] if sewn else ()),
        *(
            say.say("caution_small_parts" if name == "caution_small" else "caution_balls", **values)
            for name, values in (
                ("caution_small", {"parts": say.joined(sized["caution_small"], "pins_between"), **SMALL}),
                ("caution_ball", {"parts": say.joined(sized["caution_ball"], "pins_between"), **BALL_HOLE}),
            )
            if sized[name]
        ),
        *(
            say.say("caution_of", parts=say.joined(of), told=sentence)
            for sentence, of in told.items()
            if sentence not in ends
        ),
        *(sentence for sentence in ends if sentence in told),
    )


def _of_parts(solved: SolvedToy, what: str, about: Container[About] = tuple(About)) -> Iterator[str]:
    told: dict[str, list[str]] = {}
    for wanted in solved.toy.as_worked:
        for sentence in getattr(solved.parts[wanted.name], what):
            if getattr(sentence, "about", About.FORM) in about:
                told.setdefault(str(sentence), []).append(wanted.spoken)
    for sentence, names in told.items():
        everywhere = len(names) == len(solved.toy.parts) > 1
        yield sentence if everywhere else f"{', '.join(names).capitalize()}: {sentence}"


def _of_the_whole(solved: SolvedToy) -> Iterator[str]:
    yield from _on_standing(solved)
    yield from _on_places(solved)
    yield from _on_meetings(solved)
    if solved.toy.lean is None and any(each.is_sewn_on for each in solved.copies):
        most = max(len(each.piece.rounds) for each in solved.parts.values())
        yield (
            "How far the beginning of the round moves on was not measured: places are counted as if it stood "
            "still. It may move by a fifth of a stitch a round (common practice, no source): by "
            f"{LEAN_UNSURE * most:.0f} stitches in {most} rounds. Count from the middle front where it "
            "matters; or work ten plain rounds, count the stitches that the marker has moved, and write a "
            "tenth of them as lean in [gauge]."
        )
    if len(solved.copies) > 1:
        yield (
            "Not counted: what a part that is sewn on does to the surface under it, and what its weight "
            "does to the form."
        )
    for name in solved.loose:
        yield f"The {name} found no balance with its edge held on its place: it is shown as it is by itself."


def _on_standing(solved: SolvedToy) -> Iterator[str]:
    how = stands(solved)
    grams = how.weight.grams
    if how.tips_at >= SAFE_TIP:
        far = f"{how.tips_at:.0f} degrees"
        yield f"It stands by itself: it may be tipped by {far} before it falls {how.side}."
        return
    base = solved.toy.limbs or solved.copies[0].wanted
    pellets = _pellets(solved, how)
    if how.stands:
        told = f"It stands, but falls {how.side} when it is tipped by {how.tips_at:.0f} degrees."
    else:
        told = f"It does not stand by itself: it falls {how.side}."
    if pellets:
        told += (
            f" {pellets:.0f} g of pellets low in the {base.spoken} (in a bag of their own), beside "
            f"its {grams:.0f} g, would let it be tipped by {SAFE_TIP:.0f} degrees."
        )
    else:
        told += " Pellets alone would not help: give what it stands on a wider foot, or let it sit or lie."
    yield told


def _pellets(solved: SolvedToy, how: Standing) -> float:
    """Return the pellets that let a toy be tipped by `SAFE_TIP`, 0 where none do. [g]"""
    base = solved.toy.limbs or solved.copies[0].wanted
    low = Weight(1.0, _low_in(np.concatenate([each.points for each in solved.copies_of(base.name)])))
    grams = 5.0
    while grams <= MOST_PELLETS:
        whole = together([how.weight, Weight(grams, low.centre)])
        if standing(solved.points, whole, settles=settles(solved)).tips_at >= SAFE_TIP:
            return grams
        grams += 5.0
    return 0.0


def _low_in(points: Floats) -> Floats:
    """Return the middle of the lowest quarter of a part. [mm]"""
    z = points[:, 2]
    return np.asarray(points[z <= z.min() + np.ptp(z) / 4].mean(axis=0))


def _on_places(solved: SolvedToy) -> Iterator[str]:
    for place in places(solved):
        copy, off = place.copy, place.misfit
        if (
            copy.is_sewn_on
            and copy.edge_stitches
            and abs(off) > TELL * copy.edge_stitches
            and copy.number == 1
        ):
            how = f"ease in {off:.0f}" if off > 0 else f"stretch by {-off:.0f}"
            yield (
                f"The edge of the {copy.wanted.spoken} has {in_mm(copy.edge_length)}, its "
                f"place {in_mm(copy.edge.length if copy.edge else 0.0)}: {how} of its {copy.edge_stitches} "
                "stitches."
            )
        if flat_on_few(place) and copy.number == 1:
            yield (
                f"The flat edge of the {copy.wanted.spoken} has {copy.edge_stitches} stitches, too few to "
                "hold it from turning: leave its edge wider, 6 stitches or more."
            )


def _on_meetings(solved: SolvedToy) -> Iterator[str]:
    told: set[tuple[str, str]] = set()
    for meeting in meetings(solved):
        one, other = meeting.one.wanted.spoken, meeting.other.wanted.spoken
        if (one, other) not in told:
            told.add((one, other))
            yield (
                f"The {meeting.one.name} and the {meeting.other.name} run into each other by "
                f"{in_mm(meeting.depth)}: move the {other} by that much, or turn it on by about "
                f"{meeting.degrees:.0f} degrees."
            )
    told.clear()
    for a, b in edges_over_edges(solved):
        pair = (a.wanted.spoken, b.wanted.spoken)
        if pair not in told:
            told.add(pair)
            yield f"The edges of the {a.name} and the {b.name} lie over each other: set them further apart."
    for place, copy in covered_eyes(solved, eye_places(solved)):
        turn = math.degrees(place.eyes.diameter / 2 / max(float(np.hypot(*place.points[0][:2])), 1.0))
        yield (
            f"The {place.eyes.what} on the {place.part} lies under the {copy.wanted.spoken}: raise it by "
            f"{in_both(place.eyes.diameter)} or more, or turn it on by at least {turn:.0f} degrees."
        )


def _sum(one: Amount, other: Amount) -> Amount:
    return Amount(value=one.value + other.value, least=one.least + other.least, most=one.most + other.most)
