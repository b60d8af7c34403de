"""Standard streams that are closed, full, or have nobody at the other end."""

from __future__ import annotations

import os
import shlex
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.samples import sample

if sys.platform == "win32":
    pytest.skip("streams are closed and limited in the POSIX way", allow_module_level=True)

import resource

SOLVE = ("solve", "--json", "--text", "source 600 Ω; series L1 = 10 mH; shunt C1 = 100 nF")
LIMIT = 100


def rungwise(
    words: tuple[str, ...], folder: Path, redirections: str = "", **environment: str
) -> subprocess.CompletedProcess[str]:
    """A command in a shell that closes streams as asked."""
    line = f"exec {shlex.join([sys.executable, '-m', 'rungwise.tutor', *words])} {redirections}"
    home = {"RUNGWISE_HOME": str(folder), "PYTHONIOENCODING": "utf-8"}
    return subprocess.run(
        ["/bin/sh", "-c", line],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        env={**os.environ, **home, **environment},
        timeout=60,
    )


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with something in it."""
    folder = tmp_path_factory.mktemp("kept")
    subprocess.run(
        [sys.executable, "-m", "rungwise.tutor", "drill", "--plain", "--seed", "1"],
        input=b"a\n" * 40,
        capture_output=True,
        check=True,
        env={**os.environ, "RUNGWISE_HOME": str(folder)},
        timeout=60,
    )
    return folder


@pytest.fixture
def home(kept: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    return shutil.copytree(kept, tmp_path / "home")


WRITING = (
    SOLVE,
    ("progress", "--json"),
    ("progress", "--html"),
    ("record", "export", "-"),
    ("sheet", "start", "-"),
    ("families",),
    ("drill", "--plain", "--seed", "1"),
)


@pytest.mark.parametrize(
    ("words", "unbuffered"),
    # One that writes all at once, one that writes bytes, and one that goes on line by line.
    [(words, "") for words in WRITING]
    + [(words, "1") for words in sample((SOLVE, WRITING[3], WRITING[6]), WRITING)],
    ids=" ".join,
)
def test_a_full_disk_is_told(home: Path, words: tuple[str, ...], unbuffered: str) -> None:
    """A file may grow to so many bytes and no more: what the disk does when it is full."""
    with (home / "out").open("wb") as out:
        done = subprocess.run(
            [sys.executable, "-m", "rungwise.tutor", *words],
            stdin=subprocess.DEVNULL,
            stdout=out,
            stderr=subprocess.PIPE,
            text=True,
            env={
                **os.environ,
                "RUNGWISE_HOME": str(home),
                "PYTHONIOENCODING": "utf-8",
                "PYTHONUNBUFFERED": unbuffered,
                "PYTHONDONTWRITEBYTECODE": "1",
            },
            preexec_fn=_small_files,
            timeout=60,
        )
    assert done.returncode == 1
    assert done.stderr.startswith("rungwise: not everything could be written (file too large)")
    assert done.stderr.count("\n") == 1
    assert (home / "out").stat().st_size <= LIMIT


def _small_files() -> None:
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    # Standard error is a pipe, which has no such limit; so are the record's own files spared,
    # which these commands only read, or don't need.
    resource.setrlimit(resource.RLIMIT_FSIZE, (LIMIT, LIMIT))


@pytest.mark.parametrize(
    ("words", "redirections", "told"),
    [
        (("drill", "--plain", "--seed", "1"), "<&-", "standard input is closed"),
        (("drill", "--plain", "--seed", "1"), ">&-", "standard output is closed"),
        (("drill", "--plain", "--seed", "1"), "<&- >&-", "standard output is closed"),
        (("solve", "-"), "<&-", "standard input is closed"),
        (("rehearse", "--plain"), ">&-", "standard output is closed"),
        (("drill",), "<&-", "fills a terminal"),
        ((), "<&-", "fills a terminal"),
        ((), ">&-", "standard output is closed"),
        ((), "<&- >&-", "standard output is closed"),
        (("bench",), "<&-", "fills a terminal"),
        (("--version",), ">&-", "standard output is closed"),
    ],
)
def test_a_closed_stream_is_told(
    tmp_path: Path, words: tuple[str, ...], redirections: str, told: str
) -> None:
    done = rungwise(words, tmp_path, redirections)
    assert done.returncode == 2
    assert told in done.stderr and "Traceback" not in done.stderr
    assert done.stderr.count("\n") == 1


@pytest.mark.parametrize("words", [(), ("drill", "--plain", "--seed", "1"), ("families",)])
def test_nothing_is_open_at_all(tmp_path: Path, words: tuple[str, ...]) -> None:
    done = rungwise(words, tmp_path, "<&- >&- 2>&-")
    assert done.returncode == 2 and not done.stderr


def test_what_reads_nothing_needs_no_standard_input(tmp_path: Path) -> None:
    done = rungwise(SOLVE, tmp_path, "<&-")
    assert done.returncode == 0 and '"rungwise.facts/2"' in done.stdout and not done.stderr


def test_a_closed_pipe_ends_quietly(tmp_path: Path) -> None:
    script = f"{shlex.quote(sys.executable)} -m rungwise.tutor families | head -n 1"
    done = subprocess.run(
        ["/bin/sh", "-c", script],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1", "PYTHONIOENCODING": "utf-8"},
        timeout=60,
    )
    assert done.stdout.startswith("Level 1") and not done.stderr
