"""Days of revision with the real tutor, a few.

``python -m tests.studies.week_of_revision`` has a week.
"""

from __future__ import annotations

from pathlib import Path

from rungwise.tutor.store.keeper import Keeper
from rungwise.tutor.store.rehearsals import latest

from tests.studies.week_of_revision import Person, week


async def test_days_of_revision_hang_together(tmp_path: Path) -> None:
    person = Person("small", 5, ("n", "", "t"), learns=1.0, careful=1.0)
    seen: list[str] = []
    days = await week(person, tmp_path, lambda app, name: seen.append(name), days=3, most=2)
    first, off, last = days
    assert first.climbed == 2 and not first.ended and first.weak == first.due == 0
    assert not off.climbed and off.new < first.new and off.new == last.new
    # Ten minutes end by themselves, when the problem in hand is over.
    assert last.climbed == 2 or (last.ended and last.minutes >= 10)
    keeper = Keeper("", tmp_path)
    evidence = keeper.evidence()
    asked = sum(piece.outcome.value != "worked" for piece in evidence)
    result = latest(keeper)
    assert result is not None
    assert asked == first.asked + last.asked + len(result.items)
    assert keeper.setting("exam") == "2026-11-28"
    assert {name.split("-")[-1] for name in seen} >= {"opening", "progress", "review", "after"}
