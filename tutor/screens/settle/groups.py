"""The groups of alike answers: a strip beside the one asked about, and a list to choose from."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container
from textual.content import Content
from textual.screen import ModalScreen
from textual.widget import Widget
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from ...classroom.marking import settling_lines as lines_of
from ...language.texts import plain, speaker
from ..bench.catalogue import FindLine
from ..common.keyline import KeyLine
from ..common.keys import bound
from ..common.leaving import Leaving
from ..compat.menu import Menu

if TYPE_CHECKING:
    from ...classroom.marking.settling import Settling

OPEN, DECIDED, HERE = "○", "●", "◉"
"""A group that waits, one that is decided, the one being asked about."""
MOST_LISTED = 500
"""Groups in the list at once; words narrow it."""

say = speaker("settling", "screen.")


class GroupStrip(Widget):
    """As many groups as there is room for, about the one in hand."""

    ALLOW_SELECT = False
    _settling: Settling | None = None

    def show_groups(self, settling: Settling) -> None:
        """Show how far it has come."""
        self._settling = settling
        self.refresh()

    def render(self) -> Content:
        """A line a group: its sign, its question, what was typed."""
        settling = self._settling
        if settling is None:
            return Content()
        rows, width = max(1, self.size.height), max(8, self.size.width)
        first = max(0, min(settling.at - rows // 2, len(settling.groups) - rows))
        lines = []
        for place, group in enumerate(settling.groups[first : first + rows], first):
            here, waits = place == settling.at, settling.is_open(group)
            sign = HERE if here else OPEN if waits else DECIDED
            ink = "bold $ink-copper" if here else "$foreground" if waits else "$ink-quiet"
            text = plain(f"Q{group.first.number} {group.typed}")
            shown = text if len(text) <= width - 2 else f"{text[: width - 3]}…"
            lines.append(Content.styled(f"{sign} {shown}", ink))
        return Content("\n").join(lines)


class GroupList(Menu):
    """The groups found."""

    BINDINGS: ClassVar[list[BindingType]] = [bound("enter", "select", "go")]


class GroupsScreen(Leaving["int | None"], ModalScreen["int | None"]):
    """All groups; words narrow the list; dismissed with the place of one.

    Args:
        settling: The class.
    """

    HELP = say("help-list")
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("enter", "choose", "go", priority=True),
        bound("down", "move(1)", "group-move", show=False, priority=True),
        bound("up", "move(-1)", "group-move", show=False, priority=True),
        bound("escape", "dismiss(None)", "close"),
    ]
    CSS = """
    #groups OptionList > .option-list--option-highlighted {
        color: $block-cursor-foreground;
        background: $block-cursor-background;
        text-style: $block-cursor-text-style;
    }
    """
    DEFAULT_CSS = """
    GroupsScreen { align: center middle; background: $background 60%; }
    #groups {
        width: 94%; max-width: 120; height: 90%; max-height: 44;
        border: round $ink-copper; border-title-color: $ink-copper; border-title-style: bold;
        background: $background; padding: 0 1;
    }
    #groups FindLine { background: $picked; padding: 0 1; height: 1; margin-bottom: 1; }
    #groups OptionList {
        border: none; background: $background; height: 1fr; padding: 0; scrollbar-size: 1 1;
    }
    #groups OptionList:focus { border: none; background: $background; }
    """

    def __init__(self, settling: Settling) -> None:
        super().__init__()
        self._settling = settling

    def compose(self) -> ComposeResult:
        """The line to type in, and the list."""
        with Container(id="groups"):
            yield FindLine(placeholder=say("find"), compact=True, max_length=60)
            groups = GroupList(markup=False)
            groups.can_focus = False
            yield groups
        yield KeyLine()

    def on_mount(self) -> None:
        """Show all of them, the one in hand picked."""
        self.query_one("#groups").border_title = say("list-title")
        self._list("", self._settling.at)
        self.query_one(FindLine).focus()

    @on(Input.Changed)
    def _narrow(self, event: Input.Changed) -> None:
        self._list(event.value, None)

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.action_choose()

    def _list(self, words: str, at: int | None) -> None:
        settling, menu = self._settling, self.query_one(GroupList)
        found = settling.found(words)
        menu.clear_options()
        for place in found[:MOST_LISTED]:
            sign = OPEN if settling.is_open(settling.groups[place]) else DECIDED
            text = plain(f"{sign} {lines_of.list_text(settling, place)}")
            menu.add_option(Option(Content(text), str(place)))
        if found:
            menu.highlighted = min(found.index(at) if at in found else 0, MOST_LISTED - 1)

    @on(OptionList.OptionSelected)
    def _clicked(self, event: OptionList.OptionSelected) -> None:
        if event.option_id:
            self.dismiss(int(event.option_id))

    def action_move(self, by: int) -> None:
        """Go up or down the list."""
        menu = self.query_one(GroupList)
        if by > 0:
            menu.action_cursor_down()
        else:
            menu.action_cursor_up()

    def action_choose(self) -> None:
        """Go to the group that is picked."""
        menu = self.query_one(GroupList)
        if menu.highlighted is not None:
            option = menu.get_option_at_index(menu.highlighted)
            if option.id:
                self.dismiss(int(option.id))
