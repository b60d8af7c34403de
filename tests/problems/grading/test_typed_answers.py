"""No text that is typed may hold up a screen or end it: growth, budgets, and what is counted."""

from __future__ import annotations

import time

import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.formulas.layout import echo
from rungwise.problems.formulas.read import parse
from rungwise.problems.formulas.work import MOST_STEPS, TooMuchWorkError, Work
from rungwise.problems.generate.analyse import generate
from rungwise.problems.grading.formulas import ReadingCase, parsed
from rungwise.problems.grading.grade import grade, right_text
from rungwise.problems.grading.judge import judge
from rungwise.problems.grading.read import read
from rungwise.problems.questions.model import Form, Problem, Question, Rung, Verdict
from rungwise.problems.sketches.model import SketchError
from rungwise.problems.sketches.read_map import read_map
from rungwise.problems.slips.case import Case
from rungwise.tutor.cli.solve import run
from rungwise.tutor.language.errors import worded
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.phrases import answer_text as saying

from tests.support.refusals import refused

from .test_grader import SERIES, mark


def test_a_sentence_about_poles_is_read_at_once() -> None:
    problem = generate(3, level=1)
    asked = next(q for q in problem.questions if q.rung is Rung.POLES)
    text = "2 poles because the denominator has degree 2"
    start = time.process_time()
    assert grade(problem, asked, text).verdict is Verdict.UNCLEAR
    assert time.process_time() - start < 1


def _transfer(seed: int) -> tuple[Problem, Question]:
    problem = generate(seed, level=2)
    return problem, next(q for q in problem.questions if q.rung is Rung.TRANSFER)


@pytest.mark.parametrize(
    "text", ["√(1e40^16)", "√(1e40^16*1e40^16)", "√(1e-40^16*1e-40^16)", "√(1/(1e40^16*1e40^16))"]
)
def test_a_root_beyond_all_floats_is_refused(text: str) -> None:
    found = grade(*_transfer(1), text)
    assert found.verdict is Verdict.UNCLEAR
    assert "too large or too small" in worded(found.trouble)


@pytest.mark.parametrize("text", ["√(1e20^16)", "√(1e-40^8)", "1e40^16"])
def test_a_huge_figure_that_can_be_had_is_wrong(text: str) -> None:
    """Each is a number, and H(s) is none: the root of 1e320 is 1e160, which a float holds."""
    assert grade(*_transfer(1), text).verdict is Verdict.WRONG


@pytest.mark.parametrize("text", ["1e40^16/(s^2+s+1)", "1/(s^2+1e40^16s+1)", "1/(s^2+s+1e40^16)"])
def test_coefficients_beyond_all_floats_are_wrong_and_no_fault(text: str) -> None:
    """Of the right degrees, so that they are compared with the truth and with every slip."""
    assert grade(*_transfer(1), text).verdict is Verdict.WRONG


def test_roots_in_one_place_add_up_before_they_are_too_many() -> None:
    with refused(SketchError, says="too many"):
        read_map("poles: 8 complex pairs, 8 complex pairs; zeros: none")


NOUNS = [
    (Rung.POLES, "2 zeros", "poles"),
    (Rung.POLES, "2 elements", "poles"),
    (Rung.POLES, "two zeros at the origin", "poles"),
    (Rung.ZEROS, "1 pole", "all finite zeros"),
    (Rung.ZEROS, "1 zero at the origin", "all finite zeros"),
    (Rung.ZEROS, "1 at the origin", "all finite zeros"),
    (Rung.ORIGIN_ZEROS, "1 pole at the origin", "the zeros at the origin"),
    (Rung.ORIGIN_ZEROS, "1 pole", "the zeros at the origin"),
    (Rung.INDEPENDENT, "2 poles", "the parts that store energy"),
    (Rung.INDEPENDENT, "2 zeros", "the parts that store energy"),
]  # fmt: skip


@pytest.mark.parametrize(("rung", "text", "asked"), NOUNS)
def test_a_count_of_something_else_is_asked_about(rung: Rung, text: str, asked: str) -> None:
    found = mark(SERIES, rung, text) if rung is not Rung.INDEPENDENT else mark(HIDDEN, rung, text)
    assert found.verdict is Verdict.UNCLEAR
    assert f"asks for {asked}" in worded(found.trouble)


HIDDEN = "series L1 10 mH; series L2 10 mH; shunt C1 100 nF; load RL 1 kΩ"


@pytest.mark.parametrize(
    ("rung", "text"),
    [(Rung.POLES, "2 poles"), (Rung.POLES, "two"), (Rung.ZEROS, "1 zero"), (Rung.ZEROS, "1 finite"),
     (Rung.ORIGIN_ZEROS, "1 zero"), (Rung.ORIGIN_ZEROS, "one zero at the origin")],
)  # fmt: skip
def test_a_count_of_what_is_asked_is_taken(rung: Rung, text: str) -> None:
    assert mark(SERIES, rung, text).verdict is Verdict.RIGHT


LETTERS = ["R1", "RL", "C1", "C2", "L1"]


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("RL∥1/(sC1)", "RL ∥ (1/(s·C1))"),
        ("1/(sC1)||RL", "(1/(s·C1)) ∥ RL"),
        ("RL∥1/(sC1)/(R1+RL∥1/(sC1))", "(RL ∥ (1/(s·C1)))/(R1 + (RL ∥ (1/(s·C1))))"),
        ("1/(sC1)∥1/(sC2)", "(1/(s·C1)) ∥ (1/(s·C2))"),
        ("s·L1∥R1", "(s·L1) ∥ R1"),
        ("R1∥s·L1", "R1 ∥ (s·L1)"),
        # Where both make sense, or neither, the written order stands.
        ("R1∥RL/R1", "(R1 ∥ RL)/R1"),
        ("1/R1∥RL", "1/(R1 ∥ RL)"),
        ("RL∥1k/(sC1)", "(RL ∥ 1000)/(s·C1)"),
        ("(RL∥1)/(sC1)", "(RL ∥ 1)/(s·C1)"),
    ],
)
def test_bars_written_loosely(typed: str, read: str) -> None:
    found = echo(parse(typed, LETTERS))
    assert found == read
    assert echo(parse(found, LETTERS)) == read


def test_a_transfer_function_with_loose_bars_is_right_and_echoed() -> None:
    circuit = "series R1 1 kΩ; shunt C1 100 nF; load RL 3 kΩ"
    found = mark(circuit, Rung.TRANSFER, "RL∥1/(sC1)/(R1+RL∥1/(sC1))")
    assert found.verdict is Verdict.RIGHT
    assert "RL ∥ (1/(s·C1))" in found.understood


def _near(k: int, times: int = 1) -> str:
    """A figure of 50 digits, of which only the last depends on the number."""
    return f"1.{'0' * 48}{k * times % 9 + 1}"


def _sections(count: int, section: str) -> str:
    """So many of a section, with buffers between; a, b and c stand for figures that nearly meet."""
    made = [
        section.format(k=k, a=_near(k), b=_near(k, 2), c=_near(k, 5)) for k in range(1, count + 1)
    ]
    return "; buffer; ".join(made)


def _tanks(count: int) -> str:
    """So many lossy tanks in a row."""
    tank = "series L{k} = {b} mH || R{k} = {a} kΩ || C{k} = {c} µF"
    made = [tank.format(k=k, a=_near(k), b=_near(k, 2), c=_near(k, 5)) for k in range(1, count + 1)]
    return "; ".join(["source Rs = 1 kΩ", *made, "load RL = 1 kΩ"])


@pytest.mark.parametrize(
    "text",
    [
        _sections(12, "series R{k} = {a} kΩ; shunt C{k} = {c} µF"),
        _sections(12, "series C{k} = {c} µF + L{k} = {b} mH; shunt R{k} = {a} kΩ"),
        _sections(12, "series L{k} = {b} H; shunt R{k} = {a} kΩ || C{k} = {c} µF"),
        _tanks(8),
        _tanks(6),
    ],
    ids=["12 RC", "12 RLC", "12 loaded LC", "8 tanks", "6 tanks"],
)
def test_values_of_50_digits_are_solved_at_once(text: str) -> None:
    """Values that differ in the last digit only took seconds, and half a minute."""
    assert read_circuit(text)
    start = time.process_time()
    assert run(text, as_json=True)[0] == 0
    assert time.process_time() - start < 1


def test_the_limit_of_an_answer_is_said() -> None:
    found = mark(SERIES, Rung.POLES, "2" * 2_000)
    assert found.verdict is Verdict.UNCLEAR
    assert "too long" in worded(found.trouble)


@pytest.mark.parametrize("family", [family.name for family in FAMILIES])
def test_right_answers_need_a_fraction_of_the_work_they_may(family: str) -> None:
    """What is counted depends on the text alone, so that this holds on every machine."""
    problem = generate(1, family=family)
    for question in problem.questions:
        text = right_text(question)
        if question.form is Form.FORMULA:
            known = facts(problem.ladder)
            reading = read(question, text, problem.ladder.elements(), known)
            assert judge(Case(problem.ladder, known, question), reading) is Verdict.RIGHT
            assert 0 < reading.work.spent < MOST_STEPS / 4, text
        assert grade(problem, question, text).verdict is Verdict.RIGHT


BEYOND = [
    "(s+π)^16(s+π)^8(s+2π)^16/((s+π)^16(s+3π)^8(s+5π)^16)",
    "((s+1)^16+1/(s+2)^16)/((s+3)^16+1/(s+4)^15)" * 2,
]


@pytest.mark.parametrize("text", BEYOND)
def test_what_takes_too_much_work_is_not_understood(text: str) -> None:
    found = grade(*_transfer(1), text)
    assert found.verdict is Verdict.UNCLEAR
    assert "too much work" in worded(found.trouble) or "too large" in worded(found.trouble)


def test_work_is_counted_before_it_is_done() -> None:
    problem, question = _transfer(1)
    work = Work(100)
    case = ReadingCase(question, tuple(problem.ladder.elements()), facts(problem.ladder))
    with pytest.raises(TooMuchWorkError):
        parsed(case, "1+" * 99 + "1", work=work)
    assert work.spent > work.most


@pytest.mark.parametrize(
    "text",
    ["π" * 250, "s" * 48 + "π" * 200, "R1∥" * 127 + "R1", "1e-40+" * 85 + "s", "1/" * 120 + "s",
     "(√2+√3+√5+√7+√R1+√L1)^6", "(s+0.1234567890123456789012345678901234567)^16" * 3],
    ids=lambda text: text[:12],
)  # fmt: skip
def test_the_longest_readings_take_well_under_50_ms(text: str) -> None:
    """Marking and echo together, as at a key and at its end: the least of five runs."""
    problem, question = _transfer(1)
    basis, took = Climb(problem).basis, []
    for _ in range(5):
        start = time.process_time()
        grade(problem, question, text)
        saying.echo(basis, question, text, 80)
        took.append(time.process_time() - start)
    assert min(took) < 0.040
