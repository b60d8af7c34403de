"""The opening screen: what is worth doing now, and one key to each room."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container
from textual.screen import Screen

from ...figures.canvas.styled import StyledLine
from ...language.texts import Words, fill
from ..common.frame import framed
from ..common.keys import bound
from ..common.page import LEAF, OpeningPage
from ..common.served import served
from ..common.session import keeper_of, now_in
from ..common.topline import TopLine
from ..common.unsaved import Unsaved
from . import first as opening_first
from .ladder import Goal, OpeningLadder

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import TypeVar

    from ...coach.overview import Overview
    from ...coach.planner import SessionPlan
    from ...coach.rehearsal_run import RehearsalRun
    from ...learning.request import ProblemRequest
    from ...store.events import LeftOff
    from ..drill.screen import DrillScreen

    T = TypeVar("T")

KEYS = {
    "inspect": "i",
    "newcomer": "f",
    "go_on": "g",
    "due": "n",
    "ten": "t",
    "weak": "w",
    "rehearse": "r",
    "choose": "c",
    "lesson": "l",
    "bench": "b",
    "progress": "p",
    "exam": "e",
    "sheets": "s",
}
"""The key of each rung, in the order of the rungs; there is room for a few more."""
_LATER = ("go_on", "ten", "weak", "rehearse")
"""Rungs that a first start does without."""
_NOW = ("inspect", "newcomer", "go_on", "due", "weak", "rehearse", "exam")
"""Rungs whose line tells how things stand."""
_FIRST = ("newcomer",)
"""Rungs that only a first start has."""
DRILL = "drill"
"""The name under which the drill stays alive while other screens lie on top or below."""


class OpeningScreen(Screen[None]):
    """Where everything starts from, and where Esc leads back to.

    Args:
        fresh: Whether there is no record yet, as far as can be said without reading it.
    """

    HELP = Words.load().ui("help.opening")
    AUTO_FOCUS = "OpeningLadder"
    CSS_PATH = "opening.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        *(bound(key, action, action.replace("_", "-"), show=False) for action, key in KEYS.items()),
        bound("right", "step(1)", "forward"),
        bound("left", "step(-1)", "back", show=False),
        *LEAF,
    ]

    def __init__(self, *, fresh: bool = True) -> None:
        super().__init__()
        self.board: Overview | None = None
        self._fresh = fresh
        self._step = 1
        self._waiting = ""
        self._worth = "inspect"
        self._rooms = False
        self.rehearsal: RehearsalRun | None = None
        self.then: Callable[[OpeningScreen], None] | None = None
        self._wishes: dict[str, ProblemRequest] = {}

    def compose(self) -> ComposeResult:
        """The ladder on the left, the page on the right."""
        yield from framed(Container(OpeningLadder(), OpeningPage(), id="opening"), Unsaved())

    def on_mount(self) -> None:
        """Show what is known already, and have the rest worked out after the first paint."""
        self._show()
        self.call_after_refresh(self._look)
        if self.then is not None:
            self.call_after_refresh(self.then, self)

    def on_screen_resume(self) -> None:
        """Back from another room: look again."""
        if self.board is not None and self._rooms:
            self._look()

    # What is worth doing

    @work(thread=True, exclusive=True, group="look")
    def _look(self) -> None:
        from .worth import worth_doing

        self.call_later(self._looked, *worth_doing(keeper_of(self.app), now_in(self.app)))

    def _looked(self, board: Overview, worth: str) -> None:
        self.board, self._worth = board, worth
        self._show()
        self._go_waiting()
        self.call_after_refresh(self._look_ahead)

    @work(thread=True, exclusive=True, group="look-ahead")
    def _look_ahead(self) -> None:
        """Have the plan ready: one key then opens the next problem at once."""
        from .looking import ahead

        weak = self.board is not None and bool(self.board.weak)
        wishes = ahead(keeper_of(self.app), now_in(self.app), weak=weak)
        self.call_later(self._planned, wishes)

    def _planned(self, wishes: dict[str, ProblemRequest]) -> None:
        self._wishes = wishes
        self._go_waiting()

    def _go_waiting(self) -> None:
        """Go where a key wanted to go before it was known what is there."""
        action, self._waiting = self._waiting, ""
        if action:
            self.call_later(self._go, action)

    def _drill(self) -> DrillScreen | None:
        """The drill, if it was opened from here."""
        if not self._rooms or not self.app.is_screen_installed(DRILL):
            return None
        from ..drill.screen import DrillScreen

        found = self.app.get_screen(DRILL)
        assert isinstance(found, DrillScreen)
        return found

    @property
    def _place(self) -> tuple[int, int, int] | None:
        """Where one can go on: level, rungs left behind, rungs."""
        drill = self._drill()
        climb = drill.climb if drill is not None else None
        if climb is not None:
            return climb.problem.level, climb.position, len(climb.rungs)
        return self.board.place if self.board is not None else None

    @property
    def fresh(self) -> bool:
        """Whether this is a first start."""
        if self.board is None:
            return self._fresh
        return self.board.fresh and self._place is None and self.rehearsal is None

    def _show(self) -> None:
        """Show the rungs and the page for what is known now."""
        ladder, page = self.query_one(OpeningLadder), self.query_one(OpeningPage)
        ladder.show(self._goals(), self._worth)
        top, board = self.query_one(TopLine), self.board
        top.about = fill("opening", "first.about")
        if self.fresh:
            page.show(self._first_page, keep=True)
        elif board is None:
            page.show(None)
        else:
            from ...documents.progress import blocks as progress_blocks
            from . import standing as opening_standing

            top.place = progress_blocks.exam_words(board)
            page.show(lambda width, height: opening_standing.page(board, width, height))
        if board is not None:
            self.query_one(Unsaved).say(board.trouble)
        self.refresh_bindings()

    def _first_page(self, width: int, height: int) -> list[StyledLine]:
        return opening_first.page(self._step, width, height)

    def _goals(self) -> list[Goal]:
        """The rungs, and what is to be said of each."""
        said, board = self._say(), self.board
        goals = []
        for action, key in KEYS.items():
            if action in (_LATER if self.fresh else _FIRST) or (action == "sheets" and served()):
                continue
            name, is_open = action.replace("_", "-"), True
            if action == "go_on":
                is_open = board is None or self._place is not None
            elif action == "due":
                name = "first" if self.fresh else "due"
            elif action == "weak":
                is_open = board is not None and bool(board.weak)
            goals.append(
                Goal(
                    action,
                    key,
                    fill("opening", f"goal.{name}"),
                    said[action],
                    is_open,
                    action in _NOW,
                )
            )
        return goals

    def _say(self) -> dict[str, str]:
        """One line for every rung."""
        said = dict.fromkeys(KEYS, fill("opening", "about.wait"))
        for action in (
            "inspect",
            "newcomer",
            "ten",
            "choose",
            "lesson",
            "bench",
            "progress",
            "sheets",
        ):
            said[action] = fill("opening", f"about.{action}")
        if self.fresh:
            said["inspect"] = fill("opening", "about.inspect-first")
            said["due"] = fill("opening", "about.first")
            said["exam"] = fill("opening", "about.exam-unset")
        if self.board is not None:
            from . import words as opening_words

            said["go_on"] = opening_words.go_on(self._place)
            said["weak"] = opening_words.weakest(self.board)
            said["exam"] = opening_words.exam(self.board)
            said["rehearse"] = opening_words.rehearsal(self._rehearsal_left)
            if not self.fresh:
                said["due"] = opening_words.upcoming(self.board)
        return said

    # Going somewhere

    @on(OpeningLadder.Picked)
    def _picked(self, event: OpeningLadder.Picked) -> None:
        self._go(event.action)

    def _go(self, action: str) -> None:
        if self.is_active:
            getattr(self, f"action_{action}")()

    def _ready(self, action: str) -> Overview | None:
        """What is worth doing; a key that comes before it is known is kept until it is."""
        if self.board is None:
            self._waiting = action
        return self.board

    def action_inspect(self) -> None:
        """Look at one circuit after another."""
        from .looking import look

        look(self)

    def action_newcomer(self) -> None:
        """Read first, and then look."""
        from .looking import read_first

        read_first(self)

    def action_go_on(self) -> None:
        """Go on where the learner was, and after that with what is due."""
        if self._ready("go_on") is None:
            return
        drill = self._drill()
        if drill is not None and drill.climb is not None:
            self.app.push_screen(DRILL)
            return
        keeper = keeper_of(self.app)
        place = keeper.place() if keeper is not None else None
        if place is None:  # another tutor has gone on with it meanwhile
            self.action_due()
        else:
            self._open(place.wish, self._plan("until-done"), place)

    def action_due(self) -> None:
        """Climb what is most worth climbing."""
        self._sit("until-done", "due")

    def action_ten(self) -> None:
        """Climb what is most worth climbing, for ten minutes."""
        self._sit("ten-minutes", "ten")

    def action_weak(self) -> None:
        """Climb what is weakest."""
        board = self._ready("weak")
        if board is not None and board.weak:
            self._sit("weak-spots", "weak")

    def _sit(self, mode: str, action: str) -> None:
        # In ten minutes the same comes first as until all is done.
        wish = self._wishes.pop("until-done" if mode == "ten-minutes" else mode, None)
        if wish is None:
            self._waiting = action
        else:
            self._open(wish, self._plan(mode))

    def _plan(self, mode: str) -> SessionPlan:
        from ...coach.planner import new_plan
        from ...learning.plan import Mode

        return new_plan(keeper_of(self.app), Mode(mode))

    def _open(
        self, wish: ProblemRequest, plan: SessionPlan | None, place: LeftOff | None = None
    ) -> None:
        """Open the drill at a problem."""
        drill = self._drill()
        self._rooms = True
        if drill is not None and place is None:
            drill.sit(wish, plan)
        else:
            from ..drill.screen import DrillScreen

            if drill is not None:
                self.app.uninstall_screen(drill)
                drill.remove()
            self.app.install_screen(DrillScreen(wish, place, plan), DRILL)
        self.app.push_screen(DRILL)

    def action_rehearse(self) -> None:
        """Rehearse the exam, go on with a rehearsal, or look at the last one's review."""
        if self._ready("rehearse") is None:
            return
        from .rehearsing import visit

        visit(self)

    @property
    def _rehearsal_left(self) -> float | None:
        """What is left of a rehearsal that was begun, in seconds."""
        if self.rehearsal is not None:
            exam = self.rehearsal.rehearsal
            return 60 * exam.minutes - exam.used(exam.looked)
        return self.board.rehearsal if self.board is not None else None

    def action_choose(self) -> None:
        """Choose problems by level, circuits and task."""
        from ...learning.request import ProblemRequest, draw_seed
        from ..drill.chooser import ChooserScreen

        drill = self._drill()
        now = (
            drill.wish
            if drill is not None
            else ProblemRequest(self._level, None, draw_seed(), None)
        )
        self.visit(ChooserScreen(now), self._chosen)

    def _chosen(self, wish: ProblemRequest | None) -> None:
        if wish is not None:
            self._open(wish, None)

    def action_lesson(self) -> None:
        """Read a lesson, that of the level at hand first."""
        from ..lesson.screen import LessonScreen

        self.visit(LessonScreen(self._level))

    @property
    def _level(self) -> int:
        """The level at hand: of the climb to go on with, or of what comes next."""
        if self._place is not None:
            return self._place[0]
        wish = self._wishes.get("until-done")
        return (wish.level if wish is not None else None) or 1

    def action_bench(self) -> None:
        """Turn parts and watch the curves."""
        from ...drafting.bench import example
        from ..bench.screen import BenchScreen

        self.visit(BenchScreen(example("series-rlc-across-c")))

    def action_progress(self) -> None:
        """See where one stands."""
        from ..progress.screen import ProgressScreen

        self.visit(ProgressScreen())

    def action_exam(self) -> None:
        """Set, change or forget the day of the exam."""
        board = self._ready("exam")
        if board is not None:
            from ..progress.exam import ExamScreen

            self.visit(ExamScreen(board.exam))

    def action_sheets(self) -> None:
        """Fill in a sheet that lies in this folder; a visitor has no business with files here."""
        if served():
            return
        from ..sheet.list import SheetsScreen

        self.visit(SheetsScreen(Path.cwd()), self._fill)

    def _fill(self, sheet: Path | None) -> None:
        if sheet is None:
            return
        from click import ClickException

        from ...classroom.handins.fill_in import opened
        from ..sheet.screen import SheetScreen

        try:
            filling, keep, target = opened(sheet, None)
        except ClickException as error:
            self.notify(error.format_message(), severity="error", timeout=20, markup=False)
            return
        self.visit(SheetScreen(filling, keep, target.name))

    def visit(self, screen: Screen[T], then: Callable[[T | None], None] | None = None) -> None:
        """Open a room, the ``screen``, and ``then`` do what; coming back one looks again."""
        self._rooms = True
        self.app.push_screen(screen, then)

    # Reading the page

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Steps belong to the worked example of a first start."""
        if action == "step":
            return self.fresh
        return True

    def action_step(self, by: int) -> None:
        """Go to another step of the worked example."""
        step = max(1, min(opening_first.STEPS, self._step + by))
        if step != self._step:
            self._step = step
            self._show()

    def action_leaf(self, way: int) -> None:
        """Scroll the page."""
        self.query_one(OpeningPage).leaf(way)
