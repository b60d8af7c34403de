"""The screen of a tutor that is shown in a browser: packets over a pipe.

Textual has a driver for this.  Here it is made to end with its server (rather than to wait
for ever on a closed pipe), to take keys by name (rather than as a terminal's sequences, which
a hostile page could bend), and to neither open addresses nor hand out files.
"""

from __future__ import annotations

import asyncio
import json
import os
import signal
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from threading import Event, Timer
from time import monotonic
from typing import Any, BinaryIO, Literal, TextIO

from textual import events, messages
from textual.app import App
from textual.drivers._byte_stream import ByteStream
from textual.drivers.web_driver import WebDriver
from textual.geometry import Size
from textual.keys import KEY_NAME_REPLACEMENTS, _character_to_key
from textual.message import Message

from .packets import HANDSHAKE, LARGEST, MAX_PASTE, MAX_TEXT, clamped

GRACE = 5.0
"""Seconds that a tutor has for leaving once its server has gone."""
HANDFUL = 32
"""Events handed on before the tutor has to have dealt with them; more wait in the pipe."""
PATIENCE = 2.0
"""Seconds for which a tutor that deals with nothing is waited for."""

_CHARACTERS = {"enter": "\r", "tab": "\t", "backspace": "\x7f", "escape": "\x1b", "space": " "}
NAMED = frozenset(
    (
        *("enter", "tab", "backspace", "escape", "space", "delete", "insert"),
        *("up", "down", "left", "right", "home", "end", "pageup", "pagedown"),
        *(f"f{number}" for number in range(1, 13)),
    )
)
"""Keys that have a name of their own."""
MODIFIERS = frozenset(["ctrl", "shift", "alt"])

Values = dict[str, Any]


def key_event(name: str) -> events.Key:
    """The event of a key that is known by its name: "f2", "shift+tab", "ctrl+p".

    Raises:
        ValueError: there is no such key.
    """
    *modifiers, key = name.split("+")
    letter = len(key) == 1 and key.isascii() and key.isalnum()
    if not set(modifiers) <= MODIFIERS or len(modifiers) > len(MODIFIERS):
        raise ValueError(name)
    if key not in NAMED and not (letter and set(modifiers) & {"ctrl", "alt"}):
        raise ValueError(name)
    if modifiers:
        return events.Key("+".join([*sorted(set(modifiers)), key]), None)
    return events.Key(key, _CHARACTERS.get(key))


def text_events(text: str) -> Iterator[events.Key]:
    """The events of characters that were typed; controls and halves of characters are none."""
    for character in text[:MAX_TEXT]:
        if not character.isprintable():
            continue
        name = character if character.isalnum() else _character_to_key(character)
        yield events.Key(KEY_NAME_REPLACEMENTS.get(name, name), character)


def mouse_event(last: tuple[int, int], values: Values) -> events.MouseEvent:
    """The event of a mouse, of a packet's ``values``; ``last`` is the cell it was over before.

    Raises:
        ValueError: there is no such event (also KeyError, TypeError).
    """
    kinds: dict[str, type[events.MouseEvent]] = {
        "down": events.MouseDown,
        "up": events.MouseUp,
        "move": events.MouseMove,
        "scroll-up": events.MouseScrollUp,
        "scroll-down": events.MouseScrollDown,
    }
    x, y, button = (int(values[name]) for name in ("x", "y", "button"))
    if not (0 <= x < LARGEST[0] and 0 <= y < LARGEST[1] and button in (0, 1, 2, 3)):
        raise ValueError(values)
    return kinds[values["what"]](
        None,
        x,
        y,
        x - last[0],
        y - last[1],
        button,
        bool(values.get("shift")),
        False,
        bool(values.get("ctrl")),
        screen_x=x,
        screen_y=y,
    )


class ServedDriver(WebDriver):
    """Keys, mouse and pastes from one pipe, the screen to another.

    Args:
        app: The tutor.
        debug: Without effect: a served tutor writes no logs.
        mouse: Whether the mouse is used.
        size: Columns and rows; without them those of the environment.
    """

    def __init__(
        self,
        app: App[Any],
        *,
        debug: bool = False,
        mouse: bool = True,
        size: tuple[int, int] | None = None,
    ) -> None:
        super().__init__(app, debug=False, mouse=mouse, size=size)
        # A pipe of our own: whatever is printed elsewhere cannot come between the packets.
        self._pipe = os.dup(self.fileno)
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, self.fileno)
        os.close(nowhere)
        self._write = self._send  # type: ignore[assignment]
        self._over = (0, 0)
        self._handed = 0

    def _send(self, data: bytes) -> int:
        """Write all of it: a pipe may take a part only, and the rest would garble what follows."""
        left = memoryview(data)
        try:
            while left:
                left = left[os.write(self._pipe, left) :]
        except OSError:  # the server has gone: nobody looks at this screen any more
            self._leave()
        return len(data)

    def start_application_mode(self) -> None:
        """Begin: the page needs no terminal's modes, and the tutor begins with the keyboard.

        Textual's own driver would have it begin without, until the page says otherwise; which
        of the two comes last is then a matter of luck.
        """
        loop = asyncio.get_running_loop()
        for name in ("SIGINT", "SIGTERM"):
            with suppress(NotImplementedError):  # Windows ends a process without asking it
                loop.add_signal_handler(getattr(signal, name), self._leave)
        self._write(HANDSHAKE)
        size = Size(*(self._size or (80, 24)))
        self.send_message(events.Resize(size, size))
        # The page paints an update when it is complete.
        self.send_message(messages.TerminalSupportsSynchronizedOutput())
        self._key_thread.start()

    def stop_application_mode(self) -> None:
        """End; the closed pipe tells the server."""
        self.exit_event.set()
        self._input_reader.close()

    def run_input_thread(self) -> None:
        """Hand on what comes through the pipe; leave when it is closed."""
        stream = ByteStream()
        for data in self._input_reader:
            for _, load in stream.feed(data) if data else ():
                # A packet that means nothing is dropped; the next one may be in order.
                with suppress(ValueError, TypeError, KeyError, RecursionError):
                    values = json.loads(load)
                    self.on_meta(values["type"], values)
        if not self.exit_event.is_set():
            self._leave()

    def on_meta(self, packet_type: str, payload: dict[str, object]) -> None:
        """Keys, mouse, sizes, focus and leaving; no file is ever asked for."""
        values: Values = payload
        match packet_type:
            case "key":
                self.process_message(key_event(str(values["key"])))
            case "text":
                for event in text_events(str(values["text"])):
                    self.process_message(event)
            case "paste":
                text = str(values["text"])[:MAX_PASTE].replace("\x00", "")
                self.process_message(events.Paste(text))
            case "mouse":
                moved = mouse_event(self._over, values)
                self._over = int(moved.x), int(moved.y)
                self.process_message(moved)
            case "resize":
                columns, rows = clamped(int(values["width"]), int(values["height"]))
                super().on_meta("resize", {"width": columns, "height": rows})
            case "focus" | "blur" | "quit":
                super().on_meta(packet_type, payload)
        self._hand_on()

    def process_message(self, message: Message) -> None:
        """Hand an event on."""
        super().process_message(message)
        self._hand_on()

    def _hand_on(self) -> None:
        """Count; after a handful, wait until the tutor has dealt with it.

        Its queues have no bounds: events that come faster than it paints would fill the memory.
        What waits in the pipe holds up the server's page instead, and so the one that sends it.
        """
        self._handed += 1
        if self._handed < HANDFUL:
            return
        self._handed = 0
        done, app = Event(), self._app

        def through() -> None:
            # Keys go from the app's queue to that of the widget that has the keyboard.
            last = (app.focused or app.screen) if app.screen_stack else app
            last.call_later(done.set)

        app.call_later(through)
        until = monotonic() + PATIENCE
        while not done.wait(0.05) and not self.exit_event.is_set() and monotonic() < until:
            pass

    def _leave(self) -> None:
        """End the tutor; if it cannot end by itself, for instance while it computes, by force."""
        self.exit_event.set()
        force = Timer(GRACE, os._exit, (1,))
        force.daemon = True
        force.start()
        with suppress(RuntimeError):  # the loop has ended already
            self.send_message(messages.ExitApp())

    def open_url(self, url: str, new_tab: bool = True) -> None:
        """Open no ``url``, in a ``new_tab`` or not: the page shows nothing from elsewhere."""

    def deliver_binary(
        self,
        binary: BinaryIO | TextIO,
        *,
        delivery_key: str,
        save_path: Path,
        open_method: Literal["browser", "download"] = "download",
        encoding: str | None = None,
        mime_type: str | None = None,
        name: str | None = None,
    ) -> None:
        """Hand out no file: ``binary`` is closed, and ``delivery_key`` and ``name`` say which.

        ``save_path``, ``open_method``, ``encoding`` and ``mime_type`` have no effect.
        """
        binary.close()
        refusal = PermissionError("no files are handed out in a browser")
        self._app.post_message(events.DeliveryFailed(delivery_key, refusal, name))
