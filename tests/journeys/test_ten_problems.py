"""A session in a real terminal: ten problems or five climbed, the next gone on with later."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest
from rungwise.problems.questions.model import Task

from tests.studies.ten_problems import session

pytestmark = pytest.mark.skipif(
    not shutil.which("tmux") and not os.environ.get("CI"), reason="there is no tmux"
)


@pytest.mark.parametrize(
    ("seed", "size", "count"),
    [(2027, (120, 40), 12), (640, (80, 24), 6)],
    ids=["120x40", "80x24"],
)
def test_problems_climbed_and_the_next_gone_on_with(
    tmp_path: Path, seed: int, size: tuple[int, int], count: int
) -> None:
    tasks = session(tmp_path, seed, size, count)
    assert tasks[Task.SKETCH] == tasks[Task.REVERSE] == tasks[Task.PREDICT] == count // 6
    assert tasks.total() == count
