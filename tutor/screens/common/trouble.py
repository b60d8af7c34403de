"""What is shown when the program itself fails: what happened, where it is written, how to go on."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from ...language.texts import Words, fill
from .keyline import KeyLine
from .keys import bound
from .leaving import Leaving
from .served import served


class TroubleScreen(Leaving[bool]):
    """Tells of a fault; dismissed with True to go on, with False to leave.

    Args:
        error: What was raised; only the name of its kind is shown.
        path: Where the details are, if they could be written.
    """

    HELP = Words.load().ui("help.trouble")
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("enter,space", "dismiss(True)", "onward"),
        bound("escape", "dismiss(False)", "leave"),
    ]
    DEFAULT_CSS = """
    TroubleScreen { align: center middle; }
    TroubleScreen #trouble {
        width: 90%;
        max-width: 76;
        height: auto;
        border: round $ink-rust;
        border-title-color: $ink-rust;
        border-title-style: bold;
        padding: 1 2;
    }
    TroubleScreen Static { height: auto; margin-bottom: 1; }
    TroubleScreen #how { color: $ink-quiet; margin-bottom: 0; }
    """

    def __init__(self, error: BaseException, path: Path | None) -> None:
        super().__init__()
        cause = getattr(error, "error", None) or error  # of a worker, what it failed by
        self._kind, self._path = type(cause).__name__, path

    def compose(self) -> ComposeResult:
        """One sentence each: what happened, where the details are, which keys go where."""
        with Vertical(id="trouble") as box:
            box.border_title = fill("trouble", "head")
            yield Static(Content(fill("trouble", "say", [("kind", self._kind)])), markup=False)
            if self._path is None:
                where = fill("trouble", "unwritten")
            elif served():  # where this machine keeps what is not for a visitor to know
                where = fill("trouble", "served")
            else:
                where = fill("trouble", "written", [("path", self._path)])
            yield Static(Content(where), markup=False)
            yield Static(Content(fill("trouble", "keys")), id="how", markup=False)
        yield KeyLine()
