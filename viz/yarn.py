"""Stitches as lit polygons, as single crochet looks: outside two plump lobes lean apart, inside is a bar."""

from __future__ import annotations

import numpy as np

from solver.arrays import Floats
from viz.camera import Camera
from viz.stitches import Patches, on_patches, unit

LIGHT = unit(np.array([-0.45, 0.55, 0.8]))
"""Toward the lamp: from the left, above and in front of the picture."""
AMBIENT = 0.38
LEAN = 0.45
"""How far the surface of a lobe leans to its side, against the fabric's."""
OWN, LIGHTEST = 0.72, 1.1
"""Lightness at which yarn shows its own colour, and at which it shines most."""
DARKEST = np.array([0.30, 0.27, 0.32])

ROUND_THE_EDGE = 0.3
"""Fabric that faces away by no more than this is drawn too: part of it may still be seen."""
ON_EDGE = 0.35
"""Fabric that faces the eye by no more than this is drawn in pieces."""
OVERLAP = 0.03
"""How far a patch reaches under its neighbours, so that no light shows between them, in stitches."""
UNDER = 0.15
"""How far the ground under everything reaches below a patch, in stitches: one lower edge over two stitches,
of a decrease, is not quite theirs, and light would show between them."""
CORNERS = 20
"""Of every polygon, so that all can be drawn at once."""


def _leaf(foot: tuple[float, float], head: tuple[float, float], *, thickness: float) -> Floats:
    """Return a leaf with its tips at `foot` and `head`, places on a patch, fuller toward the head."""
    t = np.linspace(0.0, 1.0, CORNERS // 2 + 1)[:, None]
    along = np.array(head) - np.array(foot)
    across = np.array([-along[1], along[0]]) / np.hypot(*along)
    axis, half = np.array(foot) + t * along, thickness / 2 * np.sin(np.pi * t**0.85) ** 0.7
    return np.concatenate([axis - half * across, (axis + half * across)[-2:0:-1]])


def _tile(low: tuple[float, float], high: tuple[float, float]) -> Floats:
    """Return a tile of the ground between two corners, places on a patch."""
    step = np.arange(CORNERS // 4) / (CORNERS // 4)  # all four edges may be curved
    u, v = (start + (end - start) * step for start, end in zip(low, high, strict=True))
    back_u, back_v = (end + (start - end) * step for start, end in zip(low, high, strict=True))
    still = np.ones_like(step)
    sides = ((u, low[1] * still), (high[0] * still, v), (back_u, high[1] * still), (low[0] * still, back_v))
    return np.concatenate([np.column_stack(side) for side in sides])


def _ground(tiles: int) -> list[Floats]:
    """Return the whole ground of a patch in `tiles` by `tiles` pieces that overlap."""
    spans = [(k / tiles - OVERLAP, (k + 1) / tiles + OVERLAP) for k in range(tiles)]
    return [_tile((u[0], v[0]), (u[1], v[1])) for v in spans for u in spans]


LEFT = _leaf((0.48, 0.0), (0.20, 0.98), thickness=0.56)
RIGHT = LEFT * [-1, 1] + [1, 0]
BAR = _leaf((0.04, 0.45), (0.96, 0.45), thickness=0.5)
PLEAT = _leaf((0.0, 0.15), (0.0, 0.95), thickness=0.12)

# How finely stitches are drawn, by how many there are (fewer are larger on the page). A lobe is one shape, or
# three within each other: how large against itself, how light, how far up it sits.
ROUNDED = ((1.0, 0.80, 0.0), (0.74, 0.93, 0.02), (0.42, 1.02, 0.05))
FLAT = ((0.95, 0.92, 0.0),)
FEW, MANY = 400, 6000


def stitch_polygons(
    patches: Patches, camera: Camera, colours: Floats, *, hollow: bool
) -> tuple[Floats, Floats]:
    """Return the polygons of all patches that the camera sees, the farthest first, and their colours.

    Parameters
    ----------
    patches : Patches
        The stitches, s of them.
    camera : Camera
        What it is seen from.
    colours : (s, 3) float
        Red, green and blue of each stitch in full light, 0 to 1.
    hollow : bool
        Whether the part is open, so that its inside may be seen.

    Returns
    -------
    polygons : (p, 20, 2) float
        To the right and up. [mm]
    faces : (p, 3) float
        Red, green and blue.
    """
    facing = patches.outward @ camera.frame.T
    kept = np.flatnonzero((facing[:, 2] > -ROUND_THE_EDGE) | hollow)
    seen = camera.seen(patches.corners[kept])
    far_to_near = np.argsort(seen[:, :6, 2].mean(axis=1))
    kept, seen = kept[far_to_near], seen[far_to_near]
    normal, colours, gathered = facing[kept], colours[kept], patches.gathered[kept]
    outside = normal[:, 2] > 0
    rightward = unit(seen[:, 2] + seen[:, 5] - seen[:, 0] - seen[:, 3])

    everywhere, stitches = np.arange(len(kept)), np.flatnonzero(outside & ~gathered)
    lamp_side = np.where((hollow & ~outside)[:, None], -normal, normal)
    ground = lit(lamp_side, colours, np.where(gathered & outside, 0.66, 0.5))
    # a curved patch seen from its edge reaches beyond the picture of its four sides
    finely = everywhere if len(facing) < FEW else np.flatnonzero(np.abs(normal[:, 2]) < ON_EDGE)
    layers = [(everywhere, tile, ground) for tile in _ground(1)]
    layers += [(finely, tile, ground[finely]) for tile in _ground(3)]
    for lobe, lean in ((LEFT, -LEAN), (RIGHT, LEAN)):
        leaning, centre = unit(normal + lean * rightward)[stitches], lobe.mean(axis=0)
        for size, light, rise in ROUNDED if len(facing) < MANY else FLAT:
            shape = centre + (lobe - centre) * [size, np.sqrt(size)] + [-rise / 2, rise]
            layers.append((stitches, shape, lit(leaning, colours[stitches], light)))
    pleats, bars = np.flatnonzero(outside & gathered), np.flatnonzero(hollow & ~outside & ~gathered)
    layers.append((pleats, PLEAT, lit(normal[pleats], colours[pleats], 0.3)))
    layers.append((bars, BAR, lit(-normal[bars], colours[bars], 0.62)))

    under = np.flatnonzero(patches.round_number[kept] > 1)  # below round 1 there may be an open edge
    layers.append((under, _tile((0.0, -UNDER), (1.0, UNDER)), lit(lamp_side, colours, 0.5)[under]))
    polygons = np.concatenate([on_patches(seen[patch, :, :2], shape) for patch, shape, _ in layers])
    farthest = np.full(len(under), -1)
    drawn_at = np.concatenate([*(patch for patch, _, _ in layers[:-1]), farthest])
    order = np.argsort(drawn_at, kind="stable")  # keeps the layers of each patch in their order
    return polygons[order], np.concatenate([face for _, _, face in layers])[order]


def lit(normal: Floats, colours: Floats, tone: float | Floats) -> Floats:
    """Return colours (s, 3) as the lamp shows them on surfaces of these normals (s, 3), times a tone."""
    lamp = AMBIENT + (1 - AMBIENT) * np.clip(normal @ LIGHT, 0.0, 1.0)
    light = (lamp * tone)[:, None]
    dark = colours * DARKEST
    matt = dark + (colours - dark) * np.clip(light / OWN, 0.0, 1.0)
    # dark yarn shines less, or its colour could not be told from a lighter one
    shine = colours.mean(axis=1, keepdims=True) * np.clip((light - OWN) / (LIGHTEST - OWN), 0.0, 1.0)
    shown: Floats = matt + (1 - colours) * shine
    return shown
