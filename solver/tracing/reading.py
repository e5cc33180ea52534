"""A picture file as an array of a handy size, or the reason why it is not read."""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from solver.errors import InputError, Problem
from solver.files.inputs import note_input

if TYPE_CHECKING:
    from PIL import Image

FORMATS = ("PNG", "JPEG", "WEBP")
"""What is decoded; no other decoder is ever given the file."""

MOST_BYTES = 60_000_000
MOST_PIXELS = 120_000_000
MOST_PIXELS_DECODED = 36_000_000
"""A JPEG is decoded at a fraction of its size; other formats must fit in memory whole."""

MOST_ASPECT = 12
"""Beyond it nothing of the shorter side is left at the working size."""

LEAST_SIDE = 60
"""Pixels; smaller pictures hold no outline that could be followed."""

WORKING_SIDE = 1000
"""Longer side that every picture is brought to, so that lengths in pixels mean the same in all of them."""


def read_picture(path: Path) -> NDArray[np.float32]:
    """Read a PNG, JPEG or WebP picture, turned upright as its camera says.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    (h, w, 3) float32
        Red, green, blue, 0 to 1, the top row first, at the working size; transparent parts are white.

    Raises
    ------
    InputError
        If the file is missing, no picture that we read, damaged, or outside the size limits. Sizes are
        judged by the file's header, before anything is decoded.
    """
    from PIL import ImageOps

    with opened(path) as image:
        _check_size(image, path)
        image.draft("RGB", (WORKING_SIDE, WORKING_SIDE))
        image.load()
        return _at_working_size(ImageOps.exif_transpose(image))


def read_clear(path: Path, *, side: int) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Read a picture of colours that are not to run into each other, of any size from one dot up.

    Parameters
    ----------
    path : Path
        A PNG, JPEG or WebP picture.
    side : int
        Dots of the longer side that are kept; what is smaller stays as it is.

    Returns
    -------
    (h, w, 3) float32
        Red, green, blue, 0 to 1, the top row first.
    (h, w) float32
        How much of each dot is there, 0 (clear) to 1.

    Raises
    ------
    InputError
        As `read_picture`.
    """
    from PIL import Image, ImageOps

    with opened(path) as image:
        if image.width * image.height > MOST_PIXELS_DECODED:
            raise _too_large(path, f"{image.width} x {image.height}")
        image.load()
        whole = ImageOps.exif_transpose(image).convert("RGBA")
        factor = side / max(whole.size)
        if factor < 1:
            size = (max(1, round(whole.width * factor)), max(1, round(whole.height * factor)))
            whole = whole.resize(size, Image.Resampling.NEAREST)
        dots = np.asarray(whole, dtype=np.float32) / np.float32(255)
    return dots[..., :3], dots[..., 3]


@contextmanager
def opened(path: Path) -> Iterator[Image.Image]:
    """Open a picture, and tell what is wrong with it; its dots are not decoded yet."""
    from PIL import Image, UnidentifiedImageError

    check_file(path, most_bytes=MOST_BYTES)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(path, formats=FORMATS) as image:
                yield image
    except Image.DecompressionBombError as error:
        raise _too_large(path, str(error).split(", could", maxsplit=1)[0]) from error
    except UnidentifiedImageError as error:
        raise InputError(
            Problem(
                "a sketch is a PNG, JPEG or WebP picture",
                remedy="Save or photograph it as JPEG or PNG (some phones write HEIC: choose JPEG in the "
                "camera's settings, or send the picture to yourself).",
                file=str(path),
            )
        ) from error
    except (OSError, ValueError, SyntaxError, MemoryError, EOFError) as error:
        raise InputError(
            Problem(
                "the picture must be whole",
                got=str(error)[:120],
                remedy="It is damaged or cut off: save or send it again.",
                file=str(path),
            )
        ) from error


def check_file(path: Path, *, most_bytes: int) -> None:
    """Raise InputError unless `path` is a plain file of 1 to `most_bytes` bytes."""
    if path.is_dir():
        rule = "this must be a file, not a folder"
        raise InputError(Problem(rule, remedy="Name the file in it.", file=str(path)))
    if not path.is_file():
        remedy = "Check its name; it is looked for beside the part file, or where you run the command."
        raise InputError(Problem("the file is not there", remedy=remedy, file=str(path)))
    note_input(path)
    size = path.stat().st_size
    if not size:
        raise InputError(Problem("the file is empty", remedy="Save or send it again.", file=str(path)))
    if size > most_bytes:
        raise InputError(
            Problem(
                f"the file is at most {most_bytes / 1e6:.0f} MB",
                got=f"{size / 1e6:.0f} MB",
                remedy="Save it smaller.",
                file=str(path),
            )
        )


def _check_size(image: Image.Image, path: Path) -> None:
    width, height = image.size
    if min(width, height) < LEAST_SIDE:
        raise InputError(
            Problem(
                f"a picture is at least {LEAST_SIDE} pixels wide and high",
                got=f"{width} x {height}",
                remedy="Photograph or scan the drawing larger.",
                file=str(path),
            )
        )
    if max(width, height) > MOST_ASPECT * min(width, height):
        rule, got = f"a picture is at most {MOST_ASPECT} times as long as wide", f"{width} x {height}"
        raise InputError(Problem(rule, got=got, remedy="Cut it round the drawing.", file=str(path)))
    # MPO is the JPEG with a second picture in it that many phones write
    most = MOST_PIXELS if image.format in ("JPEG", "MPO") else MOST_PIXELS_DECODED
    if width * height > most:
        raise _too_large(path, f"{width} x {height}")


def _too_large(path: Path, got: str) -> InputError:
    return InputError(
        Problem(
            f"a picture has at most {MOST_PIXELS_DECODED // 1_000_000} million pixels "
            f"({MOST_PIXELS // 1_000_000} million as JPEG)",
            got=got,
            remedy="Save it smaller: 2000 pixels on the longer side are plenty.",
            file=str(path),
        )
    )


def _at_working_size(image: Image.Image) -> NDArray[np.float32]:
    from PIL import Image

    if image.mode.startswith("I") or image.mode == "F":  # 16 bits a pixel
        grey = np.asarray(image, dtype=np.float32)
        top = float(grey.max()) if image.mode in ("F", "I") else 65535.0
        image = Image.fromarray(np.clip(grey * (255.0 / max(top, 1.0)), 0, 255).astype(np.uint8))
    factor = WORKING_SIDE / max(image.size)
    size = (max(1, round(image.width * factor)), max(1, round(image.height * factor)))
    if "A" in image.getbands() or "transparency" in image.info:
        whole = max(1, int(1 / factor)) if factor < 1 else 1
        rgba = image.convert("RGBA").reduce(whole)
        image = Image.alpha_composite(Image.new("RGBA", rgba.size, "white"), rgba)
    image = image.convert("RGB")
    resampling = Image.Resampling.BOX if factor < 1 else Image.Resampling.BICUBIC
    resized = image.resize(size, resampling)
    return np.asarray(resized, dtype=np.float32) / np.float32(255)
