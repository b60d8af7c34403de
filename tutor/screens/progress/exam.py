"""The dialog for the day of the exam."""

from __future__ import annotations

from datetime import date
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from ...coach.outlook import EXAM
from ...language.dates import MAX_TYPED, DayError, ahead, long_day, read_day
from ...language.texts import fill
from ..common.frame import DialogFrame
from ..common.keyline import KeyLine
from ..common.keys import bound
from ..common.leaving import Leaving
from ..common.session import keeper_of, now_in


class DayInput(Input):
    """One line for a day; everything typed is ours, so that letters are no keys of the screen."""

    BINDINGS: ClassVar[list[BindingType]] = [bound("enter", "submit", "keep")]


class ExamScreen(Leaving[bool], ModalScreen[bool]):
    """Sets, changes or forgets the day of the ``exam``; dismissed with whether it was changed.

    While it is typed, the line below says how it is read.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        bound("escape", "dismiss(False)", "close"),
        bound("ctrl+n", "forget", "forget"),
    ]
    CSS = """
    ExamScreen { align: center middle; background: $background 60%; }
    ExamScreen #exam {
        width: 62;
        max-width: 100%;
        height: auto;
    }
    ExamScreen Static { height: auto; }
    ExamScreen #exam-say { margin-bottom: 1; }
    ExamScreen Input { background: $picked; padding: 0 1; height: 1; margin-bottom: 1; }
    ExamScreen Input:focus { background: $picked; }
    ExamScreen #exam-read { min-height: 2; }
    """

    def __init__(self, exam: date | None) -> None:
        super().__init__()
        self._exam = exam

    @property
    def _today(self) -> date:
        return now_in(self.app).date()

    def compose(self) -> ComposeResult:
        """What is set, the line to type in, and how it is read."""
        with DialogFrame(fill("opening", "exam.title"), id="exam"):
            yield Static(Content(fill("opening", "exam.say")), id="exam-say", markup=False)
            line = DayInput(
                self._exam.isoformat() if self._exam else "",
                placeholder=fill("opening", "exam.form"),
                max_length=MAX_TYPED,
                compact=True,
            )
            line.cursor_blink = False
            yield line
            yield Static(id="exam-read", markup=False)
        yield KeyLine()

    def on_mount(self) -> None:
        """Type at once."""
        line = self.query_one(DayInput)
        line.focus()
        self._read(line.value)

    @on(Input.Changed)
    def _reread(self, event: Input.Changed) -> None:
        event.stop()
        self._read(event.value)

    def _read(self, value: str) -> None:
        """Say how what is typed is read."""
        today, typed = self._today, value.strip()
        if not typed:
            shown = Content.styled(fill("opening", "exam.empty"), "$ink-quiet")
        else:
            try:
                day = read_day(typed, today)
            except DayError as error:
                shown = Content.styled(str(error), "$ink-rust")
            else:
                far = ahead(day, today)
                shown = Content.styled(f"{long_day(day)}, {far}.", "$ink-verdigris")
        self.query_one("#exam-read", Static).update(shown)

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        if not event.value.strip():
            self.action_forget()
            return
        try:
            day = read_day(event.value, self._today)
        except DayError:
            return  # the line below says why
        self._keep(day.isoformat())

    def action_forget(self) -> None:
        """There is no exam, or none to be planned for."""
        self._keep("")

    def _keep(self, text: str) -> None:
        keeper = keeper_of(self.app)
        if keeper is not None:
            keeper.set(EXAM, text)
            if keeper.trouble:
                said = Content.styled(keeper.trouble, "$ink-rust")
                self.query_one("#exam-read", Static).update(said)
                return
        self.dismiss(True)
