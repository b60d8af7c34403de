"""A student who works lessons: which key is right, which are wrong, and whole pages."""

from __future__ import annotations

from collections.abc import Iterator

from rungwise.tutor.drafting.lesson import LessonWork
from rungwise.tutor.drafting.lesson_pages import LessonPage


def keys(work: LessonWork) -> tuple[str, tuple[str, ...]]:
    """The key that is right of what is asked now, and those that are wrong."""
    if work.prediction is not None:
        offered, answers, truth = (
            work.prediction.keys,
            work.prediction.choices,
            work.prediction.truth,
        )
    else:
        look = work.look
        assert look is not None, "nothing is asked"
        offered, answers, truth = look.row.keys, look.answers, look.truth
    right = offered[answers.index(truth)]
    return right, tuple(key for key in offered if key != right)


def lines(page: LessonPage, turn: int = 0, *, wrong: bool = False) -> Iterator[str]:
    """What somebody types who works a page in plain lines, rightly or with every answer wrong."""
    work = LessonWork(page, 0, turn)
    while not work.done:
        if work.free:
            yield from (f"{work.bench.selected} x 2", "")
            work.go_on()
            continue
        right, others = keys(work)
        yield others[0] if wrong else right
        if work.prediction is not None:
            work.move()
        else:
            work.go_on()
