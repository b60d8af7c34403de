"""The looks that a rehearsal begins with: every group of circuits, nothing told, nothing back."""

from __future__ import annotations

from rungwise.problems.catalogue.groups import LOOKED_AT
from rungwise.problems.questions.looks import LookKind
from rungwise.tutor.learning.exam_round import EXAM_LOOKS, ExamRound
from rungwise.tutor.learning.looks import LookEvent
from rungwise.tutor.phrases.exam_looks import mistakes, score


def test_every_group_is_asked_and_what_was_missed_is_known() -> None:
    heard: list[LookEvent] = []
    looks = ExamRound(11, listener=heard.append)
    number = 0
    while looks.step is not None:
        look = looks.step.look
        wrong = next(answer for answer in look.answers if answer != look.truth)
        assert looks.hint() == 0
        if number == 3:
            looks.show()  # left open
        else:
            looks.answer(wrong if number % 2 else look.truth, 3.0)
        looks.next()
        number += 1
    assert number == EXAM_LOOKS == len(heard) == len(looks.events)
    assert {e.group for e in heard if e.kind is LookKind.TYPE} == set(LOOKED_AT)
    assert all(event.cold and not event.scaffold for event in heard)  # nothing came back
    assert len({event.structure for event in heard}) == EXAM_LOOKS
    missed = [event for event in heard if not event.right]
    assert [look.truth for look, _ in looks.missed] == [event.truth for event in missed]
    assert [answered for _, answered in looks.missed] == [event.answered for event in missed]
    told = mistakes(looks)
    assert len(told) == len(missed) and all(circuit and why for circuit, why in told)
    assert f"{EXAM_LOOKS - len(missed)} of {EXAM_LOOKS}" in score(looks)


def test_the_same_seed_gives_the_same_looks() -> None:
    def asked(seed: int) -> list[str]:
        looks = ExamRound(seed)
        while looks.step is not None:
            looks.answer(looks.step.look.answers[0])
            looks.next()
        return [look.structure for look in looks.asked]

    assert asked(5) == asked(5) != asked(6)
