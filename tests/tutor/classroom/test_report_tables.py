"""What was taken for what, answers alike, groups and variants: recounted by other means."""

import math
import random
import time
from collections import Counter, defaultdict
from dataclasses import replace
from fractions import Fraction

import numpy
import pytest
from rungwise.tutor.classroom.marking.marks import (
    ClassMarks,
    HandInState,
    QuestionMark,
    QuestionOutcome,
    StudentMarks,
)
from rungwise.tutor.classroom.report.comparison import (
    LEAST_COMPARED,
    fisher,
    newcombe,
    t_quantile,
)
from rungwise.tutor.classroom.report.confusion import MOST_ANSWERS, confusions
from rungwise.tutor.classroom.report.figures import wilson
from rungwise.tutor.classroom.report.figures_of_class import report
from rungwise.tutor.classroom.report.unexplained import unexplained
from scipy import stats

from .marked_class import TYPES, answered, marked

CLASS = answered(marked(64, seed=4, problems=5))
HANDED_IN = [s for s in CLASS.students if s.state is HandInState.MARKED]
FOUND = report(CLASS)


def of(student: StudentMarks, **fields: object) -> StudentMarks:
    """The student with all questions changed alike."""
    problems = tuple(
        replace(p, questions=tuple(replace(q, **fields) for q in p.questions))  # type: ignore[arg-type]
        for p in student.problems
    )
    return replace(student, problems=problems)


# ------------------------------------------------------------------------- true × answered


def test_the_table_of_types_against_the_raw_marks() -> None:
    counts: Counter[tuple[str, str]] = Counter()
    for student in HANDED_IN:
        for question in student.questions:
            if question.rung == "type":
                counts[question.answer[3:], question.understood] += 1
    table = next(one for one in FOUND.confusions if one.rung == "type")
    assert table.true == table.given == TYPES
    for row, truth in enumerate(table.true):
        for column, given in enumerate(table.given):
            assert table.counts[row][column] == counts[truth, given]
        assert table.silent[row] == counts[truth, ""]
    assert sum(map(sum, table.counts)) + sum(table.silent) == counts.total() == 64 * 5
    assert table.wrong == sum(n for (t, g), n in counts.items() if g and g != t) > 20


def test_slopes_stand_by_size_and_rare_answers_together() -> None:
    table = next(one for one in FOUND.confusions if one.rung == "high-slope")
    assert [answer.split()[0] for answer in table.true] == ["−40", "−20", "0", "20"]
    chance = random.Random(2)
    student = HANDED_IN[0]
    odd = [
        of(
            student,
            rung="poles",
            answer="2",
            verdict=QuestionOutcome.WRONG,
            understood=str(chance.randrange(3, 40)),
        )
        for _ in range(200)
    ]
    (table,) = confusions(odd)
    assert len(table.given) == MOST_ANSWERS
    assert sum(table.counts[0]) + table.others[0] == 200 * 30
    assert table.others[0] > 0


def test_answers_settled_by_points_alone_are_no_reading() -> None:
    student = of(HANDED_IN[0], rung="type", answer="a) notch", understood="")
    (table,) = confusions([student])
    assert (table.counts, table.silent) == (((0,),), (30,))


# ------------------------------------------------------------- what no slip explains


def test_every_unexplained_answer_is_listed_just_once() -> None:
    wrong = [
        (place, q)
        for place, s in enumerate(HANDED_IN)
        for q in s.questions
        if q.verdict is QuestionOutcome.WRONG and not q.slips
    ]
    assert sum(one.times for one in FOUND.unexplained) == len(wrong) > 100
    times = [one.times for one in FOUND.unexplained]
    assert times == sorted(times, reverse=True)
    who: dict[str, set[int]] = defaultdict(set)
    for place, question in wrong:
        who[question.rung].add(place)
    for one in FOUND.unexplained:
        assert set(one.students) <= who[one.rung]


def test_figures_off_by_one_factor_stand_together() -> None:
    by_factor: Counter[float] = Counter()
    for student in HANDED_IN:
        for question in student.questions:
            if question.rung != "corner" or question.slips:
                continue
            if question.verdict is QuestionOutcome.WRONG:
                given, right = (float(t.split()[0]) for t in (question.understood, question.answer))
                by_factor[round(math.log(given / right), 2)] += 1
    found = {
        one.factor: one.times
        for one in FOUND.unexplained
        if one.rung == "corner" and one.how == "factor"
    }
    assert found["2π"] == by_factor[round(math.log(2 * math.pi), 2)]
    assert found["1/2π"] == by_factor[round(-math.log(2 * math.pi), 2)]
    assert found["10³"] == by_factor[round(math.log(1000), 2)]
    unnamed = {t for name, t in found.items() if name[:3] in ("1.3", "0.0")}
    assert {by_factor[0.31], by_factor[round(math.log(0.0731), 2)]} == unnamed
    assert sum(found.values()) == by_factor.total()


@pytest.mark.parametrize(
    ("given", "right", "form", "how", "factor"),
    [
        ("10 kHz", "1.592 kHz", "quantity", "factor", "2π"),
        ("1.592 krad/s", "10 kHz", "quantity", "factor", "1/(2π)²"),
        ("1.592 MHz", "1.592 kHz", "quantity", "factor", "10³"),
        ("0.25", "4", "ratio", "reciprocal", ""),
        ("16", "4", "ratio", "factor", "4"),
        ("25", "5", "ratio", "square", ""),
        ("1.732", "3", "ratio", "root", ""),
        ("-0.5", "0.5", "gain", "factor", "−1"),
        ("series-fed", "b) shunt-fed", "choice", "same", ""),
        ("1e9999 Hz", "1 Hz", "quantity", "same", ""),
        ("0 Hz", "1 Hz", "quantity", "same", ""),
        ("<b>Hz", "1 Hz", "quantity", "same", ""),
    ],
)
def test_how_an_answer_is_off(given: str, right: str, form: str, how: str, factor: str) -> None:
    question = QuestionMark(
        "1.1", "q", form, Fraction(1), Fraction(0), QuestionOutcome.WRONG, given, given, right
    )
    problem = replace(HANDED_IN[0].problems[0], questions=(question,))
    (one,) = unexplained([replace(HANDED_IN[0], problems=(problem,))])
    assert (one.how, one.factor, one.times) == (how, factor, 1)


def test_the_same_answer_by_many_outweighs_a_factor_by_one() -> None:
    def asked(number: int, given: str, right: str) -> StudentMarks:
        question = QuestionMark(
            "1.1",
            "q",
            "ratio",
            Fraction(1),
            Fraction(0),
            QuestionOutcome.WRONG,
            given,
            given,
            right,
        )
        problem = replace(HANDED_IN[0].problems[0], questions=(question,))
        return replace(HANDED_IN[0], number=number, problems=(problem,))

    same = [asked(n, "1", "4") for n in range(5)]
    quarter = [asked(9, "2", "8")]
    found = unexplained([*same, *quarter])
    assert [(one.how, one.factor, one.times) for one in found] == [("factor", "1/4", 6)]
    differ = [asked(n, "1", right) for n, right in enumerate(("4", "4", "4", "8"))]
    assert [(one.factor, one.times) for one in unexplained(differ)] == [("1/4", 3), ("0.125", 1)]


# ---------------------------------------------------------------------- groups and variants


def shares(name: str, value: str) -> list[float]:
    return [float(s.points / s.of) for s in HANDED_IN if getattr(s, name) == value]


def test_means_and_their_intervals_against_scipy() -> None:
    for compared, name in ((FOUND.groups, "group"), (FOUND.variants, "variant")):
        assert compared is not None
        for part in compared.parts:
            own = shares(name, part.name)
            assert part.count == len(own) == 32
            assert part.mean == pytest.approx(numpy.mean(own))
            low, high = stats.t.interval(0.95, len(own) - 1, numpy.mean(own), stats.sem(own))
            assert (part.low, part.high) == pytest.approx((low, high), abs=1e-4)
        (one,) = compared.differences
        a, b = shares(name, one.first), shares(name, one.second)
        theirs = stats.ttest_ind(a, b, equal_var=False).confidence_interval(0.95)
        assert (one.low, one.high) == pytest.approx((theirs.low, theirs.high), abs=1e-4)
        assert one.value == pytest.approx(numpy.mean(a) - numpy.mean(b))


def test_quantiles_of_t_against_scipy() -> None:
    for freedom in (9, 9.7, 12, 30, 118.2, 2000):
        for share in (0.9, 0.975, 0.995, 0.999):
            theirs = stats.t.ppf(share, freedom)
            assert t_quantile(share, freedom) == pytest.approx(theirs, rel=0.005)


@pytest.mark.parametrize(
    ("a", "m", "b", "n", "low", "high"),
    [
        # R. G. Newcombe, Statistics in Medicine 17 (1998) 873, table II, method 10.
        (56, 70, 48, 80, 0.0524, 0.3339),
        (9, 10, 3, 10, 0.1705, 0.8090),
        (6, 7, 2, 7, 0.0582, 0.8062),
        (5, 56, 0, 29, -0.0381, 0.1926),
        (10, 10, 0, 10, 0.6075, 1.0),
    ],
)
def test_differences_of_shares_of_published_examples(
    a: int, m: int, b: int, n: int, low: float, high: float
) -> None:
    found = newcombe(wilson(a, m), wilson(b, n))
    assert found == pytest.approx((low, high), abs=1e-4)


def test_intervals_of_correlations_against_scipy() -> None:
    chance = numpy.random.default_rng(1)
    for count in (8, 30, 200):
        x = chance.normal(size=count)
        y = x + chance.normal(size=count)
        found = stats.pearsonr(x, y)
        theirs = found.confidence_interval(0.95)
        assert fisher(float(found.statistic), count) == pytest.approx((theirs.low, theirs.high))
    assert fisher(1.0, 30) == fisher(None, 30) == fisher(0.5, 4) == (None, None)


def test_questions_of_variants_against_a_recount() -> None:
    compared = FOUND.variants
    assert compared is not None
    assert len(compared.questions) == 30
    z = stats.norm.ppf(1 - 0.025 / 30)
    for one in compared.questions:
        right: dict[str, list[bool]] = defaultdict(list)
        own: dict[str, list[tuple[float, float]]] = defaultdict(list)
        for student in HANDED_IN:
            (question,) = [q for q in student.questions if q.number == one.number]
            rest = (student.points - question.points) / (student.of - question.of)
            own[student.variant].append((float(question.points / question.of), float(rest)))
            if question.verdict is not QuestionOutcome.UNCLEAR:
                right[student.variant].append(question.verdict.passed)
        for part, variant in zip(one.parts, "AB", strict=True):
            assert (part.share.right, part.share.asked) == (
                sum(right[variant]),
                len(right[variant]),
            )
            expected = numpy.corrcoef(numpy.array(own[variant]).T)[0, 1]
            assert part.discrimination == pytest.approx(expected)
        assert one.difference is not None
        pair = [wilson(sum(right[v]), len(right[v]), z) for v in "AB"]
        assert (one.difference.low, one.difference.high) == pytest.approx(newcombe(*pair))


def test_classes_alike_are_not_told_apart_too_often() -> None:
    """Of 60 classes whose variants differ by luck alone, about three may be called different."""
    called = 0
    for seed in range(60):
        compared = report(answered(marked(40, seed=seed, problems=1))).variants
        assert compared is not None
        called += any(one.clear for one in compared.differences)
    assert called <= 8


def test_few_are_not_compared() -> None:
    few = report(answered(marked(2 * LEAST_COMPARED - 1, problems=1)))
    assert few.groups is not None
    assert few.groups.differences == ()
    assert report(marked(20)).groups is None
    assert report(marked(20)).variants is None
    anonymous = report(answered(marked(8, problems=1)), anonymous=True)
    assert anonymous.groups is None


def test_a_harder_variant_is_told() -> None:
    harder = tuple(
        of(s, verdict=QuestionOutcome.WRONG, points=Fraction(0)) if s.variant == "B" else s
        for s in CLASS.students
    )
    compared = report(ClassMarks("x", harder)).variants
    assert compared is not None
    (one,) = compared.differences
    assert one.clear and (one.first, one.second) == ("A", "B") and one.value > 0.2
    assert sum(bool(q.difference and q.difference.clear) for q in compared.questions) > 20


def test_four_times_the_students_take_about_four_times_as_long() -> None:
    def seconds(students: int) -> float:
        marks = answered(marked(students, problems=4))
        start = time.thread_time()
        report(marks)
        return time.thread_time() - start

    seconds(30)
    small, large = (min(seconds(students) for _ in range(3)) for students in (60, 240))
    assert large < 4 * 2.5 * small
