"""What stands above circuits that are redrawn, and how they read as lines of circuit text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ...problems.analysis.arms import End, write_redrawn
from ...problems.circuits.model import Ladder, valueless
from ...problems.hints.redrawing import LOOK, Redrawing, explained, hinted
from ...problems.questions.kinds import face_of
from ...problems.questions.model import Face, Problem, Question
from ..figures.looks.explained import at_end
from ..figures.looks.redrawn import Captioned
from ..language.texts import fill
from ..learning.climb import Climb


def caption(end: End | None = None, circuit: str = "") -> str:
    """Which circuit it is, and at which end it is drawn.

    Args:
        end: the end of the frequency axis; ``None``: as it is.
        circuit: which one, in words; "": this one.
    """
    which = circuit or fill("inspect", "seen.this")
    return fill("inspect", f"seen.{end or 'whole'}", [("circuit", which)])


def at(end: End) -> str:
    """At which ``end`` a circuit is drawn, where it is plain which circuit."""
    return fill("inspect", f"at.{end}")


def views(
    ladder: Ladder, redrawings: Sequence[Redrawing], beside: Ladder | None = None
) -> tuple[Captioned, ...]:
    """A circuit as it is and as it is at its ends, with captions; nothing where there are no more.

    Args:
        ladder: the circuit.
        redrawings: its ends.
        beside: another circuit that it is compared with.
    """
    found = [(at_end(ladder, one.end, one.marked), at(one.end)) for one in redrawings]
    if beside is not None:
        found.append((at_end(beside, None), fill("inspect", "seen.other")))
    return ((at_end(ladder, None), caption()), *found) if found else ()


def in_lines(ladder: Ladder, ends: Iterable[End]) -> Iterator[str]:
    """Circuit text of a ``ladder`` at ``ends`` of the frequency axis, a line for each."""
    for end in ends:
        yield f"{at(end)}: {write_redrawn(valueless(ladder), end)}"


def hinted_lines(problem: Problem, question: Question) -> Iterator[str]:
    """The circuit of a ``problem`` at the ends that hints to a ``question`` redraw."""
    if face_of(problem, question) is Face.NONE:
        return iter(())
    return in_lines(problem.ladder, (one.end for one in hinted(problem, question, LOOK)))


def explained_lines(climb: Climb) -> Iterator[str]:
    """The circuit of a ``climb`` at the ends that the explanation of the latest mark redraws."""
    problem, state = climb.problem, climb.current
    if face_of(problem, state.question) is Face.CIRCUIT:
        again = state.wrong_tries > 1
        found = explained(problem, state.question, climb.explanation, again=again)
        yield from in_lines(problem.ladder, (one.end for one in found))
