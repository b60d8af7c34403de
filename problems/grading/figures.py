"""How a figure is read: a number or a formula, with its name, its derivation, its other unit.

``f0 = 1/(2πRC) = 1.59 kHz (10 krad/s)`` answers with its last figure.  Whatever else is said to be
the same has to be the same: what contradicts itself is asked about, and so is a name of something
else, and a range.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from ..formulas.read import Beside
from ..formulas.tree import Formula, FormulaError, Minus, Number, Sum
from ..formulas.work import Work
from ..quantities.convert import to_asked
from ..quantities.read import read_quantity
from ..quantities.spelling import shown as quoted
from ..quantities.spelling import uniform
from ..quantities.units import QuantityError
from ..quantities.write import write_quantity
from ..questions.kinds import VALUES
from ..questions.model import Form, Rung, figure_of
from . import formulas, levels
from .clauses import Clause, clauses_of
from .examples import example, not_understood
from .formulas import ReadingCase
from .names import ANGULAR, CYCLIC, Named, fits, named
from .reading import Reading, TypedFigure, Unclear
from .said import bare, squashed

AGREE = 0.02
"""A formula gives a figure that comes this near to its value."""

SAME = 0.005
"""Two figures this near are one figure."""

WITH_FORMULA = (Form.QUANTITY, Form.RATIO, Form.GAIN)
"""Forms that a formula answers too."""

_NAMES = ("f0", "f1", "f2", "fc", "fo", "ω0", "w0", "omega0", "ωc", "wc", "q", "b", "bw")
_MANTISSA = re.compile(r" *+[+-]? *+((?:[0-9][0-9., ]*|[.,][0-9]+))([A-Za-zμ][0-9]+)?( */)?")
_UNIT_AFTER = re.compile(r"(?:(?<=[\s)\]])|(?<=\d))(?P<unit>rad/s|Hz|hz|HZ)\s*\Z")
# What a formula has and a misspelt quantity has not.
_FORMULA_SIGNS = re.compile(r"[*/^√()·×÷∥²³π]|sqrt|pi|\|\|", re.IGNORECASE)
_RANGE = re.compile(r"±|\+/-|\.\.|…|(?<=[\s\w])(?:to|till|until|between|plus or minus)(?=\s)")
_PER_SECOND = re.compile(
    r"(?<=[\d⁰¹²³⁴⁵⁶⁷⁸⁹]) ?[·*]? ?(?:1?/s(?:ec)?\b|s(?:ec)?(?:\^-1|\^\(-1\)|⁻¹))"
)
_FACTOR_BEFORE = re.compile(r"\s*+(?:(?:by )?(?:an? )?factor (?:of )?|[x×]) ?(?=[0-9.])", re.I)
_FACTOR_AFTER = re.compile(r"(?<=[0-9]) ?(?:[x×]|: ?1)\s*+\Z", re.I)
_BRACKETED = re.compile(r"\([^()]+\)|\[[^\[\]]+\]")
_RECIPROCAL = "s^-1"
_LOGARITHM = re.compile(r"log|lg|ln|tan|exp", re.IGNORECASE)
_SYMBOL = re.compile(r"[^\W\d_](?:_?\{?\w{1,8}\}?)?")
_OPERATORS = "*/·×÷^√+-−∥|=("
_MOST_DECIBELS = 1000
"""A ratio of 10⁵⁰: no gain is more, and as a plain number it can still be worked with."""


def read_figure(case: ReadingCase, text: str, work: Work, beside: Beside = Beside.TIGHT) -> Reading:
    """Read a figure, its derivation, and whatever else is said to be the same.

    Args:
        case: the question, and what an answer to it may name.
        text: what was typed.
        work: what the steps are counted on.
        beside: how letters side by side bind after a slash.

    Raises:
        Unclear: it was not understood, names something else, or says two things.
        TooMuchWorkError: it asks for more work than is left.
    """
    if case.question.form is Form.RATIO:
        text = _plain_factor(text)
    found = clauses_of(_aside_first(case, _PER_SECOND.sub(" s^-1", text)))
    if not found:
        raise Unclear("answer.no-figure", typed=quoted(text.strip()), example=example(case))
    return _Figures(case, work, beside).of([_told(case, clause) for clause in found], text)


def _plain_factor(text: str) -> str:
    """``×1.3``, ``1.3x``, ``1.3 : 1`` and ``a factor of 1.3`` as ``1.3``."""
    before = _FACTOR_BEFORE.match(text)
    return _FACTOR_AFTER.sub("", text[before.end() :] if before else text)


def _aside_first(case: ReadingCase, text: str) -> str:
    """``1.59 kHz (10 krad/s)`` as two clauses; brackets of a formula stay as they are."""
    body = text.strip().rstrip(".")
    one, slash, other = body.partition(" / ")
    if slash and all(_is_quantity(case, side) and side[-1:].isalpha() for side in (one, other)):
        return f"{one}; {other}"
    if body[-1:] not in (")", "]"):
        return text
    start, depth = len(body), 0
    while start and (depth or start == len(body)):
        start -= 1
        depth += (body[start] in ")]") - (body[start] in "([")
    before, inside = body[:start].rstrip(), body[start + 1 : -1]
    if not before or before[-1] in _OPERATORS:
        return text
    if not any(c.isdigit() or c == "π" for c in inside):
        unit = f"{before} {inside}"  # 1.59 [kHz]
        if _is_quantity(case, unit):
            return unit
    spaced = before[-1].isalpha() or body[start - 1].isspace()
    return f"{before} because {inside}" if spaced and _is_quantity(case, before) else text


def _is_quantity(case: ReadingCase, text: str) -> bool:
    """Whether the last piece of a text is a figure of the sort that is asked for."""
    try:
        read_quantity(clauses_of(text)[-1].pieces[-1], case.question.unit)
    except (QuantityError, Unclear, IndexError):
        return False
    return True


# --------------------------------------------------------------------------- clauses


@dataclass(frozen=True, slots=True)
class _Told:
    """A clause: what it names, whether that is what is asked for, and what is said to be so."""

    names: tuple[Named, ...]
    symbol: str
    fitting: bool | None  # None where nothing is named
    expressions: tuple[str, ...]
    reason: bool = False


def _told(case: ReadingCase, clause: Clause) -> _Told:
    pieces = clause.pieces
    names: list[Named] = []
    symbol, fitting = "", None
    at = 0
    while at < len(pieces) - 1:
        piece = pieces[at]
        name = _name(case, piece, first=not at)
        if name is None:
            break
        names.append(name)
        good = name is Named.ANY or fits(case.question, name, formulas.one_pole(case))
        fitting = good if fitting is None else fitting and good
        if not symbol and _SYMBOL.fullmatch(piece):
            symbol = piece
        at += 1
    return _Told(tuple(names), symbol, fitting, pieces[at:], clause.reason)


def _name(case: ReadingCase, piece: str, *, first: bool) -> Named | None:
    wanted = {str(value) for key, value in case.question.values if key == "element"}
    if piece.replace("_", "") in wanted | {name[:1] for name in wanted}:
        return Named.ANY
    if case.rung in VALUES:
        element = formulas.spellings(case.parts).get(piece.replace("_", ""))
        if element is not None:
            return Named.ANY if element in wanted else Named.OTHER
    found = named(piece)
    if found is None and first and _SYMBOL.fullmatch(piece):
        return Named.OTHER
    return found


class _Figures:
    """Reads the clauses of one answer."""

    def __init__(self, case: ReadingCase, work: Work, beside: Beside) -> None:
        self.case, self.work, self.beside = case, work, beside
        self.defined: dict[str, Formula] = {}

    def of(self, told: list[_Told], text: str) -> Reading:
        main = next((t for t in reversed(told) if t.fitting), None)
        unnamed = [t for t in told if t.fitting is None]
        main = main or next((t for t in reversed(unnamed) if not t.reason), None)
        main = main or next(iter(unnamed), None)
        if main is None:
            name = told[-1].symbol or text.partition("=")[0]
            raise Unclear(
                "answer.other-name", name=quoted(name.strip()), example=example(self.case)
            )
        for clause in (*told, *told):  # one letter may be said by another, in any order
            if clause.fitting is False:
                self.define(clause)
        *before, last = main.expressions
        found = self.expression(last, self.unit(main), sure=_says_unit(main))
        self.check_unit(main, found)
        steps: list[Reading] = []
        for clause in told:
            if clause.fitting is False or clause is main:
                continue
            remark = bool(main.fitting) or clause.reason
            if remark and not self.reads(clause.expressions[-1], self.unit(clause)):
                continue
            for piece in clause.expressions:
                steps += self.step(piece, clause, found)
        for piece in before:
            steps += self.step(piece, main, found)
        return replace(found, steps=tuple(steps)) if steps else found

    def unit(self, clause: _Told) -> str:
        """The unit that a missing one stands for."""
        asked = self.case.question.unit
        if asked not in ("Hz", "rad/s") or not clause.names:
            return asked
        if any(name in ANGULAR for name in clause.names):
            return "rad/s"
        return "Hz" if any(name in CYCLIC for name in clause.names) else asked

    def check_unit(self, clause: _Told, found: Reading) -> None:
        """A frequency that is called ω is in rad/s, and one called f in Hz."""
        wanted = self.unit(clause)
        if clause.fitting and found.unit in ("Hz", "rad/s") and found.unit != wanted:
            if not any(name in ANGULAR | CYCLIC for name in clause.names):
                return
            raise Unclear(
                "answer.name-and-unit", name=quoted(clause.symbol or "f"), unit=wanted,
                other=found.unit,
            )  # fmt: skip

    def define(self, clause: _Told) -> None:
        """Take down what a letter is said to stand for, if the clause says that."""
        if not clause.symbol or clause.symbol in formulas.spellings(self.case.parts):
            return
        text = clause.expressions[0]
        try:
            self.defined[clause.symbol] = formulas.parsed(
                self.case, text, self.beside, self.work, self.defined
            )
        except FormulaError as error:
            if clause.symbol in formulas.derived(self.case):
                raise not_understood(self.case, error) from None

    def reads(self, text: str, unit: str) -> bool:
        try:
            self.expression(text, unit)
        except Unclear:
            return False
        return True

    def step(self, text: str, clause: _Told, answer: Reading) -> Iterator[Reading]:
        """What else is said to be the same; formulas are given back, to be checked as letters.

        Raises:
            Unclear: it is not the same as the ``answer``.
        """
        unit = self.unit(clause)
        try:
            found = self.expression(text, unit, sure=_says_unit(clause))
        except Unclear:
            if self.is_level(text, answer):
                return
            checked = self.formula(text, unit, self.beside)
            if checked is not None and _near(checked, answer, AGREE):
                return
            if _LOGARITHM.search(text):
                return  # no formula of ours has one
            raise
        if found.value is None or answer.value is None:
            return
        if found.formula is None:
            if not _near(found, answer, SAME) and not self.is_level(text, answer):
                raise Unclear("answer.two-figures", one=found.shown, other=answer.shown)
            return
        units = [unit]
        if unit in ("Hz", "rad/s") and not _says_unit(clause):
            units = ["Hz", "rad/s"]  # 1/(RC) = 10 krad/s: the formula has no unit of its own
        for beside in Beside:
            for each in units:  # with all figures of the circuit: it is only checked
                other = self.formula(text, each, beside)
                if other is not None and _near(other, answer, AGREE):
                    yield other
                    return
        raise Unclear("answer.formula-and-figure", formula=found.shown, figure=answer.shown)

    def is_level(self, text: str, answer: Reading) -> bool:
        """Whether a step of a derivation gives a level: a sum of decibels, or the ratio itself."""
        question, slack = self.case.question, float(self.case.question.tolerance)
        if question.form is not Form.LEVEL or answer.value is None:
            return False
        found: list[float] = []
        try:
            total = levels.expression(text, question.unit, self.inside, numbers=True)
            found += [] if total is None else [total]
        except FormulaError:
            return False
        if question.unit == "dB":
            try:
                ratio = self.inside(text.strip("|"))
                found += [20 * math.log10(ratio)] if ratio > 0 else []
            except FormulaError:
                pass
        return any(abs(one - figure_of(answer.value)) <= slack for one in found)

    def inside(self, text: str) -> float:
        """The value of what a logarithm or an arctangent is of.

        Raises:
            FormulaError: it has none.
        """
        formula = formulas.parsed(self.case, text, self.beside, self.work, self.defined)
        value = formulas.value(self.case, formula)
        if value is None:
            raise FormulaError("formula.not-real")
        return value

    def level(self, text: str, unit: str) -> Reading | None:
        """A level with logarithms or arctangents in it; ``None`` where it has none.

        Raises:
            Unclear: it cannot be read, or is a ratio.
        """
        question = self.case.question
        if question.form is not Form.LEVEL:
            return None
        shown = example(self.case)
        try:
            value = levels.expression(text, unit, self.inside)
            if value is not None:
                told = f"{levels.shown(text)} = {write_quantity(value, unit)}"
                return Reading(value, told, unit)
        except FormulaError as error:
            raise not_understood(self.case, error) from None
        except (OverflowError, ValueError):
            raise Unclear("answer.out-of-reach") from None
        if unit == "dB" and _FORMULA_SIGNS.search(text):
            try:
                self.inside(text)
            except (FormulaError, ValueError):
                return None
            raise Unclear("answer.no-level", ratio=quoted(text), example=shown)
        return None

    def formula(self, text: str, unit: str, beside: Beside) -> Reading | None:
        try:
            whole = replace(self.case, checks=True)
            return _formula(whole, text, unit, self.work, beside, self.defined)
        except Unclear:
            return None

    def expression(self, text: str, unit: str, *, sure: bool = False) -> Reading:
        """One number or formula, in ``unit`` where it does not say so.

        A figure in 1/s is in ``unit`` if its name makes that ``sure``.

        Raises:
            Unclear: it is neither.
        """
        case, question = self.case, self.case.question
        body = bare(text)
        if _BRACKETED.fullmatch(body):
            body = bare(body[1:-1])
        if unit in ("Hz", "rad/s") and sure and body.endswith(_RECIPROCAL):
            body = body.removesuffix(_RECIPROCAL) + unit
        if squashed(body) in _NAMES and not body[:1].isdigit():
            # Left to the reader of quantities, f0 would be 0.0 f, as in IEC 60062.
            known = formulas.derived(case) or self.defined
            formula = self._formula(body, unit) if known else None
            if formula is not None:
                return formula
            raise Unclear("answer.bare-name", typed=quoted(body.strip()), example=example(case))
        try:
            found = read_quantity(body, unit, example=example(case, unit))
        except QuantityError as error:
            if _is_range(body):
                raise Unclear("answer.range", typed=quoted(body), example=example(case)) from None
            level = None if error.readings else self.level(body, unit)
            if level is not None:
                return level
            asks = bool(error.readings) or question.form not in WITH_FORMULA
            formula = None if asks else self._formula(body, unit)
            if formula is not None:
                return formula
            raise Unclear(error.wording) from None
        if question.form is Form.GAIN and found.unit == "" and found.value <= 0:
            raise Unclear("answer.not-a-ratio", ratio=write_quantity(found.value, ""))
        if question.unit == "dB" and found.unit == "":
            ratio = write_quantity(found.value, "")
            if question.form is Form.LEVEL:
                raise Unclear("answer.no-level", ratio=ratio, example=example(case))
            if found.value <= 0:
                raise Unclear("answer.not-a-ratio", ratio=ratio)
        if found.unit == "dB" and abs(found.value) > _MOST_DECIBELS:
            raise Unclear("answer.beyond-decibels")
        if question.form is Form.RATIO and found.unit:
            raise Unclear("answer.plain-number", unit=found.unit, example=example(case))
        figure = typed_figure(body, found.value, found.unit)
        shown = figure.shown if figure else write_quantity(found.value, found.unit)
        value = to_asked(float(found.value), found.unit, question.unit)
        if question.unit == "dB" and question.form is not Form.LEVEL:
            value = abs(value)  # a loss, or a depth, of 3 dB is a gain of −3 dB
        if question.rung is Rung.POLE_PLACE and ("asked", "left") in question.values:
            value = abs(value)  # how far to the left, given as the real part
        return Reading(value, shown, found.unit, figure)

    def _formula(self, text: str, unit: str) -> Reading | None:
        return _formula(self.case, text, unit, self.work, self.beside, self.defined)


def _says_unit(clause: _Told) -> bool:
    """Whether what a clause names is in rad/s, or in Hz, and nothing else."""
    return any(name in ANGULAR | CYCLIC for name in clause.names)


def _near(one: Reading, other: Reading, within: float) -> bool:
    """Whether two readings may be of one value: relatively so near, or rounded to each other."""
    if one.value is None or other.value is None:
        return True
    a, b = figure_of(one.value), figure_of(other.value)
    off, size = abs(a - b), max(abs(a), abs(b))
    if off <= within * size:
        return True
    steps = [r.figure.step / abs(r.figure.value) for r in (one, other) if r.figure]
    return off <= AGREE * size and off <= float(max(steps, default=Fraction(0))) * size / 2


def _is_range(text: str) -> bool:
    """``15.9–14.6 kHz``, ``2 to 3``, ``2 ± 0.1``: more than one figure."""
    if _RANGE.search(text):
        return sum(c.isdigit() for c in text) > 1
    try:
        formula = formulas.plain_formula(text)
    except FormulaError:
        return False
    if not isinstance(formula, Sum):
        return False
    terms = [term.of if isinstance(term, Minus) else term for term in formula.terms]
    return all(isinstance(term, Number) for term in terms)


def typed_figure(text: str, value: Fraction, unit: str) -> TypedFigure | None:
    """What the digits typed claim; ``None`` for a quotient and for zero.

    Args:
        text: the number as it was typed.
        value: what it is.
        unit: the unit it is in.
    """
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


def _formula(
    case: ReadingCase,
    text: str,
    unit: str,
    work: Work,
    beside: Beside,
    defined: Mapping[str, Formula],
) -> Reading | None:
    """The text as a formula for a figure; ``None`` where it looks like a mere quantity.

    Raises:
        Unclear: it is a formula, but cannot be read or has no value.
        TooMuchWorkError: it asks for more work than is left.
    """
    question = case.question
    match = _UNIT_AFTER.search(text)
    if match and unit in ("Hz", "rad/s"):
        text, unit = text[: match.start()], "rad/s" if match["unit"] == "rad/s" else "Hz"
    try:
        formula = formulas.parsed(case, text, beside, work, defined)
        if formulas.is_plain_number(formula):
            return None
        typed, shown = formulas.value(case, formula), formulas.shown(formula)
        if typed is None:
            return Reading(None, shown, unit, formula=formula, work=work)
        shown = f"{shown} = {write_quantity(typed, unit)}"
    except FormulaError as error:
        if not _FORMULA_SIGNS.search(text):
            return None
        raise not_understood(case, error, formula=True) from None
    except ValueError:
        raise Unclear("answer.out-of-reach") from None
    asked = to_asked(typed, unit, question.unit)
    return Reading(asked, shown, unit, formula=formula, work=work)
