"""What a mesh file says that it holds, held against its size before it is decoded."""

from __future__ import annotations

import json
import re
import struct
from typing import Any

MOST_FACES = 2_000_000

_ITEM = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT2": 4, "MAT3": 9, "MAT4": 16}
_BYTES = {5120: 1, 5121: 1, 5122: 2, 5123: 2, 5125: 4, 5126: 4}
_PLY_COUNT = re.compile(rb"^element\s+\w+\s+(\d+)", re.MULTILINE)
_NOT_ASCII = bytes(code if code < 128 else ord("?") for code in range(256))


def readable(content: bytes, kind: str) -> bytes:
    """Return a file as the reader takes it: comments and names in any encoding, counts that its size allows.

    Parameters
    ----------
    content : bytes
    kind : str
        ".stl", ".obj", ".ply" or ".glb".

    Raises
    ------
    ValueError
        If it says that it holds more than its size allows, or repeats more than a model may.
    """
    if kind == ".obj":
        return content.translate(_NOT_ASCII)
    if kind == ".ply":
        header, end, rest = content.partition(b"end_header")
        if any(int(count) > len(content) for count in _PLY_COUNT.findall(header)):
            msg = "it says that it holds more than there is"
            raise ValueError(msg)
        text = b"format ascii" in header
        return header.translate(_NOT_ASCII) + end + (rest.translate(_NOT_ASCII) if text else rest)
    if kind == ".glb":
        _check_glb(content)
    if kind == ".stl" and content[:5].lower() == b"solid" and b"\0" not in content[:2000]:
        return content.translate(_NOT_ASCII)
    return content


def _check_glb(content: bytes) -> None:
    """Check counts and nodes (glTF 2.0, sections 3.5.2 and 3.6.2: nodes are trees, each with one parent)."""
    length = struct.unpack_from("<I", content, 12)[0]
    tree: dict[str, Any] = json.loads(content[20 : 20 + length])
    accessors = tree.get("accessors", [])
    for each in accessors:
        size = _ITEM[each["type"]] * _BYTES[each["componentType"]]
        if not 0 <= each["count"] * size <= len(content):
            msg = "it says that it holds more than there is"
            raise ValueError(msg)
    nodes = tree.get("nodes", [])
    children = [child for node in nodes for child in node.get("children", [])]
    if len(children) != len(set(children)):
        msg = "a part of it stands in two places"
        raise ValueError(msg)
    faces = [
        sum(
            accessors[part["indices"] if "indices" in part else part["attributes"]["POSITION"]]["count"]
            for part in mesh["primitives"]
        )
        // 3
        for mesh in tree.get("meshes", [])
    ]
    if sum(faces[node["mesh"]] for node in nodes if "mesh" in node) > MOST_FACES:
        msg = f"with what it repeats it has more than {MOST_FACES} faces"
        raise ValueError(msg)
