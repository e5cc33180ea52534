"""The tables of parts that bend or stand out in front: bends of an outline, bellies and feet."""

from __future__ import annotations

import itertools
import re
from typing import Annotated

import numpy as np
from pydantic import BeforeValidator, Field, model_validator

from solver.arrays import Floats
from solver.errors import InputError, Problem
from solver.partfile.problems import as_written
from solver.partfile.tables import MOST_POINTS, Bent, Length, ShapeTable, Signed, Size, Table, told
from solver.units import in_mm
from solver.wanted.gauge import Gauge
from solver.wanted.outline import Outline
from solver.wanted.swept import Bend, Swept, bends_of_line

ANGLES = (3.0, 180.0)
"""Bends that can be asked for. [degrees]"""

TIGHTEST = 1.5
"""Greatest angle times radius over length of a bend: of forms up to 120 degrees and 9 to 22 mm radius that
were solved, all up to here came out; from 1 on the inside is a crease."""

ROUNDING = 1e-6
"""By so much a bend may lie beyond an end: lengths along a line are sums of many. [mm]"""

MATCHES = 0.05
"""Part by which the outline's height and the spine's length may differ, both lengths along the part."""

HEEL = 0.9
"""Radius of a heel's middle line, in radii of the ankle."""

_ANGLE = re.compile(r"([-+]?\d+(?:[.,]\d+)?)\s*(?:deg|degrees?|°)?")

Pair = Annotated[list[Signed], Field(min_length=2, max_length=2)]
Line = Annotated[list[Pair], Field(min_length=2, max_length=MOST_POINTS)]


def _angle(value: object) -> float:
    """Return an angle as it is written, in degrees."""
    low, high = ANGLES
    rule = f"an angle is {low:g} to {high:g} degrees; with a minus sign it bends backward"
    text = str(value) if isinstance(value, int | float) and not isinstance(value, bool) else value
    match = _ANGLE.fullmatch(text.strip()) if isinstance(text, str) else None
    degrees = float(match[1].replace(",", ".")) if match else 0.0
    if not low <= abs(degrees) <= high:
        raise told(Problem(rule, got=as_written(value), remedy='Write it as 60 or "60 deg".'))
    return degrees


class BendTable(Table):
    """A bend of a limb."""

    at: Length = Field(description="a length: how far along the part the middle of the bend is")
    angle: Annotated[float, BeforeValidator(_angle)] = Field(description='an angle: 60 or "60 deg"')
    over: Size = Field(description="a length: how much of the part, along its middle, bends")

    @property
    def bend(self) -> Bend:
        """The bend, by lengths along the part."""
        half = self.over / 2
        return Bend(begin=self.at - half, end=self.at + half, angle=float(np.radians(self.angle)))


def bent_outline(outline: Outline, *, spine: Floats | None, bends: tuple[Bend, ...]) -> Bent:
    """Return an outline swept along a spine, or along one with these bends.

    Raises
    ------
    InputError
        If a bend lies outside the part or over another, is tighter than stitches make it, or the outline is
        not as long as the spine.
    """
    if spine is not None:
        outline = fitted(outline, spine)
        line, bends = bends_of_line(spine)
        check_bends(bends, outline)
        return Bent(Swept.on_line(outline, line, bends), outline, bends)
    check_bends(bends, outline)
    return Bent(Swept.bent(outline, bends), outline, bends)


def fitted(outline: Outline, spine: Floats) -> Outline:
    """Return an outline whose height is the spine's length.

    Raises
    ------
    InputError
        If they differ by more than a twentieth.
    """
    line, _ = bends_of_line(spine)
    length = float(np.hypot(*np.diff(line, axis=0).T).sum())
    if abs(outline.height / length - 1) > MATCHES:
        rule = f"the outline is as long as the spine, which is {in_mm(length)} long"
        remedy = "Its points are [radius, length along the spine]: make the two alike."
        raise InputError(Problem(rule, got=in_mm(outline.height), remedy=remedy, place="spine"))
    low = outline.points[0, 1]
    return Outline(
        np.column_stack([outline.points[:, 0], (outline.points[:, 1] - low) * length / outline.height])
    )


def check_bends(bends: tuple[Bend, ...], outline: Outline) -> None:
    """See that bends follow each other inside a part, none tighter than stitches make it."""
    low, high = outline.points[[0, -1], 1].tolist()
    for number, bend in enumerate(bends, start=1):
        if bend.begin < low - ROUNDING or bend.end > high + ROUNDING:
            rule = f"bend {number} lies inside the part, which is {in_mm(high - low)} long"
            got = f"{in_mm(bend.begin)} to {in_mm(bend.end)}"
            raise InputError(Problem(rule, got=got, remedy="Move it, or bend over less.", place="bends"))
        radius = float(np.interp(bend.middle, outline.points[:, 1], outline.points[:, 0]))
        tightest = TIGHTEST * bend.over / radius
        if abs(bend.angle) > tightest:
            degrees, over = np.degrees(tightest), abs(bend.angle) * radius / TIGHTEST
            rule = (
                f"a part {in_mm(2 * radius)} across bends by {degrees:.0f} degrees at the most over "
                f"{in_mm(bend.over)}"
            )
            remedy = f"The nearest: {np.floor(degrees):.0f} degrees, or over at least {in_mm(over + 0.05)}."
            got = f"{abs(np.degrees(bend.angle)):.0f} degrees"
            raise InputError(Problem(rule, got=got, remedy=remedy, place="bends"))
    for number, (one, other) in enumerate(itertools.pairwise(bends), start=2):
        if other.begin < one.end:
            rule = f"bend {number} begins after the one before it ends"
            got = f"{in_mm(other.begin)}, and that ends at {in_mm(one.end)}"
            raise InputError(Problem(rule, got=got, remedy="Put bends in order, apart.", place="bends"))


def check_shaped(bent: Bent, gauge: Gauge) -> None:
    """See that increases on one side and decreases on the other can make the bends of a part."""
    bends, remedy = bent.bends, "Leave bend_by out: stitches of several heights make it."
    if bent.wanted.is_level and bends:
        rule = (
            "increases and decreases make no belly: its front is longer than its back, they give both as "
            "many rows, and its last round would slant by 10 to 30 degrees"
        )
        remedy = "Leave bend_by out: an egg that leans, or stitches of several heights, make it."
        raise InputError(Problem(rule, remedy=remedy, place="bend_by"))
    if not bends:
        return
    radius = float(np.interp(bends[0].middle, bent.outline.points[:, 1], bent.outline.points[:, 0]))
    count = round(2 * np.pi * radius / gauge.stitch_width)
    from solver.search.shaped_bends import FEWEST, HOPELESS, shaped_reach

    reach = shaped_reach(bends, count=count)
    if not reach and len(bends) == 1:
        rule = f"increases and decreases bend rounds of {FEWEST + 1} to {HOPELESS} stitches"
        raise InputError(Problem(rule, got=f"about {count}", remedy=remedy, place="bend_by"))
    if not reach:
        rule = "increases and decreases make one bend of a part, or two opposite ones of one angle"
        raise InputError(Problem(rule, got=f"{len(bends)} bends", remedy=remedy, place="bend_by"))
    asked = max(abs(float(np.degrees(bend.angle))) for bend in bends)
    if asked > reach + 0.05:
        across = in_mm(2 * radius)
        rule = f"increases and decreases bend a part {across} across by {reach:.0f} degrees at the most"
        remedy = f"The nearest: {np.floor(reach):.0f} degrees. {remedy}"
        raise InputError(Problem(rule, got=f"{asked:.0f} degrees", remedy=remedy, place="bend_by"))


def check_chain(outline: Outline, gauge: Gauge, chain: int) -> None:
    """See that a foot's first round, along both sides of its chain, is no more than its widest."""
    least, most = 3, int(np.pi * outline.width / gauge.stitch_width / 2)
    if not least <= chain <= most:
        rule = f"this foot is begun on {least} to {most} chains: its first round has twice as many stitches"
        remedy = f"The nearest: {min(max(chain, least), most)}; or leave chain out, and it is found."
        raise InputError(Problem(rule, got=str(chain), remedy=remedy, place="chain"))


class BellyTable(ShapeTable):
    """A part that is drawn by its front and its back."""

    front: Line = Field(description="a list of [distance forward, height] pairs from its axis")
    back: Line = Field(description="a list of [distance backward, height] pairs from its axis")

    @property
    def is_oval(self) -> bool:
        """Whether it is worked along a chain."""
        return False

    @model_validator(mode="after")
    def _meet(self) -> BellyTable:
        for end, place in ((0, "first"), (-1, "last")):
            (ahead, top), (behind, other) = self.front[end], self.back[end]
            if abs(top - other) > 1e-6 or (ahead == 0) is not (behind == 0):
                rule = f"front and back have their {place} points at one height, both on the axis or neither"
                raise told(
                    Problem(rule, got=f"[{ahead:g}, {top:g}] and [{behind:g}, {other:g}]", place="back")
                )
        return self

    def both(self) -> tuple[Outline, Floats]:
        """Return the outline of circles through front and back, and how far forward each of its points is."""
        front, back = (Outline.smooth(np.array(line, dtype=float)) for line in (self.front, self.back))
        at = np.unique(np.concatenate([front.points[:, 1], back.points[:, 1]]))
        ahead, behind = (np.interp(at, *_rising(each)) for each in (front, back))
        return Outline(np.column_stack([(ahead + behind) / 2, at])), np.column_stack(
            [at, (ahead - behind) / 2]
        )

    def outline(self, *, start: str | None, finish: str | None) -> Outline:
        """Return the outline of the mean of front and back."""
        return self.both()[0]

    @property
    def is_bent(self) -> bool:
        """Whether its axis bends, or it stands out in front."""
        return True

    def bent(self, outline: Outline) -> Bent:
        """Return the wanted surface: level circles; and how rounds would bend to follow its middle."""
        at, forward = self.both()[1].T
        swept = Swept.level(outline, np.interp(outline.points[:, 1], at, forward))
        return Bent(swept, outline, middle_bend(swept))


def _rising(outline: Outline) -> tuple[Floats, Floats]:
    height, radius = outline.points[:, 1], outline.points[:, 0]
    return height + np.linspace(0, 1e-9, len(height)), radius


def middle_bend(swept: Swept) -> tuple[Bend, ...]:
    """Return the bend of the middle line of level circles, told where they are widest."""
    wide = np.flatnonzero(swept.radius >= WIDE * swept.radius.max())
    begin, end = float(swept.along[wide[0]]), float(swept.along[wide[-1]])
    way = np.arctan2(np.diff(swept.spine[:, 0]), np.maximum(np.diff(swept.spine[:, 1]), 1e-9))
    weight = np.diff(swept.along)
    shaped = (swept.radius[1:] > swept.radius.max() / 3) & (weight > 0)
    before, after = (shaped & side for side in (swept.along[1:] < begin, swept.along[1:] > end))
    if not before.any() or not after.any() or end <= begin:
        return ()
    angle = float(
        np.average(way[after], weights=weight[after]) - np.average(way[before], weights=weight[before])
    )
    return (Bend(begin=begin, end=end, angle=angle),) if abs(np.degrees(angle)) >= ANGLES[0] else ()


WIDE = 0.93
"""Part of the greatest radius from which a belly counts as widest."""


class FootTable(ShapeTable):
    """A foot with its leg, worked from the toe: the foot forward, the leg upward."""

    length: Size = Field(description="a length: from the toe to the back of the heel")
    width: Size = Field(description="a length: the width of the foot")
    height: Size = Field(description="a length: the height of the instep")
    ankle: Size = Field(description="a length: the width of the ankle and of the leg")
    leg: Size = Field(description="a length: from the top of the instep to the end of the leg")

    @property
    def is_oval(self) -> bool:
        """Whether it is worked along a chain."""
        return False

    @model_validator(mode="after")
    def _stands(self) -> FootTable:
        across = max(self.width, self.height)
        if across > ROUNDEST * min(self.width, self.height):
            near = (self.width + self.height) / 2
            rule = f"stuffing makes a foot round: width and height differ by {ROUNDEST - 1:.0%} at the most"
            got = f"{in_mm(self.width)} and {in_mm(self.height)}"
            remedy = f"The nearest is {in_mm(near)} both ways; a stiff sole in an oval part holds it flatter."
            raise told(Problem(rule, got=got, remedy=remedy, place="width"))
        least = (self.width + self.height) / 4 + (0.5 + HEEL / 2) * self.ankle
        if self.length < least:
            rule = f"a foot of these sizes is at least {in_mm(least)} long"
            remedy = "Make it longer, or the ankle thinner."
            raise told(Problem(rule, got=in_mm(self.length), remedy=remedy, place="length"))
        return self

    def outline(self, *, start: str | None, finish: str | None) -> Outline:
        """Return radius against length from the tip of the toe round the heel and up the leg."""
        foot, ankle = (self.width + self.height) / 4, self.ankle / 2
        quarter = np.linspace(0, np.pi / 2, 40)
        toe = foot * np.column_stack([np.sin(quarter), 1 - np.cos(quarter)])
        bend, top = self._heel, self._heel.end + self._above
        flat = max(foot, bend.begin - max(bend.begin - foot, 0.0) / 2)
        leg = [[foot, flat], [ankle, max(bend.begin, foot + 1e-3)], [ankle, top]]
        return Outline(np.concatenate([toe, leg]) if flat > foot else np.concatenate([toe, leg[1:]]))

    @property
    def _heel(self) -> Bend:
        radius = HEEL * self.ankle / 2
        begin = self.length - self.ankle / 2 - radius
        return Bend(begin=begin, end=begin + radius * np.pi / 2, angle=np.pi / 2)

    @property
    def _above(self) -> float:
        """Length of the leg above its bend. [mm]"""
        return max(self.height / 2 + self.leg - HEEL * self.ankle / 2, self.ankle / 4)

    @property
    def is_bent(self) -> bool:
        """Whether its axis bends, or it stands out in front."""
        return True

    def bent(self, outline: Outline) -> Bent:
        """Return the wanted surface, the toe forward."""
        bends = (self._heel,)
        check_bends(bends, outline)
        return Bent(Swept.bent(outline, bends, turned=-np.pi / 2), outline, bends)


ROUNDEST = 1.25
"""Width of a foot over its height, either way, that a round of stuffed fabric is still taken for."""
