"""How a round part is to be made, as the search for its counts needs it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from solver.arrays import Floats
from solver.form import folded, rings
from solver.form.fabric import CLOSING_ROWS
from solver.form.folded import FoldedFabric, FoldedForm
from solver.form.rings import Form, RingFabric
from solver.search.counts import Whole
from solver.wanted.outline import Outline


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """A size that the form shall have, besides lying near the outline.

    Attributes
    ----------
    measure : str
        "height", "width" or "volume".
    size : float
        Of the middle of the fabric, > 0. [mm, mm^3]
    weight : float
        Part of the misfit, as a length, that counts like a deviation.
    """

    measure: str
    size: float
    weight: float

    def off(self, form: Form | FoldedForm) -> float:
        """Return the misfit of a form, as a length times its weight. [mm]"""
        got = {"height": form.size, "width": form.width, "volume": form.volume}[self.measure]
        return (got - self.size) * self.unit

    def slope(self, form: Form | FoldedForm, moved: Floats) -> Floats:
        """Return how the misfit moves where rings move by (m, 2, n). [mm]"""
        r, z = form.points.T
        if self.measure == "width":
            return np.asarray(2 * moved[int(np.argmax(r)), 0] * self.unit)
        if self.measure == "height":
            return np.asarray((moved[int(np.argmax(z)), 1] - moved[int(np.argmin(z)), 1]) * self.unit)
        a, b, dz = r[:-1, None], r[1:, None], np.diff(z)[:, None]
        of_radii = dz * ((2 * a + b) * moved[:-1, 0] + (a + 2 * b) * moved[1:, 0])
        of_heights = (a * a + a * b + b * b) * (moved[1:, 1] - moved[:-1, 1])
        return np.asarray(np.pi / 3 * (of_radii + of_heights).sum(axis=0) * self.unit)

    @property
    def unit(self) -> float:
        """Length that one unit of the size counts as: for a volume, what each side of a cube of it gains."""
        return self.weight / (3 * self.size ** (2 / 3) if self.measure == "volume" else 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Making:
    """How a part is to be made.

    Attributes
    ----------
    stitch_width, row_height : float
        w and h, > 0. [mm]
    pressure : float
        p/k, > 0. [1/mm]
    start_open, finish_open : bool
        An open chain, an open edge; else a ring and a cinch.
    held : bool
        Open ends are sewn to something stiff and held to their wanted radius.
    ring : int or None
        Stitches in the ring, or of an open start, where somebody says so.
    multiple : int
        Counts are multiples of this, >= 1.
    stiffness_ratio : float
        k_w/k_c: along the part over round it, > 0.
    aim : Aim or None
        A size that is wanted besides the outline.
    tolerance : float or None
        Root mean square distance from the outline that plain counts may have, > 0; None asks for the nearest
        counts. [stitch widths]
    folded : bool
        It is not stuffed but folded flat; its counts are those beyond `side`.
    side : int
        Stitches that each side of a folded part on a chain keeps; 0 for one without.
    """

    stitch_width: float
    row_height: float
    pressure: float
    start_open: bool = False
    finish_open: bool = False
    held: bool = True
    ring: int | None = None
    multiple: int = 1
    stiffness_ratio: float = 1.0
    aim: Aim | None = None
    tolerance: float | None = None
    folded: bool = False
    side: int = 0

    @property
    def closing_rows(self) -> float:
        """Rows between the last edge and the end of the meridian."""
        return 0.0 if self.finish_open else CLOSING_ROWS

    def shaped(self, counts: Whole | Floats) -> slice:
        """Return which rounds hold the part's shape: all but those that a ring or a cinch draws together."""
        return slice(0 if self.start_open else 1, len(counts) if self.finish_open else len(counts) - 1)

    def form(self, counts: Whole | Floats, outline: Outline, guess: Floats | None) -> Form | FoldedForm:
        """Return what counts become, stuffed or folded flat."""
        if self.folded:
            return folded.folded_form(self.folded_fabric(counts), guess=guess)
        return rings.ring_form(self.fabric(counts, outline), pressure=self.pressure, guess=guess)

    def forms(
        self, many: Sequence[Whole], outline: Outline, guesses: Sequence[Floats]
    ) -> Sequence[Form | FoldedForm | None]:
        """Return what several counts of as many rounds become, None for those that have no balance."""
        if self.folded:
            return folded.folded_forms([self.folded_fabric(counts) for counts in many], guesses=guesses)
        fabrics = [self.fabric(counts, outline) for counts in many]
        return rings.ring_forms(fabrics, pressure=self.pressure, guesses=guesses)

    def moved(self, form: Form | FoldedForm) -> Floats:
        """Return how a form moves with the count of each ring, (m, 2, m); a chain keeps its stitches. [mm]"""
        if isinstance(form, Form):
            return rings.count_sensitivity(form)
        told = folded.count_sensitivity(form)
        if self.side:
            told[:, :, 0] = 0.0
        return told

    def folded_fabric(self, counts: Whole | Floats) -> FoldedFabric:
        """Return the fabric that rounds of these counts, beyond those of the sides, are to be folded flat."""
        w, h, n = self.stitch_width, self.row_height, len(counts)
        side = (self.side + 1) * w / 2 if self.side else 0.0
        rows = (2 * self.side + np.asarray(counts, dtype=float)) * w / 4
        first = side or (rows[0] if self.start_open else 0.0)
        point = not self.finish_open
        return FoldedFabric(
            rows=np.array([first, *rows, *[0.0] * point]),
            spacing=np.array([*[h] * n, *[self.closing_rows * h] * point]),
            side=side,
            stitch_width=w,
        )

    def fabric(
        self, counts: Whole | Floats, outline: Outline, *, foundation: int | None = None
    ) -> RingFabric:
        """Return the rings of fabric that rounds of these counts are.

        Parameters
        ----------
        counts : (n,) int
        outline : Outline
            Holds the open ends.
        foundation : int, optional
            Chain stitches of an open start; left out: as many as round 1 has.
        """
        radius = outline.points[:, 0].tolist()
        return RingFabric.from_counts(
            counts.astype(np.float64),
            stitch_width=self.stitch_width,
            row_height=self.row_height,
            foundation=float(foundation or counts[0]) if self.start_open else 0.0,
            cinched=not self.finish_open,
            held=(
                radius[0] if self.start_open and self.held else None,
                radius[-1] if self.finish_open and self.held else None,
            ),
            wale_stiffness=self.stiffness_ratio,
        )
