"""What is said of a rehearsal, on the screen and in plain lines alike."""

from __future__ import annotations

import math
from datetime import timedelta

from ...problems.questions.model import Form
from ..language.texts import Words, speaker
from ..learning.climb import Climb
from ..learning.rehearsal_result import RehearsalItem
from . import answer_text as saying

say = speaker("rehearsal")


def left(time: timedelta) -> str:
    """The time left: whole minutes, begun ones counted, and by the second in the end."""
    seconds = math.ceil(time.total_seconds())
    if seconds > 120:
        return say("ask.minutes", minutes=math.ceil(seconds / 60))
    return say("ask.seconds", minutes=seconds // 60, seconds=f"{seconds % 60:02d}")


def given(item: RehearsalItem) -> str:
    """What was answered, in words; "" for nothing."""
    mark = item.state.last
    return saying.understood(item.state.question, mark) if mark is not None else ""


def slips(item: RehearsalItem) -> list[str]:
    """What is to be said of a wrong answer: the slips that lead to it, and a sketch's pieces."""
    mark = item.state.last
    if mark is None or item.right:
        return []
    words = Words.load()
    told = [words.slip(hit) for hit in mark.slips]
    if item.state.question.form is Form.SKETCH:
        told += reversed(words.parts(mark.rung, mark.parts))
    return told


def family(climb: Climb) -> str:
    """The circuits that a problem is of."""
    return Words.load().family(climb.problem.family) if climb.problem.family else ""
