"""A room under attack: ``python -m tests.studies.flooded_room [messages headers entries]``.

First a class of twelve comes in at once.  Then one visitor presses keys and waits for each paint
while somebody floods the room: with messages, with requests that never end, with 10,000 entries and
exits.  Attacker and quiet take turns of a few seconds in one run, so that whatever else the machine
does falls on both alike.  Each flood comes twice, and after each memory, files and tutors are
counted: what is larger after the second than after the first would grow for ever.  Everything is
bounded (some six minutes), and all of it on the loopback address.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import aiohttp

from tests.tutor.browser.server import Served, alive, serving

CLASS = 12
"""Visitors who come in at once."""
TURN, REST = 5.0, 0.5
"""Seconds of attack and of quiet, and those between them that count for neither."""
TURNS = 2
"""Turns of a flood of messages or of half headers."""
FLOODS = ("first", "second")
ENTRIES, AT_ONCE = 10_000, 6
"""Entries and exits in all, and how many try at a time."""
MOST_SECONDS = 90.0
"""Seconds of attack after which a flood of entries ends, however many there were."""
HELD = 600
"""Connections that an attacker holds at once."""
UNANSWERED = 5.0
"""Seconds after which a key counts as answered by nothing."""
SETTLED = 12.0
"""Seconds after a flood in which the patience with the last connection ends."""


# --- the attacks, each in a process of its own ----------------------------------------------------


async def messages(origin: str, over: asyncio.Event) -> Counter[str]:
    """Come in and flood, again and again."""
    seen: Counter[str] = Counter()
    async with aiohttp.ClientSession() as session:
        while not over.is_set():
            async with session.ws_connect(
                f"{origin}/tutor", headers={"Origin": origin}, max_msg_size=0
            ) as page:
                await page.send_json(["enter", "Flood", 120, 40])
                heard = asyncio.create_task(_last(page))
                with suppress(ConnectionError):
                    while not (over.is_set() or heard.done()):
                        for load in ('["key", "f1"]', '["text", "1"]', '["key", "down"]'):
                            await page.send_str(load)
                            seen["messages"] += 1
                        if seen["messages"] % 50 < 3:
                            await asyncio.sleep(0)
                with suppress(TimeoutError):
                    seen[await asyncio.wait_for(heard, 10)] += 1
            await asyncio.sleep(0.1)
    return seen


async def _last(page: aiohttp.ClientWebSocketResponse) -> str:
    said = "no word"
    async for message in page:
        if message.type is aiohttp.WSMsgType.TEXT:
            kind, value = message.json()
            if kind in ("ended", "refused"):
                said = f"{kind}: {value[:24]}…"
    return said


async def headers(origin: str, over: asyncio.Event) -> Counter[str]:
    """Open connections, never end a request, hold as many as can be held."""
    seen: Counter[str] = Counter()
    port = int(origin.rsplit(":", 1)[1])
    held: list[socket.socket] = []
    loop = asyncio.get_running_loop()
    while not over.is_set():
        one = socket.socket()
        one.setblocking(False)
        try:
            await asyncio.wait_for(loop.sock_connect(one, ("127.0.0.1", port)), 5)
            one.send(b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX-")
            seen["half requests"] += 1
        except (OSError, TimeoutError):
            seen["not connected"] += 1
        held.append(one)
        if len(held) > HELD:
            held.pop(0).close()
        await asyncio.sleep(0.001)
    for one in held:
        one.close()
    return seen


async def entries(origin: str, over: asyncio.Event) -> Counter[str]:
    """Come in and leave, under one name after the other.

    Who is let in leaves by turns at once, while the tutor is started, and once it has painted.
    """
    seen: Counter[str] = Counter()
    numbers = iter(range(ENTRIES // len(FLOODS)))

    async def again(session: aiohttp.ClientSession) -> None:
        for number in numbers:
            if over.is_set():
                return
            try:
                async with session.ws_connect(
                    f"{origin}/tutor", headers={"Origin": origin}, max_msg_size=0
                ) as page:
                    await page.send_json(["enter", f"Guest {number % 500}", 80, 24])
                    message = await page.receive(timeout=15)
                    kind = message.json()[0] if message.type is aiohttp.WSMsgType.TEXT else "shut"
                    seen[kind] += 1
                    if kind == "welcome" and seen[kind] % 2:
                        message = await page.receive(timeout=15)
                        seen["painted"] += message.type is aiohttp.WSMsgType.BINARY
            except (aiohttp.ClientError, TimeoutError, ConnectionError):
                seen["no answer"] += 1

    async with aiohttp.ClientSession() as session:
        await asyncio.gather(*(again(session) for _ in range(AT_ONCE)))
    return seen


ATTACKS = {"messages": messages, "headers": headers, "entries": entries}


async def attack(name: str, origin: str) -> Counter[str]:
    """One attack, until it has done what it wants or is told to end."""
    over = asyncio.Event()
    asyncio.get_running_loop().add_signal_handler(signal.SIGTERM, over.set)
    print("ready", flush=True)
    return await ATTACKS[name](origin, over)


class Attacker:
    """An attack in a process of its own, which can be held.

    Args:
        name: Which attack.
        origin: The room's address.
    """

    def __init__(self, name: str, origin: str) -> None:
        # An attacker has a machine of their own; here it shall not take ours away.
        command = ["nice", "-n", "19", sys.executable, "-m", __spec__.name]
        self.process = subprocess.Popen(
            [*command, "--attack", name, "--origin", origin], stdout=subprocess.PIPE, text=True
        )
        assert self.process.stdout is not None
        assert self.process.stdout.readline() == "ready\n"
        self.process.send_signal(signal.SIGSTOP)

    @property
    def done(self) -> bool:
        """Whether it has done all that it wanted."""
        return self.process.poll() is not None

    def go_on(self, go: bool) -> None:
        """Let it go on, or hold it."""
        if not self.done:
            self.process.send_signal(signal.SIGCONT if go else signal.SIGSTOP)

    def end(self) -> str:
        """End it; what it has seen."""
        if not self.done:
            self.process.terminate()
            self.process.send_signal(signal.SIGCONT)
        try:
            return self.process.communicate(timeout=30)[0].strip()
        finally:
            self.process.kill()


# --- the visitor, and what is counted -------------------------------------------------------------


@dataclass
class Counted:
    """Memory of the server and of the visitor's tutor in MiB, files and tutors of the server."""

    server: float
    tutor: float
    files: int
    tutors: int

    def __str__(self) -> str:
        return (
            f"server {self.server:5.1f} MiB, tutor {self.tutor:5.1f} MiB, "
            f"{self.files} files, {self.tutors} tutors"
        )


def memory(process: int) -> float:
    """Resident memory of a process in MiB, from /proc."""
    for line in Path(f"/proc/{process}/status").read_text().splitlines():
        if line.startswith("VmRSS"):
            return int(line.split()[1]) / 1024
    return 0.0


def counted(served: Served, tutor: int) -> Counted:
    files = len(os.listdir(f"/proc/{served.process.pid}/fd"))
    server = served.process.pid
    return Counted(memory(server), memory(tutor), files, len(served.tutors()))


class Guest:
    """The visitor whose keys are timed."""

    def __init__(self, page: aiohttp.ClientWebSocketResponse) -> None:
        self.page = page

    async def quiet(self, seconds: float = 0.06) -> None:
        """Take what is painted until nothing comes for a while, or something comes for ever."""
        until = time.monotonic() + 30
        with suppress(TimeoutError):
            while time.monotonic() < until:
                message = await asyncio.wait_for(self.page.receive(), seconds)
                assert message.type in (aiohttp.WSMsgType.BINARY, aiohttp.WSMsgType.TEXT), message

    async def key(self, name: str) -> float:
        """Seconds from a key to the first bytes of its paint, at most ``UNANSWERED``."""
        began = time.perf_counter()
        await self.page.send_json(["key", name])
        try:
            message = await asyncio.wait_for(self.page.receive(), UNANSWERED)
        except TimeoutError:
            return UNANSWERED
        took = time.perf_counter() - began
        assert message.type is aiohttp.WSMsgType.BINARY, message
        await self.quiet()
        return took

    async def times(self, seconds: float, attacker: Attacker | None = None) -> list[float]:
        """How long keys take, for a while, or until an attack is over."""
        found: list[float] = []
        until = time.monotonic() + seconds
        while time.monotonic() < until and not (attacker and attacker.done):
            found += [await self.key("down"), await self.key("up")]
        return found


def spread(times: list[float]) -> str:
    """Median and 95th percentile in milliseconds."""
    middle = sorted(times)[len(times) // 2] * 1e3
    return f"median {middle:6.1f} ms, p95 {late(times) * 1e3:6.1f} ms ({len(times)} keys)"


def late(times: list[float]) -> float:
    """The 95th percentile."""
    return sorted(times)[int(len(times) * 0.95)]


@asynccontextmanager
async def visiting(
    served: Served, name: str
) -> AsyncIterator[tuple[aiohttp.ClientWebSocketResponse, float]]:
    """A visitor, and the seconds until their tutor had painted."""
    began = time.monotonic()
    async with (
        aiohttp.ClientSession() as session,
        session.ws_connect(
            f"{served.origin}/tutor", headers={"Origin": served.origin}, max_msg_size=0
        ) as page,
    ):
        await page.send_json(["enter", name, 120, 40])
        kind = None
        while kind is not aiohttp.WSMsgType.BINARY:
            message = await page.receive(timeout=120)
            kind = message.type
            assert kind in (aiohttp.WSMsgType.TEXT, aiohttp.WSMsgType.BINARY), message
        yield page, time.monotonic() - began


async def come_in(home: Path) -> None:
    """A class comes in at once; prints how long it took."""

    async def one(number: int) -> float:
        async with visiting(served, f"Student {number}") as (_, took):
            came.append(number)
            while len(came) < CLASS:
                await asyncio.sleep(0.1)
        return took

    came: list[int] = []
    with serving(home, "--visitors", str(CLASS)) as served:
        took = await asyncio.gather(*(one(number) for number in range(CLASS)))
        served.stop()
    print(f"class      {CLASS} at once: the first in {min(took):.1f} s, all in {max(took):.1f} s")


async def flood(guest: Guest, attacker: Attacker, quiet: list[float], loud: list[float]) -> None:
    """Attack and quiet by turns."""
    turns, calm = TURNS, TURN
    if attacker.process.args[-3] == "entries":  # type: ignore[index]
        # So many turns that short ones tell enough of the quiet.
        turns, calm = int(MOST_SECONDS / TURN), TURN / 4
    while turns and not attacker.done:
        turns -= 1
        quiet += await guest.times(calm)
        attacker.go_on(True)
        loud += await guest.times(TURN, attacker)
        attacker.go_on(False)
        await guest.quiet(REST)


async def study(attacks: list[str]) -> None:
    """Attack a room, and print a line for each attack."""
    print("load of the machine before:", *(f"{load:.1f}" for load in os.getloadavg()))
    with tempfile.TemporaryDirectory() as home:
        await come_in(Path(home))
    with (
        tempfile.TemporaryDirectory() as home,
        serving(Path(home), "--visitors", "6") as served,
    ):
        async with visiting(served, "Ana") as (page, _):
            guest = Guest(page)
            await guest.quiet(3)
            [tutor] = served.tutors()
            await guest.times(TURN)  # whatever is done once only
            for name in attacks:
                quiet: list[float] = []
                loud: list[float] = []
                print(f"{name:10} before        {counted(served, tutor)}", flush=True)
                for which in FLOODS:
                    attacker = Attacker(name, served.origin)
                    try:
                        await flood(guest, attacker, quiet, loud)
                    finally:
                        said = attacker.end()
                    await guest.quiet(0.5)
                    peak = memory(served.process.pid)
                    await asyncio.sleep(SETTLED)
                    await guest.quiet(0.5)
                    print(f"           {which:6} flood  {said}; server {peak:.1f} MiB at its end")
                    print(f"           {which:6} after  {counted(served, tutor)}", flush=True)
                print(f"           quiet         {spread(quiet)}")
                print(f"           attacked      {spread(loud)}")
                print(
                    f"           p95           {late(loud) / late(quiet):.2f} times the quiet one"
                )
                assert alive(tutor)
        status, log = served.stop()
        print(f"closed with {status}; {len(log.splitlines())} lines logged")
    print("load of the machine after:", *(f"{load:.1f}" for load in os.getloadavg()))


def main() -> None:
    """The study, or one of its attacks."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("attacks", nargs="*", help="messages, headers, entries; all of them")
    options.add_argument("--attack", choices=ATTACKS)
    options.add_argument("--origin")
    asked = options.parse_args()
    if asked.attack is None:
        asyncio.run(study(asked.attacks or list(ATTACKS)))
        return
    seen = asyncio.run(attack(asked.attack, asked.origin))
    print(", ".join(f"{what} {count}" for what, count in seen.most_common()))


if __name__ == "__main__":
    main()
