"""What stands above circuits that are redrawn, and how they read as lines of circuit text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ...problems.analysis.arms import End, write_redrawn
from ...problems.circuits.model import Ladder, valueless
from ...problems.hints.redrawing import LOOK, Redrawing, hinted
from ...problems.questions.model import Problem, Question
from ..figures.looks.explained import at_end
from ..figures.looks.redrawn import Captioned
from ..language.texts import fill


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


def views(ladder: Ladder, redrawings: Iterable[Redrawing]) -> tuple[Captioned, ...]:
    """A ``ladder`` as it is and as it is at its ends, one of each of ``redrawings``; or nothing."""
    ends = [(at_end(ladder, one.end, one.marked), at(one.end)) for one in redrawings]
    return ((at_end(ladder, None), caption()), *ends) if ends else ()


def in_lines(ladder: Ladder, ends: Iterable[End]) -> Iterator[str]:
    """Circuit text of a ``ladder`` at ``ends`` of the frequency axis, a line for each."""
    for end in ends:
        yield f"{at(end)}: {write_redrawn(valueless(ladder), end)}"


def hinted_lines(problem: Problem, question: Question) -> Iterator[str]:
    """The circuit of a ``problem`` at the ends that hints to a ``question`` redraw."""
    return in_lines(problem.ladder, (one.end for one in hinted(problem, question, LOOK)))
