"""The key to a student's sheet as pages: answers, marking scheme and worked solutions."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ...problems.analysis.response import Facts, facts
from ...problems.questions.model import Choice, Form, Problem, Question, Rung, sketch_of
from ...problems.sheets.model import (
    Key,
    KeyItem,
    PlanTrouble,
    Sheet,
    SheetError,
    SheetProblem,
    Symbols,
)
from ...problems.sketches.model import GainSketch, PhaseSketch
from ...problems.solutions.solution import worked_solution
from ...problems.solutions.step import Step, View
from ..language.texts import Words, fill
from .pages import ask, clean, exercise, page, prose
from .pages_form import (
    Division,
    Exercise,
    KeyVerdict,
    Option,
    Page,
    PageFigure,
    PageQuestion,
    Paragraph,
    Prose,
    SolutionStep,
)
from .pages_lines import worked
from .pages_marking import (
    choice_of,
    counts_as_right,
    right_answer,
    slip_rows,
    slips_of_choice,
)
from .pages_pictures import (
    CircuitPicture,
    PagePicture,
    ResponsePicture,
    RootsPicture,
)

_DISPLAY = 68
"""Columns for formulas drawn in characters."""


def key_page(sheet: Sheet, key: Key) -> Page:
    """Everything that stands in the ``key`` to a ``sheet``.

    Raises:
        SheetError: the key is another sheet's.
    """
    found = {one.number: one for one in key.items}
    divisions = []
    for part in sheet.parts:
        solved = []
        for item in part.items:
            one = found.get(item.number)
            if one is None or [q.rung for q in one.problem.questions] != [
                q.rung for q in item.questions
            ]:
                raise SheetError(
                    PlanTrouble(f"items[{item.number}]", "", "the key is not this sheet's")
                )
            whole = _solved(item, one, sheet.heading.symbols)
            # What is seen at a glance needs no working.
            solved.append(replace(whole, solution="", steps=()) if part.by_inspection else whole)
        divisions.append(Division(clean(part.title), (*prose(part.instructions), *solved)))
    return page(sheet, tuple(divisions), key=True)


def _solved(item: SheetProblem, one: KeyItem, symbols: Symbols) -> Exercise:
    problem = one.problem
    known = facts(problem.ladder)
    asked = exercise(item, symbols)
    asks = tuple(
        _judged(item, problem, known, question, ask(item, shown, symbols))
        for question, shown in zip(problem.questions, item.questions, strict=True)
    )
    whole = CircuitPicture(problem.ladder, symbols)
    return replace(
        asked,
        figure=PageFigure(whole),
        asks=asks,
        solution=fill("sheet", "problem.solution", [("number", item.number)]),
        steps=tuple(_steps(problem)),
    )


def _judged(
    item: SheetProblem, problem: Problem, known: Facts, question: Question, shown: PageQuestion
) -> PageQuestion:
    how = worked_step(problem, question)
    if question.choices:
        remarks = slips_of_choice(problem, known, question)
        options = tuple(
            _marked(option, choice, question, remarks)
            for option, choice in zip(shown.options, question.choices, strict=True)
        )
        judged = KeyVerdict((), (), (), how)
        return replace(shown, options=options, columns=1, answer=None, judged=judged)
    judged = KeyVerdict(
        (right_answer(question),),
        counts_as_right(question),
        slip_rows(problem, known, question),
        how,
        right_sketch(item, problem, question),
    )
    return replace(shown, answer=None, figure=None, note=(), judged=judged)


def _marked(option: Option, choice: Choice, question: Question, remarks: dict[str, str]) -> Option:
    right = choice.id == choice_of(question, question.truth)
    remark = fill("sheet", "right.mark") if right else remarks.get(choice.id, "")
    return replace(option, picture=None, remark=remark, right=right)


def worked_step(problem: Problem, question: Question) -> tuple[Prose, ...]:
    """How the answer to a ``question`` of a ``problem`` is found, with its equations."""
    return worked("hints", *Words.load().hint_entry(problem, question, 3))


def right_sketch(item: SheetProblem, problem: Problem, question: Question) -> PageFigure | None:
    """The right sketch, where one is asked for.

    Args:
        item: the problem as its student may see it, for the paper it is drawn on.
        problem: the problem itself.
        question: one of its questions.
    """
    if question.form is not Form.SKETCH:
        return None
    picture: PagePicture = RootsPicture(problem.ladder)
    sketch = sketch_of(question.truth)
    if isinstance(sketch, GainSketch | PhaseSketch):
        phase = isinstance(sketch, PhaseSketch)
        picture = ResponsePicture(problem.ladder, phase, sketch, item.paper)
    return PageFigure(picture, fill("sheet", f"figure.{question.rung.value}-right"))


def _steps(problem: Problem) -> Iterator[SolutionStep]:
    asked = {question.rung for question in problem.questions}
    pictures: dict[View, tuple[str, Rung | None, PagePicture]] = {
        View.MAP: ("roots", Rung.MAP_SKETCH, RootsPicture(problem.ladder)),
        View.CURVE: ("gain-lines", None, ResponsePicture(problem.ladder)),
        View.PHASE_LINES: (
            "phase-lines",
            Rung.PHASE_SKETCH,
            ResponsePicture(problem.ladder, phase=True),
        ),
    }
    for told in worked_solution(problem.ladder, _DISPLAY, asked=asked):
        # One picture of a kind, and none that a question has brought already.
        figures: tuple[PageFigure, ...] = ()
        if told.view in pictures:
            name, rung, picture = pictures.pop(told.view)
            if rung not in asked:
                figures = (PageFigure(picture, fill("sheet", f"figure.{name}")),)
        yield _explained(told, figures)


def _explained(told: Step, figures: tuple[PageFigure, ...]) -> SolutionStep:
    title, say, why = Words.load().step(told)
    return SolutionStep(
        Paragraph(title, True),
        prose(say, names=True),
        told.equations,
        told.display,
        Paragraph(why, True),
        figures,
    )
