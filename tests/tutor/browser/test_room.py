"""The room, asked over real connections, with tutors made for the test where that is quicker."""

from __future__ import annotations

import asyncio
import json
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import aiohttp
import pytest
from aiohttp import web
from rungwise.tutor.browser import room as module
from rungwise.tutor.browser import visitor
from rungwise.tutor.browser.budgets import Budgets
from rungwise.tutor.browser.packets import MAX_PASTE
from rungwise.tutor.browser.room import BrowserRoom, MisuseError, order
from rungwise.tutor.browser.serve import bind, listening
from rungwise.tutor.language.texts import fill

from .server import alive

# Echoes the names of what it is told, as a tutor would paint; leaves when asked.
ECHO = """
import json, os, sys
out, into = sys.stdout.buffer, sys.stdin.buffer
def paint(data):
    data += b"\\r\\n"
    out.write(b"D" + len(data).to_bytes(4, "big") + data); out.flush()
out.write(b"__GANGLION__\\n")
paint(json.dumps([os.environ["RUNGWISE_LEARNER"], os.environ["COLUMNS"], os.getpid()]).encode())
while head := into.read(5):
    told = json.loads(into.read(int.from_bytes(head[1:], "big")))
    if told["type"] == "quit" or told.get("key") == "ctrl+q":
        break
    if told.get("key") == "f9":
        sys.exit("broken \\x1b[31m pipe")
    paint(json.dumps(told).encode())
"""
DEAF = "import signal, time; signal.signal(signal.SIGTERM, signal.SIG_IGN)\n" + ECHO.replace(
    "while head := into.read(5):", "time.sleep(100)\nwhile head := into.read(5):"
)
GARBAGE = "import sys; sys.stdout.buffer.write(b'x' * 100_000); sys.stdout.flush(); input()"
HUGE = (
    "import sys; sys.stdout.buffer.write(b'__GANGLION__\\nD\\xff\\xff\\xff\\xff');"
    "sys.stdout.flush(); input()"
)


class Visit:
    """A page's connection."""

    def __init__(self, socket: aiohttp.ClientWebSocketResponse) -> None:
        self.socket = socket

    async def next(self) -> Any:
        """The next message: a list, or for a screen its JSON; ``None`` at the end."""
        message = await self.socket.receive(timeout=15)
        if message.type is aiohttp.WSMsgType.TEXT:
            return message.json()
        if message.type is aiohttp.WSMsgType.BINARY:
            return json.loads(message.data)
        return None

    async def send(self, *message: object) -> None:
        await self.socket.send_json(list(message))

    async def last(self) -> Any:
        """The last message before the end."""
        said = None
        while (heard := await self.next()) is not None:
            said = heard
        return said


class Place:
    """A room behind a real port, and what its log says."""

    def __init__(self, runner: web.AppRunner, room: BrowserRoom, port: int, log: list[str]) -> None:
        self.close, self.room = runner.cleanup, room
        self.log, self.port = log, port
        self.origin = f"http://127.0.0.1:{port}"

    @asynccontextmanager
    async def connect(self, **headers: str) -> AsyncIterator[Visit]:
        async with (
            aiohttp.ClientSession() as session,
            session.ws_connect(
                f"{self.origin}/tutor",
                headers={"Origin": self.origin} | headers,
                timeout=aiohttp.ClientWSTimeout(ws_close=0.5),  # who waits in a line answers late
            ) as socket,
        ):
            yield Visit(socket)

    @asynccontextmanager
    async def visit(self, name: str) -> AsyncIterator[tuple[Visit, int]]:
        """Somebody who has come in, and the process of their tutor."""
        async with self.connect() as visit:
            await visit.send("enter", name, 100, 30)
            assert (await visit.next())[0] == "welcome"
            _, _, process = await visit.next()
            yield visit, process

    async def refusal(self, name: str) -> str:
        """What somebody is told who is not let in."""
        async with self.connect() as visit:
            await visit.send("enter", name, 80, 24)
            kind, said = await visit.next()
            assert kind == "refused" and await visit.next() is None
            return str(said)


@asynccontextmanager
async def opened(
    visitors: int = 3, idle: float = 600, budgets: Budgets | None = None
) -> AsyncIterator[Place]:
    log: list[str] = []
    room = BrowserRoom(visitors, idle, log.append, budgets)
    with bind(0) as socket:
        async with listening(room, socket) as runner:
            yield Place(runner, room, socket.getsockname()[1], log)


@pytest.fixture(autouse=True)
def tutors(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("RUNGWISE_HOME", str(tmp_path))
    monkeypatch.setattr(visitor, "COMMAND", (sys.executable, "-S", "-c", ECHO))
    monkeypatch.setattr(module, "TO_HEAR", 0.05)
    monkeypatch.setattr(visitor, "TO_LEAVE", 1.0)
    monkeypatch.setattr(visitor, "TO_END", 0.5)


async def gone(process: int) -> bool:
    for _ in range(200):
        if not alive(process):
            return True
        await asyncio.sleep(0.05)
    return False


async def test_names_reach_the_tutor_and_orders_too() -> None:
    async with opened() as place, place.connect() as visit:
        await visit.send("enter", "  Ana  Müller ", 10**9, 30)
        assert await visit.next() == ["welcome", "Ana Müller"]
        name, columns, _ = await visit.next()
        assert (name, columns) == ("Ana Müller", "400")
        await visit.send("key", "f2")
        assert await visit.next() == {"type": "key", "key": "f2"}
        await visit.send("text", "√ä")
        assert await visit.next() == {"type": "text", "text": "√ä"}
        await visit.send("paste", "x" * MAX_PASTE)
        assert len((await visit.next())["text"]) == MAX_PASTE
        await visit.send("size", 50, 20)
        assert await visit.next() == {"type": "resize", "width": 50, "height": 20}
        await visit.send("key", "ctrl+q")
        assert await visit.last() == ["ended", fill("serving", "ended.left")]
    assert "Ana Müller came in (1 of 3)" in place.log[0] and "left" in place.log[1]


async def test_the_room_is_full_then_is_not() -> None:
    async with opened(visitors=2) as place, place.visit("Ana"):
        async with place.visit("Ben") as (_, process):
            assert await place.refusal("Cleo") == fill("serving", "refused.full", [("count", 2)])
        async with place.visit("Cleo"):  # at once: the place being left is waited for
            assert await gone(process)


async def test_one_name_at_a_time() -> None:
    async with opened() as place:
        async with place.visit("Ana") as (_, first):
            assert await place.refusal("aNA") == fill("serving", "refused.taken", [("name", "aNA")])
            async with place.visit("Anna"):
                pass
        async with place.visit("Ana") as (_, second):  # a page that is loaded anew
            assert first != second and not alive(first)


@pytest.mark.parametrize("name", ["", "<script>", "../../x", "x" * 10_000, "\u202e"])
async def test_what_is_no_name_is_refused_in_words(name: str) -> None:
    async with opened() as place:
        assert len(await place.refusal(name)) > 15
        assert not place.log


async def test_pages_from_elsewhere_are_refused() -> None:
    async with opened() as place, aiohttp.ClientSession() as session:
        for headers in (
            {"Origin": "http://evil.example"},
            {"Origin": "null"},
            {"Origin": place.origin.replace("127.0.0.1", "localhost")},
            {"Host": "evil.example", "Origin": "http://evil.example"},
            {},
        ):
            with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
                await session.ws_connect(f"{place.origin}/tutor", headers=headers)
            assert refused.value.status in (403, 421)
        async with session.get(f"{place.origin}/", headers={"Host": "evil.example"}) as answer:
            assert answer.status == 421 and "localhost" in await answer.text()


async def test_only_its_own_pages_are_handed_out() -> None:
    async with opened() as place, aiohttp.ClientSession() as session:
        for path, status in (
            *(("/", 200), ("/room.js", 200), ("/mark.svg", 200), ("/room.html", 404)),
            *(("/static/", 404), ("/..%2f..%2fetc/passwd", 404), ("/download/x", 404)),
            *(("/web/room.js", 404), ("//evil.example/", 404), ("/tutor", 403)),
        ):
            async with session.get(place.origin + path, allow_redirects=False) as answer:
                assert answer.status == status, path
                assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
                assert "aiohttp" not in str(answer.headers) + await answer.text()
        async with session.post(place.origin + "/", data=b"x" * 5000) as answer:
            assert answer.status == 405


@pytest.mark.parametrize(
    "message",
    [
        *("no json", "{}", "[]", '["fly"]', '["key", 3]', '["key", "' + "x" * 40 + '"]'),
        *('["size", 1e9, 2]', '["size", "80", "24"]', "[" * 20_000, '["text", ["a"]]'),
        '["text", "' + "x" * 300 + '"]',
        '["paste", "' + "x" * (MAX_PASTE + 1) + '"]',
        '["enter", "Ben", 80, 24]',
        "x" * 1_000_000,
    ],
    ids=range(14),
)
async def test_misuse_ends_a_visit(message: str) -> None:
    async with opened() as place, place.visit("Ana") as (visit, process):
        await visit.socket.send_str(message)
        said = await visit.last()
        # What is too long is cut off by the protocol itself.
        assert said == (
            None if len(message) > 200_000 else ["ended", fill("serving", "ended.misused")]
        )
        assert await gone(process)


@pytest.mark.parametrize("first", ["no json", '["key", "a"]', '["enter"]', '["enter", 1, 2, 3]'])
async def test_who_gives_no_name_is_sent_away(first: str) -> None:
    async with opened() as place, place.connect() as visit:
        await visit.socket.send_str(first)
        assert await visit.next() is None
        assert visit.socket.close_code == aiohttp.WSCloseCode.POLICY_VIOLATION


async def test_who_says_nothing_is_sent_away(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "TO_ENTER", 0.2)
    async with opened() as place, place.connect() as visit:
        assert await visit.next() is None


async def test_idle_visitors_are_warned_then_asked_to_leave() -> None:
    async with opened(idle=1.5) as place, place.visit("Ana") as (visit, process):
        loop = asyncio.get_running_loop()
        assert (await visit.next())[0] == "idle"
        began = loop.time()
        await visit.send("key", "f2")  # a sign of life, so that it begins anew
        assert (await visit.next())["type"] == "key"
        await visit.send("size", 60, 20)  # a window that changes is none
        kind, said = await visit.last()
        assert kind == "ended" and said.startswith(
            fill("serving", "ended.idle", [("minutes", "")])[:4]
        )
        assert 1.2 < loop.time() - began < 4
        assert await gone(process)
    assert "idle" in place.log[-1]


async def test_a_tutor_that_fails_says_so_to_both() -> None:
    async with opened() as place, place.visit("Ana") as (visit, _):
        await visit.send("key", "f9")
        assert await visit.last() == ["ended", fill("serving", "ended.stopped")]
    assert "broken" in place.log[-1] and "\x1b" not in place.log[-1]


@pytest.mark.parametrize("code", [GARBAGE, HUGE, "", "raise SystemExit(3)"])
async def test_what_is_no_tutor_ends_at_once(code: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(visitor, "COMMAND", (sys.executable, "-c", code))
    async with opened() as place, place.connect() as visit:
        await visit.send("enter", "Ana", 80, 24)
        assert await visit.last() == [
            "ended",
            fill("serving", "ended.left" if not code else "ended.stopped"),
        ]


async def test_a_tutor_that_cannot_be_started(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(visitor, "COMMAND", ("/nowhere/python",))
    async with opened() as place:
        assert await place.refusal("Ana") == fill("serving", "refused.no-start")
        assert "No such file" in place.log[0]


async def test_a_deaf_tutor_is_ended_by_force(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(visitor, "COMMAND", (sys.executable, "-c", DEAF))
    monkeypatch.setattr(visitor, "TO_LEAVE", 0.2)
    monkeypatch.setattr(visitor, "TO_END", 0.2)
    async with opened() as place:
        async with place.visit("Ana") as (_, process):
            assert alive(process)
        assert await gone(process)


async def test_closing_sees_everybody_out() -> None:
    async with (
        opened() as place,
        place.visit("Ana") as (ana, one),
        place.visit("Ben") as (ben, two),
    ):
        closing = asyncio.create_task(place.close())
        closed = ["ended", fill("serving", "ended.closed")]
        assert await ana.last() == closed and await ben.last() == closed
        await closing
        assert not alive(one) and not alive(two)


def test_orders_of_a_page() -> None:
    assert order(["focus", True]) == ("focus", {})
    assert order(["focus", False]) == ("blur", {})
    for wrong in (["focus", 1], ["mouse", "down"], ["key", "a", "b"], [None], ["quit"], ["exit"]):
        with pytest.raises(MisuseError):
            order(wrong)
