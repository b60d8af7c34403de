"""How the sheets of a plan are printed.

They are values alone, so that plans and sheets can hold them; a plan's table ``[print]`` is read
by ``printing_table.py``.  The defaults are a sheet as it always was.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ..questions.model import Rung


class PageFont(StrEnum):
    """What the text of a sheet is set in."""

    SERIF = "serif"
    SANS = "sans"  # plain letters, with wide space between letters, words and lines


@dataclass(frozen=True, slots=True)
class Working:
    """Lines of room for working: for ``kinds`` of question, and for ``each`` other one.

    ``None`` leaves it to the question's form, as where nothing is said.
    """

    each: int | None = None
    kinds: tuple[tuple[Rung, int], ...] = ()

    def of(self, rung: Rung, usual: int) -> int:
        """The lines for a question of the kind ``rung``, the ``usual`` where nothing is said."""
        each = usual if self.each is None else self.each
        return dict(self.kinds).get(rung, each)


@dataclass(frozen=True, slots=True)
class PrintOptions:
    """How sheets are printed.

    Attributes:
        large: letters of 18 points, and drawings in proportion.
        font: what the text is set in.
        working: lines of room for working.
        answer_files: whether there are answer files, and sheets speak of them.
        together: whether all sheets of a group are one more file, to be printed at once.
        cover: whether that file begins with a page that says whose sheets are in it.
        duplex: whether each sheet begins on the front of a leaf there.
    """

    large: bool = False
    font: PageFont = PageFont.SERIF
    working: Working = Working()
    answer_files: bool = True
    together: bool = False
    cover: bool = True
    duplex: bool = True


AS_EVER = PrintOptions()
"""How sheets of a plan are printed that says nothing of it."""
