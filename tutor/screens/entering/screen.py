"""Papers entered on the full screen: the grid, what faces the teacher, and one line of typing."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container
from textual.content import Content
from textual.widgets import Static

from ....problems.questions.model import Form
from ...classroom.entering.grid import CellState, EntryGrid
from ...files.names import sheet_name
from ...language.texts import speaker
from ..common.frame import framed
from ..common.keys import bound
from ..common.leaving import Leaving
from ..common.topline import TopLine
from ..pictures.circuit import Circuit
from .cells import SIGNS, EntryCells
from .facing import CellFacing
from .find import FindStudent
from .typing import CellInput, CellLine

say = speaker("entering")
LOOK_AGAIN = 2.0
"""Seconds between two looks at what somebody else has entered."""


class EnterScreen(Leaving[None]):
    """A class's papers, in a ``grid``, and the ``title`` of its sheets."""

    CSS_PATH: ClassVar = "entering.tcss"
    HELP = say("help.help")
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("f2", "turn", "way"),
        bound("f3,ctrl+f", "find", "find-student"),
        bound("f4,ctrl+n", "open", "cell-open"),
        bound("ctrl+z", "undo", "cell-back"),
        bound("up", "move(-1, 0)", "cell-move"),
        bound("down", "move(1, 0)", "cell-move", show=False),
        bound("left", "move(0, -1)", "cell-move", show=False),
        bound("right", "move(0, 1)", "cell-move", show=False),
        bound("tab", "move(0, 1)", "cell-move", show=False, priority=True),
        bound("shift+tab", "move(0, -1)", "cell-move", show=False, priority=True),
        bound("pageup", "move(-10, 0)", "cell-move", show=False),
        bound("pagedown", "move(10, 0)", "cell-move", show=False),
        bound("home", "edge(0)", "cell-move", show=False),
        bound("end", "edge(1)", "cell-move", show=False),
        bound("escape", "leave", "leave"),
    ]

    def __init__(self, title: str, grid: EntryGrid) -> None:
        super().__init__()
        self._title, self.grid = title, grid
        self.trouble = ""
        """Why the last cell could not be kept; "" where it was."""

    def compose(self) -> ComposeResult:
        """The grid above; below, the question and the line for its answer."""
        line, said = CellLine(self.grid.at_once, self.take), Static(id="said", markup=False)
        cell = Container(CellFacing(), Circuit(), line, said, id="cell")
        yield from framed(Container(EntryCells(), cell, id="entering"))

    def on_mount(self) -> None:
        """Begin with the first cell that is open."""
        self.show()
        self.query_one(CellInput).focus()
        self.set_interval(LOOK_AGAIN, self._look)

    def show(self) -> None:
        """Show everything as it stands now."""
        grid, line = self.grid, self.query_one(CellLine)
        self._count()
        self.query_one(EntryCells).show(grid)
        self.query_one(CellFacing).show(grid)
        if grid.asked is not None:
            self.query_one(Circuit).show(grid.asked.problem.ladder)
        line.ask(self._hint(), self._echo)

    def _count(self) -> None:
        done, count = f"{self.grid.done:,}", f"{self.grid.count:,}"
        top, way = self.query_one(TopLine), say(f"grid.way-{self.grid.way.value}")
        top.about = say("grid.about", title=self._title, way=way)
        top.place = say("grid.place", done=done, count=count)

    def _hint(self) -> str:
        asked = self.grid.asked
        if asked is None:
            return say("cell.not-asked")
        if self.grid.entered() is not None:
            return say("cell.hint-again")
        if asked.choices:
            return say("cell.hint-choice")
        count = asked.question.form is Form.COUNT
        return say("cell.hint-count" if count else "cell.hint-typed")

    def _echo(self, text: str) -> Content:
        """What is typed so far, read and judged."""
        grid, asked = self.grid, self.grid.asked
        if asked is None or text[0] in ";=":
            return Content()
        read = grid.read(grid.sheet, asked, text.removeprefix("'"))
        sign, style = SIGNS[read.state]
        parts = [(f"{sign} {say(f'state.{read.state.value}')}", style)]
        said = "; ".join(read.slips) or read.trouble or read.read
        if said:
            parts.append((f"  {said}", "$ink-quiet"))
        return Content.assemble(*parts)

    def _say(self, text: str, style: str = "$ink-quiet") -> None:
        self.query_one("#said", Static).update(Content.styled(text, style))

    # What is entered

    def take(self, text: str) -> None:
        """Take what was typed in the present cell, and go on."""
        if self._taken(text):
            moved = self.grid.step(1)
            self.show()
            if not moved:
                whole = self.grid.done == self.grid.count
                self._say(say("said.all" if whole else "said.end"), "bold $ink-copper")

    def _taken(self, text: str) -> bool:
        grid = self.grid
        number, sheet = grid.columns[grid.column], sheet_name(grid.sheet.number)
        try:
            trouble = grid.give(text)
        except OSError as error:
            self.trouble = say("said.unkept", trouble=error.strerror or type(error).__name__)
            self._refuse(self.trouble, text)
            self.notify(self.trouble, severity="error", timeout=20)
            return False
        self.trouble = ""
        if trouble:
            self._refuse(trouble, text)
            return False
        read = grid.told(grid.row, grid.column)
        if read is not None and read.state is not CellState.OPEN:
            sign, style = SIGNS[read.state]
            state = say(f"state.{read.state.value}")
            text = read.text or "–"
            said = say("said.taken", sheet=sheet, number=number, text=text, state=state)
            self._say(f"{sign} {said}", style)
        return True

    def _refuse(self, trouble: str, text: str) -> None:
        """Say what is wrong, and leave what was typed to be mended."""
        self.show()
        self.query_one(CellInput).value = text.strip()
        self.query_one(CellInput).action_end()
        self._say(trouble, "$ink-brass")

    def action_undo(self) -> None:
        """Take back what was entered last."""
        try:
            trouble = self.grid.undo()
        except OSError as error:
            trouble = say("said.unkept", trouble=error.strerror or type(error).__name__)
        self.show()
        number, sheet = self.grid.columns[self.grid.column], sheet_name(self.grid.sheet.number)
        self._say(trouble or say("said.undone", sheet=sheet, number=number))

    def _look(self) -> None:
        """Take up what somebody else entered."""
        if self.is_active and self.grid.look():
            self.query_one(EntryCells).show(self.grid)
            self.query_one(CellFacing).show(self.grid)
            self._count()

    # Ways through it

    def _draft_taken(self) -> bool:
        """What is typed belongs to the cell that is left, as in any table."""
        text = self.query_one(CellInput).value
        return not text.strip() or self._taken(text)

    def action_move(self, down: int, right: int) -> None:
        """To another cell: so many rows ``down``, so many columns ``right``."""
        if self._draft_taken():
            self.grid.go(self.grid.row + down, self.grid.column + right)
            self.show()

    def action_edge(self, end: int) -> None:
        """To the first or (1) the last student."""
        if self._draft_taken():
            self.grid.go(len(self.grid.rows) if end else 0, self.grid.column)
            self.show()

    def action_turn(self) -> None:
        """The other way through the grid."""
        self.grid.turn()
        draft = self.query_one(CellInput).value
        self.show()
        self.query_one(CellInput).value = draft

    def action_open(self) -> None:
        """To the next cell that is open."""
        if self._draft_taken():
            found = self.grid.next_open()
            self.show()
            if not found:
                self._say(say("said.all"), "bold $ink-copper")

    def action_find(self) -> None:
        """To a student."""
        if self._draft_taken():
            self.app.push_screen(FindStudent(), self._found)

    def _found(self, text: str | None) -> None:
        if text is None:
            return
        found = self.grid.find(text)
        self.show()
        if not found:
            self._say(say("said.none-called", text=text), "$ink-brass")

    @on(EntryCells.Picked)
    def _picked(self, event: EntryCells.Picked) -> None:
        if self._draft_taken():
            self.grid.go(event.row, event.column)
            self.show()

    def recover(self) -> None:
        """After a fault of the program: the same cell."""
        self.show()
