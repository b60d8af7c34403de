"""What has been found so far: long answers hang under their beginnings."""

from __future__ import annotations

import pytest
from rungwise.tutor.learning.course import Outcome
from rungwise.tutor.screens.drill.found import AnsweredList

from .stage import LARGE, answer_rightly, climb, stage

LONG = (
    "it falls, because towards DC C1 opens and lies in the through path, so that nothing "
    "reaches the output at 1.592 kHz or below"
)


@pytest.mark.parametrize("width", [20, 30, 44, 80, 200])
def test_a_long_answer_goes_on_under_its_beginning(width: int) -> None:
    found = AnsweredList()
    found._answers = [("Fed", "series-fed"), ("At high frequency", LONG)]
    lines = [line.plain for line in found.lines(width)]
    assert " ".join(" ".join(lines).split()).count("series-fed") == 1
    words = " ".join(" ".join(lines[1:]).split())
    assert LONG in words
    assert all(len(line) <= max(width, 24) for line in lines)
    start = next(line for line in lines if "it falls" in line)
    indent = start.index("it falls")
    hanging = lines[lines.index(start) + 1 :]
    assert hanging or width == 200
    for line in hanging:
        assert line[:indent].isspace() and not line[indent].isspace()


async def test_nothing_found_takes_no_room_and_answers_appear() -> None:
    async with stage(LARGE, level=3) as pilot:
        found = pilot.app.screen.query_one(AnsweredList)
        assert found.lines(80) == []
        for _ in range(3):
            await answer_rightly(pilot)
        await pilot.pause()
        shown = [line.plain for line in found.lines(found.size.width)]
        assert len(shown) >= 3
        outcomes = [state.outcome for state in climb(pilot).rungs[: climb(pilot).position]]
        assert outcomes.count(Outcome.CLEAN) == 3
        assert set(outcomes) <= {Outcome.CLEAN, Outcome.SPARED}
        assert found.size.height == len(found.lines(found.size.width))
