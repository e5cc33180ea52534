"""What a note or a fault says in the words of the page, where it names keys of a file or commands."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from solver.errors import Problem

_CHOSEN = {
    "start": ("First end", {"ring": "closed", "open": "open"}),
    "finish": ("Last end", {"open": "open", "seamed": "sewn flat", "cinched": "drawn to a point"}),
    "edge": ("Open edge", {"held": "sewn to something stiff", "free": "left free"}),
    "sole": ("Stiff insert in the base", {"stiff": "ticked"}),
    "base": ("Base", {"flat": "flat", "domed": "domed"}),
    "rounds": ("Rounds", {"plain": "plain", "exact": "exact"}),
    "increases": ("Increases", {"staggered": "staggered", "stacked": "in line"}),
    "firmness": ("Stuffed", {"none": "not at all, folded flat"}),
    "between": ("Line", {"smooth": "smooth", "straight": "straight"}),
    "join": (
        "Joined",
        {
            "sewn": "sewn on by its open edge",
            "flat": "folded flat, sewn along a line",
            "pressed": "pressed on",
            "worked in": "worked into a round",
            "joined": "worked in one piece",
        },
    ),
}
"""Keys that are chosen on the page: the name of the choice there, and what each value is called."""

_LEAN = (
    "work ten plain rounds with a marker in the first stitch, lay the work flat, count the stitches that it "
    "has moved, and type a tenth of them at “Marker moves on”"
)

_PHRASES = (
    ("put it into the part file ([stuffing] ball)", "choose “as a ball of mine” at “Stuffed”"),
    ("it is measured: [yarn] swatch", "it is measured: “Swatch weighs”, below the gauge"),
    ("surer: [yarn] metres_per_100g", "surer: “Metres to 100 g”, below the gauge"),
    (": look at `plumpline compare`", ": look at it over the drawing"),
    (
        "write them under [gauge], heights = { slst = ..., hdc = ..., dc = ... }",
        "type them at “Heights of other stitches”, below the gauge",
    ),
    (
        "write a tenth of them as lean in [gauge]",
        "type a tenth of them at “Marker moves on”, below the gauge",
    ),
    ("Measure it: plumpline gauge --lean", f"Measure it: {_LEAN}"),
    ("`--by gauge` hits it with rounds as they are, in another yarn. ", ""),
    ("smaller multiple in the part file, or none,", "smaller multiple, or none,"),
    (
        'Leave it out; or write kind = "oval", or section = "oval" with straight = ..., in [shape].',
        "Choose another last end, or begin with an oval.",
    ),
    ('Write finish = "seamed" or "open" in [work].', 'Write finish = "seamed" or finish = "open".'),
    ('Write join = "sewn" or "flat", or close it.', 'Write join = "sewn" or join = "flat", or close it.'),
    ('join = "flat" or "worked in"', 'join = "flat" or join = "worked in"'),
    ("in its [work] asks", "of its counts asks"),
    (
        'Write at = "top", at = { height = "31 mm", turn = 40 } or at = { round = 16, stitch = 9 }.',
        "Choose its top, or a height and a turn.",
    ),
    ('Write at = { height = "...", turn = 40 }.', "Choose a height and a turn."),
    (
        "Write at = { round = 16, stitch = 9 }.",
        "Choose “at: a round and a stitch”.",
    ),
    (
        'Write work = { start = "ring", finish = "open" }, with its edge at the top of its outline.',
        "Open its drawing: its first end is closed, its last end, at the top, open.",
    ),
    (
        'Write work = { start = "open" } for it, with an outline that is open below.',
        "Open its drawing, and open its first end, below.",
    ),
    ('finish = "open" in [work]', 'finish = "open" in its drawing'),
    (" in [work]", ""),
    ("the outline is as long as the spine, which", "the drawing is as long as its middle line, which"),
    (
        "Its points are [radius, length along the spine]: make the two alike.",
        "Make the two alike: the height of its last point is its length.",
    ),
    ("as the part file says", "as your file says"),
    (" in the part file", " in your file"),
)
"""What is said as a whole."""

_KEY = re.compile(r"\b(\w+) = \"([\w ]+)\"")
_ASKED = re.compile(r"\bWrite (?=“)")
_PLACE = re.compile(r"\[(?:parts\.([^.\]]+)\.?)?(\w*)\](?: (\w+))?")


def spoken(text: str) -> str:
    """Return a note or a fault as the page says it: what it names can be found and set there.

    What is in a file alone (patches, sheets, a chain that was given) keeps the words of the file.
    """
    for in_file, here in _PHRASES:
        text = text.replace(in_file, here)
    text = re.sub(r'increases = "staggered" keeps', "increases “staggered” (above the rounds) keep", text)
    text = re.sub(r"\bmultiple = (\d+)", r"a multiple of \1", text)
    text = re.sub(r"\bturn = (-?[\d.]+)", r"a turn of \1°", text)
    text = re.sub(r'\b([Ww])rite on = "([^"]*)"', r"Choose “on: \2”", text)
    text = re.sub(r'\bon = "([^"]*)"', r"on the \1", text)
    text = re.sub(r"(points? \d+): \[(-?[\d.]+), (-?[\d.]+)\]", r"\1: \2 mm from the line, \3 mm high", text)
    text = _KEY.sub(_named, text)
    text = _ASKED.sub("Choose ", text).replace("Or write “", "Or choose “")
    return re.sub(r" \((?:\w+ = \"[^\"]*\"|“[^”]*: ticked”)\)", "", text) if "got" not in text else text


def fault(problem: Problem, *, own: str) -> str:
    """Return what is wrong as the page says it, with the part, size or file that it is about in front.

    Parameters
    ----------
    problem : Problem
    own : str
        Name of the file that is drawn: of another file its name is told.
    """
    said = spoken(str(type(problem)(problem.rule, problem.got, problem.remedy)))
    found = _PLACE.match(problem.place)
    part, key = (found[1] or "", found[3] or "") if found else ("", "")
    name = Path(problem.file).name
    about = [name if name and name != own else "", part.replace("-", " ").replace("_", " ")]
    about += [key.replace("_", " ") if said.startswith(("a length", "a number")) else ""]
    front = ", ".join(one for one in about if one)
    said = f"{front}: {said}" if front else said
    return said if about[0] else said[:1].upper() + said[1:]


def _named(match: re.Match[str]) -> str:
    """Return a key and its value as a choice of the page is called; as they stand where there is none."""
    label, values = _CHOSEN.get(match[1], ("", {}))
    return f"“{label}: {values[match[2]]}”" if match[2] in values else match[0]
