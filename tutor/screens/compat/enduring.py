"""An app that outlives its own faults: the work stays, and the learner is told.

Textual 8.2 ends the program at an exception that no handler catches, and before that the message
loop of the widget it was raised in.  Here the exception stops at the message it belongs to, so
that every widget lives on; what it was is written down, and a screen says so.
"""

from __future__ import annotations

import sys
from collections import deque
from contextlib import suppress
from functools import lru_cache
from time import monotonic
from typing import TYPE_CHECKING, Any

from rich.text import Text
from textual import constants
from textual._styles_cache import StylesCache
from textual.app import App
from textual.driver import Driver
from textual.message import Message
from textual.message_pump import MessagePump
from textual.screen import Screen
from textual.widget import Widget

from ...language.texts import fill
from ..common.served import served

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from textual.actions import ActionParseResult
    from textual.dom import DOMNode

MANY, WITHIN = 12, 3.0
"""So many faults within so many seconds are too many to go on."""


class Enduring(App[None]):
    """An app that shows its faults and goes on.

    Under test, without a terminal, a fault ends it as ever, unless ``endures`` is set.
    """

    endures: bool | None = None
    """Whether faults are outlived; None: wherever there is somebody to tell."""

    def __init__(self) -> None:
        super().__init__()
        self._faults: deque[float] = deque(maxlen=MANY)
        _guard()
        _forget()

    def get_driver_class(self) -> type[Driver]:
        """Our own on a terminal; where something else shows the screen, what it asks for."""
        if constants.DRIVER is not None or sys.platform == "win32":
            return super().get_driver_class()
        from .terminal_driver import TerminalDriver

        return TerminalDriver

    async def run_action(
        self,
        action: str | ActionParseResult,
        default_namespace: DOMNode | None = None,
        namespaces: Mapping[str, DOMNode] | None = None,
    ) -> bool:
        """Perform an action, unless its screen has been covered or left since its key came.

        Keys that come faster than a window opens would open it once for each.

        Args:
            action: what to do.
            default_namespace: the widget whose key it is.
            namespaces: where else its name is looked for.
        """
        if isinstance(default_namespace, Widget):
            screens = (n for n in default_namespace.ancestors_with_self if isinstance(n, Screen))
            if next(screens, None) is not self.screen:
                return False
        return await super().run_action(action, default_namespace, namespaces)

    def _handle_exception(self, error: Exception) -> None:
        if not self.outlives(error):
            super()._handle_exception(error)

    def outlives(self, error: Exception) -> bool:
        """Write a fault down and show it; False where the app has to end by it."""
        endures = not self.is_headless if self.endures is None else self.endures
        if not endures:
            return False
        from ...files.faults import write_down

        path = write_down(error)
        if served() and path is not None and sys.__stderr__ is not None:
            # Heard by the server, which tells whoever runs it.
            values = [("kind", type(error).__name__), ("path", path)]
            with suppress(OSError, ValueError):
                print(fill("trouble", "noted", values), file=sys.__stderr__, flush=True)
        now = monotonic()
        self._faults.append(now)
        many = len(self._faults) == MANY and now - self._faults[0] < WITHIN
        if many or not self._running or not self.screen_stack:
            self._leave_by(error, path)
        else:
            self.call_later(self._tell, error, path)
        return True

    def _tell(self, error: Exception, path: Path | None) -> None:
        from ..common.trouble import TroubleScreen

        if not isinstance(self.screen, TroubleScreen):
            self.push_screen(TroubleScreen(error, path), self._told)

    def _told(self, go_on: bool | None) -> None:
        """Go on with the screen that is there, which may have to be set right."""
        if not go_on:
            self.exit()
            return
        # A screen that could not even be put together has nothing on it to go on with.
        if len(self.screen_stack) > 1 and not (self.screen.is_running and self.screen.children):
            self.pop_screen()
        recover = getattr(self.screen, "recover", None)
        if recover is not None:
            recover()
        self.screen.refresh(layout=True)

    def give_up(self, error: Exception) -> None:
        """Write a fault down, and leave."""
        from ...files.faults import write_down

        self._leave_by(error, write_down(error))

    def _leave_by(self, error: Exception, path: Path | None) -> None:
        """Leave, with one sentence in the terminal and no more."""
        key = "ended" if path is not None else "ended-unwritten"
        values = {"kind": type(error).__name__, "path": path or ""}
        # As text: nothing in it is to be read as markup.
        self.exit(return_code=1, message=Text(fill("trouble", key, values.items())))


_REMEMBERED = 64


def _forget() -> None:
    """Let go of the painted lines of widgets that have gone.

    Textual remembers two colours for each of a thousand widgets, and by them the widgets' lines:
    thirty megabytes for who opens and closes pages often enough.
    """
    found: Any = StylesCache.get_inner_outer
    if found.cache_parameters()["maxsize"] != _REMEMBERED:
        smaller: Any = lru_cache(_REMEMBERED)(found.__wrapped__)
        StylesCache.get_inner_outer = smaller  # type: ignore[method-assign]


_GUARDED = "_rungwise_guarded"


def _guard() -> None:
    """Let every message loop go on after a message whose handler raised an exception.

    The one place where Textual lets itself be told so is the method that hands a message to
    its handlers: in the loop around it the exception would already be the loop's end.
    """
    hand_out: Any = MessagePump._dispatch_message
    if getattr(hand_out, _GUARDED, False):
        return

    async def guarded(pump: MessagePump, message: Message) -> None:
        try:
            await hand_out(pump, message)
        except Exception as error:
            app: object = pump.app
            if not (isinstance(app, Enduring) and pump.is_running and app.outlives(error)):
                raise

    setattr(guarded, _GUARDED, True)
    MessagePump._dispatch_message = guarded  # type: ignore[assignment,method-assign]
