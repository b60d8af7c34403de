"""The table [marking] of a plan: what it sets, what it refuses, and who is told of it."""

from __future__ import annotations

import copy
import datetime
from fractions import Fraction
from typing import Any

import jsonschema
import pytest
from rungwise.problems.questions.model import Form, Verdict
from rungwise.problems.sheets.documents import (
    key_document,
    key_of,
    plan_document,
    plan_from,
    sheet_document,
)
from rungwise.problems.sheets.lots import draft
from rungwise.problems.sheets.marking_rules import (
    USUAL,
    CountsRule,
    LateRule,
    MarkingRules,
    SlipShares,
    VerdictShares,
)
from rungwise.problems.sheets.marking_table import MARKING_KEYS
from rungwise.problems.sheets.model import PLAN_FORMAT, SheetError, Student
from rungwise.problems.sheets.plan import plan_of
from rungwise.tutor.documents.pages import sheet_page
from rungwise.tutor.documents.pages_key import key_page
from rungwise.tutor.documents.text import page_text
from rungwise.tutor.language.errors import worded
from rungwise.tutor.phrases.marking_rules import rules_in_full, rules_told, share_text

from tests.golden.plan_schema import schema

PLAN: dict[str, Any] = {
    "format": PLAN_FORMAT,
    "title": "A sheet",
    "seed": 2**48 + 3,
    "sections": [{"levels": [1], "problems": 1}],
}


def plan(**marking: object) -> dict[str, Any]:
    return copy.deepcopy({**PLAN, "marking": marking})


def rules(**marking: object) -> MarkingRules:
    return plan_of(plan(**marking)).marking


def test_what_is_left_out_is_as_it_always_was() -> None:
    assert plan_of(PLAN).marking == rules() == USUAL
    assert (USUAL.slip_points, USUAL.verdict_points) == (SlipShares(), VerdictShares())
    assert [USUAL.verdict_points.of(v) for v in Verdict] == [1, 1, 0, 0]
    assert USUAL.slip_points.best(["q-inverted"], Form.RATIO) == 0
    assert (USUAL.follow_through, USUAL.counts, USUAL.late) == (0, CountsRule.ASK, LateRule.NOTE)
    assert USUAL.due_at is None
    for document in (plan_document(plan_of(PLAN)), sheet_document(made(PLAN).sheet)):
        assert "marking" not in str(document)


def made(data: dict[str, Any]) -> Any:
    return draft(plan_of(data), Student(1)).variant


def test_shares_are_the_decimal_numbers_that_are_written() -> None:
    found = rules(slip_points=0.1, follow_through=0.29, verdict_points={"rough": 0.57})
    assert found.slip_points == SlipShares(Fraction(1, 10))
    assert found.follow_through == Fraction(29, 100)
    assert found.verdict_points == VerdictShares(rough=Fraction(57, 100))
    assert rules(follow_through=True).follow_through == 1
    assert rules(follow_through=False) == USUAL


def test_a_share_for_every_slip_pays_no_guess() -> None:
    found = rules(slip_points={"each": 0.5, "q-inverted": 0.25, "radians-as-hertz": 0})
    shares = found.slip_points
    assert shares.of("q-inverted", Form.RATIO) == Fraction(1, 4)
    assert shares.of("radians-as-hertz", Form.QUANTITY) == 0
    assert shares.of("anything-else", Form.QUANTITY) == Fraction(1, 2)
    assert shares.best(["q-inverted", "anything-else"], Form.RATIO) == Fraction(1, 2)
    for form in (Form.CHOICE, Form.COUNT, Form.SLOPE, Form.ANGLE):
        assert shares.of("anything-else", form) == 0
        assert shares.of("q-inverted", form) == Fraction(1, 4)  # named by the teacher
    assert shares.best([], Form.RATIO) == 0


@pytest.mark.parametrize(
    ("due", "text"),
    [
        (datetime.date(2026, 12, 3), "2026-12-03T23:59:59"),
        ("2026-12-03", "2026-12-03T23:59:59"),
        (datetime.datetime(2026, 12, 3, 18), "2026-12-03T18:00:00"),
        ("2026-12-03T18:00:00+01:00", "2026-12-03T18:00:00+01:00"),
    ],
)
def test_due_is_a_day_or_a_time(due: object, text: str) -> None:
    found = rules(due=due, late="apart", counts="newest")
    assert found.due == text
    assert found.due_at == datetime.datetime.fromisoformat(text)
    assert (found.counts, found.late) == (CountsRule.NEWEST, LateRule.APART)


@pytest.mark.parametrize(
    ("marking", "path", "says"),
    [
        (3, "marking", "write [marking]"),
        ([], "marking", "write [marking]"),
        ({"slip_point": 1}, "marking.slip_point", "did you mean slip_points?"),
        ({"slip_points": 1.5}, "marking.slip_points", "from 0 to 1"),
        ({"slip_points": True}, "marking.slip_points", "from 0 to 1"),
        ({"slip_points": {"q-inverte": 1}}, "marking.slip_points", "q-inverted"),
        ({"slip_points": {"q-inverted": 2}}, "marking.slip_points", "q-inverted = 2"),
        ({"slip_points": float("nan")}, "marking.slip_points", "from 0 to 1"),
        ({"follow_through": "yes"}, "marking.follow_through", "true, false or a share"),
        ({"follow_through": -1}, "marking.follow_through", "true, false or a share"),
        ({"verdict_points": 1}, "marking.verdict_points", "by verdict"),
        ({"verdict_points": {"blank": 1}}, "marking.verdict_points", "no blank"),
        ({"verdict_points": {"rough": 0.5, "wrong": 0.6}}, "marking.verdict_points", "better"),
        ({"verdict_points": dict.fromkeys(("right", "rough"), 0)}, "marking.verdict_points",
         "a right one something"),
        ({"counts": "latest"}, "marking.counts", "ask, newest"),
        ({"due": "Thursday"}, "marking.due", "2026-12-03"),
        ({"due": datetime.time(18)}, "marking.due", "2026-12-03"),
        ({"late": "note"}, "marking.late", "set due as well"),
        ({"due": "2026-12-03", "late": "not"}, "marking.late", "did you mean note"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_with_its_place(marking: object, path: str, says: str) -> None:
    with pytest.raises(SheetError) as caught:
        plan_of({**PLAN, "marking": marking})
    [found] = caught.value.troubles
    assert found.path == path
    assert says in worded(found.wording)
    assert found.remedy


def test_everything_wrong_in_it_is_told_at_once() -> None:
    with pytest.raises(SheetError) as caught:
        rules(slip_points=2, counts="x", due="y")
    assert [t.path for t in caught.value.troubles] == [
        "marking.slip_points", "marking.counts", "marking.due"
    ]  # fmt: skip


FULL = plan(
    slip_points={"each": 0.5, "q-inverted": 0.25},
    follow_through=0.5,
    verdict_points={"right": 1, "rough": 0.9, "wrong": 0.1},
    counts="newest",
    due="2026-12-03T18:00:00",
    late="note",
)


def test_plan_sheet_and_key_hold_the_rules() -> None:
    read = plan_of(FULL)
    assert plan_from(plan_document(read)) == read
    variant = made(FULL)
    assert variant.sheet.heading.marking == read.marking
    assert key_of(key_document(variant.key)) == variant.key


def test_the_rules_change_no_problem() -> None:
    assert made(FULL).key.items == made(PLAN).key.items


def test_the_schema_takes_them_and_knows_their_keys() -> None:
    known = schema()
    assert set(known["properties"]["marking"]["properties"]) == set(MARKING_KEYS)
    checker = jsonschema.Draft202012Validator(known)
    checker.validate(FULL)
    for wrong in ({"late": "note"}, {"slip_points": 2}, {"slip_points": {"x": 1}}, {"a": 1}, 3):
        assert not checker.is_valid({**PLAN, "marking": wrong})


# ------------------------------------------------------------------------- what students are told


def test_usual_rules_need_no_words() -> None:
    assert rules_told(USUAL) == rules_in_full(USUAL) == []


def test_a_sheet_tells_its_rules_and_the_key_each_mistakes_share() -> None:
    told = rules_told(plan_of(FULL).marking)
    assert told == [
        "A figure within the tolerance that is poorly rounded has 90 % of the points.",
        "A wrong answer has 10 % of the points.",
        "A wrong figure, formula or sketch that a known mistake explains has half of the points.",
        "An answer that follows correctly from your own earlier answer, which was wrong, "
        "has half of its points.",
        "If you hand in more than once, the newest counts.",
        "Hand in by 3 December 2026, 18:00.",
    ]
    *same, slip = rules_in_full(plan_of(FULL).marking)
    assert same == told
    assert slip.endswith("has a quarter of the points.")


def test_rules_in_other_words() -> None:
    assert rules_told(rules(follow_through=True))[0].endswith(
        "which was wrong, has all its points."
    )
    assert rules_told(rules(slip_points={"q-inverted": 0.5})) == [
        "Some wrong answers that a known mistake explains have part of the points."
    ]
    [due] = rules_told(rules(due="2026-12-03", late="apart"))
    assert due == "Hand in by 3 December 2026; what comes later is not marked."
    assert [share_text(Fraction(n, 8)) for n in (1, 2, 4, 6, 8)] == [
        "12.5 %", "a quarter", "half", "three quarters", "all"
    ]  # fmt: skip


def test_sheets_and_keys_print_them() -> None:
    variant = made(FULL)
    for page in (sheet_page(variant.sheet), key_page(variant.sheet, variant.key)):
        printed = " ".join(page_text(page).split())
        assert "poorly rounded has 90 % of the points." in printed
        assert "Hand in by 3 December 2026, 18:00." in printed
    plain = made(PLAN)
    assert "of the points" not in page_text(sheet_page(plain.sheet))
