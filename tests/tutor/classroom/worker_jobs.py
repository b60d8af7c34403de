"""What the workers of their tests do; a module of its own, so that they can import it."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path


def double(number: int) -> int:
    return 2 * number


def late(number: int) -> int:
    """The first ones come last."""
    time.sleep(0.3 if number == 0 else 0.0)
    return number


def noted(number: int, folder: str) -> int:
    """Leave a trace for each time that it is done."""
    with Path(folder, str(number)).open("a") as file:
        file.write("x")
    return number


def dies_once(number: int, folder: str) -> int:
    """The worker is killed over number 3, the first time."""
    trace = Path(folder, "died")
    if number == 3 and not trace.exists():
        trace.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return number


def dies_always(number: int) -> int:
    if number == 3:
        os.kill(os.getpid(), signal.SIGKILL)
    return number


def fails(number: int) -> int:
    raise ZeroDivisionError(f"number {number}")


def sleeps(seconds: float, folder: str) -> float:
    Path(folder, str(os.getpid())).touch()
    time.sleep(seconds)
    return seconds


def long_text(number: int) -> bytes:
    return bytes([number % 256]) * 1_000_000
