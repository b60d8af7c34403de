"""What the drill's screen says: of a mark, of the question, of what has been found so far."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.content import Content

from ....problems.questions.model import Form, Mark, Posed, Problem, Question, Verdict
from ...language.errors import worded
from ...language.texts import Words, fill
from ...phrases import answer_text as saying
from ...phrases import explaining

if TYPE_CHECKING:
    from ....problems.hints.explanation import Explanation

Note = tuple[str, str, str]
"""Kind, heading and text of a note."""


def of_mark(question: Posed, mark: Mark, explanation: Explanation | None = None) -> Note:
    """What a ``mark`` says, without the answer to the ``question`` unless it has been found.

    An ``explanation`` explains a wrong one; without it the slips of the mark do.
    """
    words, said = Words.load(), saying.understood(question, mark)
    ui = words.ui
    match mark.verdict:
        case Verdict.RIGHT:
            return "right", ui("drill.right"), f"{words.title(mark.rung)}: {said}"
        case Verdict.ROUGH:
            body = ui("drill.rough-body", typed=said, answer=mark.answer)
            return "rough", ui("drill.rough"), body
        case Verdict.WRONG:
            told = explaining.of_mark(mark, explanation)
            slips = explanation.slips if explanation is not None else mark.slips
            lead = [ui("drill.slips")] if len(slips) > 1 else []
            # Of a sketch, which can be seen, what is wrong in it comes first.
            pieces = reversed(words.parts(mark.rung, mark.parts))
            body = "\n".join([*lead, *told, *pieces] or [ui("drill.again")])
            drawn = question.form is Form.SKETCH
            return "wrong", ui("drill.wrong") if drawn else f"{ui('drill.wrong')} {said}", body
        case Verdict.UNCLEAR:
            return "unclear", ui("drill.unclear"), worded(mark.trouble)


def of_shown(problem: Problem, question: Question) -> Note:
    """The answer to a ``question`` of a ``problem`` that was asked for, and why it is right."""
    ui = Words.load().ui
    body = f"{saying.right_words(question)}\n{saying.reason(problem, question)}"
    return "shown", ui("drill.shown"), body


def of_example(problem: Problem, question: Question) -> Note:
    """What is behind the answer to a ``question``, and how it is worked in this ``problem``."""
    words = Words.load()
    title = words.ui("drill.worked", title=words.title(question.rung))
    return "example", title, "\n".join(words.hint(problem, question, level) for level in (1, 3))


def prompt(question: Posed) -> str:
    """What is asked; where the answer is drawn, only what the pad does not show by itself."""
    if question.form is not Form.SKETCH:
        return Words.load().prompt(question)
    text = fill("sketch", f"prompt.{question.rung}")
    if "roots" in dict(question.values):
        text += " " + fill("sketch", "prompt.roots", question.values)
    return text


def of_question(text: str) -> Content:
    """The question itself (its first sentence) in bold, what it adds in plain."""
    ends = [text.find(sign) + 1 for sign in ("? ", ". ") if sign in text]
    end = min(ends, default=len(text))
    return Content.assemble((text[:end], "bold"), (text[end:], "$ink-quiet"))
