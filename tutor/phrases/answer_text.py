"""Answers in the learner's words, for the plain drill and the full screen alike."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ...problems.questions.kinds import REASON_OF, REASONS_BACK
from ...problems.questions.model import Choice, Form, Mark, Posed, Problem, Question
from ..language.ascii import ascii_screen
from ..language.texts import Words
from ..learning.climb import Climb
from ..learning.course import HINT_LEVELS, Outcome

if TYPE_CHECKING:
    from ...problems.grading.reading import Reading
    from ..learning.basis import AnswerBasis


def choice(question: Posed, name: str) -> Choice | None:
    """The choice whose id is ``name``, if the ``question`` has it."""
    return next((c for c in question.choices if c.id == name), None)


def right_words(question: Question) -> str:
    """The right answer; show it only after a right answer or a surrender."""
    from ...problems.grading.grade import right_text

    found = choice(question, str(question.truth)) if question.form is Form.CHOICE else None
    return Words.load().choice(question, found) if found else right_text(question)


def reason(problem: Problem, question: Question) -> str:
    """Why the right answer to a ``question`` of a ``problem`` is right: the step worked."""
    return Words.load().hint(problem, question, HINT_LEVELS)


def understood(question: Posed, mark: Mark) -> str:
    """How the answer to a ``question`` was read, by its ``mark``; a choice in its words."""
    if question.form is not Form.CHOICE:
        return mark.understood
    found = choice_of(question, mark)
    return Words.load().choice(question, found) if found else mark.understood


def taken(question: Posed, text: str, understood: str) -> str:
    """An answer ``text`` that is not marked: a choice of a ``question``, else as ``understood``."""
    found = choice(question, text)
    return Words.load().choice(question, found) if found else understood


def choice_of(question: Posed, mark: Mark) -> Choice | None:
    """The choice of a ``question`` that an answer was read as, by its ``mark``, if it was one."""
    return choice(question, mark.value) if isinstance(mark.value, str) else None


def echo(basis: AnswerBasis, question: Posed, typed: str, width: int) -> list[str]:
    """How a text not yet submitted is read, a formula also as on paper; [] while it can't be.

    A figure is said in the related unit too: "4.7 kHz = 29.53 krad/s".  What is said depends
    on the typed text and the unit asked for, never on the right answer.

    Args:
        basis: what the circuit gives to read by.
        question: what is asked.
        typed: the text.
        width: columns of the drawn formula.
    """
    from ...problems.formulas.layout import layout
    from ...problems.grading import read as grader_read

    setting = Words.load().setting(question)
    try:
        reading = grader_read.read(question, typed, basis.parts, basis.facts, setting)
    except grader_read.Unclear:
        return []
    shown = reading.shown
    other = _otherwise(question, reading)
    if other:
        shown = f"{shown} = {other}"
    if reading.formula is None:
        return [shown]
    drawn = layout(reading.formula, width=width, ascii=ascii_screen())
    return [shown, *drawn] if len(drawn) > 1 else [shown]


def _otherwise(question: Posed, reading: Reading) -> str:
    """A figure as it was read, in the unit that is related to the one it was typed in."""
    from ...problems.quantities.convert import related
    from ...problems.quantities.write import write_quantity

    if not isinstance(reading.value, float):
        return ""
    if question.form is Form.LEVEL:  # a ratio is no level; −3 dB is not told to be 0.708
        return write_quantity(reading.value, "°") if reading.unit == "rad" else ""
    if question.form not in (Form.QUANTITY, Form.GAIN, Form.SLOPE, Form.ANGLE):
        return ""
    # The reading's value is in the unit asked for: that is either the typed or the other one.
    gain = question.form is Form.GAIN
    if reading.unit == question.unit or (gain and reading.unit == ""):
        return related(reading.value, question.unit, gain=gain)
    return write_quantity(reading.value, question.unit)


def found(climb: Climb) -> list[tuple[str, str]]:
    """(title, answer) of every rung answered or shown so far, but for the reasons.

    What was skipped stays unsaid.
    """
    if not climb.position:
        return []  # nothing yet, and the import below would hold up the first frame
    words, known = (
        Words.load(),
        (
            Outcome.CLEAN,
            Outcome.RIGHT,
            Outcome.SHOWN,
            Outcome.WORKED,
        ),
    )
    reasons = {*REASON_OF.values(), *REASONS_BACK.values()}
    return [
        (words.title(state.question.rung), right_words(state.question))
        for state in climb.rungs
        if state.outcome in known and state.question.rung not in reasons
    ]


def summary_lines(climb: Climb) -> list[str]:
    """What a climb came to, one thing a line."""
    ui, summary = Words.load().ui, climb.summary()
    counts = {
        "helped": summary.helped,
        "shown": summary.shown,
        "skipped": summary.skipped,
        "left": summary.left,
        "worked": summary.worked,
    }
    marks = [
        ui("summary.clean", asked=summary.asked, clean=summary.clean),
        ui("summary.full", full=summary.full, steps=summary.steps),
    ]
    return [
        *(marks if summary.asked else ()),
        *(ui(f"summary.{name}", number=n) for name, n in counts.items() if n),
    ]
