"""When an app under test has done all there is to do, without sleeping longer than that takes.

Textual's own wait (8.2, ``textual._wait``) sleeps for two hundredths of a second at least, twice a
key; half of the suite's time went there.  An app is idle as soon as its loop has nothing ready and
nothing due within a frame or so, no thread of its is at work, and no processor time passes.
"""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from contextlib import contextmanager
from time import monotonic, process_time
from typing import Any

import pytest
from textual import screen

_LOOK = 0.001
"""Seconds between looks."""
_WORKING = 0.0005
"""So much processor time in between is work."""
_PERIOD = 0.002
"""Seconds between two paints, a sixtieth in a terminal."""
_FRAME = 0.02
"""What is due within so many seconds is waited for."""
_QUIET = 2
"""Idle so many looks in a row."""


async def wait_for_idle(min_sleep: float = _LOOK, max_sleep: float = 1) -> None:
    """Wait until there is nothing left to do, for ``max_sleep`` seconds at most."""
    loop: Any = asyncio.get_running_loop()
    end, quiet = monotonic() + max_sleep, 0
    while quiet < _QUIET and monotonic() < end:
        worked = process_time()
        await asyncio.sleep(_LOOK)
        worked = process_time() - worked
        idle = worked < _WORKING and not (loop._ready or _due(loop) or _at_work(loop))
        quiet = quiet + 1 if idle else 0


def _due(loop: Any) -> bool:
    soon = loop.time() + _FRAME
    return any(not timer.cancelled() and timer.when() <= soon for timer in loop._scheduled)


def _at_work(loop: Any) -> bool:
    threads = loop._default_executor
    if threads is None:
        return False
    busy = len(threads._threads) - threads._idle_semaphore._value
    return busy > 0 or not threads._work_queue.empty()


@contextmanager
def quick_waits() -> Iterator[None]:
    """Textual's pilot waits so, and no longer, and screens paint as soon as they can."""
    with pytest.MonkeyPatch.context() as patch:
        for module in ("app", "pilot"):
            patch.setattr(f"textual.{module}.wait_for_idle", wait_for_idle)
        patch.setattr(screen, "UPDATE_PERIOD", _PERIOD)
        yield
