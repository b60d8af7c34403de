"""How far lessons have been worked, by the record; and whether one is worth offering."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from ..drafting.lesson import LessonWork
from ..drafting.lesson_pages import LessonPage, every_page, pages_of
from ..learning.skill_map import group_of

if TYPE_CHECKING:
    from ...problems.questions.model import Problem
    from ..store.keeper import Keeper

OFFERED = "lessons"
"""The setting that holds the levels whose lesson was offered, as digits."""
WORKED = "lesson-pages"
"""The setting that holds the pages that were worked, and how often: "1.ends:2 2.taps:1"."""
AT = "lesson-at"
"""The setting that holds the page that was left, and how many of its steps were behind: "2.q 3"."""
_COUNTED = re.compile(r"(\S{1,40})[: ](\d{1,6})(?: |$)")


class LessonBook:
    """Where somebody is in the lessons, by a ``keeper``'s record; without one nothing is kept."""

    def __init__(self, keeper: Keeper | None = None) -> None:
        self._keeper = keeper
        settings = [keeper.setting(key) if keeper is not None else "" for key in (WORKED, AT)]
        known = {page.key for page in every_page()}
        worked, left = (
            {key: int(count) for key, count in _COUNTED.findall(text) if key in known}
            for text in settings
        )
        self._worked: dict[str, int] = worked
        self._left: dict[str, int] = left

    def worked(self, page: LessonPage) -> int:
        """How often a page has been worked to its end."""
        return self._worked.get(page.key, 0)

    def done(self, level: int) -> int:
        """How many pages of a level have been worked."""
        return sum(self.worked(page) > 0 for page in pages_of(level))

    def first(self, level: int) -> LessonPage:
        """Where a level's lesson goes on: the page that was left, or the first one not worked."""
        pages = pages_of(level)
        left = [page for page in pages if page.key in self._left]
        new = [page for page in pages if not self.worked(page)]
        return (left or new or pages)[0]

    def open(self, page: LessonPage) -> LessonWork:
        """A page as it was left, or from its beginning."""
        at = self._left.get(page.key, 0)
        work = LessonWork(page, at, self.worked(page))
        return LessonWork(page, 0, self.worked(page)) if work.done else work

    def keep(self, work: LessonWork) -> None:
        """Keep how far a page has come; it is durable before this returns."""
        key = work.page.key
        if work.done:
            self._worked[key] = self._worked.get(key, 0) + 1
            self._left = {}
            counts = " ".join(f"{name}:{count}" for name, count in self._worked.items())
            self._set(WORKED, counts)
        else:
            self._left = {key: work.at}
        self._set(AT, " ".join(f"{name} {at}" for name, at in self._left.items()))

    def _set(self, key: str, value: str) -> None:
        if self._keeper is not None:
            self._keeper.set(key, value)


def after(page: LessonPage, by: int = 1) -> LessonPage | None:
    """The page ``by`` so many after a ``page``, or before it; ``None``: there is none."""
    pages = every_page()
    at = pages.index(page) + by
    return pages[at] if 0 <= at < len(pages) else None


def is_new(keeper: Keeper, problem: Problem) -> bool:
    """Whether a problem is the learner's first of its level; asked once, it is not any more.

    Somebody who has climbed such circuits before is not offered the lesson.

    Args:
        keeper: whose record says it, and keeps that it was asked.
        problem: the problem.
    """
    offered, level = keeper.setting(OFFERED), str(problem.level)
    if level in offered:
        return False
    keeper.set(OFFERED, offered + level)
    group = f"{group_of(problem.family).value}/"
    return not any(skill.startswith(group) for skill in keeper.states())
