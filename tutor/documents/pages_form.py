"""What stands on a sheet or in a key: one model, which text, HTML and PDF lay out each its way.

All words are in it, so that the three say the same; none of it is markup.  A sheet's pages are
made of a ``Sheet`` alone, so that nothing of the key is at hand.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from ...problems.solutions.step import Equation
from .pages_lines import equations
from .pages_pictures import PagePicture

__all__ = [
    "Answer",
    "Division",
    "Equation",
    "Exercise",
    "KeyVerdict",
    "Lines",
    "Option",
    "Page",
    "PageFigure",
    "PageQuestion",
    "Paragraph",
    "Prose",
    "SlipRow",
    "SolutionStep",
]


_NAMES = re.compile(r"(?<![\w.])(?P<letter>[RLC])(?P<index>[0-9]{1,2}|[a-z]|L)(?!\w)")


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text; with ``names``, words such as R1 in it name elements."""

    text: str
    names: bool = False

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
    """Lines that stand as they are: worked numbers, sketches in words; ``ours`` or a teacher's."""

    lines: tuple[str, ...]
    ours: bool = False

    @property
    def typeset(self) -> Iterator[str | Equation]:
        """The lines, with those of worked numbers as equations."""
        for line in self.lines:
            found = equations(line) if self.ours else None
            if found is None:
                yield line
            else:
                yield from found


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
    """A question.  ``columns`` is how many of its options stand side by side on paper."""

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
class Division:
    """A section."""

    title: str
    instructions: tuple[Prose, ...]
    exercises: tuple[Exercise, ...]


@dataclass(frozen=True, slots=True)
class Page:
    """A whole sheet, or a whole key.

    ``who`` tells one sheet from another where there is no name: it is the student's number.
    """

    key: bool
    language: str
    title: str
    course: str
    date: str
    name: str
    id: str
    who: str
    points: str
    instructions: tuple[Prose, ...]
    note: str
    divisions: tuple[Division, ...]

    @property
    def nameless(self) -> bool:
        """Whether whoever is given the sheet has to write their name on it."""
        return not (self.key or self.name or self.id)
