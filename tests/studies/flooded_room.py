"""A room under attack: ``python -m tests.studies.flooded_room [messages headers entries]``.

One visitor presses keys and waits for each paint, first in quiet, then while somebody floods the
room with messages, with requests that never end, and with entries and exits.  Afterwards memory,
files and processes are counted.  Everything is bounded, and all of it on the loopback address.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import socket
import subprocess
import sys
import tempfile
import time
from collections import Counter
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import aiohttp

from tests.tutor.browser.server import Served, alive, serving

SECONDS = 12.0
"""How long a flood of messages or of half headers lasts."""
ENTRIES, AT_ONCE = 10_000, 6
MOST_SECONDS = 40.0
"""Seconds after which entries are no longer tried."""
HELD = 600
"""Connections that an attacker holds at once."""
KEYS = 40
"""Keys pressed while it is quiet, and at least as many in each attack."""


# --- the attacks, each in a process of its own ----------------------------------------------------


async def messages(origin: str, until: float) -> Counter[str]:
    """Come in and flood, again and again."""
    seen: Counter[str] = Counter()
    async with aiohttp.ClientSession() as session:
        while time.monotonic() < until:
            async with session.ws_connect(
                f"{origin}/tutor", headers={"Origin": origin}, max_msg_size=0
            ) as page:
                await page.send_json(["enter", "Flood", 120, 40])
                heard = asyncio.create_task(_last(page))
                with suppress(ConnectionError):
                    while time.monotonic() < until and not heard.done():
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


async def headers(origin: str, until: float) -> Counter[str]:
    """Open connections, never end a request, hold as many as can be held."""
    seen: Counter[str] = Counter()
    port = int(origin.rsplit(":", 1)[1])
    held: list[socket.socket] = []
    loop = asyncio.get_running_loop()
    while time.monotonic() < until:
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


async def entries(origin: str, until: float) -> Counter[str]:
    """Come in and leave at once, under one name after the other."""
    seen: Counter[str] = Counter()
    numbers = iter(range(ENTRIES))

    async def again(session: aiohttp.ClientSession) -> None:
        for number in numbers:
            if time.monotonic() > until:
                return
            try:
                async with session.ws_connect(
                    f"{origin}/tutor", headers={"Origin": origin}, max_msg_size=0
                ) as page:
                    await page.send_json(["enter", f"Guest {number % 500}", 80, 24])
                    message = await page.receive(timeout=15)
                    kind = message.json()[0] if message.type is aiohttp.WSMsgType.TEXT else "shut"
                    seen[kind] += 1
            except (aiohttp.ClientError, TimeoutError, ConnectionError):
                seen["no answer"] += 1

    async with aiohttp.ClientSession() as session:
        await asyncio.gather(*(again(session) for _ in range(AT_ONCE)))
    return seen


ATTACKS = {"messages": messages, "headers": headers, "entries": entries}


# --- the visitor, and what is counted -------------------------------------------------------------


@dataclass
class Counted:
    """Memory of the server and of the visitor's tutor in MiB, files and tutors of the server."""

    server: float
    tutor: float
    files: int
    tutors: int


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
        """Take what is painted until nothing comes for a while."""
        with suppress(TimeoutError):
            while True:
                message = await asyncio.wait_for(self.page.receive(), seconds)
                assert message.type in (aiohttp.WSMsgType.BINARY, aiohttp.WSMsgType.TEXT), message

    async def key(self, name: str) -> float:
        """Seconds from a key to the first bytes of its paint."""
        began = time.perf_counter()
        await self.page.send_json(["key", name])
        message = await self.page.receive(timeout=30)
        took = time.perf_counter() - began
        assert message.type is aiohttp.WSMsgType.BINARY, message
        await self.quiet()
        return took

    async def times(self, while_: subprocess.Popen[str] | None = None) -> list[float]:
        """How long keys take, until an attack is over."""
        found: list[float] = []
        while len(found) < KEYS or (while_ is not None and while_.poll() is None):
            found += [await self.key("f1"), await self.key("escape")]
        return found


def spread(times: list[float]) -> tuple[float, float]:
    """Median and 95th percentile in milliseconds."""
    ordered = sorted(times)
    return ordered[len(ordered) // 2] * 1e3, ordered[int(len(ordered) * 0.95)] * 1e3


async def study(attacks: list[str]) -> None:
    """Attack a room, and print a line for each attack."""
    with (
        tempfile.TemporaryDirectory() as home,
        serving(Path(home), "--visitors", "6") as served,
    ):
        async with (
            aiohttp.ClientSession() as session,
            session.ws_connect(
                f"{served.origin}/tutor", headers={"Origin": served.origin}, max_msg_size=0
            ) as page,
        ):
            await page.send_json(["enter", "Ana", 120, 40])
            guest = Guest(page)
            await guest.quiet(3)
            [tutor] = served.tutors()
            await guest.times()  # whatever is done once only
            middle, late = spread(await guest.times())
            before = counted(served, tutor)
            print(f"quiet      median {middle:6.1f} ms   p95 {late:6.1f} ms   {before}")
            for name in attacks:
                attack = subprocess.Popen(
                    # An attacker has a machine of their own; here it shall not take ours away.
                    [
                        "nice",
                        "-n",
                        "19",
                        sys.executable,
                        "-m",
                        __spec__.name,
                        "--attack",
                        name,
                        "--origin",
                        served.origin,
                    ],
                    stdout=subprocess.PIPE,
                    text=True,
                )
                try:
                    middle, now_late = spread(await guest.times(attack))
                    said = attack.communicate(timeout=30)[0].strip()
                finally:
                    if attack.poll() is None:
                        attack.kill()
                print(
                    f"{name:10} median {middle:6.1f} ms   p95 {now_late:6.1f} ms "
                    f"({now_late / late:.2f} × quiet)   {said}"
                )
                await asyncio.sleep(20)  # the heartbeat of a closed connection ends with its beat
                await guest.quiet(0.5)
                print(f"           afterwards {counted(served, tutor)}")
                assert alive(tutor)
        status, log = served.stop()
        print(f"closed with {status}; {len(log.splitlines())} lines logged")


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
    seconds = MOST_SECONDS if asked.attack == "entries" else SECONDS
    until = time.monotonic() + seconds
    seen = asyncio.run(ATTACKS[asked.attack](asked.origin, until))
    print(", ".join(f"{what} {count}" for what, count in seen.most_common()))


if __name__ == "__main__":
    main()
