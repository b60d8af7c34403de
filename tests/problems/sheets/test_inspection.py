"""Sections by inspection: right by nodal analysis, all types mixed, nobody's page another's."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

import pytest
from rungwise.problems.analysis.arms import End
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue.groups import LOOKED_AT, SkillGroup
from rungwise.problems.catalogue.topologies import structure
from rungwise.problems.catalogue.topology_groups import group_of_ladder
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.grading.grade import grade
from rungwise.problems.grading.setting import Setting
from rungwise.problems.hints.why_wrong import explanations
from rungwise.problems.questions.looks import TYPES
from rungwise.problems.questions.model import Form, Problem, Question, Rung, Verdict
from rungwise.problems.sheets import lots
from rungwise.problems.sheets.documents import (
    key_document,
    key_of,
    plan_document,
    plan_from,
    sheet_document,
    sheet_of,
)
from rungwise.problems.sheets.inspection import (
    LOOKED,
    ON_PAGE,
    USUAL,
    breadth,
    chosen,
    problem_by_inspection,
    types_of,
)
from rungwise.problems.sheets.lots import SheetDraft, UsedUpError, check, draft, redrawn
from rungwise.problems.sheets.model import Plan, PlanSection, SheetError, Student, Symbols
from rungwise.problems.sheets.plan import plan_of
from rungwise.tutor.documents.drawings.schematic import schematic
from rungwise.tutor.language.texts import Words

from tests.support import witness

SEED = 2**61 + 11
ALL = tuple(LOOKED)


def plan(size: int = 12, **more: object) -> Plan:
    section = PlanSection("At sight", count=size, by_inspection=size)
    return Plan("A quiz", SEED, (replace(section, **more),))  # type: ignore[arg-type]


@lru_cache(maxsize=64)
def drafted(size: int, number: int) -> SheetDraft:
    return draft(plan(size), Student(number, f"Student {number}"))


def problems(size: int, students: int = 2) -> Iterator[Problem]:
    for number in range(1, students + 1):
        yield from (item.problem for item in drafted(size, number).variant.key.items)


def seen_fed(ladder: Ladder) -> str:
    """Where the first arm with an L or a C is drawn."""
    reactive = {element.name for element in ladder.reactive()}
    for stage in ladder.stages:
        arm = stage.arm
        if arm is not None and reactive & {e.name for e in Ladder((stage,)).elements()}:
            return stage.place.value
    raise AssertionError("nothing is fed")


def by_nodal_analysis(ladder: Ladder, rung: Rung) -> str:
    """The id of the right choice, as a numeric response and the drawing alone have it."""
    low, high = (witness.falls(ladder, end) for end in (End.LOW, End.HIGH))
    match rung:
        case Rung.FED:
            return seen_fed(ladder)
        case Rung.POLES:
            return str(witness.order(ladder))
        case Rung.ORIGIN_ZEROS:
            return str(low)
        case Rung.LOW_SLOPE:
            return f"{20 * low:+d}" if low else "0"
        case Rung.HIGH_SLOPE:
            return str(-20 * high)
        case Rung.LOW_END:
            return "blocked" if low else "passes"
        case Rung.HIGH_END:
            return "blocked" if high else "passes"
        case Rung.TYPE if low or high:
            return {(0, 1): "low-pass", (1, 0): "high-pass", (1, 1): "band-pass"}[
                bool(low), bool(high)
            ]
        case Rung.TYPE:
            return "flat" if witness.order(ladder) == 0 else "notch"
    raise AssertionError(rung)


@pytest.mark.parametrize("size", ON_PAGE)
def test_every_question_is_right_by_nodal_analysis(size: int) -> None:
    asked = Counter[Rung]()
    for problem in problems(size):
        for question in problem.questions:
            assert chosen(question) == by_nodal_analysis(problem.ladder, question.rung)
            asked[question.rung] += 1
    assert set(asked) == set(USUAL[: ON_PAGE[size].asked])


def test_what_else_can_be_asked_is_right_too() -> None:
    wanted = plan(9, ask=tuple(rung for rung in ALL if rung is not Rung.FED), count=18)
    found = [item.problem for item in draft(wanted, Student(1)).variant.key.items]
    for problem in found:
        assert {question.rung for question in problem.questions} == set(ALL) - {Rung.FED}
        for question in problem.questions:
            assert chosen(question) == by_nodal_analysis(problem.ladder, question.rung)
    # Where it is not asked how they are fed, some are flat.
    assert {chosen(p.questions[2]) for p in found} == set(TYPES)


@pytest.mark.parametrize("size", ON_PAGE)
def test_all_types_are_mixed_and_no_structure_comes_twice(size: int) -> None:
    for number in (1, 2):
        made = [item.problem for item in drafted(size, number).variant.key.items]
        assert len({structure(problem.ladder) for problem in made}) == size == len(made)
        counts = Counter(str(facts(problem.ladder).type.value) for problem in made)
        assert len(counts) == min(size, 4)
        assert max(counts.values()) - min(counts.values()) <= 1


def test_nobody_s_page_is_another_s_unless_they_share_a_variant() -> None:
    pages = {
        tuple(structure(item.problem.ladder) for item in drafted(12, n).variant.key.items)
        for n in range(1, 9)
    }
    assert len(pages) == 8
    prints = [mark for n in range(1, 9) for mark in drafted(12, n).prints]
    assert len(set(prints)) == len(prints) == 8
    # Of a variant all have the same.
    shared = replace(plan(9), variants=("A", "B"))
    first, second, other = (
        [item.problem.ladder for item in draft(shared, student).variant.key.items]
        for student in (Student(1, variant="A"), Student(2, variant="A"), Student(3, variant="B"))
    )
    assert first == second != other


def test_a_page_that_somebody_has_is_drawn_anew() -> None:
    one = drafted(9, 1)
    same = redrawn(plan(9), Student(1, "Student 1"), (one.lots, one.prints), ())
    assert same == (one.lots, one.prints)
    new, prints = redrawn(plan(9), Student(1, "Student 1"), (one.lots, one.prints), one.prints)
    assert prints != one.prints and len(new) == 9
    again = draft(plan(9), Student(1, "Student 1"), one.prints)
    assert (again.lots, again.prints) == (new, prints)


def test_only_groups_that_are_named() -> None:
    groups = (SkillGroup.TAPS, SkillGroup.L_SECTIONS)
    section = PlanSection(count=8, by_inspection=9, groups=groups)
    made = draft(Plan("A quiz", SEED, (section,)), Student(1)).variant.key.items
    assert {group_of_ladder(item.problem.ladder) for item in made} == set(groups)


@pytest.mark.parametrize("size", ON_PAGE)
def test_a_student_sees_letters_alone_and_nothing_of_the_key(size: int) -> None:
    made = drafted(size, 1).variant
    for item in made.sheet.items:
        assert item.ladder is not None
        assert all(element.value is None for element in item.ladder.elements())
        assert [len(asked.choices) for asked in item.questions][:2] == [2, 5]
    document = sheet_document(made.sheet)
    assert "truth" not in str(document) and sheet_of(document) == made.sheet
    assert made.sheet.parts[0].by_inspection == size
    assert key_of(key_document(made.key)) == made.key
    whole = plan(size, values=True, groups=LOOKED_AT[:3])
    assert plan_from(plan_document(whole)) == whole


def answered(problem: Problem, question: Question, text: str) -> Verdict:
    words = Words.load()
    setting = Setting({one.id: words.choice(question, one) for one in question.choices})
    return grade(problem, question, text, setting=setting).verdict


def test_an_answer_is_the_letter_of_a_box_or_what_stands_in_it() -> None:
    for problem in problems(12, 1):
        for question in problem.questions:
            ids = [choice.id for choice in question.choices]
            right = ids.index(chosen(question))
            for place, id_ in enumerate(ids):
                verdict = Verdict.RIGHT if place == right else Verdict.WRONG
                letter = "abcde"[place]
                for text in (letter, letter.upper(), f"{letter})", f"({letter})", f" {letter}. "):
                    assert answered(problem, question, text) is verdict, (question, text)
                assert answered(problem, question, id_) is verdict, (question, id_)
            assert answered(problem, question, "f") is Verdict.UNCLEAR
            assert answered(problem, question, "a b") is Verdict.UNCLEAR


def test_a_count_typed_without_boxes_is_read_as_ever() -> None:
    problem = next(problems(12, 1))
    [poles] = [q for q in problem.questions if q.rung is Rung.POLES]
    assert poles.form is Form.COUNT
    bare = replace(poles, choices=())
    assert grade(problem, bare, "a").verdict is Verdict.UNCLEAR
    assert grade(problem, bare, str(poles.truth)).verdict is Verdict.RIGHT


def test_every_wrong_box_is_explained() -> None:
    for problem in (*problems(9, 1), *problems(20, 1)):
        known = facts(problem.ladder)
        for question in problem.questions:
            for choice in question.choices:
                if choice.id == chosen(question):
                    continue
                mark = grade(problem, question, choice.id, known)
                assert mark.verdict is Verdict.WRONG
                assert mark.slips or explanations(problem, question, mark)


def test_a_circuit_that_cannot_be_asked_for_certain_is_none() -> None:
    flat = read_circuit("series R1 = 1 kΩ\nshunt R2 = 1 kΩ")
    assert problem_by_inspection(flat, (Rung.FED,)) is None
    assert problem_by_inspection(flat, (Rung.TYPE, Rung.POLES)) is not None
    near = read_circuit("series R1 = 1 kΩ\nshunt R2 = 1 kΩ || C1 = 1 nF\nshunt L1 = 1 mH")
    assert problem_by_inspection(near, USUAL) is not None
    shelf = read_circuit("series R1 = 1 kΩ || C1 = 1 nF\nshunt R2 = 1 kΩ")
    assert problem_by_inspection(shelf, (Rung.TYPE,)) is None


def test_a_few_structures_come_again_and_pages_that_are_used_up_are_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(lots, "_PAGES", 3)
    section = PlanSection(count=2, by_inspection=2, groups=(SkillGroup.ONE_POLE,))
    few = Plan("A quiz", SEED, (section,))
    taken: set[str] = set()

    def deal() -> None:
        for number in range(1, 80):
            taken.update(draft(few, Student(number), taken).prints)

    with pytest.raises(UsedUpError, match=r"more-groups"):
        deal()
    assert len(taken) > 3
    crowded = replace(section, count=9, by_inspection=9, groups=(SkillGroup.TAPS,))
    assert len(draft(Plan("A quiz", SEED, (crowded,)), Student(1)).lots) == 9


# --- legible: names have 7 points at least where a circuit stands in its cell -------------------

CELLS = {2: 482.0, 9: 154.0, 12: 154.0, 20: 114.1}
"""Points that a circuit has, of 170 mm."""


@pytest.mark.parametrize("symbols", Symbols)
@pytest.mark.parametrize("size", ON_PAGE)
def test_names_of_parts_have_seven_points_in_a_cell(size: int, symbols: Symbols) -> None:
    for problem in problems(size, 4):
        drawn = schematic(problem.ladder, symbols, values=False, small=True)
        assert 9.0 * min(1.0, CELLS[size] / drawn.width) >= 7.0
        assert abs(breadth(problem.ladder, False) - drawn.width) < 20


def test_values_have_room_too() -> None:
    made = draft(plan(12, values=True), Student(1)).variant
    for item in made.sheet.items:
        assert item.ladder is not None and item.ladder.valued
        assert schematic(item.ladder, small=True).width * 7 / 9 < 170


# --- plans ----------------------------------------------------------------------------------------

LEAST = {"format": "rungwise.plan/3", "title": "A quiz", "seed": SEED}


def read(**section: object) -> PlanSection:
    return plan_of({**LEAST, "sections": [section]}).sections[0]


def told(**section: object) -> list[str]:
    with pytest.raises(SheetError) as caught:
        read(**section)
    return [trouble.path for trouble in caught.value.troubles]


def test_a_section_by_inspection_is_read() -> None:
    assert read(by_inspection=12) == PlanSection(count=12, by_inspection=12)
    assert read(by_inspection=9, problems=4, values=True, groups=["taps"], ask=["type"]) == (
        PlanSection(
            count=4, by_inspection=9, values=True, groups=(SkillGroup.TAPS,), ask=(Rung.TYPE,)
        )
    )
    assert read(by_inspection=20, points={"each": 0.5}).points.each == Fraction(1, 2)


def test_what_does_not_go_with_inspection_is_told() -> None:
    assert told(by_inspection=7, problems=3) == ["sections[0].by_inspection"]
    assert told(by_inspection=True) == ["sections[0].by_inspection", "sections[0]"]
    assert told(by_inspection=12, levels=[2]) == ["sections[0].levels"]
    assert told(by_inspection=12, task="sketch") == ["sections[0].task"]
    assert told(by_inspection=12, ask=["type", "corner"]) == ["sections[0].ask"]
    assert told(by_inspection=20, values=True) == ["sections[0].values"]
    assert told(problems=2, values=True) == ["sections[0].values"]
    assert told(problems=2, groups=["taps"]) == ["sections[0].groups"]
    assert told(by_inspection=12, groups=["real-parts"]) == ["sections[0].groups"]


@pytest.mark.parametrize("size", ON_PAGE)
def test_a_plan_that_can_be_made_is_not_complained_of(size: int) -> None:
    check(plan(size))
    assert types_of(plan(size).sections[0]) == TYPES[:4]
