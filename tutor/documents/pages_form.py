"""What stands on a page: one model, which text, HTML and PDF lay out each its way.

Sheets, keys, class reports and a learner's progress are all made of it.  All words are in it, so
that the three say the same; none of it is markup.  A sheet's pages are made of a ``Sheet`` alone,
so that nothing of the key is at hand.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from operator import is_not
from typing import Any, TypeVar, cast

from ...problems.sheets.printing import PageFont
from ...problems.solutions.step import Equation
from ..language.apostrophes import curled
from .pages_pictures import PagePicture

_NAMES = re.compile(r"(?<![\w.])(?P<letter>[RLC])(?P<index>[0-9]{1,2}|[a-z]|L)(?!\w)")


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text; with ``names``, words such as R1 in it name elements.

    ``tone`` is "" for the text itself, "caution" for what to beware of, "small" for what is
    beside the matter, such as a source.
    """

    text: str
    names: bool = False
    tone: str = ""

    @property
    def pieces(self) -> Iterator[str | tuple[str, str]]:
        """The text in pieces: names of elements as (letter, index), all else as it is."""
        if not self.names:
            yield self.text
            return
        end = 0
        for match in _NAMES.finditer(self.text):
            if match.start() > end:
                yield self.text[end : match.start()]
            yield match["letter"], match["index"]
            end = match.end()
        if end < len(self.text):
            yield self.text[end:]


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines that stand as they are: worked numbers, sketches in words; ``ours`` or a teacher's.

    ``typeset`` are the same with equations, where there are any.
    """

    lines: tuple[str, ...]
    ours: bool = False
    typeset: tuple[str | Equation, ...] = ()


Prose = Paragraph | Lines | Equation


@dataclass(frozen=True, slots=True)
class PageFigure:
    """A picture and the words under it."""

    picture: PagePicture
    caption: str = ""


@dataclass(frozen=True, slots=True)
class Option:
    """One choice.  A circuit to choose has its drawing as well; ``remark`` is the key's."""

    letter: str
    body: Paragraph | Equation
    picture: PagePicture | None = None
    remark: str = ""
    right: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    """A line for the answer: the unit after it, and lines of room for working above."""

    unit: str = ""
    room: int = 0


@dataclass(frozen=True, slots=True)
class SlipRow:
    """A slip that is looked for, and the answers it leads to."""

    name: str
    answers: tuple[str | Equation, ...]


@dataclass(frozen=True, slots=True)
class KeyVerdict:
    """What a key says of a question; ``right`` is empty where an option is marked."""

    right: tuple[str | Equation, ...]
    counts: tuple[str, ...]
    slips: tuple[SlipRow, ...]
    how: tuple[Prose, ...]
    figure: PageFigure | None = None


@dataclass(frozen=True, slots=True)
class PageQuestion:
    """A question.  ``columns`` is how many of its options stand side by side on paper.

    ``about`` is what it is asked about and stands before it, ``figure`` the paper to answer on.
    """

    number: str
    title: str
    points: str
    prose: tuple[Prose, ...]
    options: tuple[Option, ...] = ()
    columns: int = 1
    answer: Answer | None = None
    figure: PageFigure | None = None
    note: tuple[Prose, ...] = ()
    judged: KeyVerdict | None = None
    about: PageFigure | None = None


@dataclass(frozen=True, slots=True)
class SolutionStep:
    """One step of a worked solution."""

    title: Paragraph
    say: tuple[Prose, ...]
    equations: tuple[Equation, ...]
    display: tuple[str, ...]
    """The equations drawn in characters."""
    why: Paragraph
    figures: tuple[PageFigure, ...] = ()


@dataclass(frozen=True, slots=True)
class Exercise:
    """A problem; ``steps`` is empty on a sheet."""

    number: int
    title: str
    points: str
    figure: PageFigure | None
    asks: tuple[PageQuestion, ...]
    solution: str = ""
    steps: tuple[SolutionStep, ...] = ()


@dataclass(frozen=True, slots=True)
class SmallCircuits:
    """Problems that share pages: ``across`` beside each other, each question a row of boxes.

    Titles and options of their questions are short, but where there is one column alone.
    """

    across: int
    exercises: tuple[Exercise, ...]


@dataclass(frozen=True, slots=True)
class Cell:
    """A figure or a text in a table.

    ``small`` explains it in smaller print; ``exact`` is the value or the day that the text
    rounds or shortens; ``mark`` names the state whose mark stands before it; ``picture`` is
    drawn in its place.
    """

    text: str
    small: str = ""
    exact: float | date | None = None
    mark: str = ""
    picture: PagePicture | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under a head, the first cell naming its row; a list of pairs has no head.

    ``caption`` says what it is to those who do not see it, ``numeric`` which columns hold
    numbers, ``wide`` which take the room that is left.  ``name`` and ``row_names`` are for
    programs that look for it; a ``hidden`` one says again what a drawing shows, a ``dense`` one is
    set small.
    """

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str | Cell, ...], ...]
    numeric: tuple[bool, ...]
    wide: tuple[int, ...] = (0,)
    name: str = ""
    row_names: tuple[str, ...] = ()
    hidden: bool = False
    dense: bool = False

    @property
    def cells(self) -> Iterator[tuple[Cell, ...]]:
        """The rows, every one of cells."""
        for row in self.rows:
            yield tuple(Cell(one) if isinstance(one, str) else one for one in row)


@dataclass(frozen=True, slots=True)
class KeyFigures:
    """The few figures that matter most, each with what it counts."""

    rows: tuple[tuple[Cell, str], ...]


@dataclass(frozen=True, slots=True)
class PageBeside:
    """A drawing and what is said beside it, under a title of their own; they stay together."""

    title: str
    figure: PageFigure | None
    said: tuple[Prose | Table, ...]


Block = Prose | PageFigure | Table | KeyFigures | Exercise | SmallCircuits | PageBeside


@dataclass(frozen=True, slots=True)
class Division:
    """A section; a ``half`` one may stand beside another such, a ``fresh`` one begins a page."""

    title: str
    blocks: tuple[Block, ...]
    half: bool = False
    fresh: bool = False


class PageKind(StrEnum):
    """What a page is for: it decides about the style, never about what is said."""

    SHEET = "sheet"
    KEY = "key"
    RETURNED = "returned"
    REPORT = "report"
    PROGRESS = "progress"


@dataclass(frozen=True, slots=True)
class Whose:
    """The student of a sheet or a key, and the points that can be had.

    ``number`` tells one sheet from another where there is no name.  ``reached`` are the points
    that were, where that is known.
    """

    name: str
    id: str
    number: str
    points: str
    reached: str = ""
    variant: str = ""
    group: str = ""

    @property
    def rows(self) -> tuple[tuple[str, str], ...]:
        """(key of the words, what is to be said), from the name on; "" of what there is none."""
        keys = ("name", "id", "group", "variant", "number")
        return tuple((key, getattr(self, key)) for key in keys)


@dataclass(frozen=True, slots=True)
class Page:
    """A whole document.

    ``under`` stands under the title, ``foot`` at the foot of each printed page; ``opening`` and
    ``note`` come before the first division.  A ``large`` one has letters of 18 points, a
    ``wide`` one lies on its side.  Apostrophes and quotes of all texts are as they are printed,
    but for what is ``Typed``.
    """

    kind: PageKind
    language: str
    title: str
    under: tuple[str, ...]
    foot: str
    opening: tuple[Block, ...]
    divisions: tuple[Division, ...]
    note: str = ""
    whose: Whose | None = None
    large: bool = False
    wide: bool = False
    font: PageFont = PageFont.SERIF

    def __post_init__(self) -> None:
        for name in self.__slots__:
            object.__setattr__(self, name, _printed(getattr(self, name)))

    @property
    def key(self) -> bool:
        """Whether it is a teacher's key."""
        return self.kind is PageKind.KEY

    @property
    def nameless(self) -> bool:
        """Whether whoever is given it has to write their name on it."""
        whose = self.whose
        given_out = self.kind is PageKind.SHEET
        return whose is not None and given_out and not (whose.name or whose.id)


_WITH_TEXTS = frozenset(
    {
        Paragraph, PageFigure, Option, SlipRow, KeyVerdict, PageQuestion, SolutionStep, Exercise,
        SmallCircuits, Cell, Table, KeyFigures, PageBeside, Division,
    }
)  # fmt: skip
"""What is looked through; lines stand as they are, as do formulas, pictures and names."""

_T = TypeVar("_T")


def _printed(thing: _T) -> _T:
    """Part of a page with its texts as they are printed; itself where nothing changes."""
    found: Any = thing
    if isinstance(thing, str):
        found = curled(thing)
    elif isinstance(thing, tuple):
        parts = [_printed(one) for one in thing]
        if any(map(is_not, parts, thing)):
            found = tuple(parts)
    elif type(thing) in _WITH_TEXTS:
        for name in type(thing).__slots__:  # type: ignore[attr-defined]
            part = getattr(thing, name)
            if (new := _printed(part)) is not part:
                found = replace(found, **{name: new})
    return cast(_T, found)
