"""What a class report says, against a recount of the same marks by other means."""

import json
import tomllib
from collections import Counter, defaultdict
from dataclasses import replace
from fractions import Fraction

import numpy
import pytest
from rungwise.problems.questions.model import Rung
from rungwise.problems.sheets.lots import check, draft
from rungwise.problems.sheets.model import Paper, Student, Symbols
from rungwise.problems.sheets.plan import plan_of
from rungwise.tutor.classroom.marking.marks import (
    ClassMarks,
    HandInState,
    QuestionMark,
    QuestionOutcome,
    StudentMarks,
)
from rungwise.tutor.classroom.report.document import document
from rungwise.tutor.classroom.report.figures_of_class import ENOUGH, report
from rungwise.tutor.classroom.report.plan import digest_of, follow_up, sections, seed_of
from rungwise.tutor.learning.skill_map import group_of

from .marked_class import answered, marked

CLASS = marked(40, seed=4, problems=5)


def handed_in(marks: ClassMarks) -> list[StudentMarks]:
    return [student for student in marks.students if student.state is HandInState.MARKED]


def asked(marks: ClassMarks) -> list[tuple[StudentMarks, str, QuestionMark]]:
    return [
        (student, problem.family, question)
        for student in handed_in(marks)
        for problem in student.problems
        for question in problem.questions
    ]


def test_items_and_reliability_against_numpy() -> None:
    found = report(CLASS)
    table = numpy.array(
        [
            [float(q.points) for p in student.problems for q in p.questions]
            for student in handed_in(CLASS)
        ]
    )
    of = [float(item.of) for item in found.items]
    totals = table.sum(axis=1)
    assert [item.count for item in found.items] == [40] * 30
    for place, item in enumerate(found.items):
        own = table[:, place]
        assert item.difficulty == pytest.approx(own.mean() / of[place])
        rest = numpy.corrcoef(own, totals - own)[0, 1]
        assert item.discrimination == pytest.approx(rest, abs=1e-12)
    problems = table.reshape(40, 5, 6).sum(axis=2)
    for parts, ours in ((table, found.alpha_items), (problems, found.alpha_problems)):
        k = parts.shape[1]
        inner = parts.var(axis=0, ddof=1).sum()
        assert ours == pytest.approx(k / (k - 1) * (1 - inner / totals.var(ddof=1)))
    assert found.alpha_problems is not None
    assert found.error == pytest.approx(totals.std(ddof=1) * numpy.sqrt(1 - found.alpha_problems))
    assert found.points is not None
    assert found.points.mean == pytest.approx(totals.mean())
    assert sum(found.histogram) == 40
    assert (found.count, found.expected) == (40, 41)


def test_slips_are_counted_by_students_and_ranked() -> None:
    students: dict[str, set[int]] = defaultdict(set)
    times: Counter[str] = Counter()
    for student, _, question in asked(CLASS):
        if question.slips:
            students[question.slips[0].slip].add(student.number)
            times[question.slips[0].slip] += 1
    found = report(CLASS).slips
    assert {s.slip: (s.students, s.times) for s in found} == {
        slip: (len(who), times[slip]) for slip, who in students.items()
    }
    assert [s.students for s in found] == sorted((s.students for s in found), reverse=True)
    for slip in found:
        assert slip.sentence
        numbers = [tuple(map(int, number.split("."))) for number in slip.questions]
        assert numbers == sorted(set(numbers))


def test_skills_leave_out_what_waits_and_count_blanks() -> None:
    right: Counter[tuple[str, str]] = Counter()
    total: Counter[tuple[str, str]] = Counter()
    for _, family, question in asked(CLASS):
        key = group_of(family).value, question.rung
        if question.verdict is not QuestionOutcome.UNCLEAR:
            total[key] += 1
            right[key] += question.verdict in (QuestionOutcome.RIGHT, QuestionOutcome.ROUGH)
    found = report(CLASS)
    assert {(s.group, s.rung): (s.share.right, s.share.asked) for s in found.skills} == {
        key: (right[key], total[key]) for key in total
    }
    ends = [s.share.high for s in found.reteach]
    assert ends == sorted(ends)
    assert {s for s in found.skills if (s.share.value or 0) < ENOUGH} == set(found.reteach)
    assert found.blank == sum(q.verdict is QuestionOutcome.BLANK for _, _, q in asked(CLASS))
    assert found.unclear == sum(q.verdict is QuestionOutcome.UNCLEAR for _, _, q in asked(CLASS))


def test_ten_comes_after_nine() -> None:
    numbers = [item.number for item in report(marked(5, problems=11)).items]
    assert numbers[-1] == "11.6"
    assert numbers.index("9.1") < numbers.index("10.1")


def test_sheets_that_differ_are_compared_by_shares() -> None:
    first, *others = handed_in(CLASS)
    shorter = replace(first, problems=first.problems[:3])
    found = report(replace(CLASS, students=(shorter, *others)))
    assert found.of is None
    assert found.points is None
    assert found.share is not None
    assert found.alpha_items is None
    assert found.alpha_problems is None
    assert found.error is None
    assert {item.count for item in found.items} == {39, 40}
    # The first three problems' questions are compared over all, as shares of all the others.
    own = [float(s.problems[0].questions[0].points) for s in (shorter, *others)]
    rests = [(shorter.points - shorter.problems[0].questions[0].points) / (shorter.of - 1)]
    rests += [(s.points - s.problems[0].questions[0].points) / (s.of - 1) for s in others]
    expected = numpy.corrcoef(own, [float(r) for r in rests])[0, 1]
    assert found.items[0].discrimination == pytest.approx(expected)
    last = found.items[-1]
    assert last.difficulty == pytest.approx(
        numpy.mean([float(s.problems[-1].questions[-1].points) for s in others])
    )


@pytest.mark.parametrize("count", [0, 1, 2, 4, 5])
def test_small_classes_have_no_figures_that_are_not_there(count: int) -> None:
    found = report(marked(count))
    assert found.count == count
    assert found.few
    if count < 5:
        assert all(item.discrimination is None for item in found.items)
    else:
        assert any(item.discrimination is not None for item in found.items)
    if count < 2:
        assert found.alpha_items is None
        assert found.error is None
    assert json.dumps(document(found), allow_nan=False)


def test_a_class_that_knows_everything() -> None:
    full = tuple(
        replace(
            student,
            problems=tuple(
                replace(
                    p,
                    questions=tuple(
                        replace(q, points=q.of, verdict=QuestionOutcome.RIGHT, slips=())
                        for q in p.questions
                    ),
                )
                for p in student.problems
            ),
        )
        for student in CLASS.students
    )
    found = report(replace(CLASS, students=full))
    assert all(item.difficulty == 1 and item.discrimination is None for item in found.items)
    assert found.alpha_items is None
    assert found.slips == ()
    assert found.reteach == ()
    assert found.histogram == (0,) * 9 + (40,)
    assert follow_up(found, "9f3c") == ""


def test_an_anonymous_report_holds_nothing_of_anybody() -> None:
    marks = answered(CLASS)
    found = report(marks, anonymous=True)
    text = json.dumps(document(found), ensure_ascii=False)
    for student in CLASS.students:
        assert student.name not in text
    assert found.standings == ()
    assert all(slip.sentence == "" for slip in found.slips)
    open_one = document(report(marks))
    hidden = document(found)
    assert {k for k in open_one if open_one[k] != hidden[k]} == {
        *("students", "anonymous", "points", "share", "waiting", "unexplained")
    }
    assert hidden["points"] == {  # without the ends, which are somebody's
        key: value
        for key, value in open_one["points"].items()  # type: ignore[attr-defined]
        if key in ("mean", "median", "deviation")
    }


def test_an_anonymous_report_of_very_few_keeps_points_to_itself() -> None:
    told = document(report(marked(4), anonymous=True))
    assert told["points"] is told["share"] is told["histogram"] is None
    assert document(report(marked(5), anonymous=True))["histogram"]


def test_the_document_is_the_report() -> None:
    found = report(CLASS)
    told = json.loads(json.dumps(document(found)))
    assert told["format"] == "rungwise.report/1"
    assert Fraction(told["points_of"]) == found.of
    assert [item["difficulty"] for item in told["items"]] == [i.difficulty for i in found.items]
    assert told["skills"][0]["interval_95"] == [
        found.skills[0].share.low,
        found.skills[0].share.high,
    ]
    assert len(told["students"]) == 40


# --------------------------------------------------------------------------- the plan after it


def test_the_plan_is_valid_and_asks_what_was_known_least() -> None:
    found = report(CLASS)
    text = follow_up(found, digest_of(CLASS))
    plan = plan_of(tomllib.loads(text))
    check(plan)
    assert plan.title == "Follow-up: Filters <i>II</i> & more"
    assert plan.course == "EE 201"
    least = found.reteach[0]
    assert Rung(least.rung) in plan.sections[0].ask
    assert {group_of(f).value for f in plan.sections[0].families} == {least.group}
    weak = {(s.group, s.rung) for s in found.reteach}
    for section in plan.sections:
        groups = {group_of(name).value for name in section.families}
        assert len(groups) == 1
        assert any((group, rung.value) in weak for group in groups for rung in section.ask)
        # The name of a group would tell how many poles there are.
        assert section.title == ""
    corner = next(s for s in plan.sections if Rung.CORNER in s.ask)
    assert corner.points.of(Rung.CORNER) == 2
    sheet = draft(plan, Student(1, "Ann")).variant.sheet
    assert len(sheet.items) == 2 * len(plan.sections)


def test_the_same_marks_give_the_same_plan_and_other_marks_another_seed() -> None:
    found = report(CLASS)
    assert follow_up(found, "9f3c") == follow_up(report(CLASS), "9f3c")
    assert seed_of("9f3c", found) != seed_of("9f3d", found)
    assert 0 <= seed_of("9f3c", found) < 2**62
    nameless = replace(CLASS, made_of="")
    assert digest_of(nameless) == digest_of(nameless)


def test_the_plan_is_drawn_and_printed_as_the_one_before() -> None:
    found = report(CLASS)
    style = {"symbols": "iec-60617", "paper": "us-letter"}
    plan = plan_of(tomllib.loads(follow_up(found, "9f3c", style)))
    assert (plan.symbols, plan.paper) == (Symbols.IEC, Paper.LETTER)
    for hostile in ("", 'a4"\nseed = 1\n#', "\x00"):
        text = follow_up(found, "9f3c", {"symbols": hostile, "paper": hostile})
        assert text == follow_up(found, "9f3c")


@pytest.mark.parametrize("title", ["", 'a"b\\c\n[x]\n#', "\x00\x7f\x9b", "王" * 400])
def test_a_hostile_title_makes_a_plan_all_the_same(title: str) -> None:
    found = report(replace(CLASS, title=title, course=title))
    plan = plan_of(tomllib.loads(follow_up(found, "9f3c")))
    assert plan.title.startswith("Follow-up")


@pytest.mark.parametrize("seed", range(6))
def test_any_class_gives_a_plan_that_can_be_made(seed: int) -> None:
    found = report(marked(12, seed=seed, problems=8, easy=-1.0))
    plan = plan_of(tomllib.loads(follow_up(found, "x")))
    check(plan)
    assert 1 <= len(plan.sections) <= 4


def test_marks_of_another_version_give_no_section_that_cannot_be_asked() -> None:
    student = handed_in(CLASS)[0]
    strange = tuple(
        replace(
            p,
            family="no-such-family",
            questions=tuple(
                replace(q, rung="no-such-kind", verdict=QuestionOutcome.WRONG) for q in p.questions
            ),
        )
        for p in student.problems
    )
    found = report(replace(CLASS, students=(replace(student, problems=strange),) * 3))
    assert sections(found) == ()
    assert follow_up(found, "x") == ""


def test_reasons_and_ways_back_go_into_sections_that_can_be_asked() -> None:
    rungs = ("corner-reason", "which-circuit", "missing-arm", "element-value", "gain-sketch")
    tasks = ("analyse", "reverse", "reverse", "reverse", "sketch")
    students = []
    for student in handed_in(CLASS):
        problems = tuple(
            replace(
                p,
                task=task,
                family="series-rlc-across-c",
                questions=(
                    replace(
                        p.questions[0], rung=rung, verdict=QuestionOutcome.WRONG, points=Fraction(0)
                    ),
                ),
            )
            for p, rung, task in zip(student.problems, rungs, tasks, strict=True)
        )
        students.append(replace(student, problems=problems))
    found = report(replace(CLASS, students=tuple(students)))
    plan = plan_of(tomllib.loads(follow_up(found, "x")))
    check(plan)
    every = {rung for section in plan.sections for rung in section.ask}
    assert len(plan.sections) == 4
    assert len(every & {Rung(r) for r in rungs}) >= 4
    for section in plan.sections:
        if Rung.CORNER_REASON in section.ask:
            assert Rung.CORNER in section.ask
