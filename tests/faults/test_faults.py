"""Files that once broke the program or hung it (invented, each the smallest): told, or the right result."""

from pathlib import Path

import pytest

from tests.faults.runner import MOST_MEMORY, Ended, run

HERE = Path(__file__).parent
MOST_SECONDS = 5.0

TRACED = {
    "a_dot.svg": "",
    "a_dots.svg": "",
    "a_hugebox.svg": "visible outline",
    "badenc.svg": "klingon",
    "badidx.ply": "corner that is missing",
    "d_huge.svg": "within 1e+09",
    "d_noM.svg": "visible outline",
    "d_tiny.svg": "",
    "degenerate.stl": "no face with an area",
    "enc_big5.svg": "is an SVG file",
    "enc_shift_jis.svg": "is an SVG file",
    "inst3000.glb": "one that is flat",
    "latin.obj": "",
    "s60x20000.png": "times as long as wide",
    "t_skew.svg": "within 1e+09",
    "undef_entity_doctype.svg": "undefined entity",
    "use_bomb.svg": "at most 5000 elements",
    "use_itself.svg": "does not hold itself",
    "use_loop.svg": "does not hold itself",
    "use_root.svg": "does not hold itself",
    "use_self.svg": "does not hold itself",
    "utf7.svg": "is an SVG file",
    "z_mut44.svg": "SVG standard",
    "z_path42.svg": "within 1e+09",
    "zeroidx.obj": "no face with an area",
}
"""What the refusal says; empty where the outline is read."""

WRITTEN = {
    "bands-list-of-strings.toml": "line 7: bands is a list of tables",
    "cords-list-of-strings.toml": "line 7: cords is a list of tables",
    "hex-integer.toml": "line 5: a length is finite",
    "weight-400-digits.toml": "line 7: a weight is above zero",
}


def held(ended: Ended, told: str, name: str) -> None:
    """Check that a file was refused with a message that names it, or read, within the bounds."""
    assert ended.seconds < MOST_SECONDS, name
    assert ended.memory < MOST_MEMORY, name
    assert ended.code == (2 if told else 0), ended.told
    assert told in ended.told, ended.told
    if told:
        assert name in ended.told
        assert not ended.left
        assert len(ended.told) < 1000


@pytest.mark.parametrize(
    ("folder", "words", "expected"),
    [("trace", ["trace", "--height", "9 cm"], TRACED), ("toml", ["rounds"], WRITTEN)],
)
def test_faults(folder: str, words: list[str], expected: dict[str, str], tmp_path: Path) -> None:
    """Each ends with exit 2 and one message, leaving no file, or with the right result; in 5 s and 500 MB."""
    names = sorted(path.name for path in (HERE / folder).iterdir())
    assert names == sorted(expected)
    every = run([[words[0], str(HERE / folder / name), *words[1:]] for name in names], folder=tmp_path)
    for name, ended in zip(names, every, strict=True):
        held(ended, expected[name], name)
