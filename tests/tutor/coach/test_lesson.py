"""How far lessons have been worked: kept at every step, and read back whatever stands there."""

from __future__ import annotations

from pathlib import Path

import pytest
from rungwise.tutor.coach.lesson import AT, WORKED, LessonBook, after
from rungwise.tutor.drafting.lesson import LessonWork
from rungwise.tutor.drafting.lesson_pages import every_page, pages_of
from rungwise.tutor.store.keeper import Keeper

FIRST, SECOND = pages_of(2)[:2]


def step(work: LessonWork) -> None:
    if work.prediction is not None:
        work.move()
    else:
        work.go_on()


def test_a_page_is_gone_on_with_where_it_was_left(tmp_path: Path) -> None:
    keeper = Keeper("")
    work = LessonBook(keeper).open(FIRST)
    for _ in range(work.steps):
        step(work)
        LessonBook(keeper).keep(work)
        again = LessonBook(keeper)
        if work.done:
            assert again.worked(FIRST) == 1 and again.first(2) is SECOND
            assert again.open(FIRST).at == 0  # worked again, it begins again, with other looks
            assert again.open(FIRST).turn == 1
        else:
            assert again.first(2) is FIRST and again.open(FIRST).at == work.at
            assert again.worked(FIRST) == 0 and again.done(2) == 0
    keeper.close()


def test_pages_that_are_new_come_first_and_then_all_again() -> None:
    book = LessonBook()
    for page in pages_of(2):
        assert book.first(2) is page
        book.keep(LessonWork(page, 99))
    assert book.done(2) == len(pages_of(2)) and book.first(2) is FIRST
    assert book.first(3) is pages_of(3)[0]


def test_pages_follow_each_other_through_all_levels() -> None:
    pages = every_page()
    assert [after(page) for page in pages] == [*pages[1:], None]
    assert [after(page, -1) for page in pages] == [None, *pages[:-1]]


class Settings:
    """A keeper with settings that anybody may have written."""

    def __init__(self, **settings: str) -> None:
        self.settings = settings

    def setting(self, key: str) -> str:
        return self.settings.get(key, "")

    def set(self, key: str, value: str) -> None:
        self.settings[key] = value


@pytest.mark.parametrize(
    "text",
    ["9.taps 3", "2.taps -1", "2.taps 99", "2.taps", "\x1b[2J", "2.taps " * 9999, "9" * 99999],
)
def test_settings_from_elsewhere_do_no_harm(text: str) -> None:
    keeper = Settings(**{WORKED: text, AT: text})
    book = LessonBook(keeper)  # type: ignore[arg-type]
    work = book.open(FIRST)
    assert 0 <= work.at < work.steps and book.first(2) in pages_of(2)
    book.keep(work)
    assert LessonBook(keeper).first(2) is FIRST  # type: ignore[arg-type]
