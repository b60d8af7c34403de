"""Children of tests hear Ctrl+C also where the suite was started to ignore it, and have an end."""

from __future__ import annotations

import signal
import subprocess
import sys
import time

import pytest

from tests.support.children import as_in_a_terminal, limited

SLEEPS = [sys.executable, "-c", "import time; print(flush=True); time.sleep(60)"]
posix = pytest.mark.skipif(sys.platform == "win32", reason="signals as POSIX has them")


@posix
def test_an_ignored_interruption_reaches_children_all_the_same() -> None:
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        with as_in_a_terminal():
            child = subprocess.Popen(SLEEPS, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        assert signal.getsignal(signal.SIGINT) is signal.SIG_IGN
    finally:
        signal.signal(signal.SIGINT, before)
    with child, limited(child):
        assert child.stdout is not None and child.stdout.readline()
        child.send_signal(signal.SIGINT)
        assert child.wait(30) == -signal.SIGINT


@posix
def test_who_waits_for_a_child_without_a_limit_waits_no_longer_than_it_may_take() -> None:
    began = time.monotonic()
    with subprocess.Popen(SLEEPS, stdout=subprocess.PIPE) as child, limited(child, 2.0):
        assert child.stdout is not None
        child.stdout.read()
        assert child.wait() == -signal.SIGKILL
    assert time.monotonic() - began < 50
