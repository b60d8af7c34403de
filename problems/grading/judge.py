"""Whether what was read is the truth, or what a slip predicts."""

from __future__ import annotations

from ..formulas.tree import Formula
from ..formulas.work import Work
from ..quantities.convert import to_asked
from ..questions.model import (
    TOLERANCE,
    Answer,
    Form,
    Rung,
    Verdict,
    figure_of,
    formula_of,
    sketch_of,
)
from ..slips.case import Case, numeric
from ..slips.engine import Prediction
from .formulas import (
    ReadingCase,
    derived,
    deviation,
    settled,
    settled_transfer,
    standard,
    transfer_of,
)
from .reading import Reading, TypedFigure

FINE = 0.005
"""An answer this near the truth is right however many digits it was typed with."""

NEAR = 0.01
"""A typed figure this near a slip's prediction is taken for it."""

_SAME_VALUE = 1e-9


def judge(case: Case, reading: Reading) -> Verdict:
    """Right, rough or wrong: the ``reading`` of an answer to the question of ``case``.

    Raises:
        TooMuchWorkError: a formula asks for more work than is left.
    """
    question = case.question
    if question.form is Form.FORMULA:
        return _judge_transfer(case, reading)
    if question.form is Form.SKETCH:
        from ..sketches.compare import agree

        drawn = agree(sketch_of(question.truth), sketch_of(reading.answer))
        return Verdict.RIGHT if drawn else Verdict.WRONG
    if not numeric(question):
        return Verdict.RIGHT if _agrees(case, reading.answer) else Verdict.WRONG
    value = figure_of(reading.answer)
    if reading.formula is not None and reading.lettered:
        right = settled(case, reading.formula, reading.unit, reading.work)
        if right is None:
            right = abs(value - case.truth) <= _SAME_VALUE * abs(case.truth)
        return Verdict.RIGHT if right else Verdict.WRONG
    if question.form is Form.LEVEL:
        near = question.off(value) <= question.slack + _SAME_VALUE
        return Verdict.RIGHT if near else Verdict.WRONG
    error = abs(value - case.truth) / abs(case.truth)
    if error > float(question.tolerance) + _SAME_VALUE:  # the limits themselves are right
        return Verdict.WRONG
    if question.exhibit is not None:  # as near as a picture is read, and so never rough
        return Verdict.RIGHT
    if error <= FINE or (reading.figure and rounds_to(case.truth, question.unit, reading.figure)):
        return Verdict.RIGHT
    return Verdict.ROUGH


def _judge_transfer(case: Case, reading: Reading) -> Verdict:
    typed = reading.transfer
    assert reading.formula is not None and typed is not None
    right: bool | None = None
    if reading.lettered and not standard(reading.formula):
        truth = formula_of(case.question.truth)
        right = settled_transfer(typed, reading.formula, case.facts, truth, reading.work)
    if right is None:
        off = deviation(typed, case.facts.transfer, reading.work)
        if FINE < off <= TOLERANCE:
            return Verdict.ROUGH
        right = off <= FINE
    return Verdict.RIGHT if right else Verdict.WRONG


def contradicted(case: Case, reading: Reading) -> bool:
    """Whether the circuit of ``case`` is not what the ``reading`` of an answer says beside it.

    "A second-order low-pass" is no right answer where there is one pole.
    """
    return any(not _so(case, what, value) for what, value in reading.said)


def _so(case: Case, what: str, value: str | int) -> bool:
    known = case.facts
    match what:
        case "order":
            return known.transfer.order == value
        case "called":  # "with a trap", "of finite depth"
            return known.called.endswith(f"-{value}")
        case "parts":
            return set(str(value)) <= {e.kind.value for e in case.ladder.elements()}
        case _:
            roots = known.poles if case.rung is Rung.POLES else known.zeros
            return any(_of_nature(root, str(value), roots) for root in roots)


def _of_nature(root: complex, nature: str, roots: tuple[complex, ...]) -> bool:
    match nature:
        case "complex":
            return root.imag != 0
        case "real":
            return root.imag == 0
        case "double":
            return root.imag == 0 and roots.count(root) > 1
        case _:  # on the jω axis
            return root.real == 0 and root.imag != 0


def steps_hold(case: Case, reading: Reading) -> bool:
    """Whether the formulas of a derivation give the figure that the ``reading`` ends with.

    Their values do, or they could not have been read; of letters it is more that is asked: Rs in
    the place of RL is another circuit's formula, however alike their values are.  ``case`` is the
    question and its circuit.

    Raises:
        TooMuchWorkError: a formula asks for more work than is left.
    """
    return not any(step.lettered and judge(case, step) is Verdict.WRONG for step in reading.steps)


def _agrees(case: Case, found: Answer) -> bool:
    """Equal; a slope or a phase to half a unit.

    Towards DC +180° and −180° are one angle; at the high end the phase is followed from
    there, as the question says, so its sign counts.
    """
    if isinstance(found, str) or isinstance(case.question.truth, str):
        return found == case.question.truth
    value, truth = figure_of(found), case.truth
    if case.rung is Rung.LOW_PHASE and abs(truth) == 180:
        value, truth = abs(value), abs(truth)
    return abs(value - truth) <= 0.5


def rounds_to(truth: float, unit: str, figure: TypedFigure) -> bool:
    """Whether ``figure`` is ``truth`` (in ``unit``) correctly rounded to the digits typed."""
    half = float(figure.step) / 2 * (1 + 1e-9)
    low, high = float(figure.value) - half, float(figure.value) + half
    if figure.unit != unit and low <= 0 and unit != "dB" and figure.unit != "dB":
        return False
    bounds = to_asked(low, figure.unit, unit), to_asked(high, figure.unit, unit)
    return min(bounds) <= truth <= max(bounds)


def fits(case: Case, reading: Reading, prediction: Prediction) -> bool:
    """Whether a slip's ``prediction`` is what was typed in answer to the question of ``case``.

    A figure: within 1 %, or to the digits typed (two at least); a level: within half of what it
    may be off; a formula in letters by its value, exactly.  H(s): the same function with this
    circuit's values.  A sketch: the same in all that this slip spoils, whatever else is wrong.
    ``reading`` is what was typed.

    Raises:
        TooMuchWorkError: a formula asks for more work than is left.
    """
    if prediction.typed_unit not in ("", reading.unit):
        return False
    question, guess, value = case.question, prediction.value, reading.answer
    if question.form is Form.FORMULA:
        return _fits_transfer(case, reading, formula_of(guess))
    if question.form is Form.SKETCH:
        from ..sketches.compare import explained

        return explained(sketch_of(question.truth), sketch_of(guess), sketch_of(value)) > 0
    if not numeric(question):
        if isinstance(guess, str) or isinstance(value, str):
            return guess == value
        # Slopes are predicted as whole dB/decade, but may be typed as dB/octave.
        return abs(figure_of(guess) - figure_of(value)) <= (
            1 if question.form is Form.SLOPE else 0.5
        )
    wanted, typed = figure_of(guess), figure_of(value)
    exact = prediction.exact or reading.lettered
    if question.form is Form.LEVEL:
        return question.apart(typed, wanted) <= (_SAME_VALUE if exact else question.slack / 2)
    if abs(typed - wanted) <= (_SAME_VALUE if exact else NEAR) * abs(wanted):
        return True
    if exact:
        return False
    figure = reading.figure
    return figure is not None and figure.digits >= 2 and rounds_to(wanted, question.unit, figure)


def fits_closely(reading: Reading, prediction: Prediction) -> bool:
    """Whether a figure is a slip's ``prediction`` to 1 %, not only to the few digits typed.

    ``reading`` is what was typed; of anything but figures it is always so.
    """
    wanted, typed = prediction.value, reading.answer
    if not isinstance(wanted, float) or not isinstance(typed, int | float) or not wanted:
        return True
    return abs(typed - wanted) <= NEAR * abs(wanted)


def _fits_transfer(case: Case, reading: Reading, guess: Formula) -> bool:
    assert reading.transfer is not None
    parts = tuple(case.ladder.elements())
    asked = ReadingCase(case.question, parts, case.facts)
    known = {name: value for name, value in derived(asked).items() if value is not None}
    predicted = transfer_of(guess, parts, Work(), known)
    off = deviation(reading.transfer, predicted, reading.work)
    assert reading.formula is not None
    exact = reading.lettered and not standard(reading.formula)
    return off <= (0 if exact else NEAR)
