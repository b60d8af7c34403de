"""Start-up: ``--version`` against a bare interpreter, first frames and memory against Textual.

Run it with the interpreter of a virtual environment that holds the project as a wheel, as
learners have it: a checkout that may not write byte code is compiled anew at every start.
"""

from __future__ import annotations

import fcntl
import os
import pty
import select
import shutil
import signal
import struct
import subprocess
import sys
import tempfile
import termios
import time
from collections.abc import Callable
from pathlib import Path

from .timing import once, paired

CIRCUIT = ["Vout", "Question 1 of"]
"""What a drill frame with a problem in it always holds."""
FIRST = ["First problem", "100 nF", "1.59 kHz"]
"""What the opening screen holds at a first start."""
LATER = ["Next problem", "Weakest skills", "problems to go"]
"""What it holds for somebody with a record."""

BARE = Path(__file__).with_name("bare.py")


def rungwise() -> str:
    """The installed command, beside this interpreter.

    Raises:
        SystemExit: it is not installed.
    """
    beside = Path(sys.executable).with_name("rungwise")
    found = str(beside) if beside.exists() else shutil.which("rungwise")
    if not found:
        raise SystemExit("install the project first: pip install .")
    return found


def version() -> None:
    """``rungwise --version`` and ``python -c pass``."""
    paired(
        "Start-up of the command",
        ("rungwise --version", lambda: once(lambda: _run([rungwise(), "--version"]))),
        ("python -c pass", lambda: once(lambda: _run([sys.executable, "-c", "pass"]))),
        40,
        "at most 2.5 times",
    )


def _run(command: list[str]) -> None:
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)


def first_frame() -> None:
    """From process start until everything has been painted, at 120x40."""
    bare = ("a bare Textual app", lambda: _until([sys.executable, str(BARE)], ["bare frame"]))
    for title, command, texts, keep in _starts():
        with tempfile.TemporaryDirectory() as home:
            if keep:
                _fill(home)

            def ours(words: list[str] = command, wanted: list[str] = texts) -> float:
                return _until(words, wanted, home)

            paired(f"First painted frame: {title}", (title, ours), bare, 15, "at most 1.3 times")


def memory() -> None:
    """Most memory in use from the start until everything has been painted, and a while after."""
    bare = ("a bare Textual app", _megabytes([sys.executable, str(BARE)], ["bare frame"]))
    print("\nMost memory in use  (goal: at most 1.5 times)")
    base = bare[1]
    print(f"  {bare[0]:<44} {base:10.1f} MB")
    for title, command, texts, keep in _starts():
        with tempfile.TemporaryDirectory() as home:
            if keep:
                _fill(home)
            used = _megabytes(command, texts, home)
        print(f"  {title:<44} {used:10.1f} MB   {used / base:.2f} times")


def _starts() -> list[tuple[str, list[str], list[str], bool]]:
    """What is started: title, command, texts that its first frame holds, with a record or not."""
    return [
        ("the opening screen, first start", [rungwise()], FIRST, False),
        ("the opening screen, with a record", [rungwise()], LATER, True),
        ("the drill", [rungwise(), "drill"], CIRCUIT, False),
    ]


def _fill(home: str) -> None:
    """Make a record: two problems climbed, with half of the answers wrong at first."""
    from rungwise.problems.grader import right_text
    from rungwise.tutor.climb import Climb
    from rungwise.tutor.store.keeper import Keeper
    from rungwise.tutor.wish import Wish

    keeper = Keeper(home=Path(home))
    for seed in range(2):
        wish = Wish(1, None, seed)
        climb = Climb(wish.problem(), keeper.begin(wish))
        while not climb.done:
            if climb.position % 2:
                climb.answer("77")
            climb.answer(right_text(climb.current.question))
    keeper.close()


def _until(command: list[str], texts: list[str], home: str = "") -> float:
    """Seconds until every text has been painted."""
    return _painted(command, texts, home, lambda pid: None)[0]


def _megabytes(command: list[str], texts: list[str], home: str = "") -> float:
    """Megabytes in use by the program a second after every text has been painted."""

    def most(pid: int) -> float:
        time.sleep(1)
        lines = Path(f"/proc/{pid}/status").read_text().splitlines()
        return next(int(line.split()[1]) for line in lines if line.startswith("VmHWM")) / 1024

    return _painted(command, texts, home, most)[1] or 0.0


def _painted(
    command: list[str], texts: list[str], home: str, then: Callable[[int], float | None]
) -> tuple[float, float | None]:
    """Start a program in a pseudo-terminal; seconds until it has painted every text, and ``then``.

    Raises:
        SystemExit: the program ended, or 20 s passed, without painting them.
    """
    start = time.perf_counter()
    pid, terminal = pty.fork()
    if pid == 0:
        os.environ.update(TERM="xterm-256color", COLORTERM="truecolor", COLUMNS="120", LINES="40")
        os.environ["RUNGWISE_HOME"] = home
        os.execv(command[0], command)
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 40, 120, 0, 0))
    seen = b""
    wanted = [text.encode() for text in texts]
    try:
        while time.perf_counter() - start < 20:
            if select.select([terminal], [], [], 0.5)[0]:
                try:
                    seen += os.read(terminal, 65536)
                except OSError:
                    break
                if all(text in seen for text in wanted):
                    return time.perf_counter() - start, then(pid)
    finally:
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
        os.close(terminal)
    raise SystemExit(f"{command[0]} painted none of {texts} in time")
