"""Paper and charts by the pictures that pages show."""

from __future__ import annotations

from collections.abc import Sequence

from rungwise.problems.analysis.response import facts
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.questions.model import Rung
from rungwise.problems.sketches.model import GainSketch, PhaseSketch, Sketch
from rungwise.tutor.documents.drawings import axes_bode, axes_plane
from rungwise.tutor.documents.drawings.svg import TEXT_WIDTH, VectorDrawing
from rungwise.tutor.documents.pages_pictures import PaperPicture

Frame = tuple[float, float, float, float]


def paper(rung: Rung, frame: Frame | None = None) -> VectorDrawing:
    return PaperPicture(rung, frame).drawing()


def bode_paper(frame: Frame | None = None, room: float = TEXT_WIDTH) -> VectorDrawing:
    return axes_bode.blank(frame, room=room)


def s_plane_axes() -> VectorDrawing:
    return axes_plane.blank()


def drawn(sketch: Sketch, ladder: Ladder, frame: Frame | None = None) -> VectorDrawing:
    known = facts(ladder)
    if isinstance(sketch, GainSketch | PhaseSketch):
        return axes_bode.solved(known, sketch, frame)
    return axes_plane.given(known.poles, known.zeros)


def response(ladder: Ladder, *, phase: bool = False) -> VectorDrawing:
    return axes_bode.response(facts(ladder), phase=phase)


def given_gain(points: Sequence[tuple[float, float]]) -> VectorDrawing:
    return axes_bode.given(points)


def given_map(poles: Sequence[complex], zeros: Sequence[complex]) -> VectorDrawing:
    return axes_plane.given(poles, zeros)
