"""The smallest Textual app that takes typing: what a key costs before we add anything."""

from textual.app import App, ComposeResult
from textual.widgets import Input


class BareInput(App[None]):
    """One line of typing."""

    def compose(self) -> ComposeResult:
        line = Input()
        line.cursor_blink = False
        yield line


if __name__ == "__main__":
    BareInput().run()
