"""A round left half way goes on where it was left: the same day, at the next look, as one round."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from rungwise.problems.catalogue.groups import SkillGroup
from rungwise.problems.questions.looks import LookKind
from rungwise.tutor.coach.looking import begin_round, next_round, round_left
from rungwise.tutor.language.dates import local_now
from rungwise.tutor.learning.rounds import Round
from rungwise.tutor.store.check import check
from rungwise.tutor.store.folder import record_file
from rungwise.tutor.store.keeper import Keeper

from tests.tutor.cli.test_command import run


def answer(round_: Round, count: int, *, wrong: bool = False) -> None:
    """Leave so many looks: all but the last one right, and that one wrong if wanted."""
    for number in range(count):
        assert round_.step is not None
        look = round_.step.look
        missed = wrong and number == count - 1
        others = [answer for answer in look.answers if answer != look.truth]
        round_.answer(others[0] if missed else look.truth, 1.0)
        round_.next()


def left(count: int, *, wrong: bool = False) -> Round:
    """A round of which so many looks are left, and then the tutor is closed."""
    keeper = Keeper("")
    round_ = begin_round(keeper, local_now(), seed=5)
    answer(round_, count, wrong=wrong)
    keeper.close()
    return round_


def test_it_goes_on_at_the_next_look_as_the_same_round(home: Path) -> None:
    before = left(7)
    keeper = Keeper("")
    round_ = next_round(keeper, local_now())
    assert (round_.uid, round_.number, round_.length) == (before.uid, 7, before.length)
    assert round_.placing == before.placing is True
    assert round_.step is not None and not round_.step.scaffold
    assert round_.step.look.structure not in {event.structure for event in before.events}
    answer(round_, 3)
    assert [seen.look.number for seen in keeper.looks()] == [*range(10)]
    assert {seen.look.round for seen in keeper.looks()} == {before.uid}
    while round_.step is not None:
        answer(round_, 1)
    assert round_.page().asked == round_.length == len(keeper.looks())
    after = next_round(keeper, local_now())  # it is over: the next one begins
    assert after.uid != before.uid and after.number == 0 and not after.placing
    keeper.close()
    assert check(record_file()).well


def test_within_one_sitting_too(home: Path) -> None:
    keeper = Keeper("")
    answer(next_round(keeper, local_now()), 3)
    round_ = next_round(keeper, local_now())
    assert round_.number == 3
    answer(round_, 2)
    assert next_round(keeper, local_now()).number == 5
    keeper.close()


def test_the_ends_of_an_error_are_asked_first_and_the_error_comes_back(home: Path) -> None:
    before = left(5, wrong=True)
    missed = before.events[-1]
    assert not missed.right and missed.kind is LookKind.TYPE
    keeper = Keeper("")
    round_ = next_round(keeper, local_now())
    assert before.step is not None and before.step.scaffold
    assert round_.step is not None and round_.step.scaffold
    assert round_.step.look == before.step.look
    assert (missed.structure, missed.kind) in round_.recognition.owed
    while round_.step is not None:
        answer(round_, 1)
    again = [event for event in round_.events if event.again]
    assert missed.structure in {event.structure for event in again}
    assert [look.structure for look, _ in round_.page().pairs] == [missed.structure]
    keeper.close()


def test_not_on_another_day(home: Path) -> None:
    before = left(4)
    keeper = Keeper("")
    tomorrow = local_now() + timedelta(days=1)
    assert round_left(keeper, tomorrow) is None
    assert next_round(keeper, tomorrow).uid != before.uid
    keeper.close()


def test_not_while_another_tutor_is_at_it(home: Path) -> None:
    one, two = Keeper(""), Keeper("")
    mine = next_round(one, local_now())
    answer(mine, 2)
    other = next_round(two, local_now())
    assert other.uid != mine.uid and other.number == 0
    one.close()
    assert next_round(two, local_now()).uid == mine.uid  # nobody is at it any more
    two.close()


@pytest.mark.parametrize(
    "asked", [{"kinds": (LookKind.TYPE,)}, {"group": SkillGroup.ONE_POLE}], ids=["kinds", "group"]
)
def test_not_where_something_special_was_asked_for(home: Path, asked: dict[str, object]) -> None:
    keeper = Keeper("")
    answer(begin_round(keeper, local_now(), **asked), 3)  # type: ignore[arg-type]
    assert round_left(keeper, local_now()) is None
    keeper.close()


def test_in_plain_lines(home: Path) -> None:
    first = run("inspect", "--plain", stdin="1\n" * 3)
    assert "Look 1 of 24" in first.stdout
    keeper = Keeper("")
    looks = [seen.look for seen in keeper.looks()]
    keeper.close()
    number = sum(not look.scaffold for look in looks)
    second = run("inspect", "--plain", stdin="1\n")
    assert f"The round goes on at look {number + 1} of 24." in " ".join(second.stdout.split())
    assert "Look 1 of 24" not in second.stdout
    other = run("inspect", "--plain", "--seed", "7", stdin="1\n")
    assert "Seed: 7" in other.stdout and "Look 1 of 24" in other.stdout
