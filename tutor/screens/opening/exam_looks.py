"""The looks that a rehearsal begins with, and what they came to: nothing is told in between."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.binding import BindingType

from ...documents.progress.blocks import prose
from ...figures.canvas.styled import StyledLine
from ...learning.exam_round import ExamRound
from ...learning.rounds import LookResult
from ...phrases.exam_looks import mistakes, score
from ...phrases.rehearsal import say
from ..common.keys import bound
from ..common.page import LEAF, OpeningPage, PageScreen
from ..common.topline import TopLine
from ..inspect.screen import InspectScreen, RoundMaker


class ExamLooksScreen(InspectScreen):
    """Looks of which nothing is told, made by ``rounds``; once all were left, ``over`` is told."""

    CSS_PATH = "../inspect/inspect.tcss"
    HELP = say("looks.help")
    ABOUT = say("looks.about")

    def __init__(self, rounds: RoundMaker, over: Callable[[ExamRound], None]) -> None:
        super().__init__(rounds)
        self._over = over

    def tell(self, result: LookResult, choice: str, seconds: float) -> None:
        """The answer is taken, and the next look stands there."""
        assert self.round is not None
        self._tick = say("looks.taken")
        self.round.next()
        self._ask()

    def page(self) -> None:
        """Every look has been left."""
        if isinstance(self.round, ExamRound) and self.is_active:
            self.app.pop_screen()
            # What comes next is opened by the screen beneath, since this one is gone then.
            self.app.screen.call_later(self._over, self.round)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """There are no hints, and no answers to be shown."""
        return action not in ("hint", "show") and super().check_action(action, parameters)


class ExamLooksPage(PageScreen[None]):
    """What the ``looks`` of a rehearsal came to: every look that was missed, and why."""

    HELP = say("looks.help")
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("enter,space", "dismiss(None)", "forward"),
        bound("escape", "dismiss(None)", "start", show=False),
        *LEAF,
    ]
    DEFAULT_CSS = "ExamLooksPage OpeningPage { width: 1fr; height: 1fr; padding: 1 3; }"

    def __init__(self, looks: ExamRound) -> None:
        super().__init__()
        self._looks = looks

    def on_mount(self) -> None:
        """Show it."""
        self.query_one(TopLine).about = say("looks.about")
        self.query_one(OpeningPage).show(self._page)

    def _page(self, width: int, height: int) -> list[StyledLine]:
        width = min(width, 100)
        lines = [StyledLine.of((score(self._looks), "bold")), StyledLine()]
        for circuit, why in mistakes(self._looks):
            lines += [*prose(circuit, width, "$ink-copper"), *prose(why, width), StyledLine()]
        if not self._looks.missed:
            lines += prose(say("looks.all-right"), width)
        return [*lines, *prose(say("looks.onward"), width, "$ink-quiet")]
