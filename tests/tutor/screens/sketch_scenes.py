"""Scenes of sketches: drawn by keyboard, found wrong, laid over."""

from __future__ import annotations

from rungwise.problems.questions.model import Rung, Task
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.themes import DUSK
from textual.pilot import Pilot

from .stage import question, settled


def sketching(theme: str = DUSK.name) -> Rungwise:
    """A notch: two real poles, a pair of zeros between them on the jω axis."""
    app = Rungwise(ProblemRequest(None, "series-fed-notch", 11, Task.SKETCH))
    app.theme = theme
    return app


async def to(pilot: Pilot[None], rung: Rung) -> None:
    await settled(pilot)
    while question(pilot).rung is not rung:
        await pilot.press("f4")
    await settled(pilot)


async def gain(pilot: Pilot[None]) -> None:
    """Two breaks are right, a third is missing; the second is in hand after the verdict."""
    await to(pilot, Rung.GAIN_SKETCH)
    await pilot.press(*"18k", "enter", "a", *"50k", "enter", "up", "up", "enter")
    await settled(pilot)


async def phase(pilot: Pilot[None]) -> None:
    """A jump at a wrong place, then given up: the right phase lies over it."""
    await to(pilot, Rung.PHASE_SKETCH)
    await pilot.press(*"18k", "enter", "a", "j", "up", "up", *"200k", "enter", "a", "enter", "f3")
    await settled(pilot)


async def plane(pilot: Pilot[None]) -> None:
    """The zeros are right, the poles are not; the region of the poles is in hand."""
    await to(pilot, Rung.MAP_SKETCH)
    await pilot.press("right", "up", "z", "left", "p", "enter")
    await settled(pilot)
