"""The curves of the named shapes: radius against height, from the end that is usually worked first."""

from __future__ import annotations

import numpy as np

from solver.arrays import Floats
from solver.errors import InputError, Problem

CURVE_POINTS = 401
"""Points on a curved piece."""
LINE_POINTS = 101
"""Points on a straight piece."""


def ball(*, width: float | None = None, height: float | None = None) -> Floats:
    """Return a circle."""
    sizes = [size for size in (width, height) if size is not None]
    if len(sizes) != 1:
        rule = "a ball has one size: its width or its height"
        remedy = "Give one of the two." if not sizes else "Leave one out, or use a spheroid."
        raise InputError(Problem(rule, got="none" if not sizes else "both", remedy=remedy))
    return spheroid(height=sizes[0], width=sizes[0])


def spheroid(*, height: float, width: float) -> Floats:
    """Return an ellipse."""
    x = _from_end_to_end()
    return _scaled(np.sqrt(1 - x * x), x, height=height, width=width)


def egg(*, height: float, width: float, widest: float | None = None) -> Floats:
    """Return an egg from its blunt end.

    Notes
    -----
    The curve of two circles a distance d apart (F. Huegelschaeffer's, as given in [1]_): with x along the
    axis from -1 to 1, r^2 = (1 - x^2) / (1 + d^2 + 2 d x), widest (r = 1) at x = -d.

    References
    ----------
    .. [1] M. Petrovic and M. Obradovic, "The complement of the Hugelschaffer's construction of the egg
       curve", moNGeometrija, 2010; from memory.
    """
    share = 0.42 if widest is None else widest / height
    _check_share("widest", share, 0.3, 0.5, of="height")
    x, d = _from_end_to_end(), 1 - 2 * share
    return _scaled(np.sqrt((1 - x * x) / (1 + d * d + 2 * d * x)), x, height=height, width=width)


def drop(*, height: float, width: float) -> Floats:
    """Return a drop from its round end.

    Notes
    -----
    The teardrop curve of first order (E. Weisstein, MathWorld, "Teardrop Curve"; from memory):
    r^2 = (1 - x)^2 (1 + x), widest at x = -1/3, where r^2 = 32/27.
    """
    x = _from_end_to_end()
    return _scaled((1 - x) * np.sqrt((1 + x) * 27 / 32), x, height=height, width=width)


def pear(*, height: float, width: float, top_width: float | None = None) -> Floats:
    """Return a pear from its wide end.

    Notes
    -----
    With x along the axis from -1 to 1, r = sqrt(1 - x^2) (1 - (1 - q) (1 + tanh(3 x - 0.3)) / 2): an ellipse
    that narrows to the share q of itself a little above its middle. q makes the width at x = 1/2 as wanted.
    Our own curve; no source.
    """
    share = 0.5 if top_width is None else top_width / width
    _check_share("top_width", share, 0.25, 0.75, of="width")
    x = _from_end_to_end()
    low, high = 0.0, 1.0
    for _ in range(53):  # halves the range down to the spacing of floats
        q = (low + high) / 2
        r = np.sqrt(1 - x * x) * (1 - (1 - q) * (1 + np.tanh(3 * x - 0.3)) / 2)
        r /= r.max()
        low, high = (q, high) if np.interp(0.5, x, r) < share else (low, q)
    return _scaled(r, x, height=height, width=width)


def capsule(*, height: float, width: float) -> Floats:
    """Return a straight line between two quarter circles."""
    if height < width:
        _refuse("height", "a capsule is at least as high as wide", height, width, "Use a spheroid instead.")
    cap = _round_top(rise=width / 2, width=width)
    wall = _line((width / 2, width / 2), (width / 2, height - width / 2))
    return np.vstack([cap, wall, _turned(cap, height)])


def spindle(*, height: float, width: float) -> Floats:
    """Return an arc of a circle about its own chord, less than a half circle."""
    if height <= width:
        _refuse("height", "a spindle is higher than wide", height, width, "Use a lens or a ball instead.")
    half, rise = height / 2, width / 2
    R = (half * half + rise * rise) / (2 * rise)
    turn = np.arcsin(half / R) * np.linspace(-1, 1, CURVE_POINTS)
    return _on_axis(np.column_stack([R * np.cos(turn) - (R - rise), half + R * np.sin(turn)]))


def lens(*, height: float, width: float) -> Floats:
    """Return two arcs of a circle, each a cap of half the height."""
    if height >= width:
        _refuse("height", "a lens is less high than wide", height, width, "Use a spheroid or a ball instead.")
    rise, rim = height / 2, width / 2
    R = (rim * rim + rise * rise) / (2 * rise)
    turn = np.arcsin(rim / R) * np.linspace(0, 1, CURVE_POINTS)
    cap = np.column_stack([R * np.sin(turn), R * (1 - np.cos(turn))])
    return np.vstack([cap, _turned(cap, height)[1:]])


def cone(*, height: float, width: float) -> Floats:
    """Return a straight line from the point to the wide end."""
    return _line((0.0, 0.0), (width / 2, height))


def taper(*, height: float, first_width: float, last_width: float) -> Floats:
    """Return a straight wall between two widths."""
    return _line((first_width / 2, 0.0), (last_width / 2, height))


def tube(*, height: float, width: float) -> Floats:
    """Return a straight wall."""
    return _line((width / 2, 0.0), (width / 2, height))


def dome(*, height: float, width: float, rise: float | None = None) -> Floats:
    """Return a quarter ellipse on a straight wall."""
    rise = min(width / 2, height) if rise is None else rise
    if rise > height:
        rule = "the round top of a dome takes at most its whole height"
        _refuse("rise", rule, height, width, "Give a smaller rise.")
    return np.vstack([_round_top(rise=rise, width=width), _line((width / 2, rise), (width / 2, height))])


def bell(*, height: float, width: float, crown: float | None = None) -> Floats:
    """Return a quarter ellipse that runs into a parabola half way."""
    crown = 0.6 * width if crown is None else crown
    if crown >= width:
        rule = "the crown of a bell is less wide than its edge"
        _refuse("crown", rule, height, width, "Give a smaller crown, or use a dome.")
    u = np.linspace(0, 1, CURVE_POINTS)[1:]
    flare = np.column_stack([crown / 2 + (width - crown) / 2 * u * u, height / 2 * (1 + u)])
    return np.vstack([_round_top(rise=height / 2, width=crown), flare])


def _from_end_to_end() -> Floats:
    """Return x from -1 to 1, dense towards both ends, where curves meet the axis."""
    return np.asarray(-np.cos(np.linspace(0, np.pi, CURVE_POINTS)))


def _scaled(r: Floats, x: Floats, *, height: float, width: float) -> Floats:
    """Return a curve of radius 0 to 1 over x from -1 to 1 at its size."""
    return _on_axis(np.column_stack([width / 2 * r, height / 2 * (1 + x)]))


def _round_top(*, rise: float, width: float) -> Floats:
    """Return a quarter ellipse from the axis to a vertical tangent."""
    turn = np.linspace(0, np.pi / 2, CURVE_POINTS)
    return np.column_stack([width / 2 * np.sin(turn), rise * (1 - np.cos(turn))])


def _line(start: tuple[float, float], end: tuple[float, float]) -> Floats:
    """Return a straight line; no points when it has no length."""
    return np.linspace(start, end, 0 if start == end else LINE_POINTS)


def _turned(curve: Floats, height: float) -> Floats:
    """Return a curve worked from its other end."""
    return np.column_stack([curve[::-1, 0], height - curve[::-1, 1]])


def _on_axis(curve: Floats) -> Floats:
    """Return a curve whose ends lie on the axis exactly, rounding errors taken off."""
    curve[[0, -1], 0] = 0.0
    return curve


def _check_share(name: str, share: float, least: float, most: float, *, of: str) -> None:
    if not least - 1e-9 <= share <= most + 1e-9:
        rule = f"{name} is {least:g} to {most:g} of the {of}"
        remedy = "Change one of the two, or draw the outline with points."
        raise InputError(Problem(rule, got=f"{share:.2f} of it", remedy=remedy, place=name))


def _refuse(place: str, rule: str, height: float, width: float, remedy: str) -> None:
    got = f"{height:g} mm high, {width:g} mm wide"
    raise InputError(Problem(rule, got=got, remedy=remedy, place=place))
