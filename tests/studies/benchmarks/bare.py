"""The smallest Textual app: what a first frame costs before we add anything."""

from textual.app import App, ComposeResult
from textual.widgets import Static


class Bare(App[None]):
    """One line of text."""

    def compose(self) -> ComposeResult:
        yield Static("bare frame")


if __name__ == "__main__":
    Bare().run()
