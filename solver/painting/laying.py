"""A patch laid on the form: where each place of the skin lies in the patch's own plane."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats, Ints
from solver.errors import InputError, Problem
from solver.rounds import Start
from solver.units import in_mm
from solver.wanted.patches import End, Laid, Stripe

if TYPE_CHECKING:
    from solver.painting.ground import Ground, Samples
    from solver.wanted.patches import Patch

FACING = 0.02
"""Cosine of the angle to the eye below which fabric is seen from its edge."""


@dataclass(frozen=True, slots=True, eq=False)
class Lay:
    """Where the middle of a patch lies, and its line up the part.

    Attributes
    ----------
    axis : (m,) float
        The line on each ring. [turns]
    ring : float
        Where on it the middle lies.
    even : bool
        Whether the form's halves on both sides of the line are alike.
    """

    axis: Floats
    ring: float
    even: bool


def lay_of(patch: Patch, ground: Ground) -> Lay:
    """Return where a patch lies on a form.

    Raises
    ------
    InputError
        If the form has no such place.
    """
    turn = patch.place.turn
    axis = ground.meridian(turn)
    line = ground.at(np.arange(len(axis)), axis)
    up = line[:, 1] if ground.form.is_flat else line[:, 2]
    up = up - ground.table[:, :, 1].min() if ground.form.is_flat else up
    most = float(np.ptp(ground.table[:, :, 1])) if ground.form.is_flat else ground.height
    half = turn % 180.0 == 0.0
    side = ground.form.piece.start is Start.CHAIN and turn % 90.0 == 0.0
    seen = patch.laid in (Laid.FRONT, Laid.SIDE)
    own = 0.0 if patch.laid is Laid.FRONT else 90.0
    straight_on = not seen or (turn - own) % 180.0 == 0.0
    even = straight_on and (half or side or ground.form.alike)
    if patch.place.end is not None:
        top = patch.place.end is End.TOP
        return Lay(axis, float(len(axis) - 1 if top is (ground.down > 0) else 0), even=even)
    height = most / 2 if patch.place.height is None else patch.place.height
    if not 0 <= height <= most:
        what = "from its front edge to its back" if ground.form.is_flat else "high as it is stuffed"
        raise InputError(
            Problem(
                f"{patch.name} lies on the part, which is {in_mm(most)} {what}",
                got=f"a height of {in_mm(height)}",
                remedy="Change the height.",
                place=patch.told_in,
                file=patch.file,
            )
        )
    if ground.form.is_flat:
        return Lay(axis, 0.0, even=half)
    return Lay(axis, _crossing(up, height, from_start=ground.down > 0), even=even)


def _crossing(up: Floats, height: float, *, from_start: bool) -> float:
    """Return where a line that climbs reaches a height first, seen from below, in rings."""
    if not from_start:
        return float(len(up) - 1 - _crossing(up[::-1], height, from_start=True))
    above = np.flatnonzero(up >= height)
    if not len(above):
        return float(np.argmax(up))
    k = int(above[0])
    if k == 0:  # it begins above, as where a base is drawn in
        below = np.flatnonzero(up < height)
        later = above[above > below[0]] if len(below) else above[:0]
        if not len(later):
            return 0.0
        k = int(later[0])
    return float(k - 1 + (height - up[k - 1]) / (up[k] - up[k - 1]))


def covered(patch: Patch, ground: Ground, samples: Samples, lay: Lay) -> Ints:
    """Return the number of the patch's colour at each place of the skin; 0 where it leaves it as it is."""
    if ground.form.is_flat:
        return _from_above(patch, ground, samples)
    if patch.laid is Laid.WRAPPED:
        x, y = _wrapped(ground, samples, lay)
        found = patch.cover(x, y)
    else:
        origin, right, up, out = _eye(patch, ground, lay)
        off = samples.points - origin
        found = patch.cover(off @ right, off @ up)
        found = np.where(samples.normals @ out > FACING, found, 0)
    if isinstance(patch, Stripe):
        z = samples.points[:, 2]
        low = -np.inf if patch.low is None else patch.low
        high = np.inf if patch.high is None else patch.high
        found = np.where((z >= low) & (z < high), found, 0)
    return found


def _wrapped(ground: Ground, samples: Samples, lay: Lay) -> tuple[Floats, Floats]:
    """Return places as a tape tells them: round the part from the line, and up it from the middle. [mm]"""
    lengths, climbs = ground.girths
    low = np.minimum(samples.ring.astype(int), len(lengths) - 2)
    rise = samples.ring - low
    axis = (1 - rise) * lay.axis[low] + rise * lay.axis[low + 1]
    apart = np.mod(samples.turn - axis + 0.5, 1.0) - 0.5

    def length(ring: Ints) -> Floats:
        begin = lay.axis[ring]
        end = begin + apart
        whole = lengths[ring, -1]
        told = [np.floor(at) * whole + ground.mixed(lengths, ring, at) for at in (end, begin)]
        return np.asarray(told[0] - told[1])

    x = -ground.down * ((1 - rise) * length(low) + rise * length(low + 1))
    up = ground.mixed(climbs, samples.ring, samples.turn)
    middle = ground.mixed(climbs, np.full(len(up), lay.ring), samples.turn)
    return np.asarray(x), np.asarray(ground.down * (up - middle))


def _eye(patch: Patch, ground: Ground, lay: Lay) -> tuple[Floats, Floats, Floats, Floats]:
    """Return the middle of a patch, what is right and up as one looks at it, and the way to the eye."""
    turn = float(np.interp(lay.ring, np.arange(len(lay.axis)), lay.axis))
    origin = ground.at(lay.ring, turn)
    if patch.place.end is not None:
        high = patch.place.end is End.TOP
        right, up = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0 if high else -1.0, 0.0])
        origin = ground.table[round(lay.ring)].mean(axis=0)
        return origin, right, up, np.array([0.0, 0.0, 1.0 if high else -1.0])
    if patch.laid is Laid.FRONT:
        out = np.array([0.0, -1.0, 0.0])
    elif patch.laid is Laid.SIDE:
        out = np.array([1.0 if np.sin(np.radians(patch.place.turn)) >= 0 else -1.0, 0.0, 0.0])
    else:
        out = ground.normal(lay.ring, turn)
    level = np.cross([0.0, 0.0, 1.0], out)
    if np.linalg.norm(level) < 1e-6:
        level = np.array([1.0, 0.0, 0.0])
    right = level / np.linalg.norm(level)
    return origin, right, np.cross(out, right), out


def _from_above(patch: Patch, ground: Ground, samples: Samples) -> Ints:
    """Return what a patch covers of a flat piece, its front edge below."""
    low, high = ground.table[:, :, 1].min(), ground.table[:, :, 1].max()
    middle = (low + high) / 2 if patch.place.height is None else low + patch.place.height
    x, y = samples.points[:, 0], samples.points[:, 1]
    found = patch.cover(x, y - middle)
    if isinstance(patch, Stripe):
        lowest = -np.inf if patch.low is None else low + patch.low
        highest = np.inf if patch.high is None else low + patch.high
        found = np.where((y >= lowest) & (y < highest), found, 0)
    return found
