"""The usual cautions for a stuffed part: which limits its form meets, by geometry; never that it is safe."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress

import numpy as np

from solver.advice.smallparts import (
    CYLINDER_DEPTHS,
    CYLINDER_WIDTH,
    MARGIN,
    SMALL_BALL,
    all_directions,
    cloud_support,
    fits_cylinder,
    passes_hole,
    revolved_support,
    tilts,
)
from solver.arrays import Floats
from solver.form.stuffed import StuffedForm
from solver.notes import Note, Said
from solver.sentences.say import noted
from solver.units import Length
from solver.wanted.supplies import Supplies

BALL_LIKE = 0.6
"""A part whose least size is at least this share of its greatest is round, oval or egg-shaped: it may count
as a ball ("spherical, ovoid or ellipsoidal", 16 CFR 1500.18(a)(17))."""

CORD_LENGTH = 220.0
LOOP_PERIMETER = 380.0
"""Greatest free length of a cord and perimeter of a loop, EN 71-1 5.4 (from memory; editions differ). [mm]"""

CORD_MARGIN = 0.9
"""A crocheted cord stretches: it is warned of from this share of a limit on."""

THIN = 20.0
"""A long part that is no wider than this can wind round a neck like a cord. ASSUMED. [mm]"""

SMALL: dict[str, object] = {
    "wide": CYLINDER_WIDTH,
    "low": CYLINDER_DEPTHS[0],
    "high": CYLINDER_DEPTHS[1],
    "spare": MARGIN,
}
BALL_HOLE: dict[str, object] = {"hole": SMALL_BALL, "spare": MARGIN}
"""What fills the blanks of the cautions about small parts and small balls, whatever the part. [mm]"""


def form_cautions(form: StuffedForm, *, thickness: float, supplies: Supplies) -> Iterator[Note]:
    """Yield the usual cautions for a stuffed part, or a flat one, and for what is fixed to it.

    Parameters
    ----------
    form : StuffedForm
    thickness : float
        Of the fabric. [mm]
    supplies : Supplies
        What is fixed to it.
    """
    if form.alike:
        told = part_cautions(
            form.outline[:, 0],
            form.outline[:, 1],
            thickness=thickness,
            open_edge=form.is_open,
            supplies=supplies,
        )
    else:
        told = oval_cautions(
            form.points,
            thickness=thickness,
            open_edge=form.is_open,
            supplies=supplies,
            filled=form.pressure > 0,
        )
    yield from told


def part_cautions(
    radius: Floats, height: Floats, *, thickness: float, open_edge: bool, supplies: Supplies
) -> Iterator[Note]:
    """Yield the usual cautions for a stuffed solid of revolution, and for what is fixed to it.

    Parameters
    ----------
    radius, height : (m,) float
        Rings of its form, middle of the fabric. [mm]
    thickness : float
        Of the fabric. [mm]
    open_edge : bool
        It has an open edge that is sewn to another part.
    supplies : Supplies
        What is fixed to it.
    """
    width = 2 * float(radius.max()) + thickness
    yield from _size_cautions(
        (width, width, float(np.ptp(height)) + thickness),
        fits=fits_cylinder(revolved_support(radius, height, thickness=thickness), tilts()),
    )
    yield from extra_cautions(supplies)
    yield _seam_caution(open_edge)


def oval_cautions(
    points: Floats, *, thickness: float, open_edge: bool, supplies: Supplies, filled: bool = True
) -> Iterator[Note]:
    """Yield the usual cautions for a part that is no solid of revolution, and for what is fixed to it.

    Parameters
    ----------
    points : (n, 3) float
        Its stitches, middle of the fabric. [mm]
    thickness, open_edge, supplies
        As for `part_cautions`.
    filled : bool
        It is stuffed.
    """
    from scipy.spatial import ConvexHull, QhullError

    least = 0.0  # what it fills at the least
    with suppress(QhullError):  # of a flat piece all points stay
        hull = ConvexHull(points)
        points, least = points[hull.vertices], hull.volume
    reach = cloud_support(points)

    def support(directions: Floats) -> Floats:
        return np.asarray(reach(directions) + thickness / 2 * np.linalg.norm(directions, axis=-1))

    sizes = [float(size) + thickness for size in np.ptp(points, axis=0)]
    fits = least <= MOST_HELD and fits_cylinder(support, all_directions())
    yield from _size_cautions(sizes, fits=fits)
    yield from extra_cautions(supplies)
    yield _seam_caution(open_edge, filled=filled)


MOST_HELD = float(np.pi / 4 * (CYLINDER_WIDTH + 2 * MARGIN) ** 2 * (CYLINDER_DEPTHS[1] + 2 * MARGIN))
"""Volume of the small-parts cylinder, its walls moved out by the margin. [mm^3]"""


def _size_cautions(sizes: Sequence[float], *, fits: bool) -> Iterator[Note]:
    """Yield the cautions that a part's three sizes call for. [mm]."""
    least, width, greatest = sorted(sizes)  # a part enters a hole by its two smaller sizes at the most
    if fits:
        yield noted(Said("caution_small", {"least": Length(least), "greatest": Length(greatest), **SMALL}))
    if passes_hole(width) and least >= BALL_LIKE * greatest:
        yield noted(Said("caution_ball", {"size": Length(width), **BALL_HOLE}))
    if width <= THIN:
        yield from _cord_cautions(Said("cord_itself"), length=greatest)


def _seam_caution(open_edge: bool, *, filled: bool = True) -> Note:
    """Return the caution about seams, and that none of this is a safety test."""
    kept = "sew" if filled and open_edge else "close" if filled else "flat"
    seam, test = Said(f"caution_seam_{kept}"), Said("caution_no_test")
    return noted(seam, Said("caution_cuddly"), test, short=noted(seam, test).replace("(seams: ", "("))


def extra_cautions(supplies: Supplies) -> Iterator[Note]:
    """Yield cautions for eyes, buttons and cords."""
    for extra in supplies.extras:
        rings = np.full(2, extra.diameter / 2), np.array([0.0, extra.height])
        small = "_small" if fits_cylinder(revolved_support(*rings), tilts()) else ""
        kind = extra.name.removesuffix("s")
        one = "_one" * (extra.count == 1 and bool(small))
        values = {"what": Said(kind if extra.count == 1 else f"{kind}s"), "size": Length(extra.diameter)}
        yield noted(Said(f"caution_extra{small}{one}", values))
    for cord in supplies.cords:
        yield from _cord_cautions(Said("cord_named", {"name": cord.name}), length=cord.length, loop=cord.loop)


def _cord_cautions(cord: Said, *, length: float, loop: bool = False) -> Iterator[Note]:
    """Yield the caution about a cord of a free length, or a loop of a perimeter. [mm]."""
    most = LOOP_PERIMETER if loop else CORD_LENGTH
    if length >= CORD_MARGIN * most:
        values = {"cord": cord, "length": Length(length), "most": most}
        yield noted(Said("caution_loop" if loop else "caution_cord", values))
