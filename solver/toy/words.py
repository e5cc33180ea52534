"""How the parts of a toy are joined, in words: one paragraph a part, first for the eye, then by count."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from solver.notes import Said
from solver.rounds import Start
from solver.sentences.say import Sentences, sentences
from solver.toy.model import Join
from solver.toy.placed import turns_over
from solver.toy.places import Count, EyePlace, Place
from solver.toy.pressing import pins
from solver.units import Length
from solver.wanted.part import BentPart, RowsPart

if TYPE_CHECKING:
    from solver.toy.model import ToyPart
    from solver.toy.placed import Copy

FITS = 0.5
"""Stitches by which an edge may differ from its place and fit."""
WORK_ON = (
    "Nothing needs sewing if you work on from there: as one part, with the neck as a waist in its outline."
)
"""What the designer alone can do where two edges of as many stitches meet."""


def joining(of_part: tuple[Place, ...], *, left: bool = False, say: Sentences | None = None) -> Iterator[str]:
    """Yield the sentences that join all copies of one part.

    Parameters
    ----------
    of_part : tuple of Place
        Of all its copies, the first one first.
    left : bool
        As left hands make it: the whole toy in the mirror, stitches counted the same from the marker.
    say : Sentences, optional
        Of the language that it is told in; left out: English.
    """
    yield from _Joining(of_part, left, say or sentences("US")).told()


def work_on(of_part: tuple[Place, ...]) -> str:
    """Return what the designer can do instead of sewing two edges of as many stitches; else empty."""
    copy = of_part[0].copy
    if not copy.matched or copy.carrier is None:
        return ""
    have = len(copy.carrier.surface.form.fabric.rings[round(copy.ring)])
    return WORK_ON if have == copy.edge_stitches else ""


def called(part: ToyPart, say: Sentences) -> str:
    """Return how a part is named in a sentence: in English by its table in the file, else by its title."""
    return part.spoken if say.is_english else part.part.title


@dataclass(frozen=True, slots=True)
class _Joining:
    """The copies of one part that are joined, for a hand, in a language."""

    of_part: tuple[Place, ...]
    left: bool
    say: Sentences

    @property
    def first(self) -> Place:
        return self.of_part[0]

    @property
    def copy(self) -> Copy:
        return self.first.copy

    @property
    def several(self) -> bool:
        return len(self.of_part) > 1

    @property
    def on(self) -> str:
        assert self.copy.carrier is not None
        return self.say.within("the_part", name=called(self.copy.carrier.wanted, self.say))

    @property
    def part(self) -> str:
        name, many = called(self.copy.wanted, self.say), len(self.of_part)
        how = "part" if many == 1 else "two" if many == 2 else "several"
        return self.say.within(f"the_{how}", name=name, names=_many(name), n=many)

    @property
    def in_rows(self) -> bool:
        return self.copy.wanted.part.start is Start.ROWS

    def told(self) -> Iterator[str]:
        if not self.copy.is_sewn_on:
            yield self._limbs()
            return
        if self.copy.matched:
            yield from self._edge_to_edge()
            return
        yield self.say.say(self._how(), part=self.part, where=self._where(), between=self._between())
        if self.copy.is_laid_rows:
            yield self._looks()
        told = [self._counted(place) for place in self.of_part]
        if len(set(told)) == 1:
            yield told[0][:1].upper() + told[0][1:]
        else:
            for place, each in zip(self.of_part, told, strict=True):
                yield self.say.say("of_each", which=self._which(place), told=each)
        yield from self._turned()
        yield self._edge()
        if self.copy.is_laid_rows:
            yield from self._row_pins()
        elif self._is_pinned():
            yield self._pins()

    def _is_pinned(self) -> bool:
        """Whether eighths of its edge can be told."""
        sewn = self.copy.wanted.join in (Join.SEWN, Join.PRESSED)
        return sewn and bool(self.copy.edge_stitches) and not self.first.all_round

    def _how(self) -> str:
        """Return the name of the sentence that joins it."""
        join, several = self.copy.wanted.join, "_several" * self.several
        if self.copy.is_laid_rows:
            return f"join_laid{several}"
        if self.in_rows:
            edge = "chain" if self.copy.wanted.edge == "start" else "last_row"
            return f"join_worked_{edge}" if join is Join.WORKED else f"join_{edge}"
        kinds = {Join.SEWN: "sewn", Join.FLAT: "flat", Join.PRESSED: "pressed"}
        return f"join_{kinds[join]}{several}" if join in kinds else "join_worked"

    def _where(self) -> str:
        """Return on which side of the carrying part it sits, as one sees it."""
        copy, say = self.copy, self.say
        assert copy.carrier is not None
        on = {"on": self.on, "name": called(copy.carrier.wanted, say)}
        if self.first.all_round or copy.wanted.at.is_top:
            return say.within("where_top_each" if self.several else "where_top", **on)
        point = copy.carrier.surface.at(copy.ring, copy.turn)
        turn = math.degrees(math.atan2(-point[0] if self.left else point[0], -point[1]))
        if self.several and not copy.wanted.twins:
            return say.within("where_round", **on)
        if self.several:
            kind = "front_both" if abs(turn) < 45 else "sides" if abs(turn) <= 135 else "back_both"
        else:
            kind = (
                "front"
                if abs(turn) <= 45
                else "back"
                if abs(turn) >= 135
                else "left"
                if turn > 0
                else "right"
            )
        return say.within(f"where_{kind}", **on)

    def _between(self) -> str:
        """Return between which rounds its lower and its upper edge lie."""
        place, copy, say = self.first, self.copy, self.say
        assert copy.edge is not None
        if copy.wanted.join is Join.WORKED:
            return say.within("between_worked", round=place.middle.round + 1)
        several = "_several" * self.several
        low, high = sorted((round(place.lowest), round(place.highest)))
        if low == high:
            return say.within(f"between_level{several}", low=low, high=low + 1)
        if place.all_round:
            return say.within("between_round", low=max(low, 1), high=high + 1)
        points = copy.edge.points[:, 2]
        low, high = (round(float(copy.edge.rings[int(i)])) for i in (points.argmin(), points.argmax()))
        return say.within(
            f"between_ends{several}", low=low, low_above=low + 1, high=high, high_above=high + 1
        )

    def _counted(self, place: Place) -> str:
        """Return its middle by count from the marker and from the middle of the front."""
        middle, copy, say = place.middle, place.copy, self.say
        if place.all_round or copy.wanted.at.is_top:
            return say.within("middle_end", on=self.on)
        stitch = _whole(middle)
        told: dict[str, object] = {"round": middle.round, "front": _from_front(middle, say, left=self.left)}
        if copy.wanted.join is Join.WORKED:
            wide = _stitches(copy.edge_stitches / (1 if self.in_rows else 2), say)
            return say.within(
                "middle_worked", on=self.on, stitches=wide, next=middle.round + 1, stitch=stitch, **told
            )
        told |= {"stitches": _stitches(stitch, say), "stitch": stitch}
        if copy.wanted.join is Join.FLAT:
            one, other = sorted((place.eighths[i][1] for i in (0, -1)), key=lambda end: end.ring)
            ends = {"one_round": one.round, "other_round": other.round}
            return say.within(
                "middle_line", one_stitch=_whole(one), other_stitch=_whole(other), **ends, **told
            )
        return say.within("middle_covers", across=_stitches(place.across, say), **told)

    def _which(self, place: Place) -> str:
        copy = place.copy
        if copy.wanted.twins and self.several and len(self.of_part) == 2:
            is_left = ((copy.number - 1) % copy.wanted.make == 0) is not self.left
            return self.say.within("which_left" if is_left else "which_right")
        return self.say.within("which_number", n=copy.number)

    def _sides(self) -> dict[str, str]:
        """Return the words for the first side and the other."""
        names = ("side_right", "side_left") if self.left else ("side_left", "side_right")
        return dict(zip(("one", "other"), map(self.say.within, names), strict=True))

    def _turned(self) -> Iterator[str]:
        """Yield which way a part looks that is not alike all round; twins as in a mirror."""
        part, wanted, say = self.copy.wanted.part, self.copy.wanted, self.say
        if isinstance(part, RowsPart) and wanted.twins and self.several and turns_over(part):
            how = "worked" if wanted.join is Join.WORKED else "sewn"
            yield say.within(f"mirror_{how}", **self._sides())
        if isinstance(part, BentPart):
            what = "belly" if part.wanted.is_level else "bend"
            yield say.within(f"{what}_picture" if wanted.spin or wanted.lean else f"{what}_front")
            if wanted.twins and self.several:
                yield say.within("bend_mirror")

    def _edge(self) -> str:
        """Return how the edge fits its place."""
        place, copy, say = self.first, self.copy, self.say
        assert copy.edge is not None
        length = Length(copy.edge.length)
        if not copy.edge_stitches:
            return say.within("edge_line", length=length)
        off = place.misfit
        folded = "" if copy.edge.closed or self.in_rows else "_folded"
        how = "fits" if abs(off) < FITS else "ease" if off > 0 else "stretch"
        return say.within(
            f"edge{folded}_{how}",
            stitches=_stitches(copy.edge_stitches, say),
            half=_stitches(copy.edge_stitches / 2, say),
            length=length,
            off=_stitches(round(abs(off)), say),
        )

    def _pins(self) -> str:
        """Return what each eighth of the edge meets."""
        told = (
            self.say.within("pin_stitch", number=number, round=count.round, stitch=_whole(count))
            for number, count in dict(self.first.eighths).items()
        )
        return self.say.within("pins_eighths", pins=self.say.joined(told, "pins_between"))

    def _row_pins(self) -> Iterator[str]:
        """Yield what the corners and the middles of the sides of rows that are laid on meet."""
        say = self.say
        for place in self.of_part:
            met = [count for _, count in place.eighths]
            told = (
                say.within("pin_name", name=say.within(name), round=met[i].round, stitch=_whole(met[i]))
                for i, name in pins(place.copy.solved.piece)
            )
            pinned = Said("pins_rows", {"pins": say.joined(told, "pins_between")})
            if self.several:
                yield say.say("of_each", which=self._which(place), told=pinned)
            else:
                yield say.say(pinned.name, **pinned.values)

    def _looks(self) -> str:
        """Return which way the chain of rows that are laid on looks."""
        copy = self.copy
        ring = copy.surface.points[copy.surface.form.fabric.rings[0]].mean(axis=0)
        whole = copy.surface.points.mean(axis=0)
        across, ahead, up = copy.in_toy(ring) - copy.in_toy(whole)
        if max(abs(across), abs(ahead)) < abs(up):
            way = "up" if up > 0 else "down"
        elif abs(ahead) >= abs(across):
            way = "front" if ahead < 0 else "back"
        elif self.several:
            way = "outward" if across * float(copy.in_toy(whole)[0]) > 0 else "inward"
        else:
            way = "left" if (across > 0) is not self.left else "right"
        over = self.several and copy.wanted.twins and turns_over(copy.wanted.part)
        return self.say.within(f"chain_looks{'_over' * over}", way=self.say.within(f"way_{way}"))

    def _edge_to_edge(self) -> Iterator[str]:
        copy, say = self.copy, self.say
        assert copy.carrier is not None
        have, own = len(copy.carrier.surface.form.fabric.rings[round(copy.ring)]), copy.edge_stitches
        yield say.within("edges_meet", part=self.part, on=self.on)
        if have == own:
            yield say.within("edges_alike", stitches=_stitches(have, say))
        else:
            yield say.within(
                "edges_ease" if own > have else "edges_stretch",
                stitches=_stitches(own, say),
                have=have,
                on=self.on,
                off=abs(own - have),
            )

    def _limbs(self) -> str:
        """Return where the limbs are that the body was worked on from; in the mirror for the left hand."""
        copy, say = self.copy, self.say
        assert copy.carrier is not None
        legs = copy.carrier.surface.form.piece.legs
        assert legs is not None
        n, chain = legs.stitches, legs.chain
        return say.say(
            "limbs",
            part=self.part,
            on=self.on,
            one_first=1,
            one_last=n,
            other_first=n + chain + 1,
            other_last=2 * n + chain,
            along=say.counted("along_chains", chain) if chain else "",
            back=say.counted("back_chains", chain) if chain else "",
            **self._sides(),
        )


def eye_line(place: EyePlace, *, left: bool = False, say: Sentences | None = None) -> str:
    """Return where an eye or a nose is fixed, as a line among the rounds; in the mirror for the left hand."""
    say = say or sentences("US")
    stitches = sorted(place.stitches)
    told: dict[str, object] = {
        "size": Length(place.eyes.diameter),
        "below": place.below,
        "above": place.below + 1,
        "round": place.below,
        "stitch": stitches[0],
    }
    if len(place.counts) == 1:
        return say.say(f"fix_{place.eyes.what}", front=_from_front(place.counts[0], say, left=left), **told)
    apart = _stitches(place.stitches_between, say)
    return say.say(f"fix_{place.eyes.what}s", other=stitches[1], apart=apart, **told)


def _from_front(count: Count, say: Sentences, *, left: bool) -> str:
    off = round(2 * count.from_front) / 2 * (-1 if left else 1)
    if abs(off) < 0.5:
        return say.within("front_middle")
    if abs(off) > count.of / 2 - 0.75:
        return say.within("back_middle")
    return say.within("front_left" if off > 0 else "front_right", stitches=_stitches(abs(off), say))


def _whole(count: Count) -> int:
    """Return the stitch of a place, counted from the marker."""
    return (round(count.stitch) - 1) % count.of + 1


def _stitches(number: float, say: Sentences) -> str:
    """Return a number of stitches, to the half: no eye tells less."""
    return say.counted("stitches", round(2 * number) / 2)


def _many(name: str) -> str:
    if name.endswith(("s", "x", "ch", "sh")):
        return f"{name}es"
    return {"foot": "feet"}.get(name, f"{name}s")


def size_words(sizes: tuple[float, float, float], say: Sentences | None = None) -> str:
    """Return the whole toy's sizes as a sentence."""
    width, depth, height = map(Length, map(float, sizes))
    return (say or sentences("US")).say("toy_size", height=height, width=width, depth=depth)
