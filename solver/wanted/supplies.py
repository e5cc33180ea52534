"""What else a part file may tell: the yarn, the colours, and hard or long things that are sewn on."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from solver.wanted.patches import Patch

MAIN_YARN = "the main yarn"
"""Name of the yarn of rounds that no band holds, where the part file gives none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Yarn:
    """The yarn, as far as its maker measured it.

    Attributes
    ----------
    grams_per_stitch : float or None
        Weight of a swatch over its stitches. [g]
    metres_per_100g : float or None
        As its label says. [m]
    """

    grams_per_stitch: float | None = None
    metres_per_100g: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Rounds that are worked in a colour.

    Attributes
    ----------
    colour : str
    rounds : tuple of (int, int)
        First and last number of each run of rounds, from 1; empty where heights tell.
    low, high : float or None
        Heights of the stuffed part, from its lowest point, between which the colour lies. [mm]
    """

    colour: str
    rounds: tuple[tuple[int, int], ...] = ()
    low: float | None = None
    high: float | None = None

    def holds(self, number: int, height: float) -> bool:
        """Return whether a round lies in the band, by its number and by the height of its middle. [mm]."""
        if self.rounds:
            return any(first <= number <= last for first, last in self.rounds)
        above = self.low is None or height >= self.low
        return above and (self.high is None or height < self.high)

    def scaled(self, factor: float) -> Band:
        """Return it with its heights so many times as high, > 0; rounds told by number stay."""
        low, high = (None if each is None else factor * each for each in (self.low, self.high))
        return replace(self, low=low, high=high)


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """Something hard that is fixed to the part.

    Attributes
    ----------
    name : str
        "eyes" or "buttons".
    diameter, height : float
        Of one of them. [mm]
    count : int
    """

    name: str
    diameter: float
    height: float
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Cord:
    """A chain, a tail or another cord.

    Attributes
    ----------
    name : str
    length : float
        Free length; of a loop, its perimeter. [mm]
    loop : bool
        Both of its ends are fixed.
    """

    name: str
    length: float
    loop: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Supplies:
    """What a part takes beside its stitches.

    Attributes
    ----------
    yarn : Yarn
    main_colour : str
        Of the rounds that no band holds; empty where it has no name.
    bands : tuple of Band
        A later one goes before an earlier one.
    extras : tuple of Extra
    cords : tuple of Cord
    patches : tuple of Patch
        Of colour; a later one goes before an earlier one, and all before the bands.
    yarns : tuple of (str, str)
        Names of yarns and their colours, "#rrggbb".
    down : str
        The end that is down where heights and turns of colours are told: "start" or "finish".
    """

    yarn: Yarn = field(default_factory=Yarn)
    main_colour: str = ""
    bands: tuple[Band, ...] = ()
    extras: tuple[Extra, ...] = ()
    cords: tuple[Cord, ...] = ()
    patches: tuple[Patch, ...] = ()
    yarns: tuple[tuple[str, str], ...] = ()
    down: str = "start"

    def scaled(self, factor: float) -> Supplies:
        """Return them with patches and bands of heights so many times as large, > 0; what is bought stays."""
        bands = tuple(band.scaled(factor) for band in self.bands)
        return replace(self, bands=bands, patches=tuple(patch.scaled(factor) for patch in self.patches))

    @property
    def names(self) -> tuple[str, ...]:
        """The colours that it tells, in the order of the file."""
        told = [self.main_colour] if self.main_colour else []
        told += [band.colour for band in self.bands]
        told += [colour for patch in self.patches for colour in patch.colours]
        return tuple(dict.fromkeys(told))

    def shade(self, name: str) -> str:
        """Return the colour of a yarn, "#rrggbb", where it is told; else its name."""
        return dict(self.yarns).get(name, name)
