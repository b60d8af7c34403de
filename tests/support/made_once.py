"""Problems and looks are made once in a run: the same seed is the same problem.

Screens that ask for a problem again are given the one that was made; tests that look at problems,
and not at how they are made, ask for them here.

What a plan draws among problems worth the same is the same in every test, too.

What is tested of the making itself imports its maker, and makes each problem anew.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache

import pytest
from rungwise.problems.chance import Chance
from rungwise.problems.generate import tasks
from rungwise.problems.generate.look import make_look
from rungwise.problems.generate.tasks import generate
from rungwise.problems.questions.looks import Look, LookKind
from rungwise.problems.questions.model import Problem, Task
from rungwise.tutor.coach import planner


@lru_cache(4096)
def made_problem(
    seed: int, task: Task = Task.ANALYSE, *, family: str | None = None, level: int | None = None
) -> Problem:
    """The problem of a seed, as ``tasks.generate`` makes it."""
    return generate(seed, task=task, family=family, level=level)


@lru_cache(8192)
def made_look(seed: int, kind: LookKind, hard: int = 1) -> Look:
    """The look of a seed, as ``make_look`` makes it."""
    return make_look(seed, kind, hard=hard)


@contextmanager
def made_once() -> Iterator[None]:
    """A request for a problem that was made already is given that one."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(tasks, "generate", lru_cache(256)(tasks.generate))
        patch.setattr(planner, "new_chance", lambda: Chance(0, "plan"))
        yield
