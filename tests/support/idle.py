"""When an app under test has done all there is to do, without sleeping longer than that takes.

Textual's own wait (8.2, ``textual._wait``) sleeps for two hundredths of a second at least, twice a
key; half of the suite's time went there.  An app is idle as soon as its loop has nothing ready and
nothing due within a frame or so, no thread of its is at work, and no processor time passes.

What the pilot does is laid out at once and painted when the app is left: whatever reads the screen
before that draws it anew.  Where painting itself is tested, as by random keys, `painted_at_once`
paints as in a terminal.  Style sheets are parsed once in a process, not once for every app.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from time import monotonic, process_time
from typing import Any

import pytest
from textual import screen
from textual._context import active_app
from textual.app import App
from textual.css.stylesheet import Stylesheet
from textual.pilot import Pilot
from textual.screen import Screen

_LOOK = 0.001
"""Seconds between looks."""
_WORKING = 0.0005
"""So much processor time in between is work."""
_PERIOD = 0.002
"""Seconds between two paints, a sixtieth in a terminal."""
_FRAME = 0.02
"""What is due within so many seconds is waited for."""
_QUIET = 2
"""Idle so many looks in a row."""


async def wait_for_idle(min_sleep: float = _LOOK, max_sleep: float = 1) -> None:
    """Wait until there is nothing left to do, for ``max_sleep`` seconds at most."""
    loop: Any = asyncio.get_running_loop()
    end, quiet = monotonic() + max_sleep, 0
    while quiet < _QUIET and monotonic() < end:
        worked = process_time()
        await asyncio.sleep(_LOOK)
        worked = process_time() - worked
        idle = worked < _WORKING and not (loop._ready or _due(loop) or _at_work(loop))
        quiet = quiet + 1 if idle else 0


def _due(loop: Any) -> bool:
    app = active_app.get(None)
    if app is not None and app._exit:  # its screen's timer ticks on, and nobody hears it
        return False
    soon = loop.time() + _FRAME
    return any(not timer.cancelled() and timer.when() <= soon for timer in loop._scheduled)


def _at_work(loop: Any) -> bool:
    threads = loop._default_executor
    if threads is None:
        return False
    busy = len(threads._threads) - threads._idle_semaphore._value
    return busy > 0 or not threads._work_queue.empty()


_paint: Any = Screen._compositor_refresh
_shut_down: Any = App._shutdown
_at_once = False


def _paint_later(screen: Screen[Any]) -> None:
    """Leave what is dirty on the screen on top for whoever looks, or for the end."""
    if _at_once or not screen.app.is_headless or screen is not screen.app.screen:
        _paint(screen)


async def _paint_and_shut_down(app: App[Any]) -> None:
    if app.is_headless and app._running and not app._exit and app.screen_stack:
        _paint(app.screen)
    await _shut_down(app)


@contextmanager
def painted_at_once() -> Iterator[None]:
    """Every change is painted by itself, as in a terminal."""
    global _at_once
    before, _at_once = _at_once, True
    try:
        yield
    finally:
        _at_once = before


async def _screen_idle(pilot: Pilot[Any], timeout: float = 30.0) -> bool:
    await wait_for_idle()
    return True


def _rules_once() -> Callable[..., Any]:
    parse, known = Stylesheet._parse_rules, {}

    def parsed(sheet: Stylesheet, *args: Any, **named: Any) -> Any:
        key = (args, *named.items(), *sheet._variables.items())
        if key not in known:
            known[key] = parse(sheet, *args, **named)
        return known[key]

    return parsed


def _sheets_once() -> Callable[[Stylesheet], None]:
    parse, known = Stylesheet.parse, {}

    def parsed(sheet: Stylesheet) -> None:
        key = (*sheet.source.items(), *sheet._variables.items())
        if key not in known:
            parse(sheet)
            known[key] = sheet._rules
        sheet._rules, sheet._rules_map, sheet._require_parse = known[key], None, False

    return parsed


@contextmanager
def quick_waits() -> Iterator[None]:
    """Textual's pilot waits so, and no longer, and screens paint as soon as they can."""
    with pytest.MonkeyPatch.context() as patch:
        for module in ("app", "pilot"):
            patch.setattr(f"textual.{module}.wait_for_idle", wait_for_idle)
        patch.setattr(screen, "UPDATE_PERIOD", _PERIOD)
        patch.setattr(Screen, "_compositor_refresh", _paint_later)
        patch.setattr(App, "_shutdown", _paint_and_shut_down)
        patch.setattr(Pilot, "_wait_for_screen", _screen_idle)
        patch.setattr(Stylesheet, "_parse_rules", _rules_once())
        patch.setattr(Stylesheet, "parse", _sheets_once())
        yield
