"""Pictures of the screens, compared with those reviewed by eye.

After a change that is meant: ``pytest tests/screens/test_snapshots.py --snapshot-update``,
and look at the pictures before committing them.
"""

from __future__ import annotations

from typing import Any

import pytest
from rungwise.tutor.themes import CONTRAST, DAY, GREY
from textual.theme import Theme

from .scenes import bench, chooser, half_way, hinted, summit, tutor
from .stage import LARGE, MEDIUM, SMALL


@pytest.mark.parametrize("size", [SMALL, MEDIUM, LARGE], ids=["80x24", "120x40", "200x60"])
@pytest.mark.parametrize(
    "scene", [half_way, hinted, summit, bench], ids=lambda scene: scene.__name__
)
def test_dusk(snap_compare: Any, size: tuple[int, int], scene: Any) -> None:
    assert snap_compare(tutor(), terminal_size=size, run_before=scene)


@pytest.mark.parametrize("scene", [half_way, chooser, bench], ids=lambda scene: scene.__name__)
def test_day(snap_compare: Any, scene: Any) -> None:
    assert snap_compare(tutor(DAY.name), terminal_size=MEDIUM, run_before=scene)


@pytest.mark.parametrize("theme", [CONTRAST, GREY], ids=lambda theme: theme.name)
@pytest.mark.parametrize("scene", [half_way, summit, bench], ids=lambda scene: scene.__name__)
def test_other_themes(snap_compare: Any, theme: Theme, scene: Any) -> None:
    assert snap_compare(tutor(theme.name), terminal_size=MEDIUM, run_before=scene)
