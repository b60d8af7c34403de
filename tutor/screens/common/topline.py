"""The top line: what is being climbed, and how far the climb has come."""

from __future__ import annotations

from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget


class TopLine(Widget):
    """One line: the program's name, the problem, and on the right the place in it."""

    ALLOW_SELECT = False

    about: reactive[str] = reactive("")
    place: reactive[str] = reactive("")

    def render(self) -> Content:
        """The line, filled to the width; the last of what is said of the problem gives way."""
        width = self.size.width
        name, about, place = " Rungwise ", f" {self.about}", f"{self.place} "
        room = width - len(name) - len(place)
        while len(about) > room and " · " in about:
            about = about.rpartition(" · ")[0]
        if len(about) > room:
            about = about[: max(0, room - 2)].rstrip() + "… " if room > 8 else ""
        return Content.assemble(
            (name, "bold $ink-reversed on $ink-copper"),
            (about.ljust(max(0, room)), "$ink-quiet"),
            (place, "bold"),
        )
