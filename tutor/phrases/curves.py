"""The curves of looks told in words, for those who can't see them: what a picture shows."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from ...problems.analysis.asymptotes import Sweep
from ...problems.analysis.response import Response, facts
from ...problems.analysis.step import StepResponse
from ...problems.circuits.model import Ladder
from ...problems.questions.looks import Facing, Look
from ...problems.sketches.truth import true_map
from ...problems.sketches.write import write
from ..figures.looks.face import SECONDS
from ..language.texts import speaker

_PLACES = (0.2, 0.5, 0.8, 1.0, 1.25, 2.0, 5.0)
"""Where about f0 a gain, or a phase, is told."""
_SAMPLES = 600
_TURNS = 5
"""Turning points of a step response that are told, at most."""
_SEEN = 0.02
"""A turn of less than this share of the height is not seen in a picture."""

_say = speaker("looks", "say.")


def told(look: Look, ladder: Ladder) -> str:
    """The curve of a ``ladder`` of a ``look`` in one line."""
    known = facts(ladder)
    match look.row.facing:
        case Facing.GAINS:
            return "; ".join(_about_corner(known, phase=False))
        case Facing.PHASES:
            return "; ".join(_about_corner(known, phase=True))
    return _step(known, SECONDS.get(look.row.facing))


def told_map(ladder: Ladder) -> str:
    """The map of a prototype, ``ladder``, in one line: what there is, and how far off the axis."""
    known = facts(ladder)
    poles = known.poles[0]
    angle = math.degrees(math.atan2(abs(poles.imag), -poles.real))
    key = "angle" if poles.imag else "angle-double"
    return f"{write(true_map(known))}; {_say(key, angle=f'{angle:.0f}')}"


def _about_corner(known: Response, *, phase: bool) -> Iterator[str]:
    middle = known.corner_hz or 1.0
    value = Sweep(known).phase_deg if phase else Sweep(known).gain_db
    for place in _PLACES:
        text = f"{value(middle * place):+.0f}".replace("+0", "0").replace("-0", "0")
        key = "phase" if phase else "gain"
        yield _say(key, f=f"{place:g}", value=text.replace("-", "−"))


def _step(known: Response, seconds: float | None) -> str:
    """Where it starts, its turns, and where it ends; of one axis of time with their seconds."""
    step = StepResponse(known.transfer)
    end = seconds or step.horizon
    times = [end * n / (_SAMPLES - 1) for n in range(_SAMPLES)]
    values = step.at(times)
    values[0] = step.initial
    # Heights say nothing where each has its own scale.
    height = 1.0 if seconds else max(map(abs, (*values, step.final))) or 1.0
    values = [value / height for value in values]
    turns = list(_turns(values))
    parts = [_say("starts", value=_number(values[0]))]
    for n in turns[:_TURNS]:
        key = "turn-at" if seconds else "turn"
        parts.append(_say(key, value=_number(values[n]), t=f"{times[n]:.2f}"))
    if len(turns) > _TURNS:
        parts.append(_say("on"))
    parts.append(_say("ends", value=_number(step.final / height)))
    return "; ".join(parts)


def _turns(values: Sequence[float]) -> Iterator[int]:
    """Where a curve turns by more than can be overlooked."""
    least = _SEEN * (max(values) - min(values))
    last, way = 0, 0
    for n, value in enumerate(values):
        if way * (value - values[last]) > 0 or (not way and abs(value - values[0]) > least):
            way = way or (1 if value > values[0] else -1)
            last = n
        elif way and abs(value - values[last]) > least:
            yield last
            last, way = n, -way


def _number(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    text = "0" if text == "-0" or not math.isfinite(value) else text
    return text.replace("-", "−")
