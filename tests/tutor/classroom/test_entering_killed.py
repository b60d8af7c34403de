"""Papers entered in a real terminal and killed on the way, in small.

``python -m tests.studies.enter_by_keyboard`` does it with thirty sheets and ten kills.
"""

from __future__ import annotations

import shutil
from pathlib import Path
from random import Random

import pytest
from rungwise.tutor.classroom.handins.entered import EnteredAnswer

from tests.studies import enter_by_keyboard as entering

from .handed_in import Class
from .papers import grid_of


@pytest.mark.skipif(shutil.which("tmux") is None, reason="needs tmux")
def test_nothing_is_lost_and_few_keys_are_needed(tmp_path: Path) -> None:
    tally = entering.enter(tmp_path, 3, 1, Random(5))
    assert tally.kills == 1
    assert max(tally.extra) <= entering.MOST_EXTRA
    assert tally.extra[0] + tally.extra[1] > tally.cells * 3 // 4


def test_a_loss_would_be_seen(tmp_path: Path) -> None:
    grid = grid_of(Class(tmp_path, 1).out)
    with pytest.raises(entering.EnteredLostError, match="acknowledged"):
        entering.check(grid, 1)
    grid.file.put(EnteredAnswer(1, "1.1", "zzz", student="001"), None)
    with pytest.raises(entering.EnteredLostError, match="not"):
        entering.check(grid, 0)
