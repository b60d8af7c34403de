"""``rungwise serve`` in a process of its own, and what it leaves behind."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.support.children import SECONDS


class Served:
    """A running server: its address, its process."""

    def __init__(self, process: subprocess.Popen[str], address: str) -> None:
        self.process = process
        self.address = address
        self.port = int(address.rsplit(":", 1)[1].strip("/"))
        self.origin = address.rstrip("/")

    def tutors(self) -> list[int]:
        """The processes that it has started and that still run."""
        return children(self.process.pid)

    def stop(self, by: int = signal.SIGINT) -> tuple[int, str]:
        """Interrupt it; its exit status and the rest of what it says."""
        self.process.send_signal(by)
        said, _ = self.process.communicate(timeout=30)
        return self.process.returncode, said


@contextmanager
def serving(home: Path, *options: str) -> Iterator[Served]:
    """A server with records under ``home``, at a free port."""
    process = subprocess.Popen(
        [sys.executable, "-m", "rungwise.tutor", "serve", "--port", "0", *options],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env={**os.environ, "RUNGWISE_HOME": str(home)},
        start_new_session=True,
    )
    assert process.stdout is not None
    starting = threading.Timer(SECONDS, process.kill)  # a line that never comes ends then, too
    starting.start()
    try:
        address = None
        while address is None:
            line = process.stdout.readline()
            assert line, f"ended with {process.wait(60)}"
            address = re.search(r"http://127\.0\.0\.1:\d+/", line)
        starting.cancel()
        yield Served(process, address[0])
    finally:
        starting.cancel()
        if process.poll() is None:
            process.terminate()
            try:
                print(process.communicate(timeout=30)[0])  # shown when a test fails
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait(60)
                raise
        process.stdout.close()


def _listed() -> dict[int, tuple[int, str]]:
    """Process → its parent and its state ("Z" has ended and waits for its parent)."""
    found = {}
    if Path("/proc/self/stat").exists():
        for path in Path("/proc").glob("[0-9]*/stat"):
            try:
                text = path.read_text(errors="replace")
            except OSError:  # it has ended meanwhile
                continue
            # The name in brackets may hold anything, blanks and brackets too: proc_pid_stat(5).
            state, parent = text[text.rindex(")") + 1 :].split()[:2]
            found[int(path.parent.name)] = int(parent), state
    else:
        listed = subprocess.run(
            ["ps", "-A", "-o", "pid=,ppid=,stat="],
            capture_output=True,
            text=True,
            check=True,
            timeout=60,
        )
        for line in listed.stdout.splitlines():
            process, parent, state = line.split()[:3]
            found[int(process)] = int(parent), state[0]
    return found


def children(parent: int) -> list[int]:
    """The processes that run and whose parent is ``parent``."""
    return [pid for pid, (above, state) in _listed().items() if above == parent and state != "Z"]


def alive(process: int) -> bool:
    """Whether a process runs."""
    return _listed().get(process, (0, "Z"))[1] != "Z"


def wait_until(true: Callable[[], bool], seconds: float = 15) -> bool:
    """Whether something becomes true in time."""
    deadline = time.monotonic() + seconds
    while not true():
        if time.monotonic() > deadline:
            return False
        time.sleep(0.05)
    return True
