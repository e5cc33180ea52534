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
from solver.notes import About, Note
from solver.units import in_both, in_mm
from solver.wanted.supplies import Cord, Supplies

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


def form_cautions(form: StuffedForm, *, thickness: float, supplies: Supplies) -> Iterator[str]:
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
) -> Iterator[str]:
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
) -> Iterator[str]:
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


def _size_cautions(sizes: Sequence[float], *, fits: bool) -> Iterator[str]:
    """Yield the cautions that a part's three sizes call for. [mm]."""
    least, width, greatest = sorted(sizes)  # a part enters a hole by its two smaller sizes at the most
    if fits:
        yield (
            f"Small part: at {in_both(least)} by {in_both(greatest)} it may fit the small-parts cylinder "
            f"({CYLINDER_WIDTH:g} mm across, {CYLINDER_DEPTHS[0]:g} to {CYLINDER_DEPTHS[1]:g} mm "
            f"deep; 16 CFR 1501.4, and the same in EN 71-1), tried in every direction with {MARGIN:g} mm to "
            "spare. Loose, or if it can be pulled off, it can choke a child under 3 years."
        )
    if passes_hole(width) and least >= BALL_LIKE * greatest:
        yield (
            f"Small ball: at {in_both(width)} it may pass through the {SMALL_BALL:g} mm hole for small balls "
            f"(16 CFR 1117.2; tried with {MARGIN:g} mm to spare all round). Small balls are banned in toys "
            "for children under 3 years (16 CFR 1500.18(a)(17))."
        )
    if width <= THIN:
        yield from _cord_cautions(Cord(name="part itself", length=greatest))


def _seam_caution(open_edge: bool, *, filled: bool = True) -> str:
    """Return the caution about seams, and that none of this is a safety test."""
    kept = "no filling may come out" if filled else "it must not come off"
    seam = "Sew it on all round with doubled yarn" if open_edge or not filled else "Close it tightly"
    test = "This is no safety test: your local rules and a qualified tester decide."
    told = (
        f"{seam}: {kept} (seams: 16 CFR 1500.51, EN 71-1). A toy for cuddling may count as meant for "
        f"children under 36 months, whatever its label says (EN 71-1). {test}"
    )
    return Note(told, About.FORM, short=f"{seam}: {kept} (16 CFR 1500.51, EN 71-1). {test}")


def extra_cautions(supplies: Supplies) -> Iterator[str]:
    """Yield cautions for eyes, buttons and cords."""
    for extra in supplies.extras:
        rings = np.full(2, extra.diameter / 2), np.array([0.0, extra.height])
        if fits_cylinder(revolved_support(*rings), tilts()):
            yield (
                f"The {extra.name}, {in_mm(extra.diameter)} across, fit the small-parts cylinder "
                "(16 CFR 1501.4, EN 71-1): if one comes off, it can choke a child under 3 years. For "
                "children that young, embroider instead; else they must stand the pull and twist tests of "
                "the standards (16 CFR 1500.51 to 1500.53, EN 71-1)."
            )
        else:
            yield (
                f"The {extra.name} must stand the pull and twist tests of the standards (16 CFR 1500.51 to "
                "1500.53, EN 71-1); a broken one may be sharp, or a small part."
            )
    for cord in supplies.cords:
        yield from _cord_cautions(cord)


def _cord_cautions(cord: Cord) -> Iterator[str]:
    limit = LOOP_PERIMETER if cord.loop else CORD_LENGTH
    if cord.length < CORD_MARGIN * limit:
        return
    what = "a loop of at most 380 mm all round" if cord.loop else "a free length of at most 220 mm"
    yield (
        f"Cord: the {cord.name}, {in_both(cord.length)} {'all round' if cord.loop else 'long'}, comes near "
        f"to or over what EN 71-1 (5.4) allows, {what}; ASTM F963 (4.14) has limits of its own, and editions "
        "differ. A long cord can strangle a small child. Make it shorter."
    )
