"""Forms as meshes in the colours of their stitches, for files that are looked at elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from solver.arrays import Floats
from solver.files.meshfile import Solid, by_colour
from solver.form.fabric import StitchFabric
from solver.form.halved import Halved, edges_told, halved, of_nodes
from solver.form.stuffed import StuffedForm
from viz.colours import Shades
from viz.toy import colours_of


def faces_of(fabric: StitchFabric, points: Floats, shades: Shades) -> tuple[Halved, Floats]:
    """Return the mesh of a form, and red, green and blue of each face, quads first, 0 to 255.

    Parameters
    ----------
    fabric : StitchFabric
    points : (n, 3) float
        Its nodes. [mm]
    shades : sequence of sequences of str
        For each round the colour of each stitch; empty: no face has a colour.
    """
    mesh = halved(fabric, points)
    names = _names(shades)
    if not names:
        return mesh, np.zeros((0, 3))
    palette = colours_of(names)
    rgb = np.array([palette[name] for name in names])[of_nodes(fabric)] * 255
    return mesh, np.concatenate([rgb[mesh.of_quad], rgb[mesh.of_triangle]]).round()


def turning(form: StuffedForm, shades: Shades) -> dict[str, Any]:
    """Return what `solver.files.turntable.write_turntable` is told of a form, but for its title and words."""
    mesh, rgb = faces_of(form.fabric, form.points, shades)
    return {
        "positions": mesh.points,
        "triangles": mesh.triangles,
        "quads": mesh.quads,
        "colours": rgb,
        "hollow": form.is_open,
        "rings": edges_told(form.fabric, form.points),
    }


def solids_of(fabric: StitchFabric, points: Floats, shades: Shades, *, name: str) -> list[Solid]:
    """Return the surface of a form, one piece of each colour; see `faces_of`."""
    mesh = halved(fabric, points)
    names = _names(shades)
    own = np.array(names)[of_nodes(fabric)]
    palette = colours_of(names)
    quads, triangles = own[mesh.of_quad], own[mesh.of_triangle]
    return by_colour(mesh.points, mesh.quads, mesh.triangles, quads, triangles, palette=palette, name=name)


def _names(shades: Shades) -> Sequence[str]:
    return [name for own in shades for name in own]
