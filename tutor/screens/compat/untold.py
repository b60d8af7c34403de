"""What Textual knows and does not tell.

Textual 8.2 has no public way to ask for the driver of an app, whether the app is about to end, or
for which keys a widget or screen has bindings, those that are shut at the moment included.
"""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Container

    from textual.app import App
    from textual.dom import DOMNode


def is_leaving(app: App[Any]) -> bool:
    """Whether an app was told to end."""
    return app._exit


def bound_keys(node: DOMNode) -> Container[str]:
    """The keys that a widget or screen has bindings for, open or shut."""
    return node._bindings.key_to_bindings


def leave_terminal(app: App[Any]) -> None:
    """Put the terminal of an app in order and let it go, where it is still there."""
    driver = app._driver
    fileno = getattr(driver, "fileno", None)
    if driver is not None and fileno is not None:
        with suppress(Exception):
            import termios

            termios.tcgetattr(fileno)  # raises where it has gone
            driver.stop_application_mode()
            driver.close()
