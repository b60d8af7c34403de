"""The state of one climb: which rung is asked, what was tried, hinted, shown or skipped.

No screen and no words: the plain drill and the full screen both drive this, and whoever
wants a record listens to the events.  Nothing here changes until an answer is submitted, so
what is typed and not yet submitted belongs to the screen alone.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from ...problems.quantities.errors import Wording, wording
from ...problems.questions.kinds import REASON_OF, REASONS_BACK, named_parts
from ...problems.questions.model import Earlier, Mark, Problem, Question, Rung
from ..language.errors import worded
from ..language.texts import Words
from .basis import AnswerBasis
from .course import HINT_LEVELS, Course, Move, MoveKind, Other, Outcome, RungCourse

if TYPE_CHECKING:
    from ...problems.analysis.response import Facts
    from ...problems.hints.explanation import Explanation


@dataclass
class RungState:
    """One rung of the climb: its question, what has happened on it, and every mark in order.

    ``told`` are the explanations of its marks, as far as somebody has asked for them; ``None`` for
    one that explains nothing.
    """

    question: Question
    course: RungCourse
    marks: list[Mark] = field(default_factory=list)
    told: list[Explanation | None] = field(default_factory=list, compare=False)

    @property
    def hints(self) -> int:
        """The highest hint level shown (0 to 3)."""
        return self.course.hints

    @property
    def outcome(self) -> Outcome:
        """How it was left, if it was."""
        return self.course.outcome

    @property
    def wrong_tries(self) -> int:
        """Tries marked wrong; what was not understood is never counted."""
        return self.course.wrong

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
    """A climb began.

    ``worked`` rungs are to be shown worked instead of asked; ``spare`` ones are not asked where
    the type is right at once.
    """

    problem: Problem
    worked: frozenset[Rung] = frozenset()
    spare: frozenset[Rung] = frozenset()


Event = Began | Move | Other
"""What a climb tells: that it began, each move, and that the learner took over."""

Listener = Callable[[Event], None]


class Climb:
    """One climb up one problem.

    Args:
        problem: The problem to climb.
        listener: Told every event as it happens (a record can hang on it).
        worked: The rungs to be shown worked instead of asked.
        spare: The rungs not to be asked where the type is right at once.
    """

    def __init__(
        self,
        problem: Problem,
        listener: Listener | None = None,
        worked: Iterable[Rung] = (),
        spare: Iterable[Rung] = (),
    ) -> None:
        self.problem = problem
        self.worked = frozenset(worked)
        self.spare = frozenset(spare)
        self.basis = AnswerBasis(named_parts(problem), problem.ladder)
        self._course = Course(question.rung for question in problem.questions)
        self.rungs = list(map(RungState, problem.questions, self._course.rungs))
        self._listener = listener
        if listener is not None:
            listener(Began(problem, self.worked, self.spare))

    @property
    def facts(self) -> Facts:
        """The exact facts of the circuit; the screen is painted before they are needed."""
        found = self.basis.facts
        assert found is not None  # the whole circuit is known
        return found

    def warm(self) -> None:
        """Import and compute what the first answer needs, before it is given."""
        from ...problems.hints import why_wrong  # noqa: F401

        _ = self.facts

    @property
    def position(self) -> int:
        """How many rungs have been left: the place, from 0, of the one being asked."""
        return self._course.position

    @property
    def done(self) -> bool:
        """Whether every rung has been left."""
        return self._course.done

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
        state = self.current
        mark = self._graded(text)
        state.marks.append(mark)
        self._make(
            Move(
                MoveKind.ANSWERED,
                mark.rung,
                mark.typed,
                mark.verdict,
                mark.understood,
                worded(mark.trouble),
                tuple(hit.slip for hit in mark.slips),
            )
        )
        return mark

    def _graded(self, text: str) -> Mark:
        from ...problems.grading.grade import grade

        question = self.current.question
        return grade(self.problem, question, text, self.facts, Words.load().setting(question))

    @property
    def explanation(self) -> Explanation | None:
        """What is to be said of the latest mark of the rung being asked, if it was wrong."""
        return self.explained(self.position)[-1] if not self.done and self.current.marks else None

    def explained(self, index: int) -> tuple[Explanation | None, ...]:
        """What is to be said of each mark of a rung; ``None`` of one that was not wrong.

        The same error again is told more: the weakest explanation comes that was not told in this
        climb.  It follows from the marks alone: a climb that is climbed again says the same.

        Args:
            index: which rung, from 0.
        """
        for at, state in enumerate(self.rungs[: index + 1]):
            for mark in state.marks[len(state.told) :]:
                told = [e for s in self.rungs[: at + 1] for e in s.told if e is not None]
                state.told.append(self._explained(state, mark, self.known_before(at), told))
        return tuple(self.rungs[index].told)

    def explained_alone(self, index: int) -> Explanation | None:
        """What is to be said of the last mark of a rung as if it were the only wrong one.

        What was shown is not taken for known: of a rehearsal nothing is, until all is over.

        Args:
            index: which rung, from 0.
        """
        state = self.rungs[index]
        if state.last is None:
            return None
        known = [each for each in self.known_before(index) if each.said]
        return self._explained(state, state.last, known, ())

    def _explained(
        self,
        state: RungState,
        mark: Mark,
        known: Iterable[Earlier],
        told: Collection[Explanation],
    ) -> Explanation | None:
        from ...problems.hints.why_wrong import explanations, next_one

        return next_one(explanations(self.problem, state.question, mark, known), told)

    def known_before(self, index: int) -> tuple[Earlier, ...]:
        """The right answers known before rung ``index`` (from 0): those given, and shown."""
        said = (Outcome.CLEAN, Outcome.RIGHT)
        return tuple(
            Earlier(state.question.rung, state.question.truth, said=state.outcome in said)
            for state in self.rungs[:index]
            if state.outcome in (*said, Outcome.SHOWN, Outcome.WORKED)
        )

    def hint(self) -> int:
        """Go one hint level up (3 is the last) and return the level to show.

        Raises:
            IndexError: the climb is done.
        """
        state = self.current
        if state.hints < HINT_LEVELS:
            self._make(Move(MoveKind.HINTED, state.question.rung, level=state.hints + 1))
        return state.hints

    def show(self) -> Question:
        """Give this rung up and go on; returns the question whose answer may now be shown.

        Raises:
            IndexError: the climb is done.
        """
        question = self.current.question
        self._make(Move(MoveKind.SHOWN, question.rung))
        return question

    def skip(self) -> None:
        """Go on without an answer.

        Raises:
            IndexError: the climb is done.
        """
        self._make(Move(MoveKind.SKIPPED, self.current.question.rung))

    @property
    def example(self) -> bool:
        """Whether the rung it has come to is to be shown worked."""
        return not self.done and self.current.question.rung in self.worked

    def work(self) -> None:
        """Go on from a step that was shown worked.

        Raises:
            IndexError: the climb is done.
        """
        self._make(Move(MoveKind.WORKED, self.current.question.rung))

    def take_over(self) -> None:
        """Show no more steps worked: the learner wants to climb from here on."""
        if self.worked:
            self.worked = frozenset()
            if self._listener is not None:
                self._listener(Other.TOOK_OVER)

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
            if move.kind is MoveKind.GIVEN:
                break  # nothing of a climb: it is marked when the rehearsal is handed in
            if move.kind is MoveKind.ANSWERED:
                mark = self._mark_again(move)
                self.current.marks.append(mark)
                move = replace(move, verdict=mark.verdict)
            self._course.take(move)
            done += 1
        return done

    def _mark_again(self, move: Move) -> Mark:
        mark = self._graded(move.text)
        if move.verdict is not None and mark.verdict is not move.verdict:
            return replace(
                mark,
                verdict=move.verdict,
                understood=move.understood,
                trouble=_kept(move.trouble),
                slips=(),
                value=None,
            )
        # The record keeps no more of a long text than can be shown.
        if move.trouble and worded(mark.trouble) != move.trouble:
            return replace(mark, trouble=_kept(move.trouble))
        return mark

    def _make(self, move: Move) -> None:
        """Make a move: told before it leads on, so that it is kept before anything is shown."""
        if self._listener is not None:
            self._listener(move)
        self._course.take(move)
        if move.kind is not MoveKind.SPARED:
            self._spare()

    def _spare(self) -> None:
        """Leave the rungs that an answer right at once has made needless."""
        if not self.spare or not self.position or self.done:
            return
        type_rung = next((s for s in self.rungs if s.question.rung is Rung.TYPE), None)
        if type_rung is None or type_rung.outcome is not Outcome.CLEAN:
            return
        while not self.done and self.current.question.rung in self.spare:
            self._make(Move(MoveKind.SPARED, self.current.question.rung))

    def summary(self) -> Summary:
        """Count what happened so far."""
        outcomes = [state.outcome for state in self.rungs]
        clean = {s.question.rung for s in self.rungs if s.outcome is Outcome.CLEAN}
        unasked = (Outcome.WORKED, Outcome.SPARED)
        asked = {s.question.rung for s in self.rungs if s.outcome not in unasked}
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


def _kept(trouble: str) -> Wording | None:
    """The words that a record kept of an answer that was not understood."""
    return wording("answer.kept", text=trouble) if trouble else None
