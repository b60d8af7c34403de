"""A climb taken up where it was left: what stood on the drill's screen, from the moves made."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from .. import saying
from ..climb import Climb, Kind, Move, Outcome
from ..words import Words
from . import drill_notes

if TYPE_CHECKING:
    from ...problems.problem import Problem
    from ..store.keeper import Keeper, Place
    from .drill_notes import Note


def climb_again(problem: Problem, keeper: Keeper, place: Place) -> Climb | None:
    """The climb of a place, on the rung it had come to; None if this is another problem."""
    if not place.fits(problem):
        keeper.leave(place)  # a later release makes another problem of the same seed
        return None
    climb = Climb(problem, keeper.resume(place))
    climb.replay(place.moves)
    outcomes = [state.outcome for state in climb.rungs]
    if Outcome.WORKED in outcomes:
        from ..review_guidance import guidance

        # What was an example goes on as one.
        first = outcomes.index(Outcome.WORKED)
        climb.worked = guidance(keeper.states(), problem, first)
    return climb


def unread(climb: Climb, place: Place) -> bool:
    """Whether the last rung's answer was shown and the learner had not gone on from it."""
    shown = bool(place.moves) and place.moves[-1].kind is Kind.SHOWN
    return shown and place.position < climb.position


def notes(climb: Climb, moves: Sequence[Move], index: int) -> list[Note]:
    """The notes that stood beside the question of a rung."""
    words, said = Words.load(), list[tuple[str, str, str]]()
    if index and (leaving := _leaving(climb, index - 1)):
        said.append(leaving)
    state = climb.rungs[index]
    question, marks = state.question, iter(state.marks)
    for move in moves:
        if move.rung != question.rung:
            continue
        match move.kind:
            case Kind.ANSWERED:
                said.append(drill_notes.of_mark(question, next(marks)))
            case Kind.HINTED:
                said.append(
                    (
                        "hint",
                        words.ui("drill.hint", level=move.level),
                        words.hint(climb.problem, question, move.level),
                    )
                )
            case Kind.SHOWN:
                said.append(("shown", words.ui("drill.shown"), saying.right_words(question)))
            case Kind.SKIPPED:
                pass
    return said


def _leaving(climb: Climb, index: int) -> Note | None:
    """What was said when a rung was left and the next one asked."""
    words, state = Words.load(), climb.rungs[index]
    match state.outcome:
        case Outcome.CLEAN | Outcome.RIGHT:
            return drill_notes.of_mark(state.question, state.marks[-1])
        case Outcome.SKIPPED:
            return "skipped", words.ui("drill.skipped"), words.title(state.question.rung)
    return None
