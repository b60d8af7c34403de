"""A round of looks: what it asks, what comes back after an error, and what it comes to."""

from __future__ import annotations

from collections import Counter
from random import Random

import pytest
from rungwise.problems.catalogue.groups import LOOKED_AT, SkillGroup
from rungwise.problems.generate.contrast import answer_of
from rungwise.problems.questions.looks import AT_SIGHT, PREDICTED, TYPES, LookKind, look_row
from rungwise.tutor.learning.looks import ROUND_LENGTH, LookEvent
from rungwise.tutor.learning.recognition import Recognition, look_skills
from rungwise.tutor.learning.rounds import Round

from .looking import FIRST_DAY, Looker, mostly, right


def test_the_same_answers_lead_to_the_same_looks() -> None:
    found = []
    for _ in range(2):
        looker = Looker(mostly(Random(1), 0.7), 5)
        looker.look()
        looker.look()
        found.append([(step.look, step.cold, step.again) for step in looker.steps])
    assert found[0] == found[1]
    other = Looker(right, 6)
    other.look()
    assert [step.look for step in other.steps] != [look for look, *_ in found[0]][:ROUND_LENGTH]


def test_what_was_known_before_is_left_as_it_is() -> None:
    known = Recognition()
    round_ = Round(1, known=known)
    while round_.step is not None:
        round_.answer(round_.step.look.truth)
        round_.next()
    assert known.looks == 0 and round_.recognition.looks == ROUND_LENGTH and round_.done


def test_half_of_the_looks_ask_for_the_type_and_every_kind_comes() -> None:
    looker = Looker(right, 3)
    for _ in range(6):
        looker.look()
    kinds = Counter(step.look.kind for step in looker.looks)
    assert len(looker.looks) == 6 * ROUND_LENGTH
    assert 0.45 <= kinds[LookKind.TYPE] / len(looker.looks) <= 0.6
    ends = {LookKind.LOW_END, LookKind.HIGH_END}  # whoever names the type has judged both
    assert set(AT_SIGHT) - ends <= set(kinds)
    groups = {step.look.group for step in looker.looks}
    assert groups >= set(LOOKED_AT)
    types = Counter(s.look.truth for s in looker.looks if s.look.kind is LookKind.TYPE)
    assert set(types) == set(TYPES)


def test_what_builds_upon_recognition_comes_once_that_is_known() -> None:
    """One look in six, and every other one where recognition lacks nothing more, until all is."""
    looker = Looker(right, 3, a_day=1)
    while not looker.known.ready:
        before = len(looker.looks)
        looker.look(until=lambda known: known.ready)
        assert not any(step.look.kind in PREDICTED for step in looker.looks[before:-1])
        assert looker.rounds < 12
    before = len(looker.looks)
    while len(looker.known.known_skills()) < len(look_skills()):
        looker.look(until=lambda known: len(known.known_skills()) == len(look_skills()))
        assert looker.rounds < 16
    done = len(looker.looks)
    while looker.rounds % 6 or len(looker.looks) < done + 6 * ROUND_LENGTH:
        looker.look()
    lacking, after = looker.looks[before:done], looker.looks[done:]
    for some, least, most in ((lacking, 0.3, 0.6), (after, 1 / 6 - 0.06, 1 / 6 + 0.06)):
        new = sum(step.look.kind in PREDICTED for step in some)
        assert least <= new / len(some) <= most, (new, len(some))
    assert {step.look.kind for step in lacking} >= set(PREDICTED)
    asked = Counter(step.look.kind for step in after)
    assert 0.42 <= asked[LookKind.TYPE] / len(after) <= 0.6
    assert not any(step.contrast for step in lacking + after if step.look.kind in PREDICTED)


def test_somebody_often_wrong_is_asked_nothing_that_builds_upon_recognition() -> None:
    looker = Looker(mostly(Random(8), 0.6), 9)
    for _ in range(6):
        looker.look()
    assert not looker.known.ready
    assert not any(step.look.kind in PREDICTED for step in looker.looks)


@pytest.mark.parametrize("kind", PREDICTED)
def test_what_builds_upon_recognition_comes_at_any_time_where_it_is_named(kind: LookKind) -> None:
    """And an error comes back, as others do."""
    looked, missed = Round(4, 8, kinds=(kind,)), None
    ends = 0
    while looked.step is not None:
        step = looked.step
        assert step.look.kind is kind or step.scaffold
        ends += step.scaffold
        wrong = next(answer for answer in step.look.answers if answer != step.look.truth)
        if missed is None:
            missed = step.look
            assert looked.answer(wrong).explained is not None
        else:
            looked.answer(step.look.truth)
        looked.next()
    assert ends == (2 if look_row(kind).ends else 0)
    again = [event for event in looked.events if event.again]
    assert again and missed is not None and again[0].structure == missed.structure


@pytest.mark.parametrize("share", [1.0, 0.6])
def test_no_structure_comes_twice_but_after_an_error(share: float) -> None:
    looker = Looker(mostly(Random(2), share), 4)
    for _ in range(6):
        looker.look()
    fresh = [step.look.structure for step in looker.looks if not step.again]
    assert len(fresh) == len(set(fresh))


def test_a_third_of_the_looks_stand_in_a_contrast_with_the_look_before() -> None:
    looker = Looker(mostly(Random(3), 0.95), 7)
    for _ in range(6):
        looker.look()
    pairs = [
        (a.look, b.look) for a, b in zip(looker.looks, looker.looks[1:], strict=False) if b.contrast
    ]
    assert len(pairs) >= 0.3 * len(looker.looks)
    for a, b in pairs:
        assert a.kind is b.kind and a.truth != b.truth and a.structure != b.structure
        if answer_of(a.ladder, a.kind) is not None:  # else it speaks of more than the circuit
            assert (answer_of(a.ladder, a.kind), answer_of(b.ladder, b.kind)) == (a.truth, b.truth)


def test_an_error_asks_both_ends_and_comes_back_after_a_few_looks_and_after_about_ten() -> None:
    wrong_at = 6
    looked = Round(11, length=40)
    missed = None
    back: list[int] = []
    ends: list[LookKind] = []
    while looked.step is not None:
        step = looked.step
        truth = step.look.truth
        if looked.number == wrong_at and missed is None and step.look.kind is LookKind.TYPE:
            missed = step.look
            result = looked.answer(next(a for a in step.look.answers if a != truth))
            assert not result.right and result.explained is not None
        else:
            wrong_at += missed is None and looked.number == wrong_at
            if step.scaffold:
                assert missed is not None and step.look.ladder == missed.ladder and not step.cold
                ends.append(step.look.kind)
            if step.again:
                assert missed is not None and not step.cold
                assert step.look.structure == missed.structure
                back.append(looked.number)
            assert looked.answer(truth).right
        looked.next()
    assert ends == [LookKind.LOW_END, LookKind.HIGH_END]
    assert len(back) == 2
    assert 2 <= back[0] - wrong_at <= 5 and 8 <= back[1] - back[0] <= 14
    assert looked.number == 40


def test_a_hint_or_an_answer_shown_is_not_cold_and_comes_back() -> None:
    looked = Round(2)
    assert looked.hint() == 1 and looked.hint() == 2
    assert looked.step is not None
    looked.answer(looked.step.look.truth)
    assert (looked.events[-1].cold, looked.events[-1].hints) == (False, 2)
    looked.next()
    shown = looked.step.look
    result = looked.show(3.0)
    assert not result.right and result.explained is None and looked.events[-1].answered == ""
    again = []
    while looked.next() is not None:
        assert looked.step is not None
        again += [looked.step.look.structure] if looked.step.again else []
        looked.answer(looked.step.look.truth)
    assert again and set(again) == {shown.structure}


def test_the_listener_hears_of_a_look_before_it_is_marked() -> None:
    heard: list[LookEvent] = []
    looked = Round(9, listener=heard.append, uid="ab")
    assert looked.step is not None
    look = looked.step.look
    looked.answer(look.truth, 1.5)
    [event] = heard
    assert (event.round, event.structure, event.seconds, event.right) == (
        "ab", look.structure, 1.5, True,
    )  # fmt: skip

    def deaf(event: LookEvent) -> None:
        raise OSError("no room")

    looked = Round(9, listener=deaf)
    with pytest.raises(OSError, match="no room"):
        looked.answer(look.truth)
    assert not looked.events and looked.number == 0


def test_what_is_no_choice_is_refused() -> None:
    looked = Round(9, length=1)
    with pytest.raises(ValueError, match="is no choice of type"):
        looked.answer("sideways")
    assert looked.step is not None
    looked.answer(looked.step.look.truth)
    assert looked.next() is None
    with pytest.raises(IndexError):
        looked.answer("notch")


def test_kinds_and_group_can_be_chosen() -> None:
    looked = Round(5, kinds=(LookKind.POLES, LookKind.FED), group=SkillGroup.CASCADES, length=30)
    while looked.step is not None:
        assert looked.step.look.kind in (LookKind.POLES, LookKind.FED)
        assert looked.step.look.group is SkillGroup.CASCADES
        looked.answer(looked.step.look.truth)
        looked.next()


def test_a_round_of_few_circuits_repeats_them_rather_than_ending() -> None:
    looked = Round(5, kinds=(LookKind.TYPE,), group=SkillGroup.ONE_POLE)
    while looked.step is not None:
        assert looked.step.look.group is SkillGroup.ONE_POLE
        looked.answer(looked.step.look.truth)
        looked.next()
    assert looked.number == ROUND_LENGTH


def test_the_page_tells_what_was_taken_for_what() -> None:
    def answer(step):  # type: ignore[no-untyped-def]
        look = step.look
        if look.kind is LookKind.TYPE and look.truth == "notch" and step.cold:
            return "band-pass", 4.0
        return look.truth, 2.0

    looker = Looker(answer, 8)
    page = looker.look().page()
    wrong = [e for e in looker.events if not e.right]
    assert page.asked == ROUND_LENGTH and page.right == ROUND_LENGTH - len(wrong)
    assert page.seconds == 2.0
    assert page.confusions == (("notch", "band-pass", len(wrong)),)
    assert 1 <= len(page.pairs) <= 2
    for asked, beside in page.pairs:
        assert (asked.truth, beside.truth) == ("notch", "band-pass")


def test_a_slow_right_answer_says_why() -> None:
    looker = Looker(right, 8)
    looker.look()
    looked = Round(3, known=looker.known, today=FIRST_DAY)
    assert looked.step is not None
    target = looker.known.target(looked.step.look.kind)
    assert target is not None
    assert looked.answer(looked.step.look.truth, target * 1.01).slow
    looked.next()
    assert looked.step is not None
    assert not looked.answer(looked.step.look.truth, 0.0).slow
