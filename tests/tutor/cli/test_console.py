"""What every command prints by: harmless, in signs that the stream has, one line a thing."""

from __future__ import annotations

import io
from contextlib import ExitStack, redirect_stderr, redirect_stdout
from functools import partial

import pytest
from rungwise.tutor.cli import console

from .test_command import modules

HOSTILE = "a\x1b[31mred\x07\u202eb"


class Streams:
    """Standard output in UTF-8 and standard error in ASCII, while it is entered."""

    def __init__(self, *, terminal: bool = False) -> None:
        self._out, self._err = io.BytesIO(), io.BytesIO()
        self._texts = [
            io.TextIOWrapper(self._out, "utf-8", newline=""),
            (_Terminal if terminal else io.TextIOWrapper)(self._err, "ascii", newline=""),
        ]
        self._stack = ExitStack()

    def __enter__(self) -> Streams:
        self._stack.enter_context(redirect_stdout(self._texts[0]))
        self._stack.enter_context(redirect_stderr(self._texts[1]))
        return self

    def __exit__(self, *error: object) -> None:
        self._stack.close()

    @property
    def out(self) -> str:
        return self._out.getvalue().decode("utf-8")

    @property
    def err(self) -> str:
        return self._err.getvalue().decode("ascii")


class _Terminal(io.TextIOWrapper):
    def isatty(self) -> bool:
        return True


@pytest.fixture(autouse=True)
def untold(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("RUNGWISE_ASCII", raising=False)


def test_nothing_that_steers_a_terminal_is_written() -> None:
    with Streams() as streams:
        console.write(f"{HOSTILE} 4.7 kΩ\r\nnext")
        console.warn(f"{HOSTILE}: 4.7 kΩ", "and more")
    assert streams.out == "a[31mredb 4.7 kΩ\r\nnext\n"
    assert streams.err == "rungwise: a[31mredb: 4.7 kohm\nrungwise: and more\n"


def test_failing_says_why_and_ends() -> None:
    with Streams() as streams, pytest.raises(SystemExit) as ended:
        console.fail("one", "two", status=console.FAILED)
    assert ended.value.code == 1
    assert streams.err == "rungwise: one\nrungwise: two\n" and not streams.out


@pytest.mark.parametrize("name", ["a\nb", "a\x1bb", "caf\udce9", "\ud800", "ü"])
def test_any_name_of_a_file_can_be_shown(name: str) -> None:
    with Streams() as streams:
        console.write(console.shown(name))
    assert streams.out.endswith("\n") and streams.out[:-1].isprintable()


@pytest.mark.parametrize("terminal", [False, True])
def test_a_line_is_painted_over_where_that_is_a_terminal(terminal: bool) -> None:
    with Streams(terminal=terminal) as streams, console.painted_over() as paint:
        for done in range(1, 1001):
            paint(partial("{} of 1000".format, done), done == 1000)
    if not terminal:
        assert not streams.err
        return
    assert streams.err.startswith("\r1 of 1000") and streams.err.endswith("\r1000 of 1000\n")
    assert streams.err.count("\r") < 1000


def test_opening_the_screen_needs_no_command_line_library() -> None:
    assert "click" not in modules("import rungwise.tutor.cli.console, rungwise.tutor.cli.tutor")
