"""The table of a part file that tells a designer's own lines."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import Field, StringConstraints

from solver.files.inputs import note_input
from solver.partfile.belongings import Weight
from solver.partfile.tables import PRINTED, Table
from solver.wanted.own_lines import OwnLines

MOST = 1000
"""Letters of a line."""

_Line = Annotated[str, StringConstraints(strip_whitespace=True, max_length=MOST, pattern=PRINTED)]
_TOLD = f"a line of text in quotes, at most {MOST} characters"


class SheetTable(Table):
    """A designer's own lines on her sheets."""

    by: _Line = Field("", description=_TOLD)
    shop_line: _Line = Field("", description=_TOLD)
    licence: _Line = Field("", description=_TOLD)
    thanks: _Line = Field("", description=_TOLD)
    skill: _Line = Field("", description=_TOLD)
    hook: _Line = Field("", description=_TOLD)
    yarn: _Line = Field("", description=_TOLD)
    ball: Weight | None = Field(None, description='the yarn in a ball: a number of grams, or "50 g"')
    photo: _Line = Field("", description="the name of a picture file (.png, .jpg) beside the part file")
    template: _Line = Field("", description="the name of a template (.typ) beside the part file")

    def lines(self, folder: Path) -> OwnLines:
        """Return the lines; the files that they name, in a folder, are kept from being written over."""
        for name in (self.photo, self.template):
            if name:
                note_input(folder / name)
        told = self.model_dump()
        return OwnLines(**{**told, "ball": self.ball or 0.0})
