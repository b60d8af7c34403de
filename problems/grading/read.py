"""How a typed answer is read, form by form.

Nothing typed is ever run; every text, however odd, ends as a :class:`Reading` or as
:class:`Unclear`, whose words say what was found, where, and how to mend it.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property

from ..analysis.response import Facts
from ..analysis.transfer import TransferFunction
from ..circuits.model import Element
from ..formulas.read import Beside
from ..formulas.tree import Formula, FormulaError
from ..formulas.work import TooMuchWorkError, Work
from ..quantities.convert import to_asked
from ..quantities.errors import WordedError, wording
from ..quantities.read import read_quantity
from ..quantities.spelling import shown as quoted
from ..quantities.spelling import uniform
from ..quantities.units import QuantityError
from ..quantities.write import write_quantity
from ..questions.model import Answer, Form, Posed, Question, Rung
from ..questions.written import READ, plain_truth
from ..sketches.model import SketchError, as_written
from . import formulas
from .formulas import ReadingCase

# What bounds a reading is the size of the text and of what it makes (characters, tokens, depth,
# digits, degrees) and steps that are counted, never a clock: the same text is then read alike
# everywhere.  The longest takes well under 50 ms, so it can be read at every key.
MAX_BYTES = 1024

_MINUS = "−"


class Unclear(WordedError, ValueError):  # noqa: N818 - an answer that is unclear is no error of the program
    """A text that was not understood; the words say what to mend."""


@dataclass(frozen=True, slots=True)
class TypedFigure:
    """A typed number: its value in the unit it was typed in, and one step of its last digit."""

    value: Fraction
    unit: str
    step: Fraction
    digits: int


@dataclass(frozen=True)
class Reading:
    """An understood answer.

    ``value`` has the type and unit of the question's truth, and is ``None`` where a formula
    names what has no value yet; ``unit`` is the unit it was
    typed in.  ``figure`` is there where a plain decimal was typed, and only then;
    ``formula`` where a formula was, and ``transfer`` where H(s) was.  What is done with a
    formula further on is counted on the same ``work`` as the reading was.
    """

    value: Answer | None
    shown: str
    unit: str = ""
    figure: TypedFigure | None = None
    formula: Formula | None = None
    transfer: TransferFunction | None = None
    work: Work = field(default_factory=Work, compare=False, repr=False)

    @cached_property
    def lettered(self) -> bool:
        """Whether a formula was typed that is compared as letters."""
        return self.formula is not None and formulas.lettered(self.formula)

    @property
    def answer(self) -> Answer:
        """The value of an answer that was read with all there is to know.

        Raises:
            ValueError: there is none.
        """
        if self.value is None:
            raise ValueError("the answer hangs on values that are not known")
        return self.value


def clean(text: str) -> str:
    """The typed text as it can be shown again: one line, nothing that controls a terminal."""
    kept = "".join(" " if c.isspace() else c for c in text[:MAX_BYTES])
    kept = "".join(c for c in kept if unicodedata.category(c)[0] != "C")
    return " ".join(kept.split())


def read(
    question: Posed, text: str, parts: Iterable[Element] = (), known: Facts | None = None
) -> Reading:
    """Read a typed answer to a question.

    Args:
        question: what was asked.
        text: what was typed.
        parts: the elements that a formula may name, with their values as far as they are known.
        known: the facts of the circuit, where they are known: figures asked for earlier may be
            named in a formula, and have their values of them.

    Raises:
        Unclear: it was not understood.
    """
    if len(text) > MAX_BYTES or len(text.encode("utf-8", "replace")) > MAX_BYTES:
        raise Unclear("answer.too-long", most=MAX_BYTES)
    if not text.strip():
        raise Unclear("answer.nothing")
    case = ReadingCase(question, tuple(parts), known)
    try:
        return _READERS[question.form](case, text, Work())
    except TooMuchWorkError:
        raise Unclear("answer.too-much-work") from None


def read_otherwise(
    question: Posed, text: str, parts: Iterable[Element], known: Facts, work: Work
) -> Iterator[Reading]:
    """What else a formula may mean: R/L s as (R/L)·s, where :func:`read` takes R/(L·s).

    Both are common in handwriting, and 1/2πRC asks for the second.  ``question``, ``text``,
    ``parts`` and ``known`` as there; ``work`` is what is left of the first reading's.

    Raises:
        TooMuchWorkError: it asks for more work than is left.
    """
    case = ReadingCase(question, tuple(parts), known)
    for beside in Beside.SPACED, Beside.LOOSE:
        try:
            if case.question.form is Form.FORMULA:
                yield _transfer(case, text, work, beside)
            elif case.question.form in _WITH_FORMULA:
                body, unit = _unlabelled(text), _asked(case.question, text)
                found = _formula(case, body, unit, work, beside)
                if found is not None:
                    yield found
        except Unclear:
            continue


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
    "resistor": ("aresistor", "resistance", "onlyr"),
    "inductor": ("aninductor", "coil", "acoil", "inductance", "onlyl"),
    "capacitor": ("acapacitor", "cap", "capacitance", "onlyc"),
    "in-series": ("lplusc", "lcinseries", "landcinseries", "serieslc", "serieslandc", "seriespair",
                  "aninductorandacapacitorinseries", "inductorandcapacitorinseries"),
    "in-parallel": ("lcinparallel", "landcinparallel", "parallellc", "parallellandc", "tank",
                    "atank", "aninductorandacapacitorinparallel",
                    "inductorandcapacitorinparallel"),
    "real": ("realanddifferent", "tworeal", "realpoles", "distinct", "realdistinct",
             "overdamped", "realdifferent", "different", "differentreal", "distinctreal",
             "tworealpoles", "twodifferentrealpoles", "twodistinctrealpoles"),
    "double": ("doublepole", "equal", "realandequal", "repeated", "coincident", "realequal",
               "criticallydamped", "critical", "doublereal"),
    "complex": ("complexconjugate", "conjugate", "complexpair", "conjugatepair",
                "acomplexconjugatepair", "complexconjugatepair", "underdamped",
                "complexpoles", "complexconjugates", "conjugatecomplex"),
}  # fmt: skip
_CHOICE = re.compile(
    r"(?:choice|option|answer|no\.?|number)?\s*[(\[]?\s*([a-z]|\d{1,2})\s*[)\].:]?"
)
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


def _squashed(text: str) -> str:
    folded = unicodedata.normalize("NFKC", text).casefold()
    return "".join(c for c in folded if c.isalnum())


def _choice(case: ReadingCase, text: str, _: Work) -> Reading:
    question = case.question
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
    starts = [id_ for id_ in ids if len(word) >= 4 and _starts(id_, word)]
    if len(starts) == 1:
        return reading(starts[0])
    raise Unclear(
        "answer.no-choice-of-two" if len(ids) == 2 else "answer.no-choice",
        typed=quoted(text.strip()),
        last=_LETTERS[len(ids) - 1],
        count=len(ids),
    )


def _starts(id_: str, word: str) -> bool:
    return any(w.startswith(word) for w in (_squashed(id_), *_WORDS.get(id_, ())))


# ------------------------------------------------------------------------ counts

_NUMBERS = {
    "zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
    "eight": 8, "nine": 9, "ten": 10, "none": 0, "no": 0,
}  # fmt: skip
# What follows is one class of signs: words told apart here could be told apart in many ways.
_COUNT = re.compile(r"\+?(?:(?P<n>\d{1,4})(?:[.,]0+)?|(?P<word>[a-z]++))(?P<rest>[a-z -]*)")
_COUNTED = frozenset(
    ("pole", "poles", "zero", "zeros", "zeroes", "element", "elements", "part", "parts", "of",
     "them", "independent", "finite", "reactive", "in", "all", "only", "just", "at", "the",
     "origin")
)  # fmt: skip


def _count(case: ReadingCase, text: str, _: Work) -> Reading:
    folded = uniform(text).text.casefold().strip().rstrip(".")
    match = _COUNT.fullmatch(folded)
    if match:
        words = set(match["rest"].replace("-", " ").split())
        value = int(match["n"]) if match["n"] else _NUMBERS.get(match["word"])
        if value is not None and words <= _COUNTED:
            _expect_noun(case.question.rung, words, text)
            return Reading(value, str(value))
    raise Unclear("answer.no-count", typed=quoted(text.strip()))


_NOUNS = {
    "poles": frozenset(("pole", "poles")),
    "zeros": frozenset(("zero", "zeros", "zeroes")),
    "parts": frozenset(("element", "elements", "part", "parts")),
}
_OTHERS = {
    "poles": wording("counted.poles"),
    "zeros": wording("counted.zeros"),
    "parts": wording("counted.parts"),
}
_ASKED = {
    Rung.INDEPENDENT: ("parts", wording("counted.independent")),
    Rung.POLES: ("poles", wording("counted.poles")),
    Rung.ZEROS: ("zeros", wording("counted.finite-zeros")),
    Rung.ORIGIN_ZEROS: ("zeros", wording("counted.origin-zeros")),
}


def _expect_noun(rung: Rung, words: set[str], text: str) -> None:
    """What is counted has to be what is asked for: another noun may be another question's answer.

    Raises:
        Unclear: something else is counted.
    """
    if rung not in _ASKED:
        return  # a kind that counts something else has no noun to be mistaken for
    noun, asked = _ASKED[rung]
    said = {name for name, spellings in _NOUNS.items() if words & spellings}
    elsewhere = "origin" in words and rung is not Rung.ORIGIN_ZEROS
    if said <= {noun} and not elsewhere:
        return
    # Every other noun has one sort of thing beside it, or two.
    others = [_OTHERS[name] for name in sorted(said - {noun})] or [wording("counted.only")]
    counted = wording("counted.both", one=others[0], other=others[1]) if others[1:] else others[0]
    if "origin" in words:
        counted = wording("counted.at-the-origin", counted=counted)
    raise Unclear("answer.counts", typed=quoted(text.strip()), counted=counted, asked=asked)


# ----------------------------------------------------------------------- figures

_LABEL = re.compile(
    r"\s*(?:\|?[^\W\d][\w₀-₉]{0,7}\|?(?:\([^()=]{0,8}\))?\s*)?(?:=|≈|≅|~|≃|(?<=\w):(?=\s))\s*"
)
_FREQUENCY = re.compile(r"\s*(ω|w|omega|f)[\w₀-₉]{0,3}\s*[=≈≅~≃:]", re.IGNORECASE)
_MANTISSA = re.compile(r" *+[+-]? *+((?:[0-9][0-9., ]*|[.,][0-9]+))([A-Za-zμ][0-9]+)?( */)?")


def _unlabelled(text: str) -> str:
    """The text with a label such as "f0 =" blanked, so that columns stay."""
    match = _LABEL.match(text)
    return " " * match.end() + text[match.end() :] if match else text


def _asked(question: Posed, text: str) -> str:
    """The unit that a missing one stands for: rad/s where the answer is called ω, Hz for f."""
    name = _FREQUENCY.match(text) if question.unit in ("Hz", "rad/s") else None
    if name is None:
        return question.unit
    return "Hz" if name[1] in "fF" else "rad/s"


def _figure(text: str, value: Fraction, unit: str) -> TypedFigure | None:
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
    return TypedFigure(value, unit, step, len(str(whole)))


def _placed(error: QuantityError | SketchError) -> Unclear:
    """The error of a reader, with the column where it is not the first."""
    if not error.position:
        return Unclear(error.wording)
    return Unclear("answer.at-column", column=error.position + 1, trouble=error.wording)


def _number(case: ReadingCase, text: str, work: Work) -> Reading:
    question = case.question
    body = re.sub(r"(?<=[^\W\d])\.\s*$", "", _unlabelled(text))  # the full stop of a sentence
    unit = _asked(question, text)
    if _squashed(body) in _NAMES:
        # Left to the reader of quantities, f0 would be 0.0 f, as in IEC 60062.
        formula = _formula(case, body, unit, work) if formulas.derived(case) else None
        if formula is not None:
            return formula
        raise Unclear("answer.name", typed=quoted(body.strip()))
    try:
        found = read_quantity(body, unit)
    except QuantityError as error:
        formula = _formula(case, body, unit, work) if question.form in _WITH_FORMULA else None
        if formula is not None:
            return formula
        raise _placed(error) from None
    if question.form is Form.GAIN and found.unit == "" and found.value <= 0:
        raise Unclear("answer.not-a-ratio", ratio=write_quantity(found.value, ""))
    if found.unit == "dB" and abs(found.value) > 1000:
        raise Unclear("answer.beyond-decibels")
    if question.form is Form.RATIO and found.unit:
        raise Unclear("answer.plain-number", unit=found.unit)
    figure = _figure(body, found.value, found.unit)
    digits = min(max(4, figure.digits if figure else 0), 12)
    shown = write_quantity(found.value, found.unit, digits)
    value = to_asked(float(found.value), found.unit, question.unit)
    if question.unit == "dB":
        value = abs(value)  # a loss, or a depth, of 3 dB is a gain of −3 dB
    return Reading(value, shown, found.unit, figure)


_NAMES = ("f0", "f1", "f2", "fc", "fo", "ω0", "w0", "omega0", "ωc", "wc", "q", "b", "bw")
_WITH_FORMULA = (Form.QUANTITY, Form.RATIO, Form.GAIN)
_UNIT_AFTER = re.compile(r"(?:(?<=[\s)\]])|(?<=\d))(?P<unit>rad/s|Hz|hz|HZ)\s*\Z")
# What a formula has and a misspelt quantity has not.
_FORMULA_SIGNS = re.compile(r"[*/^√()·×÷∥²³π]|sqrt|pi|\|\|", re.IGNORECASE)


def _formula(
    case: ReadingCase, text: str, unit: str, work: Work, beside: Beside = Beside.TIGHT
) -> Reading | None:
    """The text as a formula for a figure; ``None`` where it looks like a mere quantity.

    ``unit`` is what its value is in where it does not say so.

    Raises:
        Unclear: it is a formula, but cannot be read or has no value.
        TooMuchWorkError: it asks for more work than is left.
    """
    question = case.question
    match = _UNIT_AFTER.search(text)
    if match and unit in ("Hz", "rad/s"):
        text, unit = text[: match.start()], "rad/s" if match["unit"] == "rad/s" else "Hz"
    try:
        formula = formulas.parsed(case, text, beside, work)
        if formulas.is_plain_number(formula):
            return None
        typed, shown = formulas.value(case, formula), formulas.shown(formula)
        if typed is None:
            return Reading(None, shown, unit, formula=formula, work=work)
        shown = f"{shown} = {write_quantity(typed, unit)}"
    except FormulaError as error:
        if not _FORMULA_SIGNS.search(text):
            return None
        raise Unclear(error.wording) from None
    except ValueError:
        raise Unclear("answer.out-of-reach") from None
    asked = to_asked(typed, unit, question.unit)
    return Reading(asked, shown, unit, formula=formula, work=work)


def _transfer(case: ReadingCase, text: str, work: Work, beside: Beside = Beside.TIGHT) -> Reading:
    # Whether it is a ratio of polynomials hangs on no value: one not known yet may be any.
    parts = [e if e.value else replace(e, value=Fraction(1)) for e in case.parts]
    try:
        formula = formulas.parsed(case, text, beside, work)
        typed = formulas.transfer_of(formula, parts, work)
    except FormulaError as error:
        raise Unclear(error.wording) from None
    known = typed if all(e.value for e in case.parts) else None
    shown = formulas.shown(formula)
    return Reading(formula, shown, formula=formula, transfer=known, work=work)


_FLAT = ("flat", "level", "horizontal", "none", "zero", "constant")


def _slope(case: ReadingCase, text: str, work: Work) -> Reading:
    if _squashed(text) in _FLAT:
        return Reading(0.0, "0 dB/decade", "dB/decade")
    return _number(case, text, work)


def _sketch(case: ReadingCase, text: str, _: Work) -> Reading:
    from ..sketches.write import write

    try:
        drawn = as_written(READ[case.rung](text))
    except SketchError as error:
        raise _placed(error) from None
    return Reading(drawn, write(drawn))


_READERS: dict[Form, Callable[[ReadingCase, str, Work], Reading]] = {
    Form.CHOICE: _choice,
    Form.COUNT: _count,
    Form.QUANTITY: _number,
    Form.RATIO: _number,
    Form.GAIN: _number,
    Form.SLOPE: _slope,
    Form.ANGLE: _slope,
    Form.FORMULA: _transfer,
    Form.SKETCH: _sketch,
}


def right_text(question: Question) -> str:
    """The text of a right answer: 4 significant digits with the unit asked for."""
    truth = question.truth
    match question.form:
        case Form.QUANTITY | Form.RATIO | Form.GAIN | Form.SLOPE | Form.ANGLE:
            return write_quantity(question.figure, question.unit)
        case _:
            return str(plain_truth(truth))
