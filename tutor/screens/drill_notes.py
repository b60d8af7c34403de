"""What the drill's screen says: of a mark, of the question, of what has been found so far."""

from __future__ import annotations

from textual.content import Content

from ...problems.problem import Form, Mark, Question, Verdict
from .. import saying
from ..climb import Climb
from ..words import Words, fill

Note = tuple[str, str, str]
"""Kind, heading and text of a note."""


def of_mark(question: Question, mark: Mark) -> Note:
    """What a mark says, without the answer unless the learner has found it."""
    words, said = Words.load(), saying.understood(question, mark)
    ui = words.ui
    match mark.verdict:
        case Verdict.RIGHT:
            return "right", ui("drill.right"), f"{words.title(mark.rung)}: {said}"
        case Verdict.ROUGH:
            body = ui("drill.rough-body", typed=said, answer=mark.answer)
            return "rough", ui("drill.rough"), body
        case Verdict.WRONG:
            slips = [words.slip(hit) for hit in mark.slips]
            lead = [ui("drill.slips")] if len(slips) > 1 else []
            pieces = words.parts(mark.rung, mark.parts)
            body = "\n".join([*([*lead, *slips] or [ui("drill.again")]), *pieces])
            return "wrong", f"{ui('drill.wrong')} {said}", body
        case Verdict.UNCLEAR:
            return "unclear", ui("drill.unclear"), mark.trouble


def prompt(question: Question) -> str:
    """What is asked; where the answer is drawn, only what the pad does not show by itself."""
    if question.form is not Form.SKETCH:
        return Words.load().prompt(question)
    text = fill("sketch", f"prompt.{question.rung}")
    if question.values:
        text += " " + fill("sketch", "prompt.roots", question.values)
    return text


def of_question(text: str) -> Content:
    """The question itself (its first sentence) in bold, what it adds in plain."""
    ends = [text.find(sign) + 1 for sign in ("? ", ". ") if sign in text]
    end = min(ends, default=len(text))
    return Content.assemble((text[:end], "bold"), (text[end:], "$ink-quiet"))


def found(climb: Climb) -> Content:
    """What has been found so far."""
    answers = saying.found(climb)
    if not answers:
        return Content()
    widest = max(len(title) for title, _ in answers)
    return Content("\n").join(
        [
            Content.styled(Words.load().ui("drill.found"), "$ink-quiet"),
            *(
                Content.assemble((f"{title:<{widest}}   ", "$ink-quiet"), answer)
                for title, answer in answers
            ),
        ]
    )
