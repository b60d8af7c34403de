"""Levels along the frequency axis, decibels, the standard form and scaling, in a worked solution.

A step is told where a question was asked that it answers.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from ..analysis.response import Facts
from ..quantities.write import write_quantity
from ..questions.analyse import pass_band_gain
from ..questions.kinds import kind
from ..questions.levels_at import PLACES, gain_at, phase_at
from ..questions.model import Rung
from ..questions.scaling import has_standard_form, standard_form
from .step import Step, drawn, step

_AT = {Rung.GAIN_AT, Rung.PHASE_AT, Rung.CASCADE_LEVEL}
_DECIBELS = {Rung.CASCADE_LEVEL, Rung.LEVEL_OF_RATIO, Rung.RATIO_OF_LEVEL, Rung.HALF_POWER}
_FORMS = {Rung.STANDARD_FORM, Rung.WHICH_FORM}
_SCALED = {Rung.SCALED_VALUE, Rung.PROTOTYPE_VALUE, Rung.SCALING_EFFECT}
_OFF = {Rung.TOLERANCE_F0, Rung.TOLERANCE_Q, Rung.SENSITIVITY}


def levels(known: Facts, asked: Collection[Rung]) -> Iterator[Step]:
    """The steps that answer what was asked.

    Args:
        known: of the circuit, with its values.
        asked: the kinds of question that were asked.
    """
    kinds = frozenset(rung for rung in asked if kind(rung).ways & {"levels", "design"})
    if kinds & _AT and (lines := list(_along(known))):
        yield step("levels-along", lines)
    if kinds & _DECIBELS:
        yield step("decibels")
    if kinds & _FORMS and has_standard_form(known):
        formula = standard_form(known.type, gain=pass_band_gain(known) != 1)
        yield step("standard-form", drawn("H(s)", formula))
    if kinds & _SCALED:
        yield step("scaling")
    if kinds & _OFF:
        yield step("tolerances")


def _along(known: Facts) -> Iterator[str]:
    """Gain and phase at each place, a line each."""
    for times in PLACES.values():
        gain, phase = gain_at(known, times), phase_at(known, times)
        if gain is None or phase is None or known.corner_hz is None:
            continue
        place = write_quantity(float(times) * known.corner_hz, "Hz")
        level, angle = (round(figure, 6) + 0.0 for figure in (gain, phase))
        yield f"{place}: {write_quantity(level, 'dB')}, {write_quantity(angle, '°')}"
