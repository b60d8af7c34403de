"""The state of a climb: what counts, what does not, and what it comes to."""

from __future__ import annotations

import pytest
from rungwise.problems.generate.analyse import generate
from rungwise.problems.grading.grade import right_text
from rungwise.problems.hints.explanation import Strength
from rungwise.problems.questions.model import Form, Question, Rung, Verdict
from rungwise.tutor.learning.climb import Began, Climb, Event
from rungwise.tutor.learning.course import HINT_LEVELS, Move, MoveKind, Outcome
from rungwise.tutor.phrases.explaining import sentences


@pytest.fixture
def climb() -> Climb:
    return Climb(generate(7, level=1))


def wrong_text(question: Question) -> str:
    """A text that is understood and not the truth, without help from the grader's tables."""
    match question.form:
        case Form.CHOICE:
            return next(c.id for c in question.choices if c.id != question.truth)
        case Form.COUNT:
            return str(int(question.truth) + 1)
        case Form.SLOPE:
            return f"{int(question.truth) + 20} dB/decade"
        case Form.ANGLE:
            return f"{int(question.truth) + 45}°"
        case Form.FORMULA:
            return "s^5"
        case Form.LEVEL:
            return f"{float(question.truth) + 17:.6g} {question.unit}"
        case _:
            return f"{float(question.truth) * 1.37:.6g}"


def test_right_answers_lead_to_the_top(climb: Climb) -> None:
    asked = []
    while not climb.done:
        asked.append(climb.current.question.rung)
        assert climb.answer(right_text(climb.current.question)).verdict is Verdict.RIGHT
    assert asked == [q.rung for q in climb.problem.questions]
    summary = climb.summary()
    assert summary.clean == summary.asked == len(asked)
    assert summary.full == summary.steps
    assert (summary.helped, summary.shown, summary.skipped, summary.left) == (0, 0, 0, 0)


def test_a_wrong_answer_keeps_the_rung_and_spoils_it(climb: Climb) -> None:
    question = climb.current.question
    assert climb.answer(wrong_text(question)).verdict is Verdict.WRONG
    assert climb.current.question is question
    climb.answer(right_text(question))
    assert climb.rungs[0].outcome is Outcome.RIGHT
    assert climb.rungs[0].wrong_tries == 1


def test_what_is_not_understood_does_not_count(climb: Climb) -> None:
    question = climb.current.question
    assert climb.answer("⌘ nonsense 12 kg").verdict is Verdict.UNCLEAR
    assert climb.current.wrong_tries == 0
    climb.answer(right_text(question))
    assert climb.rungs[0].outcome is Outcome.CLEAN


def test_a_hinted_rung_is_not_clean(climb: Climb) -> None:
    assert [climb.hint() for _ in range(5)] == [1, 2, 3, 3, 3]
    climb.answer(right_text(climb.current.question))
    assert climb.rungs[0].outcome is Outcome.RIGHT
    assert climb.summary().hinted == 1


def test_surrender_and_skip_go_on(climb: Climb) -> None:
    first = climb.current.question
    assert climb.show() is first
    climb.skip()
    assert [s.outcome for s in climb.rungs[:3]] == [
        Outcome.SHOWN,
        Outcome.SKIPPED,
        Outcome.OPEN,
    ]
    assert climb.summary().left == len(climb.rungs) - 2


def test_a_type_without_its_reason_is_not_full_marks() -> None:
    climb = Climb(generate(7, level=1))
    asked = [q.rung for q in climb.problem.questions]
    assert Rung.TYPE in asked and Rung.TYPE_REASON in asked
    while not climb.done:
        question = climb.current.question
        if question.rung is Rung.TYPE_REASON:
            climb.answer(wrong_text(question))
        climb.answer(right_text(question))
    summary = climb.summary()
    assert summary.clean == summary.asked - 1
    assert summary.full == summary.steps - 1
    assert summary.steps == len([r for r in asked if not r.value.endswith("-reason")])


def test_every_event_is_told_once() -> None:
    told: list[Event] = []
    climb = Climb(generate(7, level=1), told.append)
    first, second, third = (s.question for s in climb.rungs[:3])
    climb.answer(wrong_text(first))
    climb.hint()
    climb.answer(right_text(first))
    climb.show()
    climb.skip()
    while not climb.done:
        climb.skip()
    assert isinstance(told[0], Began)
    moves = [e for e in told if isinstance(e, Move)]
    assert len(moves) == len(told) - 1
    assert [(m.kind, m.rung, m.verdict, m.level) for m in moves[:5]] == [
        (MoveKind.ANSWERED, first.rung, Verdict.WRONG, 0),
        (MoveKind.HINTED, first.rung, None, 1),
        (MoveKind.ANSWERED, first.rung, Verdict.RIGHT, 0),
        (MoveKind.SHOWN, second.rung, None, 0),
        (MoveKind.SKIPPED, third.rung, None, 0),
    ]
    assert [m.rung for m in moves[4:]] == [s.question.rung for s in climb.rungs[2:]]
    again = Climb(climb.problem)
    assert again.replay(moves) == len(moves) and again.done
    assert [s.course for s in again.rungs] == [s.course for s in climb.rungs]
    assert [s.marks for s in again.rungs] == [s.marks for s in climb.rungs]


def test_no_further_hint_event_after_the_last_level() -> None:
    told: list[Event] = []
    climb = Climb(generate(7, level=1), told.append)
    for _ in range(9):
        climb.hint()
    assert sum(isinstance(e, Move) for e in told) == HINT_LEVELS


def test_nothing_more_after_the_top(climb: Climb) -> None:
    while not climb.done:
        climb.skip()
    for act in (climb.hint, climb.show, climb.skip, lambda: climb.answer("1")):
        with pytest.raises(IndexError):
            act()


# ------------------------------------------------------------------- explanations


def _said(climb: Climb, index: int) -> list[str]:
    return [" ".join(sentences(e)) if e else "" for e in climb.explained(index)]


def test_a_wrong_answer_is_explained_and_a_right_one_is_not(climb: Climb) -> None:
    assert climb.explanation is None
    question = climb.current.question
    climb.answer("⌘ nonsense 12 kg")
    assert climb.explanation is None
    climb.answer(wrong_text(question))
    assert climb.explanation is not None
    climb.answer(right_text(question))
    assert [e is None for e in climb.explained(0)] == [True, False, True]
    while not climb.done:
        climb.skip()
    assert climb.explanation is None


def test_the_same_error_again_is_told_more() -> None:
    climb = _at(Rung.TYPE)
    wrong = wrong_text(climb.current.question)
    for _ in range(5):
        climb.answer(wrong)
    strengths = [e.strength for e in climb.explained(climb.position) if e is not None]
    assert strengths == sorted(strengths)
    assert strengths[-1] is Strength.REASON
    said = _said(climb, climb.position)
    assert len(set(said)) == len(set(strengths)) > 1
    assert said[-1] == said[-2]  # there is no more to say


def _at(rung: Rung) -> Climb:
    climb = Climb(generate(7, level=2))
    while climb.current.question.rung is not rung:
        climb.answer(right_text(climb.current.question))
    return climb


def test_the_earlier_answers_of_this_climb_are_known() -> None:
    climb = _at(Rung.TYPE)
    climb.answer("low-pass")
    assert _against(climb) == {"said": Rung.HIGH_END}
    shown = Climb(generate(7, level=2))
    while shown.current.question.rung is not Rung.TYPE:
        shown.show()
    shown.answer("low-pass")
    assert _against(shown) == {"shown": Rung.HIGH_END}
    skipped = Climb(generate(7, level=2))
    while skipped.current.question.rung is not Rung.TYPE:
        skipped.skip()
    skipped.answer("low-pass")
    assert _against(skipped) == {}


def _against(climb: Climb) -> dict[str, Rung]:
    """How the earlier answer that is contradicted is spoken of, and which one it is."""
    found = climb.explanation
    assert found is not None
    return {
        sentence.key: next(r for r in Rung if phrase.key.startswith(f"earlier.{r.value}-"))
        for sentence in found.against
        for phrase in dict(sentence.values)["earlier"]
    }


def test_a_climb_that_is_climbed_again_explains_the_same() -> None:
    moves: list[Move] = []
    climb = Climb(generate(7, level=2), lambda e: moves.append(e) if isinstance(e, Move) else None)
    while not climb.done:
        question = climb.current.question
        for _ in range(3):
            climb.answer(wrong_text(question))
            assert climb.explanation is not None
        climb.hint()
        climb.answer(wrong_text(question))
        climb.answer(right_text(question))
    again = Climb(climb.problem)
    assert again.replay(moves) == len(moves)
    for index in reversed(range(len(climb.rungs))):  # asked in any order
        assert again.explained(index) == climb.explained(index)


def test_a_verdict_that_the_record_overrules_is_not_explained() -> None:
    climb = Climb(generate(7, level=2))
    question = climb.current.question
    move = Move(MoveKind.ANSWERED, question.rung, right_text(question), Verdict.WRONG, "as it was")
    assert climb.replay([move]) == 1
    assert climb.explained(0) == (None,)
