"""A rehearsal of the exam: every answer is taken, and none is marked until it is handed in."""

from __future__ import annotations

from enum import Enum, auto
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import BindingType

from ....problems.questions.kinds import named_parts
from ...coach.rehearsal_run import RehearsalRun, begin, take_up
from ...language.dates import local_now
from ...language.errors import worded
from ...language.texts import Words
from ...learning.basis import AnswerBasis
from ...learning.request import UNMAKEABLE
from ...phrases import answer_text as saying
from ...phrases.rehearsal import left, say
from ...store.rehearsals import unfinished
from ..answers.answering import AnswerControls
from ..answers.body import AnswerBody
from ..answers.face import CircuitFace
from ..common.frame import framed
from ..common.keys import bound
from ..common.leaving import Leaving
from ..common.onward import OnwardLine
from ..common.problem_rungs import ProblemRungs
from ..common.session import keeper_of, now_in
from ..common.topline import TopLine
from .choice import HandInScreen
from .rungs import rehearsal_rungs

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from ....problems.questions.model import Question
    from ...learning.rehearsal_result import RehearsalResult

REGRET = 60.0
"""Seconds in which what was handed in can be taken back."""
_DRAFTED = 5
"""Seconds between two drafts."""


class RehearsalPhase(Enum):
    """What the screen waits for."""

    PROBLEMS = auto()
    ANSWER = auto()
    COMPLETE = auto()
    HANDED = auto()  # for a minute: it can be taken back
    MARKS = auto()


class RehearsalScreen(Leaving["RehearsalRun | RehearsalResult | None"]):
    """One rehearsal; dismissed with it, to be gone on with, or with what it came to.

    Args:
        count: Problems of a new one.
        minutes: How long a new one may take; ``None``: as its questions need.
        seed: Which problems, of those that suit the learner; ``None``: any.
        going: The one to go on with, if this tutor has had one open before.
    """

    CSS_PATH: ClassVar = ["../common/climb.tcss", "rehearsal.tcss"]
    HELP = say("help.rehearsal")
    BINDINGS: ClassVar[list[BindingType]] = [
        bound("f2,question_mark", "no_hint", "hint", show=False, priority=True),
        bound("f4,ctrl+s", "leave_open", "leave-open"),
        bound("pagedown", "turn(1)", "problem-next"),
        bound("pageup", "turn(-1)", "problem-before", show=False),
        bound("f9,ctrl+g", "hand_in", "hand-in"),
        bound("u", "take_back", "take-back"),
        bound("escape", "pause", "pause"),
    ]

    def __init__(
        self,
        count: int = 6,
        minutes: int | None = None,
        seed: int | None = None,
        going: RehearsalRun | None = None,
    ) -> None:
        super().__init__()
        self.going = going
        self.phase = RehearsalPhase.PROBLEMS
        self._new = count, minutes, seed
        self._bases: list[AnswerBasis] = []
        self._ticks = 0
        # Asked once more when the app has ended already.
        self._clock: Callable[[], datetime] = local_now
        self.rungs, self.face = ProblemRungs(), CircuitFace()
        self.body: AnswerBody[Question] = AnswerBody(self.rungs, self.face)

    def compose(self) -> ComposeResult:
        """As the drill; the ladder shows the problems."""
        yield from framed(self.body)

    def on_mount(self) -> None:
        """Fetch the problems beside the first paint."""
        self._wait_for(RehearsalPhase.PROBLEMS)
        if self.going is not None:
            self._begin(self.going)
            return
        self.body.tell(say("ask.fetching"))
        self._prepare()

    @work(thread=True)
    def _prepare(self) -> None:
        keeper, now = keeper_of(self.app), now_in(self.app)
        kept = unfinished(keeper) if keeper is not None else None
        try:
            going = take_up(keeper, kept, now) if keeper is not None and kept is not None else None
            going = going or begin(keeper, now, *self._new)
        except UNMAKEABLE as error:
            self.call_later(self.body.tell, say("ask.failed", why=worded(error)))
        else:
            self.call_later(self._begin, going)

    def _begin(self, going: RehearsalRun) -> None:
        self.going = going
        problems = going.rehearsal.problems
        self._bases = [AnswerBasis(named_parts(one), one.ladder) for one in problems]
        keeper = keeper_of(self.app)
        if keeper is not None:
            keeper.parting = self._part
        self._clock = getattr(self.app, "clock", local_now)
        going.rehearsal.start_clock(now_in(self.app))
        self._ask()
        if self.phase is RehearsalPhase.ANSWER:
            self.body.controls.restore(going.typed)
        self.set_interval(1, self._tick)

    # Asking

    def _ask(self) -> None:
        """Ask the question that the rehearsal has come to."""
        going = self.going
        assert going is not None
        exam = going.rehearsal
        self.rungs.show_problems(rehearsal_rungs(exam))
        if exam.complete:
            self.body.tell(say("ask.complete", given=len(exam.answers), count=len(exam.places)))
            self._wait_for(RehearsalPhase.COMPLETE)
        else:
            basis = self._bases[exam.number]
            self.body.ask(basis, exam.question)
            self.face.show(exam.problem, basis, exam.question)
            self.face.show_exhibit(exam.question)
            self._wait_for(RehearsalPhase.ANSWER)
        self._top()

    def _top(self) -> None:
        """The top line: where one is, and the time left."""
        going, top = self.going, self.query_one(TopLine)
        if going is None or self.phase is RehearsalPhase.MARKS:
            return
        exam = going.rehearsal
        time = left(exam.left(now_in(self.app)))
        if self.body.asked is None:
            top.place = say("ask.end", left=time)
            return
        number, at = exam.places[exam.at]
        top.about = say("ask.about", number=number + 1, count=len(exam.problems))
        count = len(exam.problem.questions)
        top.place = say("ask.place", number=at + 1, count=count, left=time)

    def _wait_for(self, phase: RehearsalPhase) -> None:
        self.phase = phase
        self.face.display = self.body.asked is not None
        onward = {
            RehearsalPhase.COMPLETE: say("ask.onward"),
            RehearsalPhase.HANDED: say("ask.review"),
        }.get(phase, "")
        self.body.wait(answer=phase is RehearsalPhase.ANSWER, onward=onward)

    def recover(self) -> None:
        """After a fault of the program: what it has come to, with what was typed."""
        if self.going is None:
            self.dismiss(None)
        elif self.phase is RehearsalPhase.MARKS:
            self._mark()
        elif self.phase is RehearsalPhase.HANDED:
            self._review()
        else:
            draft = self.body.controls.draft
            self._ask()
            if self.phase is RehearsalPhase.ANSWER:
                self.body.controls.restore(draft)

    # Answering

    @on(AnswerControls.Given)
    def _given(self, event: AnswerControls.Given) -> None:
        going, asked = self.going, self.body.answered(event)
        if going is None or asked is None:
            return
        given = going.give(event.text, now_in(self.app))
        if given is None:
            self._tick()
        elif given.trouble:
            self.body.note("unclear", Words.load().ui("drill.unclear"), worded(given.trouble))
        else:
            self._went_on(
                "taken", say("ask.taken"), saying.taken(asked, given.text, given.understood)
            )

    def action_leave_open(self) -> None:
        """Go on without an answer."""
        if self.going is not None and self.phase is RehearsalPhase.ANSWER:
            self.going.leave_open(now_in(self.app))
            self._went_on("skipped", say("ask.open"))

    def action_no_hint(self) -> None:
        """Say that there are no hints."""
        self.body.note("unclear", say("ask.no-hint"))

    def _went_on(self, kind: str, head: str, body: str = "") -> None:
        self.body.note(kind, head, body)
        keeper = keeper_of(self.app)
        if keeper is not None:
            self.body.say_if_unsaved(keeper)
        self._ask()

    def action_turn(self, by: int) -> None:
        """Turn to another problem."""
        if self.going is not None and self.phase is RehearsalPhase.ANSWER:
            exam = self.going.rehearsal
            exam.tick(now_in(self.app))
            before = exam.at
            exam.turn(by)
            if exam.at != before:
                self.body.notes.clear()
                self._ask()

    # The clock

    def _tick(self) -> None:
        going = self.going
        if going is None or self.phase not in (RehearsalPhase.ANSWER, RehearsalPhase.COMPLETE):
            return
        now = now_in(self.app)
        going.rehearsal.tick(now)
        if going.rehearsal.over(now):
            self._end(say("ask.up"))
            return
        self._top()
        self._ticks += 1
        if self._ticks % _DRAFTED == 0:
            self._draft(going, self.body.controls.draft)

    @work(thread=True, exclusive=True, group="draft")
    def _draft(self, going: RehearsalRun, typed: str) -> None:
        going.draft(typed, now_in(self.app))

    def _part(self) -> None:
        """Keep what is typed, before the record is closed; another tutor may go on then."""
        self._keep_draft()
        if self.going is not None:
            self.going.let_go()

    def _keep_draft(self) -> None:
        if self.going is not None and self.phase in (
            RehearsalPhase.ANSWER,
            RehearsalPhase.COMPLETE,
        ):
            self.going.draft(self.body.controls.draft, self._clock())

    def action_pause(self) -> None:
        """Leave; the time that is left is there when one comes back."""
        going = self.going
        if self.phase in (RehearsalPhase.MARKS, RehearsalPhase.HANDED) or not self.is_active:
            return
        if going is not None:
            going.rehearsal.tick(now_in(self.app))
            going.typed = self.body.controls.draft
            self._keep_draft()
            keeper = keeper_of(self.app)
            if keeper is not None:
                keeper.parting = going.let_go
        self.dismiss(going)

    def _stop(self) -> None:
        keeper = keeper_of(self.app)
        if keeper is not None:
            keeper.parting = None

    # Handing in

    def action_hand_in(self) -> None:
        """Ask whether it is to be handed in."""
        going = self.going
        if going is None or self.phase is not RehearsalPhase.ANSWER or not self.is_active:
            return
        self.app.push_screen(HandInScreen(going.rehearsal), self._decided)

    def _decided(self, sure: bool | None) -> None:
        if sure and self.phase is RehearsalPhase.ANSWER:
            self._hand()

    def _hand(self) -> None:
        """It is handed in; for a minute it can be taken back, then it is marked."""
        if self.going is not None:
            self.going.rehearsal.tick(now_in(self.app))
            self.going.typed = self.body.controls.draft
        self.body.tell(say("ask.handed"))
        self.body.notes.clear()
        self.query_one(TopLine).place = ""
        self._wait_for(RehearsalPhase.HANDED)
        self._regret = self.set_timer(REGRET, self._review)

    def action_take_back(self) -> None:
        """It was handed in by accident: go on, with the time that was left."""
        going = self.going
        if going is None or self.phase is not RehearsalPhase.HANDED:
            return
        self._regret.stop()
        going.rehearsal.start_clock(now_in(self.app))
        self._ask()
        if self.body.open:
            self.body.controls.restore(going.typed)
        self.body.note("taken", say("ask.taken-back"))

    def _review(self) -> None:
        """Nobody took it back: mark it."""
        if self.phase is RehearsalPhase.HANDED:
            self._regret.stop()
            self._end(say("ask.marking"))

    @on(OnwardLine.Pressed)
    def _onward(self) -> None:
        if self.phase is RehearsalPhase.COMPLETE:
            self._hand()
        elif self.phase is RehearsalPhase.HANDED:
            self._review()

    def _end(self, said: str) -> None:
        """It is over: mark it."""
        if isinstance(self.app.screen, HandInScreen):
            self.app.screen.dismiss(False)
        self.body.tell(said)
        self.body.notes.clear()
        self._wait_for(RehearsalPhase.MARKS)
        self._stop()
        self._mark()

    @work(thread=True, exclusive=True, group="mark")
    def _mark(self) -> None:
        going = self.going
        assert going is not None
        self.call_later(self._leave_with, going.hand_in(now_in(self.app)))

    def _leave_with(self, result: RehearsalResult) -> None:
        """Go to the review as soon as nothing lies on top of this screen."""
        if self.is_active:
            self.dismiss(result)
        else:
            self.set_timer(0.2, partial(self._leave_with, result))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys for a question that is being asked."""
        if action in ("leave_open", "hand_in", "no_hint"):
            return self.phase is RehearsalPhase.ANSWER
        if action == "take_back":
            return self.phase is RehearsalPhase.HANDED
        if action == "turn":
            going = self.going
            waiting = [n for n in range(len(self._bases)) if going and going.rehearsal.waits(n)]
            return self.phase is RehearsalPhase.ANSWER and len(waiting) > 1
        if action == "pause":
            return self.phase not in (RehearsalPhase.MARKS, RehearsalPhase.HANDED)
        return True
