"""A climb taken up where it was left: what stood on the drill's screen, from the moves made."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ....problems.questions.model import Form
from ...language.texts import Words
from ...learning.climb import Climb, RungState
from ...learning.course import HINT_LEVELS, Move, MoveKind, Outcome
from ..common import answer_notes as drill_notes

if TYPE_CHECKING:
    from ....problems.questions.model import Problem
    from ...store.events import LeftOff
    from ...store.keeper import Keeper
    from ..answers.pointed import Said
    from ..common.answer_notes import Note


def climb_again(problem: Problem, keeper: Keeper, place: LeftOff) -> Climb | None:
    """The climb of a place, on the rung it had come to; None if this is another problem.

    Args:
        problem: the problem of the seed, as this release makes it.
        keeper: of whose record the place is, and which keeps what follows.
        place: where it was left.
    """
    if not place.fits(problem):
        keeper.leave(place)  # a later release makes another problem of the same seed
        return None
    climb = Climb(problem, keeper.resume(place), place.worked, place.start.spare)
    climb.replay(place.moves)
    return climb


def unread(climb: Climb, place: LeftOff) -> bool:
    """Whether a ``climb`` left at a ``place`` had shown an answer that was not gone on from."""
    if not place.moves or not climb.position or place.position >= climb.position:
        return False
    left = climb.rungs[climb.position - 1]
    if left.question.rung != place.moves[-1].rung:
        return False  # something was done on the rung after it
    return left.outcome is Outcome.SHOWN or _overlaid(left)


def _overlaid(state: RungState) -> bool:
    """Whether the right sketch was laid over the learner's own, to be looked at."""
    return state.question.form is Form.SKETCH and state.outcome in (Outcome.CLEAN, Outcome.RIGHT)


def notes(climb: Climb, moves: Sequence[Move], index: int) -> list[Note]:
    """The notes beside the rung ``index`` (from 0) of a ``climb``, after ``moves`` made in it."""
    words, said = Words.load(), list[tuple[str, str, str]]()
    before = index - 1
    while before >= 0 and climb.rungs[before].outcome is Outcome.SPARED:
        before -= 1  # what was said belongs to the answer that has spared these
    if before >= 0 and (leaving := _leaving(climb, before)):
        said.append(leaving)
    state = climb.rungs[index]
    if _overlaid(state):
        return [drill_notes.of_mark(state.question, state.marks[-1])]
    question = state.question
    marks = iter(zip(state.marks, climb.explained(index), strict=True))
    for move in moves:
        if move.rung != question.rung:
            continue
        match move.kind:
            case MoveKind.ANSWERED:
                said.append(drill_notes.of_mark(question, *next(marks)))
            case MoveKind.HINTED:
                said.append(
                    (
                        "hint",
                        words.ui("drill.hint", level=move.level),
                        words.hint(climb.problem, question, move.level),
                    )
                )
            case MoveKind.SHOWN:
                said.append(drill_notes.of_shown(climb.problem, question))
            case MoveKind.SKIPPED | MoveKind.WORKED | MoveKind.SPARED:
                pass
    return said


def said(climb: Climb, moves: Sequence[Move], index: int) -> Said | None:
    """What was last said of the circuit at rung ``index`` (from 0) of a ``climb``, by ``moves``."""
    question = climb.rungs[index].question
    explained, wrong = iter(climb.explained(index)), 0
    found: Said | None = None
    for move in moves:
        if move.rung != question.rung:
            continue
        match move.kind:
            case MoveKind.ANSWERED:
                if (explanation := next(explained)) is not None:
                    wrong += 1
                    found = question, explanation, wrong > 1
            case MoveKind.HINTED:
                found = question, move.level
            case MoveKind.SHOWN:
                found = question, HINT_LEVELS
            case MoveKind.SKIPPED | MoveKind.WORKED | MoveKind.SPARED:
                pass
    return found


def _leaving(climb: Climb, index: int) -> Note | None:
    """What was said when a rung was left and the next one asked."""
    words, state = Words.load(), climb.rungs[index]
    if _overlaid(state):
        return None
    match state.outcome:
        case Outcome.CLEAN | Outcome.RIGHT:
            return drill_notes.of_mark(state.question, state.marks[-1])
        case Outcome.SKIPPED:
            return "skipped", words.ui("drill.skipped"), words.title(state.question.rung)
    return None
