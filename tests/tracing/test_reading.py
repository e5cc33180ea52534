"""Picture files: what is read, and what is refused before it is decoded."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose
from PIL import Image

from solver.errors import InputError
from solver.tracing.reading import WORKING_SIDE, read_picture

ROUNDING = 2 / 255
"""Of a lightness: palettes and 16-bit steps round it."""


def picture() -> Image.Image:
    """Return a white picture of 120 x 80 with a black block in its upper left corner."""
    values = np.full((80, 120), 255, dtype=np.uint8)
    values[:20, :30] = 0
    return Image.fromarray(values)


def corners(path: Path) -> list[float]:
    """Return the lightness near the corners: upper left, upper right, lower left, lower right."""
    grey = read_picture(path).mean(axis=2)
    return [float(grey[row, column]) for row in (5, -5) for column in (5, -5)]


KINDS = [(mode, "png") for mode in ("L", "RGB", "P", "I;16", "RGBA", "LA", "1")]
KINDS += [("RGB", "webp"), ("RGBA", "webp"), ("L", "jpg"), ("CMYK", "jpg")]


@pytest.mark.parametrize(("mode", "ending"), KINDS)
def test_kinds_of_pixels(mode: str, ending: str, tmp_path: Path) -> None:
    """Grey, colour, palette, 16-bit, transparent, black-and-white and printer's pictures are read alike."""
    image = picture()
    if mode == "I;16":
        image = Image.fromarray(np.asarray(image, dtype=np.uint16) * 257)
    elif mode in ("RGBA", "LA"):  # black, and clear where the paper is
        clear = Image.fromarray(255 - np.asarray(image))
        image = Image.new(mode, image.size)
        image.putalpha(clear)
    else:
        image = image.convert(mode)
    path = tmp_path / f"picture.{ending}"
    image.save(path)
    assert_allclose(corners(path), [0, 1, 1, 1], atol=5 * ROUNDING if ending != "png" else ROUNDING)


@pytest.mark.parametrize(
    ("orientation", "black"), [(1, 0), (3, 3), (6, 1), (8, 2)], ids=["as it is", "180", "90 right", "90 left"]
)
def test_cameras_turn(orientation: int, black: int, tmp_path: Path) -> None:
    """The turning that a camera notes down (EXIF 2.32, tag 0x0112) is carried out."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    path = tmp_path / "photograph.jpg"
    picture().save(path, exif=exif)
    assert int(np.argmin(corners(path))) == black
    tall = orientation in (6, 8)
    assert read_picture(path).shape[0 if tall else 1] == WORKING_SIDE


def test_two_pictures_in_one(tmp_path: Path) -> None:
    """Of a telephone's JPEG with a second picture in it (MPO) the first is read."""
    path = tmp_path / "photograph.jpg"
    picture().save(path, "MPO", save_all=True, append_images=[Image.new("L", (120, 80))])
    assert_allclose(corners(path), [0, 1, 1, 1], atol=5 * ROUNDING)


def test_all_sizes_are_brought_to_one(tmp_path: Path) -> None:
    """Small and large pictures come out equally long."""
    for size in ((70, 60), (3000, 1000)):
        path = tmp_path / "picture.png"
        Image.new("L", size).save(path)
        assert max(read_picture(path).shape) == WORKING_SIDE


def png_header(width: int, height: int) -> bytes:
    """Return the beginning of a PNG file that claims a size, and no data (PNG specification, 11.2.2)."""
    body = b"IHDR" + struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    header = b"\x89PNG\r\n\x1a\n" + struct.pack(">I", 13) + body + struct.pack(">I", zlib.crc32(body))
    return header + struct.pack(">I", 1000) + b"IDAT" + bytes(20)


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "the file is empty"),
        (b"no picture", "PNG, JPEG or WebP"),
        (b"GIF89a" + bytes(100), "PNG, JPEG or WebP"),
        (b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 100 100\n", "PNG, JPEG or WebP"),
        (png_header(40_000, 40_000), "at most 36 million pixels"),
        (png_header(9_000, 9_000), "at most 36 million pixels"),
        (png_header(20, 400), "at least 60 pixels"),
        (png_header(400, 400), "must be whole"),
    ],
    ids=["empty", "text", "other format", "program", "bomb", "too large", "too small", "cut off"],
)
def test_refused_files(content: bytes, told: str, tmp_path: Path) -> None:
    """What is no picture, or too large or small a one, is refused by its first bytes and named."""
    path = tmp_path / "picture.png"
    path.write_bytes(content)
    with pytest.raises(InputError, match=told) as caught:
        read_picture(path)
    assert str(path) in str(caught.value)


def test_a_cut_off_photograph(tmp_path: Path) -> None:
    """Half a JPEG is refused as damaged."""
    path = tmp_path / "photograph.jpg"
    Image.effect_noise((300, 300), 80).save(path)
    path.write_bytes(path.read_bytes()[:9000])
    with pytest.raises(InputError, match="must be whole"):
        read_picture(path)


def test_a_file_of_400_mb(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file of 400 MB is refused unread."""
    path = tmp_path / "picture.png"
    with path.open("wb") as stream:
        stream.truncate(400_000_000)
    for reading in ("open", "read_bytes"):
        monkeypatch.setattr(Path, reading, lambda *_, **__: pytest.fail("it was read"))
    with pytest.raises(InputError, match=r"at most 60 MB \(got 400 MB\)"):
        read_picture(path)


def test_missing_files_and_folders(tmp_path: Path) -> None:
    """A file that is not there, and a folder, are told as that."""
    with pytest.raises(InputError, match="not there"):
        read_picture(tmp_path / "gull.png")
    with pytest.raises(InputError, match="not a folder"):
        read_picture(tmp_path)
