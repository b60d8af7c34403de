"""Scenes of the inspection drill: a look, an error, a pair, four choices, and a round's page.

Seconds are always the same, whatever the machine takes.
"""

from __future__ import annotations

from rungwise.problems.questions.looks import LookKind
from rungwise.tutor.learning.rounds import Round
from rungwise.tutor.screens.inspect.screen import InspectPhase, InspectScreen
from textual.pilot import Pilot

from .gallery import Scene
from .stage import settled

SECONDS = 4.2


async def begun(pilot: Pilot[None], seed: int, kinds: tuple[LookKind, ...]) -> InspectScreen:
    """On to the first look of a round."""
    await settled(pilot)
    screen = InspectScreen(lambda *_: Round(seed, kinds=kinds))
    setattr(screen, "_seconds", lambda *_: SECONDS)  # noqa: B010 - the same in every picture
    await pilot.app.push_screen(screen)
    await settled(pilot)
    return screen


def look(seed: int, *kinds: LookKind, before: int = 0) -> Scene:
    """A look, after some that were right."""

    async def scene(pilot: Pilot[None]) -> None:
        screen = await begun(pilot, seed, kinds)
        for _ in range(before):
            await right(pilot, screen)

    return scene


async def right(pilot: Pilot[None], screen: InspectScreen) -> None:
    asked = screen.look
    assert asked is not None
    await pilot.press(asked.row.keys[asked.answers.index(asked.truth)])
    await settled(pilot)


async def answered(pilot: Pilot[None], screen: InspectScreen, *answers: str) -> None:
    """The first of these answers that is one, and wrong."""
    asked = screen.look
    assert asked is not None
    offered = [one for one in (*answers, *asked.answers) if one in asked.answers]
    wrong = next(one for one in offered if one != asked.truth)
    await pilot.press(asked.row.keys[asked.answers.index(wrong)])
    await settled(pilot)


def error(seed: int, *kinds: LookKind, before: int = 2) -> Scene:
    """A wrong answer, with its look-alike."""

    async def scene(pilot: Pilot[None]) -> None:
        screen = await begun(pilot, seed, kinds)
        for _ in range(before):
            await right(pilot, screen)
        await answered(pilot, screen, "band-pass", "notch")

    return scene


def hint(seed: int, *kinds: LookKind) -> Scene:
    """A look with two hints."""

    async def scene(pilot: Pilot[None]) -> None:
        await begun(pilot, seed, kinds)
        await pilot.press("f2", "f2")
        await settled(pilot)

    return scene


WRONG = "band-pass", "low-pass", "high-pass", "notch"


def cold(screen: InspectScreen) -> bool:
    """Whether the type of a circuit is asked for the first time."""
    step = screen.round.step if screen.round is not None else None
    return step is not None and step.cold and step.look.kind is LookKind.TYPE


def over(seed: int) -> Scene:
    """What a round came to: every third look wrong, and those that return right."""

    async def scene(pilot: Pilot[None]) -> None:
        screen, number = await begun(pilot, seed, ()), 0
        while screen.phase is not InspectPhase.PAGE:
            number += 1
            if screen.phase is InspectPhase.ONWARD:
                await pilot.press("enter")
                await pilot.pause()
            elif number % 3 or not cold(screen):
                await right(pilot, screen)
            else:
                await answered(pilot, screen, *WRONG[number % len(WRONG) :])
        await settled(pilot)

    return scene
