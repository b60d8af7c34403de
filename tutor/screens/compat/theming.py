"""Themes that reach every screen, and names of themes that do no harm.

Textual 8.2 styles the app and the screens below when the theme changes, but not the screen on
top where that is no child of the app, as the command palette is; it styles everything a second
time before the first paint if the theme is set by then; and it raises an exception at the name
of a theme that it does not know.
"""

from __future__ import annotations

from textual.app import App


class Themed(App[None]):
    """An app whose theme can be changed at any moment."""

    _styled = ""

    def styled_already(self, *, until_painted: bool) -> None:
        """Say that all is styled with the theme as it is, and need not be again until it changes.

        Args:
            until_painted: whether that is so; False from the first paint on.
        """
        self._styled = self.theme if until_painted else ""

    def refresh_css(self, animate: bool = True) -> None:
        """Apply the theme; until the first paint, what it was styled with need not be."""
        if self._styled == self.theme:
            return
        super().refresh_css(animate)
        if self.screen_stack and self.screen not in self.children:
            self.stylesheet.update(self.screen, animate=animate)

    def _validate_theme(self, theme_name: str) -> str:
        """A theme by its name; an unknown name changes nothing."""
        known = self.available_themes
        return next(name for name in (theme_name, self.theme, *known) if name in known)
