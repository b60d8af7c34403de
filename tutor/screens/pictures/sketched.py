"""The charts of a finished climb with what the learner sketched laid over them."""

from __future__ import annotations

from typing import ClassVar

from ....problems.analysis.response import Response
from ....problems.questions.model import Rung, sketch_of
from ....problems.sketches.model import MapSketch, Sketch
from ....problems.sketches.write import write
from ...figures.canvas.paper import PlottedPicture
from ...figures.canvas.picture import Picture
from ...figures.sketch.over import over, verdict
from ...language.texts import fill
from ...learning.climb import Climb
from .bode import BodeView
from .splane import PlaneView


def sketched(climb: Climb, rung: Rung) -> tuple[Sketch, bool] | None:
    """The last sketch submitted on a ``rung`` of a ``climb``, and whether it was right."""
    for state in climb.rungs:
        if state.question.rung is rung:
            for mark in reversed(state.marks):
                if mark.value is not None:
                    return sketch_of(mark.value), mark.passed
    return None


class SketchedBode(BodeView):
    """Gain or phase, with the learner's straight lines dashed on top."""

    INKS: ClassVar = {"mine": "bold $foreground"}

    def __init__(self, climb: Climb, *, phase: bool = False, id: str | None = None) -> None:  # noqa: A002
        super().__init__(climb.facts, phase=phase, id=id)
        found = sketched(climb, Rung.PHASE_SKETCH if phase else Rung.GAIN_SKETCH)
        drawn = found[0] if found is not None else None
        self._drawing = None if isinstance(drawn, MapSketch) else drawn

    def plot(self, response: Response, width: int, height: int) -> Picture:
        """The chart for this room."""
        picture = super().plot(response, width, height)
        if self._drawing is None or not isinstance(picture, PlottedPicture):
            return picture
        return over(picture, self._drawing, ascii=self._ascii)


class SketchedPlane(PlaneView):
    """The map, with the learner's in words at its foot."""

    INKS: ClassVar = {"mine": "bold $foreground"}

    def __init__(self, climb: Climb, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(climb.facts, id=id)
        self._found = sketched(climb, Rung.MAP_SKETCH)

    def plot(self, response: Response, width: int, height: int) -> Picture:
        """The map for this room."""
        picture = super().plot(response, width, height)
        if self._found is None or not isinstance(picture, PlottedPicture):
            return picture
        drawn, right = self._found
        values = [("sign", "✓" if right else "✗"), ("map", write(drawn))]
        return verdict(picture, fill("sketch", "legend.map", values))
