"""Lists to pick from, and the command palette, that stand any key at any moment.

Textual 8.2 looks a line up that does not exist yet (KeyError, IndexError) when PgUp or PgDn comes
between filling a list and laying it out; and a palette that is left again, by an Enter pressed
before it has gone, takes the screen with it that lies on top by then.
"""

from __future__ import annotations

from contextlib import suppress
from typing import ClassVar

from textual.await_complete import AwaitComplete
from textual.binding import BindingType
from textual.command import CommandPalette
from textual.widgets import OptionList

from ..common.keys import bound

# There is nothing to page through then.
_NOT_LAID_OUT = (KeyError, IndexError)


class Menu(OptionList):
    """A list whose choosing key is worth a place in the bottom line."""

    BINDINGS: ClassVar[list[BindingType]] = [bound("enter", "select", "climb")]

    def action_page_up(self) -> None:
        """One page up."""
        with suppress(*_NOT_LAID_OUT):
            super().action_page_up()  # type: ignore[no-untyped-call]

    def action_page_down(self) -> None:
        """One page down."""
        with suppress(*_NOT_LAID_OUT):
            super().action_page_down()  # type: ignore[no-untyped-call]


class Palette(CommandPalette):
    """The command palette."""

    CSS_PATH = "menu.tcss"

    def dismiss(self, result: None = None) -> AwaitComplete:
        """Leave the palette once, however fast Enter is pressed again."""
        if not self.is_active:
            return AwaitComplete()
        return super().dismiss(result)

    def _action_command_list(self, action: str) -> None:
        with suppress(*_NOT_LAID_OUT):
            super()._action_command_list(action)
