"""The full screen in a real (pseudo-)terminal: ended, closed, flooded, resized, without Unicode.

Whatever happens to the terminal, the program leaves at once and in order: no traceback, and
the terminal as it was found.
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
import termios
import time
from pathlib import Path
from types import SimpleNamespace, TracebackType

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rungwise.tutor.screens.compat.terminal_driver import BEGIN, END, MOST, Pastes, encoding_of_keys
from rungwise.tutor.store.keeper import Keeper

from tests.support.tmux_stage import Terminal as Tmux
from tests.tutor.browser.server import children, wait_until

PATIENCE = 40.0
"""Seconds to wait for what must come; long, since it matters only where something is broken."""
AT_ONCE = 5.0
"""Seconds given for leaving; it takes a fraction of one, but two cores may be busy."""

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="there are no such terminals")


class Terminal:
    """A terminal with the tutor in it."""

    def __init__(self, home: Path, size: tuple[int, int] = (80, 24), **more: str) -> None:
        self.held, self.given = pty.openpty()
        self.resize(*size)
        self.modes = termios.tcgetattr(self.given)
        environ = {
            "PATH": os.environ["PATH"],
            "HOME": str(home),
            "TERM": "xterm-256color",
            "LC_ALL": "C.UTF-8",
            "RUNGWISE_HOME": str(home),
            "PYTHONDONTWRITEBYTECODE": "1",
            **more,
        }
        self.process = subprocess.Popen(
            [sys.executable, "-m", "rungwise.tutor", "drill", "--level", "1", "--seed", "7"],
            stdin=self.given,
            stdout=self.given,
            stderr=self.given,
            env=environ,
            start_new_session=True,
            preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0),
            cwd=home,
        )
        self.sent = b""

    def __enter__(self) -> Terminal:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait(60)
        self.close()

    def close(self) -> None:
        """Close both ends, once: their numbers may be somebody else's afterwards."""
        handles, self.held, self.given = (self.held, self.given), -1, -1
        for handle in handles:
            if handle >= 0:
                os.close(handle)

    def resize(self, columns: int, rows: int) -> None:
        fcntl.ioctl(self.given, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    def read(self, seconds: float) -> None:
        """Take what the program sends, for so long or until it sends nothing any more."""
        until = time.monotonic() + seconds
        while (left := until - time.monotonic()) > 0:
            ready, _, _ = select.select([self.held], [], [], min(left, 0.2))
            if ready:
                try:
                    self.sent += os.read(self.held, 65536)
                except OSError:
                    return
            elif self.process.poll() is not None:
                return

    def wait_for(self, words: str) -> None:
        start = time.monotonic()
        while words.encode() not in self.sent:
            assert time.monotonic() - start < PATIENCE, self.sent[-2000:]
            assert self.process.poll() is None, self.sent[-2000:]
            self.read(0.2)

    def type(self, keys: bytes) -> None:
        while keys:
            _, writable, _ = select.select([], [self.held], [], 0.2)
            if writable:
                keys = keys[os.write(self.held, keys[:4000]) :]
            self.read(0.001)

    def left(self) -> int:
        """Wait for the end, which must come at once; the exit status."""
        start = time.monotonic()
        while self.process.poll() is None:
            assert time.monotonic() - start < AT_ONCE, "still there"
            self.read(0.05)
        self.read(0.2)
        return self.process.returncode

    def in_order(self) -> None:
        """No traceback, and the terminal as it was found."""
        assert b"Traceback" not in self.sent and b"Error" not in self.sent, self.sent[-3000:]
        assert b"\x1b[?1049l" in self.sent.rpartition(b"\x1b[?1049h")[2]  # the other screen
        assert b"\x1b[?25h" in self.sent[-200:]  # the cursor
        assert termios.tcgetattr(self.given) == self.modes
        for mode in (b"1000", b"1003", b"1006", b"2004"):  # mouse and paste
            if b"\x1b[?" + mode + b"h" in self.sent:
                after = self.sent.rpartition(b"\x1b[?" + mode + b"h")[2]
                assert b"\x1b[?" + mode + b"l" in after, mode


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path


def answered(terminal: Terminal) -> None:
    """One question answered, the next one begun to be typed or picked."""
    terminal.wait_for("Question 1 of")
    terminal.read(0.5)
    terminal.type(b"a\r")
    terminal.read(0.7)
    terminal.type(b"b")
    terminal.read(0.3)


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP], ids=lambda n: n.name)
def test_told_to_end_in_the_middle_of_an_answer(home: Path, number: signal.Signals) -> None:
    with Terminal(home) as terminal:
        answered(terminal)
        terminal.process.send_signal(number)
        assert terminal.left() in (128 + number, -number)  # as shells tell it, or the system
        terminal.in_order()


def test_the_terminal_is_closed_in_the_middle_of_an_answer(home: Path) -> None:
    with Terminal(home) as terminal:
        answered(terminal)
        terminal.close()  # as closing the window does: the program is hung up on
        start = time.monotonic()
        while terminal.process.poll() is None:
            assert time.monotonic() - start < AT_ONCE, "still there"
            time.sleep(0.05)
    assert not (home / "faults.log").exists()
    os.environ["RUNGWISE_HOME"], before = str(home), os.environ.get("RUNGWISE_HOME")
    try:
        keeper = Keeper()
        place = keeper.place()
        keeper.close()
    finally:
        os.environ.pop("RUNGWISE_HOME")
        if before is not None:
            os.environ["RUNGWISE_HOME"] = before
    assert place is not None and place.moves  # what was answered is in the record


def test_quitting_gives_the_terminal_back(home: Path) -> None:
    with Terminal(home) as terminal:
        answered(terminal)
        terminal.type(b"\x11")
        assert terminal.left() == 0
        terminal.in_order()


def test_a_megabyte_pasted_and_a_storm_of_sizes(home: Path) -> None:
    with Terminal(home) as terminal:
        terminal.wait_for("Question 1 of")
        terminal.type(b"\x1b[200~" + b"9" * 1_000_000 + b"\x1b[201~")
        terminal.read(0.5)
        for size in ((1, 1), (200, 60), (0, 0), (59, 19), (60, 20), (500, 3), (3, 200)) * 8:
            terminal.resize(*size)
            os.kill(terminal.process.pid, signal.SIGWINCH)
            terminal.read(0.01)
        terminal.type(b"\x1b[200~" + b"\x1b]0;x\x07\x00\xff\xfe" * 20_000 + b"\x1b[201~")
        terminal.resize(80, 24)
        os.kill(terminal.process.pid, signal.SIGWINCH)
        terminal.sent = terminal.sent[-200_000:]
        terminal.read(1.0)
        assert terminal.process.poll() is None, terminal.sent[-3000:]
        terminal.sent = b"\x1b[?1049h" + terminal.sent
        terminal.type(b"\x1b[17~\x1b[17~")  # F6 twice: it still listens, and paints
        terminal.read(1.0)
        terminal.type(b"\x11")
        assert terminal.left() == 0
        terminal.in_order()
        assert not (home / "faults.log").exists()


def test_a_terminal_without_unicode_is_sent_ascii_only(home: Path) -> None:
    with Terminal(home, PYTHONIOENCODING="latin-1", PYTHONUTF8="0") as terminal:
        answered(terminal)
        terminal.type(b"\x1bOQ")  # F2: a hint
        terminal.read(0.5)
        terminal.type(b"\x11")
        assert terminal.left() == 0
        terminal.in_order()
        assert b"~" in terminal.sent and terminal.sent.isascii()
        assert b"\\u" not in terminal.sent and b"\\x" not in terminal.sent


def test_ascii_on_request(home: Path) -> None:
    with Terminal(home, RUNGWISE_ASCII="1") as terminal:
        answered(terminal)
        terminal.type(b"\x11")
        assert terminal.left() == 0
        assert b"~" in terminal.sent and terminal.sent.isascii()


@pytest.mark.skipif(
    not (os.environ.get("CI") or shutil.which("tmux")), reason="tmux is not installed"
)
@pytest.mark.parametrize("number", [signal.SIGSTOP, signal.SIGTSTP], ids=lambda n: n.name)
def test_stopped_and_continued_all_is_painted_again(home: Path, number: signal.Signals) -> None:
    """Under a shell, which has the terminal meanwhile and leaves its own words on it."""
    command = f"{Path(sys.executable).with_name('rungwise')} drill --level 1 --seed 7"
    with Tmux((100, 30), home) as terminal:
        terminal.start_shell()
        terminal.wait_for("shell>")
        terminal.type(command + "\n")
        terminal.wait_for("Question 1 of", "F2 Hint")
        time.sleep(1)
        before = terminal.screen()
        [tutor] = children(terminal.shell())
        for _ in range(2):
            os.kill(tutor, number)
            terminal.wait_for("Stopped")
            terminal.type("printf 'spoilt %.0s' {1..400}\n")
            terminal.wait_for("spoilt spoilt")
            terminal.type("fg\n")
            assert wait_until(lambda: terminal.screen() == before, 20), terminal.screen()
        terminal.press("f1")  # it has the keyboard again, key by key
        terminal.wait_for("Each question is a rung")
        terminal.press("escape", "ctrl+q")
        terminal.wait_for("shell>")
        terminal.type("stty -a | tr ';' '\\n' | grep -c -w -e icanon -e isig\n")
        terminal.wait_for("shell>")
        assert wait_until(lambda: "-icanon" not in terminal.screen())


# --- what a terminal sends ------------------------------------------------------------------------


def cut(text: str, lengths: list[int]) -> list[str]:
    pieces = []
    for length in lengths:
        pieces.append(text[:length])
        text = text[length:]
    return [*pieces, text]


TYPED = st.text("ab1\x1b[~OP\x7f\r", max_size=12).filter(lambda t: "\x1b[2" not in t)
PASTED = st.text("ab1 \n\x1b]0;\x07\x00[~µ", max_size=30).filter(lambda t: "\x1b[201~" not in t)


@given(TYPED, PASTED, TYPED, st.lists(st.integers(0, 9), max_size=12))
def test_pastes_are_harmless_and_keys_are_untouched(
    before: str, pasted: str, after: str, lengths: list[int]
) -> None:
    pastes = Pastes()
    whole = before + BEGIN + pasted + END + after
    out = "".join(pastes.feed(piece) for piece in cut(whole, lengths))
    kept = "".join(c for c in pasted if c.isprintable() or c in "\n\r\t")
    assert out == before + BEGIN + kept + END + after


def test_a_paste_beyond_reason_is_cut_and_the_next_is_taken() -> None:
    pastes = Pastes()
    out = pastes.feed(BEGIN + "9" * (MOST + 50)) + pastes.feed("9" * 50 + END)
    assert out == BEGIN + "9" * MOST + END
    assert pastes.feed(f"{BEGIN}ab{END}c") == f"{BEGIN}ab{END}c"


@pytest.mark.parametrize("key", ["\x1b", "\x1b[", "\x1b[A", "\x1bOP", "\x1b[15~", "a"])
def test_no_key_is_held_back(key: str) -> None:
    assert Pastes().feed(key) == key


@pytest.mark.parametrize(
    ("said", "encoding"),
    [("utf-8", "utf-8"), ("UTF8", "utf-8"), ("latin-1", "iso8859-1"), ("ascii", "utf-8"),
     ("ANSI_X3.4-1968", "utf-8"), ("nonsense", "utf-8"), ("", "utf-8")],
)  # fmt: skip
def test_the_encoding_of_keys(said: str, encoding: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "__stdin__", SimpleNamespace(encoding=said))
    assert encoding_of_keys() == encoding
