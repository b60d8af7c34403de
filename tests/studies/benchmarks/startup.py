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
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from .timing import once, paired

CIRCUIT = ["Vout", "Question 1 of"]
"""What a drill frame with a problem in it always holds."""
FIRST = ["One circuit in full", "100 nF", "1.59 kHz"]
"""What the opening screen holds at a first start."""
LATER = ["Until done", "Weakest skills"]
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

            goal = "at most 2.2 times" if title == "the drill" else "at most 1.6 times"
            paired(f"First painted frame: {title}", (title, ours), bare, 15, goal)


def memory() -> None:
    """Most memory in use from the start until everything has been painted, and a while after.

    Beside it the proportional share (Pss) of the program and all processes it started, at
    rest: nothing is hidden in a child.  And both once answers have been given, as what grades
    them has to be there by then.
    """
    print("\nMemory: most in use by the program, and share of it and its children at rest")
    print("  (goal: most in use at most twice; what follows an answer is reported beside it)")
    bare = _memory([sys.executable, str(BARE)], ["bare frame"])
    _tell("a bare Textual app", bare, bare)
    answers = [b"\x1b[B", b"\r"] * 4
    used = [(title, command, texts, keep, []) for title, command, texts, keep in _starts()]
    opening, drill = used[0], used[-1]
    for title, command, texts, keep, keys in [
        *used,
        (f"{drill[0]}, after four answers", *drill[1:4], answers),
        ("the drill from the opening, four answers", *opening[1:4], [b"n", *answers]),
    ]:
        with tempfile.TemporaryDirectory() as home:
            if keep:
                _fill(home)
            _tell(title, _memory(command, texts, home, keys), bare)


def _tell(title: str, used: tuple[float, float], bare: tuple[float, float]) -> None:
    shown = (f"{mb:7.1f} MB {mb / base:5.2f} times" for mb, base in zip(used, bare, strict=True))
    print(f"  {title:<40} {'   '.join(shown)}")


def _starts() -> list[tuple[str, list[str], list[str], bool]]:
    """What is started: title, command, texts that its first frame holds, with a record or not."""
    return [
        ("the opening screen, first start", [rungwise()], FIRST, False),
        ("the opening screen, with a record", [rungwise()], LATER, True),
        ("the drill", [rungwise(), "drill"], CIRCUIT, False),
    ]


def _fill(home: str) -> None:
    """Make a record: two problems climbed, with half of the answers wrong at first."""
    from rungwise.problems.grading.grade import right_text
    from rungwise.tutor.learning.climb import Climb
    from rungwise.tutor.learning.request import ProblemRequest
    from rungwise.tutor.store.keeper import Keeper

    keeper = Keeper(home=Path(home))
    for seed in range(2):
        wish = ProblemRequest(1, None, seed)
        climb = Climb(wish.problem(), keeper.begin(wish))
        while not climb.done:
            if climb.position % 2:
                climb.answer("77")
            climb.answer(right_text(climb.current.question))
    keeper.close()


def _until(command: list[str], texts: list[str], home: str = "") -> float:
    """Seconds until every text has been painted."""
    return _painted(command, texts, home, lambda pid, terminal: None)


def _memory(
    command: list[str], texts: list[str], home: str = "", keys: Sequence[bytes] = ()
) -> tuple[float, float]:
    """MB in use by a program a while after everything has been painted, and keys sent.

    Returns:
        The most it had in use (VmHWM), and the shares of it and its children (Pss).
    """
    found: list[float] = []

    def look(pid: int, terminal: int) -> None:
        _read_for(terminal, 1)
        for key in keys:
            os.write(terminal, key)
            _read_for(terminal, 0.7)
        most = _kilobytes(f"/proc/{pid}/status", "VmHWM")
        found.extend((most, sum(_kilobytes(f"/proc/{p}/smaps_rollup", "Pss") for p in _tree(pid))))

    _painted(command, texts, home, look)
    return found[0] / 1024, found[1] / 1024


def _kilobytes(file: str, what: str) -> int:
    lines = Path(file).read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith(f"{what}:"))


def _tree(pid: int) -> Iterator[int]:
    """A process and all that it or one of its children has started."""
    yield pid
    for task in Path(f"/proc/{pid}/task").iterdir():
        for child in (task / "children").read_text().split():
            yield from _tree(int(child))


def _read_for(terminal: int, seconds: float) -> None:
    """Take what is painted: a program whose terminal is full waits."""
    end = time.perf_counter() + seconds
    while (left := end - time.perf_counter()) > 0:
        if select.select([terminal], [], [], left)[0]:
            os.read(terminal, 65536)


def _painted(
    command: list[str], texts: list[str], home: str, then: Callable[[int, int], None]
) -> float:
    """Start a program in a pseudo-terminal; seconds until it has painted every text.

    ``then`` is called with the process and the terminal.

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
                    taken = time.perf_counter() - start
                    then(pid, terminal)
                    return taken
    finally:
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
        os.close(terminal)
    raise SystemExit(f"{command[0]} painted none of {texts} in time")
