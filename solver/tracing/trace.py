"""What was read from a sketch, a drawing or a model: an outline to edit, and what to tell about it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from solver.arrays import Floats, frozen
from solver.errors import InputError, Problem
from solver.tracing.smoothing import few_points, flat_end, smoothed, without_flat_end
from solver.units import in_mm
from solver.wanted.outline import Outline
from solver.wanted.silhouette import offsets

_CHOICES = {
    "axis": ("auto", "vertical", "horizontal"),
    "side": ("both", "left", "right"),
    "drawn": ("auto", "whole", "half"),
    "first": ("auto", "bottom", "top", "left", "right"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What the maker says about the shape in a file.

    Attributes
    ----------
    stitch_width, row_height : float
        Her gauge: detail finer than that is smoothed away. [mm]
    height, width : float or None
        Size of the finished shape along its axis, or across it; not both. [mm]
    axis : str
        "auto", "vertical" or "horizontal": how the axis lies in the picture.
    side : str
        "both" (the mean), "left" or "right": which side of the axis is taken, as the axis stands upright.
    drawn : str
        "auto", "whole", or "half": one half beside a straight axis.
    first : str
        End that is worked first: "bottom" or "top", "left" or "right" for a level axis; "auto" is the bottom
        or the left one.
    open_first, open_last : bool
        Whether that end is open: its flat end is left out.

    Raises
    ------
    InputError
        If a word is not one of these, a size is not above zero, or both sizes are given.
    """

    stitch_width: float
    row_height: float
    height: float | None = None
    width: float | None = None
    axis: str = "auto"
    side: str = "both"
    drawn: str = "auto"
    first: str = "auto"
    open_first: bool = False
    open_last: bool = False

    def __post_init__(self) -> None:
        problems = [
            Problem(f"{name} is one of {', '.join(words)}", got=f'"{given}"')
            for name, words in _CHOICES.items()
            if (given := getattr(self, name)) not in words
        ]
        problems += [
            Problem(f"{name} is above zero", got=f"{size:g} mm")
            for name in ("stitch_width", "row_height", "height", "width")
            if (size := getattr(self, name)) is not None and not 0 < size < np.inf
        ]
        if self.height is not None and self.width is not None:
            got = f"height {self.height:g} mm and width {self.width:g} mm"
            rule = "a traced shape has one size, its proportions come from the file"
            problems.append(Problem(rule, got=got, remedy="Leave one of them out."))
        if problems:
            raise InputError(*problems)


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """Where the reading lies in the file, for the check picture.

    Attributes
    ----------
    read : tuple of (n, 2) float
        The lines that were read, x right and y up. [`unit`]
    used : (m, 2) float
        The outline that came of it, laid over them, both sides.
    axis : (2, 2) float
        The ends of the axis.
    unit : str
        "px" or "mm".
    picture : (h, w, 3) float32 or None
        What was read from; its upper left corner is at (0, 0).
    upside_down : bool
        Whether the end that is worked first is above, as the axis stands upright.
    """

    read: tuple[Floats, ...]
    used: Floats
    axis: Floats
    unit: str
    picture: NDArray[np.float32] | None = None
    upside_down: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """An outline read from a file.

    Attributes
    ----------
    points : (n, 2) float
        Radius and height, first worked first, few enough to edit. [mm]
    notes : tuple of str
        What was found, taken for granted and smoothed, as sentences.
    seen : Seen
        For the check picture.
    asymmetry : float
        Area by which the two sides differ, of the whole area; 0 where only one side was drawn.
    straight : (n,) float or None
        For an elongated shape the length of a straight side of its slices at each point; None if it is
        round. [mm]
    levels : (k, 2) float or None
        Height, and length of a straight side there, all along the outline: between few points it may curve.
        [mm]
    """

    points: Floats
    notes: tuple[str, ...]
    seen: Seen
    asymmetry: float = 0.0
    straight: Floats | None = field(default=None)
    levels: Floats | None = field(default=None)

    def __post_init__(self) -> None:
        object.__setattr__(self, "points", frozen(self.points))
        if self.straight is not None:
            object.__setattr__(self, "straight", frozen(self.straight))
        if self.levels is not None:
            object.__setattr__(self, "levels", frozen(self.levels))

    @property
    def outline(self) -> Outline:
        """The smooth outline through the points."""
        return Outline.smooth(self.points)

    def drawn_out(self, heights: Floats, straight: Floats) -> Trace:
        """Return the trace as that of an elongated shape.

        Parameters
        ----------
        heights, straight : (k,) float
            Rising heights, and the length of a straight side there; level beyond. [mm]
        """
        every = self.outline.points[:, 1]
        return replace(
            self,
            straight=np.interp(self.points[:, 1], heights, straight),
            levels=np.column_stack([every, np.interp(every, heights, straight)]),
        )

    def sides(self, *, stitch_width: float) -> float | tuple[tuple[float, float], ...] | None:
        """Return the straight sides of an elongated shape, few enough to edit; None if it is round.

        Parameters
        ----------
        stitch_width : float
            [mm]

        Returns
        -------
        float or tuple of (float, float), or None
            One length where they differ by less than a stitch; else heights and the lengths there, each end
            within a quarter of a stitch of its line. [mm]
        """
        if self.levels is None:
            return None
        lengths = self.levels[:, 1]
        least, most = float(lengths.min()), float(lengths.max())
        if most - least < stitch_width:
            return round((least + most) / 2, 1)
        from skimage.measure import approximate_polygon

        heights, at = np.unique(self.levels[:, 0].round(2), return_index=True)
        # each end lies half a side from the middle: what counts is the line of that end
        few = approximate_polygon(np.column_stack([heights, lengths[at] / 2]), stitch_width / 4)
        return tuple((height, round(2 * half, 1)) for height, half in few.tolist())

    def with_notes_before(self, *notes: str) -> Trace:
        """Return the trace with more to tell, first."""
        return replace(self, notes=(*notes, *self.notes))


def scale_of(half: Floats, wanted: Wanted, *, file: str) -> float:
    """Return millimetres per unit of a half-outline.

    Parameters
    ----------
    half : (n, 2) float
        Radius and height in units of the file.
    wanted : Wanted
        With a height or a width.
    file : str
        For the message.

    Raises
    ------
    InputError
        If neither size was given.
    """
    high, wide = float(np.ptp(half[:, 1])), float(2 * half[:, 0].max())
    if not (np.isfinite(half).all() and high > 0 and wide > 1e-6 * high):
        rule, remedy = "a shape is wide and high", "Draw its outline as one line that goes round it."
        raise InputError(Problem(rule, got="a line that encloses nothing", remedy=remedy, file=file))
    if wanted.height is not None:
        return wanted.height / high
    if wanted.width is not None:
        return wanted.width / wide
    remedy = 'Give height = "9 cm" (along the axis) or width = "6 cm".'
    raise InputError(Problem("a sketch has no size of its own", remedy=remedy, file=file))


def finished(half: Floats, wanted: Wanted, *, file: str) -> tuple[Floats, Floats, tuple[str, ...]]:
    """Return the points of an outline, the curve they stand for, and what was done to it.

    Parameters
    ----------
    half : (n, 2) float
        Radius and height from the axis to the axis, the first worked end first. [mm]
    wanted : Wanted
        The gauge and the open ends.
    file : str
        For the message.

    Returns
    -------
    points : (m, 2) float
        Few, to edit. [mm]
    curve : (k, 2) float
        All of it. [mm]
    notes : tuple of str

    Raises
    ------
    InputError
        If an end that shall be open is not drawn flat, or no outline is left.
    """
    notes = []
    ends = (("first", True, wanted.open_first), ("last", False, wanted.open_last))
    for name, first, is_open in ends:
        radius = flat_end(half, first=first)
        if is_open and not radius:
            rule = f"the {name} end, which is to be open, is cut off straight across"
            remedy = "Draw a straight line across the opening, or let the part be closed there."
            raise InputError(Problem(rule, got="a round or pointed end", remedy=remedy, file=file))
        if is_open:
            half = without_flat_end(half, first=first)
            notes.append(f"The {name} end is open, {in_mm(2 * radius)} across.")
        elif radius > 0.3 * half[:, 0].max():
            notes.append(
                f"The {name} end is flat, {in_mm(2 * radius)} across, and worked as a disc; "
                "say that it is open if it shall be left open."
            )
    curve = smoothed(half, row_height=wanted.row_height)
    points = few_points(curve, stitch_width=wanted.stitch_width)
    moved = float(np.abs(offsets(half, Outline.smooth(points)).distance).max())
    notes.append(
        f"Smoothed: no wiggle finer than a row ({in_mm(wanted.row_height)}) was kept; "
        f"the outline lies within {in_mm(moved)} of the line that was read."
    )
    if moved > wanted.stitch_width / 2:
        notes.append(
            f"That is more than half a stitch ({in_mm(wanted.stitch_width / 2)}): the drawing has details "
            "that stitches of this size can't show."
        )
    return points, curve, tuple(notes)
