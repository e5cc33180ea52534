"""The stuffed form as ground for colours: its skin standing upright, measured round and up."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from solver.arrays import Floats, Ints, frozen
from solver.form.skin import FINE, ring_table
from solver.form.wander import Wander
from solver.rounds import Finish, Start

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from solver.form.stuffed import StuffedForm

FINEST, COARSEST, MOST = 8, 3, 160_000
"""Places across a stitch, and up it, at which its colours are looked at; and how many there are at most."""
ROUND_ENOUGH = 0.05
"""A ring whose width is less than this share of its length is a line, which has no front."""


@dataclass(frozen=True, eq=False)
class Ground:
    """The skin of a form that stands upright, its front toward -y and its left at +x.

    Attributes
    ----------
    form : StuffedForm
    wander : Wander
        Where its stitches stand.
    table : (m, FINE, 3) float
        Each ring at evenly spaced turns, the lowest node at z = 0. [mm]
    turned : (3, 3) float
        Times a point of the form as solved.
    lowest : float
        Height of its lowest node before it was let down. [mm]
    down : int
        1: its start is down; -1: its finish.
    """

    form: StuffedForm
    wander: Wander
    table: Floats
    turned: Floats
    lowest: float
    down: int

    @classmethod
    def of(cls, form: StuffedForm, points: Floats, *, front: tuple[float, float], over: bool) -> Ground:
        """Return the ground that a form is.

        Parameters
        ----------
        form : StuffedForm
        points : (n, 3) float
            Its nodes, the axis along z. [mm]
        front : tuple of two float
            Which way it looks, x and y.
        over : bool
            Whether it stands on its finish.
        """
        x, y = np.array(front) / np.hypot(*front)
        turned = np.array([[-y, x, 0.0], [-x, -y, 0.0], [0.0, 0.0, 1.0]])
        if over:
            turned = np.diag([-1.0, 1.0, -1.0]) @ turned
        stands = points @ turned.T
        lowest = float(stands[:, 2].min())
        stands = stands - [0.0, 0.0, lowest]
        rings = ring_table(form, stands, alike=form.alike)
        wander = Wander(form.fabric)
        return cls(form, wander, rings, frozen(turned), lowest, -1 if over else 1)

    def as_drawn(self, outline: Floats) -> Ground:
        """Return the same stitches on the drawn surface of a form that is alike all round.

        Parameters
        ----------
        outline : (k, 2) float
            The drawn half outline, [radius, height], of which every ring takes its own share. [mm]
        """
        shares = [_climb(each) for each in (self.form.outline, outline)]
        radius, z = (np.interp(shares[0], shares[1], each) for each in outline.T)
        z = z - outline[:, 1].min() if self.down > 0 else outline[:, 1].max() - z
        way = self.table[:, :, :2]
        size = np.linalg.norm(way, axis=2, keepdims=True)
        widest = way[int(np.argmax(size[:, 0, 0]))]
        unit = np.where(size > 1e-9, way, widest) / np.where(size > 1e-9, size, np.linalg.norm(widest[0]))
        height = np.broadcast_to(z[:, None, None], (*size.shape[:2], 1))
        return replace(self, table=frozen(np.concatenate([unit * radius[:, None, None], height], axis=2)))

    def as_solved(self, points: Floats) -> Floats:
        """Return points that stand upright as points of the form as it was given. [mm]"""
        return np.asarray((points + np.array([0.0, 0.0, self.lowest])) @ self.turned)

    @property
    def height(self) -> float:
        """[mm]"""
        return float(self.table[:, :, 2].max())

    @cached_property
    def girths(self) -> tuple[Floats, Floats]:
        """How long each ring is up to each turn, and how far up it lies there, both (m, FINE + 1). [mm]"""
        round_ = np.linalg.norm(np.roll(self.table, -1, axis=1) - self.table, axis=2)
        up = np.linalg.norm(np.diff(self.table, axis=0, prepend=self.table[:1]), axis=2).cumsum(axis=0)
        return np.pad(round_.cumsum(axis=1), ((0, 0), (1, 0))), np.concatenate([up, up[:, :1]], axis=1)

    def mixed(self, values: Floats, ring: ArrayLike, turn: ArrayLike) -> Floats:
        """Return a table's values (m, FINE + 1, ...) at places between its rings and turns."""
        along = np.clip(np.asarray(ring, dtype=float), 0, len(values) - 1)
        low = np.minimum(along.astype(int), len(values) - 2)
        place = np.mod(np.asarray(turn, dtype=float), 1.0) * FINE
        left = np.minimum(place.astype(int), FINE - 1)
        rise, part = along - low, place - left
        if values.ndim == 3:
            rise, part = rise[..., None], part[..., None]
        below = (1 - part) * values[low, left] + part * values[low, left + 1]
        above = (1 - part) * values[low + 1, left] + part * values[low + 1, left + 1]
        return np.asarray((1 - rise) * below + rise * above)

    @cached_property
    def closed(self) -> Floats:
        """The table with its first turn again at its end, (m, FINE + 1, 3). [mm]"""
        return np.concatenate([self.table, self.table[:, :1]], axis=1)

    def at(self, ring: ArrayLike, turn: ArrayLike) -> Floats:
        """Return points of places, (..., 3). [mm]"""
        return self.mixed(self.closed, ring, turn)

    def normal(self, ring: float, turn: float) -> Floats:
        """Return the outward unit normal of a place."""
        a, b = 0.5, 1.0 / FINE  # half a row each way: a polygon of rows has the normal of its curve
        ring = min(max(ring, a), len(self.table) - 1 - a)
        along = self.at(ring + a, turn) - self.at(ring - a, turn)
        normal = np.cross(along, self.at(ring, turn + b) - self.at(ring, turn - b))
        return np.asarray(normal / np.linalg.norm(normal))

    def meridian(self, turn: float) -> Floats:
        """Return where each ring is cut by the line up the part at a turn from its front, in turns. (m,)

        Parameters
        ----------
        turn : float
            To the part's own left. [degrees]
        """
        rings, found = self.table, np.full(len(self.table), np.nan)
        flat = self.form.is_flat
        for k, ring in enumerate(rings):
            middle = ring.mean(axis=0)
            off = ring - middle
            area = -self.down * np.cross(off, np.roll(off, -1, axis=0)).sum(axis=0) / 2
            size = np.linalg.norm(area)
            if size < ROUND_ENOUGH * np.square(np.linalg.norm(off, axis=1).max()) or size < 1e-9:
                continue
            up = np.array([0.0, 0.0, 1.0]) if flat else area / size
            off = off @ _from_upright(up)
            angle = np.unwrap(np.arctan2(off[:, 0], -off[:, 1]))
            share = -self.down * (angle - angle[0]) / (2 * np.pi)
            share = np.append(share, 1.0)
            wanted = (-self.down * (np.radians(turn) - angle[0]) / (2 * np.pi)) % 1.0
            found[k] = np.interp(wanted, np.maximum.accumulate(share), np.arange(FINE + 1) / FINE)
        known = np.flatnonzero(~np.isnan(found))
        found[known] = np.unwrap(found[known], period=1.0)
        return np.asarray(np.interp(np.arange(len(found)), known, found[known]))

    @cached_property
    def fine(self) -> int:
        """Places across a stitch at which its colours are looked at."""
        return int(np.clip(np.sqrt(MOST / sum(self.form.piece.counts)), COARSEST, FINEST))


def _climb(outline: Floats) -> Floats:
    """Return which share of an outline lies below each of its points."""
    arc = np.concatenate([[0.0], np.hypot(*np.diff(outline, axis=0).T).cumsum()])
    return np.asarray(arc / arc[-1])


def _from_upright(up: Floats) -> Floats:
    """Return the shortest turn that takes what stands upright to what stands along `up`. (3, 3)"""
    x, y, z = up
    if z < -0.99:
        return np.diag([-1.0, 1.0, -1.0])
    cross = np.array([[0.0, 0.0, x], [0.0, 0.0, y], [-x, -y, 0.0]])
    return np.asarray(np.eye(3) + cross + cross @ cross / (1 + z))  # Rodrigues' formula (from memory)


@dataclass(frozen=True, slots=True, eq=False)
class Samples:
    """Places of all stitches, evenly spread over each, round after round, level after level.

    Attributes
    ----------
    ring, turn : (k,) float
    stitch : (k,) int
        Which stitch of all it belongs to, from 0.
    points, normals : (k, 3) float
        [mm] and outward.
    area : (k,) float
        That it stands for. [mm^2]
    blocks : tuple of (int, int)
        Levels and columns of each round.
    """

    ring: Floats
    turn: Floats
    stitch: Ints
    points: Floats
    normals: Floats
    area: Floats
    blocks: tuple[tuple[int, int], ...]


def sampled(ground: Ground, moved: Floats) -> Samples:
    """Return places of all stitches, each round moved on by so many stitches. (rounds,)

    A stitch is the piece of skin between its round and the one below, as wide as its share of the round. The
    stitches of a last round that is drawn in reach to the point.
    """
    piece, fine = ground.form.piece, ground.fine
    rounds, first = len(piece.rounds), 0
    told: list[tuple[Any, ...]] = []
    blocks = []
    for number, n in enumerate(piece.counts, start=1):
        levels = number - 1 + np.arange(fine + 1) / fine
        if number == rounds and piece.finish is Finish.CINCHED:
            levels = np.append(levels, number + np.arange(1, fine // 2 + 1) / (fine // 2))
        turns = ground.wander.turn(number, np.arange(n * fine + 1) / fine + moved[number - 1])
        net = ground.at(levels[:, None], turns[None, :])
        one, other = net[1:, 1:] - net[:-1, :-1], net[1:, :-1] - net[:-1, 1:]
        cross = np.cross(other, one) / 2  # outward: rounds run to the left
        shape = cross.shape[:2]
        stitch = first + np.broadcast_to(np.arange(n * fine) // fine, shape)
        # level by level a little to the side, column by column a little up, or all would cross an upright or
        # a level edge at once
        rise = ((3 * np.arange(n * fine) % fine) + 0.5)[None] / fine
        ring = levels[:-1, None] + rise * np.diff(levels)[:, None]
        side = ((3 * np.arange(len(levels) - 1) % fine) + 0.5)[:, None] / fine
        turn = turns[None, :-1] + side * np.diff(turns)[None]
        told.append((ring, turn, stitch, ground.at(ring, turn).reshape(-1, 3), cross.reshape(-1, 3)))
        blocks.append((shape[0], shape[1]))
        first += n
    ring, turn, stitch = (np.concatenate([each[k].ravel() for each in told]) for k in range(3))
    points, cross = (np.concatenate([each[k] for each in told]) for k in (3, 4))
    area = np.linalg.norm(cross, axis=1)
    normals = cross / np.maximum(area, 1e-12)[:, None]
    return Samples(ring, turn, stitch.astype(np.int64), points, normals, area, tuple(blocks))


def front_of(form: StuffedForm) -> tuple[float, float]:
    """Return which way a form looks: rounds begin at its back; on a chain a side is its front."""
    return (0.0, -1.0) if form.piece.start is Start.CHAIN else (-1.0, 0.0)
