"""Truths as text, and truths and values read back from it: for documents alone."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping

from ..circuits.text import read_circuit
from ..formulas.layout import echo
from ..formulas.read import parse
from ..formulas.tree import Formula
from ..quantities.read import read_quantity
from ..sketches.model import Sketch
from ..sketches.read import read_gain, read_phase
from ..sketches.read_map import read_map
from ..sketches.write import write
from .model import Answer, Form, Rung, Value, Values

READ: Mapping[Rung, Callable[[str], Sketch]] = {
    Rung.GAIN_SKETCH: read_gain,
    Rung.PHASE_SKETCH: read_phase,
    Rung.MAP_SKETCH: read_map,
}
"""Which reader takes the text of which sketch; raises ``SketchError``."""

_CIRCUITS = ("circuit", "other", "valued")
"""What names circuits where "valued" is among them; without it the first alone does."""
_FIGURES = {
    "f0": "Hz", "f1": "Hz", "f2": "Hz", "q": "",
    "volts": "V", "amps": "A", "stored": "J", "lost": "J", "ohms": "Ω",
    "first_level": "dB", "second_level": "dB", "times": "",
}  # fmt: skip
_COUNTS = ("order", "stage")
_MOST = 999
_NAME = re.compile(r"[RLC][A-Za-z0-9_]*")


def plain_truth(answer: Answer) -> str | int | float:
    """A truth as a document holds it: a formula and a sketch as text, all others as they are."""
    if isinstance(answer, str | int | float):
        return answer
    if isinstance(answer, Sketch):
        return write(answer)
    return echo(answer, ascii=True)


def read_truth(rung: Rung, form: Form, truth: str | int | float) -> Answer:
    """The ``truth`` that :func:`plain_truth` made, of a kind of question and a form of answer.

    ``rung`` is that kind and ``form`` that form.

    Raises:
        ValueError: it is none of that form (``FormulaError`` and ``SketchError`` among them).
    """
    match form:
        case Form.FORMULA:
            return _formula(str(truth))
        case Form.SKETCH:
            if rung not in READ:
                raise ValueError(f"{rung} asks for no sketch")
            return READ[rung](str(truth))
    return truth


def read_values(found: Iterable[tuple[str, str]]) -> Values:
    """The values of a document, from the texts that ``values.texts`` made.

    Raises:
        ValueError: a text is none of its kind (``NotationError``, ``CircuitError``,
            ``FormulaError`` and ``QuantityError`` among them).
    """
    pairs = tuple(found)
    circuits = _CIRCUITS if any(key == "valued" for key, _ in pairs) else _CIRCUITS[:1]
    return tuple((key, _value(key, text, circuits)) for key, text in pairs)


def _value(key: str, text: str, circuits: tuple[str, ...]) -> Value:
    if key in circuits:
        return read_circuit(text)
    if key == "formula":
        return _formula(text)
    if key in _FIGURES:
        return read_quantity(text, _FIGURES[key])
    if key in _COUNTS:
        if not (text.isascii() and text.isdigit() and int(text[:9]) <= _MOST):
            raise ValueError(f"{key!r} is no whole number from 0 to {_MOST}")
        return int(text)
    return text


def _formula(text: str) -> Formula:
    return parse(text, {*_NAME.findall(text), "s", "ω0", "Q", "K"})
