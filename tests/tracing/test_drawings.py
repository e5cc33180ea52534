"""Outlines from SVG drawings, judged by shapely; and drawings that are refused."""

from __future__ import annotations

import socket
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
import shapely.affinity
from numpy.testing import assert_allclose

from solver.errors import InputError
from solver.tracing.drawing import trace_drawing
from solver.tracing.svg import read_svg
from solver.tracing.trace import Trace, Wanted

FINE = Wanted(stitch_width=2.0, row_height=2.0, height=150.0)
RMS = 0.001
"""The bar: of the height."""

RIGHT = "M100 20 C130 20 150 90 150 120 C150 150 130 170 100 170"
EGG = f'<path d="{RIGHT} C70 170 50 150 50 120 C50 90 70 20 100 20 Z"/>'
AXIS = '<line x1="100" y1="0" x2="100" y2="200"/>'
MM = 'width="200mm" height="200mm" viewBox="0 0 200 200"'


def bezier(*corners: tuple[float, float]) -> np.ndarray:
    """Return 2000 points of a cubic curve (SVG 2, 9.3.6)."""
    t = np.linspace(0, 1, 2000)[:, None]
    a, b, c, d = (np.array(corner) for corner in corners)
    return (1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t**2 * c + t**3 * d


def truth(height: float) -> shapely.LineString:
    """Return the right half of the egg at a height, radius and height from below."""
    upper = bezier((100, 20), (130, 20), (150, 90), (150, 120))
    lower = bezier((150, 120), (150, 150), (130, 170), (100, 170))
    points = np.vstack([upper, lower]) * [1, -1] + [-100, 170]
    return shapely.LineString(points * height / 150)


def traced(folder: Path, body: str, root: str = MM, wanted: Wanted = FINE, **more: str) -> Trace:
    """Write a drawing and read its outline."""
    path = folder / "drawing.svg"
    space = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
    path.write_text(f"{more.pop('before', '')}<svg {space} {root}>{body}</svg>", encoding="utf-8")
    return trace_drawing(path, wanted, **more)


def rms(trace: Trace) -> float:
    """Return the distance of an outline from the egg of the same height, of the height."""
    height = trace.outline.height
    even = shapely.points(trace.outline.resampled(500).points)
    return float(np.sqrt(np.mean(shapely.distance(even, truth(height)) ** 2)) / height)


@pytest.mark.parametrize(
    "body",
    [
        EGG,
        f'<g transform="translate(20 10) scale(.5)"><g transform="rotate(7 100 100)">{EGG}</g></g>',
        f'<g transform="matrix(.6 .05 -.05 .6 20 30)">{EGG}</g>',
        f'<g transform="rotate(-12)"><g transform="translate(-30)">{EGG}</g></g>',
        f'<g transform="scale(-1 1) translate(-200 0)">{EGG}</g>',
        f'<defs><g id="egg">{EGG}</g></defs><use xlink:href="#egg" x="10" y="-5"/>',
        f'<path d="{RIGHT}"/>',
        f'<path d="{RIGHT}"/>{AXIS}',
        f'<g transform="rotate(4) scale(-1 1) translate(-200 0)"><path d="{RIGHT}"/>{AXIS}</g>',
        f'<svg x="10" y="20" width="50%" height="50%" viewBox="0 0 200 200">{EGG}</svg>',
        f'<rect width="200" height="200" fill="white"/>{EGG}<circle cx="85" cy="70" r="4"/>',
    ],
    ids=["plain", "nested", "matrix", "rotated", "mirrored", "used", "half", "half on an axis",
         "left half", "inner svg", "with background and eye"],
)  # fmt: skip
def test_the_same_outline_however_it_is_written(body: str, tmp_path: Path) -> None:
    """Curves, halves, transforms and groups in each other all give the egg, within 0.1 %."""
    assert rms(traced(tmp_path, body)) < RMS


@pytest.mark.parametrize(
    ("root", "height"),
    [
        (MM, 150.0),
        ('width="8in" height="8in" viewBox="0 0 200 200"', 150 / 200 * 8 * 25.4),
        ('width="10cm" viewBox="0 0 200 200"', 75.0),
        ('width="200" height="200"', 150 * 25.4 / 96),
        ('width="400px" height="400px" viewBox="0 0 200 200"', 300 * 25.4 / 96),
        ('viewBox="0 0 200 200"', 150 * 25.4 / 96),
        ('width="100%" height="100%" viewBox="0 0 200 200"', 150 * 25.4 / 96),
    ],
)
def test_units(root: str, height: float, tmp_path: Path) -> None:
    """A drawing's own size is taken: mm, cm, in, and px at 96 to the inch (CSS Values and Units, 6.2)."""
    trace = traced(tmp_path, EGG, root, replace(FINE, height=None))
    assert_allclose(trace.outline.height, height, rtol=RMS)
    assert rms(trace) < RMS
    assert ("says no size" in trace.notes[0]) == ("mm" not in root and "cm" not in root and "in" not in root)


@pytest.mark.parametrize(
    ("body", "width"),
    [
        ('<circle cx="100" cy="100" r="60"/>', 1.0),
        ('<ellipse cx="100" cy="100" rx="30" ry="60"/>', 0.5),
        ('<rect x="60" y="40" width="60" height="120"/>', 0.5),
        ('<polygon points="60,40 120,40 120,160 60,160"/>', 0.5),
        ('<polyline points="60,40 120,40 120,160 60,160 60,40"/>', 0.5),
        ('<path d="M60 40h60v120h-60z"/>', 0.5),
        ('<path d="M100 40A60 60 0 0 1 100 160"/>', 1.0),
    ],
)
def test_elements(body: str, width: float, tmp_path: Path) -> None:
    """Circles, ellipses, rectangles, polygons, polylines, relative paths and arcs are read."""
    outline = traced(tmp_path, body).outline
    assert_allclose(outline.width / outline.height, width, rtol=2 * RMS)  # a corner is rounded by smoothing


def test_straight_walls_beside_an_axis(tmp_path: Path) -> None:
    """A straight wall beside a longer line is half a tapered tube, open at both ends if that is said."""
    body = f'{AXIS}<path d="M130 20L140 150"/>'
    wanted = replace(FINE, open_first=True, open_last=True)
    points = traced(tmp_path, body, wanted=wanted).outline.points
    assert_allclose(points[[0, -1], 0] / 150, [40 / 130, 30 / 130], rtol=RMS)


def test_one_of_several_is_chosen_by_its_id(tmp_path: Path) -> None:
    """Several outlines are told by name; an element or a group is chosen by its id."""
    body = '<circle id="float" cx="50" cy="50" r="30"/>'
    body += '<g id="buoy"><ellipse cx="150" cy="50" rx="20" ry="40"/></g>'
    with pytest.raises(InputError, match=r"clear which line is the outline \(got .*float"):
        traced(tmp_path, body)
    for element, width in (("float", 1.0), ("buoy", 0.5)):
        outline = traced(tmp_path, body, element=element).outline
        assert_allclose(outline.width / outline.height, width, rtol=RMS)
    with pytest.raises(InputError, match=r'"hull" is an outline .*float'):
        traced(tmp_path, body, element="hull")


def test_hidden_and_unused_parts_are_left_out(tmp_path: Path) -> None:
    """What is not drawn (hidden, or defined for use elsewhere) is not read."""
    big = '<rect width="300" height="300"/>'
    kinds = ("symbol", "marker", "clipPath", "mask", "defs", "pattern")
    hidden = "".join(f"<{kind}>{big}</{kind}>" for kind in kinds)
    hidden += f'<g style="display:none">{big}</g><rect width="300" height="300" visibility="hidden"/>'
    assert len(read_svg(written(tmp_path, hidden + EGG)).lines) == 1


def written(folder: Path, body: str) -> Path:
    """Write a drawing and return its place."""
    path = folder / "drawing.svg"
    path.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" {MM}>{body}</svg>', encoding="utf-8")
    return path


LAUGHS = '<!DOCTYPE svg [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>'
FETCHED = '<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/hostname">]>'


@pytest.mark.parametrize("shape", ["circle", "ellipse", "rect", "box"])
@pytest.mark.parametrize("turn", ["rotate(30 60 70)", "skewX(20)", "matrix(.8 .3 -.2 .9 5 6)"])
def test_turned_and_skewed_shapes(shape: str, turn: str, tmp_path: Path) -> None:
    """In a sheet of millimetres, by the transforms of SVG 2 and CSS (a point's matrix), judged by shapely."""
    body, known = {
        "circle": ('<circle cx="60" cy="70" r="12"', shapely.Point(60, 70).buffer(12, quad_segs=200)),
        "ellipse": (
            '<ellipse cx="60" cy="70" rx="12" ry="5"',
            shapely.affinity.scale(shapely.Point(60, 70).buffer(1, quad_segs=200), 12, 5),
        ),
        "rect": ('<rect x="50" y="65" width="20" height="10"', shapely.box(50, 65, 70, 75)),
        "box": (
            '<rect x="50" y="65" width="20" height="10" rx="2"',
            shapely.box(52, 67, 68, 73).buffer(2, quad_segs=200),
        ),
    }[shape]
    tan, (cos, sin) = np.tan(np.radians(20)), (np.cos(np.pi / 6), np.sin(np.pi / 6))
    matrix = {
        "r": [cos, -sin, sin, cos, 60 - cos * 60 + sin * 70, 70 - sin * 60 - cos * 70],
        "s": [1, tan, 0, 1, 0, 0],
        "m": [0.8, -0.2, 0.3, 0.9, 5, 6],
    }[turn[0]]
    path = tmp_path / "drawing.svg"
    space = 'xmlns="http://www.w3.org/2000/svg"'
    path.write_text(f'<svg {space} {MM}>{body} transform="{turn}"/></svg>', encoding="utf-8")
    (line,) = read_svg(path).lines
    drawn = shapely.Polygon(line.points * [1, -1])
    wanted = shapely.affinity.affine_transform(known, matrix)
    assert drawn.symmetric_difference(wanted).area < 0.01 * wanted.area


@pytest.mark.parametrize(
    ("before", "body", "told"),
    [
        (LAUGHS, f"<text>&b;</text>{EGG}", "declares no entities"),
        (FETCHED, f"<text>&a;</text>{EGG}", "declares no entities"),
        ("", '<use xlink:href="other.svg#egg"/>', "whole in its own file"),
        ("", '<use href="http://127.0.0.1:9/egg.svg#egg"/>', "whole in its own file"),
        ("", "<g>" * 200 + EGG + "</g>" * 200, "100 inside each other"),
        ("", "<g/>" * 60_000, "at most 50000 elements"),
        ("", "<text>Buoy</text>", "visible outline"),
        ("", "", "visible outline"),
        ("", '<path d="M0 0L1e999 3L5 5z"/>', "visible outline"),
        ("", '<path d="M60 40C190 60 10 140 150 160"/>', "one half of an outline"),
    ],
    ids=[
        "laughs",
        "fetched",
        "other file",
        "other host",
        "deep",
        "many",
        "text",
        "empty",
        "infinite",
        "neither",
    ],
)
def test_refused_drawings(before: str, body: str, told: str, tmp_path: Path) -> None:
    """Entities, other files, endless nesting and drawings without an outline are refused by name."""
    with pytest.raises(InputError, match=told) as caught:
        traced(tmp_path, body, before=before)
    assert "drawing.svg" in str(caught.value)


@pytest.mark.parametrize("content", [b"", b"\x89PNG\r\n", b"<html></html>", b"<svg", b"\x1f\x8b\x08\x00"])
def test_other_files(content: bytes, tmp_path: Path) -> None:
    """What is no SVG is refused, whatever its name."""
    path = tmp_path / "drawing.svg"
    path.write_bytes(content)
    with pytest.raises(InputError, match=r"SVG|empty"):
        trace_drawing(path, FINE)


def test_nothing_is_fetched(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Pictures, style sheets and document types elsewhere are passed over without a look."""

    def call(*_: object) -> None:
        raise AssertionError("the network was asked")

    monkeypatch.setattr(socket.socket, "connect", call)
    monkeypatch.setattr(socket, "getaddrinfo", call)
    before = '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://127.0.0.1:9/svg11.dtd">'
    body = '<image href="http://127.0.0.1:9/a.png" width="9" height="9"/>'
    body += '<style>@import "http://127.0.0.1:9/a";</style>'
    trace = traced(tmp_path, body + EGG, before=before)
    assert rms(trace) < RMS
    assert trace.notes[0] == "Passed over in the drawing: image."
