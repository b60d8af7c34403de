"""A bench on the stage: opened with a circuit, and with a list of changes where there is one."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.circuits.write import write_circuit
from rungwise.tutor.drafting.script import read_script
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.bench.screen import BenchScreen
from rungwise.tutor.screens.bench.scripted import ScriptScreen
from textual.pilot import Pilot

from .stage import SMALL, settled

RLC = "series R1 = 100 Ω; series L1 = 10 mH; shunt C1 = 100 nF"


@asynccontextmanager
async def opened(
    size: tuple[int, int] = SMALL, circuit: str = RLC, changes: str = ""
) -> AsyncIterator[Pilot[None]]:
    ladder = read_circuit(circuit)
    first = ScriptScreen(read_script(changes, ladder)) if changes else BenchScreen(ladder)
    async with Rungwise(first=first).run_test(size=size) as pilot:
        await settled(pilot)
        yield pilot


def bench(pilot: Pilot[None]) -> BenchScreen:
    found = pilot.app.screen_stack[0]
    assert isinstance(found, BenchScreen)
    return found


def circuit(pilot: Pilot[None]) -> str:
    return write_circuit(bench(pilot).bench.version.ladder, "; ")
