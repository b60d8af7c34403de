"""Start-up: ``--version`` against a bare interpreter, the first frame against bare Textual."""

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
import termios
import time
from pathlib import Path

from .timing import once, paired

CIRCUIT = ["Vout", "Question 1 of"]
"""What a drill frame with a problem in it always holds."""

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
    """From process start until circuit and question have been painted, at 120x40."""
    paired(
        "First painted frame",
        ("rungwise: circuit and first question", lambda: _until([rungwise()], CIRCUIT)),
        ("a bare Textual app", lambda: _until([sys.executable, str(BARE)], ["bare frame"])),
        15,
        "at most 1.5 times",
    )


def _until(command: list[str], texts: list[str]) -> float:
    """Seconds until every text has been written to a pseudo-terminal.

    Raises:
        SystemExit: the program ended, or 20 s passed, without painting them.
    """
    start = time.perf_counter()
    pid, terminal = pty.fork()
    if pid == 0:
        os.environ.update(TERM="xterm-256color", COLORTERM="truecolor", COLUMNS="120", LINES="40")
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
                    return time.perf_counter() - start
    finally:
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
        os.close(terminal)
    raise SystemExit(f"{command[0]} painted none of {texts} in time")
