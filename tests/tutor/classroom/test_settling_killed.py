"""Settling that is killed, in small.

``python -m tests.studies.kill_the_settling`` does it with more of everything, and on the screen.
"""

from __future__ import annotations

import sys
from pathlib import Path
from random import Random

import pytest
from rungwise.tutor.classroom.marking.decided import KEPT, line_of
from rungwise.tutor.classroom.marking.settled import SettledRow

from tests.studies import kill_the_settling as killing


@pytest.mark.skipif(sys.platform == "win32", reason="kills as POSIX has it")
def test_no_decision_is_lost_in_three_rounds(tmp_path: Path) -> None:
    found = killing.settle(tmp_path, 1, 3, Random(3), screen=False)
    assert found.kills >= 3 and found.acknowledged >= 6


def test_a_loss_would_be_seen(tmp_path: Path) -> None:
    decided = killing.Decided()
    decided.tried("a", ("1", ""))
    decided.check(tmp_path)  # it may not have got there
    decided.told("a")
    with pytest.raises(killing.DecisionLostError, match="None counts"):
        decided.check(tmp_path)
    row = SettledRow(0, "", 1, "G3fa92c10b71e22-7b22e1", "0", "", typed="a")
    (tmp_path / KEPT).write_text(line_of(row))
    with pytest.raises(killing.DecisionLostError, match="'0'"):
        decided.check(tmp_path)
    decided.tried("a", ("0", ""))
    decided.check(tmp_path)
