"""Files nearly as they should be: values moved a little, legal words swapped, tables taken from others."""

from __future__ import annotations

import copy
import random
import re
import tomllib
from typing import Any

import tomlkit

from tests.faults import seeds

Tables = dict[str, Any]
Path = tuple[str | int, ...]

WORDS: dict[str, tuple[Any, ...]] = {
    "firmness": ("light", "medium", "firm", "very firm", "none"),
    "between": ("smooth", "straight"),
    "base": ("flat", "domed"),
    "begin": ("side", "end"),
    "edge": ("held", "free", "start", "finish"),
    "sole": ("stiff", "none"),
    "rounds": ("plain", "exact", "1-3", "2", "5-900"),
    "increases": ("staggered", "stacked"),
    "terms": ("US", "UK"),
    "start": ("ring", "open", "chain"),
    "finish": ("cinched", "open", "seamed"),
    "bend_by": ("heights", "shaping"),
    "laid": ("wrapped", "straight", "front", "side"),
    "down": ("start", "finish"),
    "join": ("sewn", "flat", "pressed", "worked in", "joined"),
    "front": ("side", "end"),
    "section": ("round", "oval"),
    "first": ("blunt", "narrow", "pointed"),
    "shape": ("ellipse", "stripe", "polygon"),
    "colour": ("white", "grey", "red", "deep sea-green"),
}
"""Keys that take one of several words: what a person might write there, not always in its place."""

MORE: tuple[tuple[Path, Any], ...] = (
    (("stuffing", "firmness"), "none"),
    (("stuffing", "firmness"), "light"),
    (("stuffing", "firmness"), "very firm"),
    (("stuffing", "stretch"), 0.06),
    (("gauge", "lean"), 0.3),
    (("gauge", "lean"), -0.8),
    (("gauge", "thickness"), "4 mm"),
    (("gauge", "error"), 0.05),
    (("gauge", "stiffness_ratio"), 0.7),
    (("gauge", "stiffness_ratio"), 1.5),
    (("gauge", "heights"), {"slst": 0.4, "hdc": 1.3, "dc": 1.7}),
    (("work", "joined"), True),
    (("work", "multiple"), 2),
    (("work", "multiple"), 4),
    (("work", "multiple"), 7),
    (("work", "rounds"), "exact"),
    (("work", "tolerance"), 0.02),
    (("work", "tolerance"), 1),
    (("work", "finish"), "open"),
    (("work", "finish"), "cinched"),
    (("work", "finish"), "seamed"),
    (("work", "start"), "open"),
    (("work", "start"), "chain"),
    (("work", "start"), "ring"),
    (("work", "ring"), 3),
    (("work", "ring"), 8),
    (("work", "chain"), 4),
    (("work", "chain"), 9),
    (("work", "ends"), 5),
    (("work", "begin"), "end"),
    (("work", "edge"), "free"),
    (("work", "sole"), "none"),
    (("work", "increases"), "stacked"),
    (("work", "terms"), "UK"),
    (("work", "bend_by"), "shaping"),
    (("shape", "cut"), "70 %"),
    (("shape", "cut"), "20 mm"),
    (("shape", "section"), "oval"),
    (("shape", "straight"), "18 mm"),
    (("shape", "straight"), [[0, 6], [15, 20], [30, 9]]),
    (("shape", "bends"), [{"at": "20 mm", "angle": "20 deg", "over": "15 mm"}]),
    (("shape", "bends"), [{"at": 15, "angle": 12, "over": 14}, {"at": 32, "angle": -12, "over": 14}]),
    (("shape", "base"), "flat"),
    (("yarn", "metres_per_100g"), 110),
    (("yarn", "swatch"), {"stitches": 12, "rows": 10, "weight": "4 g"}),
    (("extras", "eyes"), {"diameter": "9 mm"}),
    (("extras", "cords"), [{"name": "tail", "length": "25 cm", "loop": True}]),
    (("colours", "main"), "grey"),
    (("colours", "down"), "finish"),
    (
        ("colours", "bands"),
        [{"colour": "red", "rounds": "1-3, 5"}, {"colour": "blue", "low": 12, "high": 20}],
    ),
    (("colours", "bands"), [{"colour": "red", "low": "1 cm"}]),
    (("colours", "patches"), [{"shape": "ellipse", "colour": "white", "width": "18 mm", "at": "top"}]),
    (
        ("colours", "patches"),
        [
            {
                "shape": "ellipse",
                "colour": "white",
                "width": 20,
                "height": 9,
                "at": {"height": 12, "turn": 170},
            }
        ],
    ),
    (
        ("colours", "patches"),
        [{"shape": "stripe", "colour": "white", "width": 9, "at": {"turn": 90}, "twins": True, "tilt": 20}],
    ),
    (("title",), "Hafen-Boje \N{ANCHOR} & <b>"),
)
"""What a person might add."""

_LENGTH = re.compile(r"^(-?\d+(?:\.\d+)?)( ?)(mm|cm|%|deg|g)$")


def leaves(tables: Any, at: Path = ()) -> list[Path]:
    """Return the place of every value that is no table and no list."""
    items = (
        tables.items()
        if isinstance(tables, dict)
        else enumerate(tables)
        if isinstance(tables, list)
        else None
    )
    return [at] if items is None else [place for key, value in items for place in leaves(value, (*at, key))]


def lists(tables: Any, at: Path = ()) -> list[Path]:
    """Return the place of every list."""
    items = (
        tables.items() if isinstance(tables, dict) else enumerate(tables) if isinstance(tables, list) else ()
    )
    found = [at] if isinstance(tables, list) else []
    return found + [place for key, value in items for place in lists(value, (*at, key))]


def value_at(tables: Any, place: Path) -> Any:
    """Return what stands at a place."""
    for key in place:
        tables = tables[key]
    return tables


def put(tables: Any, place: Path, value: Any) -> None:
    """Put a value at a place; tables on the way are made."""
    for key in place[:-1]:
        tables = tables.setdefault(key, {}) if isinstance(tables, dict) else tables[key]
    tables[place[-1]] = copy.deepcopy(value)


def nearly(content: bytes, chance: random.Random) -> bytes:
    """Return a TOML file with one to four values moved, swapped, left out or added.

    Parameters
    ----------
    content : bytes
        A whole file that is read without a fault.
    chance : random.Random
    """
    tables = tomllib.loads(content.decode())
    for _ in range(chance.choice([1, 1, 2, 2, 3, 4])):
        move = chance.choice(_MOVES)
        try:
            move(tables, chance)
        except (KeyError, TypeError, IndexError, ValueError, AttributeError):
            continue  # nothing there to move
    return tomlkit.dumps(tables).encode()


def _factor(chance: random.Random) -> float:
    return chance.choice([0.25, 0.5, 0.7, 0.8, 0.9, 0.95, 1.05, 1.1, 1.25, 1.5, 2.0, 3.0])


def _number(value: float, chance: random.Random) -> float:
    kind = chance.random()
    if kind < 0.05:
        return -value
    if kind < 0.1:
        return 0
    if isinstance(value, int) and abs(value) <= 12:
        return value + chance.choice([-3, -2, -1, 1, 1, 2, 3])
    moved = value * _factor(chance)
    return round(moved) if isinstance(value, int) else round(moved, 4)


def _move_leaf(tables: Tables, chance: random.Random) -> None:
    place = chance.choice(leaves(tables))
    value, key = value_at(tables, place), place[-1]
    if isinstance(value, bool):
        put(tables, place, not value)
    elif isinstance(value, int | float):
        put(tables, place, _number(value, chance))
    elif key in WORDS:
        put(tables, place, chance.choice(WORDS[str(key)]))
    elif found := _LENGTH.match(str(value)):
        put(tables, place, f"{_number(float(found[1]), chance):g}{found[2]}{found[3]}")


def _leave_out(tables: Tables, chance: random.Random) -> None:
    place = chance.choice([each for each in leaves(tables) if each[0] != "gauge"])
    if isinstance(place[-1], int):  # a pair goes as a whole
        place = place[:-1] if isinstance(value_at(tables, place[:-2]), list) else place
    del value_at(tables, place[:-1])[place[-1]]


def _add(tables: Tables, chance: random.Random) -> None:
    place, value = chance.choice(MORE)
    if "parts" in tables and place[0] in ("shape", "work", "colours", "stuffing") and chance.random() < 0.8:
        place = ("parts", chance.choice(list(tables["parts"])), *place)
    put(tables, place, value)


def _change_list(tables: Tables, chance: random.Random) -> None:
    found = value_at(tables, chance.choice(lists(tables)))
    at = chance.randrange(len(found))
    match chance.randrange(4):
        case 0:
            found.insert(at, copy.deepcopy(found[at]))
        case 1:
            other = chance.randrange(len(found))
            found[at], found[other] = found[other], found[at]
        case 2 if isinstance(found[at], list) and at:
            found.insert(at, [(a + b) / 2 for a, b in zip(found[at - 1], found[at], strict=True)])
        case _:
            del found[at]


def _scale_list(tables: Tables, chance: random.Random) -> None:
    found, factor = value_at(tables, chance.choice(lists(tables))), _factor(chance)
    which = chance.choice([(0,), (1,), (0, 1)])
    for pair in found:
        if isinstance(pair, list):
            for i in which:
                pair[i] = round(pair[i] * factor, 3)


def _scale_gauge(tables: Tables, chance: random.Random) -> None:
    factor = _factor(chance)
    for key in chance.choice([("stitches",), ("rows",), ("stitches", "rows")]):
        if key in tables["gauge"]:
            tables["gauge"][key] = round(tables["gauge"][key] * factor, 1)


def _graft(tables: Tables, chance: random.Random) -> None:
    other = tomllib.loads(chance.choice(list((PARTS | seeds.PARTS).values())).decode())
    key = chance.choice([key for key in other if key not in ("title", "gauge")])
    put(tables, (key,), other[key])


def _swap_parts(tables: Tables, chance: random.Random) -> None:
    one, other = (tables["parts"][name] for name in chance.sample(list(tables["parts"]), 2))
    key = chance.choice([key for key in one if key in other])
    one[key], other[key] = other[key], one[key]


_MOVES = (_move_leaf,) * 6 + (_add,) * 4 + (_leave_out, _change_list, _change_list, _scale_list, _scale_list)
_MOVES += (_scale_gauge, _graft, _swap_parts)


def _part(shape: str, *, gauge: str = "stitches = 12\nrows = 12.5", more: str = "") -> bytes:
    return f"[gauge]\n{gauge}\n[shape]\n{shape}\n{more}".encode()


_EGG = 'kind = "outline"\npoints = [[0, 0], [14, 4], [20, 18], [16, 34], [0, 44]]'

PARTS = {
    "plain.toml": _part(_EGG, more='[work]\nmultiple = 6\nrounds = "plain"\ntolerance = 0.3\n'),
    "folded.toml": _part(
        'kind = "outline"\npoints = [[14, 0], [18, 15], [9, 36], [0, 42]]',
        more='[stuffing]\nfirmness = "none"\n[work]\nstart = "open"\n',
    ),
    "folded-oval.toml": _part(
        'kind = "oval"\nlength = "7 cm"\nwidth = "3 cm"\nheight = "4 cm"',
        more='[stuffing]\nfirmness = "none"\n[work]\nfinish = "open"\n',
    ),
    "shaped.toml": _part(
        'kind = "bent"\npoints = [[0, 0], [10, 2], [15, 8], [15, 76]]\n'
        'bends = [{ at = "25 mm", angle = "10 deg", over = "20 mm" }, { at = 50, angle = -10, over = 20 }]',
        more='[work]\nfinish = "open"\nbend_by = "shaping"\n',
    ),
    "spine.toml": _part(
        'kind = "bent"\npoints = [[0, 0], [9, 1], [14, 6], [15, 14], [15, 64]]\n'
        "spine = [[0, 0], [0, 20], [4, 42], [14, 62]]"
    ),
    "foot.toml": _part('kind = "foot"\nlength = 60\nwidth = 34\nheight = 30\nankle = 30\nleg = 24'),
    "foot-chain.toml": _part(
        'kind = "foot"\nlength = 60\nwidth = 36\nheight = 32\nankle = 30\nleg = 24',
        more='[work]\nstart = "chain"\nchain = 4\n',
    ),
    "belly.toml": _part(
        'kind = "belly"\nfront = [[0, 0], [22, 3], [33, 18], [34, 34], [26, 60], [18, 80]]\n'
        "back = [[0, 0], [20, 3], [28, 18], [28, 34], [24, 60], [18, 80]]"
    ),
    "wing.toml": _part(
        'kind = "flat"\nworked = "rows"\npoints = [[12, 0], [20, 25], [16, 40], [3, 55]]',
        more='[work]\nfinish = "seamed"\n',
    ),
    "ear.toml": _part(
        'kind = "flat"\nworked = "rows"\nbetween = "straight"\n'
        "left = [[12, 0], [16, 25], [6, 50]]\nright = [[12, 0], [14, 25], [9, 50]]",
        more='[colours]\nmain = "grey"\nbands = [{ colour = "white", rounds = "2-3" }]\n',
    ),
    "hull.toml": _part(
        'kind = "oval"\nlength = "8 cm"\nwidth = "4 cm"\nheight = "3.2 cm"\nbase = "flat"',
        more='[work]\nsole = "stiff"\nfinish = "open"\n[colours]\nmain = "red"\n'
        'bands = [{ colour = "white", low = "2 cm" }]\n',
    ),
    "drawn-oval.toml": _part(
        'kind = "outline"\nsection = "oval"\npoints = [[0, 0], [14, 2], [20, 14], [16, 26]]\n'
        "straight = [[0, 14], [12, 22], [26, 16]]",
        more='[work]\nstart = "chain"\nfinish = "open"\n',
    ),
    "insole.toml": _part('kind = "flat oval"\nlength = "9 cm"\nwidth = "5 cm"', more="[work]\nends = 3\n"),
    "lean.toml": _part(
        _EGG,
        gauge="stitches = 12\nrows = 12.5\nlean = 0.25\nthickness = 3",
        more='[colours]\nmain = "grey"\nyarns = { grey = "#8a8d91", white = "#f4f1e8" }\n'
        '[[colours.patches]]\nshape = "ellipse"\ncolour = "white"\nwidth = 22\nheight = 26\n'
        'at = { height = 22, turn = 0 }\n'
        '[[colours.patches]]\nshape = "stripe"\ncolour = "white"\nwidth = 9\nat = { turn = 180 }\n',
    ),
    "tube.toml": _part(
        'kind = "tube"\nheight = "4 cm"\nwidth = "4 cm"',
        more='[work]\nstart = "open"\nfinish = "open"\nedge = "free"\njoined = true\n[colours]\n'
        'main = "red"\nbands = [{ colour = "white", rounds = "2-3, 5" }]\n[[colours.patches]]\n'
        'shape = "polygon"\ncolour = "blue"\npoints = [[-9, 0], [9, 0], [0, 14]]\n'
        'at = { height = 20, turn = 70 }\ntwins = true\n',
    ),
    "cut.toml": _part('kind = "ball"\nwidth = "5 cm"\ncut = "70 %"',
        gauge='circle = { rounds = 3, stitches = 18, across = "50 mm" }',
        more='[stuffing]\nball = { stitches = 24, girth = "21.5 cm" }\n'),
}  # fmt: skip
"""Part files of the kinds that came last, small and invented; each is solved without a fault."""

_TOY = """title = "Harbour pup"
[gauge]
stitches = 12
rows = 12.5
[stuffing]
firmness = "firm"
"""

TOYS = {
    "pup.toml": _TOY.encode()
    + b"""[parts.body]
colours = { main = "grey" }
shape = { kind = "outline", points = [[0, 0], [20, 3], [26, 20], [20, 46], [12, 60]] }
[parts.head]
on = "body"
at = "top"
shape = { kind = "ball", width = "46 mm", cut = "85 %" }
work = { finish = "open" }
[[parts.head.eyes]]
diameter = "8 mm"
at = { height = "26 mm", turn = 30 }
twins = true
[parts.arm]
on = "body"
at = { height = "40 mm", turn = 80 }
twins = true
join = "flat"
lean = 30
stuffing = { firmness = "none" }
shape = { kind = "outline", points = [[0, 0], [8, 3], [10, 14], [8, 36]] }
[parts.snout]
on = "head"
at = { height = "18 mm", turn = 0 }
shape = { kind = "oval", length = "36 mm", width = "26 mm", height = "18 mm" }
work = { finish = "open" }
""",
    "walker.toml": _TOY.encode()
    + b"""[parts.body]
shape = { kind = "outline", points = [[28, 0], [30, 12], [24, 34], [14, 52]] }
work = { start = "open", finish = "open" }
[parts.leg]
on = "body"
join = "joined"
shape = { kind = "outline", points = [[0, 0], [10, 2], [12, 10], [12, 34]] }
work = { finish = "open" }
[parts.ear]
on = "body"
at = { round = 6, stitch = 5 }
twins = true
join = "worked in"
shape = { kind = "flat", worked = "rows", points = [[9, 0], [12, 14], [4, 26]] }
[parts.spot]
on = "body"
at = { height = "22 mm", turn = 0 }
join = "pressed"
shape = { kind = "flat oval", length = "24 mm", width = "16 mm" }
""",
    "crane.toml": _TOY.encode()
    + b"""[parts.base]
front = "end"
shape = { kind = "oval", length = "80 mm", width = "50 mm", height = "42 mm", base = "flat" }
work = { finish = "seamed", sole = "stiff" }
[parts.arm]
on = "base"
at = { round = 7, stitch = 4 }
spin = 20
work = { finish = "open" }
[parts.arm.shape]
kind = "bent"
points = [[0, 0], [9, 1], [13, 6], [13, 60]]
bends = [{ at = 30, angle = 25, over = 30 }]
[parts.knob]
on = "base"
at = { height = "24 mm", turn = 20 }
make = 4
join = "pressed"
shape = { kind = "ball", width = "20 mm" }
""",
}
"""Toy files."""

_HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="160mm" height="200mm" viewBox="0 0 160 200">'

TOY_DRAWINGS = {
    "docker.svg": f"""{_HEAD}
<ellipse id="body" cx="80" cy="130" rx="40" ry="50"/>
<circle id="head" cx="80" cy="55" r="33"/>
<ellipse id="snout" cx="80" cy="62" rx="14" ry="10"/>
<circle id="eye-left" cx="92" cy="48" r="4"/>
<circle id="eye-right" cx="68" cy="48" r="4"/>
<path id="arm-left" d="M116,96 L150,150 L130,166 L100,128 Z"/>
<path id="arm-right" d="M44,96 L10,150 L30,166 L60,128 Z"/>
</svg>""".encode(),
    "side.svg": f"""{_HEAD}
<ellipse id="body" cx="60" cy="130" rx="36" ry="46"/>
<circle id="head" cx="60" cy="60" r="30"/>
<circle id="nose" cx="60" cy="66" r="4"/>
<ellipse id="foot-left" cx="78" cy="176" rx="18" ry="15"/>
<ellipse id="foot-right" cx="42" cy="176" rx="18" ry="15"/>
<g id="side" transform="translate(70 0)"><ellipse id="side-body" cx="60" cy="130" rx="30" ry="46"/>
<circle id="side-head" cx="60" cy="60" r="30"/></g>
</svg>""".encode(),
}
"""Drawings of whole toys."""

_DRAWN = re.compile(rb"(?<![\w#.])-?\d+(?:\.\d+)?(?![\w.])")
_IDS = (b"body", b"head", b"arm-left", b"arm-right", b"eye-left", b"nose", b"tail", b"ear-left", b"side-head")


def nearly_drawing(content: bytes, chance: random.Random) -> bytes:
    """Return a drawing with one to four of its numbers moved, a line left out, doubled or named otherwise."""
    for _ in range(chance.choice([1, 2, 3, 4])):
        kind = chance.random()
        lines = content.split(b"\n")
        if kind < 0.7:
            found = list(_DRAWN.finditer(content))
            number = chance.choice(found[4:] or found)
            new = f"{_number(float(number[0]), chance):g}".encode()
            content = content[: number.start()] + new + content[number.end() :]
        elif kind < 0.8 and len(lines) > 3:
            at = chance.randrange(1, len(lines) - 1)
            content = b"\n".join(lines[:at] + lines[at + 1 :] if b"<g" not in lines[at] else lines)
        elif kind < 0.9:
            if names := list(re.finditer(rb'id="([\w-]+)"', content)):
                name = chance.choice(names)
                content = content[: name.start(1)] + chance.choice(_IDS) + content[name.end(1) :]
        else:
            content = content.replace(b"<ellipse", b'<ellipse transform="rotate(12 80 100)"', 1)
    return content
