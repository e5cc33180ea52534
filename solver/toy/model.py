"""A toy that is wanted: its parts, what sits on what and where, how they are joined, eyes and noses."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

from solver.wanted.own_lines import OwnLines

if TYPE_CHECKING:
    from solver.wanted.part import AnyPart


class Join(StrEnum):
    """How a part is joined to the one that it sits on."""

    SEWN = "sewn"
    """Its open edge on the other's surface."""
    FLAT = "flat"
    """Its open edge folded flat and sewn along a line."""
    PRESSED = "pressed"
    """A closed part, or a flat piece, laid on and sewn down all round."""
    WORKED = "worked in"
    """Its edge folded flat and worked into a round of the other, with no sewing."""
    JOINED = "joined"
    """Two limbs that the other is worked on from, round both: legs."""


class Front(StrEnum):
    """What of an oval part looks to the front."""

    SIDE = "side"
    END = "end"


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place on a part: its top, a height and a turn, or a round and a stitch.

    Attributes
    ----------
    height : float or None
        Above the part's lowest place, its joined end down. [mm]
    turn : float
        Round the part from the middle of its front, to the toy's own left. [degrees]
    round, stitch : int or None
        Numbers from 1: the place is the middle of this stitch.
    """

    height: float | None = None
    turn: float = 0.0
    round: int | None = None
    stitch: int | None = None

    @property
    def is_top(self) -> bool:
        """Whether it is the top: the end that looks away from where the part is joined."""
        return self.height is None and self.round is None


TOP = Spot()


@dataclass(frozen=True, slots=True, kw_only=True)
class Eyes:
    """An eye or a nose, or two alike, fixed before the part is closed.

    Attributes
    ----------
    what : str
        "eye" or "nose".
    diameter : float
        Of one. [mm]
    at : Spot
    twins : bool
        Two, left and right.
    where : str
        Where the file tells of it, for messages.
    """

    what: str
    diameter: float
    at: Spot
    twins: bool
    where: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ToyPart:
    """A part of a toy, and where it sits.

    Attributes
    ----------
    name : str
        Its table in the toy file.
    part : AnyPart
    on : str
        Name of the part that it sits on; empty for the first, which stands on the ground.
    at : Spot
    join : Join
    twins : bool
        Two of it, left and right, mirrored.
    make : int
        How many sit evenly round, from `at` on; 2 for twins.
    lean : float
        Its axis against the surface's outward direction, downward. [degrees]
    spin : float
        About its own axis, counter-clockwise seen from its far end. [degrees]
    front : Front
        Of an oval part.
    chain : int or None
        Chains between two joined limbs; None: as many as the body's outline asks for.
    edge : str
        "start" or "finish": the end that is joined, or stands on the ground; of a joined limb the far one.
    eyes : tuple of Eyes
    where : str
        Where the file tells of its place, for messages.
    """

    name: str
    part: AnyPart
    on: str
    at: Spot
    join: Join
    twins: bool
    make: int
    lean: float
    spin: float
    front: Front
    edge: str
    eyes: tuple[Eyes, ...]
    where: str
    chain: int | None = None

    @property
    def spoken(self) -> str:
        """Its name in a sentence."""
        return self.name.replace("_", " ").replace("-", " ")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Toy:
    """A toy.

    Attributes
    ----------
    title : str
    parts : tuple of ToyPart
        In the order of the file; the first stands on the ground, each other sits on an earlier or later one.
    lean : float or None
        Stitches by which the beginning of the round moves on with every round; None: not measured.
    file : str
        For messages.
    own_lines : OwnLines
        What its designer has to say on sheets.
    drawing : Path or None
        The drawing that it was read off.
    drawn_height : float or None
        How high the drawing is taken to be; None: as it says itself. [mm]
    """

    title: str
    parts: tuple[ToyPart, ...]
    lean: float | None
    file: str
    own_lines: OwnLines = field(default_factory=OwnLines)
    drawing: Path | None = None
    drawn_height: float | None = None

    def part(self, name: str) -> ToyPart:
        """Return the part of a name."""
        return next(each for each in self.parts if each.name == name)

    @property
    def limbs(self) -> ToyPart | None:
        """The two limbs that the first part is worked on from."""
        return next((each for each in self.parts if each.join is Join.JOINED and each.on), None)

    @property
    def as_worked(self) -> tuple[ToyPart, ...]:
        """The parts in the order of work: as `in_order`, limbs before the body worked on from them."""
        limbs = self.limbs
        rest = tuple(each for each in self.in_order if each is not limbs)
        return (limbs, *rest) if limbs else rest

    @property
    def in_order(self) -> tuple[ToyPart, ...]:
        """The parts, each after the one that it sits on."""
        done: list[ToyPart] = [self.parts[0]]
        while len(done) < len(self.parts):
            names = {each.name for each in done}
            done += [each for each in self.parts if each.on in names and each.name not in names]
        return tuple(done)
