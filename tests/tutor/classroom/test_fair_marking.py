"""Fair points through the command: a list before a mistake is credited, a preview, a recount."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.questions.model import Rung
from rungwise.problems.sheets.marking_rules import (
    CountsRule,
    LateRule,
    MarkingRules,
    SlipShares,
    VerdictShares,
)
from rungwise.problems.sheets.model import FixedCircuit, Plan, PlanSection

from tests.studies.answers_through_marking import MISTAKE, study
from tests.support import recount
from tests.support.typed_kinds import NEVER, RIGHT, WRONG

from .handed_in import PLAN, Class, as_csv, hand_in_all, key_for, make_class

NEAR = read_circuit("series R1 1 kΩ; series L1 100 mH; shunt C1 47 nF")
"""A Q of 1.46: the damped frequency is 6 % below f0 = 2.322 kHz, 2.18 kHz."""
CORNERS = Plan(
    "Corners",
    2**61 + 1,
    (PlanSection(circuits=(FixedCircuit(NEAR),), ask=(Rung.CORNER, Rung.Q)),),
)
FAIR = MarkingRules(
    slip_points=SlipShares(Fraction(1, 3)),
    follow_through=Fraction(1, 2),
    verdict_points=VerdictShares(rough=Fraction(3, 4)),
)


class OwnClass(Class):
    """A class of a plan of its own."""

    def __init__(self, folder: Path, plan: Plan, count: int) -> None:
        self.out, self.back, self.marks = folder / "out", folder / "back", folder / "out" / "marks"
        self.count, self.plan = count, plan
        make_class(self.out, count, plan)
        self.back.mkdir()

    def hand_in(self, number: int, **answers: str) -> None:
        """Answers by number, such as ``q11`` for 1.1."""
        given = {f"{name[1]}.{name[2]}": text for name, text in answers.items()}
        (self.back / f"{number}.csv").write_bytes(as_csv(number, given, self.plan))


def everything(folder: Path) -> dict[str, bytes]:
    return {str(p): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


# ------------------------------------------------------------------------- a wider tolerance


@pytest.fixture
def corners(tmp_path: Path) -> OwnClass:
    room = OwnClass(tmp_path, CORNERS, 3)
    room.hand_in(1, q11="2.18 kHz", q12="1.46")  # the damped frequency
    room.hand_in(2, q11="2.25 kHz", q12="1.46")  # 3 % off, by no mistake that is known
    room.hand_in(3, q11="2.32 kHz", q12="1.46")
    return room


def test_a_mistake_is_listed_and_not_credited(corners: OwnClass) -> None:
    corners.mark()
    assert not (corners.marks / "widened.csv").exists()
    before = corners.found().students
    said = corners.mark("--tolerance", "10 %")
    assert "2 answers are right by the wider tolerance alone" in said
    assert "1 of them is what a known mistake gives, and is not credited" in said
    assert "Q1.1: 2.18 kHz; right is 2.322 kHz; “" in said
    assert "0 points, 1 if credited" in said
    one, two = corners.table("widened.csv")
    assert (one["student"], one["question"], one["typed"]) == ("001", "Q1.1", "2.18 kHz")
    assert (one["right"], one["without"], one["with"]) == ("2.322 kHz", "0", "1")
    assert one["mistake"]
    assert one["gives"].startswith("2.1")
    assert (two["student"], two["mistake"], two["gives"]) == ("002", "", "")
    assert [s.points for s in before] == [1, 1, 2]
    assert [s.points for s in corners.found().students] == [1, 2, 2]
    corners.mark()  # back to the plan's
    assert not (corners.marks / "widened.csv").exists()
    assert corners.found().students == before


def test_all_of_them_may_be_credited_and_are_listed_all_the_same(corners: OwnClass) -> None:
    said = corners.mark("--tolerance", "10 %", "--credit-slips")
    assert "1 of them is what a known mistake gives, and is credited" in said
    assert [s.points for s in corners.found().students] == [2, 2, 2]
    assert len(corners.table("widened.csv")) == 2


def test_the_list_passed_back_with_points_is_followed(corners: OwnClass) -> None:
    corners.mark("--tolerance", "10 %")
    table = (corners.marks / "widened.csv").read_text(encoding="utf-8-sig")
    lines = table.splitlines()
    lines[1] += "0.5"
    text = "\n".join(lines)
    (corners.marks / "widened.csv").write_text(text, encoding="utf-8")
    said = corners.mark("--tolerance", "10 %")
    assert "1 answer is right by the wider tolerance alone" in said
    assert [s.points for s in corners.found().students] == [Fraction(3, 2), 2, 2]
    assert [row["why"] for row in corners.table("changes.csv")] == ["", "your decision"]


# ------------------------------------------------------------------------- a preview


def test_a_preview_writes_nothing_and_says_what_marking_then_does(corners: OwnClass) -> None:
    before = everything(corners.out)
    said = corners.mark("--preview")
    assert everything(corners.out) == before
    assert "There are no marks in place yet" in said
    assert "Nothing was written" in said
    corners.mark()
    before = everything(corners.out)
    assert "Nothing would change." in corners.mark("--preview")
    corners.hand_in(3, q11="2.32 kHz", q12="9")
    said = corners.mark("--preview", "--tolerance", "10 %")
    assert everything(corners.out) == before
    lines = [line for line in said.splitlines() if "→" in line]
    assert lines == [
        f"{corners.found().students[1].name}: 1 → 2",
        "    Q1.1: 0 → 1 (right by the wider tolerance alone)",
        f"{corners.found().students[2].name}: 2 → 1",
        "    Q1.2: 1 → 0 (another answer counts now)",
    ]
    assert "and is not credited" in said
    corners.mark("--tolerance", "10 %")
    rows = corners.table("changes.csv")
    assert [(r["question"], r["before"], r["after"]) for r in rows if r["question"] != "total"] == [
        ("Q1.1", "0", "1"), ("Q1.2", "1", "0")
    ]  # fmt: skip


def test_a_preview_takes_decisions_and_keeps_none(corners: OwnClass) -> None:
    corners.mark("--tolerance", "10 %")
    table = (corners.marks / "widened.csv").read_text(encoding="utf-8-sig").splitlines()
    table[1] += "1"
    (corners.marks / "settled.csv").write_text("\n".join(table), encoding="utf-8")
    before = everything(corners.out)
    said = corners.mark("--tolerance", "10 %", "--preview")
    assert "Q1.1: 0 → 1 (your decision)" in said
    assert everything(corners.out) == before


# ------------------------------------------------------------------------- the plan's rules


def test_the_plans_rules_reach_marking(tmp_path: Path) -> None:
    truth = key_for(1, CORNERS).items[0].problem.questions[0].figure
    room = OwnClass(tmp_path, replace(CORNERS, marking=FAIR), 3)
    room.hand_in(1, q11=f"{truth * 1.015:.5g} Hz", q12="1.46")  # badly rounded
    room.hand_in(2, q11=f"{truth * 6.283185:.5g} Hz", q12="0.685")  # 2πf0, and 1/Q
    room.hand_in(3, q11="5 kHz", q12="3.142")  # Q = ω0L/R with that f0
    room.mark()
    found = room.found().students
    assert [s.points for s in found] == [Fraction(7, 4), Fraction(33, 50), Fraction(1, 2)]
    assert next(iter(list(found[2].questions)[1].told)).startswith("Right for your f0 = 5 kHz")
    feedback = (room.marks / "feedback" / f"{found[2].folder}.txt").read_text(encoding="utf-8")
    assert "right for your own earlier answer, 0.5 of 1" in feedback
    assert not recount.disagreements(room.out)


def test_the_plans_rules_say_which_hand_in_counts(tmp_path: Path) -> None:
    rules = MarkingRules(counts=CountsRule.NEWEST, due="2020-01-01T00:00:00", late=LateRule.NOTE)
    room = OwnClass(tmp_path, replace(CORNERS, marking=rules), 1)
    room.hand_in(1, q11="2.32 kHz")
    room.mark()
    [student] = room.found().students
    assert "late" in " ".join(student.notes)
    plan = replace(CORNERS, marking=replace(rules, late=LateRule.APART))
    apart = OwnClass(tmp_path / "b", plan, 1)
    apart.hand_in(1, q11="2.32 kHz")
    apart.mark()
    assert apart.found().students[0].state.value != "marked"
    apart.mark("--late", "count")  # instead of the plan's
    assert apart.found().students[0].state.value == "marked"


# ------------------------------------------------------------------------- the recount


def test_totals_agree_when_they_are_counted_once_more(tmp_path: Path) -> None:
    plan = replace(PLAN, marking=FAIR)
    room = OwnClass(tmp_path, plan, 8)
    hand_in_all(room.back, 7, plan=plan)
    path = room.out / "keys" / "class.json"
    known = json.loads(path.read_text(encoding="utf-8"))
    for place, student in enumerate(known["students"]):
        student |= {"group": ("Mon", "=Thu")[place % 2], "variant": "AB"[place % 2]}
    path.write_text(json.dumps(known), encoding="utf-8")
    room.mark("--tolerance", "5 %")
    assert recount.disagreements(room.out) == []
    rows = room.table("marks.csv")
    assert list(rows[0])[:5] == ["number", "id", "name", "group", "variant"]
    assert {row["variant"] for row in rows} == {"A", "B"}


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('"points":"', '"points":"9', "not their sum"),
        ('"verdict":"unclear"', '"verdict":"wrong"', "answers are open"),
        ('"name":"', '"name":"x', "another name"),
        ('"state":"marked"', '"state":"missing"', "and marked"),
    ],
)
def test_a_recount_finds_what_was_changed(tmp_path: Path, old: str, new: str, says: str) -> None:
    room = OwnClass(tmp_path, PLAN, 3)
    hand_in_all(room.back, 2)
    (room.back / "third.csv").write_bytes(as_csv(3, {"1.3": "rather high"}))
    room.mark()
    path = room.marks / "marks.json"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    assert any(says in line for line in recount.disagreements(room.out))


# ------------------------------------------------------------------------- by the hundred


def test_spellings_through_the_whole_path(tmp_path: Path) -> None:
    """In small; ``python -m tests.studies.answers_through_marking`` marks a thousand of each."""
    found = study(70, tmp_path, seed=9)
    assert not found.faults, found.faults[:5]
    right, asked = found.count((RIGHT,)), found.count((RIGHT,), "unclear", "blank", "paper")
    assert right >= 70
    assert found.count((WRONG, NEVER, MISTAKE)) >= 70
    assert asked <= max(3, 0.03 * right), found.asked
