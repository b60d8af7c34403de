"""A room under attack: floods end, who is in stays in, and nothing is left of it."""

from __future__ import annotations

import asyncio
import gc
import json
import logging
import os
import socket as sockets
import statistics
import sys
import time
from collections.abc import AsyncIterator, Callable
from contextlib import AsyncExitStack, asynccontextmanager, suppress
from pathlib import Path

import aiohttp
import pytest
from aiohttp import web
from rungwise.tutor.browser import driver, room, visitor
from rungwise.tutor.browser.budgets import MIB, Bucket, Budgets, confine, descriptors
from rungwise.tutor.browser.driver import HANDFUL, ServedDriver
from rungwise.tutor.browser.log import MAX_KINDS, MOST, WITHIN, Log, LogLines
from rungwise.tutor.browser.packets import meta
from rungwise.tutor.browser.usage import Usage, read_ps, usage
from rungwise.tutor.language.texts import fill
from textual import events

from tests.support.children import SECONDS, limited_fork

from .server import children, wait_until
from .test_driver import finish, read, start
from .test_room import ECHO, Place, Visit, gone, opened

HUNGRY = ECHO.replace(
    "paint(json.dumps(told)", "eaten = bytearray(80_000_000)\n    paint(json.dumps(told)"
)
BUSY = ECHO.replace("paint(json.dumps(told)", "while True: pass\n    paint(json.dumps(told)")
CHATTY = ECHO.replace(
    "while head :=",
    "import threading, time\n"
    "def talk():\n    while True: paint(b'[' + b'0,' * 500_000 + b'0]')\n"
    "threading.Thread(target=talk, daemon=True).start()\n"
    "while head :=",
)

linux = pytest.mark.skipif(sys.platform != "linux", reason="asks /proc")


@pytest.fixture(autouse=True)
def tutors(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("RUNGWISE_HOME", str(tmp_path))
    monkeypatch.setattr(visitor, "TO_LEAVE", 1.0)
    monkeypatch.setattr(visitor, "TO_END", 0.5)
    play(monkeypatch, ECHO)


def play(monkeypatch: pytest.MonkeyPatch, code: str) -> None:
    monkeypatch.setattr(visitor, "COMMAND", (sys.executable, "-S", "-c", code))


def files() -> int:
    """How many files this process has open."""
    return len(os.listdir("/proc/self/fd"))


async def becomes(true: Callable[[], bool], seconds: float = 15) -> bool:
    deadline = time.monotonic() + seconds
    while not true():
        if time.monotonic() > deadline:
            return False
        await asyncio.sleep(0.02)
    return True


async def answer_times(visit: Visit, count: int) -> list[float]:
    """How long a tutor takes to answer keys, in seconds."""
    times = []
    for _ in range(count):
        began = time.perf_counter()
        await visit.send("key", "f2")
        assert (await visit.next())["type"] == "key"
        times.append(time.perf_counter() - began)
        await asyncio.sleep(0.002)
    return times


# --- the parts ------------------------------------------------------------------------------------


class Clock:
    now = 0.0

    def __call__(self) -> float:
        return self.now


def test_a_bucket_gives_its_rate_and_no_more() -> None:
    clock = Clock()
    bucket = Bucket(10, 5, clock)
    assert [bucket.take() for _ in range(7)] == [True] * 5 + [False] * 2
    assert bucket.wait() == pytest.approx(0.1)
    given = 0
    for _ in range(1000):
        clock.now += 0.01
        given += bucket.take()
    assert given == pytest.approx(100, abs=1)
    clock.now += 1000
    assert bucket.take(5) and not bucket.take()


def test_repeats_are_summed_up() -> None:
    clock, said = Clock(), list[str]()
    log = Log(said.append, clock)
    for n in range(1264):
        log.tell(f"line {n}", "a")
    log.tell("another", "b")
    assert len(said) == MOST + 1 and said[-1] == "another"
    clock.now += WITHIN
    log.tell("later", "a")
    assert said[-2:] == [fill("serving", "log.more", [("count", "1,234")]), "later"]
    log.settle(all_of_them=True)
    assert said[-1] == "later"  # nothing more was left out


def test_no_number_of_kinds_fills_the_log() -> None:
    said = list[str]()
    log = Log(said.append, Clock())
    for n in range(10_000):
        log.tell("x", str(n))
    assert len(said) <= MAX_KINDS + MOST


def test_what_libraries_log_is_one_line_each() -> None:
    said = list[str]()
    logger = logging.getLogger("rungwise.test.lines")
    logger.propagate = False
    lines = LogLines(Log(said.append))
    logger.addHandler(lines)
    try:
        for _ in range(1000):
            try:
                raise OSError(24, "Too many open files")
            except OSError:
                logger.exception("out of\x1b system resource\nsocket: %r", 7)
    finally:
        logger.removeHandler(lines)
    assert len(said) == MOST
    assert "\x1b" not in said[0] and "\n" not in said[0] and "Too many open files" in said[0]


@pytest.mark.parametrize(
    ("line", "found"),
    [
        # The forms of POSIX, of Linux' procps and of BSD's and macOS' ps.
        ("  2048 00:01:05\n", Usage(2048 * 1024, 65)),
        ("71234 1-02:03:04", Usage(71234 * 1024, 93784)),
        (" 5120   0:03.25\n", Usage(5120 * 1024, 3.25)),
        ("1 123:00.50", Usage(1024, 7380.5)),
    ],
)
def test_what_ps_says(line: str, found: Usage) -> None:
    assert read_ps(line) == found


@pytest.mark.parametrize("line", ["", "x 1:00", "12", "1 2 3:00", "-4 0:01"])
def test_what_ps_does_not_say(line: str) -> None:
    with pytest.raises(ValueError):
        read_ps(line)


@linux
async def test_what_a_process_uses() -> None:
    held = b"x" * (40 * MIB)
    found = await usage(os.getpid())
    assert found is not None and found.memory > len(held)
    assert found.cpu == pytest.approx(sum(os.times()[:4]), abs=0.5)
    assert await usage(2**22 + 1) is None


def test_there_are_as_many_files_as_the_system_grants() -> None:
    assert descriptors(16) == 16
    assert 0 < descriptors(10**9) <= 10**9


@linux
def test_memory_has_a_wall() -> None:
    child = os.fork()
    if not child:
        try:
            confine(2**30)
            bytearray(2**31)
        except MemoryError:
            os._exit(7)
        finally:
            os._exit(1)
    with limited_fork(child):
        assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 7


# --- floods of messages ---------------------------------------------------------------------------


async def flood(visit: Visit, message: str, count: int) -> object:
    """Send a message again and again, and hear what is said last."""

    async def send() -> None:
        with suppress(ConnectionError):
            for _ in range(count):
                await visit.socket.send_str(message)

    sending = asyncio.create_task(send())
    said = await visit.last()
    await sending
    return said


async def test_a_flood_of_messages_ends_with_a_word_and_hurts_nobody_else() -> None:
    async with opened() as place, place.visit("Ana") as (ana, _):
        quiet = await answer_times(ana, 200)
        async with place.visit("Ben") as (ben, process):
            flooding = asyncio.create_task(flood(ben, '["key", "f2"]', 20_000))
            loud = await answer_times(ana, 200)
            assert await flooding == ["ended", fill("serving", "ended.flooded")]
            assert await gone(process)
        # Here both share a process with the attack itself; the study has processes of their own.
        middle = statistics.median
        assert middle(loud) < 20 * middle(quiet) + 0.02
    assert "Ben" in " ".join(line for line in place.log if "more than the room takes" in line)


async def test_long_messages_count_for_many() -> None:
    paste = json.dumps(["paste", "x" * 10_000])
    async with opened() as place, place.visit("Ana") as (visit, _):
        assert await flood(visit, paste, 200) == ["ended", fill("serving", "ended.flooded")]


async def test_a_restless_mouse_is_not_shut_out() -> None:
    async with opened(budgets=Budgets(moves=20)) as place, place.visit("Ana") as (visit, _):
        for n in range(300):
            await visit.send("mouse", "move", n % 80, 3, 0, False, False)
        await visit.send("mouse", "down", 7, 3, 1, False, False)
        seen = [await visit.next()]
        while seen[-1]["what"] != "down":
            seen.append(await visit.next())
        assert 20 <= len(seen) < 100  # most moves are dropped; no press of a button ever is


def test_a_tutor_is_handed_no_more_than_it_deals_with(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(driver, "PATIENCE", 0.1)
    posted, asked = list[object](), list[Callable[[], None]]()

    class App:
        screen_stack = ()
        call_later = asked.append

    made = ServedDriver.__new__(ServedDriver)
    made._app, made._handed = App(), 0  # type: ignore[assignment]
    made.exit_event = driver.Event()
    made.cursor_origin, made._down_buttons = None, []
    made.send_message = posted.append  # type: ignore[method-assign,assignment]
    for _ in range(HANDFUL - 1):
        made.process_message(events.Key("down", None))
    assert len(posted) == HANDFUL - 1 and not asked
    began = time.monotonic()
    made.process_message(events.Key("down", None))
    assert time.monotonic() - began >= 0.1 and len(asked) == 1  # nobody dealt with them

    monkeypatch.setattr(driver, "PATIENCE", 60)
    App.call_later = staticmethod(lambda call: call())  # type: ignore[assignment,misc]
    began = time.monotonic()
    for _ in range(10 * HANDFUL):
        made.process_message(events.Key("down", None))
    assert time.monotonic() - began < 30


@linux
def test_a_flooded_tutor_does_not_grow(tmp_path: Path) -> None:
    """The tutor itself, without the server's budget in front of it."""
    process = start(tmp_path)
    read(process)

    def held() -> int:
        found = asyncio.run(usage(process.pid))
        assert found is not None
        return found.memory

    assert process.stdin is not None and process.stdout is not None
    os.set_blocking(process.stdin.fileno(), False)
    os.set_blocking(process.stdout.fileno(), False)

    def still() -> bool:
        return not process.stdout.read(1 << 20)  # type: ignore[union-attr]

    assert wait_until(lambda: still() and not time.sleep(0.3) and still(), 30)
    before = held()
    for key in ("down", "f1"):
        load = meta("key", key=key) * 16
        until, sent, left = time.monotonic() + 1, 0, b""
        most = time.monotonic() + SECONDS
        # More than the pipe alone takes, on a slow machine too.
        while time.monotonic() < (until if sent > 60_000 else most) and sent < 3_000_000:
            process.stdout.read(1 << 20)
            left = left or load
            try:
                taken = os.write(process.stdin.fileno(), left)
            except BlockingIOError:
                time.sleep(0.005)
            else:
                sent, left = sent + taken, left[taken:]
        assert sent > 60_000
        assert held() - before < 16 * MIB, key  # 24 and more, were they all taken in
    process.kill()
    os.set_blocking(process.stdout.fileno(), True)
    finish(process)


# --- what a tutor uses ----------------------------------------------------------------------------


@linux
@pytest.mark.parametrize(
    ("code", "why", "budgets"),
    [
        (HUNGRY, "heavy", Budgets(look=0.05, memory=60 * MIB)),
        # So little that it is used up on a machine that gives it a twentieth of a processor.
        (BUSY, "busy", Budgets(look=0.05, cpu=0.005, cpu_at_once=0.3)),
    ],
    ids=["memory", "computing"],
)
async def test_a_tutor_over_its_budget_is_ended(
    code: str, why: str, budgets: Budgets, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(budgets=budgets) as place, place.visit("Ana") as (ana, _):
        play(monkeypatch, code)
        async with place.visit("Ben") as (visit, process):
            await visit.send("key", "f2")
            assert await visit.last() == ["ended", fill("serving", f"ended.{why}")]
            assert await gone(process)
        await answer_times(ana, 3)  # whose tutor is within its budget
    assert any("Ben" in line and "was ended" in line for line in place.log)


@linux
async def test_a_page_that_reads_nothing_holds_no_place(monkeypatch: pytest.MonkeyPatch) -> None:
    play(monkeypatch, CHATTY)
    monkeypatch.setattr(room, "TO_READ", 0.3)
    async with opened(visitors=1, idle=1.0, budgets=Budgets(patience=1.0)) as place:
        reader, writer = await asyncio.open_connection("127.0.0.1", place.port, limit=2048)
        writer.write(
            f"GET /tutor HTTP/1.1\r\nHost: 127.0.0.1:{place.port}\r\nOrigin: {place.origin}\r\n"
            "Upgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\n"
            "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n".encode()
        )
        await reader.readuntil(b"\r\n\r\n")
        told = b'["enter", "Ana", 80, 24]'
        writer.write(bytes([0x81, 0x80 | len(told), 0, 0, 0, 0]) + told)
        assert await becomes(lambda: len(place.room._inside) == 1)
        assert await becomes(lambda: not place.room._inside, 20)
        assert await becomes(lambda: len(place.room.door) == 0)
        writer.close()


# --- floods of connections and entries ------------------------------------------------------------


@asynccontextmanager
async def half_headers(place: Place, count: int) -> AsyncIterator[list[sockets.socket]]:
    """Connections whose requests never end; some are closed meanwhile."""
    made = []
    try:
        for n in range(count):
            one = sockets.socket()
            one.setblocking(False)
            made.append(one)
            await asyncio.get_running_loop().sock_connect(one, ("127.0.0.1", place.port))
            one.send(b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX-%d: " % n)
        yield made
    finally:
        for one in made:
            one.close()


@linux
async def test_half_sent_headers_shut_nobody_out() -> None:
    async with opened() as place, place.visit("Ana") as (ana, _):
        before = files()
        async with half_headers(place, 400):
            assert await becomes(lambda: len(place.room.door) <= place.room.door.each)
            assert files() - before < 400 + place.room.door.each + 16
            async with (
                place.visit("Ben"),
                aiohttp.ClientSession() as session,
                session.get(f"{place.origin}/") as answer,
            ):
                assert answer.status == 200
            await answer_times(ana, 20)
        assert await becomes(lambda: len(place.room.door) == 1)
        assert await becomes(lambda: files() <= before)
    assert len(place.log) <= 4


async def test_a_request_must_come_in_time() -> None:
    async with opened(budgets=Budgets(patience=0.3)) as place, place.visit("Ana") as (ana, _):
        reader, writer = await asyncio.open_connection("127.0.0.1", place.port)
        writer.write(b"GET / HTTP/1.1\r\nHost: 127")
        assert await asyncio.wait_for(reader.read(), 10) == b""
        writer.close()
        await asyncio.sleep(0.5)
        await answer_times(ana, 3)  # a connection at work is not hurried


@pytest.mark.parametrize(
    "head",
    [
        b"GET /" + b"x" * 100_000 + b" HTTP/1.1\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX: " + b"x" * 100_000 + b"\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n" + b"X: y\r\n" * 5000 + b"\r\n",
        b"\x16\x03\x01\x02\x00" * 100,
    ],
    ids=["line", "header", "headers", "no request"],
)
async def test_what_is_no_request_is_refused_and_summed_up(head: bytes) -> None:
    async with opened() as place:
        for _ in range(2 * MOST):
            reader, writer = await asyncio.open_connection("127.0.0.1", place.port)
            writer.write(head)
            with suppress(ConnectionError):
                said = await asyncio.wait_for(reader.read(), 10)
                assert b" 400 " in said[:20] and len(said) < 10_000
            writer.close()
        assert await becomes(lambda: len(place.room.door) == 0)
        assert len(place.log) <= MOST
    assert len(place.log) <= MOST + 1 and all(len(line) < 400 for line in place.log)


async def test_who_gives_no_name_holds_up_nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "MAX_WAITING", 5)
    async with opened() as place, aiohttp.ClientSession() as session:
        held = []
        for _ in range(12):
            held.append(
                await session.ws_connect(f"{place.origin}/tutor", headers={"Origin": place.origin})
            )
        assert len(place.room._waiting) <= 5
        async with place.visit("Ana"):
            pass
        for one in held:
            await one.close()


@linux
async def test_entries_and_exits_without_end() -> None:
    """Who comes in and leaves again and again is asked to wait, and leaves nothing behind."""
    budgets = Budgets(entries=0.5, entries_at_once=2)
    async with opened(visitors=3, budgets=budgets) as place, place.visit("Ana") as (ana, _):
        before, refused = files(), 0
        for n in range(150):
            async with place.connect() as visit:
                await visit.send("enter", f"V{n}", 80, 24)
                kind, said = await visit.next()
                assert kind == "welcome" or "try again in" in said or "full" in said
                refused += kind == "refused"
        assert refused > 100
        await answer_times(ana, 5)
        assert await becomes(lambda: len(place.room._inside) == 1)
        assert await becomes(lambda: files() <= before + 1)
    assert sum(line.count("\n") + 1 for line in place.log) < 4 * MOST


async def test_a_class_that_comes_in_at_once_gets_in_one_by_one(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Twelve get in, and of their tutors one at a time is being started."""
    mark = str(tmp_path / "starting")
    play(
        monkeypatch,
        f"import os, time\nos.close(os.open({mark!r}, os.O_CREAT | os.O_EXCL))\n"
        f"time.sleep(0.05)\nos.unlink({mark!r})\n{ECHO}",
    )
    async with opened(visitors=12) as place, AsyncExitStack() as class_:
        visits = (class_.enter_async_context(place.visit(f"Student {n}")) for n in range(12))
        came = await asyncio.wait_for(asyncio.gather(*visits), 60)
        for visit, _ in came:
            await answer_times(visit, 1)


@linux
async def test_a_tutor_that_nobody_waits_for_is_ended_at_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Who leaves while theirs is being started: it is not first made ready, then asked to leave."""
    monkeypatch.setattr(visitor, "TO_LEAVE", 600.0)  # and no machine is so slow
    play(monkeypatch, "import time; time.sleep(3600)")
    async with opened() as place:
        for n in range(3):
            async with place.connect() as visit:
                await visit.send("enter", f"V{n}", 80, 24)
                assert (await visit.next())[0] == "welcome"
            assert await becomes(lambda: not place.room._inside, 120)
        assert await becomes(lambda: not children(os.getpid()), 120)


async def test_who_leaves_while_others_are_started_starts_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    async with opened(visitors=8) as place:
        async with place.room._starting:  # somebody else's tutor is being started
            async with AsyncExitStack() as leaving:
                for n in range(5):
                    visit = await leaving.enter_async_context(place.connect())
                    await visit.send("enter", f"V{n}", 80, 24)
                    assert await becomes(lambda n=n: len(place.room._inside) == n + 1)  # type: ignore[misc]
            assert await becomes(lambda: len(place.room.door) == 0)
        async with place.visit("Ana"):
            pass
    assert sum("came in" in line for line in place.log) == 1


async def test_requests_that_come_too_fast_wait_their_turn() -> None:
    budgets = Budgets(requests=20, requests_at_once=5)
    async with (
        opened(budgets=budgets) as place,
        place.visit("Ana") as (ana, _),
        aiohttp.ClientSession() as session,
    ):

        async def ask() -> int:
            async with session.get(f"{place.origin}/") as answer:
                return answer.status

        began = time.monotonic()
        asking = asyncio.gather(*(ask() for _ in range(45)))
        await answer_times(ana, 20)
        assert not asking.done()  # who is in does not wait with them
        assert set(await asking) == {200}
        assert time.monotonic() - began >= 1.4  # all but fourteen, twenty a second


async def test_nothing_is_left_of_who_was_sent_away() -> None:
    """Not even until a timer of theirs goes off."""

    def held() -> int:
        gc.collect()
        return sum(isinstance(one, web.WebSocketResponse) for one in gc.get_objects())

    async with opened() as place:
        before = held()
        for _ in range(30):
            assert await place.refusal("")
        assert await becomes(lambda: held() <= before, 6)


async def test_who_gives_no_sign_of_life_has_gone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "PULSE", 0.2)
    monkeypatch.setattr(room, "TO_ANSWER", 0.6)
    async with opened() as place, place.visit("Ana") as (ana, _), place.connect() as ben:
        await ben.send("enter", "Ben", 80, 24)
        await becomes(lambda: len(place.room._inside) == 2)
        listening = asyncio.create_task(ana.next())  # answers pings; Ben's page reads nothing
        assert await becomes(lambda: len(place.room._inside) == 1)
        await asyncio.sleep(1)
        await ana.socket.ping()  # a browser sends none, but may
        await ana.send("key", "f2")
        assert (await listening)["type"] == "key"


async def test_a_flood_is_not_read_to_its_end() -> None:
    """Once it is said why it ends, nothing more is read of a page that goes on sending."""
    async with opened() as place, place.connect() as ben:
        await ben.send("enter", "Ben", 80, 24)
        assert await flood(ben, '["key", "f2"]', 200_000) == [
            "ended",
            fill("serving", "ended.flooded"),
        ]
        assert await becomes(lambda: len(place.room.door) == 0)


def test_the_words_of_every_end_are_there() -> None:
    for why in ("flooded", "heavy", "busy"):
        assert "kept" in fill("serving", f"ended.{why}")
        assert fill("serving", f"log.left-{why}", [("when", "9:00"), ("name", "Ana")])
