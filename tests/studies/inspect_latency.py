"""A right key to the next circuit painted: ``python -m tests.studies.inspect_latency``.

First inside the program (by Textual's pilot, headless: key to the paint after which the next key
counts), then from outside, in a pseudo-terminal of 80x24 and of 120x40, where the same key is also
timed against a bare Textual input that is typed on in turn.  Options: the number of keys.
"""

from __future__ import annotations

import asyncio
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from rungwise.tutor.learning.rounds import LookResult, Round
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.inspect.screen import InspectPhase, InspectScreen

from .benchmarks.keys import BARE, Program, p95, typing

HERE = Path(__file__)
SHOWN = 0.2
"""Seconds in which the next circuit has to be painted."""
TIMES = 1.5
"""How many times the p95 of a bare input the first paint after a key may take."""


class Even(Round):
    """A round in which every answer took the same time, so that it can be foreseen."""

    def answer(self, choice: str, seconds: float = 1.0) -> LookResult:
        """Mark an answer."""
        return super().answer(choice, 1.0)


def right_key(screen: InspectScreen) -> str:
    """The key of the right answer."""
    look = screen.look
    assert look is not None
    return look.row.keys[look.answers.index(look.truth)]


async def within(count: int, size: tuple[int, int]) -> list[float]:
    """Seconds from a right key to the paint of the next look, inside the program."""
    times: list[float] = []
    seeds = iter(range(10**6))
    app = Rungwise(rounds=lambda *_: Round(next(seeds)))
    async with app.run_test(size=size) as pilot:
        while len(times) < count:
            screen = app.screen
            assert isinstance(screen, InspectScreen)
            while screen._painted is None or screen.round is None:
                await asyncio.sleep(0.002)
            await asyncio.sleep(InspectScreen.UNREAD + 0.02)
            if screen.phase is not InspectPhase.ANSWER:
                await pilot.press("enter")
                await asyncio.sleep(0.1)
                continue
            start = time.monotonic()
            app.simulate_key(right_key(screen))
            while screen._shown == 0 or screen._painted is None or screen._painted < start:
                await asyncio.sleep(0.001)
            times.append(screen._painted - start)
    return times


def keys() -> Iterator[bytes]:
    """Right keys of the rounds that ``serve`` opens, for ever: what the other process will ask."""
    seed = 0
    while True:
        made = Even(seed)
        while made.step is not None:
            look = made.step.look
            yield look.row.keys[look.answers.index(look.truth)].encode()
            made.answer(look.truth)
            made.next()
        yield b"\r"
        seed += 1


def serve() -> None:
    """The tutor with the rounds that `keys` knows the answers of."""
    seeds = iter(range(10**6))
    InspectScreen.UNSEEN = InspectScreen.UNREAD = 0.0
    Rungwise(rounds=lambda *_: Even(next(seeds))).run()


def outside(count: int) -> None:
    """Key to the first and to the last byte painted, beside a bare input; Enter by itself."""
    pressed: list[bytes] = []

    def noted() -> Iterator[bytes]:
        for key in keys():
            pressed.append(key)
            yield key

    with tempfile.TemporaryDirectory() as home:
        ours = [sys.executable, "-m", "tests.studies.inspect_latency", "serve"]
        programs = [
            Program("a bare Textual input", [sys.executable, str(BARE)], home, typing("1.59k")),
            Program("a right key, 120x40", ours, home, noted()),
        ]
        try:
            for program in programs:
                program.settle()
            for number in range(count + 5):
                for program in programs:
                    program.time_key()
                if number == 4:
                    pressed.clear()
                    for program in programs:
                        program.times.clear()
                        program.whole.clear()
        finally:
            for program in programs:
                program.end()
    bare, look = programs
    enter = [paint for key, paint in zip(pressed, look.times, strict=True) if key == b"\r"]
    right = [paint for key, paint in zip(pressed, look.times, strict=True) if key != b"\r"]
    tell("outside: first byte", right)
    tell("outside: last byte", look.whole)
    tell("outside: a bare input", bare.times)
    print(f"  first byte, p95: {p95(right) / p95(bare.times):.2f} times (goal: {TIMES})")
    if len(enter) > 1:
        tell("outside: Enter, first byte", enter)


def tell(what: str, times: list[float]) -> None:
    """Median and p95 in milliseconds."""
    middle, high = 1e3 * statistics.median(times), 1e3 * p95(times)
    print(f"  {what:<28} p50 {middle:6.1f} ms   p95 {high:6.1f} ms   ({len(times)} keys)")


def main() -> None:
    """Measure, and say it."""
    if "serve" in sys.argv:
        serve()
        return
    count = next((int(word) for word in sys.argv[1:] if word.isdigit()), 60)
    print(f"A right key to the next circuit (goal: p95 at most {1e3 * SHOWN:.0f} ms)")
    for size in (80, 24), (120, 40):
        tell(f"inside, {size[0]}x{size[1]}", asyncio.run(within(count, size)))
    outside(count)


if __name__ == "__main__":
    main()
