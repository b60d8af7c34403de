"""Children of tests hear Ctrl+C also where the suite was started to ignore it, and have an end."""

from __future__ import annotations

import ast
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

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


TESTS = Path(__file__).parents[1]
RUNS = {"subprocess.run", "subprocess.call", "subprocess.check_call", "subprocess.check_output"}


WAITS = re.compile(r"subprocess|\bwait|communicate")


def unlimited(tree: ast.AST, within: bool = False) -> Iterator[str]:
    """Calls that may wait for a child for ever: runs without a time, waits outside ``limited``."""
    match tree:
        case ast.With(items=items):
            within |= any("limited" in ast.unparse(item.context_expr) for item in items)
        case ast.Await() | ast.AsyncFunctionDef():
            within = True  # what is awaited there is no process of this module's
        case ast.Call(func=func, args=args, keywords=keywords):
            name, given = ast.unparse(func), {keyword.arg for keyword in keywords}
            if name in RUNS and not given & {"timeout", None}:
                yield ast.unparse(tree)
            last = name.rpartition(".")[2]
            child = not name.startswith("bucket.")  # of messages; it tells how long to wait
            endless = last in ("wait", "communicate") and not args and "timeout" not in given
            endless |= name == "os.waitpid" and ast.unparse(args[1]) == "0"
            if endless and child and not within:
                yield ast.unparse(tree)
    for node in ast.iter_child_nodes(tree):
        yield from unlimited(node, within)


def test_no_child_is_waited_for_without_a_limit() -> None:
    """Studies apart, which somebody watches."""
    found = {
        f"{path.relative_to(TESTS)}: {call}"
        for room in TESTS.iterdir()
        if room.is_dir() and room.name not in ("studies", "support")
        for path in room.rglob("*.py")
        for text in (path.read_text("utf-8"),)
        if WAITS.search(text)  # trees of all the others would take long
        for call in unlimited(ast.parse(text))
    }
    assert not found


@pytest.mark.parametrize(
    ("code", "seen"),
    [
        ("child.wait()", True),
        ("child.wait(30)", False),
        ("child.communicate(timeout=9)", False),
        ("subprocess.run(words, check=False)", True),
        ("subprocess.run(words, timeout=5)", False),
        ("os.waitpid(pid, 0)", True),
        ("with limited(child):\n    child.wait()", False),
        ("with limited_fork(pid):\n    os.waitpid(pid, 0)", False),
    ],
)
def test_a_wait_without_a_limit_is_seen(code: str, seen: bool) -> None:
    assert bool([*unlimited(ast.parse(code))]) is seen
