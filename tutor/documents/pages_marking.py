"""The marking scheme of a key: what counts as right, in figures, and the slips looked for."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from flint import fmpz_mpoly

from ...problems.analysis.letters_algebra import Algebra
from ...problems.analysis.response import Facts
from ...problems.circuits.model import Ladder
from ...problems.formulas.tree import Arithmetic, Formula
from ...problems.grading.grade import right_text
from ...problems.grading.predicted import predicted_text
from ...problems.quantities.write import decade, write_quantity
from ...problems.questions.model import (
    Answer,
    Form,
    Problem,
    Question,
    Rung,
    figure_of,
    formula_of,
    sketch_of,
)
from ...problems.sketches.level import LEVEL, Top, bands, meeting
from ...problems.sketches.model import GainSketch, PhaseSketch
from ...problems.sketches.turns import FIFTH, apart, turns_of
from ...problems.slips.engine import Prediction, predictions
from ...problems.solutions.step import Equation
from ..language.texts import Words, speaker
from .pages import LETTERS
from .pages_form import SlipRow

_say = speaker("sheet", "right.")
DIGITS = 4
_MOST_DIGITS = 12
_OCTAVE_PER_DECADE = 6 / 20
"""The trade's round figures: 6 dB/octave is 20 dB/decade."""
_AS_ONE = 2 * FIFTH - 0.005
"""Decades between breaks that may be drawn as one, so that there is a place for it."""


def counts_as_right(question: Question) -> tuple[str, ...]:
    """What is right, a statement each; limits are rounded so that they are right themselves."""
    return tuple(_counts(question))


def _counts(question: Question) -> Iterator[str]:
    truth = question.truth
    match question.form:
        case Form.CHOICE:
            place = [choice.id for choice in question.choices].index(str(truth))
            yield _say("choice", letter=LETTERS[place])
        case Form.COUNT:
            yield _say("count")
        case Form.FORMULA:
            yield _say("formula")
        case Form.SLOPE:
            slope = write_quantity(question.figure, "dB/decade")
            octave = write_quantity(question.figure * _OCTAVE_PER_DECADE, "dB/octave")
            yield _say("slope", slope=slope, octave=octave)
        case Form.ANGLE:
            if question.rung is Rung.LOW_PHASE and abs(question.figure) == 180:
                angles = question.figure, -question.figure
                one, other = (write_quantity(a, "°") for a in angles)
                yield _say("angle-two", angle=one, other=other)
            else:
                yield _say("angle")
        case Form.SKETCH:
            yield from _sketch(question)
        case Form.LEVEL:
            truth, slack = question.figure, question.slack
            low = math.ceil((truth - slack) * 100 - 1e-6) / 100
            high = math.floor((truth + slack) * 100 + 1e-6) / 100
            limits = (write_quantity(x or 0.0, question.unit, 6) for x in (low, high))
            yield _say("range", **dict(zip(("low", "high"), limits, strict=True)))
        case _:
            yield _range(question)


def _range(question: Question) -> str:
    truth, unit = Fraction(question.figure), question.unit
    low, high = truth * (1 - question.tolerance), truth * (1 + question.tolerance)
    limits = within(low, high)
    shown = {
        name: write_quantity(value, unit, _MOST_DIGITS)
        for name, value in zip(("low", "high"), limits, strict=True)
    }
    if question.form is not Form.GAIN:
        return _say("range", **shown)
    other = (
        math.ceil(_level(low) * 100 - 1e-9) / 100,
        math.floor(_level(high) * 100 + 1e-9) / 100,
    )
    low_other, high_other = (write_quantity(level or 0.0, "dB", _MOST_DIGITS) for level in other)
    return _say("range-two", **shown, low_other=low_other, high_other=high_other)


def _level(gain: Fraction) -> float:
    return 20 * math.log10(gain)


def within(low: Fraction, high: Fraction) -> tuple[Fraction, Fraction]:
    """``low`` and ``high``, positive, rounded inwards to four digits, more where they are close."""
    for digits in range(DIGITS, _MOST_DIGITS + 1):
        step = Fraction(10) ** (decade(low) - digits + 1)
        rounded = math.ceil(low / step) * step, math.floor(high / step) * step
        if rounded[1] - rounded[0] >= (high - low) * Fraction(3, 4):
            return rounded
    return low, high


def _sketch(question: Question) -> Iterator[str]:
    sketch = sketch_of(question.truth)
    if isinstance(sketch, GainSketch):
        yield _say("gain-slopes", slopes=_listed(sketch.slopes))
        yield from _places("gain-break", sketch.breaks)
        for top in bands(sketch):
            yield _level_of(sketch, top)
        yield from _gathered("gain", turns_of(sketch), sketch)
    elif isinstance(sketch, PhaseSketch):
        angles = [sketch.start]
        for _, change in sorted((*sketch.turns, *sketch.jumps)):
            angles.append(angles[-1] + change)
        yield _say("phase-angles", angles=_listed(angles, "°"))
        yield from _places("phase-turn", [place for place, _ in sketch.turns])
        yield from _places("phase-jump", [place for place, _ in sketch.jumps])
        yield from _gathered("phase", sketch.turns)
    else:
        yield _say("map")


def _places(key: str, places: Sequence[float]) -> Iterator[str]:
    for number, place in enumerate(places, 1):
        yield _say(key, number=number, **_about(place, place))


def _about(first: float, last: float) -> dict[str, str]:
    """From where to where a break may be drawn that stands for those of two frequencies."""
    limits = within(Fraction(last * 10**-FIFTH), Fraction(first * 10**FIFTH))
    low, high = (write_quantity(place, "Hz", _MOST_DIGITS) for place in limits)
    return {"low": low, "high": high}


def _level_of(sketch: GainSketch, top: Top) -> str:
    """Where a pass band may lie, and which piece it is."""
    last = len(sketch.breaks)
    key, number = ("-at", top.piece + 1) if top.peak else ("-between", top.piece)
    if not last:
        key = ""
    elif not top.peak and top.piece in (0, last):
        key, number = ("-before", 1) if top.piece == 0 else ("-after", last)
    return _say(f"gain-level{key}", number=number, next=number + 1, **_heights(top.height))


def _heights(lowest: float, highest: float | None = None) -> dict[str, str]:
    """From where to where a level may lie whose right heights are these."""
    highest = lowest if highest is None else highest
    low = math.ceil((lowest - LEVEL) * 100 - 1e-6) / 100
    high = math.floor((highest + LEVEL) * 100 + 1e-6) / 100
    return {
        name: write_quantity(level or 0.0, "dB", 6)
        for name, level in (("low", low), ("high", high))
    }


def _gathered(
    plot: str, turns: Sequence[tuple[float, int]], gain: GainSketch | None = None
) -> Iterator[str]:
    """Breaks or turns that may be drawn as one, and those that may be drawn as several.

    Args:
        plot: what begins the keys.
        turns: where they are, and by how much they turn.
        gain: the gain that they are of, whose level may be that of the crossing then.
    """
    flat = {top.piece: top for top in bands(gain) if not top.peak} if gain else {}
    for number, ((place, turn), (after, other)) in enumerate(pairwise(turns), 1):
        if turn * other > 0 and apart(place, after) < _AS_ONE:
            numbers = {"number": number, "next": number + 1}
            yield _say(f"{plot}-as-one", **numbers, **_about(place, after))
            if gain and number in flat:
                top = flat[number]
                met = meeting(gain, top, top.before, top.after)
                yield _say("gain-level-as-one", **numbers, **_heights(top.height, met))
    unit = 20 if gain else 90
    for number, (_, turn) in enumerate(turns, 1):
        if abs(turn) > unit:
            yield _say(f"{plot}-as-several", number=number)


def _listed(values: Sequence[int], unit: str = "") -> str:
    return ", ".join(write_quantity(value, unit) for value in values)


def right_answer(question: Question) -> str | Equation:
    """The right answer as a key prints it; a choice's is its letter."""
    return answer_shown(question, question.truth, None)


def answer_shown(question: Question, value: Answer, ladder: Ladder | None) -> str | Equation:
    """``value``, an answer to a ``question``, as it is written: H(s) of a ``ladder`` tidied."""
    if question.form is Form.CHOICE:
        return LETTERS[[choice.id for choice in question.choices].index(str(value))]
    if question.form is Form.FORMULA:
        tree = formula_of(value)
        return Equation("H(s)", tree if ladder is None else tidied(tree, ladder))
    return right_text(replace(question, truth=value))


def slip_rows(problem: Problem, known: Facts, question: Question) -> tuple[SlipRow, ...]:
    """The slips looked for, likeliest first, each with the answers it leads to.

    ``question`` is one of a ``problem``, whose circuit's facts are ``known``.
    """
    rows: dict[str, list[str | Equation]] = {}
    for found in _told(problem, known, question):
        answers = rows.setdefault(found.slip, [])
        shown = _shown(question, found, problem.ladder)
        if shown not in answers:
            answers.append(shown)
    words = Words.load()
    return tuple(SlipRow(words.slip_name(slip), tuple(rows[slip])) for slip in rows)


def slips_of_choice(problem: Problem, known: Facts, question: Question) -> dict[str, str]:
    """The choices that slips lead to, with the slips' names.

    ``problem``, ``known`` and ``question`` are those of :func:`slip_rows`.
    """
    found: dict[str, list[str]] = {}
    for one in _told(problem, known, question):
        name = Words.load().slip_name(one.slip)
        names = found.setdefault(choice_of(question, one.value), [])
        if name not in names:
            names.append(name)
    return {choice: "; ".join(names) for choice, names in found.items()}


def choice_of(question: Question, value: Answer) -> str:
    """The id of the choice of a ``question`` that a ``value`` is; "" for none.

    Counts and slopes that are chosen have their figures for ids: "+20".
    """
    if question.form is Form.CHOICE:
        return str(value)
    figure = figure_of(value)
    return next((one.id for one in question.choices if float(one.id) == figure), "")


def _told(problem: Problem, known: Facts, question: Question) -> Iterator[Prediction]:
    """Predictions that can be told from the right answer."""
    for found in predictions(problem.ladder, known, question):
        if found.in_play and found.value != question.truth:
            yield found


def _shown(question: Question, found: Prediction, ladder: Ladder) -> str | Equation:
    """A predicted answer, in the unit it would be typed in."""
    if question.form in (Form.CHOICE, Form.FORMULA):
        return answer_shown(question, found.value, ladder)
    return predicted_text(question, found)


def tidied(formula: Formula, ladder: Ladder) -> Formula:
    """``formula``, a fraction in s and the letters of a ``ladder``, tidied; any other as it is."""
    algebra = Algebra(tuple(ladder.elements()))
    try:
        top, bottom = algebra.cancelled(*_fractions(algebra).value(formula))
        signs = [c > 0 for p in (top, bottom) for c in p.coeffs()]
        return algebra.fraction(top, bottom) if all(signs) and signs else formula
    except (_NoFractionError, ZeroDivisionError):
        return formula


_Fraction = tuple[fmpz_mpoly, fmpz_mpoly]


class _NoFractionError(Exception):
    """A formula that is no fraction of polynomials with whole coefficients."""


_MOST_TERMS = 400
_MOST_POWER = 12


def _fractions(algebra: Algebra) -> Arithmetic[_Fraction]:
    """What works a formula out as a fraction of polynomials in s and the letters."""
    known = {"s": algebra.s, **algebra.letter}

    def letter(name: str) -> _Fraction:
        if name not in known:
            raise _NoFractionError
        return known[name], algebra.one

    def plus(a: _Fraction, b: _Fraction) -> _Fraction:
        if a[1] == b[1]:
            return a[0] + b[0], a[1]
        return _bounded(a[0] * b[1] + b[0] * a[1], a[1] * b[1])

    def power(a: _Fraction, n: int) -> _Fraction:
        if abs(n) > _MOST_POWER:
            raise _NoFractionError
        top, bottom = a if n >= 0 else (a[1], a[0])
        return top ** abs(n), bottom ** abs(n)

    def root(_: _Fraction) -> _Fraction:
        raise _NoFractionError

    constant = algebra.ctx.constant
    return Arithmetic(
        number=lambda value: (constant(value.numerator), constant(value.denominator)),
        letter=letter,
        root=root,
        minus=lambda a: (-a[0], a[1]),
        plus=plus,
        times=lambda a, b: _bounded(a[0] * b[0], a[1] * b[1]),
        over=lambda a, b: _bounded(a[0] * b[1], a[1] * b[0]),
        power=power,
    )


def _bounded(top: fmpz_mpoly, bottom: fmpz_mpoly) -> _Fraction:
    if len(top) + len(bottom) > _MOST_TERMS or not len(bottom):
        raise _NoFractionError
    return top, bottom
