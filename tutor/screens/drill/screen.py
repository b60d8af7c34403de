"""The drill: one problem after another, each climbed rung by rung."""

from __future__ import annotations

from enum import Enum, auto
from typing import TYPE_CHECKING, ClassVar

from textual import events, on, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.screen import Screen

from ....problems.questions.model import Form, Question, Rung, Verdict
from ...language.errors import worded
from ...language.texts import Words, table
from ...learning.climb import Climb, Listener
from ...learning.course import HINT_LEVELS as LAST_HINT
from ...learning.full_circuit import spared
from ...learning.request import UNMAKEABLE, ProblemRequest
from ...phrases import answer_text as saying
from ..answers.answering import AnswerControls
from ..answers.body import AnswerBody
from ..answers.face import CircuitFace
from ..common import answer_notes
from ..common.frame import framed
from ..common.keys import bound
from ..common.onward import OnwardLine
from ..common.rungs import RungLine, Rungs
from ..common.session import LateListener, keeper_of, keeps
from ..common.topline import TopLine
from ..compat.untold import bound_keys
from .found import AnsweredList
from .next import NextProblem

if TYPE_CHECKING:
    from ....problems.questions.model import Problem
    from ...coach.planner import SessionPlan
    from ...store.events import LeftOff
    from ...store.keeper import Keeper
    from ..answers.pointed import Said


_WATCH = 0.5
"""Seconds between two looks at what is typed, to be kept as a draft."""


class DrillPhase(Enum):
    """What the screen waits for."""

    PROBLEM = auto()
    ANSWER = auto()
    ONWARD = auto()


class DrillScreen(Screen[None]):
    """Climbs one problem after another.

    Args:
        wish: The first problem; the next ones count their seeds on from it.
        place: Where the learner left off, if the first problem is to go on from there.
        plan: Says which problem comes after which; without one the seeds count on.
    """

    CSS_PATH = "../common/climb.tcss"
    HELP = Words.load().ui("help.drill")
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("f2,question_mark", "hint", "hint", priority=True),
        bound("f3,ctrl+r", "show", "show"),
        bound("f4,ctrl+s", "skip", "skip"),
        bound("f5,ctrl+o", "choose", "choose"),
        bound("pageup", "leaf(-1)", "leaf", show=False),
        bound("pagedown", "leaf(1)", "leaf", show=False),
        bound("f7,ctrl+l", "lesson", "lesson", show=False),
        bound("escape", "start", "start"),
        bound("t,f8", "take_over", "take-over"),
    ]

    def __init__(
        self,
        wish: ProblemRequest,
        place: LeftOff | None = None,
        plan: SessionPlan | None = None,
    ) -> None:
        super().__init__()
        self.wish = wish
        self.next = NextProblem(self, plan)
        self.climb: Climb | None = None
        self.spare: tuple[ProblemRequest, Problem] | None = None
        """A problem that was made before it is climbed."""
        self._place = place
        self._said: Said | None = None
        """What was said of the circuit last, for its drawing."""
        self.phase = DrillPhase.PROBLEM
        self.words = Words.load()
        self._early: list[events.Key] = []
        self.rungs, self.face, self.found = Rungs(), CircuitFace(), AnsweredList()
        self.body: AnswerBody[Question] = AnswerBody(self.rungs, self.face, self.found)

    def compose(self) -> ComposeResult:
        """Top line, ladder, circuit, question, notes, keys."""
        yield from framed(self.body)
        yield self.next

    def on_mount(self) -> None:
        """Paint, and have the first problem made."""
        if keeps(self.app):
            self.set_interval(_WATCH, self._watch)
        self.fetch(self.wish)

    @property
    def keeper(self) -> Keeper | None:
        """Keeps the learner's record; None where nothing is kept."""
        return keeper_of(self.app)

    @property
    def plan(self) -> SessionPlan | None:
        """Says which problem comes after which."""
        return self.next.plan

    def _watch(self) -> None:
        """Keep what is typed, and say if nothing is being kept."""
        keeper = self.keeper
        if keeper is None:
            return
        drafted = self.drafted()
        if drafted is not None:
            keeper.draft(*drafted)
        self.body.say_if_unsaved(keeper)

    def drafted(self) -> tuple[str, int] | None:
        """What is typed, and on which rung; also when the controls are gone already."""
        climb, asked = self.climb, self.body.asked
        if climb is None or asked is None:
            return None
        return self.body.controls.draft, climb.problem.questions.index(asked)

    # Getting a problem

    def fetch(self, wish: ProblemRequest) -> None:
        """Climb the problem of this wish as soon as it is made."""
        self.wish = wish
        if self.spare is not None and self.spare[0] == wish:
            self._begin(self.spare[1])
            return
        self.clear()
        self.prepare(wish)

    def on_key(self, event: events.Key) -> None:
        """Keep what is typed before the question is there: it is meant for the question."""
        if self.phase is DrillPhase.PROBLEM and event.key not in bound_keys(self):
            self._early.append(event)

    def on_screen_suspend(self) -> None:
        """What was typed ahead is not for what comes after another screen."""
        self._early = []

    def clear(self) -> None:
        """Show that a problem is being drawn."""
        self.climb = None
        self.body.tell(self.words.ui("drill.fetching"))
        self._wait_for(DrillPhase.PROBLEM)
        self.body.notes.clear()
        self.next.told("")

    @work(thread=True, group="prepare")
    def prepare(self, wish: ProblemRequest) -> None:
        """Make the problem of a wish beside the screen."""
        try:
            problem = wish.problem()
        except UNMAKEABLE as error:
            self.call_later(self._failed, wish, worded(error))
        else:
            self.call_later(self._ready, wish, problem, self._climb_again(wish, problem))

    def _climb_again(self, wish: ProblemRequest, problem: Problem) -> Climb | None:
        """The climb that goes on with this problem, if one does; takes a moment."""
        place, keeper = self._place, self.keeper
        if place is None or keeper is None or place.wish != wish:
            return None
        from .resuming import climb_again

        keeper.drafting = self.drafted
        return climb_again(problem, keeper, place)

    @work(thread=True, group="warm")
    def _warm(self, climb: Climb) -> None:
        """Get ready for the first answer and make the next problem, beside the screen."""
        climb.warm()
        for file in ("hints", "slips", "why", "looks"):
            table(file)

    def _ready(self, wish: ProblemRequest, problem: Problem, again: Climb | None) -> None:
        """A problem has been made; a climb that goes on has been climbed again."""
        if wish == self.wish and self.climb is None:
            self._begin(problem, again)
        elif wish == self.next.following:
            self.spare = (wish, problem)

    def _failed(self, wish: ProblemRequest, why: str) -> None:
        if wish == self.wish and self.climb is None:
            self.body.tell(self.words.ui("drill.failed", seed=wish.seed, why=why))

    def _begin(self, problem: Problem, again: Climb | None = None) -> None:
        place, self._place = self._place, None
        listener = self._hearing(self.wish) if again is None else None
        worked = self.plan.worked(problem) if self.plan is not None else frozenset[Rung]()
        spare = self.plan.spared(problem) if self.plan is not None else spared(problem)
        self.climb = climb = again or Climb(problem, listener, worked, spare)
        self.body.notes.clear()
        about = self.words.ui("drill.about", level=problem.level, seed=problem.seed)
        self.query_one(TopLine).about = about
        if again is not None and place is not None:
            self._go_on(climb, place)
        else:
            self._ask()
        self.spare = None
        # After this paint, so that nothing stands between the learner and the question.
        self.call_after_refresh(self._warm, climb)
        self.next.begun(climb, listener)
        early, self._early = self._early, []
        for key in early:
            typed = events.Key(key.key, key.character)
            self.app.post_message(typed.set_sender(self.app))

    def _hearing(self, wish: ProblemRequest) -> LateListener | None:
        """Who hears of a new climb, where a record is kept."""
        if not keeps(self.app):
            return None

        def begin() -> Listener:
            keeper = keeper_of(self.app)
            assert keeper is not None
            keeper.drafting = self.drafted
            return keeper.begin(wish)

        return LateListener(begin)

    def sit(self, wish: ProblemRequest, plan: SessionPlan | None) -> None:
        """Climb the problem of this ``wish``, and after it what the ``plan`` says."""
        self.next.follow(plan)
        self.fetch(wish)

    def _go_on(self, climb: Climb, place: LeftOff) -> None:
        """Put everything back on the screen as it was when the learner left."""
        from .resuming import notes, said, unread

        shown = unread(climb, place)
        at = climb.position - shown  # the question whose answer was being read
        self._ask(at)
        if climb.example and not shown:
            return
        if at < len(climb.rungs):
            state = climb.rungs[at]
            draft = place.draft if place.position == at else ""
            self.body.controls.come_back(draft, state.marks)
            for note in notes(climb, place.moves, at):
                self.body.notes.add(*note)
            self._said = said(climb, place.moves, at)
            self._draw()
            if shown:
                self._reveal(state.question)

    def _draw(self) -> None:
        """Show the problem, as far as the question in hand allows."""
        climb = self.climb
        assert climb is not None
        # Once a question has been left, by a surrender too, what comes next decides.
        current = None if climb.done else climb.current
        question = None if current is None else current.question
        self.face.show(climb.problem, climb.basis, question, self._said)
        self.face.show_exhibit(self.body.asked)

    # Asking

    def _ask(self, at: int | None = None) -> None:
        """Ask the rung the climb has come to, or put the question of another on the screen."""
        climb = self.climb
        assert climb is not None
        at = climb.position if at is None else at
        self._ladder()
        if at >= len(climb.rungs):
            self._top()
            return
        question, self._said = climb.rungs[at].question, None
        self.next.told(self.words.ui("drill.place", number=at + 1, count=len(climb.rungs)))
        self.body.ask(climb.basis, question)
        self._draw()
        if climb.example and at == climb.position:
            self._work(climb, question)
        else:
            self._wait_for(DrillPhase.ANSWER)

    def _work(self, climb: Climb, question: Question) -> None:
        """Show a step worked instead of asking it, and wait until it has been read."""
        self._said = question, LAST_HINT
        self._draw()
        if question.form in (Form.CHOICE, Form.SKETCH):
            self.body.controls.reveal(question)
        else:
            self.body.controls.restore(saying.right_words(question))
        self.body.note(*answer_notes.of_example(climb.problem, question))
        self._wait_for(DrillPhase.ONWARD, "onward-worked")

    def _top(self) -> None:
        """Every rung has been left: say what the climb came to, and wait."""
        assert self.climb is not None
        self._said = None
        self.body.tell("\n".join(saying.summary_lines(self.climb)))
        self._draw()
        self.next.told(self.words.ui("drill.top"))
        self._wait_for(DrillPhase.ONWARD, "onward-top")
        self.next.topped(self.climb)

    def _wait_for(self, phase: DrillPhase, onward: str = "") -> None:
        """Show the control that this phase needs, and give it the keys."""
        self.phase = phase
        said = self.words.ui(f"drill.{onward}") if onward else ""
        self.body.wait(answer=phase is DrillPhase.ANSWER, onward=said)

    def _ladder(self) -> None:
        climb = self.climb
        assert climb is not None
        lines = [RungLine(self.words.title(s.question.rung), s.outcome) for s in climb.rungs]
        self.rungs.show(lines, climb.position)
        self.found.show(saying.found(climb))

    def recover(self) -> None:
        """After a fault of the program: what the climb has come to, with what was typed."""
        if self.climb is None:
            self.fetch(self.wish)
            return
        asked, draft = self.body.asked, self.body.controls.draft
        self._ask()
        if self.body.asked is asked:
            self.body.controls.restore(draft)

    # Answering

    @on(AnswerControls.Given)
    def _given(self, event: AnswerControls.Given) -> None:
        climb, asked = self.climb, self.body.answered(event)
        if climb is None or asked is None:
            return
        mark = climb.answer(event.text)
        self.body.controls.marked(event.text, mark)
        if mark.passed:
            self.body.notes.clear()
        explanation = climb.explanation if mark.verdict is Verdict.WRONG else None
        self.body.notes.add(*answer_notes.of_mark(asked, mark, explanation))
        if explanation is not None:
            self._said = asked, explanation, climb.current.wrong_tries > 1
            self._draw()
        if mark.passed and asked.form is Form.SKETCH:
            self._reveal(asked)  # the right picture lies on the learner's until Enter goes on
        elif mark.passed:
            self._ask()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Hints, answers and skips are for a question that is being asked."""
        if action in ("hint", "show", "skip"):
            return self.phase is DrillPhase.ANSWER
        if action == "take_over":
            return self.climb is not None and self.climb.example
        if action == "start":
            return self.app.screen_stack[0] is not self
        return True

    def action_hint(self) -> None:
        """Show the next hint."""
        climb, asked = self.climb, self.body.asked
        if climb is None or asked is None or self.phase is not DrillPhase.ANSWER:
            return
        notes, ui, before = self.body.notes, self.words.ui, climb.current.hints
        level = climb.hint()
        if level == before:
            notes.add("hint", ui("drill.no-more-hints"), ui("drill.no-more-hints-body"))
            return
        hint = self.words.hint(climb.problem, asked, level)
        notes.add("hint", ui("drill.hint", level=level), hint)
        self._said = asked, level
        self._draw()

    def action_show(self) -> None:
        """Show the answer and wait until it has been read."""
        climb, asked = self.climb, self.body.asked
        if climb is None or asked is None or self.phase is not DrillPhase.ANSWER:
            return
        climb.show()
        self._said = asked, LAST_HINT
        self._reveal(asked)
        self.body.notes.add(*answer_notes.of_shown(climb.problem, asked))

    def _reveal(self, asked: Question) -> None:
        """Show the answer on the control, and the circuit as it is now known; and wait."""
        self._ladder()
        self._draw()
        self.body.controls.reveal(asked)
        self._wait_for(DrillPhase.ONWARD, "onward")

    def action_skip(self) -> None:
        """Go on without an answer."""
        climb, asked = self.climb, self.body.asked
        if climb is None or asked is None or self.phase is not DrillPhase.ANSWER:
            return
        climb.skip()
        self.body.note("skipped", self.words.ui("drill.skipped"), self.words.title(asked.rung))
        self._ask()

    @on(OnwardLine.Pressed)
    def _onward(self) -> None:
        climb = self.climb
        if climb is None or self.phase is not DrillPhase.ONWARD:
            return
        if self.body.asked is None:
            self._summit(climb)
        elif climb.example and climb.current.question is self.body.asked:
            climb.work()
            self.body.notes.clear()
            self._ask()
        else:
            self.body.notes.clear()
            self._ask()
            self._watch()
            if self.keeper is not None:  # coming back does not show the answer once more
                self.keeper.settle()

    def action_take_over(self) -> None:
        """Climb from here on, instead of reading steps that are worked."""
        climb = self.climb
        if climb is None or not climb.example or self.phase is not DrillPhase.ONWARD:
            return
        climb.take_over()
        self.body.notes.clear()
        self._ask()

    def _summit(self, climb: Climb) -> None:
        from .summit import SummitScreen

        self.app.push_screen(SummitScreen(climb), self._after_summit)

    def _after_summit(self, go_on: bool | None) -> None:
        if go_on:
            self.next.climb_on()

    def action_lesson(self) -> None:
        """Show the short lesson of the level being climbed."""
        from ..lesson.screen import LessonScreen

        if self.climb is not None:
            self.app.push_screen(LessonScreen(self.climb.problem.level))

    def action_start(self) -> None:
        """Back to the opening screen; the climb can be gone on with from there."""
        if self.is_active and self.app.screen_stack[0] is not self:
            self.app.pop_screen()

    def action_leaf(self, way: int) -> None:
        """Scroll the notes by a page."""
        notes = self.body.notes
        notes.scroll_relative(y=way * max(1, notes.size.height - 1), animate=False)

    def action_choose(self) -> None:
        """Choose other problems."""
        from .chooser import ChooserScreen

        self.app.push_screen(ChooserScreen(self.wish), self._chosen_wish)

    def _chosen_wish(self, wish: ProblemRequest | None) -> None:
        if wish is not None:
            self.sit(wish, None)
