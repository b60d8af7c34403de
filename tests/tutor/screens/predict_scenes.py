"""Scenes of reading and predicting: a curve and its marker, step responses, a map, a change."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

from rungwise.problems.generate import predict
from rungwise.problems.questions.model import Rung, Task
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.themes import DUSK
from textual.pilot import Pilot

from .gallery import Scene
from .stage import answer, answer_rightly, question, settled


@cache
def seed_of(family: str, rung: Rung, first: bool, measured: bool) -> int:
    """The first seed whose problem asks this, as its first question, of a measured curve."""
    for seed in range(400):
        asked = predict.generate(seed, family=family).questions
        of = [q for q in (asked[:1] if first else asked) if q.rung is rung]
        if of and (not measured or (of[0].exhibit is not None and of[0].exhibit.measured)):
            return seed
    raise AssertionError(rung)


def about(
    family: str, rung: Rung, *, first: bool = False, measured: bool = False
) -> Callable[[], Rungwise]:
    """The tutor at a problem that asks this kind."""

    def app() -> Rungwise:
        seed = seed_of(family, rung, first, measured)
        tutor = Rungwise(ProblemRequest(None, family, seed, Task.PREDICT))
        tutor.theme = DUSK.name
        return tutor

    return app


async def marked(pilot: Pilot[None]) -> None:
    """The marker moved along a measured curve; a frequency being typed."""
    await settled(pilot)
    await pilot.press("tab", *["right"] * 5, "tab", *"27.7k")
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
