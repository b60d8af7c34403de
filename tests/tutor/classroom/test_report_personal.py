"""Follow-up sheets from each student's own slips: other families, and the slip shows in each."""

import json
import tomllib
from collections import Counter, defaultdict
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner
from rungwise.problems.analysis.response import facts
from rungwise.problems.questions.model import Rung
from rungwise.problems.sheets.addressed import sections_for
from rungwise.problems.sheets.lots import check, draft
from rungwise.problems.sheets.model import Plan, SheetError, Student
from rungwise.problems.sheets.plan import plan_of
from rungwise.problems.slips.engine import predictions
from rungwise.tutor.classroom.marking.marks import (
    ClassMarks,
    HandInState,
    QuestionOutcome,
    Slipped,
    StudentMarks,
)
from rungwise.tutor.classroom.report.figures_of_class import report
from rungwise.tutor.classroom.report.personal import MOST_SLIPS, PersonalPlan, personal
from rungwise.tutor.cli.sheet import sheet

from .marked_class import HOSTILE, marked
from .test_report_command import marks_json, run

REAL = {
    "corner": ("radians-as-hertz", "prefix-lost", "root-forgotten", "load-ignored"),
    "poles": ("resistors-counted", "pair-counted-once"),
    "type": ("roles-swapped", "one-end-tested", "notch-for-one-end"),
    "high-slope": ("slope-sign",),
}
"""Slips that are made at such questions; the other wrong answers have none."""


def with_real_slips(marks: ClassMarks) -> ClassMarks:
    students = []
    for place, student in enumerate(marks.students):
        problems = []
        for problem in student.problems:
            questions = []
            for question in problem.questions:
                names = REAL.get(question.rung, ())
                slips: tuple[Slipped, ...] = ()
                if names and question.verdict is QuestionOutcome.WRONG:
                    slips = (Slipped(names[(place + problem.number) % len(names)], ""),)
                questions.append(replace(question, slips=slips))
            problems.append(replace(problem, questions=tuple(questions)))
        students.append(replace(student, problems=tuple(problems)))
    clever = students[-2]
    full = tuple(
        replace(
            p,
            questions=tuple(
                replace(q, points=q.of, verdict=QuestionOutcome.RIGHT, slips=())
                for q in p.questions
            ),
        )
        for p in clever.problems
    )
    students[-2] = replace(clever, problems=full)
    return replace(marks, students=tuple(students))


CLASS = with_real_slips(marked(24, seed=3, problems=5))


@cache
def follow_up_made() -> PersonalPlan:
    made = personal(CLASS, report(CLASS))
    assert made is not None
    return made


@cache
def follow_up() -> Plan:
    return plan_of(tomllib.loads(follow_up_made().text))


def own_slips(student: StudentMarks) -> dict[str, set[str]]:
    """By slip, the families at which the student made it."""
    made: dict[str, set[str]] = defaultdict(set)
    for problem in student.problems:
        for question in problem.questions:
            if question.slips:
                made[question.slips[0].slip].add(problem.family)
    return made


def in_roster(student: StudentMarks, number: int) -> Student:
    return Student(number, student.name, student.id)


def test_each_is_asked_own_slips_on_other_families_and_they_show() -> None:
    check(follow_up())
    served = 0
    for place, student in enumerate(CLASS.students[:24], 1):
        made = own_slips(student)
        drawn = draft(follow_up(), in_roster(student, place))
        named = [s for _, s in sections_for(follow_up(), in_roster(student, place)) if s.slips]
        if not made:
            assert not named
            continue
        served += 1
        assert 1 <= len(named) <= MOST_SLIPS
        asked = {section.slips[0] for section in named}
        assert asked <= set(made)
        for section in named:
            assert not set(section.families) & made[section.slips[0]]
        found: Counter[str] = Counter()
        for item in drawn.variant.key.items:
            problem = item.problem
            known = facts(problem.ladder)
            shows = {
                one.slip
                for question in problem.questions
                for one in predictions(problem.ladder, known, question)
                if one.in_play and one.value != question.truth
            }
            assert shows & asked
            assert not any(problem.family in made[slip] for slip in shows & asked)
            found.update(shows & asked)
        assert set(found) == asked
    assert served == follow_up_made().own == 23


def test_who_made_no_slip_has_harder_circuits_and_newcomers_the_commonest_slips() -> None:
    clever = in_roster(CLASS.students[23], 24)
    (one,) = [section for _, section in sections_for(follow_up(), clever)]
    assert one.levels and not one.slips
    assert draft(follow_up(), clever).variant.key.items[0].problem.level == one.levels[0]
    for who in (Student(99, "Zoë Newcomer", "new"), Student(25, "Nobody"), Student(7)):
        sections = [section for _, section in sections_for(follow_up(), who)]
        assert 1 <= len(sections) <= 2
        assert all(section.others for section in sections)
    counts = [len(section.students) for section in follow_up().sections if section.slips]
    assert counts == sorted(counts, reverse=True)


def test_the_same_marks_give_the_same_plan_and_it_is_not_that_of_the_class() -> None:
    again = personal(CLASS, report(CLASS))
    assert again == follow_up_made()
    other = personal(replace(CLASS, made_of="other"), report(CLASS))
    assert other is not None
    assert plan_of(tomllib.loads(other.text)).seed != follow_up().seed


def test_hostile_names_are_texts_and_find_their_sections() -> None:
    nameless = tuple(replace(s, id="") for s in CLASS.students)
    made = personal(replace(CLASS, students=nameless), report(CLASS))
    assert made is not None
    plan = plan_of(tomllib.loads(made.text))
    for place, name in enumerate(HOSTILE[:10], 1):
        who = Student(place, CLASS.students[place - 1].name)
        slips = {s.slips[0] for _, s in sections_for(plan, who) if s.slips}
        if name != HOSTILE[7]:  # its control characters are in no roster either
            assert slips <= set(own_slips(CLASS.students[place - 1]))


def test_no_slip_no_plan_and_what_is_unknown_is_passed_over(tmp_path: Path) -> None:
    none = tuple(
        replace(
            s,
            problems=tuple(
                replace(p, questions=tuple(replace(q, slips=()) for q in p.questions))
                for p in s.problems
            ),
        )
        for s in CLASS.students
    )
    assert personal(replace(CLASS, students=none), report(CLASS)) is None
    strange = tuple(
        replace(
            s,
            problems=tuple(
                replace(
                    p,
                    family="no-such",
                    questions=tuple(
                        replace(q, slips=q.slips and (Slipped("no-such-slip", ""),))
                        for q in p.questions
                    ),
                )
                for p in s.problems
            ),
        )
        for s in CLASS.students
    )
    assert personal(replace(CLASS, students=strange), report(CLASS)) is None
    (tmp_path / "marks.json").write_bytes(marks_json(replace(CLASS, students=none)))
    told = run(tmp_path, "--formats", "json", "--follow-up")
    assert told.exit_code == 0
    assert "no plan of follow-up sheets" in told.output


def test_from_marks_to_sheets_by_the_commands(tmp_path: Path) -> None:
    (tmp_path / "marks.json").write_bytes(marks_json(CLASS))
    told = run(tmp_path, "--formats", "json", "--follow-up")
    assert told.exit_code == 0, told.output
    assert "rungwise sheet make" in told.output
    roster = tmp_path / "roster.csv"
    rows = [f"Student {n},s{n - 1}" for n in (12, 13, 24)]
    roster.write_text("name,id\n" + "\n".join([*rows, "Zoë Newcomer,new"]) + "\n", "utf-8")
    words = ["make", tmp_path / "follow-up-each.toml", "--students", roster]
    words += ["--out", tmp_path / "out", "--formats", "json"]
    made = CliRunner().invoke(sheet, list(map(str, words)))
    assert made.exit_code == 0, made.output
    keys = sorted((tmp_path / "out" / "keys").glob("*/key.json"))
    assert len(keys) == 4
    for path in keys:
        assert json.loads(path.read_bytes())["items"]
    for path in (tmp_path / "out" / "students").rglob("*.json"):
        text = path.read_text("utf-8")
        assert "s11" not in text or "s12" not in text  # nobody learns who else made it
    # Sheets that have no problems in common are a test each, without any pool.
    words = ["export", str(tmp_path / "out"), "--to", str(tmp_path / "package")]
    told = CliRunner().invoke(sheet, words)
    assert told.exit_code == 0, told.output
    tests = (tmp_path / "package").glob("*/test.xml")
    assert sorted(path.parent.name for path in tests) == [f"sheet-{n:02d}" for n in range(1, 5)]
    # A teacher who changed the plan keeps it.
    (tmp_path / "follow-up-each.toml").write_text("# mine")
    assert "left as it is" in run(tmp_path, "--formats", "json", "--follow-up").output
    assert run(tmp_path, "--follow-up", "--anonymous").exit_code == 2


# ------------------------------------------------------------------------- sections for some

LEAST = {
    "format": "rungwise.plan/3",
    "title": "A sheet",
    "seed": 2**60,
    "sections": [
        {"problems": 1, "families": ["rc-low-pass"], "ask": ["type"], "students": ["007", "Ann"]},
        {"problems": 1, "families": ["rl-low-pass"], "ask": ["type"], "others": True},
        {"problems": 1, "families": ["rc-high-pass"], "ask": ["type"]},
    ],
}


def plan(**changed: object) -> Plan:
    return plan_of({**LEAST, **changed})


@pytest.mark.parametrize(
    ("student", "indices"),
    [
        (Student(1, "Ann"), [0, 2]),
        (Student(1, "ann "), [0, 2]),
        (Student(1, "Ann", "8"), [1, 2]),
        (Student(2, "Bob", "7"), [0, 2]),
        (Student(3, "Cid"), [1, 2]),
    ],
)
def test_sections_are_for_whom_they_name(student: Student, indices: list[int]) -> None:
    assert [index for index, _ in sections_for(plan(), student)] == indices
    sheet = draft(plan(), student).variant.sheet
    assert len(sheet.parts) == len(sheet.items) == 2


def test_a_student_whom_no_section_is_for_is_told() -> None:
    only = plan(sections=LEAST["sections"][:1])  # type: ignore[index]
    with pytest.raises(SheetError, match="Cid"):
        draft(only, Student(3, "Cid"))


@pytest.mark.parametrize(
    ("changed", "path"),
    [
        ({"format": "rungwise.plan/2"}, "sections[0].students"),
        ({"variants": ["A", "B"]}, "sections[0].students"),
        ({"sections": [{"problems": 1, "slips": ["no-such"]}]}, "sections[0].slips"),
        ({"sections": [{"problems": 1, "students": [""]}]}, "sections[0].students"),
        ({"sections": [{"problems": 1, "students": "Ann"}]}, "sections[0].students"),
        ({"sections": [{"problems": 1, "students": ["a\x1b"]}]}, "sections[0].students"),
    ],
)
def test_what_does_not_go_together_is_told(changed: dict[str, object], path: str) -> None:
    with pytest.raises(SheetError) as caught:
        plan(**changed)
    assert path in [trouble.path for trouble in caught.value.troubles]


def test_circuits_on_which_a_mistake_cannot_show_are_not_feasible() -> None:
    asked = {"problems": 1, "ask": ["corner"], "slips": ["load-ignored"]}
    with pytest.raises(SheetError, match="load-ignored"):
        check(plan(sections=[{**asked, "families": ["rc-low-pass"]}]))
    shown = plan(sections=[{**asked, "families": ["loaded-rc-low-pass", "bypass-capacitor"]}])
    check(shown)
    for number in range(1, 6):
        for item in draft(shown, Student(number)).variant.key.items:
            assert item.problem.ladder.load is not None
            assert {q.rung for q in item.problem.questions} == {Rung.CORNER}


def test_students_who_handed_in_nothing_are_named_nowhere() -> None:
    missing = [s for s in CLASS.students if s.state is HandInState.MISSING]
    names = {name for section in follow_up().sections for name in section.students}
    assert not names & {s.id or s.name for s in missing}
