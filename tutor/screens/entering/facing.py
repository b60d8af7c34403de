"""What faces a teacher beside the grid: the question, what is right, and what slips lead to."""

from __future__ import annotations

from collections.abc import Iterator

from textual.content import Content
from textual.widget import Widget

from ....problems.circuits.write import write_circuit
from ....problems.questions.model import Face
from ...classroom.entering.grid import CellRead, EntryGrid, PaperSheet
from ...classroom.entering.recognised import PaperQuestion
from ...documents.pages import points_number, shortened
from ...files.names import sheet_name
from ...language.texts import Words, speaker
from ...language.wrap import fold
from .cells import SIGNS

say = speaker("entering")
_LONGEST = 400
"""Characters of a right answer that are shown: a formula can be long."""
_LOW = 10
"""Rows below which a question and its circuit have one each."""
_PROMPT = 3
_BESIDE = 38
"""Columns of a slip that stands beside another."""


class CellFacing(Widget):
    """The question of the present cell, its right answer and its slips."""

    ALLOW_SELECT = False

    def __init__(self) -> None:
        super().__init__()
        self._grid: EntryGrid | None = None

    def show(self, grid: EntryGrid) -> None:
        """Show the present cell of a ``grid``."""
        self._grid = grid
        self.refresh()

    def render(self) -> Content:
        """As many lines as fit, those that matter most first."""
        grid = self._grid
        if grid is None or self.size.height < 2:
            return Content()
        width, height = max(20, self.size.width), self.size.height
        lines = list(_lines(grid, grid.sheet, grid.asked, width, height))
        return Content("\n").join(lines[:height])


def _lines(
    grid: EntryGrid, sheet: PaperSheet, asked: PaperQuestion | None, width: int, height: int
) -> Iterator[Content]:
    whose = f"{sheet_name(sheet.number)} {sheet.known_as}"
    if asked is None:
        yield Content.assemble((whose, "bold $ink-copper"))
        yield Content(say("cell.not-asked"))
        return
    words = Words.load()
    head = say("cell.question", number=asked.number, title=words.title(asked.question.rung))
    points = (
        say("cell.point") if asked.of == 1 else say("cell.points", points=points_number(asked.of))
    )
    yield Content.assemble(
        (f"{whose}  ", "bold"), (head, "bold $ink-copper"), (f"  {points}", "$ink-quiet")
    )
    if (there := grid.told(grid.row, grid.column)) is not None and there.state.value != "open":
        yield entered_line(there)
    yield from _short(words.prompt(asked.question), width, _PROMPT if height > _LOW else 1)
    if asked.problem.face is not Face.NONE:  # else it is on no sheet
        circuit = write_circuit(asked.problem.ladder).replace("\n", "; ")
        yield from _short(f"{say('cell.circuit')} {circuit}", width, 2 if height > _LOW else 1)
    if asked.choices:
        yield from _choices(asked, width)
        return
    right = asked.right if len(asked.right) <= _LONGEST else f"{asked.right[:_LONGEST]}…"
    yield from _labelled(say("cell.right"), right, width, "bold $ink-verdigris")
    yield from _slips(asked, width, 1 if height > _LOW or width < 2 * _BESIDE else 2)


def _short(text: str, width: int, rows: int) -> Iterator[Content]:
    """A text in so many rows at most."""
    lines = fold(text, width)
    for place, line in enumerate(lines[:rows]):
        cut = place == rows - 1 and len(lines) > rows
        yield Content.styled(f"{line[: width - 1].rstrip()}…" if cut else line, "$ink-quiet")


def _slips(asked: PaperQuestion, width: int, across: int) -> Iterator[Content]:
    """The slips, in so many columns, each with what is typed for it and its names."""
    each = width // across
    wide = min(each // 2, max((len(slip.typed) for slip in asked.slips), default=0))
    room = each - wide - 6
    shown = [
        Content.assemble(
            (f" ;{number} ", "bold $ink-copper"),
            (f"{shortened(slip.typed, wide).ljust(wide)}  ", "$foreground"),
            (shortened("; ".join(slip.names), room - 2).ljust(room), "$ink-quiet"),
        )
        for number, slip in enumerate(asked.slips, 1)
    ]
    rows = -(-len(shown) // across)
    for row in range(rows):
        yield Content("").join(shown[row::rows])


def _choices(asked: PaperQuestion, width: int) -> Iterator[Content]:
    """A choice a line: its letter, its words, and the slips that lead to it."""
    for choice in asked.choices:
        sign = "✓" if choice.right else " "
        style = "bold $ink-verdigris" if choice.right else "$foreground"
        names = f"  {'; '.join(choice.names)}" if choice.names else ""
        text = shortened(choice.words, width - 6)
        yield Content.assemble(
            (f" {choice.letter} ", "bold $ink-copper"),
            (f"{sign} {text}", style),
            (shortened(names, max(1, width - 6 - len(text))), "$ink-quiet"),
        )


def _labelled(label: str, text: str, width: int, style: str) -> Iterator[Content]:
    first, *rest = fold(text, max(10, width - len(label) - 2)) or [""]
    yield Content.assemble((f"{label} ", "$ink-quiet"), (first, style))
    for line in rest:
        yield Content.assemble((" " * (len(label) + 1), ""), (line, style))


def entered_line(read: CellRead) -> Content:
    """What stands in a cell, as it was ``read``, in one line."""
    sign, style = SIGNS[read.state]
    state = say(f"state.{read.state.value}")
    parts = [(say("cell.there", text=read.text or "–"), "$ink-quiet"), (f"  {sign} {state}", style)]
    if read.slips:
        parts.append((f": {'; '.join(read.slips)}", "$ink-quiet"))
    return Content.assemble(*parts)
