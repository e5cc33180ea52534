"""A form carried over to a fabric of other counts: where its balance is looked for from."""

from __future__ import annotations

import numpy as np

from solver.arrays import Floats
from solver.form.fabric import StitchFabric
from solver.form.stitches import StitchForm


def carried(form: StitchForm, fabric: StitchFabric) -> Floats:
    """Return where the nodes of a fabric lie on the form of another with the same start and finish.

    Each ring is looked up at its share of the rounds, each stitch at its place in the ring.

    Parameters
    ----------
    form : StitchForm
    fabric : StitchFabric

    Returns
    -------
    (n, 3) float
        [mm]
    """
    old = form.fabric
    if [len(ring) for ring in old.rings] == [len(ring) for ring in fabric.rings]:
        return np.array(form.points)
    at = np.linspace(0, len(old.rings) - 1, len(fabric.rings))
    places = []
    for ring, where in enumerate(at.tolist()):
        below = min(int(where), len(old.rings) - 2)
        place, share = fabric.place(ring), where - below
        one, other = (_looked_up(form, k, place) for k in (below, below + 1))
        places.append(one * (1 - share) + other * share)
    nodes, slots = np.concatenate(fabric.rings), np.concatenate(places)
    sums = np.stack([np.bincount(nodes, slots[:, axis], fabric.node_count) for axis in range(3)], axis=1)
    return np.asarray(sums / np.bincount(nodes, minlength=fabric.node_count)[:, None])


def _looked_up(form: StitchForm, ring: int, place: Floats) -> Floats:
    """Return points of a ring at places given in turns."""
    points = form.points[form.fabric.rings[ring]]
    if len(points) == 1:
        return np.repeat(points, len(place), axis=0)
    known = form.fabric.place(ring)
    return np.stack([np.interp(place, known, points[:, axis], period=1.0) for axis in range(3)], axis=1)
