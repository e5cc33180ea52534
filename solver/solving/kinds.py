"""What a kind of part can do, and the one place that tells which kind a part is."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING, Any, Protocol

if TYPE_CHECKING:
    from solver.arrays import Floats
    from solver.form.stuffed import StuffedForm
    from solver.form.views import View
    from solver.rounds import Piece
    from solver.search.oval_limits import Limit
    from solver.solving.sizes import Sizes
    from solver.solving.solved import Solved
    from solver.wanted.part import AnyPart
    from solver.wanted.silhouette import Deviation

_MODULES = {
    "round": "round",
    "oval": "oval",
    "flat oval": "flat",
    "bent": "bent",
    "rows": "rows",
    "folded": "folded",
}
"""The module of `solver.solving` that each kind of part is at home in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plainness:
    """What plain rounds save, and what they cost, against the exact ones.

    Attributes
    ----------
    words, exact_words : int
        Stitch words to read in the plain rounds, and in the exact ones.
    exact_rms : float
        Distance of the exact ones from the drawing. [mm]
    """

    words: int
    exact_words: int
    exact_rms: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Found:
    """Rounds found for a part, and their form.

    Attributes
    ----------
    piece : Piece
    form : StuffedForm
    last : str
        Stitches of the last round of a flat piece; "" for single crochet as everywhere.
    tried : int
        Sets of rounds that were tried.
    plainness : Plainness or None
        For plain rounds.
    notes : tuple of str
        What there is to say of the search.
    """

    piece: Piece
    form: StuffedForm
    last: str = ""
    tried: int = 0
    plainness: Plainness | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Lie:
    """How a form lies over the wanted one.

    Attributes
    ----------
    points : (n, 3) float
        Its nodes about the middle of the wanted surface. [mm]
    rms, greatest : float
        Distance from it. [mm]
    outline : Deviation or None
        The same told by the outline, for a form that is alike all round.
    views : dict of str to View
        For one that is not: outlines from the front, the side and above ("plan").
    centres : (k, 2) float or None
        Of a part that bends, the middle of each round, [forward, height]; forward is where it bends first.
        [mm]
    end_tilt : float or None
        Of its last round against the first, forward above zero. [degrees]
    off_middle : float or None
        Of its middle line from the drawn one, root mean square. [mm]
    girths : (k,) float or None
        Of its rounds. [mm]
    front : tuple of two float or None
        Which way `points` look, x and y, where the form's own rounds don't tell.
    """

    points: Floats
    rms: float
    greatest: float
    outline: Deviation | None
    views: Mapping[str, View]
    centres: Floats | None = None
    end_tilt: float | None = None
    off_middle: float | None = None
    girths: Floats | None = None
    front: tuple[float, float] | None = None


class Kind(Protocol):
    """A kind of part. `part` is always one of this kind."""

    measures: tuple[str, ...]
    """Sizes that can be asked for, the first of them what `--table` takes."""
    name: str
    """As a message says it: "a round part"."""
    gives_way: bool
    """Whether counts can give way for a size (`found` heeds `aim`)."""

    def limits(self, part: Any) -> tuple[Limit, ...]:
        """Return what stuffing can't hold of a part, known before anything is solved."""

    def found(self, part: Any, *, aim: Any = None, progress: Callable[[float], None] | None = None) -> Found:
        """Return the rounds that come nearest to a part."""

    def formed(
        self, part: Any, piece: Piece, *, near: Solved | None = None, last: str = "", close: bool = False
    ) -> StuffedForm:
        """Return what rounds become as this part: at its gauge, with its stuffing, held as it says.

        Parameters
        ----------
        part, piece
        near : Solved, optional
            The same rounds, solved for this part at another gauge, scale or stuffing: what to start from, and
            what holds it.
        last : str
            Stitches of the last round of a flat piece; see `Found`.
        close : bool
            In balance so closely that small differences can be told.
        """

    def plain_rule(self, part: Any) -> tuple[float, float] | None:
        """Return how far the plain rule "girth over stitch width at each row" comes out; None: no balance.

        Root mean square and greatest distance from the drawing. [mm]
        """

    def step(self, part: Any, measure: str) -> tuple[float, str]:
        """Return by how much one stitch or round more moves a size, and why it moves so, as a clause."""

    def free(self, part: Any) -> Any:
        """Return the part with what belongs to its size alone left to the solver, and a note of it."""

    def wanted(self, part: Any) -> Sizes:
        """Return the outside sizes that a part is drawn with."""

    def got(self, part: Any, form: StuffedForm) -> Sizes:
        """Return the outside sizes of a form of this part."""

    def lie(self, part: Any, form: StuffedForm) -> Lie:
        """Return how a form lies over the part's drawing."""

    def misfit(self, part: Any, form: StuffedForm, last: str) -> float:
        """Return the rounds that the drawing has beyond the whole number."""

    def scale_to_fit(self, part: Any, form: StuffedForm, last: str) -> float:
        """Return how much larger the drawing would be that wants a whole number of rounds."""

    def drawing(self, part: Any) -> Floats:
        """Return the drawn half outline, [radius, height] of its points. [mm]"""

    def whole(self, part: Any) -> Floats:
        """Return the whole drawn outline, as a part is seen first: front, side or above. [mm]"""

    def notes(self, solved: Any, *, tried: int = 0) -> Iterator[str]:
        """Yield what there is to say of a solved part; `tried` sets of rounds if it was chosen of them."""


def kind_of(part: AnyPart) -> Kind:
    """Return the kind that a part is of: all that differs from kind to kind."""
    kind: Kind = import_module(f"solver.solving.{_MODULES[part.kind]}").KIND
    return kind
