"""Arrays as the code names them, and how they are kept from changing."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Mask = NDArray[np.bool_]
"""A picture of yes and no: [row, column]."""
Grey = NDArray[np.float32]
"""A picture of grey: [row, column], 0 black to 1 white."""


def enclosed(line: Floats) -> float:
    """Return the area that a closed line (n, 2) goes round, below 0 where it goes clockwise."""
    x, y = line.T
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2


def frozen(values: ArrayLike, dtype: Any = np.float64) -> NDArray[Any]:
    """Return a read-only copy of `values`, floats unless `dtype` says otherwise."""
    copy = np.array(values, dtype=dtype)
    copy.setflags(write=False)
    return copy
