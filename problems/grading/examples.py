"""How an answer may look, for whoever was not understood: one that could be right, and is not.

An example has the form that is asked for and a value that some circuit has, but never a figure of
the circuit at hand, so that it gives nothing away.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..analysis.response import TWO_PI
from ..circuits.model import Kind
from ..quantities.errors import WordedError
from ..quantities.read import read_quantity
from ..questions.model import Form, Question, Rung
from .formulas import ReadingCase
from .reading import Unclear

_FIGURES = {
    "Hz": ("1.59 kHz", "47 kHz", "330 Hz"),
    "rad/s": ("10 krad/s", "290 krad/s", "2.1 krad/s"),
    "Ω": ("4.7 kΩ", "330 Ω", "68 kΩ"),
    "H": ("10 mH", "330 µH", "2.2 H"),
    "F": ("100 nF", "3.3 µF", "68 pF"),
    "s": ("1 ms", "47 µs"),
    "V": ("2.5 V", "47 V", "330 mV"),
    "A": ("20 mA", "1.5 A", "470 µA"),
    "J": ("4 µJ", "330 nJ", "18 mJ"),
    "dB": ("−4 dB", "−9 dB"),
}
_RATIOS = ("3.2", "0.62", "14")
_GAINS = ("0.62", "0.35", "0.9")
_SLOPES = {
    Rung.LOW_SLOPE: ("+60 dB/decade", "+40 dB/decade"),
    Rung.HIGH_SLOPE: ("−60 dB/decade", "−40 dB/decade"),
}
_ANGLES = {
    Rung.LOW_PHASE: ("+270°", "+90°"),
    Rung.HIGH_PHASE: ("−270°", "−90°"),
}
_LEVELS = {"dB": ("−4 dB", "−9 dB", "−17 dB"), "°": ("−30°", "+70°", "−135°")}
_OTHER_ANGLES = ("−135°", "+135°", "−30°")
_BY_HAND = {
    "Hz": "1/(2·π·2.2k·47n)", "rad/s": "1/(2.2k·47n)", "Ω": "1/(2·π·50k·3.3n)",
    "H": "2.2k/(2·π·50k)", "F": "1/(2·π·50k·2.2k)",
    "V": "5·330/82", "A": "0.02·330/82", "J": "0.5·22m·0.03²",
}  # fmt: skip
_NEAR = 0.1
"""Relative: an example this near to a figure of the circuit would give it away."""


def example(case: ReadingCase, unit: str | None = None, *, formula: bool = False) -> str:
    """How an answer to the question of ``case`` may look.

    Args:
        case: the question, and what is known of its circuit.
        unit: the unit it is in, where that is not the one asked for.
        formula: whether a formula with numbers is to be shown.
    """
    question, unit = case.question, case.question.unit if unit is None else unit
    match question.form:
        case Form.COUNT:
            return next(str(n) for n in (3, 4, 5, 2, 6) if n not in _counts(case))
        case Form.SLOPE:
            slopes = _SLOPES.get(question.rung, _SLOPES[Rung.HIGH_SLOPE])
            return _unlike(slopes, _slopes(case), "dB/decade")
        case Form.ANGLE:
            angles = _ANGLES.get(question.rung, _OTHER_ANGLES)
            return _unlike(angles, _angles(case), "°")
        case Form.LEVEL:
            right = [question.figure] if isinstance(question, Question) else []
            return _unlike(_LEVELS[question.unit], right, question.unit)
        case Form.FORMULA:
            return _transfer(case)
        case Form.RATIO:
            if formula:
                return "√(22m/4.7n)/1.5k"
            return _unlike(_RATIOS, [case.facts.q or 0.0] if case.facts else (), "")
        case Form.GAIN:
            return "1k/(1k + 2.2k)" if formula else _GAINS[0]
        case Form.QUANTITY if formula and unit in _BY_HAND:
            return _BY_HAND[unit]
    return _unlike(_FIGURES.get(unit, _GAINS), _figures(case, unit), unit)


def not_understood(case: ReadingCase, error: WordedError, *, formula: bool = False) -> Unclear:
    """What is said of an answer that could not be read: the ``error``, and how one may look.

    ``case`` and ``formula`` are as for :func:`example`.
    """
    shown = example(case, formula=formula)
    return Unclear("answer.with-example", trouble=error.wording, example=shown)


def _unlike(examples: Iterable[str], known: Iterable[float], unit: str) -> str:
    """The first of the ``examples`` that is none of the ``known`` values."""
    first, *others = examples
    values = list(known)
    for text in (first, *others):
        found = float(read_quantity(text, unit).value)
        if not any(abs(found - value) <= _NEAR * abs(value) for value in values):
            return text
    return first


def _counts(case: ReadingCase) -> set[int]:
    known = case.facts
    if known is None:
        return set()
    transfer = known.transfer
    return {
        transfer.order,
        transfer.zero_count,
        transfer.zeros_at_origin,
        known.independent_count,
    }


def _slopes(case: ReadingCase) -> Iterator[float]:
    if case.facts is not None:
        yield from (float(case.facts.slope_low), float(case.facts.slope_high))


def _angles(case: ReadingCase) -> Iterator[float]:
    if case.facts is not None:
        low, high = case.facts.phase_low, case.facts.phase_high
        yield from (float(low), float(high), (low + high) / 2)


def _figures(case: ReadingCase, unit: str) -> Iterator[float]:
    yield from (float(e.value) for e in case.parts if e.value and e.kind.unit == unit)
    known = case.facts
    if known is None or unit not in ("Hz", "rad/s"):
        return
    turns = TWO_PI if unit == "rad/s" else 1.0
    found = [known.corner_hz, known.bandwidth_hz]
    if case.rung in (Rung.LOWER_EDGE, Rung.UPPER_EDGE):
        found += known.edges_hz
    yield from (hertz * turns for hertz in found if hertz)


def _transfer(case: ReadingCase) -> str:
    """A step of 6 dB: right at most for a lead network of two equal resistances, by chance."""
    if case.rung is Rung.STANDARD_FORM:
        return "(s + ω0)/(s + 2·ω0)"
    resistors = [e.name for e in case.parts if e.kind is Kind.R] or ["R"]
    others = [e for e in case.parts if e.kind is not Kind.R]
    if not others:
        return f"2·{resistors[0]}/(3·{resistors[0]})"
    name = others[0].name
    if others[0].kind is Kind.C:
        return f"(1 + s·{resistors[0]}·{name})/(2 + s·{resistors[0]}·{name})"
    return f"({resistors[0]} + s·{name})/(2·{resistors[0]} + s·{name})"
