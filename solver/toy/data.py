"""A solved toy as plain data: the keys of `plumpline rounds toy.toml --json`, lengths in mm."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from solver.toy.places import Count, EyePlace, Place, eye_places, places
from solver.toy.summary import cautions, notes, settles, stands, takes

if TYPE_CHECKING:
    from solver.arrays import Floats
    from solver.toy.solved import SolvedToy


def toy_dict(solved: SolvedToy, *, spelled: bool = False) -> dict[str, Any]:
    """Return a solved toy as plain data.

    Its coordinates: x to the toy's own left, y to its back, z up from the ground.
    """
    how = stands(solved)
    width, depth, height = solved.sizes
    return {
        "title": solved.toy.title,
        "parts": [
            {
                "name": wanted.name,
                "make": len(solved.copies_of(wanted.name)),
                **solved.parts[wanted.name].as_dict(spelled=spelled),
            }
            for wanted in solved.toy.as_worked
        ],
        "places": [_place(each) for each in places(solved)],
        "eyes": [_eyes(each) for each in eye_places(solved)],
        "form": {
            "height_mm": height,
            "width_mm": width,
            "depth_mm": depth,
            "mass_g": how.weight.grams,
            "centre": _rounded(how.weight.centre),
            "stands": how.stands,
            "tips_at_deg": max(how.tips_at, 0.0),
            "tips": how.side,
            "settles_mm": settles(solved),
        },
        "materials": takes(solved).as_dict(),
        "notes": list(notes(solved)),
        "cautions": list(cautions(solved)),
    }


def _place(place: Place) -> dict[str, Any]:
    copy = place.copy
    assert copy.carrier is not None
    assert copy.edge is not None
    return {
        "part": copy.wanted.name,
        "copy": copy.number,
        "on": copy.carrier.wanted.name,
        "on_copy": copy.carrier.number,
        "join": str(copy.wanted.join),
        "edge_to_edge": copy.matched,
        "rounds": [round(place.lowest, 3), round(place.highest, 3)],
        "middle": _count(place.middle),
        "across": round(place.across, 3),
        "edge_stitches": copy.edge_stitches,
        "edge_mm": copy.edge_length,
        "place_mm": copy.edge.length,
        "ease_in_stitches": round(place.misfit, 3),
        "eighths": [{"edge_stitch": number, **_count(count)} for number, count in place.eighths],
        "axis": _rounded(copy.frame.axis, 6),
        "points": _rounded(copy.edge_points),
    }


def _count(count: Count) -> dict[str, Any]:
    """Return a place as it is counted; the round is a real number: 9.4 lies four tenths into round 10."""
    return {
        "round": round(count.ring, 3),
        "stitch": round(count.stitch, 3),
        "of": count.of,
        "from_front": round(count.from_front, 3),
    }


def _eyes(place: EyePlace) -> dict[str, Any]:
    return {
        "part": place.part,
        "what": place.eyes.what,
        "diameter_mm": place.eyes.diameter,
        "round_below": place.below,
        "stitches": list(place.stitches),
        "between": place.stitches_between,
        "places": [_count(count) for count in place.counts],
    }


def _rounded(values: Floats, digits: int = 3) -> list[Any]:
    told: list[Any] = np.round(values, digits).tolist()
    return told
