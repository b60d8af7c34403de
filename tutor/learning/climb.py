"""The state of one climb: which rung is asked, what was tried, hinted, shown or skipped.

No screen and no words: the plain drill and the full screen both drive this, and whoever
wants a record listens to the events.  Nothing here changes until an answer is submitted, so
what is typed and not yet submitted belongs to the screen alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from ...problems.questions.model import REASONS_BACK, Mark, Problem, Question, Rung, Verdict
from .basis import AnswerBasis

if TYPE_CHECKING:
    from ...problems.analysis.response import Facts

HINT_LEVELS = 3


class Outcome(StrEnum):
    """How a rung was left."""

    OPEN = "open"  # not left yet
    CLEAN = "clean"  # right at the first try, without a hint
    RIGHT = "right"  # right, after a wrong try or with a hint
    SHOWN = "shown"  # the learner asked to be shown the answer
    SKIPPED = "skipped"
    WORKED = "worked"  # shown worked, as an example: it was never the learner's to answer


@dataclass
class RungState:
    """One rung of the climb and everything that happened on it.

    ``marks`` holds every mark in order; ``hints`` is the highest hint level shown (0 to 3).
    """

    question: Question
    marks: list[Mark] = field(default_factory=list)
    hints: int = 0
    outcome: Outcome = Outcome.OPEN

    @property
    def wrong_tries(self) -> int:
        """Tries marked wrong; what was not understood is never counted."""
        return sum(mark.verdict is Verdict.WRONG for mark in self.marks)

    @property
    def last(self) -> Mark | None:
        """The latest mark, if any."""
        return self.marks[-1] if self.marks else None


@dataclass(frozen=True)
class Summary:
    """What a climb (or the part of it that was climbed) came to; counts of rungs.

    ``clean`` is right at the first try without a hint; ``helped`` is right later or with a
    hint.  ``full`` counts steps with full marks out of ``steps``: a step whose reason is asked
    has full marks only if answer and reason were both clean.  ``worked`` rungs were shown as an
    example; nothing else counts them.
    """

    asked: int
    clean: int
    helped: int
    hinted: int
    shown: int
    skipped: int
    left: int
    steps: int
    full: int
    worked: int = 0


@dataclass(frozen=True)
class Began:
    """A climb began; ``worked`` rungs are to be shown worked instead of asked."""

    problem: Problem
    worked: frozenset[Rung] = frozenset()


@dataclass(frozen=True)
class Answered:
    """An answer was submitted and marked."""

    rung: Rung
    mark: Mark
    tries: int
    hints: int


@dataclass(frozen=True)
class Hinted:
    """A hint level (1 to 3) was shown for the first time."""

    rung: Rung
    level: int


@dataclass(frozen=True)
class AnswerShown:
    """The learner asked for the answer."""

    rung: Rung


@dataclass(frozen=True)
class Skipped:
    """The learner went on without an answer."""

    rung: Rung


@dataclass(frozen=True)
class Worked:
    """A step was shown worked, and the learner went on from it."""

    rung: Rung


@dataclass(frozen=True)
class TookOver:
    """The learner wants no more steps worked."""


@dataclass(frozen=True)
class Finished:
    """The last rung was left."""

    summary: Summary


class MoveKind(StrEnum):
    """What a learner can do on a rung."""

    ANSWERED = "answered"
    HINTED = "hinted"
    SHOWN = "shown"
    SKIPPED = "skipped"
    WORKED = "worked"
    GIVEN = "given"  # an answer taken without a mark, or none (""): a rehearsal


@dataclass(frozen=True, slots=True)
class Move:
    """Something done on a rung, as a record keeps it: enough to do it again.

    ``text``, ``verdict``, ``understood``, ``trouble`` and ``slips`` belong to an answer,
    ``level`` to a hint.  ``seconds`` passed since the move before, or since the rung was
    first asked for.
    """

    kind: MoveKind
    rung: Rung
    text: str = ""
    verdict: Verdict | None = None
    understood: str = ""
    trouble: str = ""
    slips: tuple[str, ...] = ()
    level: int = 0
    seconds: float = 0.0


Event = Began | Answered | Hinted | AnswerShown | Skipped | Worked | TookOver | Finished
Listener = Callable[[Event], None]


class Climb:
    """One climb up one problem.

    Args:
        problem: The problem to climb.
        listener: Told every event as it happens (a record can hang on it).
        worked: The rungs to be shown worked instead of asked.
    """

    def __init__(
        self,
        problem: Problem,
        listener: Listener | None = None,
        worked: Iterable[Rung] = (),
    ) -> None:
        self.problem = problem
        self.worked = frozenset(worked)
        self.basis = AnswerBasis(problem.ladder.elements(), problem.ladder)
        self.rungs = [RungState(question) for question in problem.questions]
        self.position = 0
        self._listener = listener
        self._tell(Began(problem, self.worked))

    def _tell(self, event: Event) -> None:
        if self._listener is not None:
            self._listener(event)

    @property
    def facts(self) -> Facts:
        """The exact facts of the circuit; the screen is painted before they are needed."""
        found = self.basis.facts
        assert found is not None  # the whole circuit is known
        return found

    def warm(self) -> None:
        """Import and compute what the first answer needs, before it is given."""
        from ...problems.hints import hint as hints  # noqa: F401

        _ = self.facts

    @property
    def done(self) -> bool:
        """Whether every rung has been left."""
        return self.position >= len(self.rungs)

    @property
    def current(self) -> RungState:
        """The rung being asked.

        Raises:
            IndexError: the climb is done.
        """
        return self.rungs[self.position]

    def answer(self, text: str) -> Mark:
        """Mark an answer; a passing one leads to the next rung.

        Raises:
            IndexError: the climb is done.
        """
        from ...problems.grading.grade import grade

        state = self.current
        mark = grade(self.problem, state.question, text, self.facts)
        state.marks.append(mark)
        self._tell(Answered(mark.rung, mark, len(state.marks), state.hints))
        if mark.passed:
            self._leave(self._outcome(state))
        return mark

    def hint(self) -> int:
        """Go one hint level up (3 is the last) and return the level to show.

        Raises:
            IndexError: the climb is done.
        """
        state = self.current
        if state.hints < HINT_LEVELS:
            state.hints += 1
            self._tell(Hinted(state.question.rung, state.hints))
        return state.hints

    def show(self) -> Question:
        """Give this rung up and go on; returns the question whose answer may now be shown.

        Raises:
            IndexError: the climb is done.
        """
        question = self.current.question
        self._tell(AnswerShown(question.rung))
        self._leave(Outcome.SHOWN)
        return question

    def skip(self) -> None:
        """Go on without an answer.

        Raises:
            IndexError: the climb is done.
        """
        self._tell(Skipped(self.current.question.rung))
        self._leave(Outcome.SKIPPED)

    @property
    def example(self) -> bool:
        """Whether the rung it has come to is to be shown worked."""
        return not self.done and self.current.question.rung in self.worked

    def work(self) -> None:
        """Go on from a step that was shown worked.

        Raises:
            IndexError: the climb is done.
        """
        self._tell(Worked(self.current.question.rung))
        self._leave(Outcome.WORKED)

    def take_over(self) -> None:
        """Show no more steps worked: the learner wants to climb from here on."""
        if self.worked:
            self.worked = frozenset()
            self._tell(TookOver())

    def replay(self, moves: Iterable[Move]) -> int:
        """Do again what a record says was done; the listener, which knows it, is not told.

        An answer is marked anew for the words of its mark, but the verdict that the learner
        was told stands.  A move that does not fit the rung it finds ends the replay.

        Returns:
            How many moves were done again.
        """
        done = 0
        for move in moves:
            if self.done or self.current.question.rung != move.rung:
                break
            match move.kind:
                case MoveKind.ANSWERED:
                    self._answer_again(move)
                case MoveKind.HINTED:
                    self.current.hints = max(self.current.hints, min(move.level, HINT_LEVELS))
                case MoveKind.SHOWN:
                    self._pass(Outcome.SHOWN)
                case MoveKind.SKIPPED:
                    self._pass(Outcome.SKIPPED)
                case MoveKind.WORKED:
                    self._pass(Outcome.WORKED)
                case MoveKind.GIVEN:
                    break  # nothing of a climb: it is marked when the rehearsal is handed in
            done += 1
        return done

    def _answer_again(self, move: Move) -> None:
        from ...problems.grading.grade import grade

        state = self.current
        mark = grade(self.problem, state.question, move.text, self.facts)
        if move.verdict is not None and mark.verdict is not move.verdict:
            mark = replace(
                mark,
                verdict=move.verdict,
                understood=move.understood,
                trouble=move.trouble,
                slips=(),
            )
        elif move.trouble:  # the record keeps no more of a long text than can be shown
            mark = replace(mark, trouble=move.trouble)
        state.marks.append(mark)
        if mark.passed:
            self._pass(self._outcome(state))

    @staticmethod
    def _outcome(state: RungState) -> Outcome:
        """How a rung that has just been answered rightly is left."""
        return Outcome.RIGHT if state.hints or state.wrong_tries else Outcome.CLEAN

    def _pass(self, outcome: Outcome) -> None:
        self.current.outcome = outcome
        self.position += 1

    def _leave(self, outcome: Outcome) -> None:
        self._pass(outcome)
        if self.done:
            self._tell(Finished(self.summary()))

    def summary(self) -> Summary:
        """Count what happened so far."""
        from ...problems.questions.analyse import REASON_OF

        outcomes = [state.outcome for state in self.rungs]
        clean = {s.question.rung for s in self.rungs if s.outcome is Outcome.CLEAN}
        asked = {s.question.rung for s in self.rungs if s.outcome is not Outcome.WORKED}
        pairs = [*REASON_OF.items(), *REASONS_BACK.items()]
        reasons = {rung: why for rung, why in pairs if {rung, why} <= asked}
        steps = asked - set(reasons.values())
        return Summary(
            asked=len(asked),
            clean=outcomes.count(Outcome.CLEAN),
            helped=outcomes.count(Outcome.RIGHT),
            hinted=sum(state.hints > 0 for state in self.rungs),
            shown=outcomes.count(Outcome.SHOWN),
            skipped=outcomes.count(Outcome.SKIPPED),
            left=outcomes.count(Outcome.OPEN),
            steps=len(steps),
            full=sum(rung in clean and reasons.get(rung, rung) in clean for rung in steps),
            worked=outcomes.count(Outcome.WORKED),
        )
