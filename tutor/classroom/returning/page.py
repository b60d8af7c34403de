"""What one student gets back: their own answers, their marks, the slip explained, the way to it.

Only what was not right, or is open, is worked; what was right takes a line.  It is made of the
student's own key and marks, so that nothing of anybody else is at hand.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ....problems.grading.grade import right_text
from ....problems.questions.exhibit import Exhibit
from ....problems.questions.model import Face, Question
from ....problems.sheets.inspection import chosen
from ....problems.sheets.model import KeyItem, PlanTrouble, Sheet, SheetError, SheetProblem
from ....problems.solutions.step import Equation
from ...documents.pages import (
    LETTERS,
    clean,
    page,
    points_number,
    points_text,
    problem_title,
    prose,
)
from ...documents.pages_form import (
    Block,
    Division,
    Exercise,
    KeyVerdict,
    Page,
    PageFigure,
    PageKind,
    PageQuestion,
    Paragraph,
    Prose,
)
from ...documents.pages_key import right_sketch, worked_step
from ...documents.pages_marking import right_answer
from ...documents.pages_pictures import CircuitPicture, ExhibitPicture
from ...files.names import sheet_name
from ...language.texts import Words, speaker
from ..handins.cells import one_line
from ..interchange.class_folder import StudentSheet
from ..marking.graded import right_shown
from ..marking.marks import (
    HandInState,
    ProblemMark,
    QuestionMark,
    QuestionOutcome,
    StudentMarks,
)

say = speaker("returning")
MOST_TYPED = 300
"""Characters of an answer that are printed."""


def returned_page(given: StudentSheet, marks: StudentMarks, place: str) -> Page:
    """The page of a student.

    Args:
        given: their sheet and its key.
        marks: theirs.
        place: the folder of the sheets, for what is said where marks and key do not go together.

    Raises:
        SheetError: the marks are of another sheet.
    """
    sheet = given.sheet
    if not marks.belongs_to(given.entry):
        raise _of_other_sheets(sheet, place)
    divisions: list[Division] = []
    if marks.state is HandInState.MARKED:
        keys = {item.number: item for item in given.key.items}
        found = {problem.number: problem for problem in marks.problems}
        for part in sheet.parts:
            small = bool(part.by_inspection)
            problems = tuple(
                _exercise(item, key, _mark(item, key, found, sheet, place), sheet, small)
                for item, key in ((item, keys[item.number]) for item in part.items)
            )
            divisions.append(Division(clean(part.title), problems))
    made = page(sheet, tuple(divisions), key=False)
    assert made.whose is not None
    marked = marks.state is HandInState.MARKED
    whose = replace(made.whose, reached=points_number(marks.points) if marked else "–")
    return replace(
        made,
        kind=PageKind.RETURNED,
        title=say("head.title", title=made.title),
        opening=tuple(_summary(marks)),
        note=say("head.note") if marked else "",
        whose=whose,
    )


def _mark(
    item: SheetProblem, key: KeyItem, found: dict[int, ProblemMark], sheet: Sheet, place: str
) -> ProblemMark:
    """The marks of a problem, which must be of its very questions about this very circuit."""
    mark = found.get(item.number)
    asked = [(q.number, q.rung.value) for q in item.questions]
    if mark is None or [(q.number, q.rung) for q in mark.questions] != asked:
        raise _of_other_sheets(sheet, place)
    problem = key.problem
    if (mark.family, mark.level) != (problem.family, problem.level) or not all(
        _is_answer_to(question, found)
        for question, found in zip(problem.questions, mark.questions, strict=True)
    ):
        raise _of_other_sheets(sheet, place)
    return mark


def _is_answer_to(question: Question, found: QuestionMark) -> bool:
    """Whether a mark is of a question with this right answer.

    Of a choice the letter tells, as the words of an earlier release may have been others.
    """
    shown = right_shown(question)
    if question.choices:
        return found.answer[:2] in ("", shown[:2])
    return found.answer in ("", shown)


def _of_other_sheets(sheet: Sheet, place: str) -> SheetError:
    number = sheet_name(sheet.student.number)
    what = say("command.other-sheets", sheet=number, folder=place)
    return SheetError(PlanTrouble("", "", what, say("command.other-sheets-remedy")))


def _summary(marks: StudentMarks) -> Iterator[Block]:
    match marks.state:
        case HandInState.MARKED:
            values = {"points": points_number(marks.points), "of": points_number(marks.of)}
            paper = sum(q.verdict is QuestionOutcome.PAPER for q in marks.questions)
            if marks.open + paper:
                yield Paragraph(say("summary.open", open=marks.open + paper, **values))
            else:
                yield Paragraph(say("summary.total", **values))
            questions = list(marks.questions)
            right = sum(q.verdict.passed for q in questions)
            yield Paragraph(say("summary.counts", right=right, asked=len(questions)))
        case HandInState.UNREAD if marks.file:
            yield Paragraph(say("summary.unread", file=_cut(clean(one_line(marks.file)))))
        case HandInState.UNREAD:
            yield Paragraph(say("summary.unread-nameless"))
        case HandInState.APART:
            yield Paragraph(say("summary.apart"))
        case _ if marks.file:
            yield Paragraph(say("summary.blank", file=_cut(clean(one_line(marks.file)))))
        case _:
            yield Paragraph(say("summary.missing"))


def _exercise(
    item: SheetProblem, key: KeyItem, mark: ProblemMark, sheet: Sheet, small: bool
) -> Exercise:
    """A problem; its circuit is drawn where it was seen, and there is something to look at again.

    A ``small`` one was one of many on a page: it is drawn as it stood there, and what was asked
    of all of them is not asked again.
    """
    whole = all(question.verdict.passed for question in mark.questions)
    ladder = item.ladder if small and item.ladder is not None else key.problem.ladder
    circuit = CircuitPicture(ladder, sheet.heading.symbols, small=small)
    return Exercise(
        item.number,
        problem_title(item.number, item.title),
        say("question.points", points=points_number(mark.points), of=points_text(mark.of)),
        None if whole or key.problem.face is Face.NONE else PageFigure(circuit),
        tuple(_all_asked(item, key, mark, small)),
    )


def _all_asked(
    item: SheetProblem, key: KeyItem, mark: ProblemMark, small: bool
) -> Iterator[PageQuestion]:
    """Every question; what some were asked about stands before the first that is told again."""
    seen: set[Exhibit] = set()
    for question, found in zip(key.problem.questions, mark.questions, strict=True):
        asked = _asked(item, key, question, found, asked_again=not small)
        shown = question.exhibit
        if shown is not None and shown not in seen and not found.verdict.passed:
            seen.add(shown)
            asked = replace(asked, about=PageFigure(ExhibitPicture(shown)))
        yield asked


def _asked(
    item: SheetProblem, key: KeyItem, question: Question, found: QuestionMark, *, asked_again: bool
) -> PageQuestion:
    words = Words.load()
    points = say("question.points", points=points_number(found.points), of=points_number(found.of))
    title = words.title(question.rung)
    if found.verdict.passed:
        return PageQuestion(found.number, title, points, (Paragraph(_right(question, found)),))
    asked = prose(words.prompt(question), names=True) if asked_again else ()
    said: list[Prose] = [*asked, Paragraph(_not_right(question, found)), *_explained(found)]
    judged = KeyVerdict(
        (_answer(question),),
        (),
        (),
        worked_step(key.problem, question),
        right_sketch(item, key.problem, question),
    )
    return PageQuestion(found.number, title, points, tuple(said), judged=judged)


def _answer(question: Question) -> str | Equation:
    """The right answer; a choice's letter with its words."""
    if not question.choices:
        return right_answer(question)
    place = [choice.id for choice in question.choices].index(chosen(question))
    words = Words.load().choice(question, question.choices[place])
    return say("question.choice", letter=LETTERS[place], words=words)


def _right(question: Question, found: QuestionMark) -> str:
    if found.settled is not None:
        key = "settled-right" if found.typed else "settled-right-blank"
        return say(f"question.{key}", typed=_typed(question, found))
    if found.verdict is QuestionOutcome.ROUGH:
        return say("question.rough", typed=_typed(question, found), answer=_in_words(question))
    return say("question.right", typed=_typed(question, found))


def _in_words(question: Question) -> str:
    answer = _answer(question)
    return answer if isinstance(answer, str) else right_text(question)


def _not_right(question: Question, found: QuestionMark) -> str:
    typed = _typed(question, found)
    match found.verdict:
        case QuestionOutcome.UNCLEAR:
            return say("question.unclear", typed=typed)
        case QuestionOutcome.PAPER:
            told = say("question.paper", typed=typed)
        case _ if found.follows:
            told = say("question.followed", typed=typed, numbers=", ".join(found.follows))
        case QuestionOutcome.BLANK:
            told = say("question.blank")
        case _ if not typed:
            told = say("question.partly-blank" if found.points else "question.blank")
        case _:
            told = say("question.partly" if found.points else "question.wrong", typed=typed)
    return f"{told} {say('question.settled')}" if found.settled else told


def _typed(question: Question, found: QuestionMark) -> str:
    """What the student answered, and how it was read where that is not the same."""
    typed, read = (_cut(clean(one_line(text))) for text in (found.typed, found.understood))
    if question.choices and read and len(typed) == 1 and typed.isalpha():
        words = read.removesuffix(".")  # a sentence of its own, here inside another one
        return say("question.choice", letter=typed.lower(), words=words)
    same = read in ("", typed, typed.replace("-", "−"))
    return typed if same else say("question.understood", typed=typed, understood=read)


def _cut(text: str) -> str:
    return text if len(text) <= MOST_TYPED else f"{text[: MOST_TYPED - 1]}…"


def _explained(found: QuestionMark) -> Iterator[Prose]:
    """The slip that is behind it, as far as one is known, and the pieces of a sketch."""
    if len(found.slips) > 1:
        yield Paragraph(say("question.several"))
    for hit in found.slips:
        yield Paragraph(clean(one_line(hit.sentence)), True, "caution")
    for told in found.told:
        yield Paragraph(clean(one_line(told)), True)
