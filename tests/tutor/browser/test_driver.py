"""What a tutor takes from its pipe, and what it never does in a browser."""

from __future__ import annotations

import asyncio
import os
import re
import subprocess
import sys
import threading
from io import BytesIO
from pathlib import Path

import pytest
from rungwise.tutor.browser.driver import ServedDriver, key_event, mouse_event, text_events
from rungwise.tutor.browser.packets import (
    HANDSHAKE,
    LARGEST,
    MAX_LOAD,
    MAX_TEXT,
    GarbledError,
    clamped,
    meta,
    packet,
    read_packet,
)
from rungwise.tutor.browser.visitor import COMMAND, environment
from rungwise.tutor.screens.themes import DAY
from textual import events
from textual._xterm_parser import XTermParser

from tests.support.children import SECONDS

from .server import alive, wait_until

SEQUENCES = {
    "enter": "\r",
    "tab": "\t",
    "shift+tab": "\x1b[Z",
    "backspace": "\x7f",
    "escape": "\x1b[27u",
    "up": "\x1b[A",
    "ctrl+left": "\x1b[1;5D",
    "shift+up": "\x1b[1;2A",
    "pageup": "\x1b[5~",
    "home": "\x1b[H",
    "delete": "\x1b[3~",
    "f1": "\x1bOP",
    "f5": "\x1b[15~",
    "f12": "\x1b[24~",
    "ctrl+p": "\x10",
    "ctrl+q": "\x11",
}
"""Keys by the sequences that a terminal sends for them (xterm's, and ECMA-48)."""


@pytest.mark.parametrize(("name", "sequence"), SEQUENCES.items())
def test_keys_are_those_of_a_terminal(name: str, sequence: str) -> None:
    [expected] = XTermParser().feed(sequence)
    assert isinstance(expected, events.Key)
    found = key_event(name)
    assert (found.key, found.aliases) == (expected.key, expected.aliases)
    assert found.is_printable == expected.is_printable


@pytest.mark.parametrize(
    "typed", ["a", "Z", "7", "?", "-", "/", "√", "Ω", "ä", "中", ".", "_", " "]
)
def test_typed_signs_are_those_of_a_terminal(typed: str) -> None:
    [expected] = XTermParser().feed(typed)
    assert isinstance(expected, events.Key)
    [found] = text_events(typed)
    assert (found.key, found.character) == (expected.key, expected.character)


@pytest.mark.parametrize("name", ["", "x", "f13", "meta+a", "ctrl+", "ctrl+ä", "+", "ctrl+shift"])
def test_what_is_no_key(name: str) -> None:
    with pytest.raises(ValueError, match=f"^{re.escape(name)}$"):
        key_event(name)


def test_controls_are_not_typed() -> None:
    assert [event.character for event in text_events("a\x1b\x00\u202e\ud800\nb")] == ["a", "b"]
    assert len(list(text_events("a" * 10_000))) == MAX_TEXT


def test_mouse_events() -> None:
    event = mouse_event((2, 3), {"what": "down", "x": 5, "y": 7, "button": 1, "shift": True})
    assert isinstance(event, events.MouseDown)
    assert (event.x, event.y, event.delta_x, event.delta_y, event.shift) == (5, 7, 3, 4, True)
    for wrong in (
        {"what": "down", "x": -1, "y": 0, "button": 1},
        {"what": "down", "x": 0, "y": 10**9, "button": 1},
        {"what": "down", "x": 0, "y": 0, "button": 9},
        {"what": "fly", "x": 0, "y": 0, "button": 0},
        {"what": "move", "x": 0},
    ):
        with pytest.raises((ValueError, KeyError)):
            mouse_event((0, 0), wrong)


def test_sizes_are_bounded() -> None:
    assert clamped(10**9, -4) == (LARGEST[0], 4)
    assert clamped(80, 24) == (80, 24)


async def test_packets_come_back_whole() -> None:
    stream = asyncio.StreamReader()
    stream.feed_data(packet(b"D", b"abc") + meta("quit"))
    assert await read_packet(stream) == (b"D", b"abc")
    assert await read_packet(stream) == (b"M", b'{"type": "quit"}')
    stream.feed_data(b"D" + (MAX_LOAD + 1).to_bytes(4, "big"))
    with pytest.raises(GarbledError):
        await read_packet(stream)
    stream.feed_data(b"D")
    stream.feed_eof()
    with pytest.raises(EOFError):
        await read_packet(stream)


def test_a_tutor_is_told_little_of_its_surroundings() -> None:
    own = {
        "HOME": "/h",
        "RUNGWISE_HOME": "/r",
        "SECRET_TOKEN": "s",
        "SSH_AUTH_SOCK": "a",
        "PATH": "/bin",
        "EDITOR": "vi",
        "BROWSER": "b",
        "TEXTUAL": "devtools",
        "DISPLAY": ":0",
        "RUNGWISE_LEARNER": "somebody",
        "LD_PRELOAD": "x",
        "PYTHONSTARTUP": "y",
    }
    told = environment("Ana", (100, 30), own)
    assert not set(told) & {*own} - {"HOME", "RUNGWISE_HOME", "RUNGWISE_LEARNER"}
    assert told["RUNGWISE_LEARNER"] == "Ana" and told["RUNGWISE_SERVED"] == "1"
    assert told["COLUMNS"] == "100" and told["LINES"] == "30"


def start(home: Path) -> subprocess.Popen[bytes]:
    """A tutor as the server starts it, up to its first packet."""
    process = subprocess.Popen(
        COMMAND,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment("Ana", (80, 24), {**os.environ, "RUNGWISE_HOME": str(home)}),
        start_new_session=True,
    )
    limit = threading.Timer(SECONDS, process.kill)  # what reads from it ends then, too
    limit.daemon = True
    limit.start()
    assert process.stdout is not None
    assert process.stdout.read(len(HANDSHAKE)) == HANDSHAKE
    return process


def read(process: subprocess.Popen[bytes]) -> bytes:
    """One packet's load."""
    assert process.stdout is not None
    size = int.from_bytes(process.stdout.read(5)[1:], "big")
    return process.stdout.read(size)


def say(process: subprocess.Popen[bytes], *packets: bytes) -> None:
    assert process.stdin is not None
    process.stdin.write(b"".join(packets))
    process.stdin.flush()


def finish(process: subprocess.Popen[bytes]) -> tuple[int, bytes]:
    assert process.stderr is not None and process.stdout is not None
    process.stdout.read()
    said = process.stderr.read()
    status = process.wait(20)
    for pipe in (process.stdin, process.stdout, process.stderr):
        assert pipe is not None
        pipe.close()
    return status, said


def test_a_tutor_ends_with_its_server(tmp_path: Path) -> None:
    process = start(tmp_path)
    read(process)
    assert process.stdin is not None
    process.stdin.close()  # what is left of a server that was killed
    assert finish(process) == (0, b"")


def test_a_tutor_ends_when_nobody_looks(tmp_path: Path) -> None:
    process = start(tmp_path)
    read(process)
    assert process.stdout is not None and process.stdin is not None
    process.stdout.close()
    process.stdin.close()
    assert wait_until(lambda: not alive(process.pid))
    process.wait(60)
    assert process.stderr is not None
    process.stderr.close()


def test_hostile_packets_are_dropped(tmp_path: Path) -> None:
    process = start(tmp_path)
    hostile = (
        packet(b"M", b"no json"),
        packet(b"M", b"[1, 2]"),
        packet(b"M", b"{}"),
        packet(b"M", b'{"type": {}}'),
        packet(b"M", b"[" * 100_000),
        packet(b"X", b"\xff\xfe\x00"),
        packet(b"M", b""),
        meta("resize", width="x", height=None),
        meta("resize", width=10**12, height=-(10**12)),
        meta("key", key="ctrl+\x1b"),
        meta("mouse", what="down", x="1e999", y=[], button={}),
        meta("paste", text="\x00\x1b[201~\u202e" * 1000),
        meta("deliver_chunk_request", key="x", size=1),
        meta("exit"),
        meta("open_url", url="http://x"),
        meta("text", text="\ud800\x1b"),
    )
    say(process, *hostile, meta("resize", width=90, height=30), meta("key", key="f6"))
    seen = b""
    day = "48;2;{};{};{}".format(*bytes.fromhex(str(DAY.background)[1:])).encode()
    while day not in seen:  # the key that changes the theme has been taken after all that
        seen += read(process)
    say(process, meta("key", key="ctrl+q"))
    assert finish(process) == (0, b"")


def test_nothing_is_opened_or_handed_out(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    import webbrowser

    monkeypatch.setattr(webbrowser, "open", lambda *_, **__: pytest.fail("opened"))
    posted: list[object] = []

    class App:
        post_message = posted.append

    driver = ServedDriver.__new__(ServedDriver)
    driver._app = App()  # type: ignore[assignment]
    driver.open_url("http://example.org")
    file = BytesIO(b"secret")
    driver.deliver_binary(file, delivery_key="k", save_path=tmp_path / "x")
    assert file.closed and not list(tmp_path.iterdir())
    [failed] = posted
    assert isinstance(failed, events.DeliveryFailed)
    assert not driver.can_suspend and driver.is_web


def test_only_serve_imports_the_server() -> None:
    code = (
        "import sys, rungwise.tutor.cli.main, rungwise.tutor.cli.tutor\n"
        "import rungwise.tutor.screens.app\n"
        "import rungwise.tutor.browser\n"
        "print({'aiohttp', 'asyncio.subprocess'} & set(sys.modules) - set(['asyncio.subprocess']),"
        " [name for name in sys.modules if name.startswith('rungwise.tutor.browser.')])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.split() == ["set()", "[]"]
