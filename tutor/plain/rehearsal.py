"""A rehearsal of the exam in plain lines: the same questions, clock and review."""

from __future__ import annotations

import sys
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from ...problems.questions.kinds import face_of
from ...problems.questions.model import Face
from ..language.dates import lasting, local_now
from ..language.errors import worded
from ..phrases import answer_text as saying
from ..phrases.exam_looks import mistakes
from ..phrases.rehearsal import explained, family, given, left, say
from ..phrases.skills import skill_parts
from .drill import PlainDrill
from .inspect import PlainInspection
from .lines import HAND_IN, EndOfInput

if TYPE_CHECKING:
    from ..coach.rehearsal_run import RehearsalRun
    from ..learning.exam_round import ExamRound
    from ..learning.rehearsal_result import RehearsalItem, RehearsalResult
    from ..store.keeper import Keeper

TAKE_BACK = "u"
REGRET = timedelta(minutes=1)
"""How long what was handed in can be taken back."""


class PlainRehearsal:
    """A rehearsal that is ``going`` on, in ``lines`` on two streams, by a ``clock``."""

    def __init__(
        self, lines: PlainDrill, going: RehearsalRun, clock: Callable[[], datetime]
    ) -> None:
        self._lines, self._going, self._clock = lines, going, clock
        self._shown: tuple[int, Face] | None = None

    def run(self) -> RehearsalResult:
        """Ask the questions that are to be asked, mark everything, and review it.

        The end of the input, or of the time, hands in what is there.

        Raises:
            KeyboardInterrupt: the learner leaves; it can be gone on with.
        """
        out, exam = self._lines, self._going.rehearsal
        now = self._clock()
        exam.start_clock(now)
        asked = sum(exam.reached)
        values = {"count": len(exam.problems), "questions": len(exam.places) - asked}
        if asked:
            out.say(say("plain.again", left=left(exam.left(now)), **values))
        else:
            out.say(say("plain.opening", minutes=round(exam.minutes), **values))
        out.say(say("plain.keys"))
        with suppress(EndOfInput):
            while not exam.complete and self._ask():
                pass
        now = self._clock()
        if exam.over(now):
            out.gap()
            out.say(say("plain.up"))
        result = self._going.hand_in(now)
        out.gap()
        out.say(say("plain.handed-in"))
        self._review(result)
        return result

    def _ask(self) -> bool:
        """Ask the next question; whether the rehearsal goes on."""
        out, exam = self._lines, self._going.rehearsal
        number, at = exam.places[exam.at]
        problem, question = exam.problem, exam.question
        now = self._clock()
        exam.tick(now)
        out.gap()
        if self._shown is None or self._shown[0] != number:
            time = left(exam.left(now))
            out.say(say("plain.problem", number=number + 1, count=len(exam.problems), left=time))
        face = face_of(problem, question)
        if self._shown != (number, face):
            out.show(problem, face)
            self._shown = number, face
            out.gap()
        title = out.words.title(question.rung)
        count = len(problem.questions)
        out.say(say("plain.question", number=at + 1, count=count, title=title))
        out.ask(question)
        while True:
            typed = out.read()
            now = self._clock()
            self._going.awake(now)
            if exam.over(now):
                if typed:
                    out.say(say("plain.late"))
                return False
            if typed == HAND_IN:
                if self._regretted(now):
                    continue
                return False
            if not typed:
                self._going.leave_open(now)
                out.say(say("plain.open"))
                return True
            taken = self._going.give(typed, now)
            if taken is None:
                out.say(say("plain.late"))
                return False
            if not taken.trouble:
                found = saying.choice(question, taken.text)
                text = out.words.choice(question, found) if found else taken.understood
                out.say(say("plain.taken", text=text))
                return True
            out.say(say("plain.unclear", trouble=worded(taken.trouble)))

    def _regretted(self, handed: datetime) -> bool:
        """Whether what was handed in is taken back, within a minute."""
        out = self._lines
        out.say(say("plain.sure"))
        answer = ""
        with suppress(EndOfInput):
            answer = out.read()
        now = self._clock()
        if answer.lower() != TAKE_BACK or now - handed > REGRET:
            return False
        self._going.rehearsal.start_clock(now)
        out.say(say("plain.taken-back"))
        return True

    def _review(self, result: RehearsalResult) -> None:
        """The score, and every question with its answer, in words."""
        out = self._lines
        out.say(say("plain.score", right=result.right, count=len(result.items)))
        used, allowed = lasting(result.used), lasting(result.allowed)
        out.say(say("plain.used", used=used, allowed=allowed))
        if result.left_open:
            out.say(say("plain.left-open", count=result.left_open))
        out.gap()
        out.say(say("plain.skills"))
        for score in result.scores:
            rung, group = skill_parts(score.skill)
            values = {"right": score.right, "count": score.asked}
            out.say(say("plain.skill", rung=rung, group=group, **values), "  ", "  ")
        for number, climb in enumerate(result.climbs):
            items = [item for item in result.items if item.number == number]
            values = {"right": sum(item.right for item in items), "count": len(items)}
            out.gap()
            out.say(say("plain.review", number=number + 1, family=family(climb), **values))
            out.show(climb.problem, Face.CIRCUIT)
            for item in items:
                self._item(result, item)
            out.solve(climb.problem)

    def _item(self, result: RehearsalResult, item: RehearsalItem) -> None:
        out, question = self._lines, item.state.question
        out.gap()
        out.say(say("plain.item", number=item.at + 1, title=out.words.title(question.rung)))
        out.say(out.words.prompt(question))
        mine = given(item)
        if not item.answered:
            out.say(say("plain.none"))
        else:
            out.say(say("plain.right" if item.right else "plain.wrong", given=mine))
        if not item.right:
            out.say(say("plain.answer", answer=saying.right_words(question)))
            out.reason(result.climbs[item.number].problem, question)
            for sentence in explained(result, item):
                out.say(sentence, "  ", "  ")


def _looks(lines: PlainDrill, looks: ExamRound) -> ExamRound:
    """Ask the looks that a rehearsal begins with; the end of the input ends them."""
    lines.say(say("plain.looks", count=looks.length))
    asking = PlainInspection(
        lines.source, lines.output, lines.width, lines.ascii, False, lines.echo, lines.keeper
    )
    with suppress(EndOfInput):
        asking.ask_all(looks)
    lines.gap()
    return looks


def _review_looks(lines: PlainDrill, looks: ExamRound) -> None:
    lines.gap()
    right = len(looks.events) - len(looks.missed)
    lines.say(say("plain.looks-score", right=right, count=len(looks.events)))
    for circuit, why in mistakes(looks):
        lines.lines(circuit)
        lines.say(why, "  ", "  ")


def rehearse(
    keeper: Keeper,
    count: int,
    minutes: int | None,
    seed: int | None,
    width: int,
    draw: bool = False,
    *,
    clock: Callable[[], datetime] | None = None,
) -> None:
    """Rehearse on standard input and output; a rehearsal that was begun goes on.

    Args:
        keeper: who keeps the record.
        count: how many problems.
        minutes: how long it may take; by default as its questions need.
        seed: where the problems come from; by default chance.
        width: columns of a line.
        draw: whether circuits are drawn, too.
        clock: tells the time; by default the machine's.

    Raises:
        SystemExit: the learner has left it, to be gone on with (status 130).
    """
    from ..coach.exam_looks import begin_looks
    from ..coach.rehearsal_run import begin, take_up
    from ..store.rehearsals import unfinished

    clock = clock or local_now
    lines = PlainDrill.on_standard_streams(width, draw, keeper)
    try:
        kept = unfinished(keeper)
        going = take_up(keeper, kept, clock()) if kept is not None else None
        looks = None if going is not None else _looks(lines, begin_looks(keeper, clock(), seed))
        going = going or begin(keeper, clock(), count, minutes, seed)
        lines.say_if_unkept()
        try:
            PlainRehearsal(lines, going, clock).run()
            if looks is not None:
                _review_looks(lines, looks)
        except KeyboardInterrupt:
            now = clock()
            going.draft("", now)
            lines.gap()
            lines.say(say("plain.paused", left=left(going.rehearsal.left(now))))
            sys.stdout.flush()
            raise SystemExit(130) from None
        lines.say_if_unkept()
    finally:
        keeper.close()
