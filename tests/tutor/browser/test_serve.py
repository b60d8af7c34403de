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

from tests.tutor.cli.test_command import run

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
    done = run("serve", "--help")
    assert "no password" in " ".join(done.stdout.split()) and "--visitors" in done.stdout


@pytest.mark.parametrize(
    "options",
    [
        *(("--port", "65536"), ("--port", "x"), ("--visitors", "0"), ("--visitors", "1e9")),
        *(("--idle", "0"), ("--idle", "nan"), ("--host", "0.0.0.0"), ("extra",)),
    ],
)
def test_bad_options_are_refused(options: tuple[str, ...]) -> None:
    done = run("serve", *options)
    assert done.returncode == 2 and done.stderr and "Traceback" not in done.stderr


def test_a_port_that_is_taken() -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        done = run("serve", "--port", str(port))
    assert done.returncode == 2 and not done.stdout
    assert f"port {port} is taken" in done.stderr and "--port" in done.stderr


def test_only_the_loopback_address_is_listened_at(tmp_path: Path) -> None:
    with serving(tmp_path) as served:
        listed = Path("/proc/net/tcp")
        if listed.exists():
            at = [line.split()[1] for line in listed.read_text().splitlines()[1:]]
            found = [place for place in at if int(place.split(":")[1], 16) == served.port]
            assert found and all(place.startswith("0100007F:") for place in found)
        assert not Path("/proc/net/tcp6").exists() or not any(
            int(line.split()[1].split(":")[1], 16) == served.port
            for line in Path("/proc/net/tcp6").read_text().splitlines()[1:]
        )


@pytest.mark.parametrize("by", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
async def test_it_closes_when_told_to(by: signal.Signals, tmp_path: Path) -> None:
    with serving(tmp_path) as served:
        async with inside(served, "Ana") as page:
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


async def test_a_tutor_has_no_shell_and_little_environment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("RUNGWISE_TEST_SECRET", "s")
    with serving(tmp_path) as served:
        async with inside(served, "Ana B"):
            [tutor] = served.tutors()
            about = Path(f"/proc/{tutor}")
            words: list[bytes] = []
            if about.exists():
                words = (about / "cmdline").read_bytes().split(b"\0")
                assert words[0] == sys.executable.encode()
                told = b"\0" + (about / "environ").read_bytes()
                assert b"\0RUNGWISE_LEARNER=Ana B\0" in told
                assert b"SECRET" not in told and b"\0PATH=" not in told
            # At first there may be the one that it forks to make the next problem beside it.
            for child in children(tutor):
                with suppress(OSError):  # gone meanwhile
                    assert (Path(f"/proc/{child}") / "cmdline").read_bytes().split(b"\0") == words
            assert wait_until(lambda: not children(tutor))


async def test_the_palette_offers_no_files(tmp_path: Path) -> None:
    with serving(tmp_path) as served:
        async with inside(served, "Ana") as page:
            await page.send_json(["key", "ctrl+p"])
            await asyncio.sleep(1)
            await page.send_json(["text", "screenshot"])
            seen = b""
            while b"No matches" not in seen:
                message = await page.receive(timeout=20)
                assert message.type is aiohttp.WSMsgType.BINARY
                seen += message.data
            assert b"SVG" not in seen
    assert not list(tmp_path.glob("*.svg"))
