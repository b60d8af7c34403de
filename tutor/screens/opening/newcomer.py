"""For somebody who has not met filters yet: one circuit read step by step, and then looks."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import BindingType

from ...figures.canvas.styled import StyledLine
from ...language.texts import fill
from ..common.keys import bound
from ..common.page import LEAF, OpeningPage, PageScreen
from ..common.topline import TopLine
from . import first as opening_first


class NewcomerScreen(PageScreen[bool]):
    """One circuit, a step at a time; dismissed with True once all steps have been read."""

    HELP = fill("opening", "newcomer.help")
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("enter,space,right", "step(1)", "forward"),
        bound("left", "step(-1)", "back", show=False),
        bound("escape", "dismiss(False)", "start"),
        *LEAF,
    ]
    DEFAULT_CSS = "NewcomerScreen OpeningPage { width: 1fr; height: 1fr; padding: 0 2; }"

    def __init__(self) -> None:
        super().__init__()
        self.step = 1

    def on_mount(self) -> None:
        """Begin with the first step."""
        self.query_one(TopLine).about = fill("opening", "first.about")
        self._show()

    def _show(self) -> None:
        values = [("number", self.step), ("count", opening_first.STEPS)]
        self.query_one(TopLine).place = fill("opening", "newcomer.place", values)
        self.query_one(OpeningPage).show(self._page, keep=True)

    def _page(self, width: int, height: int) -> list[StyledLine]:
        onward = "onward-last" if self.step == opening_first.STEPS else "onward"
        return opening_first.page(
            self.step, width, height, say=fill("opening", f"newcomer.{onward}")
        )

    def action_step(self, by: int) -> None:
        """Go to another step; beyond the last one, on to the looks."""
        if self.step + by > opening_first.STEPS:
            self.dismiss(True)
        else:
            self.step = max(1, self.step + by)
            self._show()
