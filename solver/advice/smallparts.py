"""Whether a solid fits the small-parts cylinder, in any orientation: by geometry, on the safe side.

The cylinder of 16 CFR 1501.4 is open at the top; its bottom slopes at 45 degrees, 25.4 mm deep on one side
and 57.1 mm on the other. With the z axis up and x towards the deep side, from the middle of the opening,

    C = { x^2 + y^2 <= R^2,   -(D + x) <= z <= 0 },     R = 31.7 / 2,   D = (25.4 + 57.1) / 2.           (1)

C is convex, so a solid fits where its convex hull does, and a hull is told by its support function
h(d) = max d . x. Turned so that its direction u points out of the opening, and moved by t across it, it fits
iff

    e . t <= R - h(e)          for all unit vectors e across u, and                                      (2)
    f . t >= h(u) + h(-(u + f)) - D,    f the direction of the deep side.                                (3)

(2) and (3) are tried for directions u on a grid of the sphere and f on a grid of the circle, in a cylinder
whose walls lie `margin` further out all round. A solid that fits the true cylinder at an orientation between
those of the grid has moved at the nearest one by less than the margin, so none is missed; and what is found
fits the wider cylinder, so false alarms lie within the margin.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from solver.arrays import Floats

CYLINDER_WIDTH = 31.7
CYLINDER_DEPTHS = (25.4, 57.1)
"""Inside diameter, and least and greatest depth of the small-parts cylinder, 16 CFR 1501.4. [mm]"""

SMALL_BALL = 44.45
"""A ball that passes through a hole of this diameter is a small ball, 16 CFR 1117.2. [mm]"""

MARGIN = 3.0
"""How far the walls are moved out: what the grid of orientations may miss (at most 1.9 mm), and as a stuffed
part is soft and comes out a little off. [mm]"""

TILTS = 181
DIRECTIONS = 8000
AROUND = 48
"""Directions across the cylinder: no point of a solid that fits lies further than R from its axis, and so
moves by less than R pi / 48 = 1.04 mm to the next of them."""

BATCH = 200
"""Directions that are tried at a time, which keeps memory small."""

CHUNK = 200_000
"""Points times directions that are worked out at a time: 2 MB, where 3,000 points at once take 400."""

Support = Callable[[Floats], Floats]
"""Greatest reach of a solid in each direction: (..., 3) of any length -> (...), h(d) = max d . x."""


def revolved_support(radius: Floats, height: Floats, *, thickness: float = 0.0) -> Support:
    """Return the support function of a solid of revolution about the z axis.

    Parameters
    ----------
    radius, height : (m,) float
        Of its rings. [mm]
    thickness : float
        Of a wall of which the rings are the middle, >= 0. [mm]
    """

    def support(directions: Floats) -> Floats:
        across = np.hypot(directions[..., 0], directions[..., 1])
        reach = directions[..., 2, None] * height + across[..., None] * radius
        return np.asarray(reach.max(-1) + thickness / 2 * np.hypot(across, directions[..., 2]))

    return support


def cloud_support(points: Floats) -> Support:
    """Return the support function of the convex hull of points, (n, 3). [mm]."""

    def support(directions: Floats) -> Floats:
        flat = directions.reshape(-1, 3)
        parts = np.array_split(flat, len(flat) * len(points) // CHUNK + 1)
        reach = np.concatenate([(part @ points.T).max(-1) for part in parts])
        return np.asarray(reach.reshape(directions.shape[:-1]))

    return support


def tilts() -> Floats:
    """Return the directions that a solid of revolution about the z axis needs to be tried in, (n, 3)."""
    angle = np.linspace(0.0, np.pi, TILTS)
    return np.column_stack([np.sin(angle), np.zeros(TILTS), np.cos(angle)])


def all_directions() -> Floats:
    """Return directions that cover the sphere evenly, (n, 3): none is further than 0.025 from all of them.

    Notes
    -----
    A Fibonacci lattice: equal steps of height, the golden angle between one and the next.
    """
    n = np.arange(DIRECTIONS)
    z = 1 - (2 * n + 1) / DIRECTIONS
    turn = n * np.pi * (3 - np.sqrt(5))
    ring = np.sqrt(1 - z * z)
    return np.column_stack([ring * np.cos(turn), ring * np.sin(turn), z])


def fits_cylinder(support: Support, directions: Floats, *, margin: float = MARGIN) -> bool:
    """Return whether a solid fits the small-parts cylinder with walls moved out by a margin.

    Parameters
    ----------
    support : Support
        Of the solid; [mm].
    directions : (n, 3) float
        Unit vectors of the solid that are tried as "out of the opening": `tilts` or `all_directions`.
    margin : float
        >= 0. [mm]
    """
    if len(directions) > TILTS and fits_cylinder(
        support, directions[:: len(directions) // 100], margin=margin
    ):
        return True
    radius = CYLINDER_WIDTH / 2 + margin  # of a polygon about the circle: 0.04 mm more at its corners
    depth = sum(CYLINDER_DEPTHS) / 2 + margin * (
        1 + np.sqrt(2)
    )  # top, and the sloping bottom along its normal
    first, second = _across(directions)
    quarter = np.stack([first, second], axis=1)
    width = support(quarter) + support(-quarter)
    chosen = np.asarray((width <= 2 * radius).all(1))
    chosen[chosen] &= support(directions[chosen]) + support(-directions[chosen]) <= CYLINDER_DEPTHS[1] + (
        depth - sum(CYLINDER_DEPTHS) / 2 + margin
    )
    u, first, second = directions[chosen], first[chosen], second[chosen]
    return any(
        _fits_some(support, u[k : k + BATCH], first[k : k + BATCH], second[k : k + BATCH], radius, depth)
        for k in range(0, len(u), BATCH)
    )


def _fits_some(
    support: Support, u: Floats, first: Floats, second: Floats, radius: float, depth: float
) -> bool:
    """Return whether the solid fits in one of the directions u; `first`, `second` lie across them."""
    angle = np.arange(AROUND) * 2 * np.pi / AROUND
    circle = np.column_stack([np.cos(angle), np.sin(angle)])
    across = circle[:, :1] * first[:, None] + circle[:, 1:] * second[:, None]
    room = radius - support(across)  # right side of (2)
    asked = support(u)[:, None] + support(-(u[:, None] + across)) - depth  # right side of (3)
    likely = ((room + np.roll(room, AROUND // 2, axis=1) >= 0).all(1)) & (room >= asked).any(1)
    # the most promising first: a solid that fits is mostly found at once
    order = np.argsort(-(room - asked).max(1)[likely])
    pairs = _corners(circle)
    return any(
        _has_place(circle, pairs, room_, asked_)
        for room_, asked_ in zip(room[likely][order], asked[likely][order], strict=True)
    )


def passes_hole(width: float, *, diameter: float = SMALL_BALL, margin: float = MARGIN) -> bool:
    """Return whether a solid of revolution passes through a round hole with a margin all round.

    Parameters
    ----------
    width : float
        Its greatest width across its axis: however it is turned, one such width lies across the hole. [mm]
    diameter : float
        Of the hole. [mm]
    margin : float
        >= 0. [mm]
    """
    return width <= diameter + 2 * margin


def _across(directions: Floats) -> tuple[Floats, Floats]:
    """Return two unit vectors across each direction and each other."""
    least = np.eye(3)[np.argmin(np.abs(directions), axis=1)]
    first = np.cross(directions, least)
    first /= np.linalg.norm(first, axis=1, keepdims=True)
    return first, np.cross(directions, first)


def _corners(circle: Floats) -> tuple[np.ndarray, np.ndarray, Floats]:
    """Return pairs of walls that meet in a point, and the matrices from their distances to that point."""
    k, l = np.triu_indices(len(circle), 1)
    area = circle[k, 0] * circle[l, 1] - circle[k, 1] * circle[l, 0]
    meet = np.abs(area) > 1e-9
    k, l, area = k[meet], l[meet], area[meet]
    inverse = np.array([[circle[l, 1], -circle[k, 1]], [-circle[l, 0], circle[k, 0]]]) / area
    return k, l, inverse


def _has_place(
    circle: Floats, pairs: tuple[np.ndarray, np.ndarray, Floats], room: Floats, asked: Floats
) -> bool:
    """Return whether some t keeps to (2) for all directions and to (3) for one."""
    k, l, inverse = pairs
    corners = (inverse[:, 0] * room[k] + inverse[:, 1] * room[l]).T
    inside = corners[(corners @ circle.T <= room + 1e-9).all(1)]
    return bool(len(inside)) and bool((inside @ circle.T >= asked).any())
