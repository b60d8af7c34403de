"""Typed text → Mark.

The verdicts:

* RIGHT: the answer is the truth; for a figure, within the question's tolerance and
  either within 0.5 % or the correct rounding of the truth to the digits typed; for one that
  is read off a picture, within the tolerance;
* ROUGH: within the tolerance, but off by more than 0.5 % and not the correct rounding
  to the digits typed (the truth 1591.5 Hz typed as "1.57 kHz");
* WRONG: understood, and not the truth;
* UNCLEAR: not understood.  It never counts as wrong; ``trouble`` says what was found,
  where, and how to mend it.

A formula that can be read in two ways, of which only the second is right, is UNCLEAR; but where
the first adds what is of different kinds, or measures something else than what is asked for, and
the second does not, the second is what was meant (``ω0/Q s`` beside s² is (ω0/Q)·s).
"""

from __future__ import annotations

from collections.abc import Sequence

from ..analysis.response import Facts
from ..analysis.response import facts as facts_of
from ..formulas.dimension import Dimensions, measure
from ..formulas.work import TooMuchWorkError
from ..quantities.spelling import shown as quoted
from ..questions.kinds import named_parts
from ..questions.model import Answer, Form, Mark, Problem, Question, SlipHit, Verdict, sketch_of
from ..sketches.model import SketchPart
from ..slips.case import Case
from ..slips.engine import Prediction, predictions
from . import read
from .examples import example
from .formulas import ReadingCase
from .judge import contradicted, fits, fits_closely, judge, steps_hold
from .reading import Reading, Unclear
from .setting import Setting

_ALONE = Setting()


def right_text(question: Question) -> str:
    """The text of a right answer, as a learner could type it."""
    return read.right_text(question)


def grade(
    problem: Problem,
    question: Question,
    text: str,
    facts: Facts | None = None,
    setting: Setting = _ALONE,
) -> Mark:
    """Mark a typed answer.

    Args:
        problem: the problem the question belongs to.
        question: what was asked.
        text: what was typed; anything at all.
        facts: the exact facts of the problem's circuit, where the caller has them.
        setting: the words of the choices as they are shown, and how the writer writes numbers.
    """
    typed = read.clean(text)
    answer = read.right_text(question)
    known = facts or facts_of(problem.ladder)
    case, parts = Case(problem.ladder, known, question), named_parts(problem)
    try:
        reading = read.read(question, text, parts, known, setting)
        verdict = judge(case, reading)
        slips: tuple[SlipHit, ...] = ()
        if verdict is not Verdict.WRONG:
            _look_beside(case, reading, typed)
        else:
            if reading.formula is not None or setting.decimal:
                others = read.read_otherwise(question, text, parts, known, reading.work, setting)
                right = [other for other in others if judge(case, other) is not Verdict.WRONG]
                meant = _meant(question, reading, right)
                if right and meant is None:
                    raise Unclear("answer.two-ways" if reading.formula else "answer.two-signs")
                if meant is not None:
                    reading, verdict = meant, judge(case, meant)
                    _look_beside(case, reading, typed)
            if verdict is Verdict.WRONG:
                _ask_unit(case, text, setting)
                slips = _hits(case, reading)
    except (Unclear, TooMuchWorkError) as error:
        unclear = error if isinstance(error, Unclear) else Unclear("answer.too-much-work")
        return Mark(question.rung, Verdict.UNCLEAR, typed, "", answer, trouble=unclear.wording)
    pieces: tuple[SketchPart, ...] = ()
    if question.form is Form.SKETCH:
        from ..sketches.compare import compare

        pieces = compare(sketch_of(question.truth), sketch_of(reading.answer))
    return Mark(
        question.rung,
        verdict,
        typed,
        reading.shown,
        answer,
        slips,
        parts=pieces,
        value=reading.value,
    )


_MEASURES = {
    Form.FORMULA: measure(0, 0),
    Form.RATIO: measure(0, 0),
    Form.GAIN: measure(0, 0),
}
"""What a formula has to measure; of frequencies and of parts it is left open."""


def _meant(question: Question, reading: Reading, right: Sequence[Reading]) -> Reading | None:
    """The right reading, where the first one makes no sense to an engineer; else ``None``.

    Args:
        question: what was asked.
        reading: the first reading, which is wrong.
        right: other readings, which are right.
    """
    wanted = _MEASURES.get(question.form)
    kinds = Dimensions(reading.work)
    if reading.formula is None or kinds.makes_sense(reading.formula, wanted):
        return None
    formulas = ((one, one.formula) for one in right)
    return next((one for one, f in formulas if f and kinds.makes_sense(f, wanted)), None)


def _ask_unit(case: Case, text: str, setting: Setting) -> None:
    """Ask about a bare figure that would be right as a ratio, or in radians.

    Raises:
        Unclear: it is one.
    """
    other = read.in_another_unit(case.question, text, setting)
    if other is None or judge(case, other) is Verdict.WRONG:
        return
    typed, shown = quoted(text.strip()), example(ReadingCase(case.question))
    if other.unit == "rad":
        raise Unclear("answer.radians", typed=typed, example=shown)
    raise Unclear("answer.no-level", ratio=typed, example=shown)


def _look_beside(case: Case, reading: Reading, typed: str) -> None:
    """What an answer says besides what was asked, and its derivation, must hold too.

    Raises:
        Unclear: it does not.
        TooMuchWorkError: a formula asks for more work than is left.
    """
    if contradicted(case, reading):
        raise Unclear("answer.says-more", typed=quoted(typed))
    if not steps_hold(case, reading):
        raise Unclear("answer.other-formula", figure=reading.shown)


def fitting(
    problem: Problem, question: Question, text: str, facts: Facts, setting: Setting = _ALONE
) -> tuple[tuple[SlipHit, Answer], ...]:
    """Every slip that an answer fits, with the value it leads to, likeliest first.

    Also one that is so near the truth that it is never named, and of an answer that a wider
    tolerance takes for right.

    Args:
        problem: the problem the question belongs to.
        question: what was asked.
        text: what was typed; where it can't be read, it fits nothing.
        facts: the exact facts of the problem's circuit.
        setting: the words of the choices as they are shown, and how the writer writes numbers.
    """
    parts = named_parts(problem)
    case = Case(problem.ladder, facts, question)
    try:
        reading = read.read(question, text, parts, facts, setting)
        found = _fitting(case, reading, near=True)
    except (Unclear, TooMuchWorkError):
        return ()
    return tuple((_hit(case, reading, p), p.value) for p in found)


def _hits(case: Case, reading: Reading) -> tuple[SlipHit, ...]:
    """The slips that lead to a wrong answer, likeliest first."""
    hits: dict[str, SlipHit] = {}
    for p in _fitting(case, reading):
        if p.slip not in hits:
            hits[p.slip] = _hit(case, reading, p)
    return tuple(hits.values())


def _hit(case: Case, reading: Reading, p: Prediction) -> SlipHit:
    values = (*case.common, ("typed", reading.shown), *p.values)
    return SlipHit(p.slip, tuple(dict(values).items()), p.says)


def _fitting(case: Case, reading: Reading, *, near: bool = False) -> list[Prediction]:
    """What slips predict that is as the answer; ``near``: also what is too near the truth."""
    # Letters are compared exactly, so that they tell apart what figures cannot.
    exact = near or reading.lettered
    fitting = [
        p
        for p in predictions(case.ladder, case.facts, case.question)
        if (p.in_play or exact) and fits(case, reading, p)
    ]
    if case.question.form is Form.SKETCH:
        from ..sketches.compare import explained

        # What explains more of a sketch is likelier; what explains as much keeps its order.
        truth, drawn = sketch_of(case.question.truth), sketch_of(reading.answer)
        fitting.sort(key=lambda p: -explained(truth, sketch_of(p.value), drawn))
    else:
        # "130 Hz" is nearer to 130.0 than to 134, which it may be rounded from as well.
        fitting.sort(key=lambda p: not fits_closely(reading, p))
    return fitting
