"""What is said of a rehearsal, on the screen and in plain lines alike."""

from __future__ import annotations

import math
from datetime import timedelta

from ...problems.questions.model import Form
from ..language.texts import Words, speaker
from ..learning.climb import Climb
from ..learning.rehearsal_result import RehearsalItem, RehearsalResult
from . import answer_text as saying
from . import explaining

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


def explained(result: RehearsalResult, item: RehearsalItem) -> list[str]:
    """What is said of a wrong ``item`` of a ``result``: its slips, else a fact; and pieces."""
    mark = item.state.last
    if mark is None or item.right:
        return []
    told = explaining.of_mark(mark, result.climbs[item.number].explained_alone(item.at))
    if item.state.question.form is Form.SKETCH:
        told += reversed(Words.load().parts(mark.rung, mark.parts))
    return told


def family(climb: Climb) -> str:
    """The circuits that a problem is of."""
    return Words.load().family(climb.problem.family) if climb.problem.family else ""
