"""A mesh file as triangles in millimetres; only the file itself is read."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from solver.arrays import Floats
from solver.errors import InputError, Problem, told_as
from solver.tracing.meshsize import MOST_FACES, readable
from solver.tracing.reading import check_file

MOST_BYTES = 150_000_000
MOST_NUMBER = 1e12
"""Greatest size, in the model's own numbers."""

MOST_OFF = 1e6
"""A body lies no farther from its origin, in its own sizes: beyond, its shape is lost in the digits."""

FLAT = 1e-5
"""Spread across its thinnest direction, of its size, from which on a model has an inside."""

MM_PER_UNIT = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}

UNITS = {".stl": "mm", ".obj": "mm", ".ply": "mm", ".glb": "m"}
"""What a bare number is: common practice, no source; for `.glb` glTF 2.0, section 3.4."""

_UP = {".glb": (0.0, 1.0, 0.0)}  # glTF 2.0, section 3.4: y is up


@dataclass(frozen=True, slots=True, eq=False)
class Triangles:
    """A surface.

    Attributes
    ----------
    corners : (n, 3, 3) float
        The corners of each triangle. [mm]
    bodies : int
        Connected surfaces in the file.
    up : tuple of 3 float
        Direction that is up in this kind of file.
    notes : tuple of str
        What was found and taken for granted.
    """

    corners: Floats
    bodies: int
    up: tuple[float, float, float]
    notes: tuple[str, ...]


def read_mesh(path: Path, *, unit: str | None = None) -> Triangles:
    """Read a mesh.

    Parameters
    ----------
    path : Path
        `.stl`, `.obj`, `.ply` or `.glb`.
    unit : str, optional
        "mm", "cm", "m" or "in"; without it what is usual for the kind of file.

    Raises
    ------
    InputError
        If the file is missing, too large, damaged, or holds no surface.
    """
    kind = path.suffix.lower()
    check_file(path, most_bytes=MOST_BYTES)
    if kind not in UNITS:
        _refuse(
            path, f"a model is a {', '.join(UNITS)} file", kind or "no extension", "Save it as one of these."
        )
    if unit is not None and unit not in MM_PER_UNIT:
        _refuse(path, f"a unit is one of {', '.join(MM_PER_UNIT)}", f'"{unit}"', "Change unit.")
    corners, bodies, holes = _load(path, kind)
    taken = unit or UNITS[kind]
    corners = corners * MM_PER_UNIT[taken]
    notes = [f"Lengths in the model were taken as {taken}."] if unit is None else []
    if holes:
        notes.append(f"The model has holes (open edges: {holes}); the outline runs straight across them.")
    return Triangles(corners, bodies, _UP.get(kind, (0.0, 0.0, 1.0)), tuple(notes))


def _load(path: Path, kind: str) -> tuple[Floats, int, int]:
    """Return the corners of all triangles, how many bodies they are, and how many edges are open."""
    import trimesh

    damaged = "It is damaged, or not what its name says: save it again."
    with told_as("a model must be whole", remedy=damaged, file=str(path)):
        content = io.BytesIO(readable(path.read_bytes(), kind))
        scene = trimesh.load_scene(
            content, file_type=kind[1:], resolver=None, process=False, skip_materials=True
        )
        meshes = [part for part in scene.dump() if isinstance(part, trimesh.Trimesh) and len(part.faces)]
    if any(not np.isfinite(mesh.vertices).all() for mesh in meshes):
        _refuse(path, "every corner of a model has a place", "a value that is not finite", "Save it again.")
    if not meshes:
        _refuse(path, "a model has faces", "none", "Save it as a surface, not as points.")
    faces = sum(len(mesh.faces) for mesh in meshes)
    if faces > MOST_FACES:
        _refuse(path, f"a model has at most {MOST_FACES} faces", f"{faces}", "Simplify it and save it again.")
    for mesh in meshes:
        if mesh.faces.min() < 0 or mesh.faces.max() >= len(mesh.vertices):
            rule = "every face of a model joins corners that are there"
            _refuse(path, rule, "a face with a corner that is missing", "Save it again.")
    with told_as("the faces of a model make a surface", remedy="Save it again.", file=str(path)):
        corners, bodies, holes = _gathered(meshes)
    _check_solid(corners, path)
    return corners, bodies, holes


def _check_solid(corners: Floats, path: Path) -> None:
    """Raise InputError where all faces lie in one plane, or they are too small or large to be told apart."""
    rule, remedy = "a model is a surface that encloses its axis", "Save it as a closed surface."
    if not len(corners):
        _refuse(path, rule, "no face with an area", remedy)
    points = corners.reshape(-1, 3)
    size = float(np.ptp(points, axis=0).max())
    if not 0 < size < MOST_NUMBER or np.abs(points).max() > MOST_OFF * size:
        _refuse(path, "a model lies near its origin, in numbers of a usual size", f"{size:.3g}", remedy)
    middle = (points - points.mean(axis=0)) / size
    thin = float(np.sqrt(max(np.linalg.eigvalsh(middle.T @ middle / len(points))[0], 0.0)))
    if thin < FLAT:
        _refuse(path, rule, "one that is flat", remedy)


def _gathered(meshes: Sequence[object]) -> tuple[Floats, int, int]:
    import trimesh

    whole: Any = trimesh.util.concatenate(meshes)
    whole.merge_vertices(merge_tex=True, merge_norm=True)
    whole.update_faces(whole.nondegenerate_faces())
    if not len(whole.faces):
        return np.empty((0, 3, 3)), 0, 0
    edges = np.sort(whole.edges, axis=1)
    _, times = np.unique(edges, axis=0, return_counts=True)
    labels = trimesh.graph.connected_component_labels(whole.face_adjacency, node_count=len(whole.faces))
    corners = np.asarray(whole.triangles, dtype=np.float64)
    return corners, int(labels.max()) + 1, int(np.sum(times == 1))


def _refuse(path: Path, rule: str, got: str, remedy: str) -> None:
    raise InputError(Problem(rule, got=got, remedy=remedy, file=str(path)))
