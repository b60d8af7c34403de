"""Kill -9 at random moments: made again, the files are the same to the byte.

``python -m tests.studies.kill_the_making [COUNT] [SEED]`` makes a class's sheets once in peace.
Then it
kills ``rungwise sheet make`` so many times (50), at a random moment of its work, one to three
times in the same folder; holds whatever is there against the files made in peace, as no file may
be there by half; lets the command come to its end, and compares every byte.  No worker may
outlive the command that it worked for.
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

PLAN = """
format = "rungwise.plan/3"
title = "Killed"
seed = 1152921504606846987
[[sections]]
title = "One"
levels = [1, 2]
problems = 2
[[sections]]
title = "Two"
task = "sketch"
levels = [2]
problems = 1
"""
STUDENTS = 16
PATIENCE = 20.0
"""Seconds that workers have to notice that nobody is left."""


class LostError(AssertionError):
    """Something is there by half, lost, other than it should be, or still running."""


def command(folder: Path, out: str, formats: str, count: int) -> list[str]:
    """The command that is killed."""
    words = ["sheet", "make", str(folder / "plan.toml"), "--count", str(count)]
    words += ["--out", str(folder / out), "--formats", formats, "--workers", "2"]
    return [sys.executable, "-m", "rungwise.tutor", *words]


def content(folder: Path) -> dict[str, bytes]:
    """All files below a folder."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def running(out: Path) -> list[int]:
    """Processes that were started in the folder above and are still there (Linux)."""
    found = []
    for entry in Path("/proc").iterdir():
        try:
            if entry.name.isdigit() and (entry / "cwd").resolve() == out.parent:
                found.append(int(entry.name))
        except OSError:
            continue
    return [pid for pid in found if pid != os.getpid()]


def kill_the_making(
    turns: int, chance: Random, folder: Path, *, formats: str = "json,text", count: int = STUDENTS
) -> int:
    """Kill it so many times.

    Returns:
        How many kills came while it was at work.

    Raises:
        LostError: see there.
    """
    folder = folder.resolve()
    (folder / "plan.toml").write_text(PLAN, encoding="utf-8")
    began = time.monotonic()
    subprocess.run(
        command(folder, "peace", formats, count), check=True, capture_output=True, timeout=300
    )
    seconds = time.monotonic() - began
    peace = content(folder / "peace")
    hits = done = 0
    while done < turns:
        out = folder / "killed"
        shutil.rmtree(out, ignore_errors=True)
        for _ in range(min(chance.randrange(1, 4), turns - done)):
            process = subprocess.Popen(
                command(folder, "killed", formats, count),
                cwd=folder,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
            )
            if chance.random() < 0.3:  # whatever it is at, starting up included
                time.sleep(chance.uniform(0, 0.7 * seconds))
            else:
                _wait_for_files(process, out, chance.randrange(len(peace)))
                time.sleep(chance.uniform(0, 0.05))
            hits += process.poll() is None
            process.kill()
            process.wait(60)
            done += 1
            _check_whole(content(out) if out.exists() else {}, peace)
        _check_nobody(out)
        last = subprocess.run(
            command(folder, "killed", formats, count),
            cwd=folder,
            capture_output=True,
            check=False,
            timeout=300,
        )
        if last.returncode:
            raise LostError(last.stderr.decode())
        after = content(out)
        if after != peace:
            names = sorted(n for n in {*after, *peace} if after.get(n) != peace.get(n))
            raise LostError(f"after {done} kills these are not the same: {names}")
    return hits


def _wait_for_files(process: subprocess.Popen[bytes], out: Path, count: int) -> None:
    """Wait until so many files are there, or the command has ended."""
    while process.poll() is None and sum(path.is_file() for path in out.rglob("*")) < count:
        time.sleep(0.005)


def _check_whole(there: dict[str, bytes], peace: dict[str, bytes]) -> None:
    """Whatever has its own name is whole."""
    for name, data in there.items():
        file = name.rpartition("/")[2]
        if file.endswith(".part") or file.startswith(".making"):
            continue
        if data != peace.get(name):
            raise LostError(f"{name} is there, and is not what it should be")


def _check_nobody(out: Path) -> None:
    """No worker is left."""
    if sys.platform != "linux":
        return
    end = time.monotonic() + PATIENCE
    while left := running(out):
        if time.monotonic() > end:
            for pid in left:
                os.kill(pid, signal.SIGKILL)
            raise LostError(f"{len(left)} workers outlived their command")
        time.sleep(0.05)


def main() -> None:
    """Kill it, and say what came of it."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    chance, done, hits = Random(seed), 0, 0
    while done < count:
        part = min(10, count - done)
        folder = Path(tempfile.mkdtemp(prefix="rungwise-"))
        try:
            hits += kill_the_making(part, chance, folder)
        finally:
            shutil.rmtree(folder, ignore_errors=True)
        done += part
        print(f"killed {done} times, {hits} of them at work; all bytes are the same", flush=True)


if __name__ == "__main__":
    main()
