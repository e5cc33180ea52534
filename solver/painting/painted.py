"""A part in its colours: which colour each stitch is worked in, and how well the patches come out."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np

from solver.arrays import Bools, Floats, Ints, frozen
from solver.errors import InputError, Problem
from solver.painting.bands import of_rounds
from solver.painting.choosing import Mesh, chosen
from solver.painting.ground import Ground, front_of, sampled
from solver.painting.laying import covered, lay_of
from solver.painting.stripes import stripe
from solver.rounds import Start
from solver.wanted.patches import Laid, Polygon

if TYPE_CHECKING:
    from collections.abc import Sequence

    from solver.form.stuffed import StuffedForm
    from solver.painting.ground import Samples
    from solver.painting.laying import Lay
    from solver.wanted.patches import Patch
    from solver.wanted.supplies import Supplies


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Shown:
    """How a patch comes out.

    Attributes
    ----------
    name : str
    colours : tuple of str
    wanted, stitched : float
        Area of what later patches leave of it: on the drawn surface, and of its stuffed stitches. [mm^2]
    rms : float
        Root mean square distance of its stitched outline from the wanted one. [stitches]
    stitches : int
    line : (k, 3) float
        Places of its wanted outline on the form as solved. [mm]
    """

    name: str
    colours: tuple[str, ...]
    wanted: float
    stitched: float
    rms: float
    stitches: int
    line: Floats

    def as_dict(self) -> dict[str, Any]:
        """Return it as plain data."""
        return {
            "name": self.name,
            "colours": list(self.colours),
            "wanted_mm2": self.wanted,
            "stitched_mm2": self.stitched,
            "outline_rms_stitches": self.rms,
            "stitches": self.stitches,
        }


@dataclass(frozen=True, slots=True, eq=False)
class Painted:
    """A part in its colours.

    Attributes
    ----------
    colours : tuple of tuple of str
        For each round the colour of each stitch that it makes; empty where no colours are told.
    shown : tuple of Shown
        Each patch.
    begins : tuple of float
        Where each round begins, from the middle of the front to the part's own left. [degrees]
    """

    colours: tuple[tuple[str, ...], ...] = ()
    shown: tuple[Shown, ...] = ()
    begins: tuple[float, ...] = ()


def painted(
    form: StuffedForm,
    supplies: Supplies,
    *,
    points: Floats,
    front: tuple[float, float] | None = None,
    drawn: Floats | None = None,
    stitch_width: float,
) -> Painted:
    """Return a form in its colours.

    Parameters
    ----------
    form : StuffedForm
    supplies : Supplies
        The colours that are wanted.
    points : (n, 3) float
        Nodes of the form as it lies over its drawing. [mm]
    front : tuple of two float, optional
        Which way it looks; left out: as its rounds begin.
    drawn : (k, 2) float, optional
        The drawn half outline of one that is alike all round, [radius, height]: what patches are to cover of
        the surface that she drew; left out: of the form. [mm]
    stitch_width : float
        [mm]

    Raises
    ------
    InputError
        If a patch lies where the form has no place.
    """
    base = of_rounds(supplies, form.edges)
    if not base:
        return Painted()
    counts = form.piece.counts
    rounds = tuple((name,) * n for name, n in zip(base, counts, strict=True))
    if not supplies.patches:
        return Painted(rounds)
    if form.piece.start is Start.ROWS:
        first = supplies.patches[0]
        rule = "patches lie on parts worked in rounds, and this one is worked in rows"
        told = Problem(rule, remedy="Use bands.", place=first.told_in, file=first.file)
        raise InputError(told)
    ground = Ground.of(form, points, front=front or front_of(form), over=supplies.down == "finish")
    work = _Work(ground, supplies.patches, stitch_width, ground if drawn is None else ground.as_drawn(drawn))
    names = [name for each in rounds for name in each]
    for k in np.flatnonzero(work.owner >= 0).tolist():
        names[k] = supplies.patches[work.owner[k]].colours[work.label[k] - 1]
    ends = np.cumsum([0, *counts]).tolist()
    return Painted(tuple(tuple(names[a:b]) for a, b in pairwise(ends)), work.shown(), _begins(ground))


def _begins(ground: Ground) -> tuple[float, ...]:
    """Return where each round begins, to the part's own left of its front. [degrees]"""
    front = ground.meridian(0.0)
    told = []
    for number in range(1, len(ground.form.piece.rounds) + 1):
        middle = (front[number - 1] + front[number]) / 2
        apart = -ground.down * (ground.wander.begins(number) - middle)
        told.append(float((360.0 * apart + 180.0) % 360.0 - 180.0))
    return tuple(told)


class _Work:
    """Patches laid on one after the other."""

    def __init__(self, ground: Ground, patches: Sequence[Patch], stitch_width: float, drawn: Ground) -> None:
        self.ground, self.patches, self.width = ground, patches, stitch_width
        counts = ground.form.piece.counts
        self.counts, self.size = counts, sum(counts)
        self.first = np.cumsum([0, *counts])
        self.plain = sampled(ground, np.zeros(len(counts)))
        self.areas = np.asarray(np.bincount(self.plain.stitch, self.plain.area, self.size), dtype=np.float64)
        self.mesh = Mesh(counts, *_pairs(ground))
        self.owner = np.full(self.size, -1)
        self.label = np.zeros(self.size, dtype=np.int64)
        self.drawn = self.plain if drawn is ground else sampled(drawn, np.zeros(len(counts)))
        self.covers: list[Ints] = []
        self.drawn_covers: list[Ints] = []
        own: list[Ints] = []
        for k, patch in enumerate(patches):
            lay = lay_of(patch, ground)
            self.covers.append(covered(patch, ground, self.plain, lay))
            self.drawn_covers.append(
                self.covers[k] if drawn is ground else covered(patch, drawn, self.drawn, lay)
            )
            twin = next((j for j in range(k) if patches[j].twins(patch)), None)
            if twin is not None:
                label = own[twin][self._mirror(ground.meridian(0.0))[1]]
            else:
                label = self._chosen(patch, lay, k)
            label = self._whole_places(label)
            own.append(label)
            self.owner[label > 0], self.label[label > 0] = k, label[label > 0]

    def _chosen(self, patch: Patch, lay: Lay, k: int) -> Ints:
        """Return the number of the patch's colour in each stitch."""
        samples, found, mirror = self.plain, self.covers[k], None
        pair = any(patch.twins(other) for other in self.patches[k + 1 :]) and patch.place.turn % 180.0 != 0.0
        even = patch.is_even and lay.even and patch.place.end is None
        upright = patch.is_stripe and not patch.tilt % 180.0 and patch.laid is Laid.WRAPPED
        if (pair or even) and not upright:
            moved, across = self._mirror(self.ground.meridian(0.0) if pair else lay.axis)
            mirror = None if pair else across
            if np.abs(moved).max() > 1e-9:
                samples = sampled(self.ground, moved)
                found = covered(patch, self.ground, samples, lay)
        colours = len(patch.colours) + 1
        cells = np.bincount(samples.stitch * colours + found, samples.area, self.size * colours)
        shares = np.asarray(cells.reshape(self.size, colours), dtype=np.float64)
        shares = shares / shares.sum(axis=1, keepdims=True)
        wanted = np.asarray(np.bincount(self.drawn_covers[k], self.drawn.area, colours), dtype=np.float64)
        if upright:
            middles = [
                float(self.ground.wander.stitch(number, (lay.axis[number - 1] + lay.axis[number]) / 2))
                for number in range(1, len(self.counts) + 1)
            ]
            return stripe(
                shares[:, 1], self.areas, self.counts, np.array(middles), wanted=float(wanted[1]), alike=even
            )
        detail = 1 if patch.is_stripe else patch.detail
        mesh = replace(self.mesh, pointed=isinstance(patch, Polygon))
        aside = patch.place.turn % 180.0 != 0.0  # where nothing else shows where its middle is
        return chosen(shares, self.areas, mesh, detail=detail, mirror=mirror, wanted=wanted, gives_way=aside)

    def _whole_places(self, label: Ints) -> Ints:
        """Return colours with one for all that round 1 works into the same chain: the one that most have."""
        piece = self.ground.form.piece
        if piece.start is not Start.CHAIN:
            return label
        label = label.copy()
        before, far, after = piece.ends
        for begin, size in ((0, before), (before + piece.side, far), (piece.counts[0] - after, after)):
            if size:
                here = slice(begin, begin + size)
                label[here] = np.bincount(label[here]).argmax()
        return label

    def _mirror(self, axis: Floats) -> tuple[Floats, Ints]:
        """Return by how much each round is moved for a line to halve a stitch or part two, and the mirror.

        The mirror tells for each stitch the one across the line.
        """
        moved, across = [], []
        for number, n in enumerate(self.counts, start=1):
            at = float(self.ground.wander.stitch(number, (axis[number - 1] + axis[number]) / 2))
            twice = round(2 * at)
            moved.append(at - twice / 2)
            across.append(self.first[number - 1] + (twice - 1 - np.arange(n)) % n)
        return np.array(moved), np.concatenate(across)

    def shown(self) -> tuple[Shown, ...]:
        """Return how each patch comes out."""
        top, drawn_top = np.full((2, len(self.plain.stitch)), -1)
        for k, (found, drawn) in enumerate(zip(self.covers, self.drawn_covers, strict=True)):
            top[found > 0], drawn_top[drawn > 0] = k, k
        told = []
        for k, patch in enumerate(self.patches):
            wanted, stitched = top == k, self.owner == k
            want = np.where(wanted, self.covers[k], 0)
            have = np.where(stitched, self.label, 0)
            line = _wanted_line(want, self.plain, self.ground)
            told.append(
                Shown(
                    name=patch.name,
                    colours=patch.colours,
                    wanted=float(self.drawn.area[drawn_top == k].sum()),
                    stitched=float(self.areas[stitched].sum()),
                    rms=_apart(line, _stitched_line(have, self.plain, self.ground)) / self.width,
                    stitches=int(stitched.sum()),
                    line=frozen(self.ground.as_solved(line)),
                )
            )
        return tuple(told)


def _pairs(ground: Ground) -> tuple[Ints, Bools]:
    """Return which stitches touch, and whether they stand side by side."""
    counts, wander = ground.form.piece.counts, ground.wander
    pairs, level = [], []
    first = 0
    for number, n in enumerate(counts, start=1):
        own = first + np.arange(n)
        pairs.append(np.stack([own, np.roll(own, -1)], axis=1))
        level.append(np.ones(n, dtype=bool))
        if number < len(counts):
            m = counts[number]
            edges = np.concatenate([np.arange(m), np.arange(m) + 0.999])
            below = wander.stitch(number, wander.turn(number + 1, edges)).astype(int) % n
            above = np.tile(np.arange(m), 2)
            cuts = wander.stitch(number + 1, wander.turn(number, np.arange(n) + 0.001)).astype(int) % m
            both = np.concatenate(
                [np.stack([first + below, first + n + above], 1), np.stack([own, first + n + cuts], 1)]
            )
            both = np.unique(both, axis=0)
            pairs.append(both)
            level.append(np.zeros(len(both), dtype=bool))
        first += n
    return np.concatenate(pairs), np.concatenate(level)


def _wanted_line(label: Ints, samples: Samples, ground: Ground) -> Floats:
    """Return places where a wanted colour ends, (k, 3). [mm]"""
    wander, fine = ground.wander, ground.fine
    out, at = [], 0
    last = label[:0]
    for number, (levels, columns) in enumerate(samples.blocks, start=1):
        block = slice(at, at + levels * columns)
        here = label[block].reshape(levels, columns)
        points = samples.points[block].reshape(levels, columns, 3)
        side = here != np.roll(here, -1, axis=1)
        out.append((points[side] + np.roll(points, -1, axis=1)[side]) / 2)
        if number > 1:  # between a round and the one below
            turns = wander.turn(number, (np.arange(columns) + 0.5) / fine)
            below = (wander.stitch(number - 1, turns) * fine).astype(int) % len(last)
            out.append(ground.at(float(number - 1), turns[last[below] != here[0]]))
        last = here[-1]
        up = here[1:] != here[:-1]
        out.append((points[1:][up] + points[:-1][up]) / 2)
        at += levels * columns
    return np.concatenate(out)


def _stitched_line(label: Ints, samples: Samples, ground: Ground) -> Floats:
    """Return places where a stitched colour ends, (k, 3). [mm]"""
    counts, wander, fine = ground.form.piece.counts, ground.wander, ground.fine
    out, first = [], 0
    for number, n in enumerate(counts, start=1):
        here = label[first : first + n]
        ends = np.flatnonzero(here != np.roll(here, 1))
        levels = number - 1 + (np.arange(fine) + 0.5) / fine
        out.append(ground.at(levels[:, None], wander.turn(number, ends)[None]).reshape(-1, 3))
        if number < len(counts):
            m = counts[number]
            turns = wander.turn(number + 1, (np.arange(m * fine) + 0.5) / fine)
            below = wander.stitch(number, turns).astype(int) % n
            differs = here[below] != label[first + n :][:m].repeat(fine)
            out.append(ground.at(float(number), turns[differs]))
        first += n
    return np.concatenate(out)


def _apart(one: Floats, other: Floats) -> float:
    """Return the root mean square distance of two lines of places from each other, both ways. [mm]"""
    if not len(one) or not len(other):
        return 0.0
    from scipy.spatial import cKDTree

    off = np.concatenate([cKDTree(other).query(one)[0], cKDTree(one).query(other)[0]])
    return float(np.sqrt((off**2).mean()))
