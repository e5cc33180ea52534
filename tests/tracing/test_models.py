"""Outlines of meshes: written by trimesh from the samples, and as other packages ship or make them."""

from __future__ import annotations

import importlib.util
from dataclasses import replace
from pathlib import Path

import numpy as np
import pymeshlab
import pytest
import shapely
import trimesh
from numpy.testing import assert_allclose

from solver.errors import InputError
from solver.partfile import Part, load
from solver.tracing.model import BodyError, trace_model
from solver.tracing.slicing import cut, principal_axes, turned_upright
from solver.tracing.trace import Trace, Wanted
from solver.wanted.outline import Outline

ROOT = Path(__file__).parents[2]
SAMPLES = [path for path in sorted((ROOT / "samples").glob("*.toml")) if isinstance(load(path), Part)]
FINE = Wanted(stitch_width=1.0, row_height=1.0)
RMS = 0.002
"""The bar for meshes of our own shapes, of the height."""

SPHERE = 0.005
"""The bar for the sphere of another package, of its radius."""

TURN = trimesh.transformations.rotation_matrix(0.7, [1, 0.3, 0.2])


def lathe(outline: Outline, sections: int = 18) -> trimesh.Trimesh:
    """Return a solid of revolution, closed flat where the outline is open."""
    points = outline.points
    low, high = points[0] * [0, 1], points[-1] * [0, 1]
    closed = [low] * bool(points[0, 0]) + [*points] + [high] * bool(points[-1, 0])
    return trimesh.creation.revolve(np.array(closed), sections=sections)


def rms(trace: Trace, outline: Outline) -> float:
    """Return the distance from the wanted outline, of its height; shapely measures it."""
    truth = shapely.LineString(outline.points - [0, outline.points[0, 1]])
    even = shapely.points(trace.outline.resampled(500).points)
    return float(np.sqrt(np.mean(shapely.distance(even, truth) ** 2)) / outline.height)


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_samples_written_and_read_back(sample: Path, tmp_path: Path) -> None:
    """Each sample's shape, written as a mesh leaning in space, gives its outline within 0.2 %."""
    outline = load(sample).outline
    mesh = lathe(outline.resampled(300))
    mesh.apply_transform(TURN)
    ending = (".stl", ".obj", ".ply")[SAMPLES.index(sample) % 3]
    mesh.export(path := tmp_path / f"model{ending}")
    ends = (bool(outline.points[0, 0]), bool(outline.points[-1, 0]))
    trace = trace_model(path, replace(FINE, open_first=ends[0], open_last=ends[1]))
    assert rms(trace, outline) < RMS
    assert trace.straight is None


EGG = Outline.smooth([[0, 0], [24, 8], [32, 28], [22, 58], [0, 75]]).resampled(150)


def test_glb_is_in_metres_with_y_up(tmp_path: Path) -> None:
    """A GLB file, in metres and y up by its standard (glTF 2.0, 3.4), gives millimetres from below upward."""
    mesh = lathe(EGG)
    mesh.apply_transform(np.array([[1e-3, 0, 0, 0], [0, 0, 1e-3, 0], [0, -1e-3, 0, 0], [0, 0, 0, 1]]))
    mesh.export(path := tmp_path / "egg.glb")
    assert rms(trace_model(path, FINE), EGG) < RMS


@pytest.mark.parametrize(("unit", "scale"), [("mm", 1), ("cm", 10), ("m", 1000), ("in", 25.4)])
def test_units(unit: str, scale: float, tmp_path: Path) -> None:
    """The unit that is said is taken; none is told as millimetres."""
    mesh = lathe(EGG)
    mesh.apply_scale(1 / scale)
    mesh.export(path := tmp_path / "egg.stl")
    assert rms(trace_model(path, FINE, unit=unit), EGG) < RMS
    wanted = replace(FINE, height=EGG.height)
    assert "taken as mm" in trace_model(path, wanted).notes[0]


def test_flipped_faces_and_holes(tmp_path: Path) -> None:
    """Faces turned inside out do nothing, one face in twenty missing is told and bridged."""
    mesh = lathe(EGG)
    random = np.random.default_rng(3)
    flipped = random.random(len(mesh.faces)) < 0.5
    mesh.faces[flipped] = mesh.faces[flipped][:, ::-1]
    mesh.update_faces(random.random(len(mesh.faces)) > 0.05)
    mesh.export(path := tmp_path / "egg.ply")
    trace = trace_model(path, FINE)
    assert rms(trace, EGG) < RMS
    assert "holes" in " ".join(trace.notes)


def test_bodies_inside_and_on_each_other(tmp_path: Path) -> None:
    """Several bodies are told, and the outside of all of them is read."""
    outer, inner = lathe(EGG), lathe(EGG.scaled(0.5))
    inner.apply_translation([0, 0, 20])
    trimesh.util.concatenate([outer, inner]).export(path := tmp_path / "egg.stl")
    trace = trace_model(path, FINE)
    assert rms(trace, EGG) < RMS
    assert "2 separate surfaces" in " ".join(trace.notes)


def test_upside_down(tmp_path: Path) -> None:
    """A model worked from its top gives the outline upside down."""
    lathe(EGG).export(path := tmp_path / "egg.stl")
    turned = Outline(EGG.points[::-1] * [1, -1] + [0, EGG.height])
    assert rms(trace_model(path, replace(FINE, first="top")), turned) < RMS


def test_sphere_of_another_package(tmp_path: Path) -> None:
    """A sphere made by pymeshlab is a ball within 0.5 % of its radius."""
    meshes = pymeshlab.MeshSet()
    meshes.create_sphere(radius=30, subdiv=4)
    path = tmp_path / "sphere.ply"
    meshes.save_current_mesh(str(path))
    points = trace_model(path, FINE).outline.resampled(300).points
    off = np.hypot(points[:, 0], points[:, 1] - points[:, 1].mean()) / 30 - 1
    assert_allclose(off, 0, atol=SPHERE)


@pytest.mark.parametrize("name", ["airplane.obj", "bunny.obj", "cow.obj"])
def test_models_that_are_not_round(name: str) -> None:
    """The airplane, the bunny and the cow that pymeshlab ships are refused, and their distance is told."""
    spec = importlib.util.find_spec("pymeshlab")
    assert spec is not None
    assert spec.submodule_search_locations
    path = Path(spec.submodule_search_locations[0]) / "tests" / "sample_meshes" / name
    told = r"within 8 % of the width of one \(got [\d.]+ mm or \d\d % of the width .* for a round body"
    with pytest.raises(BodyError, match=told) as caught:
        trace_model(path, replace(FINE, height=90.0))
    assert_allclose(caught.value.seen.axis, [[0, 0], [0, 90]])
    assert len(caught.value.seen.read) > 20  # sections, for the picture


def stretched(a: float, *, radius: float = 20.0) -> trimesh.Trimesh:
    """Return a ball cut in two, its halves moved apart along x: every slice has straight sides of `a`."""
    ball = trimesh.creation.icosphere(subdivisions=5, radius=radius)
    vertices = ball.vertices.copy()
    vertices[:, 0] += a / 2 * np.sign(np.round(vertices[:, 0], 9))
    return trimesh.Trimesh(vertices, ball.faces, process=False)


def test_elongated_models(tmp_path: Path) -> None:
    """A swept stadium gives half its width against height, and one length of its straight sides."""
    mesh = stretched(50.0)
    mesh.apply_transform(trimesh.transformations.rotation_matrix(0.4, [0, 0, 1]))
    mesh.export(path := tmp_path / "fender.stl")
    trace = trace_model(path, FINE, axis=(0, 0, 1))
    t = np.linspace(-np.pi / 2, np.pi / 2, 500)
    half_circle = Outline(np.column_stack([20 * np.cos(t), 20 + 20 * np.sin(t)]))
    assert rms(trace, half_circle) < RMS
    assert trace.straight is not None
    assert_allclose(trace.straight, 50.0, rtol=RMS)
    assert "oval body" in " ".join(trace.notes)


def test_tolerance_is_the_makers(tmp_path: Path) -> None:
    """What is refused at 2 % of the width is taken at 15 %, with its distance told."""
    mesh = trimesh.creation.icosphere(subdivisions=4, radius=20)
    mesh.apply_scale([1.3, 1.0, 1.0])
    mesh.export(path := tmp_path / "float.stl")
    with pytest.raises(InputError, match="within 2 %"):
        trace_model(path, FINE, axis=(0, 0, 1), tolerance=0.02)
    assert "of a body of revolution" in " ".join(
        trace_model(path, FINE, axis=(0, 0, 1), tolerance=0.15).notes
    )


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("model.stl", b"", "empty"),
        ("model.stl", b"solid\n", "has faces"),
        ("model.obj", b"v 0 0 0\nf 1 2 99\n", "must be whole"),
        ("model.obj", b"v 0 0 0\nv 1 0 0\nv nan 1 0\nf 1 2 3\n", "not finite"),
        (
            "model.ply",
            b"ply\nformat ascii 1.0\nelement vertex 999999999\nproperty float x\nend_header\n1",
            "whole",
        ),
        ("model.glb", b"glTF\x02\x00\x00\x00\xff\xff\xff\xff", "must be whole"),
        ("model.step", b"ISO-10303-21;", "a model is a"),
        ("model.obj", b"mtllib http://127.0.0.1:9/a.mtl\nv 0 0 0\nv 9 0 0\nv 0 9 0\nf 1 2 3\n", "encloses"),
    ],
)
def test_refused_files(name: str, content: bytes, told: str, tmp_path: Path) -> None:
    """Empty, damaged, flat and foreign files are refused by name, and nothing outside them is read."""
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(InputError, match=told) as caught:
        trace_model(path, replace(FINE, height=90.0))
    assert str(path) in str(caught.value)


def test_a_size_that_can_not_be_meant(tmp_path: Path) -> None:
    """A model a thousand times too small without a size is asked for its unit."""
    mesh = lathe(EGG)
    mesh.apply_scale(1e-3)
    mesh.export(path := tmp_path / "egg.stl")
    with pytest.raises(InputError, match="unit"):
        trace_model(path, FINE)


def test_principal_axes_and_cuts_of_a_box() -> None:
    """A box of 2 x 4 x 10 has its axes along its edges; cut across, it reaches 1 and 2 (geometry)."""
    box = trimesh.creation.box([2, 4, 10])
    box.apply_translation([5, 6, 7])
    centre, axes = principal_axes(np.asarray(box.triangles))
    assert_allclose(centre, [5, 6, 7])
    assert_allclose(np.abs(axes), np.eye(3), atol=1e-12)
    slices = cut(turned_upright(np.asarray(box.triangles), centre=centre, axis=axes[2]))
    assert_allclose(slices.top, 10)
    assert_allclose(slices.reach.min(axis=1), 1)
    assert_allclose(slices.reach.max(axis=1), np.sqrt(5), rtol=0.035)  # at most 1 degree past a corner
