"""From a key to the change it makes on the screen: our screens against a bare Textual input.

All the programs run at once in pseudo-terminals of their own and are sent a key each in turn,
so that a drifting machine meets them alike.  A key's time ends with the first byte painted:
a frame is written at once.  What takes more than one frame (the curves that follow a value on
the bench) is timed as well, to the last byte before the screen has been still for a while.
"""

from __future__ import annotations

import fcntl
import math
import os
import pty
import select
import signal
import statistics
import struct
import sys
import tempfile
import termios
import time
from collections.abc import Iterator
from itertools import cycle
from pathlib import Path

from .startup import rungwise

BARE = Path(__file__).with_name("bare_input.py")
KEYS = 200
STILL = 0.12
"""Seconds without output after which a key's change is taken as painted."""

CIRCUIT = "source 600 Ω; series L1 = 10 mH; shunt C1 = 100 nF; load 600 Ω"
DOWN, LEFT, RIGHT, BACK, SKIP = b"\x1b[B", b"\x1b[D", b"\x1b[C", b"\x7f", b"\x1bOS"


class Program:
    """A program in a pseudo-terminal of 120 columns and 40 rows."""

    def __init__(self, title: str, command: list[str], home: str, keys: Iterator[bytes]) -> None:
        self.title, self.keys = title, keys
        self.times: list[float] = []
        self.whole: list[float] = []
        self._pid, self._terminal = pty.fork()
        if self._pid == 0:
            os.environ.update(
                TERM="xterm-256color", COLORTERM="truecolor", RUNGWISE_HOME=home, COLUMNS="120"
            )
            os.environ["LINES"] = "40"
            os.execv(command[0], command)
        fcntl.ioctl(self._terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 40, 120, 0, 0))

    def settle(self, still: float = 1.5) -> tuple[float, float]:
        """Read until nothing is painted any more; when the first and the last byte came."""
        first = last = math.nan
        while select.select([self._terminal], [], [], still)[0]:
            os.read(self._terminal, 1 << 20)
            last = time.perf_counter()
            first = last if math.isnan(first) else first
        return first, last

    def send(self, keys: bytes) -> None:
        """Send keys without timing them."""
        os.write(self._terminal, keys)
        self.settle()

    def time_key(self) -> None:
        """Send the next key and time its change.

        Raises:
            SystemExit: the key changed nothing on the screen.
        """
        key = next(self.keys)  # which key is right may have to be worked out: no part of its time
        start = time.perf_counter()
        os.write(self._terminal, key)
        first, last = self.settle(STILL)
        if math.isnan(first):
            raise SystemExit(f"{self.title}: a key changed nothing")
        self.times.append(first - start)
        self.whole.append(last - start)

    def end(self) -> None:
        """End the program."""
        os.kill(self._pid, signal.SIGKILL)
        os.waitpid(self._pid, 0)
        os.close(self._terminal)


def typing(text: str) -> Iterator[bytes]:
    """A text typed and taken back, over and over."""
    return cycle([*(character.encode() for character in text), *[BACK] * len(text)])


def keys() -> None:
    """p95 from key to painted change, drill and bench against a bare input."""
    level = {n: [rungwise(), "drill", "--level", n, "--seed", "7"] for n in ("1", "2")}
    bench = [rungwise(), "bench", "--text", CIRCUIT]
    with tempfile.TemporaryDirectory() as home:
        programs = [
            Program("a bare Textual input", [sys.executable, str(BARE)], home, typing("1.59k")),
            Program("drill: picking a choice", level["1"], home, cycle([DOWN])),
            Program("drill: typing a figure", level["1"], home, typing("1.59k")),
            Program("drill: typing a formula", level["2"], home, typing("s/(s+1)")),
            Program("bench: turning a value", bench, home, cycle([RIGHT] * 6 + [LEFT] * 6)),
        ]
        try:
            for program in programs:
                program.settle()
            for program, skips in (programs[2], 8), (programs[3], 9):  # on to what is typed
                for _ in range(skips):
                    program.send(SKIP)
            measure(programs)
        finally:
            for program in programs:
                program.end()


def measure(programs: list[Program]) -> None:
    """Time the programs in turn and print each one's p95 against the first one's."""
    for _ in range(10):
        for program in programs:
            program.time_key()
    for program in programs:
        program.times.clear()
        program.whole.clear()
    for _ in range(KEYS):
        for program in programs:
            program.time_key()
    print(f"\nKey to painted change  ({KEYS} keys each, in turn)")
    base = p95(programs[0].times)
    for program in programs:
        middle, high, last = (
            1e3 * seconds
            for seconds in (
                statistics.median(program.times),
                p95(program.times),
                statistics.median(program.whole),
            )
        )
        times = f"median {middle:5.1f} ms  p95 {high:5.1f} ms = {high / base / 1e3:4.2f} times"
        print(f"  {program.title:<25} {times}  (to the last byte: median {last:5.1f} ms)")
    print("  (goal: p95 at most 1.5 times that of the bare input)")


def p95(times: list[float]) -> float:
    """The 95th percentile."""
    return statistics.quantiles(times, n=20)[-1]
