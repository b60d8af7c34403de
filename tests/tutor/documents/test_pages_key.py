"""The marking scheme of a key, held against the grader: what it prints is marked as it says."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.formulas.equal import same
from rungwise.problems.formulas.read import parse
from rungwise.problems.formulas.tree import Letter, Number, Product, Quotient
from rungwise.problems.generate.tasks import generate
from rungwise.problems.grading.grade import grade
from rungwise.problems.hints.fill import in_letters
from rungwise.problems.quantities.read import read_quantity
from rungwise.problems.questions.model import Form, Problem, Question, Task, formula_of
from rungwise.problems.slips.engine import predictions
from rungwise.problems.solutions.step import Equation
from rungwise.tutor.documents.math.mathml import spoken
from rungwise.tutor.documents.pages import LETTERS
from rungwise.tutor.documents.pages_form import Exercise, Page, PageQuestion
from rungwise.tutor.documents.pages_key import key_page
from rungwise.tutor.documents.pages_lines import equations
from rungwise.tutor.documents.pages_marking import counts_as_right, tidied, within
from rungwise.tutor.language.apostrophes import curled
from rungwise.tutor.language.texts import Words

from .by_hand import made, mixed

ASKED = [(task, seed, level) for task in Task for seed, level in ((1, 1), (5, 3), (8, 5), (12, 2))]


def exercises(page: Page) -> list[Exercise]:
    return [b for division in page.divisions for b in division.blocks if isinstance(b, Exercise)]


def judged(task: Task, seed: int, level: int) -> Iterator[tuple[Problem, Question, PageQuestion]]:
    found = made(((task, seed, level),))
    problem = found.key.items[0].problem
    page = key_page(found.sheet, found.key)
    asks = exercises(page)[0].asks
    yield from ((problem, q, ask) for q, ask in zip(problem.questions, asks, strict=True))


@pytest.mark.parametrize(("task", "seed", "level"), ASKED)
def test_what_the_key_calls_right_is_marked_right(task: Task, seed: int, level: int) -> None:
    for problem, question, ask in judged(task, seed, level):
        if question.form is Form.CHOICE:
            (typed,) = [option.letter for option in ask.options if option.right]
        else:
            assert ask.judged is not None
            (right,) = ask.judged.right
            typed = right if isinstance(right, str) else spoken(right).removeprefix("H(s) = ")
        assert grade(problem, question, typed).passed, (question.rung, typed)


@pytest.mark.parametrize(("task", "seed", "level"), ASKED)
def test_slips_are_named_for_the_answers_that_the_key_prints(
    task: Task, seed: int, level: int
) -> None:
    words = Words.load()
    for problem, question, ask in judged(task, seed, level):
        assert ask.judged is not None
        for row in ask.judged.slips:
            for answer in row.answers:
                typed = answer if isinstance(answer, str) else spoken(answer)
                mark = grade(problem, question, typed.removeprefix("H(s) = "))
                assert not mark.passed, (question.rung, typed)
                names = [curled(words.slip_name(hit.slip)) for hit in mark.slips]
                assert row.name in names, (question.rung, typed, names)
        for option in ask.options:
            if option.remark and not option.right:
                mark = grade(problem, question, option.letter)
                names = [curled(words.slip_name(hit.slip)) for hit in mark.slips]
                assert option.remark.split("; ") == names


@pytest.mark.parametrize(("task", "seed", "level"), ASKED)
def test_no_prediction_that_is_in_play_is_left_out(task: Task, seed: int, level: int) -> None:
    words = Words.load()
    for problem, question, ask in judged(task, seed, level):
        assert ask.judged is not None
        told = {row.name for row in ask.judged.slips}
        told |= {name for option in ask.options for name in option.remark.split("; ")}
        for one in predictions(problem.ladder, facts(problem.ladder), question):
            if one.in_play and one.value != question.truth:
                assert curled(words.slip_name(one.slip)) in told


FIGURES = [
    (problem, question)
    for task, seed, level in ASKED
    for problem in [generate(seed, task=task, level=level)]
    for question in problem.questions
    if question.form in (Form.QUANTITY, Form.RATIO, Form.GAIN)
]


def test_there_are_figures_of_every_sort() -> None:
    assert {question.form for _, question in FIGURES} == {Form.QUANTITY, Form.RATIO, Form.GAIN}


@pytest.mark.parametrize(("problem", "question"), FIGURES)
def test_the_limits_printed_are_right_and_little_beyond_them_is_wrong(
    problem: Problem, question: Question
) -> None:
    (said,) = counts_as_right(question)
    match = re.fullmatch(r"from (.+?) to (.+?)(?: \((.+) dB to (.+) dB\))?", said)
    assert match is not None
    unit = question.unit
    low, high = (read_quantity(text, unit).value for text in match.groups()[:2])
    for limit, beyond in ((low, Fraction(199, 200)), (high, Fraction(201, 200))):
        assert grade(problem, question, f"{float(limit)!r} {unit}").passed
        assert not grade(problem, question, f"{float(limit * beyond)!r} {unit}").passed
    if question.form is Form.GAIN:
        for decibels in match.groups()[2:]:
            assert grade(problem, question, f"{decibels} dB").passed


@pytest.mark.parametrize("digits", range(1, 9))
def test_limits_are_rounded_inwards(digits: int) -> None:
    low = Fraction(123456789, 10**digits)
    for share in (Fraction(1, 1000), Fraction(1, 50), Fraction(1, 5), Fraction(1, 10**6)):
        found = within(low, low * (1 + share))
        assert low <= found[0] < found[1] <= low * (1 + share)
        assert found[1] - found[0] >= low * share * Fraction(3, 4)


def test_the_limits_of_a_sketch_are_marked_right_and_beyond_them_wrong() -> None:
    problem = generate(8, task=Task.SKETCH, family="buffered-low-pass-pair")
    question = next(q for q in problem.questions if q.rung.value == "gain-sketch")
    told = counts_as_right(question)
    slopes = told[0]
    breaks, [level] = (
        [text for text in told if text.startswith(start)] for start in ("break ", "level ")
    )
    assert "0 dB" not in slopes and slopes.endswith(": 0, −20, −40")
    places = [re.findall(r"([\d.]+ k?Hz)", text) for text in breaks]
    levels = re.findall(r"(−?[\d.]+ dB)", level)
    for end in (0, 1):
        first, second = places[0][end], places[1][end]
        typed = f"0 to {first}, −20 to {second}, −40; level {levels[end]}"
        assert grade(problem, question, typed).passed, typed
    off = f"0 to {places[0][1].replace('.', '1.', 1)}, −20 to {places[1][1]}, −40; level 0 dB"
    assert not grade(problem, question, off).passed


def test_formulas_of_slips_are_tidied_and_stay_what_they_are() -> None:
    problem = generate(1, task=Task.ANALYSE, level=2)
    question = next(q for q in problem.questions if q.form is Form.FORMULA)
    found = 0
    for one in predictions(problem.ladder, facts(problem.ladder), question):
        tree = formula_of(one.value)
        tidy = tidied(tree, problem.ladder)
        assert same(tree, tidy)
        found += tidy != tree
    assert found


def pages() -> Page:
    found = mixed()
    return key_page(found.sheet, found.key)


def test_worked_lines_take_formulas_as_they_are() -> None:
    tree = parse("1/(2*pi*R1*C1)", {"R1", "C1"})
    values = {
        "element": "C1",
        "formula": in_letters(tree),
        "part": "1 kΩ",
        "half": "0.25",
        "result": "1.592 kHz",
        "answer": "0 to 1 kHz, −20",
        "gain": "0.5 (−6.021 dB)",
    }
    assert equations("  f₀ = {formula}", values) == (Equation("f₀", tree),)
    assert equations("     = {result}.", values) == (Equation("= 1.592 kHz"),)
    part = Product((Letter("ω0"), Letter("1 kΩ")))
    assert equations("  {element} = 1/(ω₀·{part}) = {result}.", values) == (
        Equation("C1", Quotient(Number(Fraction(1)), part)),
        Equation("= 1.592 kHz"),
    )
    half = Product((Letter("f0"), Number(Fraction(1, 4))))
    assert equations("  f = f₀·{half}", values) == (Equation("f", half),)
    for text in ("  {answer}.", "  |H| = {gain}.", "  √(a) = {half}"):
        assert equations(text, values) == ()


def test_a_key_works_every_circuit_from_the_start() -> None:
    page = pages()
    for exercise in exercises(page):
        assert exercise.steps and exercise.figure is not None
        assert all(step.why.text and step.say for step in exercise.steps)
        assert any(
            isinstance(e, Equation) and e.formula for s in exercise.steps for e in s.equations
        )


def test_a_key_of_another_sheet_is_refused() -> None:
    from rungwise.problems.sheets.model import SheetError

    one, other = made(((Task.ANALYSE, 5, 3),)), made(((Task.SKETCH, 5, 3),))
    with pytest.raises(SheetError, match="not this sheet's"):
        key_page(one.sheet, other.key)


def test_each_option_keeps_its_letter() -> None:
    found = mixed()
    sheet_asks = [a for p in found.sheet.items for a in p.questions]
    asks = [a for e in exercises(pages()) for a in e.asks]
    for asked, ask in zip(sheet_asks, asks, strict=True):
        assert [option.letter for option in ask.options] == list(LETTERS[: len(asked.choices)])
