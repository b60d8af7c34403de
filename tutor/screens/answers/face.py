"""What a problem shows of itself beside its questions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Vertical

from ....problems.questions.kinds import REVERSED, face_of
from ....problems.questions.model import Face as Kind
from ....problems.questions.model import Problem, Question
from ..pictures.circuit import Circuit

if TYPE_CHECKING:
    from ...learning.climb import Climb
    from ..pictures.figure import ResponseFigure


class CircuitFace(Vertical):
    """The circuit; from the second hint on, what the hint speaks of is pointed out.

    While (part of) the circuit is what is asked for, its response stands in its place, or the
    circuit with a question mark.
    """

    def __init__(self) -> None:
        super().__init__()
        self._figures: dict[Kind, ResponseFigure] = {}
        self._of: dict[Kind, Problem] = {}

    def compose(self) -> ComposeResult:
        """The drawing."""
        yield Circuit(id="circuit")

    def show(self, climb: Climb, asked: Question | None) -> None:
        """Show the problem of this climb while a question is asked, or after the last one.

        Once a question has been left, by a surrender too, what comes next decides.
        """
        marked: tuple[str, ...] = ()
        current = None if climb.done else climb.current.question
        if asked is not None and current is asked and climb.current.hints >= 2:
            from ....problems.hints.hint import focus

            marked = focus(climb.problem, asked)
        kind = Kind.CIRCUIT if current is None else face_of(climb.problem, current)
        circuit = self.query_one(Circuit)
        if kind in (Kind.GAIN, Kind.MAP):
            figure = self._figure(kind)
            if climb.problem is not self._of.get(kind):
                figure.set_response(climb.facts)
                self._of[kind] = climb.problem
        elif kind is Kind.BLANK:
            from ...drafting.gaps import blanked

            ladder, unknown = blanked(climb.problem, kind)
            circuit.show(ladder, marked, unknown)
        else:
            circuit.show(climb.problem.ladder, marked)
        circuit.display = kind in (Kind.CIRCUIT, Kind.BLANK)
        for of, figure in self._figures.items():
            figure.set_class(of is not kind, "-off")
            # Once the circuit is found, a low window has better use for the rows; a figure of a
            # problem before has no place at all.
            found = current is not None and current.rung not in REVERSED
            figure.set_class(found and self._of.get(of) is climb.problem, "-seen")

    def _figure(self, kind: Kind) -> ResponseFigure:
        """A figure of a response, made when it is first needed: most problems need none."""
        figure = self._figures.get(kind)
        if figure is None:
            if kind is Kind.MAP:
                from ..pictures.splane import PlaneView

                figure = PlaneView(classes="response")
            else:
                from ..pictures.bode import BodeView

                figure = BodeView(bare=True, classes="response")
            self._figures[kind] = figure
            self.mount(figure)
        return figure
