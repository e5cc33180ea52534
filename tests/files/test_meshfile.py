"""Mesh files: read back by an outside library they hold the surface that was written."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh
from numpy.testing import assert_allclose

from solver.errors import InputError
from solver.files.meshfile import MESH_EXTENSIONS, Solid, colourless, write_mesh, write_solids

# .stl and .glb hold single-precision numbers, .obj and .ply at least eight digits.
SINGLE_PRECISION = 1e-5
RADIUS = 30.0
HEIGHT = 80.0
SIDES = 24


def prism() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return nodes, quads and triangles of a closed prism that stands on z = 0."""
    angle = 2 * np.pi * np.arange(SIDES) / SIDES
    ring = np.stack([RADIUS * np.cos(angle), RADIUS * np.sin(angle)], axis=1)
    low, high = (np.column_stack([ring, np.full(SIDES, z)]) for z in (0.0, HEIGHT))
    nodes = np.concatenate([low, high, [[0, 0, 0], [0, 0, HEIGHT]]])
    here = np.arange(SIDES)
    there = np.roll(here, -1)
    quads = np.stack([here, there, there + SIDES, here + SIDES], axis=1)
    bottom = np.stack([np.full(SIDES, 2 * SIDES), there, here], axis=1)
    top = np.stack([here + SIDES, there + SIDES, np.full(SIDES, 2 * SIDES + 1)], axis=1)
    return nodes, quads, np.concatenate([bottom, top])


def read_back(path: Path) -> trimesh.Trimesh:
    """Read a mesh with trimesh; equal corners of neighbouring faces become one node again."""
    mesh = trimesh.load(path, force="mesh")
    mesh.merge_vertices(merge_tex=True, merge_norm=True)
    return mesh


@pytest.mark.parametrize("extension", MESH_EXTENSIONS)
def test_a_closed_part_reads_back_watertight_with_its_volume(tmp_path: Path, extension: str) -> None:
    """A prism's volume is base times height: half n R^2 sin(2 pi / n) times H; in cubic metres for glTF."""
    nodes, quads, triangles = prism()
    path = tmp_path / f"part{extension}"
    write_mesh(path, nodes, triangles=triangles, quads=quads)
    mesh = read_back(path)
    volume = 0.5 * SIDES * RADIUS**2 * np.sin(2 * np.pi / SIDES) * HEIGHT
    assert mesh.is_watertight
    assert mesh.is_volume
    assert_allclose(mesh.volume * (1e9 if extension == ".glb" else 1), volume, rtol=SINGLE_PRECISION)


@pytest.mark.parametrize("extension", MESH_EXTENSIONS)
def test_the_height_stands_along_the_axis_that_the_format_calls_up(tmp_path: Path, extension: str) -> None:
    """Height runs along z in millimetres; in .glb along y in metres (glTF 2.0, section 3.4)."""
    nodes, quads, triangles = prism()
    path = tmp_path / f"part{extension}"
    write_mesh(path, nodes, triangles=triangles, quads=quads)
    low, high = read_back(path).bounds
    axis, unit = (1, 1e-3) if extension == ".glb" else (2, 1.0)
    assert_allclose(low[axis], 0, atol=SINGLE_PRECISION * unit)
    assert_allclose(high[axis], HEIGHT * unit, rtol=SINGLE_PRECISION)


def test_an_unknown_extension_is_refused_with_those_that_work(tmp_path: Path) -> None:
    """The message tells the extension that was given and every one that works."""
    nodes, quads, triangles = prism()
    with pytest.raises(InputError, match=r"\.stl, \.obj, \.ply, \.glb \(got \.step\)"):
        write_mesh(tmp_path / "part.step", nodes, triangles=triangles, quads=quads)
    assert list(tmp_path.iterdir()) == []


def test_a_missing_folder_is_told(tmp_path: Path) -> None:
    """Nothing is written and the message says what to do about the folder."""
    nodes, quads, triangles = prism()
    with pytest.raises(InputError, match="Make the folder first"):
        write_mesh(tmp_path / "nowhere" / "part.stl", nodes, triangles=triangles, quads=quads)


def test_a_folder_is_not_overwritten(tmp_path: Path) -> None:
    """A folder that is named like a mesh is left alone."""
    nodes, quads, triangles = prism()
    folder = tmp_path / "part.stl"
    folder.mkdir()
    with pytest.raises(InputError, match="not to a folder"):
        write_mesh(folder, nodes, triangles=triangles, quads=quads)


def test_a_failed_writing_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When the writer breaks off half-way, the file from before is whole and no other is left."""
    nodes, quads, triangles = prism()
    path = tmp_path / "part.ply"
    path.write_text("the old one")

    def breaks_off(_mesh: trimesh.Trimesh, target: Path) -> None:
        target.write_text("half of the")
        raise RuntimeError

    monkeypatch.setattr(trimesh.Trimesh, "export", breaks_off)
    with pytest.raises(RuntimeError):
        write_mesh(path, nodes, triangles=triangles, quads=quads)
    assert path.read_text() == "the old one"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("extension", [".ply", ".obj"])
def test_colours_of_several_surfaces_in_one(tmp_path: Path, extension: str) -> None:
    """Each face has the colour of its surface at all its corners, as trimesh reads them."""
    nodes, quads, triangles = prism()
    grey, rust = (0.25, 0.5, 0.75), (0.6, 0.2, 0.0)
    out = tmp_path / f"two{extension}"
    write_solids(
        out,
        [
            Solid(name="sides", colour=grey, positions=nodes, triangles=(), quads=quads),
            Solid(name="caps", colour=rust, positions=nodes, triangles=triangles),
        ],
    )
    mesh = trimesh.load(out, force="mesh", process=False)
    corners = np.asarray(mesh.visual.vertex_colors)[mesh.faces][:, :, :3]
    level = np.abs(mesh.face_normals[:, 2]) > 0.5
    wanted = np.where(level[:, None], rust, grey)
    assert_allclose(corners / 255, np.repeat(wanted[:, None], 3, axis=1), atol=1 / 255)
    assert not colourless(out)
    assert "no colours" in colourless(tmp_path / "two.stl")
