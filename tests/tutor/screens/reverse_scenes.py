"""Scenes of the way back: a circuit to be chosen, an arm to be found, a value to be computed."""

from __future__ import annotations

from rungwise.problems.questions.model import Task
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.themes import DUSK
from textual.pilot import Pilot

from .stage import answer_rightly, settled


def _app(family: str, seed: int, theme: str) -> Rungwise:
    app = Rungwise(ProblemRequest(None, family, seed, Task.REVERSE))
    app.theme = theme
    return app


def from_gain(theme: str = DUSK.name) -> Rungwise:
    """A gain, and four circuits to choose from."""
    return _app("series-rlc-across-r", 11, theme)


def from_map(theme: str = DUSK.name) -> Rungwise:
    """A map of poles and zeros, and four circuits to choose from."""
    return _app("t-low-pass-3", 7, theme)


def from_type(theme: str = DUSK.name) -> Rungwise:
    """A circuit with an arm left out."""
    return _app("series-rlc-across-r", 1, theme)


def from_range(theme: str = DUSK.name) -> Rungwise:
    """A receiver's tank, its capacitor to be computed."""
    return _app("receiver-tank", 1, theme)


async def chosen_wrongly(pilot: Pilot[None]) -> None:
    """A wrong choice, explained, and a hint."""
    await settled(pilot)
    await pilot.press("b", "enter", "f2")
    await settled(pilot)


async def picking(pilot: Pilot[None]) -> None:
    """One of the choices picked."""
    await settled(pilot)
    await pilot.press("c")
    await settled(pilot)


async def typing(pilot: Pilot[None]) -> None:
    """A capacitor being typed."""
    await settled(pilot)
    await pilot.press(*"470p")
    await settled(pilot)


async def why(pilot: Pilot[None]) -> None:
    """The circuit found; asked what tells it from its look-alike."""
    await settled(pilot)
    await answer_rightly(pilot)
    await pilot.press("a")
    await settled(pilot)
