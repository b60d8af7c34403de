"""Choosing which kinds of question one circuit in full asks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.screen import ModalScreen
from textual.widget import Widget
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from ....problems.questions.kinds import kinds_of
from ....problems.questions.model import Rung, Task
from ...language.texts import Words
from ..common.frame import DialogFrame
from ..common.keyline import KeyLine
from ..common.keys import bound
from ..common.leaving import Leaving
from ..compat.menu import Menu

_Chosen = tuple[Rung, ...]
_KINDS = kinds_of(Task.ANALYSE)


class KindsLine(Widget):
    """One line that says which ``kinds`` are asked; none: what is worth asking."""

    DEFAULT_CSS = "KindsLine { dock: bottom; height: 2; width: 100%; margin-bottom: 2; }"

    def __init__(self, kinds: Sequence[Rung]) -> None:
        super().__init__()
        self._kinds = tuple(kinds)

    def show(self, kinds: Sequence[Rung]) -> None:
        """Say that these are asked."""
        self._kinds = tuple(kinds)
        self.refresh()

    def render(self) -> Content:
        """A heading and the kinds."""
        words = Words.load()
        heading = words.ui("kinds.heading")
        named = ", ".join(words.title(rung) for rung in self._kinds) or words.ui("kinds.any")
        room = max(0, self.size.width - len(heading) - 2)
        if len(named) > room:
            named = named[: max(0, room - 1)] + "…"
        return Content.assemble("\n", (f"{heading}  ", "$ink-quiet"), (named, "$foreground"))


class KindsScreen(Leaving["_Chosen | None"], ModalScreen["_Chosen | None"]):
    """The ``kinds`` of question of an analysis, each on or off; none on: what is worth asking."""

    CSS_PATH = "kinds.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("space", "turn", "turn", priority=True),
        bound("enter", "take", "take", priority=True),
        bound("escape", "dismiss(None)", "close"),
    ]

    def __init__(self, kinds: Sequence[Rung]) -> None:
        super().__init__()
        self._chosen = set(kinds)

    def compose(self) -> ComposeResult:
        """The list, and what the keys do."""
        with DialogFrame(Words.load().ui("kinds.title"), id="kinds") as frame:
            frame.border_subtitle = Words.load().ui("kinds.about")
            yield Menu(*(Option(self._line(rung), rung.value) for rung in _KINDS), markup=False)
        yield KeyLine()

    def on_mount(self) -> None:
        """Begin with the first."""
        menu = self.query_one(Menu)
        menu.highlighted = 0
        menu.focus()

    def _line(self, rung: Rung) -> Content:
        sign = "✓" if rung in self._chosen else " "
        return Content.assemble((f" {sign}  ", "$ink-verdigris"), Words.load().title(rung))

    @on(OptionList.OptionSelected)
    def _clicked(self, event: OptionList.OptionSelected) -> None:
        """A click turns a kind on or off; Enter never gets here."""
        self._turn(event.option_index)

    def action_turn(self) -> None:
        """Turn the kind that is pointed at on or off."""
        place = self.query_one(Menu).highlighted
        if place is not None:
            self._turn(place)

    def _turn(self, place: int) -> None:
        rung = _KINDS[place]
        self._chosen ^= {rung}
        self.query_one(Menu).replace_option_prompt_at_index(place, self._line(rung))

    def action_take(self) -> None:
        """Ask the kinds that are on; with none on, what is worth asking."""
        self.dismiss(tuple(rung for rung in _KINDS if rung in self._chosen))
