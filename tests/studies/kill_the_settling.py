"""Three rounds of settling, killed with -9 at random moments: no decision is lost or turned back.

``python -m tests.studies.kill_the_settling [KILLS] [SEED]`` writes a class of which in every round
more hand-ins come, with answers that can't be read.  In each round it is marked; some of what waits
is decided in plain lines, some on the full screen in tmux, some in a table that is saved as CSV,
XLSX or ODS under one of its names; some is decided anew; and tables of earlier rounds come back.
Each of the four is killed so many times (3) a round, in the middle of a line, a key or a marking.

Whatever was acknowledged ("Kept: …", or the next group on the screen, or a marking that came to its
end) must count from then on, until something else about it is acknowledged; what was not may count
or not.  In the end the points of every student are held against what was decided.
"""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from random import Random

from rungwise.tutor.classroom.marking.decided import KEPT, keep
from rungwise.tutor.classroom.marking.marks import QuestionOutcome

from tests.support.tmux_stage import Terminal
from tests.tutor.classroom.alike_class import AlikeClass
from tests.tutor.classroom.saved_tables import KINDS

ROUNDS, EACH, ALIKE = 3, 7, 2
"""Rounds, texts that come in each of them, and students who hand the same text in."""
PATIENCE = 120.0
"""Seconds for one run; long, since it matters only where something is broken."""
CHOICES = (("0", "0", ""), ("half", "1/2", ""), ("full", "1", ""), ("read 1", "", "1"))
"""What is typed in plain lines, and the points and the text that it decides."""
KEYS = {"0": ("0", ""), "h": ("1/2", ""), "f": ("1", "")}
"""What is pressed on the screen, and what it decides."""
NAMES = ("settled", "unclear (1)", "unclear (2)", "Settled - Copy")
_KEPT = re.compile(r"^Kept: “(.+?)” ", re.MULTILINE)
_LISTED = re.compile(r"^(?:> )?(\d+)  \S+ [^“\n]*“(.+?)”", re.MULTILINE)
_NAME = "abcdefghijklmnopqrstuvwxyz"

Content = tuple[str, str]


class DecisionLostError(AssertionError):
    """A decision that was acknowledged does not count, or counts no longer."""


@dataclass
class Decided:
    """What must count: of each text what was acknowledged last, and what was tried since."""

    may: dict[str, list[Content | None]] = field(default_factory=dict)
    kills: int = 0
    acknowledged: int = 0

    def tried(self, text: str, content: Content) -> None:
        """Something was sent, and nothing has been said of it yet."""
        self.may.setdefault(text, [None]).append(content)

    def told(self, text: str) -> None:
        """The last that was sent about a text is acknowledged."""
        self.may[text] = [self.may[text][-1]]
        self.acknowledged += 1

    def check(self, marks: Path) -> None:
        """Hold it against what is on the disk.

        Raises:
            DecisionLostError: something else counts.
        """
        path = marks / KEPT
        found = keep(path.read_bytes() if path.exists() else b"", ()).decisions
        counts = {one.typed: now.content for one in found if (now := found.about(one.tag))}
        for text, contents in self.may.items():
            if counts.get(text) not in contents:
                raise DecisionLostError(f"{text}: {counts.get(text)} counts, of {contents}")


@dataclass
class Session:
    """A class that is settled, and what is done to it."""

    room: AlikeClass
    home: Path
    chance: Random
    decided: Decided = field(default_factory=Decided)
    tables: list[tuple[str, bytes]] = field(default_factory=list)
    seconds: float = 1.0

    def command(self, *words: str) -> list[str]:
        """A command of the program."""
        return [sys.executable, "-m", "rungwise.tutor", "sheet", *words]

    def come(self, turn: int, each: int) -> None:
        """More hand-ins come, with texts that nobody has seen yet."""
        for number in range(each):
            text = f"maybe {_NAME[turn]}{_NAME[number]} poles"
            for place in range(ALIKE):
                student = 1 + (turn * each + number) * ALIKE + place
                self.room.hand_in(student, q1_2=text)

    def mark(self, kills: int) -> None:
        """Mark, killed so many times on the way; then to its end."""
        words = self.command("mark", str(self.room.out), str(self.room.back))
        for _ in range(kills):
            with subprocess.Popen(words, stdout=subprocess.DEVNULL) as marking:
                try:
                    marking.wait(self.chance.uniform(0.2, 1.1) * self.seconds)
                except subprocess.TimeoutExpired:
                    marking.kill()
                    self.decided.kills += 1
            self.decided.check(self.room.marks)
        start = time.monotonic()
        subprocess.run(words, check=True, timeout=PATIENCE, stdout=subprocess.DEVNULL)
        self.seconds = time.monotonic() - start

    def in_lines(self, count: int, *, kill: bool) -> None:
        """Decide in plain lines, of so many texts the last one killed on the way."""
        words = self.command("settle", str(self.room.out), "--plain")
        pipe = subprocess.PIPE
        with subprocess.Popen(words, stdin=pipe, stdout=pipe, encoding="utf-8", bufsize=1) as plain:
            assert plain.stdin is not None and plain.stdout is not None
            _until_prompt(plain.stdout)
            print("list", file=plain.stdin, flush=True)
            places = {text: place for place, text in _LISTED.findall(_until_prompt(plain.stdout))}
            texts = self.chance.sample(sorted(places), min(count, len(places)))
            for text in texts:
                typed, *content = self.chance.choice(CHOICES)
                print(f"go {places[text]}", file=plain.stdin, flush=True)
                _until_prompt(plain.stdout)
                self.decided.tried(text, (content[0], content[1]))
                print(typed, file=plain.stdin, flush=True)
                if kill and text is texts[-1]:
                    time.sleep(self.chance.uniform(0, 0.01))
                    plain.kill()
                    self.decided.kills += 1
                    said = plain.stdout.read()
                else:
                    said = _until_prompt(plain.stdout)
                if text in _KEPT.findall(said):
                    self.decided.told(text)
                elif not kill:
                    raise DecisionLostError(f"{text} is not acknowledged: {said}")
            plain.stdin.close()
        self.decided.check(self.room.marks)

    def on_screen(self, count: int, *, kill: bool) -> None:
        """Decide about the groups that wait on the full screen; killed after the last key."""
        with Terminal((100, 30), self.home) as terminal:
            terminal.start("sheet", "settle", str(self.room.out))
            for number in range(count):
                text = _on_screen(terminal, "Typed")
                if not text:
                    break
                key = self.chance.choice(sorted(KEYS))
                self.decided.tried(text, KEYS[key])
                terminal.type(key)
                if kill and number == count - 1:
                    time.sleep(self.chance.uniform(0, 0.05))
                    seen = f"Decided: “{text}”" in terminal.screen()
                    os.kill(terminal.shell(), signal.SIGKILL)
                    self.decided.kills += 1
                    if seen:
                        self.decided.told(text)
                    break
                _wait_for(terminal, f"Decided: “{text}”")
                self.decided.told(text)
            else:
                terminal.press("escape")
                terminal.wait_for_end()
        self.decided.check(self.room.marks)

    def in_a_table(self, count: int) -> None:
        """Fill some rows of unclear.csv in, and save it; tables of earlier rounds come back."""
        rows = [row["typed"] for row in self.room.rows()]
        texts = [text for text in rows if text not in self.decided.may][:count]
        filled = {}
        for text in texts:
            _, points, read = self.chance.choice(CHOICES)
            self.decided.tried(text, (points, read))
            filled[text] = {"points": points, "corrected": read}
        kind = self.chance.choice(KINDS)
        name = f"{self.chance.choice(NAMES)}.{kind.partition('.')[2]}"
        for old in self.room.marks.glob("*"):  # they lie there no longer, or come back
            if old.name in {name for name, _ in self.tables}:
                old.unlink()
        if rows:
            data = self.room.fill_in(lambda row: filled.get(row["typed"], {}), name, kind)
            self.tables.append((name, data))
        for old_name, data in self.chance.sample(self.tables, min(2, len(self.tables))):
            stem, _, ending = old_name.rpartition(".")
            again = f"{stem} ({len(self.tables)}).{ending}"
            (self.room.marks / again).write_bytes(data)
            self.tables.append((again, data))
        self.mark(0)
        for text in texts:
            self.decided.told(text)
        self.decided.check(self.room.marks)

    def compare(self) -> None:
        """Hold the marks against what was decided.

        Raises:
            DecisionLostError: somebody has other points.
        """
        for student in self.room.found().students:
            for mark in student.questions:
                contents = self.decided.may.get(mark.typed)
                if not contents:
                    continue
                now = {_points(content, mark.of) for content in contents}
                waits = mark.verdict is QuestionOutcome.UNCLEAR
                if (None if waits else mark.points) not in now:
                    raise DecisionLostError(f"{mark.typed}: {mark.points} points, of {now}")


def _points(content: Content | None, of: Fraction) -> Fraction | None:
    if content is None:
        return None
    return Fraction(content[0]) if content[0] else of


def _until_prompt(stream: object) -> str:
    """What is written up to the next prompt."""
    said = ""
    while not said.endswith("\n> ") and said != "> ":
        piece = stream.read(1)  # type: ignore[attr-defined]
        if not piece:
            return said
        said += piece
    return said


def _on_screen(terminal: Terminal, name: str) -> str:
    """What stands behind a name on the screen, once it is there; "" where nothing waits."""
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:
        screen = terminal.screen()
        if "Nothing is open any more" in screen or "No answer waits" in screen:
            return ""
        match = re.search(rf"{name}  (.+?)\s*$", screen, re.MULTILINE)
        if match and "Why" in screen:
            return match[1]
        time.sleep(0.02)
    raise AssertionError(terminal.screen())


def _wait_for(terminal: Terminal, text: str) -> None:
    end = time.monotonic() + PATIENCE
    while text not in terminal.screen():
        assert time.monotonic() < end, terminal.screen()
        time.sleep(0.01)


def settle(folder: Path, kills: int, each: int, chance: Random, *, screen: bool = True) -> Decided:
    """Three rounds; what came of it.

    Args:
        folder: an empty one.
        kills: of each kind, in each round.
        each: texts that come in a round.
        chance: decides all there is to decide.
        screen: whether the full screen has its part, which needs tmux.

    Raises:
        DecisionLostError: something was lost or turned back.
    """
    (folder / "home").mkdir()
    room = AlikeClass(folder, ROUNDS * each * ALIKE)
    session = Session(room, folder / "home", chance)
    for turn in range(ROUNDS):
        session.come(turn, each)
        session.mark(kills)
        for _ in range(kills):
            session.in_lines(2, kill=True)
        session.in_a_table(2)
        if screen:
            for _ in range(kills):
                session.on_screen(2, kill=True)
        session.mark(kills)
    session.in_lines(2, kill=False)
    session.mark(0)
    session.compare()
    return session.decided


def main() -> None:
    """Settle, and say what came of it."""
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    with tempfile.TemporaryDirectory(prefix="rungwise-") as name:
        start = time.monotonic()
        tmux = shutil.which("tmux") is not None
        found = settle(Path(name), kills, EACH, Random(seed), screen=tmux)
        seconds = time.monotonic() - start
    print(
        f"{ROUNDS} rounds, killed {found.kills} times, {found.acknowledged} decisions "
        f"acknowledged: none lost, none turned back ({seconds:.0f} s)"
    )


if __name__ == "__main__":
    main()
