"""A session in a real terminal: ten problems climbed, the eleventh gone on with next time."""

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
    ("seed", "size"), [(2027, (120, 40)), (640, (80, 24))], ids=["120x40", "80x24"]
)
def test_ten_problems_and_the_eleventh(tmp_path: Path, seed: int, size: tuple[int, int]) -> None:
    tasks = session(tmp_path, seed, size)
    assert tasks[Task.SKETCH] == tasks[Task.REVERSE] == 2
    assert tasks.total() == 10
