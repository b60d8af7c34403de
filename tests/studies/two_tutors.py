"""Two tutors at one record, ended in both orders: what was acknowledged must be there.

``python -m tests.studies.two_tutors [KILLS] [SEED]`` (200 kills) has two tutors answer at once.
Before each round the states are of an old form, so that either tutor has them made anew by a
second connection of its own while answers are being kept.  At a random moment one tutor is
killed or closes the record, a little later the other is killed, by turns in the one order and in
the other.  Every answer that a tutor had told of must be in the record, and the record must be
sound.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import closing
from pathlib import Path
from random import Random

ROOT = Path(__file__).parents[2]

TUTOR = """
import os, signal, sys, time
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.store.keeper import Keeper
from rungwise.tutor.learning.request import ProblemRequest
from tests.tutor.store.climbing import problem
keeper, name, number = Keeper(""), sys.argv[1], 0
climb, going = None, True

def leave(*_):
    global going
    going = False

signal.signal(signal.SIGTERM, leave)
while going:
    if climb is None or climb.done:
        climb = Climb(problem(ProblemRequest(1, None, 7)), keeper.begin(ProblemRequest(1, None, 7)))
    text = f"{name} {number}"
    climb.answer(text)
    if number % 5 == 4:
        climb.skip()
    if keeper.trouble or keeper.notice:
        print("trouble", keeper.trouble, keeper.notice, flush=True)
    else:
        os.write(1, f"kept {text}\\n".encode())
    number += 1
    time.sleep(0.002)
keeper.close()
"""
"""Answers without end; each is told of once ``answer`` has returned."""


class LostError(AssertionError):
    """An answer that was told of is not in the record, or the record is not sound."""


class _Tutor:
    def __init__(self, name: str, home: Path) -> None:
        self.told: list[str] = []
        self._process = subprocess.Popen(
            [sys.executable, "-c", TUTOR, name],
            stdout=subprocess.PIPE,
            encoding="utf-8",
            cwd=ROOT,
            env={**os.environ, "RUNGWISE_HOME": str(home)},
        )
        self._thread = threading.Thread(target=self._listen)
        self._thread.start()

    def _listen(self) -> None:
        assert self._process.stdout is not None
        for line in self._process.stdout:
            if line.endswith("\n"):
                self.told.append(line.rstrip("\n"))

    def wait_for(self, count: int) -> None:
        """Wait until so many answers were told of."""
        end = time.monotonic() + 60
        while len(self.told) < count:
            if time.monotonic() > end or self._process.poll() is not None:
                raise LostError(f"no answers, only {self.told}")
            time.sleep(0.002)

    def end(self, *, kill: bool = True) -> None:
        """Kill -9, or have it close the record; and hear the last of what it had told."""
        if kill:
            self._process.kill()
        else:
            self._process.terminate()
        self._process.wait()
        self._thread.join()
        assert self._process.stdout is not None
        self._process.stdout.close()


def run(kills: int, chance: Random, home: Path) -> int:
    """Kill so many tutors, one or two a round.

    Returns:
        How many answers were told of.

    Raises:
        LostError: see there.
    """
    file, told, turn = home / "record.sqlite3", set[str](), 0
    while kills > 0:
        _grow_old(file)
        tutors = [_Tutor(f"{turn}{letter}", home) for letter in "ab"]
        first, second = tutors if turn % 2 else tutors[::-1]
        killed = turn // 2 % 2 == 0
        try:
            for tutor in tutors:
                tutor.wait_for(1)
            time.sleep(chance.uniform(0, 0.5))
        finally:
            first.end(kill=killed)
            time.sleep(chance.choice([0, 0.02, 0.1, 0.2]))
            second.end()
        for tutor in tutors:
            for line in tutor.told:
                what, _, rest = line.partition(" ")
                if what == "kept":
                    told.add(rest)
                elif "in use" not in rest:  # two that never pause may keep each other waiting
                    raise LostError(f"turn {turn}: {line}")
        _hold_against(file, told, turn)
        kills -= 1 + killed
        turn += 1
    return len(told)


def _grow_old(file: Path) -> None:
    """Give the states an old form, as a release before this one leaves them."""
    if file.exists():
        with closing(sqlite3.connect(file)) as db:
            db.execute("UPDATE about SET value = '0' WHERE key = 'states'")
            db.commit()


def _hold_against(file: Path, told: set[str], turn: int) -> None:
    with closing(sqlite3.connect(file)) as db:
        said = [row[0] for row in db.execute("PRAGMA integrity_check")]
        if said != ["ok"]:
            raise LostError(f"turn {turn}: {said[:5]}")
        kept = {row[0] for row in db.execute("SELECT body ->> 'text' FROM events WHERE step > 0")}
        if lost := told - kept:
            raise LostError(f"turn {turn}: {len(lost)} answers are lost, such as {min(lost)}")
        (last,) = db.execute("SELECT seq FROM sqlite_sequence WHERE name = 'events'").fetchone()
        (count,) = db.execute("SELECT count(*) FROM events").fetchone()
        if last != count:
            raise LostError(f"turn {turn}: {last - count} events are missing")


def main() -> None:
    """Kill them, and say what came of it."""
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    chance = Random(int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    home = Path(tempfile.mkdtemp(prefix="rungwise-"))
    try:
        told = run(kills, chance, home)
        print(f"{kills} tutors killed, {told} answers told of: none is lost, and all is sound")
    finally:
        shutil.rmtree(home, ignore_errors=True)


if __name__ == "__main__":
    main()
