"""What a sheet's problem shows of itself beside its questions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ....problems.questions.model import Face as Kind
from ..answers.face import CircuitFace
from ..pictures.circuit import Circuit

if TYPE_CHECKING:
    from ....problems.sheets.model import SheetProblem
    from ..pictures.figure import ResponseFigure


class SheetFace(CircuitFace):
    """The circuit as far as it may be shown, or the response that stands for it."""

    _item: SheetProblem | None = None

    def show_item(self, item: SheetProblem) -> None:
        """Show a problem of a sheet."""
        circuit = self.query_one(Circuit)
        if item is not self._item:
            self._item = item
            figure = self._of_response(item)
            if figure is None and item.ladder is not None:
                circuit.show(item.ladder, (), item.unvalued)
            for kind, other in self._figures.items():
                other.set_class(kind is not item.face, "-off")
        circuit.display = item.face in (Kind.CIRCUIT, Kind.BLANK)

    def _of_response(self, item: SheetProblem) -> ResponseFigure | None:
        """The figure of the response that is shown; ``None`` where a circuit is."""
        from ...classroom.handins.filling import of_response

        shown = of_response(item) if item.face in (Kind.GAIN, Kind.MAP) else None
        if shown is None:
            return None
        from ....problems.analysis.response import facts

        figure = self._figure(item.face)
        figure.set_response(facts(shown))
        return figure
