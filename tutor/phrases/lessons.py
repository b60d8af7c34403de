"""What lessons say: questions before a change, their choices, and why it does what it does."""

from __future__ import annotations

import math
from fractions import Fraction

from ...problems.analysis.response import FilterType
from ...problems.generate.foretell import POWERS, Foretold, PredictedChange
from ...problems.hints.counterfact import counterfact
from ...problems.quantities.write import write_quantity
from ...problems.questions.effects import changed_value
from ..drafting.lesson_pages import LessonPage
from ..language.texts import entry, fill, percent, speaker
from . import effects as saying_effects
from . import looks as saying_looks

say = speaker("lesson")
"""A text of the lessons by its key, with its values."""


def title(page: LessonPage) -> str:
    """The title of a page."""
    return _of(page, "title")


def level_title(level: int) -> str:
    """The title of a level's lesson."""
    return fill("lessons", f"level-{level}.title")


def text(page: LessonPage) -> str:
    """What stands above the drawing before anything has moved."""
    return _of(page, "text")


def rule(page: LessonPage) -> str:
    """What a page adds up to, and a caution where its parts can hurt somebody."""
    found = _of(page, "rule")
    return f"{found}\n{say('caution')}" if page.cautious else found


def _of(page: LessonPage, part: str) -> str:
    return entry("lessons", f"level-{page.level}.{page.name}.{part}")


def change(page: LessonPage, number: int) -> str:
    """The change of a ``page`` with this ``number``, from 0, in words."""
    return _of(page, f"move-{number + 1}")


def question(prediction: PredictedChange) -> str:
    """The question itself."""
    if prediction.look is not None:
        return saying_looks.prompt(prediction.look)
    if prediction.asked is Foretold.RATIO:
        before, after = prediction.before.corner_hz, prediction.after.corner_hz
        assert before is not None and after is not None
        return say(
            "question.ratio",
            before=write_quantity(before, "Hz", 3),
            after=write_quantity(after, "Hz", 3),
            part=_part(prediction),
        )
    if prediction.effect is not None and prediction.asked is not Foretold.TYPE:
        return saying_effects.question(prediction.effect)
    return say(f"question.{prediction.asked.value}")


def asked(page: LessonPage, number: int, prediction: PredictedChange) -> str:
    """The change ``number`` (from 0) of a ``page``, and the ``prediction`` asked of it."""
    return say("asked", move=change(page, number), question=question(prediction))


def so_far(page: LessonPage, at: int, last: PredictedChange) -> str:
    """What was changed last on a page that is gone on with, and why it did what it did.

    Args:
        page: the page.
        at: how many of its steps are behind.
        last: what was asked before that change.
    """
    return f"{change(page, min(at, len(page.moves)) - 1)} {why(last)}"


def choice(prediction: PredictedChange, answer: str) -> str:
    """The words of the choice ``answer`` of a ``prediction``."""
    if prediction.look is not None:
        return saying_looks.choice(prediction.look, answer)
    if prediction.asked is Foretold.RATIO:
        return f"{prediction.figures[0] ** POWERS[answer]:.3g}"
    if prediction.asked is Foretold.NATURE:
        return say(f"answer.{answer}")
    return saying_effects.answer(answer)


def why(prediction: PredictedChange) -> str:
    """Why what is right is right, in a sentence or two."""
    if prediction.look is not None:
        return saying_looks.why(prediction.look)
    if prediction.effect is not None:
        return saying_effects.why(prediction.effect, prediction.after)
    key = f"why.{prediction.asked.value}-{prediction.truth}"
    before, after = _figures(prediction)
    said = say(key, before=before, after=after, part=_part(prediction))
    return f"{said} {say('why.is-q')}" if _is_q(prediction) else said


def _is_q(prediction: PredictedChange) -> bool:
    """Whether the gain at f0 is Q, as it is of a low-pass whose pass band has the gain 1."""
    known = prediction.after
    if prediction.asked is not Foretold.AT_CORNER or known.type is not FilterType.LOW_PASS:
        return False
    return known.q is not None and math.isclose(prediction.figures[1], known.q, rel_tol=1e-9)


def why_not(prediction: PredictedChange, answer: str) -> str:
    """Why a wrong ``answer`` to a ``prediction`` cannot be right; "" where nothing but `why` is."""
    look = prediction.look
    if look is None or answer not in look.answers:
        return ""
    return saying_looks.counter(look, counterfact(look, answer))


def told(prediction: PredictedChange, answer: str) -> str:
    """What is said of an ``answer`` to a ``prediction``; "" is one that was left out."""
    reason, right = why(prediction), choice(prediction, prediction.truth)
    if answer == prediction.truth:
        return f"{say('right', answer=right)} {reason}"
    truth = f"{say('truth', answer=right)} {reason}"
    if not answer:
        return truth
    wrong, against = say("wrong", answer=choice(prediction, answer)), why_not(prediction, answer)
    if against and prediction.asked is not Foretold.TYPE:  # the same fact, said once
        truth = say("truth", answer=right)
        return f"{wrong} {truth} {against}"
    return " ".join(filter(None, (wrong, against, truth)))


def _part(prediction: PredictedChange) -> str:
    """The part whose value alone changes; "" for any other change."""
    return changed_value(prediction.before.ladder, prediction.after.ladder)


def _figures(prediction: PredictedChange) -> tuple[str, str]:
    first, second = prediction.figures
    if prediction.asked is Foretold.OVERSHOOT:
        return percent(Fraction(first)), percent(Fraction(second))
    if prediction.asked is Foretold.PEAK:
        return saying_effects.level(first), saying_effects.level(second)
    return write_quantity(first, "", 3), write_quantity(second, "", 3)
