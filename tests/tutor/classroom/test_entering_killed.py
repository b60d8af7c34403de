"""Papers entered in a real terminal and killed on the way, in small.

``python -m tests.studies.enter_by_keyboard`` does it with thirty sheets and ten kills.
"""

from __future__ import annotations

import shutil
from pathlib import Path
from random import Random

import pytest
from rungwise.tutor.classroom.handins.entered import EnteredAnswer
from rungwise.tutor.classroom.marking.marks import QuestionOutcome

from tests.studies import enter_by_keyboard as entering

from .handed_in import Class
from .papers import QUIZ, grid_of, keys_for, on_paper


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


def test_a_box_that_is_ticked_is_one_key(tmp_path: Path) -> None:
    """Every answer on a page of small circuits is its letter, Space, or Enter: one key each."""
    room = Class(tmp_path, 2, QUIZ)
    grid = grid_of(room.out)
    grid.turn()
    while True:
        asked = grid.asked
        assert asked is not None
        text, typed = on_paper(grid.sheet, asked)
        if asked.choices:
            assert len(keys_for(grid, typed)) == 1
            assert {choice.right for choice in asked.choices} == {True, False}
        assert grid.give(typed) == ""
        if not grid.step(1):
            break
    assert grid.done == grid.count
    room.mark()
    for marks in room.found().students:
        assert all(q.verdict is not QuestionOutcome.UNCLEAR for q in marks.questions)
        by_number = {q.number: q for q in marks.questions}
        row = next(sheet for sheet in grid.rows if sheet.number == marks.number)
        for number, asked in row.questions.items():
            text, _ = on_paper(row, asked)
            assert by_number[number].verdict.passed is (text == asked.right)
