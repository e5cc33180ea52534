"""What a drawing can begin with: named shapes, parts of the toy harbour; and the languages of rounds."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from importlib.util import find_spec
from typing import Any

from solver.errors import InputError, Problem

SAMPLES = files("solver.page").joinpath("harbour")
"""The samples, so that they are there wherever Plumpline is installed."""


@cache
def beginnings() -> dict[str, Any]:
    """Return named shapes, samples, and the languages that rounds can be written in."""
    from solver.wanted.shapes import named_shapes

    shapes = [
        {
            "name": shape.name,
            "sentence": shape.sentence,
            "needed": dict(shape.needed),
            "optional": dict(shape.optional),
            "ends": list(shape.ends),
            "example": dict(shape.example),
        }
        for shape in named_shapes().values()
    ]
    return {"shapes": shapes, "samples": samples(), "languages": LANGUAGES, "keeps": keeps()}


LANGUAGES = [
    ["", "as in US or UK terms"],
    ["de", "Deutsch"],
    ["fr", "français"],
    ["es", "español"],
    ["pt", "português"],
    ["nl", "Nederlands"],
    ["ru", "русский"],
    ["ja", "日本語"],
    ["vi", "tiếng Việt"],
]


KEEPS = ["rounds", "stuffed", "over", "turning", "mesh"]
"""What a part can be taken away as; see `solver.page.making`."""


def keeps() -> list[str]:
    """Return what a part can be taken away as here: sheets where their writer is there."""
    return ["sheet", *KEEPS] if find_spec("solver.sheet") else KEEPS


def samples() -> list[str]:
    """Return the names of the samples."""
    return sorted(
        path.name.removesuffix(".toml") for path in SAMPLES.iterdir() if path.name.endswith(".toml")
    )


def sample_text(name: str) -> str:
    """Return the text of a sample.

    Raises
    ------
    InputError
        If there is none of that name.
    """
    if name not in samples():
        raise InputError(Problem(f"a sample is one of: {', '.join(samples())}", got=name))
    return SAMPLES.joinpath(f"{name}.toml").read_text(encoding="utf-8")
