"""How large one stitch is and how hard the fabric is stuffed: measured by the maker, or assumed."""

from __future__ import annotations

import math
from dataclasses import dataclass

from solver.errors import InputError, Problem
from solver.notes import About, Note
from solver.rounds import HEIGHTS, Heights

STITCH_SIZES = (0.5, 40.0)
"""Stitch widths and row heights that a hook and yarn can make. [mm]"""
ROW_RATIOS = (0.4, 2.0)
"""Row height over stitch width beyond which something was measured wrongly."""
USUAL_ROW_RATIOS = (0.7, 1.3)
"""Row height over stitch width of nearly all toys in rounds (common practice, no source: 1.0 +- 0.1)."""
ROWS_ASSUMED = (
    "Rows were left out of the gauge: each round is taken to be as tall as a stitch is wide. "
    "Toys in rounds come near to that (within about a tenth); a measured swatch is surer."
)
"""What is told when a gauge has no rows."""
FIRMNESS = {"light": 0.003, "medium": 0.006, "firm": 0.012, "very firm": 0.03}
"""Stretch of the fabric for each word: assumed (published toys fit 0 to 0.02; common practice, no source)."""
STIFFNESS_RATIOS = (0.2, 5.0)
"""Stiffness along a part over stiffness round it, k_w/k_c, that a fabric may have; 1 where not measured."""
PUBLISHED = 0.05
"""Root mean square share by which five published toys with gauge, counts and size lie off this model (common
practice, no source): what a size is worth where nothing was measured."""
NOT_STUFFED = "none"
"""The word for a part that is not stuffed but folded flat."""
MOST_LEAN = 1.0
"""Stitches a round beyond which a spiral does not lean."""
LEAN_ASSUMED, LEAN_UNSURE = 0.0, 0.2
"""Lean where it was not measured, and by how much that may be off: hands differ in how they lay the yarn
over the hook, and most lean against the direction of work (common practice, no source). [stitches a round]"""
DEFAULT_FIRMNESS = "medium"
GREATEST_STRETCH = 0.15
"""Stretch of fabric beyond which a measured ball contradicts its gauge."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """The size of one stitch in relaxed fabric worked in rounds.

    Attributes
    ----------
    stitch_width : float
        Along the round, 0.5 to 40. [mm]
    row_height : float
        Across the rounds, 0.5 to 40 and 0.4 to 2 times the stitch width. [mm]
    thickness : float
        Of the fabric, at most 40; sizes of parts and balls are outside sizes by so much. [mm]
    stiffness_ratio : float
        k_w/k_c: how much stiffer the fabric is along a part than round it, 0.2 to 5.
    error : float
        Share by which sizes worked out from it may be off, 0 to 0.5: of published toys (`PUBLISHED`), or less
        where gauge and ball were measured.
    heights : Heights
        Of stitches other than single crochet.
    lean : float or None
        Stitches by which the beginning of the round moves on with every round, -1 to 1; None: not measured.

    Raises
    ------
    InputError
        If a size is outside its range or not finite.
    """

    stitch_width: float
    row_height: float
    thickness: float = 0.0
    stiffness_ratio: float = 1.0
    error: float = PUBLISHED
    heights: Heights = HEIGHTS
    lean: float | None = None

    def __post_init__(self) -> None:
        least, most = STITCH_SIZES
        remedy = "Check the counts, the measured length and its unit."
        for what, size in (("stitch width", self.stitch_width), ("row height", self.row_height)):
            if not least <= size <= most:
                rule = f"a {what} is from {least:g} to {most:g} mm"
                raise InputError(Problem(rule, got=f"{size:g} mm", remedy=remedy))
        if not 0.0 <= self.thickness <= most:
            rule = f"a fabric thickness is from 0 to {most:g} mm"
            raise InputError(Problem(rule, got=f"{self.thickness:g} mm", place="thickness"))
        if not 0.0 <= self.error <= 0.5:
            raise InputError(
                Problem("an error of sizes is from 0 to 0.5", got=f"{self.error:g}", place="error")
            )
        if self.lean is not None and not -MOST_LEAN <= self.lean <= MOST_LEAN:
            rule = f"a lean is from -{MOST_LEAN:g} to {MOST_LEAN:g} stitches a round"
            raise InputError(Problem(rule, got=f"{self.lean:g}", place="lean"))
        least, most = STIFFNESS_RATIOS
        if not least <= self.stiffness_ratio <= most:
            rule = f"a stiffness ratio is from {least:g} to {most:g}"
            raise InputError(Problem(rule, got=f"{self.stiffness_ratio:g}", place="stiffness_ratio"))
        if not ROW_RATIOS[0] <= self.row_ratio <= ROW_RATIOS[1]:
            rule = f"a row is {ROW_RATIOS[0]:g} to {ROW_RATIOS[1]:g} times as tall as a stitch is wide"
            remedy = "Check stitches and rows; they may be swapped."
            raise InputError(Problem(rule, got=f"{self.row_ratio:.2f} times", remedy=remedy))

    @property
    def leans(self) -> float:
        """Its lean, or what is assumed of it. [stitches a round]"""
        return LEAN_ASSUMED if self.lean is None else self.lean

    @property
    def row_ratio(self) -> float:
        """Row height over stitch width."""
        return self.row_height / self.stitch_width

    @property
    def notes(self) -> tuple[str, ...]:
        """What the maker should hear about this gauge; empty when it is a usual one."""
        low, high = USUAL_ROW_RATIOS
        if low <= self.row_ratio <= high:
            return ()
        return (
            f"The gauge has rows {self.row_ratio:.2f} times as tall as a stitch is wide; toys worked in "
            f"rounds nearly always lie between {low:g} and {high:g}. "
            "Measure it again, in rounds, never turned.",
        )

    @classmethod
    def from_swatch(
        cls,
        *,
        stitches: float,
        rows: float | None,
        over_mm: float,
        thickness: float = 0.0,
        stiffness_ratio: float = 1.0,
        heights: Heights = HEIGHTS,
    ) -> Gauge:
        """Return the gauge of a swatch worked in rounds.

        Parameters
        ----------
        stitches : float
            Stitches over the measured length, > 0.
        rows : float or None
            Rounds over the same length, > 0; None takes rows as tall as stitches are wide: tell
            `ROWS_ASSUMED`.
        over_mm : float
            The measured length, > 0. [mm]
        thickness : float
            Of the fabric. [mm]
        stiffness_ratio : float
            k_w/k_c.
        heights : Heights
            Of stitches other than single crochet.

        Raises
        ------
        InputError
            If a value is not above zero, or the gauge is not a plausible one.
        """
        _check_above_zero(stitches=stitches, rows=1.0 if rows is None else rows, over=over_mm)
        rows = stitches if rows is None else rows
        return cls(
            stitch_width=over_mm / stitches,
            row_height=over_mm / rows,
            thickness=thickness,
            stiffness_ratio=stiffness_ratio,
            heights=heights,
        )

    @classmethod
    def from_circle(
        cls,
        *,
        rounds: float,
        stitches: float,
        across_mm: float,
        thickness: float = 0.0,
        stiffness_ratio: float = 1.0,
        heights: Heights = HEIGHTS,
    ) -> Gauge:
        """Return the gauge of a flat circle worked from a ring.

        Parameters
        ----------
        rounds : float
            Rounds in the circle, > 0.
        stitches : float
            Stitches in its last round, > 0.
        across_mm : float
            Its diameter, > 0. [mm]
        thickness : float
            Of the fabric. [mm]
        stiffness_ratio : float
            k_w/k_c.
        heights : Heights
            Of stitches other than single crochet.

        Raises
        ------
        InputError
            If a value is not above zero, or the gauge is not a plausible one.

        Notes
        -----
        k rounds reach k row heights from the middle, and the edge holds all stitches of the last round.
        """
        _check_above_zero(rounds=rounds, stitches=stitches, across=across_mm)
        return cls(
            stitch_width=math.pi * across_mm / stitches,
            row_height=across_mm / 2 / rounds,
            thickness=thickness,
            stiffness_ratio=stiffness_ratio,
            heights=heights,
        )


@dataclass(frozen=True, slots=True)
class Stuffing:
    """How hard a part is stuffed, as the stretch that it gives the fabric of a ball.

    Attributes
    ----------
    stretch : float
        Stuffed length over rest length, minus one: above 0, at most 0.15; 0 where there is no stuffing.
    origin : str
        Where it comes from, in words: "medium stuffing, assumed" or "your own ball".
    measured : bool
        It was measured, not assumed.

    Raises
    ------
    InputError
        If the stretch is outside its range.
    """

    stretch: float
    origin: str
    measured: bool = False

    def __post_init__(self) -> None:
        if not (0.0 < self.stretch <= GREATEST_STRETCH or (self.stretch == 0 and self.origin == NOT_STUFFED)):
            rule = f"stuffing stretches fabric by more than 0 and at most {GREATEST_STRETCH:.0%}"
            raise InputError(Problem(rule, got=f"{self.stretch:.1%}"))

    @property
    def note(self) -> Note:
        """What a maker hears of it."""
        told = f"{self.origin.capitalize()}: it stretches the fabric by {self.stretch:.1%}."
        return Note(told, About.STUFFING)

    @classmethod
    def of_firmness(cls, name: str) -> Stuffing:
        """Return the assumed stretch for a word.

        Parameters
        ----------
        name : str
            "light", "medium", "firm" or "very firm"; or "none".

        Raises
        ------
        InputError
            For any other word.
        """
        if name == NOT_STUFFED:
            return cls(stretch=0.0, origin=NOT_STUFFED)
        if name not in FIRMNESS:
            raise InputError(Problem(f"firmness is one of: {', '.join(FIRMNESS)}, {NOT_STUFFED}", got=name))
        return cls(stretch=FIRMNESS[name], origin=f"{name} stuffing, assumed")

    @classmethod
    def of_ball(cls, *, stitches: float, girth_mm: float, gauge: Gauge) -> Stuffing:
        """Return the stretch of a finished stuffed ball that the maker measured.

        Parameters
        ----------
        stitches : float
            Stitches in its widest rounds, > 0.
        girth_mm : float
            The tape round its widest place, outside the fabric, > 0. [mm]
        gauge : Gauge
            The gauge that the ball was worked at.

        Raises
        ------
        InputError
            If the ball measures no more than its relaxed fabric, or over 15 % more.
        """
        _check_above_zero(stitches=stitches, girth=girth_mm)
        rest = stitches * gauge.stitch_width
        stretch = (girth_mm - math.pi * gauge.thickness) / rest - 1.0  # girth of the fabric's middle
        if not 0.0 < stretch <= GREATEST_STRETCH:
            rule = (
                f"a stuffed ball measures more than its relaxed fabric (here {rest:.0f} mm), "
                f"by at most {GREATEST_STRETCH:.0%}"
            )
            remedy = (
                "The gauge is probably not that of the ball: measure both again, "
                "or leave the ball out and choose a firmness."
            )
            raise InputError(Problem(rule, got=f"{girth_mm:.0f} mm round, {stretch:+.1%}", remedy=remedy))
        return cls(stretch=stretch, origin="your own ball", measured=True)

    def pressure(self, radius_mm: float) -> float:
        """Return pressure over fabric stiffness, p/k, that stretches a ball by `stretch`. [1/mm]

        Parameters
        ----------
        radius_mm : float
            Of the stuffed ball: half of the part's greatest width, > 0. [mm]

        Notes
        -----
        A sphere pulls its fabric with N = p R / 2 (Timoshenko and Woinowsky-Krieger, Theory of Plates and
        Shells, 2nd ed., ch. 14; from memory), and fabric of stretch e with N = k e / (1 + e).
        """
        if not self.stretch:
            return 0.0
        _check_above_zero(radius=radius_mm)
        return 2.0 * self.stretch / (radius_mm * (1.0 + self.stretch))


def _check_above_zero(**values: float) -> None:
    problems = [
        Problem(
            f"{name} is a finite number above zero", got=f"{value:g}", remedy="Measure or count it again."
        )
        for name, value in values.items()
        if not (math.isfinite(value) and value > 0.0)
    ]
    if problems:
        raise InputError(*problems)
