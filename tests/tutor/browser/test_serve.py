"""``rungwise serve`` as it is run: its words, its port, its end."""

from __future__ import annotations

import asyncio
import signal
import socket
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from pathlib import Path

import aiohttp
import pytest
from rungwise.tutor.browser import serve

from tests.support.children import SECONDS
from tests.support.commands import run_here

from .server import Served, alive, children, serving, wait_until


@asynccontextmanager
async def inside(served: Served, name: str) -> AsyncIterator[aiohttp.ClientWebSocketResponse]:
    """Somebody whose tutor has painted its first frame."""
    async with (
        aiohttp.ClientSession() as session,
        session.ws_connect(
            f"{served.address}tutor", headers={"Origin": served.origin}, max_msg_size=0
        ) as page,
    ):
        await page.send_json(["enter", name, 80, 24])
        seen = b""
        while b"Rungwise" not in seen:
            message = await page.receive(timeout=20)
            assert message.type in (aiohttp.WSMsgType.TEXT, aiohttp.WSMsgType.BINARY), message
            seen += message.data if isinstance(message.data, bytes) else b""
        yield page


def test_help_warns() -> None:
    done = run_here("serve", "--help")
    assert "no password" in " ".join(done.stdout.split()) and "--visitors" in done.stdout


@pytest.mark.parametrize(
    "options",
    [
        *(("--port", "65536"), ("--port", "x"), ("--visitors", "0"), ("--visitors", "1e9")),
        *(("--idle", "0"), ("--idle", "nan"), ("--host", "0.0.0.0"), ("extra",)),
    ],
)
def test_bad_options_are_refused(options: tuple[str, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(serve, "run", lambda *_: pytest.fail("it is open"))
    done = run_here("serve", *options)
    assert done.returncode == 2 and done.stderr and "Traceback" not in done.stderr


def test_a_port_that_is_taken() -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        done = run_here("serve", "--port", str(port))
    assert done.returncode == 2 and not done.stdout
    assert f"port {port} is taken" in done.stderr and "--port" in done.stderr


@pytest.mark.parametrize("by", [signal.SIGINT, signal.SIGTERM])
async def test_it_closes_when_told_to(by: signal.Signals, tmp_path: Path) -> None:
    with serving(tmp_path) as served:
        async with inside(served, "Ana") as page:
            await it_closes(served, page, by)


async def it_closes(
    served: Served, page: aiohttp.ClientWebSocketResponse, by: signal.Signals
) -> None:
    """Told to, it says so to who is in, and leaves nobody behind."""
    [tutor] = served.tutors()
    stopping = asyncio.create_task(asyncio.to_thread(served.stop, by))
    said = ""
    while (message := await page.receive(timeout=20)).type in (
        aiohttp.WSMsgType.TEXT,
        aiohttp.WSMsgType.BINARY,
    ):
        said = message.data if isinstance(message.data, str) else said
    assert "closed by whoever runs it" in said
    status, log = await stopping
    assert status == 0 and "Rungwise is closed" in log and "Traceback" not in log
    assert not alive(tutor)


async def test_a_server_that_is_killed_leaves_nothing_behind(tmp_path: Path) -> None:
    with serving(tmp_path) as served:
        async with inside(served, "Ana"):
            [tutor] = served.tutors()
            served.process.kill()
            served.process.wait(60)
            assert wait_until(lambda: not alive(tutor))


async def test_what_is_open_and_what_a_tutor_may_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("RUNGWISE_TEST_SECRET", "s")
    with serving(tmp_path) as served:
        only_the_loopback_address_is_listened_at(served.port)
        async with inside(served, "Ana B") as page:
            no_shell_and_little_environment(served, "Ana B")
            await no_files_in_the_palette(page)
            await it_closes(served, page, signal.SIGHUP)
    assert not list(tmp_path.glob("*.svg"))


def only_the_loopback_address_is_listened_at(port: int) -> None:
    listed = Path("/proc/net/tcp")
    if listed.exists():
        at = [line.split()[1] for line in listed.read_text().splitlines()[1:]]
        found = [place for place in at if int(place.split(":")[1], 16) == port]
        assert found and all(place.startswith("0100007F:") for place in found)
    assert not Path("/proc/net/tcp6").exists() or not any(
        int(line.split()[1].split(":")[1], 16) == port
        for line in Path("/proc/net/tcp6").read_text().splitlines()[1:]
    )


def no_shell_and_little_environment(served: Served, name: str) -> None:
    [tutor] = served.tutors()
    about = Path(f"/proc/{tutor}")
    words: list[bytes] = []
    if about.exists():
        words = (about / "cmdline").read_bytes().split(b"\0")
        assert words[0] == sys.executable.encode()
        told = b"\0" + (about / "environ").read_bytes()
        assert f"\0RUNGWISE_LEARNER={name}\0".encode() in told
        assert b"SECRET" not in told and b"\0PATH=" not in told
    # At first there may be the one that it forks to make the next problem beside it.
    for child in children(tutor):
        with suppress(OSError):  # gone meanwhile
            assert (Path(f"/proc/{child}") / "cmdline").read_bytes().split(b"\0") == words
    assert wait_until(lambda: not children(tutor))


async def no_files_in_the_palette(page: aiohttp.ClientWebSocketResponse) -> None:
    await page.send_json(["key", "ctrl+p"])
    await painted(page, b"earch for commands")  # the cursor stands on the first letter
    await page.send_json(["text", "screenshot"])
    assert b"SVG" not in await painted(page, b"No matches")


async def painted(page: aiohttp.ClientWebSocketResponse, words: bytes) -> bytes:
    """Wait until these are painted; everything that has been painted meanwhile."""
    seen = b""
    async with asyncio.timeout(SECONDS):  # a cursor that blinks is painted for ever
        while words not in seen:
            message = await page.receive(timeout=20)
            assert message.type is aiohttp.WSMsgType.BINARY
            seen += message.data
    return seen
