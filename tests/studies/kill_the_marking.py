"""Kill -9 `rungwise sheet mark` at random moments: begun again, it comes to the same bytes.

``python -m tests.studies.kill_the_marking [COUNT] [SEED]`` marks a class once, undisturbed
and without
workers; then over and over with two processes, killed so many times (50) on its way, and begun
again each time.  Now and then it is let come to its end, and every file of its marks is held
against those of the undisturbed run; then it is marked with another tolerance, so that earlier
marks and changes are made, and killed, too.  Nothing may be left in the folder but these files.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from random import Random

from tests.tutor.classroom.handed_in import as_csv, hand_in_all, make_class, typed, written

STUDENTS = 60
PATIENCE = 300.0
"""Seconds for one run; long, since it matters only where something is broken."""
TOLERANCES = ((), ("--tolerance", "5 %"))
FEW = 3
"""Kills on the way to one end, at most."""


class OtherBytesError(AssertionError):
    """A run that was killed and begun again has come to other files."""


def command(folder: Path, marks: Path, *words: str) -> list[str]:
    """The command that marks the class in a folder."""
    made, back = str(folder / "out"), str(folder / "back")
    command = [sys.executable, "-m", "rungwise.tutor", "sheet", "mark", made, back]
    return [*command, "--out", str(marks), *words]


def run(words: list[str]) -> float:
    """Let it come to its end; in how many seconds.

    Raises:
        AssertionError: it fails.
    """
    start = time.monotonic()
    found = subprocess.run(words, capture_output=True, text=True, timeout=PATIENCE, check=False)
    assert found.returncode == 0, found.stderr
    return time.monotonic() - start


def killed(words: list[str], after: float) -> bool:
    """Kill it after so many seconds; False if it had come to its end by then."""
    with subprocess.Popen(
        words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True
    ) as marking:
        try:
            marking.wait(after)
            return False
        except subprocess.TimeoutExpired:
            os.kill(marking.pid, signal.SIGKILL)
    return True


def prepare(folder: Path, students: int) -> None:
    """A class, its hand-ins, and some that make trouble."""
    make_class(folder / "out", students)
    hand_in_all(folder / "back", students)
    (folder / "back" / "again.csv").write_bytes(as_csv(2, typed(2, seed=9)))
    (folder / "back" / "whose.csv").write_bytes(b"question,answer\nQ1.1,a\n")


def expected(folder: Path) -> tuple[list[dict[str, bytes]], float]:
    """What an undisturbed run writes, first and with the other tolerance; seconds for one."""
    marks, found, seconds = folder / "undisturbed", [], 0.0
    for words in TOLERANCES:
        seconds = run(command(folder, marks, "--workers", "1", *words))
        found.append(written(marks))
    return found, seconds


def kill(folder: Path, count: int, chance: Random) -> tuple[int, int]:
    """Kill it so many times; how often it came to its end, and how often it was too quick."""
    good, seconds = expected(folder)
    marks = folder / "marks"
    done = ends = quick = 0
    while done < count:
        shutil.rmtree(marks, ignore_errors=True)
        for words, right in zip(TOLERANCES, good, strict=True):
            line = command(folder, marks, "--workers", "2", *words)
            for _ in range(min(chance.randint(1, FEW), count - done)):
                if killed(line, chance.uniform(0.1, 1.0) * 1.5 * seconds):
                    done += 1
                else:
                    quick += 1
            seconds = 0.8 * seconds + 0.2 * run(line)
            ends += 1
            compare(right, written(marks))
    return ends, quick


def compare(right: dict[str, bytes], found: dict[str, bytes]) -> None:
    """Hold files against those of the undisturbed run.

    Raises:
        OtherBytesError: they differ, or there are others.
    """
    if right.keys() != found.keys():
        raise OtherBytesError(f"other files: {sorted(right.keys() ^ found.keys())}")
    for name, data in right.items():
        if found[name] != data:
            raise OtherBytesError(f"{name} differs")


def main() -> None:
    """Kill it, and say what came of it."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    with tempfile.TemporaryDirectory(prefix="rungwise-") as name:
        folder = Path(name)
        prepare(folder, STUDENTS)
        ends, quick = kill(folder, count, Random(seed))
    print(
        f"killed {count} times ({quick} runs were too quick for it); {ends} runs came to their "
        "end, each with the bytes of the undisturbed one"
    )


if __name__ == "__main__":
    main()
