"""What a designer has to say on her own sheets."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnLines:
    """The designer's own lines; empty where she has none.

    Attributes
    ----------
    by : str
        Who made the pattern.
    shop_line, licence, thanks : str
        Lines of her own, at the end.
    skill : str
        What is asked of the maker.
    hook, yarn : str
        As she names them.
    ball : float
        Yarn in a ball; 0 where it is not told. [g]
    photo : str
        A picture file, beside the part file.
    template : str
        A template of her own for the printed sheet, beside the part file.
    """

    by: str = ""
    shop_line: str = ""
    licence: str = ""
    thanks: str = ""
    skill: str = ""
    hook: str = ""
    yarn: str = ""
    ball: float = 0.0
    photo: str = ""
    template: str = ""
