"""Who may ask: requests from pages of this server's own, under a loopback name."""

from __future__ import annotations

import re

# Any port: a tunnel may end at another one than it began.
_LOOPBACK = re.compile(r"(localhost|127\.0\.0\.1|\[::1\])(:\d{1,5})?", re.IGNORECASE)


def local_host(host: str | None) -> str | None:
    """The Host header if it names this machine, else ``None``.

    A page elsewhere can have its own name point to 127.0.0.1 (DNS rebinding); the browser then
    asks under that name, which is refused here.
    """
    return host.lower() if host and _LOOPBACK.fullmatch(host) else None


def own_origin(origin: str | None, host: str) -> bool:
    """Whether a websocket is opened by a page of this server, by its ``origin`` and the ``host``.

    A browser lets every page open a websocket to anywhere, and says which page did it; another
    local server is another origin, for its port differs.
    """
    return origin is not None and origin.lower() == f"http://{host}"
