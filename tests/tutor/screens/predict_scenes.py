"""Scenes of reading and predicting: a curve and its marker, step responses, a map, a change."""

from __future__ import annotations

from collections.abc import Callable

from rungwise.problems.questions.model import Rung, Task
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.themes import DUSK
from textual.pilot import Pilot

from .gallery import Scene
from .stage import answer, answer_rightly, question, settled


def about(family: str, seed: int) -> Callable[[], Rungwise]:
    """The tutor at a problem to predict."""

    def app() -> Rungwise:
        tutor = Rungwise(ProblemRequest(None, family, seed, Task.PREDICT))
        tutor.theme = DUSK.name
        return tutor

    return app


async def marked(pilot: Pilot[None]) -> None:
    """The marker moved along a noisy curve, to its peak's right; a frequency being typed."""
    await settled(pilot)
    await pilot.press("tab", *["right"] * 6, "tab", *"520k")
    await settled(pilot)


def mistaken(rung: Rung) -> Scene:
    """Right up to a question of choices; there a wrong one, explained."""

    async def scene(pilot: Pilot[None]) -> None:
        await settled(pilot)
        while question(pilot).rung is not rung:
            await answer_rightly(pilot)
        asked = question(pilot)
        await answer(pilot, next(one.id for one in asked.choices if one.id != asked.truth))
        await settled(pilot)

    return scene


async def reading(pilot: Pilot[None]) -> None:
    """One pole's radius read off the map; its angle asked, with a hint."""
    await settled(pilot)
    await answer_rightly(pilot)
    await pilot.press("f2")
    await settled(pilot)
