"""How a level is read beyond a figure with its unit: 20·log(0.5), −3 − 20·log(2), 90° − arctan(2).

Decibels are what is asked for, so a ratio is no level: it is asked about, and so is a bare figure
that would be right as a ratio or in radians.  One pass over the text, whatever it holds.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from ..formulas.tree import FormulaError
from ..quantities.read import read_quantity
from ..quantities.spelling import uniform
from ..quantities.units import QuantityError
from ..questions.model import Form, Posed
from .reading import Reading
from .said import bare

Value = Callable[[str], float]
"""The value of what stands inside a logarithm or an arctangent.

Raises ``FormulaError`` where it cannot be read.
"""

_TERM = re.compile(
    r" *+(?P<sign>[+-]?) *+(?P<number>[0-9]++(?:[.,][0-9]++)?)? *+"
    r"(?:(?P<unit>dB|db|DB|°|deg(?:rees)?)(?![a-zA-Z]))? *+"
    r"(?:\*? *+(?P<name>log(?:_?\(?10\)?|₁₀)?|lg|arctan|arctg|atan|tan\^\(?-1\)?))?"
)
_UNIT = re.compile(r" *+(?:(?:dB|db|DB|°|deg(?:rees)?)(?![a-zA-Z]))?")
_BARE_ARGUMENT = re.compile(r"[^\s()+-]++")
_NAME = re.compile(r"log|lg|arct|atan|tan", re.IGNORECASE)
_BARE_NUMBER = re.compile(r"[-+ ]*+[0-9.,/]++(?: *+[eE][-+]?[0-9]++)?")


def is_angle(question: Posed) -> bool:
    """Whether it asks for an angle: a phase, or a level in degrees."""
    return question.form in (Form.ANGLE, Form.LEVEL) and question.unit == "°"


def is_decibels(question: Posed) -> bool:
    """Whether it asks for a level in decibels, of either sign."""
    return question.form is Form.LEVEL and question.unit == "dB"


def expression(text: str, unit: str, value: Value, *, numbers: bool = False) -> float | None:
    """The level that a sum of numbers, logarithms and arctangents comes to.

    ``None`` where the text is none.

    Args:
        text: what was typed.
        unit: "dB" or "°".
        value: evaluates what stands inside a logarithm or an arctangent.
        numbers: whether a sum of numbers alone is one too, as a step of a derivation is.

    Raises:
        FormulaError: what stands inside cannot be read, or has no logarithm.
    """
    folded = uniform(text).text.strip()
    if not _NAME.search(folded) and not numbers:
        return None
    total, at, functions = 0.0, 0, 0
    while at < len(folded):
        match = _TERM.match(folded, at)
        assert match is not None
        name, number = match["name"], match["number"]
        if (name is None and number is None) or (at and not match["sign"]):
            return None
        term = float(number.replace(",", ".")) if number else 1.0
        at = match.end()
        if name is not None:
            logarithm = name.startswith("l")
            inside, at = _argument(folded, at)
            if not inside or logarithm != (unit == "dB"):
                return None
            term *= _of(logarithm, value(inside))
            functions += 1
        total += -term if match["sign"] == "-" else term
        after = _UNIT.match(folded, at)
        assert after is not None
        at = after.end()
    return total if functions or numbers else None


def shown(text: str) -> str:
    """A ``text`` that :func:`expression` took, as it is shown again."""
    folded = " ".join(uniform(text).text.split())
    return folded.replace("*", "·").replace("-", "−")


def _of(logarithm: bool, found: float) -> float:
    if not logarithm:
        return math.degrees(math.atan(found))
    if found <= 0:
        raise FormulaError("formula.no-logarithm")
    return math.log10(found)


def _argument(text: str, at: int) -> tuple[str, int]:
    """What a function at a place is of, in brackets, bars or alone; and where it ends."""
    while at < len(text) and text[at] == " ":
        at += 1
    if text[at : at + 1] == "|":
        end = text.find("|", at + 1)
        return (text[at + 1 : end], end + 1) if end > 0 else ("", at)
    if text[at : at + 1] != "(":
        match = _BARE_ARGUMENT.match(text, at)
        return (match[0], match.end()) if match else ("", at)
    depth = 0
    for place in range(at, len(text)):
        depth += (text[place] == "(") - (text[place] == ")")
        if not depth:
            return text[at + 1 : place].strip("|"), place + 1
    return "", at


def otherwise(question: Posed, text: str) -> Reading | None:
    """A bare figure as a ratio of voltages, or in radians, where a level is asked for.

    ``text`` answers the ``question``, in plain notation.

    ``None`` where it is not bare.
    """
    body = bare(text)
    if question.form is not Form.LEVEL or not _BARE_NUMBER.fullmatch(uniform(body).text):
        return None
    try:
        found = float(read_quantity(body, "").value)
    except QuantityError:
        return None
    if question.unit == "°":
        return Reading(math.degrees(found), body, "rad") if abs(found) <= math.tau else None
    return Reading(20 * math.log10(found), body) if found > 0 else None
