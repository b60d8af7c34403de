"""Kill -9 at random moments: what the screen has acknowledged must be in the record.

``python -m tests.studies.kill_the_drill [COUNT] [SEED]`` kills the full-screen tutor in a real
(pseudo-)terminal so many times (200), each time in the middle of random keys, reads the record
as another program would, and opens the tutor again, which must go on at that very rung.
Then it does the same to the plain drill over pipes, where every mark is a line to be counted.
"""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import shutil
import signal
import struct
import subprocess
import sys
import tempfile
import termios
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random

from rungwise.tutor.learning.course import MoveKind
from rungwise.tutor.store.events import LeftOff
from rungwise.tutor.store.keeper import Keeper

ASKED = re.compile(r"Question (\d+) of (\d+)")
MARKS = {
    "Right:": "right",
    "Right, roughly:": "rough",
    "Wrong:": "wrong",
    "Not understood:": "unclear",
    "Answer:": "shown",
    "Skipped.": "skipped",
}
PATIENCE = 30.0
"""Seconds to wait for what must come; long, since it matters only where something is broken."""


class LostError(AssertionError):
    """Something that was acknowledged is not in the record, or the tutor is at another rung."""


@dataclass
class Seen:
    """What a terminal was sent of one climb: the last question asked, and what came after."""

    number: int = 0
    of: int = 0
    wrong: bool = False
    hinted: int = 0


def seen_in(text: str) -> Seen:
    """What the terminal showed last of a climb."""
    found = Seen()
    pieces = re.split(r"(Question \d+ of \d+)", text)
    for heading, after in zip(pieces[1::2], pieces[2::2], strict=True):
        match = ASKED.match(heading)
        assert match is not None
        number, of = int(match[1]), int(match[2])
        if (number, of) != (found.number, found.of):
            found = Seen(number, of)
        found.wrong = found.wrong or "✗ Wrong:" in after
        hints = [int(level) for level in re.findall(r"Hint (\d) of 3\.", after)]
        found.hinted = max([found.hinted, *hints])
    return found


class Tutor:
    """The full-screen tutor on a pseudo-terminal."""

    def __init__(self, words: Sequence[str], home: Path) -> None:
        self.text = ""
        self._data = b""
        self.pid, self._terminal = pty.fork()
        if self.pid == 0:
            os.environ.update(
                TERM="xterm-256color", COLUMNS="100", LINES="36", RUNGWISE_HOME=str(home)
            )
            os.execv(sys.executable, [sys.executable, "-m", "rungwise.tutor", *words])
        fcntl.ioctl(self._terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 36, 100, 0, 0))

    def listen(self, seconds: float) -> None:
        """Take what is painted, for so long."""
        end = time.monotonic() + seconds
        while (left := end - time.monotonic()) > 0:
            if select.select([self._terminal], [], [], left)[0]:
                try:
                    self._data += os.read(self._terminal, 1 << 16)
                except OSError:
                    break
        self._read()

    def _read(self) -> None:
        text = self._data.decode("utf-8", "replace")
        self.text = re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", text)

    def wait_for(self, pattern: str) -> None:
        """Wait until this has been painted.

        Raises:
            LostError: it was not.
        """
        end = time.monotonic() + PATIENCE
        while not re.search(pattern, self.text):
            if time.monotonic() > end:
                raise LostError(f"{pattern!r} was not painted, but:\n{self.text[-3000:]}")
            self.listen(0.02)

    def press(self, keys: str) -> None:
        """Send keys."""
        os.write(self._terminal, keys.encode())

    def kill(self) -> None:
        """Kill -9, and take the last of what had been painted."""
        os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        self.listen(0.05)
        os.close(self._terminal)


KEYS = [
    *(f"{letter}\r" for letter in "abcd"),
    *(f"{number}\r" for number in ("0", "1", "2", "20", "-40", "90", "1.6k")),
    "\x1bOQ",  # F2, a hint
    "\x1bOS",  # F4, skip
    "\x1bOR\r",  # F3, show, and go on
    "xyz\r",
    "4.7",
]
"""What a learner in a hurry presses."""


def kill_the_screen(count: int, chance: Random, home: Path, *, words: Sequence[str]) -> int:
    """Kill the tutor so many times; each time it goes on where it was killed.

    Returns:
        How many rungs were left in all.

    Raises:
        LostError: see there.
    """
    before: LeftOff | None = None
    for turn in range(count):
        tutor = Tutor([] if before else [*words, "--seed", str(chance.randrange(1, 10**6))], home)
        early = before is not None and chance.random() < 0.15
        if early:  # while it is still starting
            tutor.listen(chance.uniform(0, 1.2))
        else:
            _to_the_question(tutor, before)
            _play(tutor, chance, chance.uniform(0, 1.5))
        tutor.kill()
        before = _check_screen(tutor, before, early, turn)
    keeper = Keeper("")
    left = len(keeper.evidence())
    keeper.close()
    return left


def _to_the_question(tutor: Tutor, before: LeftOff | None) -> None:
    if before is None:
        tutor.wait_for(r"Question 1 of")
        return
    tutor.wait_for(r"Go on")
    tutor.text, tutor._data = "", b""
    tutor.press("g")
    shown = bool(before.moves) and before.moves[-1].kind is MoveKind.SHOWN
    reading = shown and before.position < before.reached  # the answer, before going on
    number = before.reached + (not reading)
    tutor.wait_for(rf"Question {number} of {len(before.start.rungs)}")


def _play(tutor: Tutor, chance: Random, seconds: float) -> None:
    end = time.monotonic() + seconds
    while (left := end - time.monotonic()) > 0:
        tutor.press(chance.choice(KEYS))
        tutor.listen(min(left, chance.choice([0.0, 0.005, 0.03, 0.1])))


def _check_screen(tutor: Tutor, before: LeftOff | None, early: bool, turn: int) -> LeftOff | None:
    """Hold the record against what the terminal was sent; where the learner is now."""
    seen = seen_in(tutor.text)
    keeper = Keeper("")
    place, evidence = keeper.place(), keeper.evidence()
    trouble = keeper.trouble + keeper.notice
    keeper.close()
    said = f"turn {turn}: the screen said {seen}, the record says"
    if trouble:
        raise LostError(f"{said} {trouble}")
    if early:
        if place is None or before is None or place.moves != before.moves:
            raise LostError(f"turn {turn}: {before} has become {place}")
        return place
    if place is None or place.start.uid != (before or place).start.uid:
        # The climb came to its end, and perhaps another one was begun.
        whole = (before.start if before else None) or None
        if whole is not None and len(evidence) < len(whole.rungs):
            raise LostError(f"{said} {len(evidence)} rungs left in all")
        return place
    shown = bool(place.moves) and place.moves[-1].kind is MoveKind.SHOWN
    if shown and place.position < place.reached and seen.number > place.reached:
        raise LostError(f"{said} that the answer of rung {place.reached} is being read")
    if place.reached + 1 < seen.number:
        raise LostError(f"{said} {place.reached} rungs were left")
    if place.reached + 1 == seen.number:
        here = [m for m in place.moves if m.rung == place.start.rungs[place.reached][0]]
        wrong = any(m.kind is MoveKind.ANSWERED and m.verdict == "wrong" for m in here)
        hinted = max((m.level for m in here), default=0)
        if seen.wrong > wrong or seen.hinted > hinted:
            raise LostError(f"{said} {here}")
    return place


def kill_the_plain(count: int, chance: Random, home: Path) -> int:
    """Kill the plain drill so many times; every mark that was printed must be kept, in order.

    Returns:
        How many marks were printed.

    Raises:
        LostError: see there.
    """
    total = 0
    environment = {**os.environ, "RUNGWISE_HOME": str(home), "PYTHONIOENCODING": "utf-8"}
    for turn in range(count):
        words = ["drill", "--plain", "--level", "3", "--seed", str(chance.randrange(1, 10**6))]
        with subprocess.Popen(
            [sys.executable, "-m", "rungwise.tutor", *words],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env=environment,
        ) as drill:
            assert drill.stdin is not None and drill.stdout is not None
            lines = "".join(f"{chance.choice(PLAIN)}\n" for _ in range(200))
            drill.stdin.write(lines.encode())
            drill.stdin.flush()
            printed = b""
            while b"Question 1" not in printed:
                printed += os.read(drill.stdout.fileno(), 1 << 16)
            time.sleep(chance.uniform(0, 0.25))
            drill.kill()
            printed += drill.stdout.read()
        marks = [
            mark
            for line in printed.decode("utf-8", "replace").splitlines()
            for word, mark in MARKS.items()
            if line.startswith(word)
        ]
        kept = _kept()
        if kept[: len(marks)] != marks:
            raise LostError(f"plain turn {turn}: printed {marks}, kept {kept}")
        total += len(marks)
    return total


PLAIN = ["a", "b", "c", "d", "1", "2", "20", "-40", "?", ".", "", "xyz", "1.6 kHz"]


def _kept() -> list[str]:
    """The marks of the latest climb, by the record."""
    from rungwise.tutor.store.events import EventRow, read_move
    from rungwise.tutor.store.folder import record_file
    from rungwise.tutor.store.record import Record

    record = Record.open(record_file())
    found: list[EventRow] = []
    for _, _, rows in record.climbs():
        found = [row for _, row in rows]
    record.close()
    moves = [
        read_move(row.kind, row.body) for row in found if row.kind not in ("left", "took-over")
    ]
    return [
        str(move.verdict) if move.kind is MoveKind.ANSWERED else move.kind.value
        for move in moves
        if move.kind not in (MoveKind.HINTED, MoveKind.SPARED)
    ]


def main() -> None:
    """Kill them, and say what came of it."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    home = Path(tempfile.mkdtemp(prefix="rungwise-"))
    os.environ["RUNGWISE_HOME"] = str(home)
    chance, done = Random(seed), 0
    try:
        while done < count:  # a new record now and then
            part = min(20, count - done)
            shutil.rmtree(home, ignore_errors=True)
            left = kill_the_screen(part, chance, home, words=["drill", "--level", "4"])
            done += part
            print(
                f"the screen was killed {done} times; nothing was lost ({left} rungs)", flush=True
            )
        marks = kill_the_plain(count, chance, home)
        print(f"the plain drill was killed {count} times; {marks} marks, and nothing was lost")
    finally:
        shutil.rmtree(home, ignore_errors=True)


if __name__ == "__main__":
    main()
