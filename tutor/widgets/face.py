"""What a problem shows of itself beside its questions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Vertical

from .circuit import Circuit

if TYPE_CHECKING:
    from ...problems.problem import Question
    from ..climb import Climb


class Face(Vertical):
    """The circuit; from the second hint on, what the hint speaks of is pointed out."""

    def compose(self) -> ComposeResult:
        """The drawing."""
        yield Circuit(id="circuit")

    def show(self, climb: Climb, asked: Question | None) -> None:
        """Show the problem of this climb while a question is asked, or after the last one."""
        marked: tuple[str, ...] = ()
        if asked is not None and not climb.done and climb.current.hints >= 2:
            from ...problems.hints import focus

            marked = focus(climb.problem, asked)
        self.query_one(Circuit).show(climb.problem.ladder, marked)
