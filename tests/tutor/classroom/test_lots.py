"""Who is given what: the same plan the same sheets, nobody another's values, no key in a sheet."""

from __future__ import annotations

import json
import pickle
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from rungwise.problems.catalogue.families import find
from rungwise.problems.circuits.gaps import BOX
from rungwise.problems.circuits.preferred import E6, E12
from rungwise.problems.grading.grade import grade, right_text
from rungwise.problems.questions.kinds import kind
from rungwise.problems.questions.model import Face, Form, Rung, Task, Verdict
from rungwise.problems.sheets import lots as sheets_lots
from rungwise.problems.sheets.documents import (
    answers_template,
    key_document,
    key_of,
    plan_document,
    plan_from,
    sheet_document,
    sheet_of,
)
from rungwise.problems.sheets.lots import (
    UsedUpError,
    check,
    draft,
    drawn,
    families_of,
    lots_at,
    redrawn,
)
from rungwise.problems.sheets.model import (
    NUMBERED_PLAN_FORMAT,
    Plan,
    PlanSection,
    Series,
    SheetError,
    Student,
    Variant,
)
from rungwise.problems.sheets.variant import variant
from rungwise.tutor.language.errors import worded

from tests.support.preferred import is_preferred

from .plans import mixed

STUDENTS = 6
ANN = Student(1, 'O\'Neil, "Ann"', "a-01")


@pytest.fixture(scope="module")
def variants() -> list[Variant]:
    return [draft(mixed(), Student(n)).variant for n in range(1, STUDENTS + 1)]


def test_the_same_plan_makes_the_same_sheets() -> None:
    plan = mixed()
    first = draft(plan, ANN)
    assert draft(mixed(), ANN) == first
    assert variant(plan, ANN, first.lots) == first.variant
    assert pickle.loads(pickle.dumps(first)) == first
    assert draft(mixed(seed=8), ANN).prints != first.prints


def test_the_same_in_another_process() -> None:
    code = (
        "import json; from tests.tutor.classroom.plans import mixed; "
        "from rungwise.problems.sheets.model import Student; "
        "from rungwise.problems.sheets.lots import draft; "
        "print(json.dumps(draft(mixed(), Student(3)).prints))"
    )
    command = [sys.executable, "-c", code]
    found = {
        subprocess.run(
            command,
            env={"PYTHONHASHSEED": seed},
            check=True,
            capture_output=True,
            timeout=300,
        ).stdout
        for seed in ("1", "2")
    }
    assert [json.loads(text) for text in found] == [list(draft(mixed(), Student(3)).prints)]


def test_what_a_name_is_changes_no_problem() -> None:
    """Of one who has an id; of plans of the forms before the third, of anybody."""
    renamed = replace(ANN, number=9, name="王小明", group="Thu", seat="C7")
    assert draft(mixed(), ANN).lots == draft(mixed(), renamed).lots
    numbered = replace(mixed(), format=NUMBERED_PLAN_FORMAT)
    assert draft(numbered, ANN).lots == draft(numbered, Student(1, "王小明")).lots


def test_what_came_later_is_there_only_where_a_plan_names_it() -> None:
    """A plan made before means the same sheets as ever."""
    drawn = PlanSection(levels=(5,), count=60)
    assert all(find(name).since == 1 for name in families_of(Plan("t", 1, (drawn,)), 0, 1))
    for item in draft(Plan("t", 1, (PlanSection(count=30),)), ANN).variant.key.items:
        assert item.problem.format == 1
        assert all(kind(q.rung).since == 1 for q in item.problem.questions)
    named = PlanSection(families=("lag-network",), count=2)
    asked = PlanSection(ask=(Rung.CORNER, Rung.CORNER_PHASE), count=4)
    plan = Plan("t", 1, (named, asked))
    check(plan)
    made = [item.problem for item in draft(plan, ANN).variant.key.items]
    assert [problem.format for problem in made] == [2] * 6
    assert [problem.family for problem in made[:2]] == ["lag-network"] * 2
    for problem in made[2:]:
        assert [q.rung for q in problem.questions] == [Rung.CORNER, Rung.CORNER_PHASE]
        for question in problem.questions:
            assert grade(problem, question, right_text(question)).verdict is Verdict.RIGHT


def test_what_is_to_be_avoided_is() -> None:
    plan = Plan("x", 5, (PlanSection(families=("rc-low-pass",), count=2),))
    taken: set[str] = set()
    for number in range(1, 61):
        made = draft(plan, Student(number), taken)
        assert not taken & set(made.prints)
        assert len(set(made.prints)) == 2
        taken |= set(made.prints)
    shared = replace(plan, unshared=False)
    first = draft(shared, Student(1))
    assert draft(shared, Student(1), first.prints) == first


def test_what_is_drawn_anew_is_what_would_have_been_drawn() -> None:
    plan = mixed(seed=3, count=2)
    for number in range(1, 7):
        student = Student(number)
        first = draft(plan, student)
        for taken in (first.prints[::2], first.prints[1:3], first.prints, ()):
            again = draft(plan, student, taken)
            quicker = redrawn(plan, student, (first.lots, first.prints), taken)
            assert quicker == (again.lots, again.prints)


def test_lots_are_made_again_of_their_attempts_alone() -> None:
    plan = replace(mixed(), sections=(*mixed().sections, PlanSection(by_inspection=9, count=9)))
    for student in (ANN, Student(2, "Bo")):
        first = drawn(plan, student)
        later = drawn(plan, student, first.prints)
        for made in (first, later):
            attempts = [lot.attempt for lot in made.lots if lot.circuit < 0]
            assert lots_at(plan, student, attempts) == made.lots
        assert not {*first.prints} & {*later.prints}
    with pytest.raises(SheetError):
        lots_at(plan, ANN, [0])


def test_what_is_used_up_is_told_by_workers_too() -> None:
    error = UsedUpError(1, "rc-low-pass", ["a", "b"], needed=3)
    back = pickle.loads(pickle.dumps(error))
    assert (back.section, back.family, back.marks) == (1, "rc-low-pass", {"a", "b"})
    assert "2" in worded(error.troubles[0].what) and "3" in worded(error.troubles[0].what)


def test_a_family_that_is_used_up_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = Plan("x", 5, (PlanSection(families=("rc-low-pass",), count=1),))
    monkeypatch.setattr(sheets_lots, "fingerprint", lambda family, ladder: family)
    first = draft(plan, Student(1))
    with pytest.raises(SheetError, match="rc-low-pass") as caught:
        draft(plan, Student(2), first.prints)
    assert "share values" in worded(caught.value.troubles[0].remedy)


def test_everybody_has_the_same_families_or_not() -> None:
    same = mixed()
    for index, section in enumerate(same.sections):
        found = {families_of(same, index, n) for n in range(1, 9)}
        assert (len(found) == 1) == section.same_families
    other = replace(same, sections=tuple(replace(s, same_families=False) for s in same.sections))
    assert all(len({families_of(other, index, n) for n in range(1, 9)}) > 4 for index in range(4))


def test_families_take_turns_and_types_do_not_crowd() -> None:
    plan = Plan("x", 4, (PlanSection(levels=(3,), count=30),))
    names = families_of(plan, 0, 1)
    assert [len(set(names[:size])) for size in (4, 8)] == [4, 4]
    assert all(names.count(name) in (7, 8) for name in set(names))
    types = [find(name).type for name in names]
    assert not any(a == b == c for (a, b), c in zip(pairwise(types), types[2:], strict=False))


@pytest.mark.parametrize(("series", "values"), [(Series.E6, E6), (Series.E12, E12)])
def test_values_are_of_the_series(series: Series, values: tuple[int, ...]) -> None:
    plan = Plan("x", 4, (PlanSection(levels=(1, 2, 3, 4), count=10, series=series),))
    seen = set()
    for item in draft(plan, Student(1)).variant.key.items:
        for element in item.problem.ladder.elements():
            assert element.value is not None
            assert is_preferred(element.value, values)
            seen.add(str(element.value).rstrip("0")[:2])
    assert len(seen) > 4


def test_a_section_asks_what_it_says(variants: list[Variant]) -> None:
    for made in variants:
        first = made.sheet.parts[0].items
        assert all([q.rung for q in item.questions] == [Rung.TYPE, Rung.CORNER] for item in first)


def test_every_key_marks_its_own_answers_right(variants: list[Variant]) -> None:
    for made in variants:
        for item in made.key.items:
            for question in item.problem.questions:
                mark = grade(item.problem, question, right_text(question))
                assert mark.verdict is Verdict.RIGHT


def test_sheet_and_key_go_together(variants: list[Variant]) -> None:
    for made in variants:
        assert [i.number for i in made.sheet.items] == [i.number for i in made.key.items]
        for item, key in zip(made.sheet.items, made.key.items, strict=True):
            asked = [(q.rung, q.points, q.choices, q.tolerance) for q in item.questions]
            truths = zip(key.problem.questions, key.points, strict=True)
            assert asked == [(q.rung, p, q.choices, q.tolerance) for q, p in truths]
            numbers = [q.number for q in item.questions]
            assert numbers == [f"{item.number}.{n}" for n in range(1, len(numbers) + 1)]


def test_only_the_seed_of_the_teacher_leads_to_the_key() -> None:
    """No seed, family or truth of a key is in its sheet, whatever the fields are called."""
    for number in range(1, STUDENTS + 1):
        drawn = draft(mixed(), Student(number))
        made = drawn.variant
        text = json.dumps(sheet_document(made.sheet), ensure_ascii=False)
        for lot, item in zip(drawn.lots, made.key.items, strict=True):
            assert lot.seed > 10**6 and str(lot.seed) not in text
            assert item.problem.seed == 0
            if item.problem.family not in ("rc", "rl"):
                assert f'"{item.problem.family}"' not in text
        assert '"truth"' not in text
        assert '"seed"' not in text


def test_a_sheet_shows_no_more_than_it_may(variants: list[Variant]) -> None:
    faces = set()
    for made in variants:
        for item, key in zip(made.sheet.items, made.key.items, strict=True):
            faces.add(item.face)
            problem = key.problem
            if item.face in (Face.GAIN, Face.MAP):
                assert item.ladder is None
                assert bool(item.gain) == (item.face is Face.GAIN)
                assert bool(item.poles) == (item.face is Face.MAP)
            if item.face is Face.BLANK:
                assert item.ladder is not None
                elements = {e.name: e for e in item.ladder.elements()}
                if item.unvalued:
                    assert all(elements[name].value is None for name in item.unvalued)
                    assert set(item.unvalued) == set(problem.blank)
                else:
                    assert BOX.name in elements
                    assert not set(problem.blank) & set(elements)
            reasons = {q.rung for q in item.questions if q.rung.value.endswith("-reason")}
            assert not (reasons and item.task is Task.REVERSE)
    assert faces == set(Face) - {Face.NONE}  # of predictions: test_exhibits_paper.py


def test_no_question_says_the_answer_to_another(variants: list[Variant]) -> None:
    for made in variants:
        for item, key in zip(made.sheet.items, made.key.items, strict=True):
            for question in key.problem.questions:
                if question.form not in (Form.QUANTITY, Form.FORMULA):
                    continue
                truth = right_text(question)
                for other in item.questions:
                    assert truth not in [v for _, v in other.values], (truth, other)


def test_documents_read_back(variants: list[Variant]) -> None:
    for made in variants[:3]:
        sheet, key = (json.dumps(d) for d in (sheet_document(made.sheet), key_document(made.key)))
        assert sheet_of(json.loads(sheet)) == made.sheet
        assert key_of(json.loads(key)) == made.key
    assert plan_from(json.loads(json.dumps(plan_document(mixed())))) == mixed()


def test_a_missing_arm_is_a_question_mark_to_other_programs() -> None:
    section = PlanSection(task=Task.REVERSE, ask=(Rung.MISSING_ARM,), count=3)
    sheet = draft(Plan("x", 3, (section,)), ANN).variant.sheet
    for item in sheet_document(sheet)["parts"][0]["items"]:
        assert " ?" in item["ladder"]
        assert "R9" not in item["ladder"]
    assert sheet_of(json.loads(json.dumps(sheet_document(sheet)))) == sheet


def test_an_answer_template_has_a_place_for_everything(variants: list[Variant]) -> None:
    sheet = draft(mixed(), ANN).variant.sheet
    template = answers_template(sheet, "01")
    assert template["student"] == "a-01"
    asked = [q.number for item in sheet.items for q in item.questions]
    assert list(template["answers"]) == asked
    assert not any(template["answers"].values())


def broken(document: dict[str, Any], *way: Any, value: object) -> dict[str, Any]:
    data: dict[str, Any] = json.loads(json.dumps(document))
    inner: Any = data
    for step in way[:-1]:
        inner = inner[step]
    inner[way[-1]] = value
    return data


@pytest.mark.parametrize(
    ("way", "value", "path"),
    [
        (("format",), "rungwise.key/9", "format"),
        (("items", 0, "number"), "1", "items[0].number"),
        (("items", 0, "number"), True, "items[0].number"),
        (("items", 1, "points"), [1], "items[1].points[0]"),
        (("items", 1, "points"), ["1/0"], "items[1].points[0]"),
        (("items", 1, "points"), ["9" * 5000], "items[1].points[0]"),
        (("items", 0, "problem", "ladder"), "series Q", "items[0].problem.ladder"),
        (("items", 0, "problem", "ladder"), ["series"], "items[0].problem.ladder"),
        (("items", 0, "problem", "task"), "fly", "items[0].problem.task"),
        (("items", 0, "problem", "seed"), 1.5, "items[0].problem.seed"),
        (("items", 0, "problem", "oh"), 1, "items[0].problem"),
        (("items", 0, "problem", "questions", 0, "truth"), None, "questions[0].truth"),
        (("heading", "title"), 3, "heading.title"),
        (("items",), "none", "items"),
        (("items",), {"a": 1}, "items"),
        (("student",), [], "student"),
    ],
)
def test_a_document_that_does_not_fit_says_where(
    variants: list[Variant], way: tuple[Any, ...], value: object, path: str
) -> None:
    document = key_document(variants[0].key)
    with pytest.raises(SheetError) as caught:
        key_of(broken(document, *way, value=value))
    assert path in str(caught.value)


@pytest.mark.parametrize("document", [None, 3, "x", [], {}, {"format": 3}, {"format": []}])
def test_what_is_no_document(document: object) -> None:
    with pytest.raises(SheetError):
        sheet_of(document)


def test_the_plan_of_the_tests_can_be_made() -> None:
    check(mixed())
