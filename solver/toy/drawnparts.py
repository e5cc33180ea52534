"""The parts of a drawn toy, read off their lines: outlines, joints, places, and what can't be seen."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats
from solver.errors import InputError, Problem
from solver.toy.drawnlines import Shape, axis_of, lean_of, moved, on_line, points_of
from solver.tracing.axis import slices
from solver.tracing.smoothing import few_points, smoothed

if TYPE_CHECKING:
    from shapely import Polygon

BEADS = {"eye": "eyes", "nose": "noses"}
"""How ids of eyes and noses begin."""
TOP, MIDDLE = 0.94, 0.2
"""A part whose joint lies above this share of the height, and within this share of the width of the axis,
sits on top."""
LONG = 1.25
"""A part seen from its end that is so much longer than wide is an oval."""
OUT = 0.5
"""How far a part that is seen from its end stands out, in widths, where no side view tells. A guess."""
INSIDE = 0.2
"""A part of which less than this share stands out of what carries it is seen from its end."""
LEVELS = 240
ALIKE = 8.0
"""Two eyes whose turns differ by less, mirrored, are twins. [degrees]"""
LEAST = 6
"""Stitches of an edge, at the least."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Drawn:
    """A part as it is drawn.

    Attributes
    ----------
    name : str
    on : str
        The part that it sits on; empty for the first.
    points : (n, 2) float or None
        Half outline, from its far end (of the first part, its lowest) to its joint. [mm]
    oval : tuple of three float, or None
        Length, width and how far it stands out, for a part seen from its end. [mm]
    height, turn, lean : float
        Its place: over the lowest of what carries it [mm], from the middle of the front to the toy's own left
        [degrees], and its axis against straight out, downward [degrees].
    top : bool
        It sits on top.
    twins, mate : bool
        Both of two are drawn; one of what may be two is drawn.
    guesses : tuple of str
        What the drawing doesn't show, as sentences with the guess.
    """

    name: str
    on: str
    points: Floats | None
    oval: tuple[float, float, float] | None
    height: float
    turn: float
    lean: float
    top: bool
    twins: bool
    mate: bool
    guesses: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class DrawnBead:
    """An eye or a nose: its part, what it is, diameter and height [mm], turn [degrees], and whether two."""

    part: str
    key: str
    diameter: float
    height: float
    turn: float
    twins: bool


@dataclass(frozen=True, slots=True, eq=False)
class _Lie:
    """How a part lies in the drawing: what is upright in it, its joined end at 0.

    Attributes
    ----------
    area : Polygon
        Upright. [mm]
    origin, across, up : (2,) float
        Where 0 is in the drawing, and the part's own directions.
    out : float
        Of a part that is seen from its end, how far it stands out; 0 for others. [mm]
    """

    area: Polygon
    origin: Floats
    across: Floats
    up: Floats
    out: float = 0.0

    def seen(self, point: Floats) -> Floats:
        """Return a point of the drawing in the part's own directions. [mm]"""
        off = point - self.origin
        return np.array([off @ self.across, off @ self.up])

    def spot(self, point: Floats) -> tuple[float, float]:
        """Return height and turn of a point of the drawing on this part. [mm, degrees]"""
        from shapely import LineString

        x, z = self.seen(point).tolist()
        left, _, right, high = self.area.bounds
        if self.out:
            share = min(math.hypot(x / right, z / high), 0.98)
            # its front looks up, and its own left to the toy's right
            return self.out * math.sqrt(1 - share**2), math.degrees(math.atan2(-x, z)) if share > 0.1 else 0.0
        z = min(max(z, 0.02 * high), 0.98 * high)
        level = self.area.intersection(LineString([(left - 1, z), (right + 1, z)]))
        if level.is_empty:
            return z, 0.0
        half = max((level.bounds[2] - level.bounds[0]) / 2, 1e-6)
        share = (x - (level.bounds[2] + level.bounds[0]) / 2) / half
        return z, math.degrees(math.asin(min(max(share, -1.0), 1.0)))


class Reader:
    """Reads parts off their lines, in the order in which they sit on each other."""

    def __init__(
        self,
        groups: dict[str, list[Shape]],
        side: dict[str, Shape],
        *,
        stitch_width: float,
        row_height: float,
        file: str,
    ) -> None:
        self.groups, self.side, self.file = groups, side, file
        self.w, self.h = stitch_width, row_height
        self.lies: dict[str, _Lie] = {}

    def part(self, name: str, on: str) -> Drawn:
        """Return a part."""
        pair = self.groups[name]
        shape = pair[0]
        plain = {"name": name, "on": on, "twins": len(pair) == 2}
        nowhere = {"height": 0.0, "turn": 0.0, "lean": 0.0, "top": False, "mate": False}
        if not on:
            _, low, _, _ = shape.box
            right, up = np.eye(2)
            self.lies[name] = _Lie(
                moved(shape.area, np.array([0.0, low]), np.eye(2)), np.array([0.0, low]), right, up
            )
            points = self._half(shape.area, name=name)
            guesses = self._depth(name, points)
            return Drawn(**plain, **nowhere, points=points, oval=None, guesses=guesses)  # type: ignore[arg-type]
        carrier = min(self.groups[on], key=lambda each: each.area.distance(shape.area))
        crossed = shape.area.boundary.intersection(carrier.area.boundary)
        meets = np.array([[point.x, point.y] for point in points_of(crossed)])
        stands_out = shape.area.difference(carrier.area).area
        if len(meets) < 2 or stands_out < INSIDE * shape.area.area:
            return self._seen_from_its_end(plain, shape, carrier)
        return self._beside(plain, shape, carrier, meets)

    def _beside(self, plain: dict[str, object], shape: Shape, carrier: Shape, meets: Floats) -> Drawn:
        """Return a part that stands out of the silhouette of what carries it."""
        outer = shape.area.difference(carrier.area)
        far = np.array([outer.centroid.x, outer.centroid.y])
        joint = meets.mean(axis=0)
        axis = axis_of(shape.area, far - joint)
        across = np.array([axis[1], -axis[0]])
        # upright with its far end down: along the axis, away from the joint, is downward
        turned = moved(shape.area, joint, np.stack([across, -axis]))
        cut = float(((meets - joint) @ -axis).mean())
        points = self._half(turned, name=str(plain["name"]), cut=cut)
        name, at = str(plain["name"]), joint + cut * -axis
        self.lies[name] = _Lie(moved(shape.area, at, np.stack([across, axis])), at, across, axis)
        under = self.lies[str(plain["on"])]
        place = on_line(carrier, joint, axis)
        height, turn = under.spot(place)
        left, _, right, high = under.area.bounds
        x, z = under.seen(place).tolist()
        top = not under.out and z > TOP * high and abs(x) < MIDDLE * (right - left) / 2
        return Drawn(
            **plain,  # type: ignore[arg-type]
            points=points,
            oval=None,
            height=height,
            turn=self._turned(name, str(plain["on"]), x, turn),
            lean=0.0 if top else lean_of(carrier, place, axis),
            top=bool(top),
            mate=not plain["twins"] and not top and abs(x) > MIDDLE * (right - left) / 2,
            guesses=('flat or stuffed: join = "flat" would fold its edge and sew it along a line',),
        )

    def _seen_from_its_end(self, plain: dict[str, object], shape: Shape, carrier: Shape) -> Drawn:
        """Return a part that lies in front of what carries it, such as a snout."""
        left, low, right, high = shape.box
        length, width = right - left, high - low
        name, under = str(plain["name"]), str(plain["on"])
        out, guesses = OUT * min(length, width), []
        if name in self.side and under in self.side:
            over = self.side[name].area.difference(self.side[under].area)
            out = out if over.is_empty else max(float(over.bounds[2] - over.bounds[0]), 2 * self.h)
        else:
            guesses.append(f"how far it stands out is a guess: {out:.0f} mm; a side view would tell")
        right_, up = np.eye(2)
        centred = moved(shape.area, shape.middle, np.eye(2))
        self.lies[name] = _Lie(centred, shape.middle, right_, up, out)
        at, turn = self.lies[under].spot(shape.middle)
        oval, points = None, None
        if max(length, width) > LONG * min(length, width):
            oval = (max(length, width), min(length, width), out)
        else:
            radius = math.sqrt(shape.area.area / math.pi)
            t = np.linspace(0, np.pi / 2, 9)
            dome = np.column_stack([radius * np.sin(t), out * (1 - np.cos(t))])
            points = np.asarray(np.round(dome, 1), dtype=np.float64)
            self._check(name, radius)
        return Drawn(
            **plain,  # type: ignore[arg-type]
            points=points,
            oval=oval,
            height=at,
            turn=turn,
            lean=0.0,
            top=False,
            mate=False,
            guesses=tuple(guesses),
        )

    def _turned(self, name: str, on: str, x: float, turn: float) -> float:
        """Return how far round what carries it a part sits, by the side view too where that shows both."""
        if name not in self.side or on not in self.side:
            return turn
        forward = float(self.side[on].middle[0] - self.side[name].middle[0])  # it looks to the left
        return math.degrees(math.atan2(x, forward)) if abs(forward) > self.w else turn

    def beads(self, shapes: list[Shape]) -> list[DrawnBead]:
        """Return eyes and noses on the smallest part that holds each; of two mirrored, the left one."""
        told: list[DrawnBead] = []
        parts = [(name, shape) for name, pair in self.groups.items() for shape in pair[:1]]
        for bead in sorted(shapes, key=lambda each: -float(each.middle[0])):
            middle = bead.area.centroid
            holding = [(each.area.area, name) for name, each in parts if each.area.contains(middle)]
            if not holding:
                rule, got = "an eye or a nose lies on a part", f'"{bead.name}" lies on none'
                raise InputError(Problem(rule, got=got, remedy="Move it.", file=self.file))
            _, part = min(holding)
            height, turn = self.lies[part].spot(bead.middle)
            key = next(key for word, key in BEADS.items() if bead.name.lower().startswith(word))
            mates = [k for k, other in enumerate(told) if (other.part, other.key) == (part, key)
                     and turn < 0 < other.turn and abs(other.turn + turn) < ALIKE]  # fmt: skip
            if mates:
                told[mates[0]] = replace(told[mates[0]], twins=True)
                continue
            size = 2 * math.sqrt(bead.area.area / math.pi)
            told.append(DrawnBead(part=part, key=key, diameter=size, height=height, turn=turn, twins=False))
        return told

    def _half(self, area: Polygon, *, name: str, cut: float | None = None) -> Floats:
        """Return a half outline from below to its top, or to where it is cut off. [mm]"""
        contour = np.asarray(area.exterior.coords)[:-1]
        low, high = float(contour[:, 1].min()), float(contour[:, 1].max())
        end = high if cut is None else min(cut, high - 1e-3 * (high - low))
        even = (np.arange(LEVELS) + 0.5) / LEVELS
        levels = (
            low + (end - low) * even
            if cut is not None
            else low + (end - low) * (1 - np.cos(np.pi * even)) / 2
        )
        left, right = slices(contour, levels)
        half = np.column_stack([(right - left) / 2, levels - low])
        half = half[np.isfinite(half).all(axis=1)]
        if len(half) < 3 or end - low < 2 * self.h:
            rule = f"a part stands out by two rows or more ({2 * self.h:.0f} mm)"
            raise InputError(Problem(rule, got=f'"{name}"', remedy="Draw it larger.", file=self.file))
        closing = [[0.0, high - low]] if cut is None else [[half[-1, 0], end - low]]
        half = np.vstack([[0.0, 0.0], half, closing])
        self._check(name, float(half[:, 0].max()) if cut is None else float(half[-1, 0]))
        curve = smoothed(half, row_height=self.h)
        return np.asarray(np.round(few_points(curve, stitch_width=self.w), 1), dtype=np.float64)

    def _check(self, name: str, radius: float) -> None:
        if 2 * math.pi * radius < LEAST * self.w:
            rule = f"an edge has {LEAST} stitches or more, which is {LEAST * self.w:.0f} mm round"
            got = f'"{name}" has {2 * math.pi * radius:.0f} mm where it meets the other'
            raise InputError(Problem(rule, got=got, remedy="Draw it wider there.", file=self.file))

    def _depth(self, name: str, points: Floats) -> tuple[str, ...]:
        """Return what a side view tells of the depth of the first part."""
        wide = 2 * float(points[:, 0].max())
        if name not in self.side:
            return (f"as deep as wide, {wide:.0f} mm: a guess that a side view would settle",)
        left, _, right, _ = self.side[name].box
        if abs(right - left - wide) > 0.15 * wide:
            return (
                f"it is drawn {right - left:.0f} mm deep and {wide:.0f} mm wide, and made as deep as wide",
            )
        return ()
