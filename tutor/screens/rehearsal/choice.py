"""Dialogs of the rehearsal: how long it is to be, and whether it is to be handed in."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from ...learning.rehearsal import LENGTHS, MINUTES_EACH, Rehearsal
from ...phrases.rehearsal import left, say
from ..common.frame import DialogFrame
from ..common.keyline import KeyLine
from ..common.keys import bound
from ..common.leaving import Leaving
from ..common.session import now_in
from ..compat.menu import Menu

_FRAME = """
    {name} {{ align: center middle; background: $background 60%; }}
    {name} #dialog {{ width: 64; max-width: 100%; height: auto; }}
    {name} Static {{ height: auto; margin-bottom: 1; }}
    {name} OptionList {{ height: auto; border: none; background: $background; padding: 0; }}
"""
_LAST = "last"


class LengthScreen(Leaving["int | bool | None"], ModalScreen["int | bool | None"]):
    """How many problems; dismissed with that, or with True for the ``last`` review if there is."""

    CSS = _FRAME.format(name="LengthScreen")
    BINDINGS: ClassVar[list[BindingType]] = [bound("escape", "dismiss(None)", "close")]

    def __init__(self, *, last: bool = False) -> None:
        super().__init__()
        self._last = last

    def compose(self) -> ComposeResult:
        """What it is, and the lengths."""
        with DialogFrame(say("choose.title"), id="dialog"):
            yield Static(Content(say("choose.say")), markup=False)
            options = [
                Option(Content(say("choose.length", count=n, minutes=n * MINUTES_EACH)), str(n))
                for n in LENGTHS
            ]
            if self._last:
                options.append(Option(Content(say("choose.last")), _LAST))
            yield Menu(*options, markup=False)
        yield KeyLine()

    def on_mount(self) -> None:
        """Start at the middling one."""
        menu = self.query_one(Menu)
        menu.highlighted = 1
        menu.focus()

    @on(OptionList.OptionSelected)
    def _chosen(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(True if event.option_id == _LAST else int(event.option_id or 0))


class HandInScreen(Leaving[bool], ModalScreen[bool]):
    """Whether to hand in a ``rehearsal`` before all was asked; dismissed with the answer."""

    CSS = _FRAME.format(name="HandInScreen")
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("enter", "dismiss(True)", "hand-in"),
        bound("escape", "dismiss(False)", "close"),
    ]

    def __init__(self, rehearsal: Rehearsal) -> None:
        super().__init__()
        self._rehearsal = rehearsal

    def compose(self) -> ComposeResult:
        """How much there is, and how much time."""
        exam = self._rehearsal
        with DialogFrame(say("hand-in.title"), id="dialog"):
            time = left(exam.left(now_in(self.app)))
            said = say("hand-in.say", given=len(exam.answers), count=len(exam.places), left=time)
            yield Static(Content(said), markup=False)
            yield Static(Content.styled(say("hand-in.yes"), "$ink-quiet"), markup=False)
        yield KeyLine()
