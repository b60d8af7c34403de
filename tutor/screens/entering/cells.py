"""The cells of a class: students down, questions across, as much of it as there is room for."""

from __future__ import annotations

from textual import events
from textual.content import Content
from textual.message import Message
from textual.widget import Widget

from ....problems.questions.model import Form
from ...classroom.entering.grid import CellRead, CellState, EntryGrid, PaperSheet
from ...documents.pages import shortened
from ...files.names import sheet_name
from ...language.texts import Words, speaker, table

say = speaker("entering")
SIGNS = {
    CellState.OPEN: ("·", "$ink-quiet"),
    CellState.BLANK: ("–", "$ink-quiet"),
    CellState.RIGHT: ("✓", "$ink-verdigris"),
    CellState.ROUGH: ("≈", "$ink-brass"),
    CellState.WRONG: ("✗", "$ink-rust"),
    CellState.UNCLEAR: ("?", "$ink-brass"),
    CellState.POINTS: ("=", "$ink-copper"),
}
"""The sign before what a cell says, and its colour; nothing is told by colour alone."""
_HEAD = 2
"""Rows of the head: the questions' numbers, and what they ask."""
_NAME, _WIDE_NAME, _NUMBER = 16, 26, 5
_BOXES = 7
_WIDTHS = {Form.COUNT: 7, Form.SLOPE: 10, Form.ANGLE: 8, Form.LEVEL: 10, Form.SKETCH: 12}
_FIGURE = 12
_MARGIN = 2
"""Rows kept in sight beyond the one being entered."""


class EntryCells(Widget):
    """The grid; the cell being entered, its row and its column stand out."""

    ALLOW_SELECT = False

    class Picked(Message):
        """A cell was clicked."""

        def __init__(self, row: int, column: int) -> None:
            super().__init__()
            self.row, self.column = row, column

    def __init__(self) -> None:
        super().__init__()
        self._grid: EntryGrid | None = None
        self._top = self._left = 0
        self._sized: tuple[int, int] = (0, 0)
        self._widths: list[int] = []

    def show(self, grid: EntryGrid) -> None:
        """Show the class of a ``grid`` as it stands."""
        if grid is not self._grid:
            self._grid = grid
            self._widths = [_width(grid, number) for number in grid.columns]
        self.refresh()

    def render(self) -> Content:
        """Two rows of heads, then a row a student."""
        grid = self._grid
        if grid is None or self.size.height <= _HEAD or self.size.width < 30:
            return Content()
        self._follow(grid)
        columns = self._columns()
        lines = [*self._heads(grid, columns)]
        lines += [
            self._row(grid, row, columns)
            for row in range(self._top, min(len(grid.rows), self._top + self._room))
        ]
        return Content("\n").join(lines)

    @property
    def _room(self) -> int:
        return max(1, self.size.height - _HEAD)

    @property
    def _names(self) -> int:
        return _WIDE_NAME if self.size.width >= 110 else _NAME

    def _follow(self, grid: EntryGrid) -> None:
        """Keep the present cell in sight; a window of another size begins at the first cell."""
        if self._sized != tuple(self.size):
            self._sized = self.size.width, self.size.height
            self._top = self._left = 0
        room = self._room
        margin = min(_MARGIN, (room - 1) // 2)
        last = max(0, len(grid.rows) - room)
        self._top = max(min(self._top, grid.row - margin), grid.row - room + 1 + margin)
        self._top = min(max(self._top, 0), last)
        self._left = min(self._left, grid.column)
        seen = min(grid.column + 1, len(grid.columns) - 1)  # and what comes next
        while self._left < grid.column and seen not in self._columns():
            self._left += 1

    def _columns(self) -> range:
        """The columns in sight."""
        room = self.size.width - _NUMBER - self._names
        end = self._left
        while end < len(self._widths) and (room := room - self._widths[end]) >= 0:
            end += 1
        return range(self._left, max(end, self._left + 1))

    def _heads(self, grid: EntryGrid, columns: range) -> tuple[Content, Content]:
        left = _NUMBER + self._names
        rows = grid.rows
        first, last = self._top + 1, min(len(rows), self._top + self._room)
        about = say("grid.rows", first=first, last=last, count=len(rows))
        if len(rows) <= self._room:
            about = ""
        numbers = [(f" {about}"[:left].ljust(left), "$ink-quiet")]
        titles = [(f" {say('grid.student')}"[:left].ljust(left), "$ink-quiet")]
        for place in columns:
            here = place == grid.column
            width = self._widths[place]
            style = "bold $ink-copper" if here else "bold"
            numbers.append((grid.columns[place][: width - 1].ljust(width), style))
            style = "$ink-copper" if here else "$ink-quiet"
            titles.append((_title(grid, place)[: width - 1].ljust(width), style))
        return Content.assemble(*numbers), Content.assemble(*titles)

    def _row(self, grid: EntryGrid, row: int, columns: range) -> Content:
        sheet, here = grid.rows[row], row == grid.row
        style = "bold $ink-copper" if here else "$foreground"
        number = sheet_name(sheet.number)[: _NUMBER - 1].rjust(_NUMBER - 1)
        name = shortened(sheet.known_as, self._names - 1)
        parts = [(f"{number} {name.ljust(self._names)}"[: _NUMBER + self._names], style)]
        for place in columns:
            text, look = _cell(grid.told(row, place), self._widths[place] - 1)
            if here and place == grid.column:
                look = f"bold {look} $picked-look"
            parts += [(text, look), (" ", "")]
        return Content.assemble(*parts)

    def on_click(self, event: events.Click) -> None:
        """Go to the cell that was clicked."""
        row = self._top + event.y - _HEAD
        x = event.x - _NUMBER - self._names
        if self._grid is None or event.y < _HEAD or not row < len(self._grid.rows):
            return
        for place in self._columns():
            if 0 <= x < self._widths[place]:
                self.post_message(self.Picked(row, place))
            x -= self._widths[place]


def _width(grid: EntryGrid, number: str) -> int:
    """Columns of a question: as its answers are long, in the first sheet that asks it."""
    asked = _first(grid, number).questions[number]
    return _BOXES if asked.choices else _WIDTHS.get(asked.question.form, _FIGURE)


def _title(grid: EntryGrid, place: int) -> str:
    number = grid.columns[place]
    asked = grid.sheet.questions.get(number) or _first(grid, number).questions[number]
    rung = asked.question.rung
    short = table("sheet")["inspect"]["label"].get(rung.value, "") if asked.choices else ""
    return short or Words.load().title(rung)


def _first(grid: EntryGrid, number: str) -> PaperSheet:
    return next(sheet for sheet in grid.rows if number in sheet.questions)


def _cell(read: CellRead | None, width: int) -> tuple[str, str]:
    """A cell of a ``width``, and its colour."""
    if read is None:
        return " " * width, "$ink-quiet"
    sign, style = SIGNS[read.state]
    return shortened(f"{sign} {read.text}".rstrip(), width).ljust(width), style
