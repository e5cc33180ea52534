"""Two limbs and the body that is worked on round both: their rounds, and their form as one fabric."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, cast

import numpy as np

from solver.errors import InputError, Problem
from solver.form.descent import Supports
from solver.form.fabric import StitchFabric, stitch_fabric
from solver.form.joined import joined_fabric, laid_back, parted
from solver.form.stitches import stitch_form
from solver.form.stuffed import StuffedForm
from solver.rounds import Finish, Legs
from solver.solving.solved import laid, solve
from solver.toy.cast import Frame
from solver.toy.laying import along_round
from solver.toy.placed import Copy
from solver.toy.surface import standing_surface
from solver.wanted.part import Edge

if TYPE_CHECKING:
    from solver.arrays import Floats
    from solver.form.joined import JoinedFabric
    from solver.form.stitches import StitchForm
    from solver.rounds import Piece
    from solver.solving.solved import Solved
    from solver.toy.model import ToyPart
    from solver.toy.surface import Surface
    from solver.wanted.part import Part

WIDER = 1.3
"""How much wider the edges of both limbs together may be than the body is drawn to begin."""
REACH = 0.8
"""How far up a body its oval beginning goes in the first guess, in radii."""
LEANS, RESTS = 25.0, 4
"""A body that rests on its feet leans by no more [degrees]; how often its lie is mended."""
INNER = (math.pi, 0.0)
"""Where the inner side of each limb looks: the toy's own left one stands at +x. [radians]"""


@dataclass(frozen=True, slots=True, eq=False)
class Limbs:
    """A body on its two limbs.

    Attributes
    ----------
    parts : dict of str to Solved
        The limb and the body, with the form that they have together.
    body : Copy
    limbs : tuple of two Copy
        The toy's own left one first.
    """

    parts: dict[str, Solved]
    body: Copy
    limbs: tuple[Copy, Copy]


def joined(body: ToyPart, limb: ToyPart, parts: dict[str, Solved], *, file: str) -> Limbs:
    """Return a body on its two limbs.

    Parameters
    ----------
    body, limb : ToyPart
    parts : dict of str to Solved
        Each by itself.
    file : str
        For messages.

    Raises
    ------
    InputError
        If the limbs are too wide for the body.
    ConvergenceError
        If they have no balance together.
    """
    of_limb = parts[limb.name]
    of_body, chain = _fitted(body, limb, parts, file=file)
    surface = standing_surface(limb, of_limb.form)
    turns, firsts = _facing(surface, bent=limb.part.kind == "bent")
    piece = _on_legs(of_body.piece, Legs(of_limb.piece.counts[-1], chain, firsts))
    gauge = body.part.gauge
    fabric = stitch_fabric(
        piece,
        stitch_width=gauge.stitch_width,
        row_height=gauge.row_height,
        heights=gauge.heights,
        lean=gauge.leans,
    )
    of_one = of_limb.form.fabric
    whole = joined_fabric(replace(of_one, piece=replace(of_one.piece, goes_on=True)), fabric)
    guess = _guess(whole, surface, of_body, body, turns=turns, chain=chain)
    form = stitch_form(
        whole,
        pressure=of_body.form.pressure,
        guess=guess,
        supports=_held(body, whole, guess),
        wale_stiffness=gauge.stiffness_ratio,
    )
    form = replace(form, points=laid_back(form.points, guess))
    forms = parted(form, wale_stiffness=gauge.stiffness_ratio)
    return _copies(body, limb, parts, of_body, forms, turns=turns, rest=_resting(form))


def _resting(form: StitchForm) -> Floats:
    """Return how the whole is turned to rest on its feet, (3, 3).

    It rests on the face of its convex hull that its middle stands over (statics); where it would fall over,
    it is shown on the one that its limbs stand over; where these have none either, as it was solved.
    """
    limbs = np.unique(np.concatenate([nodes for _, nodes in form.fabric.components[:-1]]))
    for over in (form.points, form.points[limbs]):
        turned = _on_its_feet(form.points, over)
        if turned[2, 2] > math.cos(math.radians(LEANS)):
            return turned
    return np.eye(3)


def _on_its_feet(points: Floats, over: Floats) -> Floats:
    """Return how points are turned to rest on the face of their hull below the middle of some of them."""
    from scipy.spatial import ConvexHull

    turned = np.eye(3)
    for _ in range(RESTS):
        faces = ConvexHull(points @ turned.T).equations
        x, y, _ = (over @ turned.T).mean(axis=0)
        downward = faces[faces[:, 2] < -0.1]
        height = -(downward[:, 0] * x + downward[:, 1] * y + downward[:, 3]) / downward[:, 2]
        # of a convex body the face below a point is the highest plane there
        face = downward[int(height.argmax()), :3] * [0.0, 1.0, 1.0]  # forward or back: its sides are alike
        face /= np.linalg.norm(face)
        turned = _onto(face, np.array([0.0, 0.0, -1.0])) @ turned
    return np.asarray(turned)


def _onto(one: Floats, other: Floats) -> Floats:
    """Return the least turn that takes one unit vector to another (O. Rodrigues; any textbook)."""
    axis, c = np.cross(one, other), float(one @ other)
    x, y, z = axis
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return np.asarray(np.eye(3) + cross + cross @ cross / (1 + c))


def _fitted(body: ToyPart, limb: ToyPart, parts: dict[str, Solved], *, file: str) -> tuple[Solved, int]:
    """Return the body begun with the stitches of both limbs and of the chain twice, and the chain."""
    count, drawn = parts[limb.name].piece.counts[-1], parts[body.name].piece.foundation
    multiple = body.part.work.multiple
    if 2 * count > WIDER * drawn:
        rule = f"the {body.spoken} begins, as it is drawn, with {drawn} stitches, and goes round both legs"
        remedy = f"Make the {limb.spoken} narrower at its edge, or the {body.spoken} wider below."
        got = f"2 times {count} stitches"
        raise InputError(Problem(rule, got=got, remedy=remedy, place=limb.where, file=file))
    chain = limb.chain if limb.chain is not None else max(0, round((drawn - 2 * count) / 2))
    around = 2 * (count + chain)
    if around % multiple:
        rule = f"every round of the {body.spoken} is a multiple of {multiple}, as multiple in its [work] asks"
        got = f"2 times {count} stitches and {chain} chains"
        remedy = "Leave multiple out, or change chain or the legs' edge."
        raise InputError(Problem(rule, got=got, remedy=remedy, place=limb.where, file=file))
    if around == drawn:
        return parts[body.name], chain
    begun = replace(cast("Part", body.part), work=replace(cast("Part", body.part).work, ring=around))
    return solve(begun), chain


def _on_legs(piece: Piece, legs: Legs) -> Piece:
    return replace(piece, foundation=legs.around, legs=legs)


def _facing(surface: Surface, *, bent: bool) -> tuple[tuple[float, float], tuple[int, int]]:
    """Return by how much each limb is turned [radians], and its stitch that is worked into first.

    The gap in its edge looks to the other limb. A limb that is alike all round is turned so that its rounds
    begin there; one that bends keeps its front in front.
    """
    edge = surface.points[surface.form.fabric.rings[-1]]
    edge = edge - edge.mean(axis=0)
    gaps = (edge + np.roll(edge, 1, axis=0)) / 2  # before each stitch
    angles = np.arctan2(gaps[:, 1], gaps[:, 0])
    if not bent:
        return (INNER[0] - float(angles[0]), INNER[1] - float(angles[0])), (1, 1)
    one, other = (int(np.cos(angles - inner).argmax()) + 1 for inner in INNER)
    return (0.0, 0.0), (one, other)


def _turned(angle: float) -> Floats:
    """Return the matrix that turns points about z, counter-clockwise from above."""
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


def _limb_points(
    surface: Surface, turns: tuple[float, float], *, chain: int, w: float
) -> tuple[Floats, Floats]:
    """Return the nodes of both limbs side by side, their edges about z = 0. [mm]"""
    told = []
    for side, angle in zip((1.0, -1.0), turns, strict=True):
        points = surface.points @ _turned(angle).T
        edge = points[surface.form.fabric.rings[-1]]
        radius = float(np.hypot(*(edge - edge.mean(axis=0))[:, :2].T).mean())
        told.append(points - edge.mean(axis=0) + [side * (radius + (chain + 1) * w / 2), 0.0, 0.0])
    return told[0], told[1]


def _guess(
    whole: JoinedFabric,
    surface: Surface,
    of_body: Solved,
    body: ToyPart,
    *,
    turns: tuple[float, float],
    chain: int,
) -> Floats:
    """Return all nodes as the limbs and the body by themselves have them, set on each other. (n, 3) [mm]"""
    w = whole.stitch_width
    guess = np.zeros((whole.node_count, 3))
    legs = _limb_points(surface, turns, chain=chain, w=w)
    for points, (_, nodes) in zip(legs, whole.components, strict=False):
        guess[nodes] = points
    fabric, nodes = whole.components[-1]
    first = nodes[fabric.rings[0]]
    between = first[surface.form.fabric.piece.counts[-1] :][:chain]
    guess[between, 0] = ((chain + 1) / 2 - np.arange(1, chain + 1)) * w
    guess[nodes] = _body_points(fabric, of_body, body, guess[first], chain=chain)
    return guess


def _held(body: ToyPart, whole: JoinedFabric, guess: Floats) -> Supports:
    """Return what holds the whole: the limbs each other, and the body's open edge where it says so.

    That edge is held on a circle as wide as it is drawn.
    """
    part = cast("Part", body.part)
    limbs = [nodes[: -len(fabric.rings[-1])] for fabric, nodes in whole.components[:-1]]
    walls = tuple(zip(limbs, (1, -1), strict=True))
    if part.work.finish is not Finish.OPEN or part.work.edge is not Edge.HELD:
        return Supports(walls=walls)
    rim = guess[whole.rings[-1], :2]
    out = rim - rim.mean(axis=0)
    wide = float(part.outline.points[-1, 0])
    return Supports(finish=rim.mean(axis=0) + wide * out / np.hypot(*out.T)[:, None], walls=walls)


def _body_points(
    fabric: StitchFabric, of_body: Solved, body: ToyPart, below: Floats, *, chain: int
) -> Floats:
    """Return the body's nodes, its first ring where it lies, and what is near it drawn out like it. [mm]"""
    points = standing_surface(body, of_body.form).points
    ring = points[fabric.rings[0]]
    points = points - ring.mean(axis=0)
    gap = (ring[0] + ring[-1]) / 2 - ring.mean(axis=0)
    # the middle of the chain at the back is half a chain before the first stitch, which runs clockwise
    angle = math.pi / 2 - math.pi * chain / len(ring) - math.atan2(gap[1], gap[0])
    points = points @ _turned(angle).T
    moves = below - points[fabric.rings[0]]
    turn = np.mod(fabric.place(0), 1.0)
    order = np.argsort(turn)
    radius = float(np.hypot(*(ring - ring.mean(axis=0))[:, :2].T).mean())
    for number, slots in enumerate(fabric.rings):
        share = math.exp(-number * fabric.row_height / (REACH * radius))
        place = np.mod(fabric.place(number), 1.0)
        moved = [np.interp(place, turn[order], moves[order, axis], period=1.0) for axis in range(3)]
        points[slots] += share * (np.stack(moved, axis=1) if len(slots) > 1 else 0.0)
    return np.asarray(points)


def _copies(
    body: ToyPart,
    limb: ToyPart,
    parts: dict[str, Solved],
    of_body: Solved,
    forms: tuple[StitchForm, ...],
    *,
    turns: tuple[float, float],
    rest: Floats,
) -> Limbs:
    """Return the body and its limbs where they lie together."""
    told: list[tuple[Surface, Solved]] = []
    wanted = (limb, limb, body)
    by_itself = (parts[limb.name], parts[limb.name], of_body)
    for each, solved, form, angle in zip(wanted, by_itself, forms, (*turns, 0.0), strict=True):
        upright = standing_surface(each, solved.form).turned
        stuffed = StuffedForm.of_stitches(replace(form, points=(form.points @ _turned(angle)) @ upright))
        told.append((standing_surface(each, stuffed), _again(each, solved, stuffed)))
    whole = _copy(body, told[-1], 1, None, rest)
    legs = [_copy(limb, told[i], i + 1, whole, rest @ _turned(turns[i])) for i in (0, 1)]
    return Limbs({**parts, limb.name: told[0][1], body.name: told[-1][1]}, whole, (legs[0], legs[1]))


def _again(wanted: ToyPart, solved: Solved, form: StuffedForm) -> Solved:
    """Return a part with the form that it has in the whole."""
    return laid(wanted.part, form.piece, form, plain=solved.plain, last=solved.last)


def _copy(
    wanted: ToyPart, of: tuple[Surface, Solved], number: int, carrier: Copy | None, turned: Floats
) -> Copy:
    """Return the body, or one of its limbs, where it is in the whole."""
    surface, solved = of
    fabric, rounds = surface.form.fabric, surface.rounds
    lowest = np.array([0.0, 0.0, surface.lowest])
    base, edge, turn, stitches = np.zeros(3), None, 0.0, 0
    if carrier is not None and (legs := carrier.surface.form.piece.legs):
        stitches = legs.stitches
        base = surface.points[fabric.rings[rounds]].mean(axis=0)
        first = (number - 1) * (stitches + legs.chain)
        turns = carrier.surface.form.fabric.place(0)[[first, first + stitches - 1]].tolist()
        edge, turn = along_round(carrier.surface, ring=0, first=turns[0], last=turns[1]), sum(turns) / 2
    frame = Frame(turned @ (base + lowest), turned)
    return Copy(
        wanted=wanted,
        solved=solved,
        surface=surface,
        skin=surface,
        number=number,
        carrier=carrier,
        frame=frame,
        base=base,
        turn=turn,
        edge=edge,
        edge_length=edge.length if edge else 0.0,
        edge_stitches=stitches,
        points=frame.inside(surface.points - base),
        volume=surface.form.volume,
    )
