"""Hints for what a change does: the figure's formula before and after, and its two values."""

from __future__ import annotations

import math

from ..analysis.letters import formulas
from ..analysis.response import Facts
from ..circuits.model import CircuitError, Ladder
from ..quantities.write import write_quantity
from ..questions.changed import (
    BAND,
    F0,
    GAIN,
    SQUARES,
    AskedChange,
    Q,
    figure_asked,
    told,
    trend,
)
from ..questions.model import Rung
from ..questions.values import texts
from .fill import HINTS, Hint, Named, Scene, Text, phrase, written

LONGEST = 60
"""Characters of a formula that is read at a glance."""
_FIELDS = {F0: "corner_hz", Q: "q", BAND: "bandwidth_hz", GAIN: "gain"}
"""The formulas of figures, of those of ``analysis.letters.Formulas``."""
_IN_TURNS = (F0, BAND)


def change_in(scene: Scene) -> AskedChange:
    """The change that the question speaks of."""
    return told(scene.ladder, scene.question.values)


def figure_text(known: Facts, figure: str) -> str:
    """A ``figure`` of a circuit, with its unit, as it stands in a sentence; ``known`` its facts."""
    square = SQUARES[figure](known)
    assert square is not None
    value = math.sqrt(square)
    if figure in _IN_TURNS:
        return write_quantity(value / math.tau, "Hz")
    return write_quantity(value, "")


def formula_text(ladder: Ladder, figure: str, place: str) -> str:
    """The formula of a ``figure`` in the letters of a ``ladder``; "" where none can be read.

    Args:
        ladder: the circuit.
        figure: one of those that a change may move.
        place: where a gain is meant.
    """
    if place == "f0":
        return ""
    try:
        found = getattr(formulas(ladder), _FIELDS[figure])
    except CircuitError:
        return ""
    text = written(found) if found else ""
    return text if len(text) <= LONGEST else ""


def _worth(formula: str, value: str) -> Text:
    if not formula or formula == value:
        return value
    return phrase("formula-worth", formula=formula, value=value)


def change_values(scene: Scene) -> Named:
    """What fills the sentence that tells of the change."""
    return texts(scene.question.values)


FIGURES = (
    Rung.CHANGED_F0,
    Rung.CHANGED_Q,
    Rung.CHANGED_BAND,
    Rung.CHANGED_GAIN,
    Rung.CHANGE_FACTOR,
    Rung.CHANGE_RATIO,
)
"""The kinds that ask what becomes of a figure."""


@HINTS(*FIGURES)
def figure_changed(scene: Scene) -> Hint:
    """The figure before and after."""
    change = change_in(scene)
    figure, place = figure_asked(scene.question.values)
    before, after = (
        _worth(formula_text(k.ladder, figure, place), figure_text(k, figure))
        for k in (change.before, change.after)
    )
    factor = change.figures()[figure]
    values: Named = (
        *change_values(scene),
        ("figure", phrase(f"figure-{figure}{'-f0' * (place == 'f0')}")),
        ("look", phrase(f"look-{change.how}", **dict(change_values(scene)))),
        ("before", before),
        ("after", after),
        ("times", write_quantity(math.sqrt(factor), "")),
    )
    directions = scene.question.rung not in (Rung.CHANGE_FACTOR, Rung.CHANGE_RATIO)
    step = trend(factor) if directions else "any"
    return Hint("any", "any", step, values, change.parts)


@HINTS(Rung.CHANGED_TYPE)
def type_changed(scene: Scene) -> Hint:
    """The two ends after the change."""
    change = change_in(scene)
    values: Named = (
        *change_values(scene),
        ("look", phrase(f"look-{change.how}", **dict(change_values(scene)))),
        ("low", write_quantity(change.after.gain_low, "")),
        ("high", write_quantity(change.after.gain_high, "")),
        ("type", change.after.type.value),
    )
    after = change.after
    step = "between" if after.low_end is after.high_end else "ends"
    return Hint("any", "any", step, values, change.parts)
