"""Scenes of lessons: a page opened from the drill by keyboard, and worked some steps."""

from __future__ import annotations

from collections.abc import Callable

from rungwise.tutor.drafting.lesson_pages import every_page
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.lesson.screen import LessonPhase, LessonScreen
from rungwise.tutor.screens.themes import DUSK
from textual.pilot import Pilot

from tests.support.lessons import keys

from .gallery import Scene
from .stage import settled


def drilling() -> Rungwise:
    """A drill of the second level."""
    app = Rungwise(ProblemRequest(2, None, 7))
    app.theme = DUSK.name
    return app


def page(key: str, steps: int, *then: str, wrong: bool = False) -> Scene:
    """A page with so many ``steps`` behind, the last ``wrong``, and what is pressed ``then``."""

    async def scene(pilot: Pilot[None]) -> None:
        await settled(pilot)
        await pilot.press("f7")
        await settled(pilot)
        screen = pilot.app.screen
        assert isinstance(screen, LessonScreen)
        places = [page.key for page in every_page()]
        while screen.work is not None and screen.work.page.key != key:
            here = places.index(screen.work.page.key)
            await pilot.press("n" if places.index(key) > here else "p")
        await settled(pilot)
        work = screen.work
        assert work is not None
        while work.at < steps:
            if screen.phase in (LessonPhase.ASKED, LessonPhase.LOOK):
                right, others = keys(work)
                await pilot.press(others[0] if wrong and work.at == steps - 1 else right)
            else:
                await pilot.press("enter")
            await settled(pilot)
        await pilot.press(*then)
        await settled(pilot)

    return scene


LESSONS: dict[str, tuple[Callable[[], Rungwise], Scene]] = {
    "lesson-ends": (drilling, page("1.ends", 1, "enter")),
    "lesson-taps": (drilling, page("2.taps", 3)),
    "lesson-ringing": (drilling, page("2.q", 3)),
    "lesson-poles": (drilling, page("2.poles", 1)),
    "lesson-receiver": (drilling, page("4.tuning-c", 3, "enter")),
    "lesson-look": (drilling, page("4.arms", 5, wrong=True)),
}
"""What opens the tutor, and the scene to play, by the name of the README's picture."""
