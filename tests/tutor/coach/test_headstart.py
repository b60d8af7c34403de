"""The head start gives the same problem as making it here, and falls back where it fails."""

from __future__ import annotations

import os
import time

import pytest
from rungwise.problems.generate.analyse import generate
from rungwise.tutor.coach.headstart import HeadStart
from rungwise.tutor.learning.request import ProblemRequest

# From Python 3.12 on, forking beside a test runner's threads warns; the program forks before
# it has any.
pytestmark = pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")

WISH = ProblemRequest(2, None, 12)


def test_the_child_hands_over_the_same_problem() -> None:
    start = HeadStart(WISH)
    assert start.problem() == generate(12, level=2)
    assert not start.ready


def test_it_says_when_asking_will_not_wait() -> None:
    start = HeadStart(WISH)
    end = time.monotonic() + 30
    while not start.ready and time.monotonic() < end:
        time.sleep(0.01)
    assert start.ready
    start.problem()


def test_without_fork_the_problem_is_made_here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr(os, "fork")
    start = HeadStart(WISH)
    assert not start.ready
    assert start.problem() == generate(12, level=2)


def test_a_child_that_dies_is_replaced(monkeypatch: pytest.MonkeyPatch) -> None:
    real = ProblemRequest.problem
    parent = os.getpid()

    def fail_in_the_child(self: ProblemRequest) -> object:
        if os.getpid() != parent:
            os._exit(1)
        return real(self)

    monkeypatch.setattr(ProblemRequest, "problem", fail_in_the_child)
    assert HeadStart(WISH).problem() == generate(12, level=2)


def test_a_problem_that_cannot_be_made_is_refused_here() -> None:
    with pytest.raises(LookupError):
        HeadStart(ProblemRequest(None, "no-such-family", 1)).problem()


def test_wishes_count_on() -> None:
    assert ProblemRequest(3, None, 5).next() == ProblemRequest(3, None, 6)
    assert ProblemRequest(3, None, 5).next(4) == ProblemRequest(3, None, 9)
    assert ProblemRequest(3, "x", 2**63 - 1).next() == ProblemRequest(3, "x", 0)


def test_the_problem_after_it_is_made_as_well() -> None:
    start = HeadStart(WISH)
    assert start.problem() == generate(12, level=2)
    assert start.following() == generate(13, level=2)
    assert start.following() is None, "it is handed over once"


def test_what_could_not_be_made_next_is_left_to_whoever_asks(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    real = ProblemRequest.problem

    def fail_at_the_second(self: ProblemRequest) -> object:
        if self != WISH:
            raise ValueError(self)
        return real(self)

    monkeypatch.setattr(ProblemRequest, "problem", fail_at_the_second)
    start = HeadStart(WISH)
    assert start.problem() == generate(12, level=2)
    assert start.following() is None


def test_the_child_is_gone_once_everything_is_handed_over() -> None:
    start = HeadStart(WISH)
    child = start._child
    start.problem()
    start.following()
    with pytest.raises(ProcessLookupError):
        os.kill(child, 0)


def test_what_comes_next_is_foreseen_in_a_child_as_it_would_be_here() -> None:
    from datetime import UTC, datetime

    from rungwise.tutor.coach.foresight import Foresight, foresee
    from rungwise.tutor.coach.headstart import Ahead

    now = datetime(2026, 3, 2, 12, tzinfo=UTC)
    ahead = Ahead(lambda: "board", lambda: foresee(None, None, now))
    assert ahead.result() == "board"
    seen = ahead.rest()
    assert isinstance(seen, Foresight)
    assert list(seen.wishes) == ["until-done"]
    assert seen.problem == seen.wishes["until-done"].problem()
