"""What a part takes: yarn, filling, stitches and hours. What was not measured is a guess, and told as one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

import numpy as np

from solver.rounds import Finish, Piece, Start
from solver.trade import likely_weight, makers
from solver.units import in_mm
from solver.wanted.gauge import FIRMNESS, Gauge
from solver.wanted.supplies import Supplies, Yarn

YARDS_PER_METRE = 1.0 / 0.9144
"""The international yard is 0.9144 m."""


_FILLING = (
    "The filling is a guess: {:.0f} g of polyester filling to the litre for this firmness "
    "(common practice: 10 soft to 20 very firm)."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """An amount with the least and the most that it may be.

    Attributes
    ----------
    value, least, most : float
        Alike where the amount was measured.
    """

    value: float
    least: float
    most: float

    def times(self, factor: float) -> Amount:
        """Return the amount times a factor."""
        return Amount(value=self.value * factor, least=self.least * factor, most=self.most * factor)

    @property
    def is_guess(self) -> bool:
        """It was not measured."""
        return self.least < self.most

    def told(self, unit: str, *, of: str = "") -> str:
        """Return the amount in words: "12.4 g of yarn", "about 12 g of yarn"."""
        if self.is_guess:
            return f"about {_plain(self.value)} {unit}{of}"
        return f"{_short(self.value)} {unit}{of}"

    def as_dict(self) -> dict[str, Any]:
        """Return the amount as plain data."""
        return {"value": self.value, "range": [self.least, self.most], "guess": self.is_guess}


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourPart:
    """What one colour takes.

    Attributes
    ----------
    colour : str
    rounds : tuple of int
        Numbers of the rounds that have stitches of it, rising.
    stitches : int
        In that colour; the first colour's with the chains of the start.
    metres, grams : Amount
    """

    colour: str
    rounds: tuple[int, ...]
    stitches: int
    metres: Amount
    grams: Amount


@dataclass(frozen=True, slots=True, kw_only=True)
class Materials:
    """What a part takes.

    Attributes
    ----------
    stitches : int
        Of all rounds, and the chains of the start.
    metres, grams : Amount
        Yarn.
    stuffing : Amount
        Filling. [g]
    hours : tuple of two float
        At the quickest and at the slowest rate of work.
    colours : tuple of ColourPart
        In the order of their first round; empty where the part file tells no colours.
    basis : tuple of str
        What the amounts rest on, as sentences.
    """

    stitches: int
    metres: Amount
    grams: Amount
    stuffing: Amount
    hours: tuple[float, float]
    colours: tuple[ColourPart, ...]
    basis: tuple[str, ...]

    def _whole(self, part: ColourPart) -> bool:
        """Return whether every round that has stitches of a colour is all of it."""
        return not any(set(part.rounds) & set(other.rounds) for other in self.colours if other is not part)

    def _stitched(self, part: ColourPart) -> str:
        """Return what is worked in a colour: rounds, or stitches of them."""
        return ("" if self._whole(part) else "stitches of ") + _ranges(part.rounds)

    def in_short(self) -> Iterator[str]:
        """Yield what the part takes in a short line, and one for each colour."""
        yards = self.metres.times(YARDS_PER_METRE)
        about = "about " if self.grams.is_guess or self.metres.is_guess else ""
        filling = f" Filling: {filling_told(self.stuffing.value)}." * bool(self.stuffing.value)
        yield (
            f"Yarn: {about}{_plain(self.grams.value)} g, {_plain(self.metres.value)} m "
            f"({_plain(yards.value)} yards).{filling} Work: {hours_told(*self.hours)}."
        )
        for part in self.colours:
            be = "is" if len(part.rounds) == 1 and self._whole(part) else "are"
            yield f"In {part.colour} {be} {self._stitched(part)}, {about}{_plain(part.grams.value)} g."

    def sentences(self) -> Iterator[str]:
        """Yield what the part takes and what that rests on, for its maker."""
        yards = self.metres.times(YARDS_PER_METRE)
        spare = f"; have {_plain(self.grams.most)} g at hand to be sure" if self.grams.is_guess else ""
        told = [self.metres.told("m"), yards.told("yards"), self.grams.told("g")]
        yield f"Yarn: {', '.join(told).replace(', about', ',')}{spare}."
        for part in self.colours:
            yield (
                f"In {part.colour} {'is' if len(part.rounds) == 1 and self._whole(part) else 'are'} "
                f"{self._stitched(part)}, with {part.stitches:,} stitches, "
                f"{part.metres.told('m')}, {part.grams.told('g').removeprefix('about ')} of yarn."
            )
        if self.stuffing.value:
            yield f"Filling: {filling_told(self.stuffing.value)} of polyester."
        yield (
            f"Stitches in all: {self.stitches:,}; {hours_told(*self.hours)} (common practice), sewing not "
            "counted."
        )
        yield from self.basis

    def as_dict(self) -> dict[str, Any]:
        """Return what the part takes as plain data."""
        return {
            "stitches": self.stitches,
            "yarn_m": self.metres.as_dict(),
            "yarn_yards": self.metres.times(YARDS_PER_METRE).as_dict(),
            "yarn_g": self.grams.as_dict(),
            "stuffing_g": self.stuffing.as_dict(),
            "hours": list(self.hours),
            "colours": [
                {
                    "colour": part.colour,
                    "rounds": list(part.rounds),
                    "stitches": part.stitches,
                    "yarn_m": part.metres.value,
                    "yarn_g": part.grams.value,
                }
                for part in self.colours
            ],
            "basis": list(self.basis),
        }


def materials(
    piece: Piece,
    supplies: Supplies,
    *,
    gauge: Gauge,
    stretch: float,
    volume: float,
    colours: Sequence[Sequence[str]] = (),
    height: float = 0.0,
) -> Materials:
    """Return what a piece takes.

    Parameters
    ----------
    piece : Piece
        Its rounds.
    supplies : Supplies
        What was measured of its yarn, and its colours.
    gauge : Gauge
        Its gauge.
    stretch : float
        Of the stuffing: how firm it is.
    volume : float
        Inside the stuffed form. [mm^3]
    colours : sequence of sequence of str
        For each round the colour of each stitch that it makes; empty where none are told.
    height : float
        Of the stuffed form, for messages. [mm]
    """
    counts = np.array(piece.counts)
    chains = piece.foundation if piece.start is not Start.RING else 0
    stitches = int(counts.sum()) + chains
    metres, grams, basis = _yarn(stitches, supplies.yarn, gauge)
    density = float(
        np.interp(stretch, list(FIRMNESS.values()), list(makers()["stuffing"]["grams_per_litre"].values()))
    )
    least, most = makers()["stuffing"]["range"]
    filling = _amount(density * volume / 1e6, least, most)
    slow, quick = makers()["work"]["stitches_an_hour"]
    parts = tuple(_by_colour(colours, chains, stitches, metres, grams))
    unused = [name for name in supplies.names if colours and all(name != part.colour for part in parts)]
    return Materials(
        stitches=stitches,
        metres=metres,
        grams=grams,
        stuffing=filling,
        hours=(stitches / quick, stitches / slow),
        colours=parts,
        basis=(
            *(
                f"No {'round' if any(band.colour == colour for band in supplies.bands) else 'stitch'} is "
                f"worked in "
                f"{colour}: the part has {len(counts)} rounds and is {in_mm(height)} high, and a later "
                f"band or patch "
                "goes before an earlier one."
                for colour in unused
            ),
            *basis,
            *((_FILLING.format(density),) if volume else ()),
            *(("Tails for sewing are not counted.",) if piece.finish is Finish.OPEN else ()),
        ),
    )


def _yarn(stitches: int, yarn: Yarn, gauge: Gauge) -> tuple[Amount, Amount, tuple[str, ...]]:
    """Return metres and grams of yarn, and what they rest on."""
    weight = likely_weight(gauge.stitch_width)
    low, high = weight.metres_per_100g
    label, basis = yarn.metres_per_100g, []
    if not label:
        basis.append(
            f"Metres to 100 g are a guess: {low:g} to {high:g}, as yarn of weight {weight.number} "
            f"({weight.name}) has, whose toys come nearest to this gauge. Your label is surer: "
            "[yarn] metres_per_100g."
        )
    per_gram = (
        _amount(label / 100, 1, 1)
        if label
        else Amount(value=(low + high) / 200, least=low / 100, most=high / 100)
    )
    if yarn.grams_per_stitch:
        grams = _amount(stitches * yarn.grams_per_stitch, 1, 1)
        metres = Amount(
            value=grams.value * per_gram.value,
            least=grams.value * per_gram.least,
            most=grams.value * per_gram.most,
        )
        return metres, grams, ("The yarn's weight is that of your swatch, stitch for stitch.", *basis)
    table = makers()["yarn"]
    to_area = table["cm_per_square_cm"] * table["at_stitch_width_mm"] / gauge.stitch_width
    area = stitches * gauge.stitch_width * gauge.row_height / 100  # [cm^2]
    metres = _amount(to_area * area / 100, *table["range"])
    grams = Amount(
        value=metres.value / per_gram.value,
        least=metres.least / per_gram.most,
        most=metres.most / per_gram.least,
    )
    guess = (
        f"The yarn is a guess: {to_area:.0f} cm of it in a square centimetre of this fabric, from one "
        f"measurement of {table['cm_per_square_cm']:g} cm in medium yarn with a 5 mm hook (common practice), "
        "taken to grow as stitches get smaller. Weigh a swatch, and it is measured: [yarn] swatch."
    )
    return metres, grams, (guess, *basis)


def _by_colour(
    colours: Sequence[Sequence[str]], chains: int, stitches: int, metres: Amount, grams: Amount
) -> Iterator[ColourPart]:
    """Yield what each colour takes, in the order of their first stitches."""
    names = dict.fromkeys(name for each in colours for name in each)
    for name in names:
        own = [list(each).count(name) for each in colours]
        count = sum(own) + (chains if name == colours[0][0] else 0)
        yield ColourPart(
            colour=name,
            rounds=tuple(number for number, found in enumerate(own, start=1) if found),
            stitches=count,
            metres=metres.times(count / stitches),
            grams=grams.times(count / stitches),
        )


def _amount(value: float, least: float, most: float) -> Amount:
    return Amount(value=value, least=value * least, most=value * most)


PINCH = 0.5
"""Filling up to which there is no weighing it. [g]"""


def filling_told(grams: float) -> str:
    """Return an amount of filling in words: "a pinch", "about 12 g"."""
    return "a pinch" if grams < PINCH else f"about {_plain(grams)} g"


def hours_told(quick: float, slow: float) -> str:
    """Return the time that work takes in words: "20 to 50 minutes", "1 to 3 1/2 hours"."""
    unit, low, high = time_of(quick, slow)
    return f"about {high} {unit}" if low == high else f"{low} to {high} {unit}"


def time_of(quick: float, slow: float) -> tuple[str, str, str]:
    """Return whether a time is told in "minutes" or "hours", and from how many to how many."""
    if slow <= 1.25:  # what rounds to one hour is told in minutes
        least, most = (5 * round(12 * hours) for hours in (quick, slow))
        return "minutes", str(max(least, 5)), str(max(most, 5))
    return "hours", _halves(max(quick, 0.5)), _halves(slow)


def _halves(hours: float) -> str:
    """Return hours to the half, in words."""
    if hours >= 10:
        return f"{hours:.0f}"
    whole, half = divmod(round(2 * hours), 2)
    return f"{whole} 1/2" if whole and half else "1/2" if half else f"{whole}"


def _plain(value: float) -> str:
    """Return a number as one would say it: one digit that matters below 10, two below 100."""
    return f"{value:.1g}" if value < 1 else f"{value:.0f}" if value < 100 else f"{round(value, -1):,.0f}"


def _short(value: float) -> str:
    """Return a number with two digits that matter, whole from 10."""
    if value >= 9.95:
        return f"{value:,.0f}"
    return f"{value:.1f}" if value >= 0.995 else f"{value:.2g}"


def _ranges(numbers: tuple[int, ...]) -> str:
    """Return numbers of rounds in words: "rounds 1-8 and 12"."""
    runs = []
    for _, group in groupby(enumerate(numbers), key=lambda pair: pair[1] - pair[0]):
        run = [number for _, number in group]
        runs.append(str(run[0]) if len(run) == 1 else f"{run[0]}-{run[-1]}")
    text = ", ".join(runs[:-1]) + (" and " if len(runs) > 1 else "") + runs[-1]
    return f"round {text}" if len(numbers) == 1 else f"rounds {text}"
