"""``rungwise serve`` in a process of its own, and what it leaves behind."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path


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
    try:
        address = None
        while address is None:
            line = process.stdout.readline()
            assert line, f"ended with {process.wait()}"
            address = re.search(r"http://127\.0\.0\.1:\d+/", line)
        yield Served(process, address[0])
    finally:
        if process.poll() is None:
            process.terminate()
            print(process.communicate(timeout=30)[0])  # shown when a test fails
        process.stdout.close()


def children(parent: int) -> list[int]:
    """The processes whose parent is ``parent``."""
    listed = subprocess.run(
        ["ps", "-o", "pid=", "--ppid", str(parent)], capture_output=True, text=True, check=False
    )
    return [int(number) for number in listed.stdout.split()]


def alive(process: int) -> bool:
    """Whether a process runs (one that has ended and waits for its parent does not)."""
    listed = subprocess.run(
        ["ps", "-o", "stat=", "-p", str(process)], capture_output=True, text=True, check=False
    )
    return listed.stdout.strip()[:1] not in ("", "Z")


def wait_until(true: Callable[[], bool], seconds: float = 15) -> bool:
    """Whether something becomes true in time."""
    deadline = time.monotonic() + seconds
    while not true():
        if time.monotonic() > deadline:
            return False
        time.sleep(0.05)
    return True
