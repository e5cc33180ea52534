"""Each stitch takes the colour that it shows most of; what stands alone goes, and areas are made to agree."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from solver.arrays import Bools, Floats, Ints

KEPT = 0.75
"""A stitch of which a patch covers so much is no sliver, however thin the patch."""
DOUBTFUL = 0.36
"""Two colours whose shares of a stitch differ by less may change places for the sake of their areas."""
VERY_DOUBTFUL = 0.9
"""The same where areas are still off: as where of every stitch of a round a fifth is covered."""
NEAR, AS_NEAR_AS_CAN_BE = 0.01, 0.012
"""Share by which areas may be off without that."""
SMALL = 12.0
"""Stitches up to which a patch keeps single stitches at its edge."""
EVEN_STEPS = 0.02
"""Shares that differ by less count as alike."""
FINE_SHARE, FINE_STITCH = 0.01, 0.55
"""Share of a patch, and of a stitch, by which its area may be off before a last stitch is changed for it."""
ALIKE = 0.1
"""Shares that differ by less, all round, are those of a round cut level."""
AREA_OFF = 1 / 40
"""Share by which the area of a patch may be off."""
GIVES_WAY = 1 / 50
"""Share beyond which halves that need not be alike become unlike for it: well before that."""
STEPS, TRIES = 12, 40
"""How many changes are made at the most for that, and tried for each."""


@dataclass(frozen=True, slots=True, eq=False)
class Mesh:
    """Stitches and their neighbours.

    Attributes
    ----------
    counts : tuple of int
        Stitches of each round.
    pairs : (p, 2) int
        Stitches that touch along an edge: side by side, or one above the other.
    level : (p,) bool
        Whether they stand side by side.
    pointed : bool
        Whether what is shown on them has corners, of which single stitches at its edge are the tips.
    """

    counts: tuple[int, ...]
    pairs: Ints
    level: Bools
    pointed: bool = False

    @property
    def size(self) -> int:
        """Stitches in all."""
        return sum(self.counts)


def chosen(
    shares: Floats,
    areas: Floats,
    mesh: Mesh,
    *,
    detail: int,
    mirror: Ints | None,
    wanted: Floats | None = None,
    gives_way: bool = False,
) -> Ints:
    """Return the number of the colour of each stitch; 0 for what is beneath.

    Parameters
    ----------
    shares : (s, c) float
        Of each stitch's area, what each colour covers; the first is what is beneath.
    areas : (s,) float
        Of the stitches. [mm^2]
    mesh : Mesh
    detail : int
        Stitches in the smallest piece of colour that stays.
    mirror : (s,) int or None
        The stitch across the patch's middle line of each, where its halves are to be alike.
    wanted : (c,) float, optional
        Area that each colour is to have; left out: what it covers of the stitches. [mm^2]
    gives_way : bool
        Whether a stitch may be unlike its mirror image where areas would be off by more than `GIVES_WAY`.
    """
    if mirror is not None:
        shares = (shares + shares[mirror]) / 2
    label = np.asarray(shares.argmax(axis=1))
    tie = shares.max(axis=1) - shares[:, 0] < 1e-9
    label = np.where(tie, 0, label)
    wanted = shares.T @ areas if wanted is None else wanted
    label = _in_part_rounds(label, shares, areas, wanted, mesh)
    if detail > 1:
        label = _smoothed(label, shares, mesh, detail=detail, mirror=mirror)
    for doubt in (DOUBTFUL, VERY_DOUBTFUL):
        label = _balanced(label, shares, areas, wanted, mesh, mirror=mirror, doubt=doubt)
    if detail > 1:
        label = _smoothed(label, shares, mesh, detail=detail, mirror=mirror)
        label = _settled(label, shares, areas, wanted, mesh, detail=detail, mirror=mirror)
        off = np.abs(np.bincount(label, areas, len(wanted)) - wanted)[1:]
        if gives_way and mirror is not None and (off > GIVES_WAY * wanted[1:]).any():
            label = _settled(label, shares, areas, wanted, mesh, detail=detail, mirror=None)
    if not label.any() and wanted[1:].max(initial=0) > areas.mean() / 2:
        label = _grown(shares, areas, mesh, detail=detail)
    return label


def _in_part_rounds(label: Ints, shares: Floats, areas: Floats, wanted: Floats, mesh: Mesh) -> Ints:
    """Return colours whose area comes right where whole rounds of two meet: part of a round is changed.

    It is the part that lies, as rounds are worked, next to the colour that it takes: a spiral ends a cap so.
    """
    ends = np.cumsum([0, *mesh.counts])
    rows = [slice(a, b) for a, b in pairwise(ends.tolist())]
    whole = [int(label[row][0]) if np.ptp(label[row]) == 0 else -1 for row in rows]
    alike = [float(np.ptp(shares[row], axis=0).max()) < ALIKE for row in rows]
    for i in range(len(rows) - 1):
        below, above = whole[i], whole[i + 1]
        off = np.bincount(label, areas, shares.shape[1]) - wanted
        if below == above or min(below, above) < 0 or not (alike[i] and alike[i + 1]):
            continue
        colour = max(below, above)  # what is beneath, 0, gives way to it
        grows = off[colour] < 0
        k, new = (i + 1, below) if grows == (colour == below) else (i, above)
        row = rows[k]
        n = min(round(abs(off[colour]) / float(areas[row].mean())), mesh.counts[k] - 1)
        if n:
            label[slice(row.start, row.start + n) if new == below else slice(row.stop - n, row.stop)] = new
    return label


def _grown(shares: Floats, areas: Floats, mesh: Mesh, *, detail: int) -> Ints:
    """Return colours of a patch so thin that it has most of no stitch: those that show most of it, joined."""
    label = np.zeros(mesh.size, dtype=np.int64)
    colour = 1 + int(np.argmax(shares[:, 1:].T @ areas))
    own, missing = shares[:, colour], float(shares[:, colour] @ areas)
    best = int(np.argmax(own))
    while missing > areas[best] / 2 or (label > 0).sum() < detail:
        label[best] = colour
        missing -= float(areas[best])
        edge = mesh.pairs[(label[mesh.pairs] > 0).sum(axis=1) == 1].ravel()
        beside = edge[label[edge] == 0]
        if not len(beside):
            break
        best = int(beside[np.argmax(own[beside])])
    return label


def _settled(
    label: Ints,
    shares: Floats,
    areas: Floats,
    wanted: Floats,
    mesh: Mesh,
    *,
    detail: int,
    mirror: Ints | None,
) -> Ints:
    """Return smooth colours whose areas come nearer to the wanted ones, and which are as smooth as before.

    Stitches at edges are changed, one or two side by side at a time; first those that show most of the other.
    """
    for _ in range(STEPS):
        off = np.bincount(label, areas, shares.shape[1]) - wanted
        most = np.maximum(FINE_SHARE * wanted, FINE_STITCH * areas.mean())
        if (np.abs(off) <= most)[1:].all() or not label.any():
            break
        changes = _nearer(label, shares, areas, off, mesh, mirror=mirror)
        found = next(
            (
                after
                for group, new in changes[:TRIES]
                if (after := _changed(label, group, new, mesh)) is not None
                and np.array_equal(after, _smoothed(after, shares, mesh, detail=detail, mirror=mirror))
            ),
            None,
        )
        if found is None:
            break
        label = found
    return label


def _nearer(
    label: Ints, shares: Floats, areas: Floats, off: Floats, mesh: Mesh, *, mirror: Ints | None
) -> list[tuple[Ints, int]]:
    """Return stitches at an edge and new colours for them that bring areas nearer; likeliest first."""
    edge = mesh.pairs[label[mesh.pairs[:, 0]] != label[mesh.pairs[:, 1]]]
    edge = np.unique(np.concatenate([edge, edge[:, ::-1]]), axis=0)
    at_edge = {k: int(label[beside]) for k, beside in edge.tolist()}
    tries: list[tuple[list[int], int]] = [([k], int(label[beside])) for k, beside in edge.tolist()]
    tries += [
        ([a, b], at_edge[a])
        for a, b in mesh.pairs[mesh.level].tolist()
        if at_edge.get(a, -1) == at_edge.get(b, -2) and label[a] == label[b]
    ]
    better = []
    for stitches, new in tries:
        group = np.array(stitches)
        group = group if mirror is None else np.unique(np.concatenate([group, mirror[group]]))
        old = int(label[stitches[0]])
        if (label[group] != old).any():
            continue
        size = float(areas[group].sum())
        after = off.copy()
        after[old] -= size
        after[new] += size
        if np.abs(after[1:]).sum() < np.abs(off[1:]).sum() - 1e-9:
            better.append((float((shares[group, old] - shares[group, new]).max()), group, new))
    better.sort(key=lambda each: (round(each[0], 6), each[1][0], each[2]))
    return [(group, new) for _, group, new in better]


def _changed(label: Ints, group: Ints, new: int, mesh: Mesh) -> Ints | None:
    """Return the colours after a change; None where it makes a hole or a second run, or takes a tip away."""
    round_of = np.repeat(np.arange(len(mesh.counts)), mesh.counts)
    level, in_round = mesh.pairs[mesh.level], round_of == round_of[group[0]]
    after, old = label.copy(), label[group[0]]
    after[group] = new
    runs, before = (int((of[level[:, 0]] != of[level[:, 1]]).sum()) for of in (after, label))
    if runs > before and (old or (label[in_round] == new).any()):
        return None
    if mesh.pointed and old and not after[in_round].any():
        return None
    return after


def _smoothed(label: Ints, shares: Floats, mesh: Mesh, *, detail: int, mirror: Ints | None = None) -> Ints:
    """Return colours without pieces of fewer stitches than `detail`, and without slivers in a round."""
    label = label.copy()
    for _ in range(3):
        before = label.copy()
        for stitches in _small(label, mesh, detail):
            if shares[stitches, label[stitches[0]]].min() >= KEPT and len(stitches) > 1:
                continue
            label[stitches] = _around(stitches, label, shares, mesh)
        # of what is small, as an eye is, each stitch counts
        if shares[:, 1:].sum() > SMALL or shares[:, 1:].max() < KEPT:
            label = _without_slivers(label, shares, mesh)
        if mirror is not None:
            changed = np.flatnonzero(before != label)
            label[mirror[changed]] = label[changed]
        if np.array_equal(before, label):
            break
    return label


def _small(label: Ints, mesh: Mesh, detail: int) -> list[Ints]:
    """Return the pieces of one colour that have fewer stitches than `detail`."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    like = mesh.pairs[label[mesh.pairs[:, 0]] == label[mesh.pairs[:, 1]]]
    n = mesh.size
    graph = coo_array((np.ones(len(like)), (like[:, 0], like[:, 1])), shape=(n, n))
    _, piece = connected_components(graph, directed=False)
    size = np.bincount(piece)
    return [np.flatnonzero(piece == k) for k in np.flatnonzero(size < detail)]


def _around(stitches: Ints, label: Ints, shares: Floats, mesh: Mesh) -> int:
    """Return the colour that most stitches round a piece have; of several the one that shows most in it."""
    touching = np.isin(mesh.pairs, stitches)
    edge = touching.sum(axis=1) == 1
    beside = mesh.pairs[edge][~touching[edge]]
    found = np.bincount(label[beside], minlength=shares.shape[1]).astype(float)
    found[label[stitches[0]]] = -1.0
    return int(np.argmax(found + shares[stitches].mean(axis=0) * 0.5))


def _without_slivers(label: Ints, shares: Floats, mesh: Mesh) -> Ints:
    """Return colours without single stitches that jut out over, or bite into, an edge of a round."""
    label = label.copy()
    side = mesh.pairs[mesh.level]
    alone = np.bincount(side.ravel(), (label[side[:, 0]] == label[side[:, 1]]).repeat(2), mesh.size) == 0
    above = mesh.pairs[~mesh.level]
    like = label[above[:, 0]] == label[above[:, 1]]
    round_of = np.repeat(np.arange(len(mesh.counts)), mesh.counts)
    pointed = mesh.pointed and shares[:, 1:].max() >= KEPT
    for k in np.flatnonzero(alone):
        here = above[(above == k).any(axis=1)]
        up = here[here[:, 0] == k, 1]
        down = here[here[:, 1] == k, 0]
        joined = [bool((label[each] == label[k]).any()) for each in (up, down)]
        if all(joined) or shares[k, label[k]] >= KEPT:
            continue
        if pointed and label[k] and (label[round_of == round_of[k]] == label[k]).sum() == 1:
            continue
        if sum(joined) == 1 or not like.any():
            label[k] = _around(np.array([k]), label, shares, mesh)
    return label


def _balanced(
    label: Ints,
    shares: Floats,
    areas: Floats,
    wanted: Floats,
    mesh: Mesh,
    *,
    mirror: Ints | None,
    doubt: float,
) -> Ints:
    """Return colours whose areas come nearest to the wanted ones: doubtful stitches at edges are changed."""
    label = label.copy()
    colours = shares.shape[1]
    got = np.bincount(label, areas, colours)
    n = mesh.size
    near = NEAR if doubt <= DOUBTFUL else AS_NEAR_AS_CAN_BE
    second = shares.copy()
    second[np.arange(n), label] = -1.0
    other = second.argmax(axis=1)
    margin = shares[np.arange(n), label] - shares[np.arange(n), other]
    # what shows alike is taken in working order, round by round, so that no edge is dotted
    order = np.lexsort((np.arange(n), np.round(margin / EVEN_STEPS)))
    for k in order.tolist():
        if margin[k] > doubt or (np.abs(got - wanted)[1:] <= near * wanted[1:]).all():
            break
        group = [k] if mirror is None or mirror[k] == k else [k, int(mirror[k])]
        if k != min(group) or any(label[each] != label[k] for each in group):
            continue
        a, b, size = label[k], other[k], float(areas[group].sum())
        off_a, off_b = got[a] - wanted[a], got[b] - wanted[b]
        if abs(off_a - size) + abs(off_b + size) >= abs(off_a) + abs(off_b) - 1e-9:
            continue
        beside = mesh.pairs[(mesh.pairs == k).any(axis=1)]
        if not (label[beside[beside != k]] == b).any():
            continue
        label[group] = b
        got[a] -= size
        got[b] += size
    return label
