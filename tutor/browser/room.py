"""The room: who is in it, and what goes between their browsers and their tutors."""

from __future__ import annotations

import asyncio
import math
import time
from collections.abc import Awaitable, Callable, Mapping
from contextlib import suppress
from typing import Any

from aiohttp import WSCloseCode, WSMessage, WSMsgType, web

from ..language.texts import fill, plain
from ..store.folder import slug
from . import names, page
from .budgets import Bucket, Budgets, descriptors
from .door import Door
from .guard import local_host, own_origin
from .log import Log
from .packets import MAX_PASTE, MAX_TEXT, GarbledError
from .usage import usage
from .visitor import Visitor

TO_ENTER = 10.0
"""Seconds between opening a connection and giving a name."""
PULSE, TO_ANSWER = 15.0, 7.5
"""Seconds between two signs of life asked of a browser, and for which one is waited for."""
WARNING = 60.0
"""Seconds before the end at which an idle visitor is warned, at most a fifth of the limit."""
MAX_MESSAGE = 6 * MAX_PASTE + 1024
"""Most bytes of a message from a page: a paste in which every sign is escaped."""
MAX_WAITING = 64
"""Most connections that have not given a name yet."""
TO_BEGIN = 10.0
"""Seconds that a tutor has for its first paint before the next one is started beside it."""
TO_READ = 4.0
"""Seconds that a page has for reading the last thing it is told."""
TO_HEAR = 0.25
"""Seconds that a page has for closing its end once it has been told to go."""
PIPES = 4
"""Files that a visitor's tutor takes: three pipes, and one while it is started."""
SPARE = 128
"""Files for everything else, and for connections that are just being closed."""

OVERDONE = ("flooded", "misused", "heavy", "busy")
"""Ends after which a tutor has too much to do to hear soon that it shall leave."""

Tell = Callable[[str], None]


class MisuseError(Exception):
    """A message that the page does not send."""


class VisitorStay:
    """A ``visitor``'s stay: who, since when idle, and why it ended."""

    def __init__(self, visitor: Visitor) -> None:
        self.visitor = visitor
        self.last_sign = time.monotonic()
        self.over: asyncio.Future[str] = asyncio.get_running_loop().create_future()
        """Why it is over, by key of words, as soon as it is."""
        self.begun = asyncio.Event()
        """Set when its tutor has painted something, or the stay is over."""
        self.gone = asyncio.Event()
        """Set when nothing is left of it."""

    def finish(self, why: str) -> None:
        """End the stay, unless it has ended already."""
        if not self.over.done():
            self.over.set_result(why)
            self.begun.set()


class BrowserRoom:
    """Visitors and their tutors, behind a few addresses.

    Args:
        visitors: How many may be in at once.
        idle: Seconds without a key or a click after which a visitor is asked to leave.
        tell: Takes a line for whoever runs the server.
        budgets: What may be used of the machine.
    """

    def __init__(
        self, visitors: int, idle: float, tell: Tell, budgets: Budgets | None = None
    ) -> None:
        self.visitors = visitors
        self.idle = idle
        self.budgets = budgets = budgets or Budgets()
        self.log = Log(tell)
        each = visitors + budgets.unasked
        files = descriptors(2 * each + PIPES * visitors + SPARE)
        total = max(4, min(2 * each, files - PIPES * visitors - SPARE))
        self.door = Door(total, min(each, total), budgets.patience)
        self._inside: dict[str, VisitorStay] = {}
        self._entries = Bucket(budgets.entries, visitors + budgets.entries_at_once)
        self._requests = Bucket(budgets.requests, visitors * budgets.requests_at_once)
        self._turn = asyncio.Lock()
        """Whose turn it is among requests that have to wait; the oldest first."""
        self._starting = asyncio.Lock()
        """Held by the one tutor that is being started: the others' keys come before."""
        self._waiting: dict[web.WebSocketResponse, asyncio.Transport | None] = {}
        """Who has given no name yet; the oldest first."""
        self._closing = False
        self._parts = page.parts()
        self._page = page.page()

    def application(self) -> web.Application:
        """The server's application; everything it can be asked for is listed here."""
        app = web.Application(middlewares=[self._guard], client_max_size=1024)
        app.add_routes(
            [
                web.get("/", self._show_page),
                web.get("/tutor", self._take_in),
                *(web.get(f"/{name}", self._show_part) for name in self._parts),
            ]
        )
        app.on_shutdown.append(self._close)
        return app

    # Pages

    @web.middleware
    async def _guard(
        self,
        request: web.Request,
        handler: Callable[[web.Request], Awaitable[web.StreamResponse]],
    ) -> web.StreamResponse:
        host = local_host(request.headers.get("Host"))
        if host is None:
            return self._refusal(421, "elsewhere", "127.0.0.1")
        transport = request.transport  # gone afterwards, if it was closed
        self.door.asked(transport)
        try:
            await self._take_turn(request)
            response = await handler(request)
        except web.HTTPException as error:
            status = error.status if error.status in (404, 405) else 400
            return self._refusal(status, "nothing-here", host)
        finally:
            self.door.answered(transport)
        if not response.prepared:
            response.headers.update(page.headers(host))
        return response

    async def _take_turn(self, request: web.Request) -> None:
        """Wait while requests come faster than they are answered; who has gone is passed over.

        Waiting costs nothing, and whoever floods the room waits as well: a refusal would only
        bring the next request at once.  There are no more to wait for than the door lets in.
        """
        async with self._turn:
            while request.transport is not None and not self._requests.take():
                await asyncio.sleep(self._requests.wait())

    def _refusal(self, status: int, key: str, host: str) -> web.Response:
        text = fill("serving", f"refused.{key}") + "\n"
        return web.Response(status=status, text=text, headers=page.headers(host))

    async def _show_page(self, request: web.Request) -> web.Response:
        return web.Response(body=self._page, content_type="text/html", charset="utf-8")

    async def _show_part(self, request: web.Request) -> web.Response:
        kind, body = self._parts[request.path[1:]]
        return web.Response(body=body, content_type=kind, charset="utf-8")

    # Coming in

    async def _take_in(self, request: web.Request) -> web.StreamResponse:
        host = local_host(request.headers.get("Host"))
        if host is None or not own_origin(request.headers.get("Origin"), host):
            return self._refusal(403, "elsewhere", "127.0.0.1")
        # Signs of life are asked for below, of those who are in: aiohttp's own timer begins anew
        # with the last message of a connection that is closed, and holds it until it goes off.
        socket = web.WebSocketResponse(
            autoping=False,
            receive_timeout=PULSE + TO_ANSWER,
            max_msg_size=MAX_MESSAGE,
            compress=False,
            timeout=TO_HEAR,
        )
        if self._closing or not socket.can_prepare(request):
            return self._refusal(503, "nothing-here", host)
        await socket.prepare(request)
        if len(self._waiting) >= MAX_WAITING:
            self._drop_one_waiting()
        self._waiting[socket] = request.transport
        try:
            wanted = await self._wanted(socket)
        finally:
            self._waiting.pop(socket, None)
        if wanted is None:
            await socket.close(code=WSCloseCode.POLICY_VIOLATION)
            return socket
        await self._enter(socket, request.transport, *wanted)
        return socket

    def _drop_one_waiting(self) -> None:
        """Close the connection that has longest given no name; a page gives one at once."""
        oldest = next(iter(self._waiting))
        transport = self._waiting.pop(oldest)
        if transport is not None:
            transport.abort()

    async def _wanted(self, socket: web.WebSocketResponse) -> tuple[str, tuple[int, int]] | None:
        """The name and the size of the screen, which a page gives first; ``None`` is misuse."""
        try:
            message = await socket.receive(timeout=TO_ENTER)
            match parsed(message):
                case ["enter", str(name), int(columns), int(rows)]:
                    return name, (columns, rows)
        except (TimeoutError, MisuseError):
            pass
        return None

    async def _enter(
        self,
        socket: web.WebSocketResponse,
        transport: asyncio.Transport | None,
        typed: str,
        size: tuple[int, int],
    ) -> None:
        try:
            name = names.read_name(typed)
        except names.RefusedNameError as refusal:
            await self._send_away(socket, refusal.reason, most=names.MAX_NAME)
            return
        key = slug(name)  # all spellings of one name share one record
        reason = await self._no_place(key)
        if not reason and not self._entries.take():
            reason = "hurry"
        if reason:
            seconds = math.ceil(self._entries.wait())
            values = {"name": name, "count": self.visitors, "seconds": seconds}
            await self._send_away(socket, reason, **values)
        elif not self._closing:
            stay = self._inside[key] = VisitorStay(Visitor(name, size))
            try:
                await self._host(socket, transport, stay)
            finally:
                del self._inside[key]
                stay.gone.set()

    async def _no_place(self, key: str) -> str:
        """Why there is no place for a name, by key of words; "" if there is one.

        A place that is just being left is waited for: who reloads the page, or comes in for
        somebody who leaves, is not sent away for the second that this takes.
        """
        while key in self._inside or len(self._inside) >= self.visitors:
            same = self._inside.get(key)
            leaving = [
                stay
                for stay in ([same] if same is not None else self._inside.values())
                if stay.over.done()
            ]
            if not leaving:
                return "full" if same is None else "taken"
            waits = [asyncio.create_task(stay.gone.wait()) for stay in leaving]
            await asyncio.wait(waits, return_when=asyncio.FIRST_COMPLETED)
            for wait in waits:
                wait.cancel()
        return ""

    async def _send_away(self, socket: web.WebSocketResponse, reason: str, **values: Any) -> None:
        said = fill("serving", f"refused.{reason}", values.items())
        await send(socket, ["refused", said])
        await socket.close()

    # Being there

    async def _host(
        self,
        socket: web.WebSocketResponse,
        transport: asyncio.Transport | None,
        stay: VisitorStay,
    ) -> None:
        visitor, end = stay.visitor, ""
        tasks: list[asyncio.Task[None]] = []
        try:
            async with self._starting:
                if transport is None or transport.is_closing():
                    return  # gone while others were started
                try:
                    await visitor.start()
                except OSError as error:
                    values = [("why", error.strerror or error)]
                    self.log.tell(fill("serving", "log.no-start", values), "no-start")
                    await self._send_away(socket, "no-start")
                    return
                self._note("came", visitor, count=len(self._inside), most=self.visitors)
                tasks += [
                    asyncio.create_task(step)
                    for step in (
                        self._show(socket, stay),
                        self._listen(socket, stay),
                        self._watch(socket, stay),
                        self._beat(socket),
                        self._measure(stay),
                    )
                ]
                await send(socket, ["welcome", visitor.name])
                with suppress(TimeoutError):
                    await asyncio.wait_for(stay.begun.wait(), TO_BEGIN)
                if stay.over.done():  # before it began: the next one waits until it is gone
                    await visitor.end()
            end = await stay.over
            await stop(tasks)  # so that this is the last that is said
            minutes = self.idle / 60
            shown = f"{minutes:.0f}" if minutes >= 1 else f"{minutes:.1g}"
            said = fill("serving", f"ended.{end}", [("minutes", shown)])
            await in_time(send(socket, ["ended", said]))
        finally:
            await stop(tasks)
            closing = cut_off(transport) if end in OVERDONE else in_time(socket.close())
            ending = visitor.end(ask=end not in OVERDONE)
            await asyncio.gather(closing, ending, return_exceptions=True)
        self._note(f"left-{end}", visitor)
        if visitor.last_words:
            lines = visitor.last_words.decode("utf-8", "replace").splitlines()
            self.log.tell("\n".join("    " + plain(line) for line in lines[-12:]), "said")

    def _note(self, key: str, visitor: Visitor, **values: object) -> None:
        when = time.strftime("%H:%M")
        values |= {"when": when, "name": visitor.name}
        self.log.tell(fill("serving", f"log.{key}", values.items()), key)

    async def _show(self, socket: web.WebSocketResponse, stay: VisitorStay) -> None:
        """From the tutor to the browser, until the tutor ends."""
        why = "stopped"
        try:
            async for screen in stay.visitor.screens():
                stay.begun.set()
                await socket.send_bytes(screen)
            if await stay.visitor.ended_well():
                why = "left"
        except ConnectionError:
            why = "lost"
        except GarbledError:
            pass
        finally:
            stay.finish(why)

    async def _listen(self, socket: web.WebSocketResponse, stay: VisitorStay) -> None:
        """From the browser to the tutor, until the browser has gone."""
        why = "lost"
        budgets = self.budgets
        messages = Bucket(budgets.messages, budgets.messages_at_once)
        moves = Bucket(budgets.moves, budgets.moves)
        try:
            async for message in socket:
                if not messages.take(1 + len(message.data or "") / 512):
                    why = "flooded"
                    break
                await asyncio.sleep(0)  # however much there is to read, others are heard as well
                if message.type is WSMsgType.PONG:
                    continue
                if message.type is WSMsgType.PING:
                    await socket.pong(message.data)
                    continue
                type_, values = order(parsed(message))
                if passing(type_, values) and not moves.take():
                    continue
                if type_ not in ("resize", "focus", "blur"):
                    stay.last_sign = time.monotonic()
                await stay.visitor.tell(type_, **values)
        except MisuseError:
            why = "misused"
        except TimeoutError:  # no sign of life any more
            pass
        except (ConnectionError, RuntimeError):  # the tutor has ended, and says so itself
            await asyncio.sleep(1)
            why = "stopped"
        finally:
            stay.finish(why)

    async def _watch(self, socket: web.WebSocketResponse, stay: VisitorStay) -> None:
        """Warn who is idle, then ask them to leave."""
        warning = min(WARNING, self.idle / 5)
        warned = False
        while (left := stay.last_sign + self.idle - time.monotonic()) > 0:
            if left > warning:
                warned = False
                await asyncio.sleep(left - warning)
            else:
                if not warned:
                    warned = True
                    await send(socket, ["idle", round(left)])
                await asyncio.sleep(min(left, 0.5))
        stay.finish("idle")

    async def _beat(self, socket: web.WebSocketResponse) -> None:
        """Ask for signs of life; the answers are heard with everything else that comes."""
        with suppress(ConnectionError, RuntimeError):
            while True:
                await asyncio.sleep(PULSE)
                await socket.ping()

    async def _measure(self, stay: VisitorStay) -> None:
        """End the stay of a tutor that uses more of the machine than its part."""
        cpu, before = Bucket(self.budgets.cpu, self.budgets.cpu_at_once), 0.0
        while (process := stay.visitor.process) is not None:
            await asyncio.sleep(self.budgets.look)
            used = await usage(process)
            if used is None:
                continue
            if used.memory > self.budgets.memory:
                stay.finish("heavy")
            if not cpu.take(max(0.0, used.cpu - before)):
                stay.finish("busy")
            before = used.cpu

    # Closing

    async def _close(self, _: web.Application) -> None:
        """Ask everybody to leave, and wait until all have gone."""
        self._closing = True
        stays = list(self._inside.values())
        for stay in stays:
            stay.finish("closed")
        await asyncio.gather(*(stay.gone.wait() for stay in stays))


def passing(type_: str, values: Mapping[str, object]) -> bool:
    """Whether a message only says where the mouse is, or turns its wheel: the next one will do.

    Args:
        type_: its type, as `order` has it.
        values: its values.
    """
    return type_ == "mouse" and values["what"] not in ("down", "up")


async def stop(tasks: list[asyncio.Task[None]]) -> None:
    """Cancel tasks, and wait until they have ended."""
    for task in tasks:
        task.cancel()
    await asyncio.gather(*tasks, return_exceptions=True)


async def in_time(step: Awaitable[object]) -> None:
    """Do what waits for a page to read, for as long as a page needs that does."""
    with suppress(TimeoutError):
        await asyncio.wait_for(step, TO_READ)


async def cut_off(transport: asyncio.Transport | None) -> None:
    """Close a connection without reading what it still sends: it hears why, and that is all."""
    if transport is not None and not transport.is_closing():
        transport.pause_reading()
        await asyncio.sleep(TO_HEAR)
        transport.abort()


async def send(socket: web.WebSocketResponse, message: list[object]) -> None:
    """Send a ``message`` to the page at a ``socket``, which may have gone."""
    with suppress(ConnectionError, RuntimeError):
        await socket.send_json(message)


def parsed(message: WSMessage) -> list[object]:
    """The list that a message from a page is.

    Raises:
        MisuseError: it is anything else.
    """
    if message.type is WSMsgType.TEXT:
        with suppress(ValueError, RecursionError):
            found = message.json()
            if isinstance(found, list) and found:
                return found
    raise MisuseError


def order(message: list[object]) -> tuple[str, dict[str, object]]:
    """What a message asks of the tutor: a type and its values.

    Raises:
        MisuseError: nothing a page sends.
    """
    match message:
        case ["key", str(key)] if len(key) <= 32:
            return "key", {"key": key}
        case ["text", str(text)] if len(text) <= MAX_TEXT:
            return "text", {"text": text}
        case ["paste", str(text)] if len(text) <= MAX_PASTE:
            return "paste", {"text": text}
        case ["size", int(width), int(height)]:
            return "resize", {"width": width, "height": height}
        case ["focus", bool(focus)]:
            return ("focus" if focus else "blur"), {}
        case ["mouse", str(what), int(x), int(y), int(button), bool(shift), bool(ctrl)]:
            values = {"what": what, "x": x, "y": y, "button": button}
            return "mouse", {**values, "shift": shift, "ctrl": ctrl}
    raise MisuseError
