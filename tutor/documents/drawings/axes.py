"""Paper to draw on, and plots and maps for paper."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from .svg import TEXT_WIDTH, VectorDrawing

if TYPE_CHECKING:
    from ....problems.circuits.model import Ladder
    from ....problems.questions.model import Rung
    from ....problems.sketches.model import Sketch

Frame = tuple[float, float, float, float]
"""Lowest and highest Hz, lowest and highest dB."""


def bode_paper(
    frame: Frame | None = None, *, phase: bool = False, room: float = TEXT_WIDTH
) -> VectorDrawing:
    """Blank semi-logarithmic paper for a sketch of the gain, or of the phase."""
    from .axes_bode import blank

    return blank(frame, phase=phase, room=room)


def s_plane_axes(room: float = TEXT_WIDTH) -> VectorDrawing:
    """A blank s-plane to mark poles and zeros on."""
    from .axes_plane import blank

    return blank(room)


def paper(rung: Rung, frame: Frame | None = None, *, room: float = TEXT_WIDTH) -> VectorDrawing:
    """The blank paper for one kind of sketch.

    Raises:
        ValueError: the question asks for no sketch.
    """
    match rung.value:
        case "gain-sketch" | "phase-sketch":
            return bode_paper(frame, phase=rung.value == "phase-sketch", room=room)
        case "map-sketch":
            return s_plane_axes(room)
    raise ValueError(f"{rung} asks for no sketch")


def drawn(
    rung: Rung,
    sketch: Sketch,
    ladder: Ladder,
    frame: Frame | None = None,
    *,
    room: float = TEXT_WIDTH,
) -> VectorDrawing:
    """The right sketch: on the student's paper with the exact curve, or the map to scale.

    Raises:
        ValueError: the question asks for no sketch, or for one of another kind.
        CircuitError: an element has no value.
    """
    from ....problems.analysis.response import facts
    from ....problems.sketches.model import GainSketch, PhaseSketch

    known = facts(ladder)
    kind = {"gain-sketch": GainSketch, "phase-sketch": PhaseSketch}.get(rung.value)
    if rung.value == "map-sketch":
        return given_map(known.poles, known.zeros, room=room)
    if isinstance(sketch, GainSketch | PhaseSketch) and type(sketch) is kind:
        from .axes_bode import solved

        return solved(known, sketch, frame, room)
    raise ValueError(f"{rung} asks for no such sketch")


def response(
    ladder: Ladder,
    *,
    phase: bool = False,
    breaks: int | None = None,
    room: float = TEXT_WIDTH,
) -> VectorDrawing:
    """Straight lines and exact curve of a circuit's gain, or of its phase.

    Args:
        ladder: the circuit, with values.
        phase: the phase instead of the gain.
        breaks: the straight lines of the gain alone, bent at so many places.
        room: points that it may be wide.

    Raises:
        CircuitError: an element has no value.
    """
    from ....problems.analysis.response import facts
    from .axes_bode import response as plotted

    return plotted(facts(ladder), phase=phase, room=room, breaks=breaks)


def given_gain(points: Sequence[tuple[float, float]], *, room: float = TEXT_WIDTH) -> VectorDrawing:
    """A gain that is given, through points of (Hz, dB) from left to right.

    Raises:
        ValueError: there are fewer than two points.
    """
    from .axes_bode import given

    if len(points) < 2:
        raise ValueError("a curve needs two points")
    return given(points, room)


def given_map(
    poles: Sequence[complex], zeros: Sequence[complex], *, room: float = TEXT_WIDTH
) -> VectorDrawing:
    """Poles and finite zeros in rad/s, to scale."""
    from .axes_plane import given

    return given(poles, zeros, room)
