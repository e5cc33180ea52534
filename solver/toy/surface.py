"""The map between rounds and stitches and the points of a stuffed part, standing upright."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats, Ints, frozen
from solver.form.skin import FINE, ring_table
from solver.form.wander import Wander
from solver.toy.model import Front, Join

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from solver.form.stuffed import StuffedForm
    from solver.toy.model import ToyPart

COLUMNS = 96
"""Places round the part of the grid that lines are cut with."""
SUB_ROWS = 4
"""Steps from ring to ring in which the nearest place to a point is looked for."""


def upright(
    *,
    edge: str,
    front: Front,
    chain: bool,
    forward: bool = False,
    rows: bool = False,
    pressed: bool = False,
) -> Floats:
    """Return how a part is turned to stand: joined end down, its front toward -y, its left at +x.

    Parameters
    ----------
    edge : {"start", "finish"}
        The end that is down.
    front : Front
        Of a piece on a chain.
    chain : bool
        Whether it is one; else rounds begin at the middle of the back.
    forward : bool
        Whether the form looks to +x as solved: a part that bends.
    rows : bool
        Whether it is worked flat in rows: its right side is its front.
    pressed : bool
        Whether rows are laid on: their right side is up, their joined edge to the front.

    Returns
    -------
    (3, 3) float
        Times a point as solved: the axis along z, first worked lowest, a round's beginning (a chain's first
        end) at +x.
    """
    over: Floats = np.diag([1.0, -1.0, -1.0]) if edge == "finish" else np.eye(3)
    if rows and pressed:
        return np.diag([-1.0, -1.0, 1.0]) if edge == "finish" else np.eye(3)
    if rows:
        down = -1.0 if edge == "finish" else 1.0
        return np.array([[down, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, down, 0.0]])
    if chain and front is Front.SIDE:
        return np.diag([-1.0, 1.0, -1.0]) if edge == "finish" else over
    quarter = np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])  # +x goes to the back
    return np.asarray((quarter.T if forward else quarter) @ over)


@dataclass(frozen=True, eq=False)
class Surface:
    """The surface of a part that stands upright, by rings and turns.

    A place is a ring (a real number: 9.4 lies four tenths into round 10) and a turn (a share of the way round
    from the beginning of the rounds, in the evenly spaced layout of `StitchFabric.place`).

    Attributes
    ----------
    form : StuffedForm
    points : (n, 3) float
        Its nodes, upright, the lowest at z = 0. [mm]
    table : (m, FINE, 3) float
        Each ring at evenly spaced turns. [mm]
    turned : (3, 3) float
        How it was turned from the form as solved.
    lowest : float
        Height of its lowest node before it was let down to z = 0. [mm]
    """

    form: StuffedForm
    points: Floats
    table: Floats
    turned: Floats
    lowest: float

    @classmethod
    def of(
        cls,
        form: StuffedForm,
        *,
        edge: str,
        front: Front = Front.SIDE,
        forward: bool = False,
        rows: bool = False,
        pressed: bool = False,
    ) -> Surface:
        """Return the surface of a form that stands on an end; see `upright`."""
        chain = bool(form.fabric.corners)
        turned = upright(edge=edge, front=front, chain=chain, forward=forward, rows=rows, pressed=pressed)
        points = form.points @ turned.T
        lowest = float(points[:, 2].min())
        points = points - [0.0, 0.0, lowest]
        rings = ring_table(form, points, alike=form.alike)
        return cls(form, frozen(points), rings, turned, lowest)

    def formed(self, points: Floats) -> Surface:
        """Return the surface of the same part in another form, its nodes given as they stand. [mm]"""
        return replace(self, points=frozen(points), table=ring_table(self.form, points, alike=False))

    def as_solved(self, points: Floats) -> Floats:
        """Return points that stand upright as points of the form as it was solved. [mm]"""
        return np.asarray((points + np.array([0.0, 0.0, self.lowest])) @ self.turned)

    def as_standing(self, points: Floats) -> Floats:
        """Return points of the form as it was solved as they stand. [mm]"""
        return np.asarray(points @ self.turned.T - [0.0, 0.0, self.lowest])

    @cached_property
    def wander(self) -> Wander:
        """Where its stitches stand."""
        return Wander(self.form.fabric)

    @property
    def rounds(self) -> int:
        """How many rounds it has."""
        return len(self.form.piece.rounds)

    @property
    def height(self) -> float:
        """From the lowest to the highest node. [mm]"""
        return float(self.points[:, 2].max())

    def at(self, ring: ArrayLike, turn: ArrayLike) -> Floats:
        """Return points (..., 3) of places. [mm]"""
        along = np.asarray(np.clip(np.asarray(ring, dtype=float), 0, len(self.table) - 1))
        low = np.minimum(along.astype(int), len(self.table) - 2)
        place = np.mod(np.asarray(turn, dtype=float), 1.0) * FINE
        left = place.astype(int)
        rise, part = (along - low)[..., None], (place - left)[..., None]
        left, right = left % FINE, (left + 1) % FINE
        below = (1 - part) * self.table[low, left] + part * self.table[low, right]
        above = (1 - part) * self.table[low + 1, left] + part * self.table[low + 1, right]
        return np.asarray((1 - rise) * below + rise * above)

    def round_of(self, ring: ArrayLike) -> Ints:
        """Return the number of the round that a ring coordinate lies in; of a drawn-in end the last."""
        return np.asarray(np.clip(np.ceil(np.asarray(ring) - 1e-9), 1, self.rounds).astype(int))

    def stitch(self, ring: float, turn: float) -> float:
        """Return the stitch of a round at a place: 9.0 is the middle of stitch 9."""
        return 0.5 + float(self.wander.stitch(int(self.round_of(ring)), turn))

    def turn(self, round_: int, stitch: float) -> float:
        """Return the turn of a stitch of a round; 9.0 is the middle of stitch 9."""
        return float(self.wander.turn(round_, stitch - 0.5))

    def count(self, ring: float) -> int:
        """Return the stitches of the round that a ring coordinate lies in."""
        return int(self.form.piece.counts[int(self.round_of(ring)) - 1])

    @cached_property
    def normals(self) -> Floats:
        """Outward unit normals of the table's places, (m, FINE, 3)."""
        along = np.gradient(self.table, axis=0)
        round_ = np.roll(self.table, -1, axis=1) - np.roll(self.table, 1, axis=1)
        normal = np.cross(along, round_)
        # a right-handed maker's rounds run clockwise seen from their end: this points outward
        for ring, inner in ((0, 1), (-1, -2)):
            if np.ptp(self.table[ring], axis=0).max() < 1e-9:
                normal[ring] = normal[inner].mean(axis=0)
        length = np.linalg.norm(normal, axis=-1, keepdims=True)
        return np.asarray(normal / np.where(length > 0, length, 1.0))

    def normal(self, ring: float, turn: float) -> Floats:
        """Return the outward unit normal of a place."""
        ring = min(max(ring, 0.0), len(self.table) - 1.0)
        low = min(int(ring), len(self.table) - 2)
        place = turn % 1.0 * FINE
        left, part = int(place) % FINE, place - int(place)
        columns = (1 - part) * self.normals[:, left] + part * self.normals[:, (left + 1) % FINE]
        mixed = (1 - ring + low) * columns[low] + (ring - low) * columns[low + 1]
        return np.asarray(mixed / np.linalg.norm(mixed))

    @cached_property
    def grid(self) -> tuple[Floats, Floats, Ints]:
        """A coarse net of the surface: points (k, 3), their places (k, 2), and triangles (t, 3)."""
        step, rows = FINE // COLUMNS, len(self.table)
        points = np.concatenate([self.table[:, ::step], self.table[:, :1]], axis=1)
        ring, turn = np.meshgrid(np.arange(rows), np.arange(COLUMNS + 1) / COLUMNS, indexing="ij")
        node = np.arange(rows * (COLUMNS + 1)).reshape(rows, -1)
        a, b, c, d = node[:-1, :-1], node[:-1, 1:], node[1:, 1:], node[1:, :-1]
        # seen from outside the turns run to the left
        triangles = np.concatenate([np.stack(t, axis=-1).reshape(-1, 3) for t in ((b, a, d), (b, d, c))])
        places = np.stack([ring.astype(float), turn], axis=-1)
        return points.reshape(-1, 3), places.reshape(-1, 2), triangles.astype(np.int64)

    def nearest(self, points: ArrayLike) -> tuple[Floats, Floats]:
        """Return ring and turn of the places nearest to points (k, 3), and so the way back of `at`."""
        from scipy.spatial import cKDTree

        points = np.asarray(points, dtype=float).reshape(-1, 3)
        rows = (len(self.table) - 1) * SUB_ROWS + 1
        rings = np.linspace(0, len(self.table) - 1, rows)
        turns = np.arange(FINE) / FINE
        samples = self.at(rings[:, None], turns[None, :])
        _, found = cKDTree(samples.reshape(-1, 3)).query(points)
        ring, turn = rings[found // FINE], turns[found % FINE]
        for _ in range(3):
            ring, turn = self._nearer(points, ring, turn)
        return ring, np.mod(turn, 1.0)

    def _nearer(self, points: Floats, ring: Floats, turn: Floats) -> tuple[Floats, Floats]:
        """Return places after one Gauss-Newton step to the nearest, kept within a row and a few turns."""
        here = self.at(ring, turn)
        a, b = 0.5 / SUB_ROWS, 1.0 / FINE
        high, low = np.minimum(ring + a, len(self.table) - 1), np.maximum(ring - a, 0)
        u = (self.at(high, turn) - self.at(low, turn)) / (high - low)[:, None]
        v = (self.at(ring, turn + b) - self.at(ring, turn - b)) / (2 * b)
        off = points - here
        uu, uv, vv = (np.einsum("ki,ki->k", x, y) for x, y in ((u, u), (u, v), (v, v)))
        du, dv = np.einsum("ki,ki->k", off, u), np.einsum("ki,ki->k", off, v)
        det = uu * vv - uv**2
        good = det > 1e-9 * uu * np.maximum(vv, 1e-9)
        det = np.where(good, det, 1.0)
        dr = np.where(good, (vv * du - uv * dv) / det, du / np.maximum(uu, 1e-12))
        dt = np.where(good, (uu * dv - uv * du) / det, 0.0)
        new = np.clip(ring + np.clip(dr, -a, a), 0, len(self.table) - 1), turn + np.clip(dt, -3 * b, 3 * b)
        better = np.linalg.norm(points - self.at(*new), axis=1) <= np.linalg.norm(off, axis=1)
        return np.where(better, new[0], ring), np.where(better, new[1], turn)


def standing_surface(wanted: ToyPart, form: StuffedForm) -> Surface:
    """Return the surface of a part's form, its joined end down."""
    bent, rows = (wanted.part.kind == kind for kind in ("bent", "rows"))
    pressed = wanted.join is Join.PRESSED
    return Surface.of(form, edge=wanted.edge, front=wanted.front, forward=bent, rows=rows, pressed=pressed)
