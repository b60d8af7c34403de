"""A short version of the monkey's play.

``python -m tests.journeys.monkey 20000`` is the long one.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.common.served import SERVED
from textual.app import App

from tests.support.samples import sample

from .play import Broken, all_screens, play

pytestmark = pytest.mark.usefixtures("painted")


@pytest.mark.parametrize("seed", sample([1], [1, 2]))
async def test_it_plays_without_breaking_anything(
    seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(SERVED, "1")  # no pictures into somebody's folders
    report = await play(500, seed, tmp_path)
    assert report.turns >= 500 and report.done["key"] > 200
    assert len(report.seen) >= 4, report.seen


def test_it_knows_the_screens() -> None:
    assert {"DrillScreen", "BenchScreen", "OpeningScreen", "SummitScreen"} <= all_screens()


async def test_it_notices_what_breaks(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(SERVED, "1")

    def broken(self: App[None]) -> None:
        raise RuntimeError("no colours")

    monkeypatch.setattr(Rungwise, "action_next_theme", broken)
    with pytest.raises(Broken, match=r"seed 3, turn \d+, after: "):
        await play(2000, 3, tmp_path)
