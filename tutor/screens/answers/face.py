"""What a problem shows of itself beside its questions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Vertical

from ....problems.questions.kinds import REVERSED, face_of
from ....problems.questions.model import Face as Kind
from ....problems.questions.model import Posed, Problem, Question
from ..pictures.circuit import Circuit, Pointed

if TYPE_CHECKING:
    from ...learning.basis import AnswerBasis
    from ..pictures.exhibit import ExhibitView
    from ..pictures.figure import ResponseFigure
    from .pointed import Said


class CircuitFace(Vertical):
    """The circuit; what is said of it is pointed out, and redrawn at the ends.

    While (part of) the circuit is what is asked for, its response stands in its place, or the
    circuit with a question mark.  What a question is asked about besides, a curve or a map, stands
    beside the circuit, or alone where the circuit may not be seen.
    """

    def __init__(self) -> None:
        super().__init__()
        self._figures: dict[Kind, ResponseFigure] = {}
        self._of: dict[Kind, Problem] = {}
        self._exhibit: ExhibitView | None = None

    def compose(self) -> ComposeResult:
        """The drawing."""
        yield Circuit(id="circuit")

    def show(
        self,
        problem: Problem,
        basis: AnswerBasis,
        current: Question | None,
        said: Said | None = None,
    ) -> None:
        """Show a problem as far as a question allows.

        Args:
            problem: The problem.
            basis: What is known of its circuit.
            current: The question that decides what may be shown; ``None``: none is left.
            said: What was said of the circuit last; it is pointed out, and redrawn.
        """
        kind = Kind.CIRCUIT if current is None else face_of(problem, current)
        pointed = Pointed()
        if said is not None and kind is not Kind.NONE:
            from .pointed import point_out

            pointed = point_out(problem, said)
        circuit = self.query_one(Circuit)
        if kind in (Kind.GAIN, Kind.MAP):
            figure = self._figure(kind)
            if problem is not self._of.get(kind) and basis.facts is not None:
                figure.set_response(basis.facts)
                self._of[kind] = problem
        elif kind is Kind.BLANK:
            from ...drafting.gaps import blanked

            ladder, unknown = blanked(problem, kind)
            circuit.show(ladder, pointed.marked, unknown)
        elif kind is Kind.CIRCUIT:
            circuit.show(problem.ladder, pointed.marked, views=pointed.views)
        circuit.display = kind in (Kind.CIRCUIT, Kind.BLANK)
        for of, figure in self._figures.items():
            figure.set_class(of is not kind, "-off")
            # Once the circuit is found, a low window has better use for the rows; a figure of a
            # problem before has no place at all.
            found = current is not None and current.rung not in REVERSED
            figure.set_class(found and self._of.get(of) is problem, "-seen")

    def show_exhibit(self, asked: Posed | None) -> None:
        """Show what a question is asked about; nothing where it is about the circuit alone."""
        shown = None if asked is None else asked.exhibit
        if shown is not None and self._exhibit is None:
            from ..pictures.exhibit import ExhibitView

            self._exhibit = ExhibitView(id="exhibit")
            self.mount(self._exhibit)
        if self._exhibit is not None:
            self._exhibit.show(shown)
            self._exhibit.display = shown is not None
        both = shown is not None and self.query_one(Circuit).display
        self.screen.set_class(both, "-exhibiting")

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
