"""The groups of alike answers: a strip beside the one asked about, and a list to choose from."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, ClassVar

from textual.binding import BindingType
from textual.content import Content
from textual.widget import Widget
from textual.widgets.option_list import Option

from ...classroom.marking import settling_lines as lines_of
from ...language.texts import plain, speaker
from ..common.keys import bound
from ..common.picking import PickScreen

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


class GroupsScreen(PickScreen["int | None"]):
    """All groups; dismissed with the place of one.

    Args:
        settling: The class.
    """

    HELP = say("help-list")
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("enter", "pick", "go", priority=True),
        bound("down", "move(1)", "group-move", show=False, priority=True),
        bound("up", "move(-1)", "group-move", show=False, priority=True),
        bound("escape", "dismiss(None)", "close"),
    ]
    DEFAULT_CSS = """
    GroupsScreen #picking { width: 94%; max-width: 120; max-height: 44; }
    """

    def __init__(self, settling: Settling) -> None:
        at = min(settling.at, MOST_LISTED - 1)
        super().__init__(say("list-title"), say("find"), str(at))
        self._settling = settling

    def rows(self, words: str) -> Iterator[Option]:
        """The groups that have all the ``words``."""
        settling = self._settling
        for place in settling.found(words)[:MOST_LISTED]:
            sign = OPEN if settling.is_open(settling.groups[place]) else DECIDED
            text = plain(f"{sign} {lines_of.list_text(settling, place)}")
            yield Option(Content(text), str(place))

    def stands_for(self, row: str) -> int:
        """The place of a group: ``row`` is its number."""
        return int(row)
