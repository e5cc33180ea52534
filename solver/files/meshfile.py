"""The stuffed form as a mesh file: `.stl`, `.obj`, `.ply` or `.glb`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from solver.files.outfile import extension_of, replacing

if TYPE_CHECKING:
    import trimesh

MESH_EXTENSIONS = (".stl", ".obj", ".ply", ".glb")
COLOURED = (".obj", ".ply")
"""Formats that hold a colour at each node: red, green and blue as properties of a PLY's vertices (G. Turk,
The PLY polygon file format, 1994; from memory), or behind the coordinates of an OBJ's (common practice)."""

# glTF 2.0 (ISO/IEC 12113:2022), section 3.4: metres, y up; right-handed like ours, which has z up.
_MM_TO_GLTF = np.array([[1e-3, 0, 0, 0], [0, 0, 1e-3, 0], [0, -1e-3, 0, 0], [0, 0, 0, 1]])


def write_mesh(path: Path, positions: ArrayLike, *, triangles: ArrayLike, quads: ArrayLike = ()) -> None:
    """Write a surface to a file; the file appears whole or not at all.

    Parameters
    ----------
    path : Path
        Where to; the extension says how. [one of `MESH_EXTENSIONS`]
    positions : (n, 3) array_like
        The nodes, z up. [mm]
    triangles, quads : (t, 3) and (q, 4) array_like of int
        Nodes of each face, counter-clockwise seen from outside; a quad is cut along its first diagonal.

    Raises
    ------
    InputError
        If the extension is unknown or the place can't be written to.

    Notes
    -----
    `.stl`, `.obj` and `.ply` hold bare numbers: ours are millimetres, z up. `.glb` is in metres with y up, as
    its standard asks.
    """
    extension = extension_of(path, MESH_EXTENSIONS, what="a mesh")
    mesh = _mesh(np.asarray(positions, dtype=float), _all_triangles(triangles, quads))
    if extension == ".glb":
        mesh.apply_transform(_MM_TO_GLTF)
    with replacing(path) as temporary:
        mesh.export(temporary)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Solid:
    """One of several surfaces in a file.

    Attributes
    ----------
    name : str
        Of its node, where the format has nodes.
    colour : tuple of three float
        Red, green and blue, 0 to 1.
    positions : (n, 3) array_like
        The nodes, z up. [mm]
    triangles, quads : (t, 3) and (q, 4) array_like of int
        Nodes of each face, counter-clockwise seen from outside.
    """

    name: str
    colour: tuple[float, float, float]
    positions: ArrayLike
    triangles: ArrayLike
    quads: ArrayLike = ()


def write_solids(path: Path, solids: Sequence[Solid]) -> None:
    """Write several surfaces to a file: `.glb` with a named node and a colour each, the others as one.

    As one, `.ply` and `.obj` have the colour of each surface at its nodes, which surfaces then don't share;
    `.stl` knows no colours.

    Parameters
    ----------
    path : Path
        Where to; the extension says how. [one of `MESH_EXTENSIONS`]
    solids : sequence of Solid

    Raises
    ------
    InputError
        If the extension is unknown or the place can't be written to.
    """
    import trimesh

    extension = extension_of(path, MESH_EXTENSIONS, what="a mesh")
    meshes = {
        each.name: _mesh(np.asarray(each.positions, dtype=float), _all_triangles(each.triangles, each.quads))
        for each in solids
    }
    if extension == ".glb":
        scene = trimesh.Scene()
        for each in solids:
            material = trimesh.visual.material.PBRMaterial(
                name=each.name,
                baseColorFactor=[*(round(255 * share) for share in each.colour), 255],
                metallicFactor=0.0,
                roughnessFactor=0.9,
            )
            mesh = meshes[each.name]
            mesh.apply_transform(_MM_TO_GLTF)
            mesh.visual = trimesh.visual.TextureVisuals(material=material)
            scene.add_geometry(mesh, node_name=each.name, geom_name=each.name)
        with replacing(path) as temporary:
            scene.export(temporary)
        return
    if extension in COLOURED:
        for each in solids:
            mesh = meshes[each.name]
            mesh.remove_unreferenced_vertices()
            rgba = [*(round(255 * share) for share in each.colour), 255]
            mesh.visual = trimesh.visual.ColorVisuals(
                mesh, vertex_colors=np.tile(rgba, (len(mesh.vertices), 1))
            )
    whole = trimesh.util.concatenate(list(meshes.values()))
    with replacing(path) as temporary:
        whole.export(temporary)


def colourless(path: Path) -> str:
    """Return what to tell of a file that can't hold the colours that are there; else ""."""
    if extension_of(path, MESH_EXTENSIONS, what="a mesh") in (".glb", *COLOURED):
        return ""
    return "An STL file holds no colours; .ply, .obj and .glb do."


def by_colour(
    positions: ArrayLike,
    quads: NDArray[np.int_],
    triangles: NDArray[np.int_],
    of_quad: NDArray[np.str_],
    of_triangle: NDArray[np.str_],
    *,
    palette: Mapping[str, tuple[float, float, float]],
    name: str,
) -> list[Solid]:
    """Return a mesh as one surface for each colour of its faces, named after both.

    Parameters
    ----------
    positions, quads, triangles
        As in `write_mesh`.
    of_quad, of_triangle : (q,) and (t,) str
        The colour of each face.
    palette : mapping of str to three float
        Red, green and blue of each, 0 to 1.
    name : str
        Of the whole.
    """
    return [
        Solid(
            name=f"{name}: {colour}",
            colour=palette[colour],
            positions=positions,
            quads=quads[of_quad == colour],
            triangles=triangles[of_triangle == colour],
        )
        for colour in np.unique(np.concatenate([of_quad, of_triangle])).tolist()
    ]


def _all_triangles(triangles: ArrayLike, quads: ArrayLike) -> NDArray[np.int_]:
    three = np.asarray(triangles, dtype=int).reshape(-1, 3)
    four = np.asarray(quads, dtype=int).reshape(-1, 4)
    return np.concatenate([four[:, [0, 1, 2]], four[:, [0, 2, 3]], three])


def _mesh(positions: NDArray[np.float64], faces: NDArray[np.int_]) -> trimesh.Trimesh:
    import trimesh

    return trimesh.Trimesh(vertices=positions, faces=faces, process=False)
