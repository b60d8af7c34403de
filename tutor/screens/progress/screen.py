"""The progress screen: a map of all skills, accuracy and time, slips, and the days ahead."""

from __future__ import annotations

from typing import ClassVar

from textual import work
from textual.binding import BindingType

from ...coach.progress import Progress, progress_now
from ...documents.progress import blocks
from ...documents.progress import map as progress_map
from ...documents.progress import tables as progress_tables
from ...documents.progress.blocks import opening
from ...figures.canvas.styled import StyledLine
from ...language.texts import Words
from ..common.keys import bound
from ..common.page import LEAF, OpeningPage, PageScreen
from ..common.session import keeper_of, now_in
from ..common.topline import TopLine
from .exam import ExamScreen

PAGES = ("map", "skills", "days")
"""Where the window is too small for everything at once, one page is shown at a time."""
ORDERS = ("weakest", "slowest", "teaching")
_WIDE, _TALL = 110, 36
_SIGHT = 8
"""Rows kept for what was taken for what, below the slips."""


class ProgressScreen(PageScreen[None]):
    """Where the learner stands, in full."""

    CSS_PATH = "progress.tcss"
    PAGE = "progress"
    HELP = Words.load().ui("help.progress")
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("up", "move(-1, 0)", "skill-move"),
        bound("down", "move(1, 0)", "skill-move", show=False),
        bound("left", "move(0, -1)", "skill-move", show=False),
        bound("right", "move(0, 1)", "skill-move", show=False),
        bound("tab", "page(1)", "page", priority=True),
        bound("shift+tab", "page(-1)", "page", show=False, priority=True),
        bound("s", "order", "order"),
        bound("e", "exam", "exam"),
        *LEAF,
        bound("escape,p", "dismiss(None)", "close"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.progress: Progress | None = None
        self._spot: progress_map.Spot = (0, 0)
        self._page = 0
        self._order = 0

    def on_mount(self) -> None:
        """Read the record beside the first paint."""
        keeper = keeper_of(self.app)
        learner = keeper.learner if keeper else ""
        about = opening("progress.about", learner=learner) if learner else ""
        self.query_one(TopLine).about = about or opening("progress.about-nobody")
        self._look()

    @work(thread=True, exclusive=True, group="look")
    def _look(self) -> None:
        self.call_later(self._looked, progress_now(keeper_of(self.app), now_in(self.app)))

    def _looked(self, progress: Progress) -> None:
        if self.progress is None:
            self._spot = progress_map.first_spot(progress)
        self.progress = progress
        self.query_one(TopLine).place = blocks.exam_words(progress.board)
        self._show()

    # What is shown

    @property
    def roomy(self) -> bool:
        """Whether everything fits at once."""
        width, height = self.app.size
        return width >= _WIDE and height >= _TALL

    def on_resize(self) -> None:
        """Everything at once where there is room for it."""
        self.refresh_bindings()

    def _show(self, *, keep: bool = False) -> None:
        self.query_one(OpeningPage).show(self._build, keep=keep)
        self.refresh_bindings()

    def _build(self, width: int, height: int) -> list[StyledLine]:
        found = self.progress
        if found is None:
            return []
        if self.roomy:
            return self._everything(found, width, height)
        page = PAGES[self._page]
        blank = [StyledLine()]
        if page == "map":
            lines = progress_map.lines(found, self._spot, width, height - 1)
            return [*blank, *lines, *blank, *blocks.forecast(found.board, width)]
        if page == "skills":
            return [*blank, *progress_tables.skills(found, width, ORDERS[self._order])]
        tall = max(2, min(6, height - 16))
        return [
            *blank,
            *blocks.calendar(found.board, width, tall),
            *blank,
            *progress_tables.slips(found, width, max(1, height - tall - 10)),
            *blank,
            *progress_tables.sight(found, width, 3),
            *blocks.forecast(found.board, width),
        ]

    def _everything(self, found: Progress, width: int, height: int) -> list[StyledLine]:
        """The map and the days beside each other, the table of skills below."""
        gap, blank = 5, [StyledLine()]
        left = min(width - 40 - gap, 118 if width >= 160 else 76)
        right = width - left - gap
        days = [
            *blocks.calendar(found.board, right, 4),
            *blank,
            *blocks.forecast(found.board, right),
            *blank,
        ]
        room = max(2, height - len(days) - _SIGHT)
        days += [*progress_tables.slips(found, right, room), *blank]
        days += progress_tables.sight(found, right, max(2, height - len(days) - 2))
        rows = progress_map.lines(found, self._spot, left)
        table = progress_tables.skills(found, left, ORDERS[self._order])
        room = height - len(rows) - 2
        cut = table if len(table) <= room else table[: max(0, room)]
        return blocks.side_by_side([[*rows, *blank, *cut], days], left, gap)

    # Keys

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys for what is in sight."""
        page = PAGES[self._page]
        if action == "page":
            return not self.roomy
        if action == "order":
            return self.roomy or page == "skills"
        return True

    def action_move(self, down: int, right: int) -> None:
        """Go to another skill of the map; where there is only a list, scroll it."""
        if self.progress is None:
            return
        if not self.roomy and PAGES[self._page] != "map":
            self.query_one(OpeningPage).scroll_by(down)
            return
        self._spot = progress_map.moved(self._spot, down, right)
        self._show(keep=True)

    def action_page(self, by: int) -> None:
        """Turn to another page."""
        self._page = (self._page + by) % len(PAGES)
        self._show()

    def action_order(self) -> None:
        """List the skills in another order."""
        self._order = (self._order + 1) % len(ORDERS)
        self._show()

    def action_exam(self) -> None:
        """Set, change or forget the day of the exam."""
        if self.progress is not None:
            self.app.push_screen(ExamScreen(self.progress.outlook.exam), self._examined)

    def _examined(self, changed: bool | None) -> None:
        if changed:
            self._look()
