"""Climbs for the tests of the record: seeded learners, and what their record must hold."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from functools import cache
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.model import Form, Problem, Question
from rungwise.tutor.learning.climb import Climb, Event, Listener
from rungwise.tutor.learning.course import Move, MoveKind
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.store.keeper import Keeper

ODD = ["⌘ three bananas", "−\x00\x1b[31m", "\ud800 half", "'; --", "x" * 5000]
"""Answers that nobody understands."""


@cache
def problem(wish: ProblemRequest) -> Problem:
    """The problem of a wish, made once."""
    return wish.whole()


def wrong_text(question: Question) -> str:
    """An answer that is understood and wrong."""
    if question.form is Form.CHOICE:
        return next(c.id for c in question.choices if c.id != question.truth)
    if question.form is Form.COUNT:
        return str(int(question.truth) + 1)
    if question.form is Form.LEVEL:
        return f"{123 + round(abs(question.figure))} {question.unit}"
    return "12345" if question.form is not Form.FORMULA else "1234*s"


def step(climb: Climb, chance: Random) -> str:
    """One thing that a learner may do; its name."""
    question = climb.current.question
    what = chance.choices(["right", "wrong", "hint", "show", "skip", "odd"], [8, 3, 2, 1, 1, 1])[0]
    match what:
        case "right":
            climb.answer(right_text(question))
        case "wrong":
            climb.answer(wrong_text(question))
        case "hint":
            climb.hint()
        case "show":
            climb.show()
        case "skip":
            climb.skip()
        case "odd":
            climb.answer(
                chance.choice(["⌘ three bananas", "−\x00\x1b[31m", "\ud800 half", "'; --"])
            )
    return what


def some_climbs(keeper: Keeper, count: int, seed: int, *, finish: bool = True) -> list[Climb]:
    """Climbs, kept by a keeper; the last is left half way unless all are to be finished."""
    chance, climbs = Random(seed), []
    for i in range(count):
        wish = ProblemRequest(chance.choice([1, 2, 3]), None, chance.randrange(1, 12))
        climb = Climb(problem(wish), keeper.begin(wish))
        climbs.append(climb)
        while not climb.done:
            if not finish and i == count - 1 and climb.position >= len(climb.rungs) // 2:
                break
            step(climb, chance)
    return climbs


def tell_all(told: list[Event]) -> Listener:
    """A listener that only remembers."""
    return told.append


def without_time(moves: tuple[Move, ...]) -> list[tuple[MoveKind, str, str, str]]:
    """What can be compared of moves: everything but how long they took."""
    return [(m.kind, m.rung.value, m.text, str(m.verdict)) for m in moves]


_KEPT = TemporaryDirectory()


def kept_once(name: str, home: Path, fill: Callable[[], None]) -> None:
    """Fill the folder of records, the first time; after that, copy what was kept then.

    Where there are records already it is filled anew.

    Args:
        name: what is kept.
        home: the folder of this test.
        fill: keeps it there, and closes what it opened.
    """
    kept = Path(_KEPT.name) / name
    if home.exists():
        fill()
    elif kept.exists():
        shutil.copytree(kept, home)
    else:
        fill()
        shutil.copytree(home, kept)
