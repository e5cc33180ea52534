"""A mesh file as triangles in millimetres; only the file itself is read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from solver.arrays import Floats
from solver.errors import InputError, Problem
from solver.tracing.reading import check_file

MOST_BYTES = 150_000_000
MOST_FACES = 2_000_000

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

    try:
        with path.open("rb") as stream:
            scene = trimesh.load_scene(
                stream, file_type=kind[1:], resolver=None, process=False, skip_materials=True
            )
        meshes = [part for part in scene.dump() if isinstance(part, trimesh.Trimesh) and len(part.faces)]
    except Exception as error:  # the readers raise what they like on bad bytes
        raise InputError(
            Problem(
                "a model must be whole",
                got=f"{type(error).__name__}: {error}"[:120],
                remedy="It is damaged, or not what its name says: save it again.",
                file=str(path),
            )
        ) from error
    if any(not np.isfinite(mesh.vertices).all() for mesh in meshes):
        _refuse(path, "every corner of a model has a place", "a value that is not finite", "Save it again.")
    if not meshes:
        _refuse(path, "a model has faces", "none", "Save it as a surface, not as points.")
    faces = sum(len(mesh.faces) for mesh in meshes)
    if faces > MOST_FACES:
        _refuse(path, f"a model has at most {MOST_FACES} faces", f"{faces}", "Simplify it and save it again.")
    return _gathered(meshes)


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
