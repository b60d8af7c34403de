"""The bottom line: the keys that work now, each also a place to click."""

from __future__ import annotations

from textual import events
from textual.app import RenderResult
from textual.content import Content
from textual.screen import Screen
from textual.widget import Widget


class KeyLine(Widget):
    """The keys of the screen and of the focused widget; what does not fit is left out."""

    ALLOW_SELECT = False

    def __init__(self) -> None:
        super().__init__()
        self._keys: list[tuple[str, str, str]] = []
        self._spots: list[tuple[int, int, str]] = []

    def on_mount(self) -> None:
        """Follow the screen's bindings."""
        self.screen.bindings_updated_signal.subscribe(self, self._changed)

    def _changed(self, screen: Screen[object]) -> None:
        keys: dict[str, tuple[str, str, str]] = {}
        for active in screen.active_bindings.values():
            binding = active.binding
            if binding.show and active.enabled and binding.action not in keys:
                shown = self.app.get_key_display(binding)
                keys[binding.action] = (binding.key, shown, binding.description)
        found = list(keys.values())
        if found != self._keys:
            self._keys = found
            self.refresh()

    def render(self) -> RenderResult:
        """The keys, as many as fit."""
        parts: list[tuple[str, str]] = []
        self._spots = []
        column = 0
        for key, shown, description in self._keys:
            length = len(shown) + len(description) + 4
            if column + length > self.size.width + 1:
                break
            parts += [(f" {shown}", "bold $ink-copper"), (f" {description}  ", "$foreground")]
            self._spots.append((column, column + length, key))
            column += length
        return Content.assemble(*parts)

    def on_click(self, event: events.Click) -> None:
        """A click on a key's words is that key."""
        for start, end, key in self._spots:
            if start <= event.x < end:
                self.app.simulate_key(key)
                break
