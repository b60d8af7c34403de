"""Keys taken in the order they come.

Textual 8.2 looks for a key's binding in the app once the widget has let the key go, while what
is typed is taken by the widget itself: typed fast, a figure comes before the backspace or the
letter that stood before it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import events

if TYPE_CHECKING:
    from textual.widget import Widget as Beside
else:  # no widget itself: Textual looks for styles and parts along first bases
    Beside = object


class AtOnce(Beside):
    """A widget that is typed on, and whose other keys must not be overtaken by typing."""

    async def on_key(self, event: events.Key) -> None:
        """Do what a key is bound to here and now, unless it is typed."""
        if self.check_consume_key(event.key, event.character):
            return
        for name in (event.key, *event.aliases):
            for binding in self._bindings.key_to_bindings.get(name, ()):
                if await self.app.run_action(binding.action, self):
                    event.stop()
                    event.prevent_default()
                    return
