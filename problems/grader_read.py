"""How a typed answer is read, form by form.

Nothing typed is ever run; every text, however odd, ends as a :class:`Reading` or as
:class:`Unclear`, whose message says what was found, where, and how to mend it.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from .problem import Form, Question
from .quantities import QuantityError, read_quantity, write_quantity
from .slips_case import Answer
from .spelling import shown as quoted
from .spelling import uniform

MAX_BYTES = 1024

_MINUS = "−"
_TWO_PI = 2 * math.pi
_OCTAVE = math.log10(2)  # decades in an octave


class Unclear(ValueError):  # noqa: N818 - an answer that is unclear is no error of the program
    """A text that was not understood; the message says what to mend."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A typed number: its value in the unit it was typed in, and one step of its last digit."""

    value: Fraction
    unit: str
    step: Fraction
    digits: int


@dataclass(frozen=True, slots=True)
class Reading:
    """An understood answer.

    ``value`` has the type and unit of the question's truth; ``unit`` is the unit it was
    typed in.  ``figure`` is there where a plain decimal was typed, and only then.
    """

    value: Answer
    shown: str
    unit: str = ""
    figure: Figure | None = None


def clean(text: str) -> str:
    """The typed text as it can be shown again: one line, nothing that controls a terminal."""
    kept = "".join(" " if c.isspace() else c for c in text[:MAX_BYTES])
    kept = "".join(c for c in kept if unicodedata.category(c)[0] != "C")
    return " ".join(kept.split())


def read(question: Question, text: str) -> Reading:
    """Read a typed answer.

    Raises:
        Unclear: it was not understood.
    """
    if len(text) > MAX_BYTES or len(text.encode("utf-8", "replace")) > MAX_BYTES:
        raise Unclear(f"the answer is too long: at most {MAX_BYTES} bytes are read")
    if not text.strip():
        raise Unclear("nothing was typed")
    return _READERS[question.form](question, text)


# ----------------------------------------------------------------------- choices

_WORDS: dict[str, tuple[str, ...]] = {
    "low-pass": ("lp", "lpf", "low", "lowpassfilter", "highcut"),
    "high-pass": ("hp", "hpf", "high", "highpassfilter", "lowcut"),
    "band-pass": ("bp", "bpf", "bandpassfilter"),
    "notch": ("bandstop", "bandstopfilter", "bandreject", "bandrejection", "bs", "bsf", "brf",
              "bandelimination", "notchfilter", "notchbandstop", "bandstopnotch"),
    "flat": ("allthesame", "nofilter", "constant"),
    "series": ("seriesfed", "inseries"),
    "shunt": ("shuntfed", "parallel", "parallelfed", "inshunt"),
    "passes": ("pass", "passed", "passesit", "passing", "through"),
    "blocked": ("block", "blocks", "blocking", "blocksit", "stop", "stops", "stopped"),
    "real": ("realanddifferent", "tworeal", "realpoles", "distinct", "realdistinct",
             "overdamped", "realdifferent"),
    "double": ("doublepole", "equal", "realandequal", "repeated", "coincident", "realequal",
               "criticallydamped", "critical", "doublereal"),
    "complex": ("complexconjugate", "conjugate", "complexpair", "conjugatepair",
                "acomplexconjugatepair", "complexconjugatepair", "underdamped",
                "complexpoles"),
}  # fmt: skip
_CHOICE = re.compile(
    r"(?:choice|option|answer|no\.?|number)?\s*[(\[]?\s*([a-z]|\d{1,2})\s*[)\].:]?"
)
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


def _squashed(text: str) -> str:
    folded = unicodedata.normalize("NFKC", text).casefold()
    return "".join(c for c in folded if c.isalnum())


def _choice(question: Question, text: str) -> Reading:
    ids = [choice.id for choice in question.choices]

    def reading(chosen: str) -> Reading:
        spoken = question.rung.value.endswith("-reason")
        return Reading(chosen, _LETTERS[ids.index(chosen)] if spoken else chosen)

    folded = unicodedata.normalize("NFKC", text).casefold().strip()
    match = _CHOICE.fullmatch(folded)
    if match:
        sign = match[1]
        place = int(sign) - 1 if sign.isdigit() and sign.isascii() else _LETTERS.find(sign)
        if 0 <= place < len(ids):
            return reading(ids[place])
    word = _squashed(text)
    for id_ in ids:
        if word and (word == _squashed(id_) or word in _WORDS.get(id_, ())):
            return reading(id_)
    starts = [id_ for id_ in ids if len(word) >= 4 and _squashed(id_).startswith(word)]
    if len(starts) == 1:
        return reading(starts[0])
    last = _LETTERS[len(ids) - 1]
    raise Unclear(
        f"{quoted(text.strip())} is none of the choices: "
        f"type the letter of one, a to {last}, or its number, 1 to {len(ids)}"
    )


# ------------------------------------------------------------------------ counts

_NUMBERS = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
)  # fmt: skip
_COUNT = re.compile(
    r"\+?(?P<n>\d{1,4})(?:[.,]0+)?(?P<noun> ?[a-z-]+)*|(?P<word>[a-z]+)(?: [a-z-]+)*"
)


def _count(question: Question, text: str) -> Reading:
    folded = uniform(text).text.casefold().strip().rstrip(".")
    match = _COUNT.fullmatch(folded)
    if match and match["n"]:
        return Reading(int(match["n"]), str(int(match["n"])))
    if match and match["word"] in _NUMBERS:
        value = _NUMBERS.index(match["word"])
        return Reading(value, str(value))
    if match and match["word"] in ("none", "no"):
        return Reading(0, "0")
    raise Unclear(f"{quoted(text.strip())} is no count: type a whole number such as 0, 1 or 2")


# ----------------------------------------------------------------------- figures

_LABEL = re.compile(r"\s*(?:\|?[^\W\d][\w₀-₉]{0,7}\|?(?:\([^()=]{0,8}\))?\s*)?(?:=|≈|≅|~|≃)\s*")
_MANTISSA = re.compile(r" *[+-]? *((?:[0-9][0-9., ]*|[.,][0-9]+))([A-Za-zμ][0-9]+)?( */)?")


def _unlabelled(text: str) -> str:
    """The text with a label such as "f0 =" blanked, so that columns stay."""
    match = _LABEL.match(text)
    return " " * match.end() + text[match.end() :] if match else text


def _figure(text: str, value: Fraction, unit: str) -> Figure | None:
    """What the digits typed claim; ``None`` for a quotient and for zero."""
    match = _MANTISSA.match(uniform(text).text)
    if match is None or match[3] or not value:
        return None
    run = match[1].rstrip(" .,")
    digits = re.sub(r"[^0-9]", "", run + (match[2] or ""))
    whole = int(digits or "0")
    if not whole:
        return None
    step = abs(value) / whole
    if not (match[2] or "." in run or "," in run):
        while whole % 10 == 0:  # the zeros of "1500" may only hold its place
            whole, step = whole // 10, step * 10
    return Figure(value, unit, step, len(str(whole)))


def _quantity(text: str, unit: str) -> Figure | tuple[Fraction, str]:
    try:
        found = read_quantity(text, unit)
    except QuantityError as error:
        raise Unclear(_placed(str(error), error.position)) from None
    return _figure(text, found.value, found.unit) or (found.value, found.unit)


def _placed(message: str, position: int) -> str:
    return f"at column {position + 1}: {message}" if position else message


def to_asked(value: float, unit: str, asked: str) -> float:
    """A value typed in one unit, in the unit asked for.

    dB/octave follow the trade's round figures: 6 dB/octave is 20 dB/decade.
    """
    match unit, asked:
        case ("rad/s", "Hz"):
            return value / _TWO_PI
        case ("Hz", "rad/s"):
            return value * _TWO_PI
        case ("dB", ""):
            return float(10 ** (value / 20))
        case ("", "dB"):
            return 20 * math.log10(value)
        case ("rad", "°"):
            return math.degrees(value)
        case ("dB/octave", "dB/decade"):
            poles = round(value / 6)
            trade = poles and abs(value - 6 * poles) <= 0.021 * abs(poles)
            return 20.0 * poles if trade else value / _OCTAVE
        case _:
            return value


def _number(question: Question, text: str) -> Reading:
    body = _unlabelled(text)
    found = _quantity(body, question.unit)
    figure = found if isinstance(found, Figure) else None
    value, unit = (found.value, found.unit) if isinstance(found, Figure) else found
    if question.form is Form.GAIN and unit == "" and value <= 0:
        raise Unclear(
            f"a voltage ratio of {write_quantity(value, '')} makes no sense here: "
            "for decibels, write the unit dB"
        )
    if unit == "dB" and abs(value) > 1000:
        raise Unclear("that is beyond ±1000 dB")
    if question.form is Form.RATIO and unit:
        raise Unclear(f"a plain number is asked for, not one in {unit}")
    shown = write_quantity(value, unit, max(4, figure.digits if figure else 0))
    return Reading(to_asked(float(value), unit, question.unit), shown, unit, figure)


_FLAT = ("flat", "level", "horizontal", "none", "zero", "constant")


def _slope(question: Question, text: str) -> Reading:
    if _squashed(text) in _FLAT:
        return Reading(0.0, "0 dB/decade", "dB/decade")
    return _number(question, text)


_READERS: dict[Form, Callable[[Question, str], Reading]] = {
    Form.CHOICE: _choice,
    Form.COUNT: _count,
    Form.QUANTITY: _number,
    Form.RATIO: _number,
    Form.GAIN: _number,
    Form.SLOPE: _slope,
    Form.ANGLE: _slope,
    Form.FORMULA: _choice,
}


def right_text(question: Question) -> str:
    """The text of a right answer: 4 significant digits with the unit asked for."""
    truth = question.truth
    match question.form:
        case Form.QUANTITY | Form.RATIO | Form.GAIN | Form.SLOPE | Form.ANGLE:
            assert not isinstance(truth, str)
            return write_quantity(truth, question.unit)
        case _:
            return str(truth)
