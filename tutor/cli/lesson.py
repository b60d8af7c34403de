"""What ``rungwise lesson`` does: the pages of a level, on the full screen or in plain lines."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .console import width
from .tutor import open_tutor, patient_keeper

if TYPE_CHECKING:
    from ..screens.opening.screen import OpeningScreen


def in_lines(level: int, draw: bool) -> None:
    """The lesson of a ``level``, 1 to 7, in plain lines; ``draw``: each circuit as well."""
    from ..plain.lesson import PlainLesson

    lines = PlainLesson.on_standard_streams(width(), draw, patient_keeper())
    with lines.kept():
        lines.work(level)


def on_screen(level: int) -> None:
    """A level's lesson on the full screen, with the opening screen behind it."""

    def open_lesson(opening: OpeningScreen) -> None:
        from ..screens.lesson.screen import LessonScreen

        opening.visit(LessonScreen(level))

    open_tutor(then=open_lesson)
