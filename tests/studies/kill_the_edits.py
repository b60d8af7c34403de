"""Kill -9 while a class is made of a roster that is edited: nobody else's bytes change.

``python -m tests.studies.kill_the_edits [EDITS] [SEED]`` makes a class, then edits its roster so
many times (30): students are put in, taken out, moved and renamed.  After each edit the command is
killed up to three times at a random moment of its work and then comes to its end.  A second folder
is made of the same rosters in peace: both must be the same to the byte, and everybody whose own
line was not changed must have the files that they had.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from random import Random

from tests.studies.kill_the_making import PLAN, LostError, content

FIRST = 12
Line = tuple[str, str, str]
"""Id, name and group of a student."""


def kill_the_edits(edits: int, chance: Random, folder: Path, variants: str = "") -> int:
    """Edit and kill so many times.

    Args:
        edits: how often the roster is edited.
        chance: decides about edits and kills.
        folder: where to work.
        variants: a line of the plan that names some, or nothing.

    Returns:
        How many kills came while it was at work.

    Raises:
        LostError: something is not the same.
    """
    (folder / "plan.toml").write_text(PLAN.replace("[[", f"{variants}\n[[", 1), encoding="utf-8")
    roster = [(f"{n:03d}", f"Student {n}", "Thu 10:00") for n in range(FIRST)]
    seconds = _finish(folder, "peace", roster)
    _finish(folder, "killed", roster)
    hits = 0
    for turn in range(edits):
        before, old = content(folder / "killed" / "students"), set(roster)
        roster = _edited(roster, chance, turn)
        _write(folder, roster)
        for _ in range(chance.randrange(4)):
            process = subprocess.Popen(
                _command(folder, "killed"),
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
            )
            time.sleep(chance.uniform(0.3, 1) * seconds)
            hits += process.poll() is None
            process.kill()
            process.wait(60)
        _finish(folder, "killed", roster)
        _finish(folder, "peace", roster)
        after, peace = content(folder / "killed"), content(folder / "peace")
        if after != peace:
            names = sorted(n for n in {*after, *peace} if after.get(n) != peace.get(n))
            raise LostError(f"edit {turn}: not the same: {names}")
        now = content(folder / "killed" / "students")
        same = [name for _, name, _ in old & set(roster)]
        for path, data in before.items():
            known = any(f"-{name.lower().replace(' ', '-')}/" in path for name in same)
            if known and now.get(path) != data:
                raise LostError(f"edit {turn}: {path} has changed")
    return hits


def _edited(roster: Sequence[Line], chance: Random, turn: int) -> list[Line]:
    people = [*roster]
    for _ in range(chance.randrange(1, 4)):
        row = chance.randrange(len(people))
        match chance.randrange(4):
            case 0:
                people.insert(row, (f"{100 + turn}{len(people)}", f"New {turn} {row}", "Fri"))
            case 1 if len(people) > 4:
                del people[row]
            case 2:
                people[row] = (people[row][0], f"Renamed {turn} {row}", people[row][2])
            case _:
                chance.shuffle(people)
    return people


def _write(folder: Path, roster: Sequence[Line]) -> None:
    lines = ["id,name,group", *(",".join(line) for line in roster)]
    (folder / "roster.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")


def _command(folder: Path, out: str) -> list[str]:
    words = ["sheet", "make", str(folder / "plan.toml"), "--students", str(folder / "roster.csv")]
    words += ["--out", str(folder / out), "--formats", "json", "--workers", "1"]
    return [sys.executable, "-m", "rungwise.tutor", *words]


def _finish(folder: Path, out: str, roster: Sequence[Line]) -> float:
    """Make all of it; the seconds that it took."""
    _write(folder, roster)
    began = time.monotonic()
    done = subprocess.run(_command(folder, out), capture_output=True, check=False, timeout=300)
    if done.returncode:
        raise LostError(done.stderr.decode())
    return time.monotonic() - began


def main() -> None:
    """Edit and kill, with variants and without, and say what came of it."""
    edits = int(sys.argv[1]) if len(sys.argv) > 1 else 30
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    for variants in ("", 'variants = ["A", "B"]'):
        folder = Path(tempfile.mkdtemp(prefix="rungwise-"))
        try:
            hits = kill_the_edits(edits, Random(seed), folder, variants)
        finally:
            shutil.rmtree(folder, ignore_errors=True)
        print(f"{edits} edits, {hits} kills at work ({variants or 'no variants'}): all the same")


if __name__ == "__main__":
    main()
