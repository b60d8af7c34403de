"""Lessons in plain lines: the same pages as questions and answers, for pipes and screen readers."""

from __future__ import annotations

import io
import os
import subprocess
import sys

import pytest
from rungwise.problems.catalogue.groups import LEVELS
from rungwise.tutor.drafting.lesson import LessonWork
from rungwise.tutor.drafting.lesson_pages import pages_of
from rungwise.tutor.phrases import lessons as saying
from rungwise.tutor.plain.lesson import PlainLesson
from rungwise.tutor.store.keeper import Keeper

from tests.support.lessons import lines


def said(typed: list[str], level: int, keeper: Keeper | None = None, **options: object) -> str:
    output = io.StringIO()
    source = io.StringIO("".join(f"{line}\n" for line in typed))
    lines = PlainLesson(source, output, keeper=keeper, echo=True, **options)  # type: ignore[arg-type]
    with lines.kept():
        lines.work(level)
    return output.getvalue()


def whole(level: int, *, wrong: bool = False) -> list[str]:
    return [line for page in pages_of(level) for line in lines(page, wrong=wrong)]


@pytest.mark.parametrize("level", LEVELS)
def test_a_level_is_worked_from_its_first_line_to_its_last(level: int) -> None:
    text = said(whole(level), level)
    squeezed = " ".join(text.split())
    for page in pages_of(level):
        assert " ".join(saying.title(page).split()) in squeezed
        work = LessonWork(page)
        while (asked := work.prediction) is not None:
            assert saying.asked(page, work.at, asked) in squeezed
            assert " ".join(saying.why(asked).split()) in squeezed
            work.move()
    assert saying.say("plain.over", level=level) in squeezed
    assert "Wrong:" not in text and "Not understood" not in text
    assert all(len(line) <= 80 for line in text.splitlines())


def test_every_question_stands_before_what_its_change_did() -> None:
    text = said(whole(2), 2)
    place = 0
    for page in pages_of(2):
        work = LessonWork(page)
        while work.prediction is not None:
            question = text.index(saying.change(page, work.at)[:30], place)
            told = text.index(saying.say("plain.after"), question)
            assert "> " in text[question:told]
            work.move()
            place = told


def test_wrong_answers_are_told_and_explained() -> None:
    text = said(whole(4, wrong=True), 4)
    # As many marks as questions: three predictions and two looks a page.
    assert text.count("Wrong:") == 5 * len(pages_of(4))
    assert "A band-pass blocks both ends" in " ".join(text.split())


def test_what_is_no_answer_is_asked_again_and_what_is_no_change_told() -> None:
    typed = ["", ".", "x", "9", "2", "nonsense", "R1", "R1 = 1 kΩ", "R1 = 0", "tap L9", "C1 / 2"]
    text = said(typed, 1)
    assert text.count("Not understood") >= 6
    assert "series C1 = 50 nF; shunt R1 = 1 kΩ" in text
    assert "End of input" in text


def test_the_end_of_the_input_keeps_what_was_worked() -> None:
    page, following = pages_of(3)[:2]
    keeper = Keeper("")
    said([*lines(page), "1"], 3, keeper)
    text = said([], 3, Keeper(""))
    assert saying.say("plain.again", done=1, count=3, number=2) in " ".join(text.split())
    assert saying.title(following) in text and saying.title(page) not in text


def test_drawings_and_plain_signs() -> None:
    text = said(whole(1), 1, draw=True, ascii=True)
    assert text.isascii() and "Vout" in text


def test_the_command_asks_in_plain_lines() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "rungwise.tutor", "lesson", "2", "--plain"],
        input="2\n",
        capture_output=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONIOENCODING": "utf-8", "COLUMNS": "80"},
        check=True,
        timeout=60,
    )
    assert saying.level_title(2) in done.stdout and "Right: high-pass." in done.stdout
    wrong = [sys.executable, "-m", "rungwise.tutor", "lesson", "8"]
    assert subprocess.run(wrong, capture_output=True, timeout=60).returncode == 2
