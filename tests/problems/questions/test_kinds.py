"""Kinds of question: each is one row, planned and answered by it alone."""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby

import pytest
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.catalogue.groups import LEVEL_SINCE, SkillGroup
from rungwise.problems.hints.fill import HINTS
from rungwise.problems.hints.hint import hint
from rungwise.problems.questions.analyse import DRAWN, climb, questions_for
from rungwise.problems.questions.kind_row import EVERYWHERE, Band, QuestionKind
from rungwise.problems.questions.kinds import (
    KINDS,
    MAKERS,
    MEASURES,
    REASON_OF,
    REASONS_BACK,
    Slot,
    kind,
    kinds_of,
)
from rungwise.problems.questions.model import FORMAT, Form, Rung, Task
from rungwise.problems.sheets.problems import ASKABLE
from rungwise.tutor.learning.choice import expected
from rungwise.tutor.learning.skill_map import BANDS, RULES, TASK_OF, parts_of, skills

from tests.support.completeness import missing

each_kind = pytest.mark.parametrize("row", KINDS, ids=lambda row: row.rung.value)


def test_every_kind_has_one_row() -> None:
    assert sorted(row.rung for row in KINDS) == sorted(Rung)


def test_nothing_is_missing() -> None:
    assert missing() == []


@each_kind
def test_a_plan_comes_to_every_kind(row: QuestionKind) -> None:
    """It is a skill, at home in a task, expected of some family, and has its column."""
    assert {parts_of(s)[0] for s in skills() if parts_of(s)[1] is row.rung} == row.asked_of
    assert TASK_OF[row.rung] is row.task and row.rung in kinds_of(row.task)
    assert any(row.rung in dict(expected(family.name, row.task)) for family in FAMILIES)
    every = list(Rung)
    columns = [
        name
        for name, first, last in BANDS
        if row.rung in every[every.index(first) : every.index(last) + 1]
    ]
    if row.band is Band.PREDICT:
        assert [row.rung in rungs for rungs in RULES.values()].count(True) == 1
    else:
        assert columns == [row.band.value]
    assert any(row.rung in ASKABLE[task] for task in Task) or row.reason_of
    assert row.seconds > 0 and 0 < row.guessed(0) < 1 and row.guessed(4) == 1 / 4


def test_a_kind_that_nobody_would_plan_cannot_be_made() -> None:
    row = kind(Rung.CORNER)
    for spoilt in (
        {"asked_of": frozenset()},
        {"asked_of": frozenset({SkillGroup.OTHER})},
        {"guess": 0.0},
        {"level": 8},
        {"since": FORMAT + 1},
        {"needs": (Rung.CORNER,)},
        {"task": Task.REVERSE},
        {"also": {Task.SKETCH: 2.0}},
    ):
        with pytest.raises(ValueError, match=r"^corner: "):
            replace(row, **spoilt)  # type: ignore[arg-type]
    assert row.asked_of < EVERYWHERE


def test_bands_are_neighbours_in_a_climb() -> None:
    assert len([band for band, _ in groupby(kind(rung).band for rung in Rung)]) == len(BANDS) + 1


def test_what_looks_at_circuits_is_there_for_every_kind() -> None:
    assert not MAKERS.missing(kinds_of(Task.ANALYSE))
    assert not HINTS.missing(Rung)
    figures = [r for r in kinds_of(Task.ANALYSE) if kind(r).form not in (Form.CHOICE, Form.FORMULA)]
    assert not MEASURES.missing(figures)


def test_a_slot_is_filled_once() -> None:
    slot: Slot[object] = Slot()
    slot(Rung.Q, Rung.CORNER)(object())
    assert slot.missing((Rung.Q, Rung.GAIN)) == (Rung.GAIN,)
    assert slot.get(Rung.GAIN) is None is not slot.get(Rung.Q)
    with pytest.raises(ValueError, match="q has its function already"):
        slot(Rung.Q)(object())


def test_reasons_follow_what_they_are_the_reason_of() -> None:
    every = list(Rung)
    for parent, reason in REASON_OF.items():
        assert every.index(reason) == every.index(parent) + 1
    assert set(REASONS_BACK) == {Rung.WHICH_CIRCUIT, Rung.MISSING_ARM}
    assert not set(REASON_OF) & set(REASONS_BACK)


def test_hints_of_a_kind_without_any_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    from rungwise.problems.generate.analyse import generate

    problem = generate(1, family="dangling-inductor")
    monkeypatch.setattr(HINTS, "_filled", {})
    with pytest.raises(LookupError, match="hints of"):
        hint(problem, problem.questions[0])


def test_a_question_is_the_same_whatever_else_is_wanted() -> None:
    from rungwise.problems.chance import Chance
    from rungwise.problems.generate.analyse import drawn_circuit

    seen: set[Rung] = set()
    for family in FAMILIES:
        _, known = next(filter(None, (drawn_circuit(family, 3, n) for n in range(40))))
        every = questions_for(known, Chance(7))
        for question in every:
            new = question.rung not in seen or question.rung in DRAWN
            if new:
                seen.add(question.rung)
                assert questions_for(known, Chance(7), only=(question.rung,)) == (question,)
        half = {question.rung for question in every[::2]}
        found = questions_for(known, Chance(7), only=half)
        assert found == tuple(question for question in every if question.rung in half)
        assert not {q.rung for q in every} >= {Rung.Q, Rung.LOADED_Q}
        if Rung.LOADED_Q in {q.rung for q in every}:
            assert questions_for(known, Chance(7), only=(Rung.Q,)) == ()
    assert seen >= {row.rung for row in KINDS if row.task is Task.ANALYSE} - {Rung.INDEPENDENT}


def test_an_earlier_format_knows_no_later_kind() -> None:
    from rungwise.problems.analysis.response import facts
    from rungwise.problems.chance import Chance
    from rungwise.problems.generate.analyse import drawn_circuit

    later = {row.rung for row in KINDS if row.since > 1}
    assert Rung.CORNER_PHASE in later
    for family in FAMILIES:
        drawn = next(filter(None, (drawn_circuit(family, 3, n) for n in range(40))))
        ladder, known = drawn
        assert known == facts(ladder)
        old = questions_for(known, Chance(7), 1)
        new = questions_for(known, Chance(7))
        # The Q of a resonator with losses is asked for as its loaded Q.
        renamed = {Rung.Q} if any(q.rung is Rung.LOADED_Q for q in new) else set()
        assert [q for q in new if q.rung not in later] == [q for q in old if q.rung not in renamed]
        if family.level in LEVEL_SINCE:
            continue  # no earlier format has the level
        for seed in range(6):
            asked = climb(old, family.level, Chance(seed))
            more = climb(new, family.level, Chance(seed))
            assert [q for q in more if q.rung not in later] == list(asked)
