"""The review of a rehearsal: the score, and every question with the way to its solution."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container, Vertical

from ...figures.canvas.styled import StyledLine
from ...language.dates import short_day
from ...learning.course import HINT_LEVELS
from ...phrases.rehearsal import say
from ..answers.pointed import point_out
from ..common.frame import framed
from ..common.keys import bound
from ..common.leaving import Leaving
from ..common.page import LEAF, OpeningPage
from ..common.session import now_in
from ..common.topline import TopLine
from ..pictures.circuit import Circuit, Pointed
from ..pictures.exhibit import ExhibitView
from . import lines as parts

if TYPE_CHECKING:
    from ...learning.rehearsal_result import RehearsalItem, RehearsalResult

PAGES = ("questions", "skills")
_WIDE, _TALL = 110, 36


class ReviewScreen(Leaving[None]):
    """What a rehearsal came to: its ``result``."""

    CSS_PATH = "review.tcss"
    HELP = say("help.review")
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("enter", "solution", "solution"),
        bound("up", "move(-1)", "question-move"),
        bound("down", "move(1)", "question-move", show=False),
        bound("right", "turn(1)", "problem-next"),
        bound("left", "turn(-1)", "problem-before", show=False),
        bound("tab", "page(1)", "page", priority=True),
        bound("shift+tab", "page(-1)", "page", show=False, priority=True),
        *LEAF,
        bound("escape,r", "dismiss(None)", "close"),
    ]

    def __init__(self, result: RehearsalResult) -> None:
        super().__init__()
        self.result = result
        items = result.items
        # Straight to what went wrong, if anything did.
        self._spot = next((n for n, i in enumerate(items) if i.answered and not i.right), 0)
        self._page = 0

    def compose(self) -> ComposeResult:
        """The questions; beside or below them the one that is picked."""
        item = Circuit(id="circuit"), ExhibitView(id="exhibit"), OpeningPage(id="review-item")
        side = Vertical(*item, id="review-side")
        yield from framed(Container(OpeningPage(id="review-list"), side, id="review"))

    @property
    def item(self) -> RehearsalItem:
        """The question that is picked."""
        return self.result.items[self._spot]

    @property
    def roomy(self) -> bool:
        """Whether the score of each skill is in sight with the questions."""
        width, height = self.app.size
        return width >= _WIDE and height >= _TALL

    def on_mount(self) -> None:
        """Say whose review it is, and show it."""
        top, result = self.query_one(TopLine), self.result
        now, when = now_in(self.app), result.when
        day = _local(when, now)
        about = say("review.about")
        if day != now.date():
            about = say("review.about-when", date=short_day(day))
        top.about = about
        top.place = say("review.place", right=result.right, count=len(result.items))
        self._show()

    def on_resize(self) -> None:
        """What is in sight depends on the room."""
        self._show()

    def _show(self) -> None:
        paged = not self.roomy and PAGES[self._page] == "skills"
        self.set_class(paged, "-skills")
        self.query_one("#review-list", OpeningPage).show(self._list, keep=paged)
        self.query_one("#review-item", OpeningPage).show(self._detail)
        problem, item = self.result.climbs[self.item.number].problem, self.item
        pointed = Pointed()
        if not item.right:
            pointed = point_out(problem, (item.state.question, HINT_LEVELS))
        self.query_one(Circuit).show(problem.ladder, pointed.marked, views=pointed.views)
        shown = item.state.question.exhibit
        self.query_one(ExhibitView).show(shown)
        self.set_class(shown is not None, "-exhibiting")
        self.refresh_bindings()

    def _list(self, width: int, height: int) -> list[StyledLine]:
        result, blank = self.result, StyledLine()
        head = [*parts.head(result, width), blank]
        if not self.roomy and PAGES[self._page] == "skills":
            return [*head, *parts.scores(result, width, 1000)]
        return [*head, *parts.questions(result, self._spot, width, height - len(head))]

    def _detail(self, width: int, height: int) -> list[StyledLine]:
        drawn = self.query_one(Circuit).display
        lines = parts.detail(self.result, self.item, width, drawn=drawn)
        room = height - len(lines) - 2
        if self.roomy and room >= 6:
            blank = [StyledLine()] * 2
            lines += [*blank, *parts.scores(self.result, width, room - 1)]
        return lines

    # Keys

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Pages only where not everything is in sight."""
        if action == "page":
            return not self.roomy
        return True

    def action_move(self, by: int) -> None:
        """Pick the question above or below; a page that has none is scrolled."""
        if not self.roomy and PAGES[self._page] == "skills":
            self.query_one("#review-list", OpeningPage).scroll_by(by)
            return
        self._pick(self._spot + by)

    def action_turn(self, by: int) -> None:
        """Pick the first question of the next or the previous problem."""
        items, number = self.result.items, self.item.number + by
        number = max(0, min(number, len(self.result.climbs) - 1))
        self._pick(next(n for n, item in enumerate(items) if item.number == number))

    def _pick(self, spot: int) -> None:
        self._spot = max(0, min(spot, len(self.result.items) - 1))
        self._show()

    def action_page(self, by: int) -> None:
        """Turn to the questions, or to the skills."""
        self._page = (self._page + by) % len(PAGES)
        self._show()

    def action_leaf(self, way: int) -> None:
        """Scroll what does not fit."""
        page = self.query_one("#review-item", OpeningPage)
        if not page.overflows:
            page = self.query_one("#review-list", OpeningPage)
        page.leaf(way)

    def action_solution(self) -> None:
        """The whole picture of the problem, with the worked solution."""
        from ..drill.summit import SummitScreen

        self.app.push_screen(SummitScreen(self.result.climbs[self.item.number]), self._seen)

    def _seen(self, go_on: bool | None) -> None:
        """From one problem's picture on to the next one's."""
        if go_on and self.item.number < len(self.result.climbs) - 1:
            self.action_turn(1)
            self.action_solution()


def _local(when: datetime, now: datetime) -> date:
    return when.astimezone(now.tzinfo).date()
