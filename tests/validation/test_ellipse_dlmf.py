"""Perimeter of an ellipse and area of a spheroid by the NIST Digital Library of Mathematical Functions.

19.30.5: the perimeter of an ellipse of semi-axes a, b is 8 a b R_G(0, a^-2, b^-2); 19.33.1: the area of an
ellipsoid of semi-axes a, b, c is 4 pi a b c R_G(a^-2, b^-2, c^-2). R_G is scipy's `elliprg`.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.special import elliprg

from solver.search.membrane import rest_fabric
from tests.outlines import spheroid

CHORDS = 2e-5
"""400 chords of equal angles fall short by (pi / 400)^2 / 24 of a circle, by little more here."""


@pytest.mark.parametrize(("a", "b", "perimeter"), [(3.0, 2.0, 15.8654395893), (5.0, 3.0, 25.5269988634)])
def test_perimeter(a: float, b: float, perimeter: float) -> None:
    """The meridian of a spheroid is half the perimeter of its ellipse, flat or tall."""
    dlmf = 8 * a * b * elliprg(0, a**-2, b**-2)
    assert_allclose(dlmf, perimeter, rtol=1e-11)
    for height, width in ((2 * a, 2 * b), (2 * b, 2 * a)):
        assert_allclose(spheroid(height=height, width=width).length, perimeter / 2, rtol=CHORDS)


@pytest.mark.parametrize(("height", "width"), [(90.0, 50.0), (60.0, 80.0), (64.0, 64.0)])
def test_area_of_the_fabric(height: float, width: float) -> None:
    """Hardly stuffed, the rest fabric of a spheroid has the spheroid's own area."""
    a, c = width / 2, height / 2
    dlmf = 4 * np.pi * a * a * c * elliprg(a**-2, a**-2, c**-2)
    rest = rest_fabric(spheroid(height=height, width=width), pressure=1e-9, row_height=4.0)
    area = np.trapezoid(rest.girth, rest.arc)
    assert_allclose(area, dlmf, rtol=1e-4)  # trapezoids at 24 places a row
