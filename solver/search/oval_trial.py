"""One set of numbers for an oval part tried: its rounds, the form that they become, how far that is off."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from solver.arrays import Floats, frozen
from solver.errors import InputError, Problem
from solver.form.carried import carried
from solver.form.descent import MAX_STEPS, Supports
from solver.form.fabric import stitch_fabric
from solver.form.stitches import TOLERANCE, StitchForm, stitch_form
from solver.form.stuffed import StuffedForm
from solver.form.views import placed
from solver.rounds import Finish, Piece
from solver.rounds.along_chain import oval_piece
from solver.search.oval_ends import end_counts, sole_rounds
from solver.search.oval_plan import OvalMaking, Plan, tolerances
from solver.wanted.part import Fit
from solver.wanted.stadium import Stadium

SEARCH_TOLERANCE, SEARCH_STEPS, ROUGHLY = 0.1, 500, 5.0
"""Residual while searching, which moves no size by more than 0.1 mm, steps that a descent may take, and the
residual with which a form is still judged after these; what is chosen is solved to the end."""

ROUGH = 0.25
"""Root mean square distance from the wanted surface that costs as much as a size just met, in stitches."""

LIES_NEAR = 0.3
"""Root mean square distance from the wanted surface up to which a part is met, in stitches."""

BOW = 0.3
"""Rise of the chain between its ends that costs as much as a size just met, in stitches."""

FULL = 0.975
"""Width at mid-length over greatest width below which a part has a waist."""

OUTSIDE = 4.0
"""What lies outside its tolerance costs so many times more on top: a sound plan has everything inside."""

END_AT_LEAST = 0.8
"""Part of half the length from which on a node counts to an end, however short the part came out."""

MIDDLE = 1.2
"""Half the length about mid-length in which its section lies, in stitches: two stitches of a side lie in it,
and no more of a waist."""


@dataclass(frozen=True, slots=True, eq=False)
class Trial:
    """A plan and the form that it becomes.

    Attributes
    ----------
    plan : Plan
    ends : tuple of int
        Stitches in each end, round by round.
    piece : Piece
    form : StitchForm
    miss : (5,) float
        As `misses` has them. [mm]
    rms : float
        Root mean square distance of the stitches from the wanted surface. [mm]
    cost : float
        Squared misses over their tolerances, and of the surface.
    met : bool
        Whether all sizes are met, the surface lies near and there is no waist.
    off : float
        Greatest miss of length, width and height, over their tolerances.
    price : float
        Of a change of step, in squared stitches, with which its ends were chosen.
    """

    plan: Plan
    ends: tuple[int, ...]
    piece: Piece
    form: StitchForm
    miss: Floats
    rms: float
    cost: float
    met: bool
    off: float
    price: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "miss", frozen(self.miss))


def tried(
    wanted: Stadium,
    making: OvalMaking,
    plan: Plan,
    *,
    price: float = 0.0,
    tolerance: float = SEARCH_TOLERANCE,
    near: StitchForm | None = None,
    patient: bool = True,
) -> Trial:
    """Return a plan's form and how far it is from the wanted surface.

    Parameters
    ----------
    wanted : Stadium
    making : OvalMaking
    plan : Plan
    price : float
        Of a change of step, as for `end_counts`.
    tolerance : float
        Residual at which the form counts as solved.
    near : StitchForm, optional
        A form of the same rounds, or of others much like them, that the descent starts from.
    patient : bool
        Whether further attempts follow where the first one fails.

    Raises
    ------
    ConvergenceError
        If it has no balance.
    """
    ends = end_counts(wanted, making, plan, price=price)
    piece = oval_piece(
        making.chain or plan.side + 3,
        ends,
        finish=making.finish,
        begin=making.begin,
        increases=making.increases,
    )
    form = stuffed(wanted, making, piece, tolerance=tolerance, near=near, patient=patient)
    miss, rms = misses(form, wanted), rms_distance(form, wanted)
    over = overs(wanted, making, miss=miss, rms=rms, bow=float(np.ptp(form.rings[0][:, 2])))
    met, off = meets(making, over), float(np.abs(over[:3]).max())
    return Trial(plan, ends, piece, form, miss, rms, cost_of(over), met, off=off, price=price)


def overs(wanted: Stadium, making: OvalMaking, *, miss: Floats, rms: float, bow: float) -> Floats:
    """Return what a form costs, each over what is just near enough.

    Parameters
    ----------
    wanted : Stadium
    making : OvalMaking
    miss : (5,) float
        As `misses` has them. [mm]
    rms : float
        [mm]
    bow : float
        Rise of the chain between its ends. [mm]

    Returns
    -------
    (7,) float
        Length, width, height, width at mid-length, distance, waist, bow.
    """
    w = making.stitch_width
    thin = max(FULL - (wanted.width + miss[3]) / (wanted.width + miss[1]), 0.0) / (1 - FULL)
    return np.array([*(miss / tolerances(wanted, making))[:4], rms / (ROUGH * w), thin, bow / (BOW * w)])


def meets(making: OvalMaking, over: Floats) -> bool:
    """Return whether all sizes are met, the surface lies near and there is no waist; `over` as of `overs`."""
    lies = LIES_NEAR if making.fit is Fit.EXACT else max(LIES_NEAR, making.tolerance)
    return bool((np.abs(over[:3]) <= 1).all() and over[4] <= lies / ROUGH and over[5] == 0)


def cost_of(over: Floats) -> float:
    """Return the cost of all that `overs` has."""
    return float(over @ over + OUTSIDE * np.sum(np.maximum(np.abs(over) - 1, 0) ** 2))


def stuffed(
    wanted: Stadium,
    making: OvalMaking,
    piece: Piece,
    *,
    tolerance: float = TOLERANCE,
    near: StitchForm | None = None,
    patient: bool = True,
    lean: float = 0.0,
) -> StitchForm:
    """Return what rounds along a chain become when they are stuffed and held as the part is.

    Parameters
    ----------
    wanted : Stadium
    making : OvalMaking
    piece : Piece
    tolerance : float
        Residual at which the form counts as solved; above `TOLERANCE` a search is content with less.
    near : StitchForm, optional
        A form of rounds much like them that the descent starts from.
    patient : bool
        Whether further attempts follow where the first one fails.
    lean : float
        Stitches by which a round moves on against the one below.

    Raises
    ------
    InputError
        If they are fewer than lie on the sole.
    ConvergenceError
        If they have no balance.
    """
    fabric = stitch_fabric(piece, stitch_width=making.stitch_width, row_height=making.row_height, lean=lean)
    supports, searching = Supports(), tolerance > TOLERANCE

    def places(ring: int, share: float) -> Floats:
        corner = fabric.corners[ring]
        first = 0.5 - (corner[0] + corner[1]) / 2 + float(fabric.moved[ring])
        return wanted.perimeter_places(len(fabric.rings[ring]), height_share=share, first=first)

    if making.sole:
        flat = sole_rounds(making)
        if len(piece.rounds) <= flat:
            rule = f"a part has rounds beyond the {flat} that lie on its stiff sole"
            raise InputError(Problem(rule, got=f"{len(piece.rounds)} rounds"))
        supports = replace(supports, sole=flat, sole_edge=places(flat, making.sole / wanted.meridian))
    if piece.finish is Finish.OPEN and making.held:
        supports = replace(supports, finish=places(len(fabric.rings) - 1, 1.0))
    return stitch_form(
        fabric,
        pressure=making.pressure,
        guess=carried(near, fabric) if near else None,
        supports=supports,
        tolerance=tolerance,
        wale_stiffness=making.stiffness_ratio,
        most_steps=SEARCH_STEPS if searching else MAX_STEPS,
        rough=ROUGHLY if searching else 0.0,
        patient=patient and not searching,
    )


def misses(form: StitchForm | StuffedForm, wanted: Stadium) -> Floats:
    """Return a form's length, width, height, width at mid-length less the wanted, and its fullness. [mm]

    The fullness is how far the ends lie outside the wanted surface on average: thin where it is negative.
    A part of the right sizes may have its stitches in its sides or in its ends; this tells them apart.

    Returns
    -------
    (5,) float
    """
    sizes = np.array([form.length, form.width, form.height, middle_sizes(form)[0]])
    points = placed(form.points, wanted)
    along = np.abs(points[:, 0])
    ends = along >= min(wanted.straight / 2, END_AT_LEAST * along.max())
    full = float(wanted.distance(points[ends]).mean())
    return np.append(sizes - [wanted.length, wanted.width, wanted.height, wanted.width], full)


def rms_distance(form: StitchForm | StuffedForm, wanted: Stadium) -> float:
    """Return the root mean square distance of a form's stitches from its wanted surface. [mm]"""
    return float(np.sqrt(np.mean(wanted.distance(placed(form.points, wanted)) ** 2)))


def middle_sizes(form: StitchForm | StuffedForm) -> tuple[float, float]:
    """Return the greatest width and height of a form's section at mid-length. [mm]"""
    middle = (form.points[:, 0].max() + form.points[:, 0].min()) / 2
    near = np.abs(form.points[:, 0] - middle) <= MIDDLE * form.fabric.stitch_width
    return float(np.ptp(form.points[near, 1])), float(np.ptp(form.points[near, 2]))


def waist(form: StitchForm | StuffedForm) -> float:
    """Return the width at mid-length over the greatest width: below 1 the part has a waist."""
    return middle_sizes(form)[0] / form.width
