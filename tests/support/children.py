"""Processes that tests start: none is waited for without a limit, and none outlives its test."""

from __future__ import annotations

import os
import signal
import subprocess
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any

SECONDS = 120.0
"""How long a child may take; long, since it matters only where something is broken."""


@contextmanager
def limited(process: subprocess.Popen[Any], seconds: float = SECONDS) -> Iterator[None]:
    """Kill a child after so long, and at the latest when the block ends.

    So whatever waits for it or reads from it comes to an end, too.
    """
    timer = threading.Timer(seconds, process.kill)
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
        process.kill()  # does nothing to one that has been waited for
        process.wait(SECONDS)


@contextmanager
def limited_fork(pid: int, seconds: float = SECONDS) -> Iterator[None]:
    """Kill a child that was forked after so long; it is to be waited for within the block."""
    timer = threading.Timer(seconds, end, (pid,))
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()


@contextmanager
def as_in_a_terminal() -> Iterator[None]:
    """Let children begin with the signals that a terminal gives them.

    What runs in the background of a script, or under nohup, is made to ignore some of them, and
    what it starts inherits that: then Ctrl+C stops nobody.
    """
    handlers = {"SIGINT": signal.default_int_handler, "SIGQUIT": signal.SIG_DFL}
    handlers["SIGHUP"] = signal.SIG_DFL
    changed = {}
    if threading.current_thread() is threading.main_thread():
        for name, handler in handlers.items():
            number = getattr(signal, name, None)  # Windows has but the first
            if number is not None and signal.getsignal(number) is signal.SIG_IGN:
                changed[number] = signal.signal(number, handler)
    try:
        yield
    finally:
        for number, before in changed.items():
            signal.signal(number, before)


def end(pid: int) -> None:
    """Kill a child that was forked and has not been waited for."""
    with suppress(ProcessLookupError):
        os.kill(pid, signal.SIGKILL)
