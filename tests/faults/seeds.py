"""Whole files of every kind, small and invented, that mutants are made of."""

from __future__ import annotations

import io

import numpy as np

PARTS = {
    "float.toml": b"""title = "Net float"
[gauge]
stitches = 20
rows = 21
over = "10 cm"
[stuffing]
firmness = "firm"
[shape]
kind = "outline"
points = [[0, 0], [14, 8], [18, 20], [11, 33], ["0 cm", "4 cm"]]
between = "smooth"
[work]
start = "ring"
finish = "cinched"
terms = "UK"
increases = "stacked"
[yarn]
swatch = { stitches = 20, rows = 20, weight = "7.5 g" }
metres_per_100g = 210
[colours]
main = "white"
bands = [{ colour = "red", rounds = "1-4, 6" }, { colour = "blue", low = "2 cm", high = 30 }]
[extras]
eyes = { diameter = "9 mm", count = 2 }
cords = [{ name = "tail", length = "12 cm" }]
""",
    "bell.toml": b"""[gauge]
circle = { rounds = 5, stitches = 30, across = "52 mm" }
[shape]
kind = "tube"
height = "3 cm"
width = "4 cm"
[work]
start = "open"
finish = "open"
""",
    "egg.toml": b"""[gauge]
stitches = 25
rows = 24
[shape]
kind = "egg"
height = "4 1/2 cm"
width = 32
first = "blunt"
""",
    "pad.toml": b"""[gauge]
stitches = 16
[shape]
kind = "flat oval"
length = "9 cm"
width = "5 cm"
[work]
start = "chain"
finish = "open"
""",
}

PARTS |= {
    "arm.toml": b"""[gauge]
stitches = 10
rows = 10
lean = 0.1
heights = { slst = 0.3, hdc = 1.5, dc = 2 }
[shape]
kind = "bent"
points = [[0, 0], [9, 1], [14, 6], [15, 14], [15, 70]]
bends = [{ at = "35 mm", angle = "30 deg", over = "30 mm" }]
[work]
finish = "open"
bend_by = "heights"
""",
    "spine.toml": b"""[gauge]
stitches = 10
[shape]
kind = "bent"
points = [[0, 0], [9, 1], [14, 6], [15, 14], [15, 64]]
spine = [[0, 0], [0, 20], [4, 42], [14, 62]]
""",
    "ear.toml": b"""[gauge]
stitches = 14
rows = 15
[shape]
kind = "flat"
worked = "rows"
left = [[12, 0], [16, 25], [6, 50]]
right = [[12, 0], [14, 25], [9, 50]]
""",
    "spots.toml": b"""[gauge]
stitches = 14
[shape]
kind = "ball"
width = "4 cm"
[colours]
main = "grey"
yarns = { grey = "#8a8d91", white = "#f4f1e8" }
[[colours.patches]]
shape = "ellipse"
colour = "white"
width = "20 mm"
height = "24 mm"
at = { height = "18 mm", turn = 10 }
laid = "wrapped"
[[colours.patches]]
shape = "stripe"
colour = "white"
width = "12 mm"
low = "8 mm"
high = "30 mm"
at = { turn = 180 }
[[colours.patches]]
shape = "polygon"
colour = "white"
points = [["-9 mm", "0 mm"], ["9 mm", "0 mm"], ["0 mm", "14 mm"]]
at = { height = "20 mm", turn = 70 }
twins = true
""",
}

GAUGES = {
    "gauge.toml": b"""# From two swatches.
[gauge]
over = "10 cm"
stitches = 14.5   # give or take 2 %
rows = 15
thickness = "2 mm"
lean = 0.12
heights = { slst = 0.3, hdc = 1.5, dc = 2 }
error = 0.03
stiffness_ratio = 1.1
[stuffing]
stretch = 0.012
[yarn]
metres_per_100g = 240
"""
}
"""Gauge files."""

_PEAR = "M30,5 C45,5 40,25 45,40 C55,60 45,75 30,75 C15,75 5,60 15,40 C20,25 15,5 30,5 Z"


def drawings() -> dict[str, bytes]:
    """Return SVG drawings."""
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="80mm" viewBox="0 0 60 80">'
    use = f'<defs><g id="a"><path id="p" d="{_PEAR}"/></g></defs><use href="#a" transform="scale(.9)"/>'
    half = '<line x1="30" y1="2" x2="30" y2="78"/><polyline points="30,5 45,20 40,50 30,75" fill="none"/>'
    oval = '<g transform="translate(3 4)"><ellipse cx="25" cy="30" rx="12" ry="20"/></g>'
    return {
        "pear.svg": f'<?xml version="1.0"?>\n{head}<path d="{_PEAR}" fill="red"/></svg>'.encode(),
        "use.svg": f"{head}{use}</svg>".encode(),
        "half.svg": f"{head}{half}</svg>".encode(),
        "round.svg": f"{head}{oval}</svg>".encode(),
    }


def models() -> dict[str, bytes]:
    """Return a small spindle as a mesh in every format that is read."""
    import trimesh

    around = 2 * np.pi * np.arange(10) / 10
    rings = [
        np.column_stack([radius * np.cos(around), radius * np.sin(around), np.full(10, height)])
        for radius, height in ((6, -8), (10, 0), (7, 7))
    ]
    points = np.vstack([[[0, 0, -11]], *rings, [[0, 0, 10]]])
    mesh = trimesh.convex.convex_hull(points)
    return {
        "spindle.stl": trimesh.exchange.stl.export_stl(mesh),
        "written.stl": trimesh.exchange.stl.export_stl_ascii(mesh).encode(),
        "spindle.obj": trimesh.exchange.obj.export_obj(mesh).encode(),
        "spindle.ply": trimesh.exchange.ply.export_ply(mesh),
        "written.ply": trimesh.exchange.ply.export_ply(mesh, encoding="ascii"),
        "spindle.glb": trimesh.exchange.gltf.export_glb(trimesh.Scene([mesh])),
    }


def pictures() -> dict[str, bytes]:
    """Return a silhouette and a line in every format that is read."""
    from PIL import Image, ImageDraw

    found = {}
    for name, mode, fill in (("dark", "RGB", True), ("line", "L", False), ("clear", "RGBA", True)):
        image = Image.new(mode, (90, 110), "white" if mode != "RGBA" else (0, 0, 0, 0))
        ink = "black" if mode != "RGBA" else (0, 0, 0, 255)
        ImageDraw.Draw(image).ellipse((20, 12, 70, 98), fill=ink if fill else None, outline=ink, width=4)
        kinds = {"png": "PNG", "webp": "WEBP"} | ({} if mode == "RGBA" else {"jpg": "JPEG"})
        for ending, kind in kinds.items():
            written = io.BytesIO()
            image.save(written, kind)
            found[f"{name}.{ending}"] = written.getvalue()
    return found
