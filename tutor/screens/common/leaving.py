"""Screens that can be left by two keys at once without harm."""

from __future__ import annotations

from textual.await_complete import AwaitComplete
from textual.screen import Screen, ScreenResultType


class Leaving(Screen[ScreenResultType]):
    """A screen that is left once: a second key that arrives before it has gone does nothing."""

    def dismiss(self, result: ScreenResultType | None = None) -> AwaitComplete:
        """Leave the screen, if it is on top."""
        if not self.is_active:  # current is also what lies beneath the palette
            return AwaitComplete()
        return super().dismiss(result)

    def action_leave(self) -> None:
        """Back to where it was opened; where it was opened alone, out."""
        if not self.is_active:
            return
        if self.app.screen_stack[0] is self:
            self.app.exit()
        else:
            self.dismiss(None)
