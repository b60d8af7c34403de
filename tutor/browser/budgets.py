"""What one visitor, and all of them together, may use of the machine that serves them."""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass

MIB = 1024 * 1024
WALL = 1024 * MIB
"""Bytes of addresses that a visitor's tutor may ever have; it begins with some 260 MiB."""


class Bucket:
    """Tokens that come back at a steady rate; whoever finds none has asked for too much.

    Args:
        rate: Tokens a second that come back.
        most: Tokens that it holds at most, and at first.
        clock: Seconds that only go on.
    """

    def __init__(
        self, rate: float, most: float, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self.rate, self.most = rate, most
        self._clock, self._left, self._then = clock, most, clock()

    def _fill(self) -> None:
        now = self._clock()
        self._left = min(self.most, self._left + (now - self._then) * self.rate)
        self._then = now

    def take(self, tokens: float = 1.0) -> bool:
        """Take tokens, if there are so many."""
        self._fill()
        if self._left < tokens:
            return False
        self._left -= tokens
        return True

    def wait(self, tokens: float = 1.0) -> float:
        """Seconds until there are so many."""
        self._fill()
        return max(0.0, (tokens - self._left) / self.rate)


@dataclass(frozen=True)
class Budgets:
    """The limits of a room.

    A held key repeats 30 times a second, a quick typist presses 15, a mouse moves with the
    screen's 60 to 144 frames; the limits are well above what a page sends by itself.
    """

    messages: float = 200
    """Messages a second from one page, for long; a message counts one more for each 512 bytes."""
    messages_at_once: float = 400
    moves: float = 120
    """Moves and turns of the mouse a second that are handed on; the others are dropped."""
    memory: int = 256 * MIB
    """Bytes that a visitor's tutor may hold; it begins with some 40 MiB."""
    cpu: float = 0.5
    """Seconds of one core that a visitor's tutor may use each second, for long."""
    cpu_at_once: float = 30
    look: float = 1.0
    """Seconds between two looks at what a tutor uses."""
    entries: float = 0.5
    """Tutors that may be started a second, for long: starting one takes half a second of a core."""
    entries_at_once: int = 10
    """As many more than there are places may be started at once."""
    requests: float = 100
    """Requests a second that are answered, for long; the others wait.  A page asks for nine."""
    requests_at_once: int = 10
    """As many for each place may be answered at once."""
    unasked: int = 64
    """Connections that a room has beyond one for each place: pages, and who has no name yet."""
    patience: float = 10.0
    """Seconds in which a connection must have sent its request, and taken what it asked for."""


def descriptors(wanted: int) -> int:
    """How many files and connections this process may have open; more are asked for if need be.

    Args:
        wanted: How many would be good to have.
    """
    try:
        import resource
    except ImportError:  # Windows, where sockets are no files
        return wanted
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    if soft == resource.RLIM_INFINITY or soft >= wanted:
        return wanted
    more = wanted if hard == resource.RLIM_INFINITY else min(wanted, hard)
    with suppress(ValueError, OSError):  # some systems have a limit of their own below it
        resource.setrlimit(resource.RLIMIT_NOFILE, (more, hard))
        return more
    return soft


def confine(memory: int) -> None:
    """Let this process have no more memory than this, where the system can be told so.

    Counted are addresses, of which a process has far more than it uses: this is the wall behind
    the budget, for what grows faster than anybody looks.

    Args:
        memory: Bytes of addresses.
    """
    try:
        import resource
    except ImportError:
        return
    with suppress(ValueError, OSError):
        _, hard = resource.getrlimit(resource.RLIMIT_AS)
        if hard == resource.RLIM_INFINITY or hard > memory:
            resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
