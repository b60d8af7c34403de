"""Skills: the tracing by hand, what counts as evidence, what is kept, and the map of skills."""

from __future__ import annotations

import json
import math
import random
from collections import Counter
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from itertools import islice, product

import pytest
from fsrs import Card, Rating, Scheduler
from hypothesis import assume, given
from hypothesis import strategies as st
from rungwise.problems.catalogue import families
from rungwise.problems.catalogue.groups import GROUP_OF, SkillGroup
from rungwise.problems.chance import Chance
from rungwise.problems.generate import predict  # noqa: F401 - fills MAKERS
from rungwise.problems.generate.analyse import drawn_circuit
from rungwise.problems.generate.tasks import generate
from rungwise.problems.questions.asking import Asking
from rungwise.problems.questions.kinds import MAKERS, kind, kinds_of
from rungwise.problems.questions.model import Rung, Task
from rungwise.tutor.learning.course import Outcome
from rungwise.tutor.learning.evidence import Evidence
from rungwise.tutor.learning.memory import NOTHING, recalled, remembered
from rungwise.tutor.learning.plan import standing
from rungwise.tutor.learning.skill_map import (
    AFTER,
    ASKED,
    TASK_OF,
    group_of,
    parts_of,
    prerequisites,
    skill_of,
    skills,
)
from rungwise.tutor.learning.skills import MASTERY, SUREST, SkillState, advance, needed, traced

from tests.support.samples import sample

NOON = datetime(2026, 10, 1, 12, tzinfo=UTC)


def shown(
    outcome: Outcome = Outcome.CLEAN,
    tries: int = 1,
    hints: int = 0,
    *,
    rung: Rung = Rung.CORNER,
    choices: int = 0,
    slips: tuple[str, ...] = (),
    when: datetime = NOON,
    family: str = "rc-low-pass",
) -> Evidence:
    return Evidence(
        when, family, 1, 7, Task.ANALYSE, rung, choices, outcome, tries, hints, slips, 20.0
    )


WRONG = {"outcome": Outcome.RIGHT, "tries": 2}


def after(*evidence: Evidence) -> SkillState:
    state = None
    for one in evidence:
        state = advance(state, one)
    assert state is not None
    return state


# ------------------------------------------------------------------------------ tracing


def test_tracing_by_hand() -> None:
    """Corbett & Anderson's two equations, worked in fractions for L0 = T = 0.4, S = 0.08.

    Right with G = 1/5: 0.4·0.92 / (0.4·0.92 + 0.6·0.2) = 0.368/0.488 = 46/61,
    then 46/61 + 15/61·0.4 = 52/61.
    Wrong after it: 52/61·0.08 / (52/61·0.08 + 9/61·0.8) = 4.16/11.36 = 26/71,
    then 26/71 + 45/71·0.4 = 44/71.
    """
    first = traced(0.4, True, 0.2, 0.4)
    assert first == pytest.approx(52 / 61, abs=1e-12)
    assert traced(first, False, 0.2, 0.4) == pytest.approx(44 / 71, abs=1e-12)
    assert traced(0.4, True, 0.2, 0.0) == pytest.approx(46 / 61, abs=1e-12)


@given(
    p=st.fractions(Fraction(1, 100), Fraction(9, 10)),
    guess=st.sampled_from([Fraction(1, n) for n in (2, 3, 4, 5, 20)]),
    learn=st.fractions(0, Fraction(1, 10)),
    right=st.booleans(),
)
def test_tracing_is_bayes_rule(p: Fraction, guess: Fraction, learn: Fraction, right: bool) -> None:
    """The two equations are a table of four joint probabilities, then a step of learning."""
    slip = Fraction(8, 100)
    joint = {
        (True, True): p * (1 - slip), (True, False): p * slip,
        (False, True): (1 - p) * guess, (False, False): (1 - p) * (1 - guess),
    }  # fmt: skip
    posterior = joint[True, right] / (joint[True, right] + joint[False, right])
    expected = min(posterior + (1 - posterior) * learn, Fraction(SUREST))
    assert traced(float(p), right, float(guess), float(learn)) == pytest.approx(float(expected))


def test_a_state_follows_the_equations() -> None:
    """Two right answers of a typed figure, then a wrong one, with the constants as they are."""
    p = Fraction(2, 100)
    at_once, corrected = Fraction(1, 100), Fraction(8, 100)
    slip, guess = Fraction(8, 100), Fraction(3, 100)
    for _ in range(2):
        p = p * (1 - slip) / (p * (1 - slip) + (1 - p) * guess)
        p = p + (1 - p) * at_once
    state = after(shown(), shown())
    assert state.p == pytest.approx(float(p), abs=1e-12)
    assert state.p > MASTERY
    p = p * slip / (p * slip + (1 - p) * (1 - guess))
    p = p + (1 - p) * corrected
    assert after(shown(), shown(), shown(**WRONG)).p == pytest.approx(float(p), abs=1e-12)


def test_the_more_there_is_to_choose_from_the_less_is_luck() -> None:
    assert kind(Rung.FED).guessed(2) == 1 / 2
    assert kind(Rung.TYPE).guessed(5) == 1 / 5
    assert kind(Rung.CORNER).guessed(0) == 0.03 < kind(Rung.POLES).guess < kind(Rung.GAIN).guess

    def to_mastery(rung: Rung, choices: int) -> int:
        state, count = None, 0
        while state is None or not state.mastered:
            state, count = advance(state, shown(rung=rung, choices=choices)), count + 1
        return count

    counts = [to_mastery(Rung.FED, 2), to_mastery(Rung.TYPE, 5), to_mastery(Rung.CORNER, 0)]
    assert counts == sorted(counts, reverse=True)
    assert counts[0] >= 6 and counts[-1] == 2


@pytest.mark.parametrize(
    "evidence",
    [
        shown(Outcome.RIGHT, 1, 1),
        shown(Outcome.RIGHT, 1, 3),
        shown(Outcome.SHOWN, 0),
        shown(Outcome.SHOWN, 0, 3),
    ],
)
def test_hinted_and_surrendered_steps_are_no_evidence(evidence: Evidence) -> None:
    before = after(shown(rung=Rung.TYPE, choices=5))
    state = advance(before, evidence)
    assert (state.p, state.right, state.wrong) == (before.p, before.right, before.wrong)
    assert state.aided == 1


def test_a_step_left_without_a_try_leaves_its_skill_as_it_was() -> None:
    """As whatever a rehearsal leaves open does: nothing becomes weak by it."""
    before = after(shown(rung=Rung.TYPE, choices=5))
    state = advance(before, shown(Outcome.SKIPPED, 0))
    assert (state.p, state.asked, state.aided) == (before.p, before.asked, 0)
    new = after(shown(Outcome.SKIPPED, 0))
    assert new.asked == 0 and not standing({new.skill: new}, NOON, None).weak


def test_a_wrong_try_counts_whatever_came_later() -> None:
    for evidence in (shown(**WRONG), shown(Outcome.SHOWN, 1), shown(Outcome.SKIPPED, 2, 1)):
        state = advance(after(shown()), evidence)
        assert state.wrong == 1 and state.p < after(shown()).p


def test_what_was_copied_from_a_hint_or_was_the_last_choice_left_teaches_nothing() -> None:
    """Only T could raise P after a wrong try; G and S alone make it fall towards 0."""
    low = SkillState("one-pole/fed", p=1e-6)
    rung = Rung.FED
    assert advance(low, shown(Outcome.RIGHT, 2, 0, rung=rung, choices=2)).p < 1e-6
    assert advance(low, shown(Outcome.RIGHT, 2, 3, rung=rung, choices=4)).p < 1e-6
    assert advance(low, shown(Outcome.SHOWN, 2, 0, rung=rung, choices=4)).p < 1e-6
    assert advance(low, shown(Outcome.RIGHT, 2, 0, rung=rung, choices=4)).p > 1e-3


def test_a_skill_missed_often_is_learnt_slowly() -> None:
    low = SkillState("one-pole/fed", p=1e-6)
    often = SkillState("one-pole/fed", p=1e-6, wrong=9)
    evidence = shown(Outcome.RIGHT, 2, rung=Rung.FED, choices=4)
    assert advance(low, evidence).p == pytest.approx(100 * advance(often, evidence).p, rel=0.01)


@given(
    p=st.floats(0.001, 0.99),
    choices=st.integers(2, 6),
)
def test_for_somebody_who_guesses_the_odds_stay_the_same_on_average(p: float, choices: int) -> None:
    """What keeps luck from mastery however long it is tried (Ville's inequality).

    Of n choices one is right: (1/n)·odds after a right answer + (1 − 1/n)·odds after a wrong
    one are the odds before it, if nothing is learnt by practice.
    """
    odds = [q / (1 - q) for q in (traced(p, r, 1 / choices, 0.0) for r in (True, False))]
    assume(traced(p, True, 1 / choices, 0.0) < SUREST)
    mean = odds[0] / choices + odds[1] * (1 - 1 / choices)
    assert mean == pytest.approx(p / (1 - p), rel=1e-9)


@pytest.mark.parametrize("choices", [2, 3, 4, 5])
@pytest.mark.parametrize("cycles", [False, True])
def test_luck_hardly_ever_masters_a_skill(choices: int, cycles: bool) -> None:
    """A hundred tries each, by guessing once or by trying one choice after the other."""
    chance = random.Random(choices)
    tries = {
        n: shown(
            Outcome.CLEAN if n == 1 else Outcome.RIGHT if cycles else Outcome.SHOWN,
            n if cycles else min(n, 1), rung=Rung.TYPE, choices=choices,
        )
        for n in range(1, choices + 1)
    }  # fmt: skip
    lucky, runs = 0, sample(400, 600)
    for _ in range(runs):
        state = advance(None, tries[chance.randint(1, choices)])
        for _ in range(99):
            state = advance(state, tries[chance.randint(1, choices)])
            if state.mastered:
                lucky += 1
                break
    assert lucky <= 0.01 * runs


def test_mastery_is_lost_and_won_again() -> None:
    many = after(*[shown() for _ in range(50)])
    assert many.p == SUREST
    missed = advance(many, shown(**WRONG))
    assert not missed.mastered
    assert after(*[shown() for _ in range(50)], shown(**WRONG), shown()).mastered


# --------------------------------------------------------------------- what a state keeps


def test_counts_and_times() -> None:
    state = after(
        shown(),
        shown(**WRONG, when=NOON + timedelta(hours=1)),
        shown(Outcome.SKIPPED, 0, family="rl-low-pass"),
    )
    assert (state.asked, state.right, state.wrong, state.aided) == (2, 1, 1, 0)
    assert (state.first, state.seconds) == (1, 60.0)
    assert state.last == (NOON + timedelta(hours=1)).timestamp()
    assert dict(state.families) == {"rc-low-pass": 2, "rl-low-pass": 1}
    assert after(shown(**WRONG), shown()).first == 0


def test_slips_are_counted_and_heal() -> None:
    wrong = shown(**WRONG, slips=("radians-as-hertz", "prefix-lost"))
    state = after(wrong, wrong)
    assert [(s.slip, s.times, s.open) for s in state.slips] == [
        ("radians-as-hertz", 2, True), ("prefix-lost", 2, True)
    ]  # fmt: skip
    state = advance(state, shown())
    assert all(s.open for s in state.slips)
    state = advance(state, shown())
    assert not any(s.open for s in state.slips)
    state = advance(state, shown(**WRONG, slips=("prefix-lost",)))
    assert [(s.slip, s.times, s.open) for s in state.slips] == [
        ("radians-as-hertz", 2, False), ("prefix-lost", 3, True)
    ]  # fmt: skip


def test_an_open_rung_says_nothing() -> None:
    before = after(shown())
    state = advance(before, shown(Outcome.OPEN, 0))
    assert (state.p, state.asked, state.first) == (before.p, before.asked, before.first)


OUTCOMES = st.sampled_from(
    [
        shown(), shown(**WRONG, slips=("prefix-lost",)), shown(Outcome.SHOWN, 0),
        shown(Outcome.SKIPPED, 1, 2, slips=("two-pi-twice",)), shown(Outcome.RIGHT, 1, 2),
    ]
)  # fmt: skip


@given(st.lists(OUTCOMES, min_size=1, max_size=30))
def test_rows_are_plain_and_come_back_as_they_were(evidence: list[Evidence]) -> None:
    state = after(*evidence)
    assert SkillState.from_row(json.loads(json.dumps(state.to_row()))) == state
    assert 0 < state.p <= SUREST
    assert state.right + state.wrong + state.aided == state.asked == len(evidence)


@pytest.mark.parametrize("row", [[], ["x"], ["x"] * 15, [*after(shown()).to_row(), 1], None, 3])
def test_what_is_no_row_is_refused(row: object) -> None:
    with pytest.raises(ValueError):
        SkillState.from_row(row)  # type: ignore[arg-type]


# ------------------------------------------------------------------------------ memory


def test_memory_is_the_librarys() -> None:
    """Days, stability and difficulty of four reviews and a lapse, from the library itself."""
    scheduler = Scheduler(
        learning_steps=(), relearning_steps=(), maximum_interval=365, enable_fuzzing=False
    )
    card, memory, when = Card(card_id=9, due=NOON), NOTHING, NOON
    for right in (True, True, True, False, True):
        card, _ = scheduler.review_card(card, Rating.Good if right else Rating.Again, when)
        memory = remembered(memory, right, when.timestamp())
        assert card.stability is not None and card.difficulty is not None
        assert memory[:2] == (card.stability, card.difficulty)
        assert memory[2] == (card.due - when).days >= 1
        later = when + timedelta(days=11)
        assert recalled(memory, later.timestamp()) == scheduler.get_card_retrievability(card, later)
        when += timedelta(days=memory[2])


def test_memory_begins_with_mastery_and_the_same_sitting_adds_nothing() -> None:
    once = after(shown())
    assert once.reviewed == 0 and not once.mastered
    twice = advance(once, shown(when=NOON + timedelta(minutes=5)))
    assert twice.mastered and twice.gap == 2 and twice.reviewed
    more = advance(twice, shown(when=NOON + timedelta(hours=2)))
    assert (more.stability, more.reviewed) == (twice.stability, twice.reviewed)
    later = advance(twice, shown(when=NOON + timedelta(days=3)))
    assert later.stability > twice.stability and later.gap > twice.gap


def test_a_hint_on_a_mastered_skill_brings_it_back_soon() -> None:
    state = after(shown(), shown(), shown(when=NOON + timedelta(days=9)))
    hinted = advance(state, shown(Outcome.RIGHT, 1, 1, when=NOON + timedelta(days=30)))
    assert hinted.mastered and hinted.gap < state.gap / 4


def test_a_clock_set_back_does_no_harm() -> None:
    state = after(shown(), shown(), shown(when=NOON - timedelta(days=400)))
    assert math.isfinite(state.stability) and state.gap >= 1


# -------------------------------------------------------------------------- the map


def test_every_family_is_in_a_group() -> None:
    assert {row.group for row in families.FAMILIES} == set(GROUP_OF)
    assert {group_of(row.name) for row in families.FAMILIES} == set(SkillGroup) - {SkillGroup.OTHER}
    assert group_of("from-a-later-version") is SkillGroup.OTHER


def test_skills_are_what_the_problems_ask() -> None:
    """What its own task asks in one problem of five is a skill; what it never asks is none."""
    count = {Task.ANALYSE: 40, Task.SKETCH: 4, Task.REVERSE: 32, Task.PREDICT: 0}
    asked: Counter[tuple[SkillGroup, Rung, Task]] = Counter()
    for group in set(SkillGroup) - {SkillGroup.OTHER}:
        rows = [row.name for row in families.FAMILIES if group_of(row.name) is group]
        for task, number in product(Task, range(max(count.values()))):
            if number < count[task]:
                seed, place = divmod(number, len(rows))
                problem = generate(seed, task=task, family=rows[place])
                asked.update((group, question.rung, task) for question in problem.questions)
    for group in set(SkillGroup) - {SkillGroup.OTHER}:
        for rung in Rung:
            task = TASK_OF[rung]
            if task is Task.PREDICT:
                continue
            share = asked[group, rung, task] / count[task]
            if share >= 1 / 5:
                assert rung in ASKED[group], (group, rung, share)
            elif not share:
                assert rung not in ASKED[group], (group, rung, share)


def test_what_is_predicted_of_a_group_is_what_makes_sense_of_its_circuits() -> None:
    """What one circuit in five can be asked is a skill; what none can be asked is none."""
    asked: Counter[tuple[SkillGroup, Rung]] = Counter()
    drawn: Counter[SkillGroup] = Counter()
    for row in families.FAMILIES:
        found = filter(None, (drawn_circuit(row, seed, 0) for seed in range(40)))
        for seed, (_, known) in enumerate(islice(found, 6)):
            drawn[group_of(row.name)] += 1
            for rung in kinds_of(Task.PREDICT):
                maker = MAKERS.get(rung)
                assert maker is not None
                if maker(Asking(known, Chance(seed, rung.value), (seed,))) is not None:
                    asked[group_of(row.name), rung] += 1
    for group, circuits in drawn.items():
        for rung in kinds_of(Task.PREDICT):
            share = asked[group, rung] / circuits
            if share >= 1 / 5:
                assert rung in ASKED[group], (group, rung, share)
            elif not share:
                assert rung not in ASKED[group], (group, rung)


def test_skills_have_names_that_can_be_read_back() -> None:
    assert len(set(skills())) == len(skills()) == sum(map(len, ASKED.values()))
    for skill in skills():
        group, rung = parts_of(skill)
        assert skill == f"{group}/{rung}"
    assert skill_of("series-rlc-across-c", Rung.Q) == "taps/q"
    assert set(skills((Task.SKETCH,))) == {s for s in skills() if s.endswith("-sketch")}


def test_prerequisites_come_earlier_and_never_in_a_circle() -> None:
    known = set(skills())

    def depth(skill: str, path: tuple[str, ...] = ()) -> int:
        assert skill in known and skill not in path
        return 1 + max((depth(p, (*path, skill)) for p in prerequisites(skill)), default=0)

    assert max(depth(skill) for skill in skills()) > 3
    order = list(SkillGroup)
    assert all(order.index(b) < order.index(g) for g, before in AFTER.items() for b in before)


def test_needed_answers_are_what_mastery_takes() -> None:
    for rung, choices in ((Rung.CORNER, 0), (Rung.TYPE, 5), (Rung.FED, 2)):
        state, count = None, 0
        skill = skill_of("rc-low-pass", rung)
        estimate = needed(None, skill)
        while state is None or not state.mastered:
            state, count = advance(state, shown(rung=rung, choices=choices)), count + 1
        assert estimate - 2 <= count <= estimate + 1
        assert needed(state, skill) == 0


def test_nothing_heavy_is_imported() -> None:
    import subprocess
    import sys

    code = (
        "import sys, rungwise.tutor.learning.skills, rungwise.tutor.learning.plan;"
        "import rungwise.tutor.learning.rehearsal;"
        "print([m for m in ('fsrs', 'flint', 'textual', 'sqlite3') if m in sys.modules])"
    )
    out = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=300
    )
    assert out.stdout.strip() == "[]"
