"""The eye that looks at a stuffed form: parallel projection, so that sizes can be read off the picture."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.arrays import Floats


@dataclass(frozen=True, slots=True)
class Camera:
    """Where a form is seen from, far away.

    Attributes
    ----------
    tilt : float
        How far the eye is raised above the level; below zero it looks from underneath. [degrees, -90 to 90]
    turn : float
        How far the eye has gone round the form, counter-clockwise seen from above. [degrees]
    """

    tilt: float = 25.0
    turn: float = -90.0

    @property
    def frame(self) -> Floats:
        """The picture's directions to the right, up, and toward the eye, as rows of a (3, 3) array."""
        raised, round_ = np.radians(self.tilt), np.radians(self.turn)
        out = np.array([np.cos(round_), np.sin(round_), 0.0])
        right = np.array([-np.sin(round_), np.cos(round_), 0.0])
        up = np.array([0.0, 0.0, 1.0])
        return np.stack(
            [right, np.cos(raised) * up - np.sin(raised) * out, np.cos(raised) * out + np.sin(raised) * up]
        )

    def seen(self, positions: Floats) -> Floats:
        """Return points (..., 3) [mm] as right, up, and nearness to the eye (..., 3). [mm]"""
        return np.asarray(positions @ self.frame.T)
