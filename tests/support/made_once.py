"""Problems that screens ask for are made once in a run: the same seed is the same problem.

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
from rungwise.tutor.coach import planner


@contextmanager
def made_once() -> Iterator[None]:
    """A request for a problem that was made already is given that one."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(tasks, "generate", lru_cache(256)(tasks.generate))
        patch.setattr(planner, "new_chance", lambda: Chance(0, "plan"))
        yield
