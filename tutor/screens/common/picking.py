"""A list to pick from, and a line of words that narrow it."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Iterator

from textual import events, on
from textual.app import ComposeResult
from textual.screen import ModalScreen, ScreenResultType
from textual.widget import Widget
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from .frame import DialogFrame
from .keyline import KeyLine
from .leaving import Leaving


class FindLine(Input):
    """Words that narrow the list; a paste too long is cut."""

    cursor_blink = False

    def on_paste(self, event: events.Paste) -> None:
        """Take the first line, as much as fits."""
        event.stop()
        event.prevent_default()
        line = event.text[:400].strip().splitlines()
        if line:
            kept = "".join(c for c in line[0] if c.isprintable())
            self.replace(kept[: max(0, 60 - len(self.value))], *sorted(self.selection))


class PickScreen(Leaving[ScreenResultType], ModalScreen[ScreenResultType]):
    """Typing narrows the list, arrows choose; dismissed with what the row picked stands for.

    Args:
        title: above the list.
        find: in the line while it is empty.
        at: the row that is highlighted at first; the first one, if "".
    """

    # The list follows what is typed above it: it never has the focus, but is the one in use.
    CSS = """
    #picking OptionList > .option-list--option-highlighted {
        color: $block-cursor-foreground;
        background: $block-cursor-background;
        text-style: $block-cursor-text-style;
    }
    """
    DEFAULT_CSS = """
    PickScreen { align: center middle; background: $background 60%; }
    PickScreen #picking { height: 90%; padding: 0 1; }
    #picking FindLine { background: $picked; padding: 0 1; height: 1; margin-bottom: 1; }
    #picking OptionList {
        border: none; background: $background; height: 1fr; padding: 0; scrollbar-size: 1 1;
    }
    #picking OptionList:focus { border: none; background: $background; }
    """

    def __init__(self, title: str, find: str, at: str = "") -> None:
        super().__init__()
        self._heading, self._find, self._at = title, find, at

    @abstractmethod
    def rows(self, words: str) -> Iterator[Option]:
        """What is listed for the ``words`` typed; rows without an id are headings, disabled."""

    @abstractmethod
    def stands_for(self, row: str) -> ScreenResultType:
        """What the ``row`` of this id stands for."""

    def beneath(self) -> Iterator[Widget]:
        """What stands below the list."""
        return iter(())

    def compose(self) -> ComposeResult:
        """The line to type in, the list, and what is beneath."""
        with DialogFrame(self._heading, id="picking"):
            yield FindLine(placeholder=self._find, compact=True, max_length=60)
            menu = OptionList(markup=False)
            menu.can_focus = False
            yield menu
            yield from self.beneath()
        yield KeyLine()

    def on_mount(self) -> None:
        """Show all of it."""
        self._list("")
        self.query_one(FindLine).focus()

    @on(Input.Changed)
    def _narrow(self, event: Input.Changed) -> None:
        self._at = ""
        self._list(event.value)

    def _list(self, words: str) -> None:
        menu, rows = self.query_one(OptionList), list(self.rows(words))
        menu.clear_options()
        menu.add_options(rows)
        places = [place for place, row in enumerate(rows) if not row.disabled]
        if places:
            at = (place for place in places if rows[place].id == self._at)
            menu.highlighted = next(at, places[0])

    @on(OptionList.OptionSelected)
    def _clicked(self, event: OptionList.OptionSelected) -> None:
        if event.option_id:
            self.dismiss(self.stands_for(event.option_id))

    def action_move(self, by: int) -> None:
        """Go up or down the list, past the headings."""
        menu = self.query_one(OptionList)
        for _ in range(abs(by)):
            if by > 0:
                menu.action_cursor_down()
            else:
                menu.action_cursor_up()

    def action_pick(self) -> None:
        """Take the row that is highlighted."""
        menu = self.query_one(OptionList)
        if menu.highlighted is not None:
            option = menu.get_option_at_index(menu.highlighted)
            if option.id:
                self.dismiss(self.stands_for(option.id))
