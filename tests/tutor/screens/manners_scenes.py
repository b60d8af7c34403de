"""Scenes of manners: help, a fault that is told, the straight lines of a solution growing."""

from __future__ import annotations

from pathlib import Path

from rungwise.tutor.screens.common.trouble import TroubleScreen
from rungwise.tutor.screens.drill.summit import SummitScreen
from textual.pilot import Pilot

from .stage import climb, settled


async def helped(pilot: Pilot[None]) -> None:
    """The help of the drill."""
    await settled(pilot)
    await pilot.press("f1")
    await settled(pilot)


async def troubled(pilot: Pilot[None]) -> None:
    """A fault of the program has been met."""
    await settled(pilot)
    path = Path("/home/learner/.local/state/rungwise/faults.log")
    pilot.app.push_screen(TroubleScreen(ZeroDivisionError(), path))
    await settled(pilot)


async def lines(pilot: Pilot[None]) -> None:
    """The worked solution has come to the break of the pair of poles."""
    await settled(pilot)
    while not climb(pilot).done:
        await pilot.press("f4")
    await pilot.press("enter")
    await settled(pilot)
    screen = pilot.app.screen
    assert isinstance(screen, SummitScreen)
    while screen._steps[screen._step].breaks == 0:
        await pilot.press("right")
    await settled(pilot)
