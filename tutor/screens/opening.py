"""The opening screen: what is worth doing now, and one key to each room."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container
from textual.content import Content
from textual.message import Message
from textual.screen import Screen

from ..sitting import keeper_of, now_in
from ..widgets.keyline import KeyLine
from ..widgets.room import Room
from ..widgets.topline import TopLine
from ..widgets.unkept import Unkept
from ..wish import Wish
from ..wording import bound
from ..words import Words, fill
from . import opening_first
from .opening_ladder import Goal, OpeningLadder
from .opening_page import OpeningPage

if TYPE_CHECKING:
    from ...problems.problem import Problem
    from ..climb import Climb
    from ..headstart import Ahead
    from ..outlook import Outlook, Plan
    from ..review import Mode
    from ..store.keeper import Place
    from .drill import DrillScreen

KEYS = {
    "go_on": "g",
    "due": "n",
    "weak": "w",
    "choose": "c",
    "lesson": "l",
    "bench": "b",
    "progress": "p",
    "exam": "e",
}
"""The key of each rung, in the order of the rungs; there is room for a few more."""
DRILL = "drill"
"""The name under which the drill stays alive while other screens lie on top or below."""


class OpeningScreen(Screen[None]):
    """Where everything starts from, and where Esc leads back to.

    Args:
        fresh: Whether there is no record yet, as far as can be said without reading it.
        start: What is worth doing, if it is being worked out already.
    """

    HELP = Words.load().ui("help.opening")
    AUTO_FOCUS = "OpeningLadder"
    BINDINGS: ClassVar[list[BindingType]] = [
        *(bound(key, action, action.replace("_", "-"), show=False) for action, key in KEYS.items()),
        bound("right", "step(1)", "forward"),
        bound("left", "step(-1)", "back", show=False),
        bound("pageup", "leaf(-1)", "leaf-page", show=False),
        bound("pagedown", "leaf(1)", "leaf-page", show=False),
    ]

    class Looked(Message):
        """What is worth doing has been worked out."""

        def __init__(self, outlook: Outlook) -> None:
            super().__init__()
            self.outlook = outlook

    def __init__(self, *, fresh: bool = True, start: Ahead[Outlook] | None = None) -> None:
        super().__init__()
        self.outlook: Outlook | None = None
        self._fresh = fresh
        self._start = start
        self._step = 1
        self._waiting = ""
        self._spare: tuple[Wish, Problem] | None = None

    def compose(self) -> ComposeResult:
        """The ladder on the left, the page on the right."""
        yield TopLine()
        yield Room()
        with Container(id="opening"):
            yield OpeningLadder()
            yield OpeningPage()
        yield Unkept()
        yield KeyLine()

    def on_mount(self) -> None:
        """Show what is known already, and have the rest worked out beside the first paint."""
        start = self._start
        if start is not None and start.ready:
            self._start = None
            with suppress(Exception):  # else looked for once more, here
                self.outlook = start.result()
        self._show()
        if self.outlook is None:
            self._look()

    def on_screen_resume(self) -> None:
        """Back from another room: look again."""
        if self.outlook is not None:
            self._look()

    # What is worth doing

    @work(thread=True, exclusive=True, group="look")
    def _look(self) -> None:
        from ..outlook import look, new_chance

        start, self._start = self._start, None
        if start is None:
            found = look(keeper_of(self.app), now_in(self.app), new_chance())
        else:
            found = start.result()
        self.post_message(self.Looked(found))

    @on(Looked)
    def _looked(self, message: Looked) -> None:
        self.outlook = message.outlook
        self._show()
        if self._waiting:
            self.call_later(self._go, self._waiting)
            self._waiting = ""

    def _drill(self) -> DrillScreen | None:
        """The drill, if it was opened from here."""
        from .drill import DrillScreen

        if not self.app.is_screen_installed(DRILL):
            return None
        found = self.app.get_screen(DRILL)
        assert isinstance(found, DrillScreen)
        return found

    @property
    def _climb(self) -> Climb | None:
        """The climb that can be gone on with in this tutor."""
        drill = self._drill() if self.outlook is not None else None
        return drill.climb if drill is not None else None

    @property
    def fresh(self) -> bool:
        """Whether this is a first start."""
        if self.outlook is None:
            return self._fresh
        return self.outlook.fresh and self._climb is None

    def _show(self) -> None:
        """Show the rungs and the page for what is known now."""
        ladder, page = self.query_one(OpeningLadder), self.query_one(OpeningPage)
        ladder.show(self._goals())
        top, outlook = self.query_one(TopLine), self.outlook
        top.about = fill("opening", "first.about")
        self.query_one(Unkept).say(outlook.trouble if outlook is not None else "")
        if self.fresh:
            page.show(self._first_page, keep=True)
        elif outlook is None:
            page.show(None)
        else:
            from . import opening_standing, progress_blocks

            top.place = progress_blocks.exam_words(outlook)
            page.show(lambda width, height: opening_standing.page(outlook, width, height))
        self.refresh_bindings()

    def _first_page(self, width: int, height: int) -> list[Content]:
        return opening_first.page(self._step, width, height)

    def _goals(self) -> list[Goal]:
        """The rungs, and what is to be said of each."""
        said, outlook = self._say(), self.outlook
        goals = []
        for action, key in KEYS.items():
            name = action.replace("_", "-")
            is_open = True
            if action in ("go_on", "weak") and self.fresh:
                continue
            if action == "go_on":
                is_open = outlook is None or bool(outlook.place or self._climb)
            elif action == "due":
                name = "first" if self.fresh else "due"
            elif action == "weak":
                is_open = outlook is not None and bool(outlook.standing.weak)
            goals.append(Goal(action, key, fill("opening", f"goal.{name}"), said[action], is_open))
        return goals

    def _say(self) -> dict[str, str]:
        """One line for every rung."""
        wait = fill("opening", "about.wait")
        said = dict.fromkeys(KEYS, wait)
        for action in ("choose", "lesson", "bench", "progress"):
            said[action] = fill("opening", f"about.{action}")
        outlook = self.outlook
        if self.fresh:
            said["due"] = fill("opening", "about.first")
            said["exam"] = fill("opening", "about.exam-unset")
        if outlook is not None:
            from .opening_words import exam, go_on, upcoming
            from .progress_blocks import weakest_words

            said["go_on"] = go_on(outlook, self._climb)
            said["due"] = said["due"] if self.fresh else upcoming(outlook)
            said["weak"] = weakest_words(outlook.weakest)
            said["exam"] = exam(outlook)
        return said

    # Going somewhere

    @on(OpeningLadder.Picked)
    def _picked(self, event: OpeningLadder.Picked) -> None:
        self._go(event.action)

    def _go(self, action: str) -> None:
        if self.is_current:
            getattr(self, f"action_{action}")()

    def _ready(self, action: str) -> Outlook | None:
        """What is worth doing; a key that comes before it is known is kept until it is."""
        if self.outlook is None:
            self._waiting = action
        return self.outlook

    def action_go_on(self) -> None:
        """Go on where the learner was, and after that with what is due."""
        from ..review import Mode

        outlook = self._ready("go_on")
        if outlook is None:
            return
        if self._climb is not None:
            self.app.push_screen(DRILL)
        elif outlook.place is not None:
            self._open(outlook.place.wish, self._plan(Mode.UNTIL_DONE), outlook.place)
        else:
            self.action_due()

    def action_due(self) -> None:
        """Climb what is most worth climbing."""
        from ..review import Mode

        self._sit(Mode.UNTIL_DONE, "due")

    def action_weak(self) -> None:
        """Climb what is weakest."""
        from ..review import Mode

        outlook = self._ready("weak")
        if outlook is not None and outlook.standing.weak:
            self._sit(Mode.WEAK_SPOTS, "weak")

    def _sit(self, mode: Mode, action: str) -> None:
        outlook = self._ready(action)
        if outlook is not None:
            self._open(outlook.wishes[mode], self._plan(mode))

    def _plan(self, mode: Mode) -> Plan:
        from ..outlook import new_plan

        return new_plan(keeper_of(self.app), mode)

    def _open(self, wish: Wish, plan: Plan | None, place: Place | None = None) -> None:
        """Open the drill at a problem."""
        from .drill import DrillScreen

        drill = self._drill()
        if drill is not None and place is None:
            drill.sit(wish, plan)
        else:
            if drill is not None:
                self.app.uninstall_screen(drill)
                drill.remove()
            self.app.install_screen(DrillScreen(wish, None, place, plan), DRILL)
        self.app.push_screen(DRILL)

    def action_choose(self) -> None:
        """Choose problems by level, circuits and task."""
        from .chooser import ChooserScreen

        outlook = self._ready("choose")
        if outlook is not None:
            from ..review import Mode

            wish = outlook.wishes[Mode.UNTIL_DONE]
            now = Wish(wish.level, None, wish.seed, None)
            self.app.push_screen(ChooserScreen(now), self._chosen)

    def _chosen(self, wish: Wish | None) -> None:
        if wish is not None:
            self._open(wish, None)

    def action_lesson(self) -> None:
        """Read a lesson, that of the level at hand first."""
        from .lesson import LessonScreen

        outlook = self.outlook
        level = 1
        if outlook is not None and outlook.wishes:
            level = next(iter(outlook.wishes.values())).level or 1
        self.app.push_screen(LessonScreen(level))

    def action_bench(self) -> None:
        """Turn parts and watch the curves."""
        from ..bench import example
        from .bench import BenchScreen

        self.app.push_screen(BenchScreen(example("series-rlc-across-c")))

    def action_progress(self) -> None:
        """See where one stands."""
        from .progress import ProgressScreen

        self.app.push_screen(ProgressScreen())

    def action_exam(self) -> None:
        """Set, change or forget the day of the exam."""
        from .progress_exam import ExamScreen

        outlook = self._ready("exam")
        if outlook is not None:
            self.app.push_screen(ExamScreen(outlook.exam), self._examined)

    def _examined(self, changed: bool | None) -> None:
        if changed:
            self._look()

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
        page = self.query_one(OpeningPage)
        page.scroll_by(way * max(1, page.size.height - 1))
