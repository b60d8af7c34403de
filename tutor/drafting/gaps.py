"""What is shown of a circuit while a part of it is asked for."""

from __future__ import annotations

from ...problems.circuits.gaps import boxed, unvalued, write_boxed, write_unvalued
from ...problems.circuits.model import Ladder
from ...problems.questions.model import Face, Problem, Rung


def lacks_arm(problem: Problem) -> bool:
    """Whether a whole arm is left out, and not only a value."""
    return any(question.rung is Rung.MISSING_ARM for question in problem.questions)


def blanked(problem: Problem, face: Face) -> tuple[Ladder, tuple[str, ...]]:
    """(the circuit of a ``problem`` to draw as its ``face`` has it, names of values asked for)."""
    if face is not Face.BLANK:
        return problem.ladder, ()
    if lacks_arm(problem):
        return boxed(problem.ladder, problem.blank), ()
    return unvalued(problem.ladder, problem.blank), problem.blank


def blank_text(problem: Problem) -> str:
    """The circuit text with question marks for what is asked for."""
    write = write_boxed if lacks_arm(problem) else write_unvalued
    return write(problem.ladder, problem.blank)
