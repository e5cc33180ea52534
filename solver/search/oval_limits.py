"""What stuffing lets an elongated part be: two laws, the nearest form, and what a maker does about it.

Law S. Long sides between two seams carry no tension round the section, so the girth across the middle of a
seamed part becomes a circle: its width and height are alike there. Only a short one can be flatter or taller.

Law O. At a free open edge the fabric stands upright, and the higher the part, the more of its oval it
forgets. With H the height, P the edge's perimeter and R = P / 2 pi, of the chain's length L - W keeps
exp(-0.7 (H / R)^2.2).

Law C. Drawn to a point, the edge above the chain gathers its straight sides into that point, and they pull
the ends in: only a part whose straight sides are short for its width keeps its length.

Law A. The long sides of an open part carry no tension round it either: from chain to edge they bulge towards
the arc of a circle, R = (H^2 + (W/2)^2) / 2 H for an edge W wide at the height H, wider than W where H > W/2;
from a sole, of the circle through its edge that is as long as the side.

All were measured on the stitch fabric's own forms, not on crocheted parts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from solver.units import in_mm
from solver.wanted.stadium import LEVEL, Stadium, dense

ROUND_MIDDLE = ((0.0, 1.45), (0.15, 1.45), (0.3, 1.05), (0.5, 1.02), (1.0, 1.0))
"""Straight length over width, and the greatest width over height that a seamed part holds without a waist."""

TALL_MIDDLE = ((0.0, 0.3), (0.1, 0.4), (0.25, 0.6), (0.45, 0.75), (0.8, 0.86), (1.3, 0.96), (2.0, 1.0))
"""Straight length over width, and the least width over height that a closed part holds across its middle."""

FLAT_SIDE = 0.03
"""Part by which width over height may lie beyond that and still come out."""

FREE_EDGE = 0.6
"""Height over R from which a free open edge forgets too much of its oval."""

FORGETS, STEEPLY = 0.7, 2.2
"""How an edge forgets its oval with the height, law O: fitted to 84 forms, 0.06 off (root mean square)."""

OVAL = 0.05
"""Straight length over width below which an edge is as good as round."""

LOW_SIDE = 0.65
"""Height over width up to which open sides of any length bulge by no more than `BULGE`, by law A about."""

TIES_A_HEIGHT, TIE_SHARE = 3, 0.88
"""Ties through a seamed part along each of its heights, and their length over its height: five of 44 mm bring
a hull drawn 60 by 50 mm from 56 by 55 to 59 by 51."""

SEAM_IT = 'Sew it shut flat (finish = "seamed")'

CINCHED_SIDE = 0.35
"""Straight length over width up to which a part that is drawn to a point keeps its sizes."""

ARCHED = ((0.3, 0.0), (0.6, 0.7))
"""Straight length over width, and the part of the way to the arc of a circle that open sides go."""

BULGE = 0.03
"""Part of the width by which sides may bulge before it is told."""


@dataclass(frozen=True, slots=True)
class Limit:
    """A wanted form that stuffing can't hold.

    Attributes
    ----------
    why : str
        The law, in plain words.
    nearest : Stadium or None
        The nearest form that it can hold, where that is another surface.
    remedies : tuple of str
        What makers do about it, with sizes.
    """

    why: str
    nearest: Stadium | None
    remedies: tuple[str, ...]

    @property
    def note(self) -> str:
        """All of it as sentences for the maker."""
        told = [self.why]
        if self.nearest is not None:
            told.append(f"The nearest that stuffing holds is {sizes(self.nearest)}; the rounds are for that.")
        return " ".join([*told, "What helps:", *self.remedies])


def sizes(wanted: Stadium) -> str:
    """Return length, width and height as words."""
    return f"{in_mm(wanted.length)} long, {in_mm(wanted.width)} wide and {in_mm(wanted.height)} high"


def seam_limit(wanted: Stadium) -> Limit | None:
    """Return why a closed part can't be as wide for its height as it is wanted; None where it can.

    Parameters
    ----------
    wanted : Stadium
        A closed part that no sole holds.
    """
    straight, width, height = wanted.straight, wanted.width, wanted.height
    shares, ratios = (np.array(each) for each in zip(*ROUND_MIDDLE, strict=True))
    held = float(np.interp(straight / width, shares, ratios))
    if width / height <= held * (1 + FLAT_SIDE):
        return None
    # the girth across the middle stays, so width and height keep their sum
    near = (width + height) * held / (1 + held)
    scale = np.array([near / width, (width + height - near) / height])
    nearest = Stadium(wanted.length - near, wanted.profile * scale)
    why = (
        f"A part {sizes(wanted)} is flatter than stuffing holds it: the long sides between chain and "
        "seam carry no tension round the section, so across its middle the part becomes as high as it is "
        "wide, and forced counts only give it a waist."
    )
    remedies = [f"Make width and height alike ({in_mm((width + height) / 2)})."]
    if width / 2 <= height < width:
        sole = 2 * np.sqrt(height * (width - height))
        remedies.append(
            f"Put a stiff flat insert {in_mm(straight + sole)} long and {in_mm(sole)} wide into the base "
            '(sole = "stiff"): the sizes come out then.'
        )
    # `np.interp` wants rising abscissae; the first two ratios are alike and stand for one limit
    shorter = float(np.interp(-width / height, -ratios[1:], shares[1:]))
    if shorter > OVAL:
        remedies.append(f"Make it shorter: up to {in_mm((1 + shorter) * width)} long it holds that width.")
    return Limit(why, nearest, tuple(remedies))


def middle_height(wanted: Stadium) -> float:
    """Return the part of its height that a tall closed part keeps across its middle, by law S; at most 1.

    Parameters
    ----------
    wanted : Stadium
        A closed part that no sole holds.
    """
    width, height = wanted.width, wanted.height
    held = float(np.interp(wanted.straight / width, *np.transpose(TALL_MIDDLE)))
    if width / height >= held * (1 - FLAT_SIDE):
        return 1.0
    # the girth across the middle stays, so width and height keep their sum
    return (width + height) / (1 + held) / height


def tall_limit(wanted: Stadium) -> Limit | None:
    """Return why a closed part can't be as high for its width as it is wanted; None where it can.

    Parameters
    ----------
    wanted : Stadium
        A closed part that no sole holds.
    """
    share = middle_height(wanted)
    if share == 1:
        return None
    width, height = wanted.width, wanted.height
    why = (
        f"A part {sizes(wanted)} is taller than stuffing holds it: the long sides between chain and last "
        "round carry no tension round the section, so its middle becomes rounder than drawn, about "
        f"{in_mm(share * height)} high at best; counts can only keep the ends taller."
    )
    remedies = [f"Make width and height alike ({in_mm((width + height) / 2)})."]
    ratios, shares = (np.array(each) for each in (np.transpose(TALL_MIDDLE)[::-1]))
    shorter = float(np.interp(width / height, ratios, shares))
    if OVAL < shorter < wanted.straight / width:
        remedies.append(f"Make it shorter: up to {in_mm((1 + shorter) * width)} long it holds that height.")
    return Limit(why, None, tuple(remedies))


def cinch_limit(wanted: Stadium) -> Limit | None:
    """Return why a part that is drawn to a point can't be as long as it is wanted; None where it can."""
    longest = CINCHED_SIDE * wanted.width
    if wanted.straight <= longest * (1 + FLAT_SIDE):
        return None
    why = (
        f"A part {sizes(wanted)} is too long to be drawn to a point: the straight sides of the last "
        "rounds gather into it and pull the ends in, whatever the counts."
    )
    return Limit(why, Stadium(longest, wanted.profile), (f"{SEAM_IT}: then it keeps its length.",))


def side_limit(wanted: Stadium) -> Limit | None:
    """Return why sides under a held open edge can't stand upright as wanted; None where they can.

    Parameters
    ----------
    wanted : Stadium
        A part with an open edge; where its base is flat, a sole holds it.
    """
    (edge, top), height = wanted.profile[-1], wanted.height
    if edge >= height:
        return None
    longs, parts = (np.array(each) for each in zip(*ARCHED, strict=True))
    share = float(np.interp(wanted.straight / wanted.width, longs, parts))
    across, up, radius = _arc(wanted)
    rho, z = dense(wanted.profile).T
    bulged = across + np.sqrt(np.maximum(radius**2 - (z - top + height - up) ** 2, 0.0))
    on_base = z <= z[0] + LEVEL
    arched = np.where(on_base, rho, rho + share * np.maximum(bulged - rho, 0.0))
    nearest = wanted.reshaped(np.column_stack([arched, z]))
    if nearest.width <= (1 + BULGE) * wanted.width:
        return None
    why = (
        f"The sides of a part {sizes(wanted)} can't stand upright: they carry no tension round the part, so "
        f"stuffing bulges them out between the chain and the edge, to about {in_mm(nearest.width)} across."
    )
    remedies = (
        "Line the long sides with something stiff, and they stay as drawn.",
        f"Make the part lower: up to about {in_mm(LOW_SIDE * wanted.width)} high the sides hardly bulge.",
    )
    return Limit(why, nearest, remedies)


def _arc(wanted: Stadium) -> tuple[float, float, float]:
    """Return the arc of a circle of an open part's side: its centre across and up from the base, its radius.

    From a chain it leaves level; from a sole's edge it is as long as the side is drawn. [mm]
    """
    edge, height, foot = float(wanted.profile[-1, 0]), wanted.height, wanted.base
    if foot == 0:
        radius = (height**2 + edge**2) / (2 * height)
        return 0.0, radius, radius
    chord = float(np.hypot(edge - foot, height))
    # half the angle t that the arc spans: sin t / t = chord / side
    half = np.linspace(1e-6, np.pi / 2, 2001)
    t = float(np.interp(-chord / (wanted.meridian - foot), -np.sin(half) / half, half))
    radius = chord / (2 * np.sin(t))
    apart = radius * np.cos(t) / chord  # of the centre from the chord, along its normal
    return (edge + foot) / 2 - apart * height, height / 2 + apart * (edge - foot), radius


def tie_lengths(wanted: Stadium) -> tuple[int, float]:
    """Return how many ties through a seamed part hold it flat, and their length. [mm]

    One for each third of the height along the straight sides, an eighth shorter than the part is high, as it
    bulges between them.
    """
    return max(round(TIES_A_HEIGHT * wanted.straight / wanted.height), 1), TIE_SHARE * wanted.height


def tie_note(wanted: Stadium, *, length: float, width: float, height: float) -> str:
    """Return the remedy of ties, with the sizes that the part comes out at with them. [mm]"""
    number, tie = tie_lengths(wanted)
    several = f"{number} ties" if number > 1 else "a tie"
    return (
        f"Sew {several} of {in_mm(tie)} through it from the chain to the seam: then it comes out "
        f"{in_mm(length)} long, {in_mm(width)} wide and {in_mm(height)} high, dimpled at the ties."
    )


def kept(*, height: float, perimeter: float) -> float:
    """Return the part of the chain's length by which a free open edge is still longer than wide.

    Parameters
    ----------
    height, perimeter : float
        Of the stuffed part, and of its edge. [mm]
    """
    return float(np.exp(-FORGETS * (2 * np.pi * height / perimeter) ** STEEPLY))


def rim_limit(wanted: Stadium) -> Limit | None:
    """Return why a free open edge can't be as oval as it is wanted; None where it can.

    Parameters
    ----------
    wanted : Stadium
        A part with an open edge that nothing holds.
    """
    edge = float(wanted.profile[-1, 0])
    perimeter = 2 * wanted.straight + 2 * np.pi * edge
    share = kept(height=wanted.height, perimeter=perimeter)
    if 2 * np.pi * wanted.height / perimeter <= FREE_EDGE or wanted.straight < OVAL * wanted.width:
        return None
    longer = share * wanted.straight
    across = (perimeter - 2 * longer) / np.pi
    why = (
        f"A free edge {in_mm(wanted.height)} above the chain forgets its oval: on a chain as long as the "
        f"wanted straight sides ({in_mm(wanted.straight)}) it keeps {share:.0%} of them, and comes out about "
        f"{in_mm(across + longer)} by {in_mm(across)}."
    )
    low = in_mm(FREE_EDGE * perimeter / (2 * np.pi))
    remedies = (
        'Sew the edge to something stiff, or put wire into it (edge = "held"): then it keeps its outline.',
        f"Make the part lower: up to about {low} the edge stays oval.",
    )
    return Limit(why, None, remedies)


def ties(rings: Sequence[np.ndarray], *, number: int, length: float) -> tuple[tuple[int, int, float], ...]:
    """Return ties between chain and seam, evenly along them.

    Parameters
    ----------
    rings : sequence of int arrays
        Nodes of each ring of a fabric on a chain with a seam.
    number : int
    length : float
        [mm]
    """
    chain = np.arange(int(rings[0].max()) + 1)  # from the first end to the second
    seam = np.unique(rings[-1])
    at = (np.arange(number) + 0.5) / number
    return tuple(
        (int(chain[round(share * (len(chain) - 1))]), int(seam[round(share * (len(seam) - 1))]), length)
        for share in at.tolist()
    )
