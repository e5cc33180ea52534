"""Bends by increases on one side and as many decreases on the other: every round keeps its count.

Where they stay at their places round after round, as the rounds begin in their midst, they move the part
aside and do not tilt it: a step, which a spine has between two opposite bends. Where the rounds begin at the
side, each round's stand half their number k of stitches further on round the part, and R tilt it by

    T_k min(1, (n / N_k)^2) sin((R - R_0) pi k / 2 n),    R_0 = 1.5 (n / 24)^1.8 (2 / k)^(1/2)            (1)

degrees towards the increases: like chords of an arc, as every round tilts it by as much in its own direction,
but for the first ones. Both are laws of forms that were solved (12 to 38 stitches, 2 to 14 rounds); each set
of rounds is judged by its own form. Increases side by side swell there, which shows as waves; set apart
by stitches between they swell as much, and bend half as far.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise, product

import numpy as np

from solver.rounds import Stitch
from solver.search.bent_plan import SURFACE_OFF, Pattern, Straight, Turn
from solver.wanted.swept import Bend

REACH, FEWEST, BY_STITCH = 12.0, 12, 3.0
"""Greatest tilt, beyond which the middle line strays; the stitches of a round that hardly tilts, and what
each stitch more gives. [degrees]"""

MOST, HOPELESS = 26, 30
"""Stitches of a round from which the part moves aside and swells more the more it tilts, and beyond which it
hardly tilts."""

TILTS = {2: (20.0, 12.0), 3: (29.0, 29.0), 4: (38.0, 34.0)}
"""T_k [degrees] and N_k [stitches] of (1)."""

SWOLLEN = 0.021
"""Stitch widths by which each increase of a bend moves the surface, in rounds of 24 stitches."""

STEEPEST = 25.0
"""Greatest slope of a step against the part before and after it. [degrees]"""

TURNED = 0.75
"""Increases of a bend over the stitches of a round, from which it leans to all sides."""

ASIDE, AT_FIRST = {2: 0.36, 4: 0.47}, {2: 0.2, 4: 0.4}
"""Stitch widths by which a round with so many increases moves the next, and the first one more."""

OPPOSITE = 3.0
"""Degrees by which two bends that make a step may differ."""

LIKELIEST = 12
"""Ways that are worth solving."""


def is_step(bends: Sequence[Bend]) -> bool:
    """Whether bends move a part aside and leave its end as upright as its start."""
    if len(bends) != 2:
        return False
    return bool(abs(np.degrees(bends[0].angle + bends[1].angle)) <= OPPOSITE)


def shaped_reach(bends: Sequence[Bend], *, count: int) -> float:
    """Return the greatest angle that increases and decreases give such bends; 0 for several. [degrees]

    Parameters
    ----------
    bends : sequence of Bend
    count : int
        Stitches of the rounds there.
    """
    if is_step(bends):
        return STEEPEST
    most = REACH * min(1.0, (MOST / count) ** 2) if count <= HOPELESS else 0.0
    return float(np.clip(BY_STITCH * (count - FEWEST), 0.0, most)) if len(bends) == 1 else 0.0


def tilted(shaped: int, rounds: int, count: int) -> float:
    """Return the tilt of so many rounds with so many increases each, by (1). [degrees]"""
    most, full = TILTS[shaped]
    idle = 1.5 * (count / 24) ** 1.8 * (2 / shaped) ** 0.5
    along = min(max(rounds - idle, 0.0) * np.pi * shaped / 2 / count, np.pi / 2)
    return float(most * min(1.0, (count / full) ** 2) * np.sin(along))  # (1)


def shaped_turns(
    straight: Straight, bends: Sequence[Bend], shares: Mapping[int, float] | None = None
) -> list[tuple[Turn, ...]]:
    """Return ways to work the bends by increases and decreases, the likeliest first.

    Parameters
    ----------
    straight : Straight
    bends : sequence of Bend
        One, or two that make a step.
    shares : mapping, optional
        The part of (1) that solved forms with so many increases a round came to.
    """
    step = is_step(bends)
    middle = (bends[0].middle + bends[-1].middle) / 2
    n, row = straight.count_at(middle), straight.row_at(middle)
    angle = abs(float(np.degrees(bends[0].angle)))
    found: list[tuple[float, Turn]] = []
    for shaped, rounds in product(ASIDE if step else TILTS, range(2, 25)):
        if shaped > n // 4:
            continue
        if step:
            aside = np.sin(abs(bends[0].angle)) * (bends[1].middle - bends[0].middle)
            given = (AT_FIRST[shaped] + ASIDE[shaped] * rounds) * straight.stitch_width
            off = (given - aside) / straight.stitch_width / 0.5
            long = (rounds * row - (bends[1].middle - bends[0].middle)) / straight.stitch_width / 4
        else:
            if shaped * rounds > TURNED * n:
                continue
            off = ((shares or {}).get(shaped, 1.0) * tilted(shaped, rounds, n) - angle) / 2.5
            long = SWOLLEN * shaped * rounds * (n / 24) ** 0.5 / SURFACE_OFF
        first = int(np.argmin(np.abs(straight.at - (middle - rounds * row / 2))))
        if first < 1 or first + rounds >= len(straight.at):
            continue
        if len(set(straight.counts[first - 1 : first + rounds])) > 1:
            off += 1.0
        early = shaped // 2 if step else 0
        pattern = Pattern(n, 0, 0, Stitch.HDC, shaped=shaped, early=early)
        found.append((float(off**2 + long**2), Turn(first, first + rounds, rounds, pattern)))
    return [(turn,) for _, turn in sorted(found, key=lambda each: each[0])[:LIKELIEST]]


def stepped(
    straight: Straight, bends: Sequence[Bend]
) -> tuple[tuple[Bend, ...], dict[int, tuple[Turn, ...]]]:
    """Return bends of which two opposite ones are one step by shaping, and how that is worked, by its number.

    Nothing of the sort, if no two neighbours are a step within reach. One alone, as the rounds begin in the
    midst of its increases.
    """
    for i, pair in enumerate(pairwise(bends)):
        steep = np.degrees(max(abs(bend.angle) for bend in pair)) > STEEPEST + 1e-6
        turns = () if steep or not is_step(pair) else tuple(turn for (turn,) in shaped_turns(straight, pair))
        if turns:
            return (*bends[: i + 1], *bends[i + 2 :]), {i: turns}
    return tuple(bends), {}
