"""A step that is shown worked instead of asked: what is said beside it."""

from __future__ import annotations

from ....problems.questions.model import Form, Problem, Question
from ...language.texts import Words
from ...phrases import answer_text as saying
from ..answers.answering import AnswerControls
from ..common.answer_notes import Note


def of_example(problem: Problem, question: Question) -> Note:
    """What is behind the answer to a ``question``, and how it is worked in this ``problem``."""
    words = Words.load()
    title = words.ui("drill.worked", title=words.title(question.rung))
    return "example", title, "\n".join(words.hint(problem, question, level) for level in (1, 3))


def show_answer(answering: AnswerControls, question: Question) -> None:
    """Put the right answer to a ``question`` where it would be given, in ``answering``."""
    if question.form in (Form.CHOICE, Form.SKETCH):
        answering.reveal(question)
    else:
        answering.restore(saying.right_words(question))
