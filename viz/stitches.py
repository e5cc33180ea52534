"""Where each stitch lies on a stuffed form: its patch of fabric, half way to its neighbours on either side.

Every stitch of the written rounds has exactly one patch; together with the cells of a drawn-in end they cover
the whole fabric.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.arrays import Bools, Floats, Ints
from solver.form.fabric import StitchFabric
from solver.rounds import Finish, Start


@dataclass(frozen=True, slots=True, eq=False)
class Patches:
    """Pieces of fabric, each a smooth four-sided surface seen from outside.

    Attributes
    ----------
    corners : (s, 9, 3) float
        Left, middle and right of the lower edge, the same of the upper edge, and how far the surface bulges
        out half way between the two at its left, middle and right. [mm]
    node : (s,) int
        The stitch's node; for a drawn-in end, the node of the stitch whose top is drawn in.
    round_number : (s,) int
        The stitch's round, from 1; for a drawn-in end, of the round that is drawn in.
    gathered : (s,) bool
        Whether it is no stitch, but part of a drawn-in end.
    """

    corners: Floats
    node: Ints
    round_number: Ints
    gathered: Bools

    @property
    def outward(self) -> Floats:
        """Unit normal of each patch. (s, 3)"""
        low_left, low, low_right, up_left, up, up_right = np.moveaxis(self.corners[:, :6], 1, 0)
        return unit(np.cross(low_right + up_right - low_left - up_left, up - low))


def unit(vectors: Floats) -> Floats:
    """Return vectors (..., 3) at length one; those without a length stay zero."""
    length = np.linalg.norm(vectors, axis=-1, keepdims=True)
    return np.asarray(vectors / np.where(length > 0, length, 1.0))


def on_patches(corners: Floats, places: Floats) -> Floats:
    """Return points on patches, in space or in the picture.

    Parameters
    ----------
    corners : (s, 9, d) float
        As in `Patches`, or as the camera sees them.
    places : (k, 2) float
        Across from the left edge (0) to the right (1), and up from the lower edge (0) to the upper (1).

    Returns
    -------
    (s, k, d) float
    """
    u, v = places[:, :1], places[:, 1:]
    across = np.concatenate([(1 - u) * (1 - 2 * u), 4 * u * (1 - u), u * (2 * u - 1)], axis=1)
    weights = np.concatenate([(1 - v) * across, v * across, 4 * v * (1 - v) * across], axis=1)
    return np.asarray(weights @ corners)


def patches_of(fabric: StitchFabric, positions: Floats) -> Patches:
    """Return the patch of every stitch in working order, then those of a drawn-in end.

    Parameters
    ----------
    fabric : StitchFabric
        The stitches.
    positions : (n, 3) float
        Where its nodes are. [mm]
    """
    if fabric.piece.start is Start.ROWS:
        return _patches_of_rows(fabric, positions)
    rounds = len(fabric.piece.rounds)
    slots = np.concatenate(fabric.rings)
    first_slot = np.cumsum([0, *(len(ring) for ring in fabric.rings)])
    # places and normals go together, so that what is interpolated stays a surface
    at = np.concatenate([positions, _node_normals(fabric, positions)], axis=1)[slots]
    halfway = _halfway(at, first_slot, stitches=int(first_slot[rounds + 1]), spiral=fabric.spiral)

    legs = np.flatnonzero(fabric.leg_round <= rounds)
    number = fabric.leg_round[legs]
    below = first_slot[number - 1] + fabric.leg_slots[legs, 0]
    above = first_slot[number] + fabric.leg_slots[legs, 1]
    # a stitch has one leg, a decrease more: the first stands at its right, the last at its left
    last = np.append(above[1:] != above[:-1], True)
    right, left, top, number = below[np.roll(last, 1)], below[last], above[last], number[last]
    after, before = _neighbours(number, spiral=fabric.spiral)
    shared = (left == right[after])[:, None]  # an increase: the next stitch stands in the same place
    low_left = np.where(shared, at[left], halfway[left])
    low_right = low_left[before]
    middle, odd = np.divmod(left + right, 2)
    low = np.where(odd[:, None] > 0, halfway[middle], at[middle])
    low = np.where(shared | shared[before], (low_left + low_right) / 2, low)
    up_left = halfway[top]
    corners = _corners((low_left, low, low_right), (up_left, at[top], up_left[before]))
    patches = Patches(corners, slots[top], number, np.zeros(len(number), dtype=bool))
    return (
        _with_gathers(patches, at, halfway, spiral=fabric.spiral)
        if fabric.piece.finish is Finish.CINCHED
        else patches
    )


def _patches_of_rows(fabric: StitchFabric, positions: Floats) -> Patches:
    """Return the patches of a piece worked flat: each row ends half a stitch beyond its last."""
    half = np.zeros_like(positions)  # from a stitch to its end, the way that its row was worked
    for row, ring in enumerate(fabric.rings):
        at = positions[ring]
        lone = (-0.5 if row % 2 or not row else 0.5) * fabric.stitch_width
        half[ring] = np.gradient(at, axis=0) / 2 if len(ring) > 1 else [lone, 0.0, 0.0]
    first = np.flatnonzero(np.append(True, fabric.legs[1:, 1] != fabric.legs[:-1, 1]))
    last = np.append(first[1:], len(fabric.legs)) - 1
    top, right, left = fabric.legs[first, 1], fabric.legs[first, 0], fabric.legs[last, 0]
    number = fabric.leg_round[first]
    # stitches in one place share it: the first has its right part, the last its left one
    share = np.bincount(fabric.legs[:, 0], minlength=fabric.node_count)[right]
    before = np.append(0, np.cumsum(np.diff(right) != 0))
    nth = np.arange(len(right)) - np.searchsorted(before, before)
    # a row is worked back over the one before, whose left is its right
    way = half[right] * np.where(fabric.ring_of_node[right] == 0, 1.0, -1.0)[:, None]
    way_left = half[left] * np.where(fabric.ring_of_node[left] == 0, 1.0, -1.0)[:, None]
    lone = (right == left)[:, None]
    low_right = np.where(
        lone, positions[right] + way * (2 * nth / share - 1)[:, None], positions[right] - way
    )
    low_left = np.where(
        lone, positions[left] + way_left * (2 * (nth + 1) / share - 1)[:, None], positions[left] + way_left
    )
    up, reach = positions[top], half[top]
    normals = _node_normals(fabric, positions)[top]
    places = (low_left, (low_left + low_right) / 2, low_right), (up + reach, up, up - reach)
    low, high = (tuple(np.concatenate([at, normals], axis=1) for at in edge) for edge in places)
    forward = (number % 2 == 1)[:, None, None]
    seen, behind = _corners(low, high), _corners(low[::-1], high[::-1])
    # both sides of a flat piece are seen: the one that faces its worker, and the other
    corners = np.concatenate([np.where(forward, seen, behind), np.where(forward, behind, seen)])
    return Patches(corners, np.tile(top, 2), np.tile(number, 2), np.zeros(2 * len(top), dtype=bool))


def _with_gathers(patches: Patches, at: Floats, halfway: Floats, *, spiral: bool) -> Patches:
    """Return the patches and one for each stitch of the last round, from its top to the drawn-in point."""
    last = np.flatnonzero(patches.round_number == patches.round_number[-1])
    edge = np.arange(-1 - len(last), -1)  # slots, the drawn-in point being the very last
    left, apex = halfway[edge], np.repeat(at[-1:], len(last), axis=0)
    if spiral:  # the end of the round stands a row above its beginning: its gather reaches down to it
        left[-1, :3] = patches.corners[-1, 0]
    gathers = _corners((left, at[edge], np.roll(left, 1, axis=0)), (apex, apex, apex))
    return Patches(
        np.concatenate([patches.corners, gathers]),
        np.concatenate([patches.node, patches.node[last]]),
        np.concatenate([patches.round_number, patches.round_number[last]]),
        np.concatenate([patches.gathered, np.ones(len(last), dtype=bool)]),
    )


def _corners(low: tuple[Floats, ...], up: tuple[Floats, ...]) -> Floats:
    """Return the corners of patches from places and normals (s, 6) at left, middle and right of two edges.

    The surface between the edges bulges as a cubic does whose inner control points lie in the planes that
    touch the surface at its ends (A. Vlachos and others, "Curved PN triangles", Symposium on Interactive 3D
    Graphics 2001, 159-166; from memory).
    """
    (below, normal_below), (above, normal_above) = (
        np.split(np.stack(edge, axis=1), 2, axis=-1) for edge in (low, up)
    )
    chord = above - below
    leaving, arriving = (
        np.sum(chord * normal, axis=-1, keepdims=True) * normal
        for normal in (unit(normal_below), unit(normal_above))
    )
    return np.concatenate([below, above, (arriving - leaving) / 8], axis=1)


def _neighbours(number: Ints, *, spiral: bool) -> tuple[Ints, Ints]:
    """Return the stitch after and before each one in its round, or in a spiral."""
    own = np.arange(len(number))
    after, before = own + 1, own - 1
    if spiral:
        return np.minimum(after, own[-1]), np.maximum(before, 0)
    first, last = np.searchsorted(number, number), np.searchsorted(number, number, side="right") - 1
    return np.where(own == last, first, after), np.where(own == first, last, before)


def _halfway(at: Floats, first_slot: Ints, *, stitches: int, spiral: bool) -> Floats:
    """Return the point half way from each slot to the next, on a cubic through four slots.

    A spiral runs from ring to ring up to its last stitch, which is slot `stitches` - 1.
    """
    slot = np.arange(len(at))
    if spiral:
        steps = [np.clip(slot + step, 0, stitches - 1) for step in (-1, 0, 1, 2)]
    else:
        size = np.diff(first_slot)
        begin, size = np.repeat(first_slot[:-1], size), np.repeat(size, size)
        steps = [begin + (slot - begin + step) % size for step in (-1, 0, 1, 2)]
    a, b, c, d = (at[step] for step in steps)
    return np.asarray((9 * (b + c) - (a + d)) / 16)


def _node_normals(fabric: StitchFabric, positions: Floats) -> Floats:
    """Return the outward unit normal at each node, the mean of its cells by their area."""
    quads, triangles = positions[fabric.quads], positions[fabric.triangles]
    of_quads = np.cross(quads[:, 2] - quads[:, 0], quads[:, 3] - quads[:, 1])
    of_triangles = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    nodes = np.concatenate([fabric.quads.ravel(), fabric.triangles.ravel()])
    areas = np.concatenate([np.repeat(of_quads, 4, axis=0), np.repeat(of_triangles, 3, axis=0)])
    return unit(np.stack([np.bincount(nodes, areas[:, i], len(positions)) for i in range(3)], axis=1))
