"""The stuffed form as one `.html` file that turns in a browser: nothing is fetched, all is in the file."""

from __future__ import annotations

import html
import json
from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path
from string import Template

import numpy as np
from numpy.typing import ArrayLike

from solver.files.outfile import extension_of, replacing

PAGE_EXTENSIONS = (".html",)


def write_turntable(
    path: Path,
    positions: ArrayLike,
    *,
    triangles: ArrayLike,
    quads: ArrayLike,
    hollow: bool,
    title: str,
    words: str,
    colours: ArrayLike = (),
    names: Sequence[tuple[str, ArrayLike]] = (),
    rings: Sequence[tuple[str, ArrayLike]] = (),
) -> None:
    """Write a form as a page that turns; the file appears whole or not at all.

    Parameters
    ----------
    path : Path
        Where to. [.html]
    positions : (n, 3) array_like
        The nodes, z up. [mm]
    triangles, quads : (t, 3) and (q, 4) array_like of int
        Nodes of each face, counter-clockwise seen from outside.
    hollow : bool
        Whether the part is open, so that its inside may be seen.
    title, words : str
        Heading, and one line under it.
    colours : (q + t, 3) array_like of int, optional
        Red, green and blue of each face, quads first, 0 to 255; left out: all as of one yarn.
    names : sequence of (str, (3,) array_like)
        Names that are written beside places. [mm]
    rings : sequence of (str, (k, 3) array_like)
        Rounds with what is written beside them, from one end to the other; crowded ones go without. [mm]

    Raises
    ------
    InputError
        If the extension is unknown or the place can't be written to.
    """
    extension_of(path, PAGE_EXTENSIONS, what="a page")
    faces = [
        *np.asarray(quads, dtype=int).reshape(-1, 4).tolist(),
        *np.asarray(triangles, dtype=int).reshape(-1, 3).tolist(),
    ]
    filled = {
        "POINTS": _data(np.round(np.asarray(positions, dtype=float), 2).tolist()),
        "FACES": _data(faces),
        "HOLLOW": _data(hollow),
        "COLOURS": _data(np.asarray(colours, dtype=int).reshape(-1, 3).tolist()),
        "NAMES": _data([[name, np.round(np.asarray(at, dtype=float), 2).tolist()] for name, at in names]),
        "RINGS": _data([[word, np.round(np.asarray(ring, float), 1).tolist()] for word, ring in rings]),
        "TITLE": html.escape(title),
        "WORDS": html.escape(words),
    }
    page = files("solver.files").joinpath("turntable.html").read_text(encoding="utf-8")
    with replacing(path) as temporary:
        temporary.write_text(Template(page).substitute(filled), encoding="utf-8")


def _data(value: object) -> str:
    return json.dumps(value, separators=(",", ":"))
