"""The page: its parts, read once from the package, and the headers that confine it."""

from __future__ import annotations

import html
import json
from collections.abc import Mapping
from importlib.resources import files

from ..language.texts import entry
from .names import MAX_NAME
from .packets import MAX_PASTE

KINDS = {
    ".js": "text/javascript",
    ".css": "text/css",
    ".svg": "image/svg+xml",
    ".html": "text/html",
}
PAGE = "room.html"

SCRIPT_WORDS = ("starting", "again", "come-in", "lost", "idle", "paste-cut")
"""The words of the page that its script puts up."""


def parts() -> dict[str, tuple[str, bytes]]:
    """File name → media type and bytes of everything the page consists of, but the page itself."""
    return {
        file.name: (KINDS["." + file.name.rpartition(".")[2]], file.read_bytes())
        for file in files(__package__).joinpath("web").iterdir()
        if file.is_file() and file.name != PAGE and "." + file.name.rpartition(".")[2] in KINDS
    }


def page() -> bytes:
    """The page with its words; whatever is put in is escaped."""
    text = files(__package__).joinpath("web", PAGE).read_text(encoding="utf-8")
    words = {key: entry("serving", f"page.{key}") for key in SCRIPT_WORDS}
    # "<" is the only sign that could end a block of data inside a page.
    data = json.dumps({"words": words, "longestPaste": MAX_PASTE}, ensure_ascii=False)
    puts = {
        "data": data.replace("<", "\\u003c"),
        "longest-name": str(MAX_NAME),
        **{
            key: html.escape(entry("serving", f"page.{key}"))
            for key in (
                *("title", "about", "name", "name-hint", "come-in", "caution", "no-script"),
                *("leave", "smaller", "larger", "screen"),
            )
        },
    }
    for key, value in puts.items():
        text = text.replace("{{" + key + "}}", value)
    return text.encode()


def headers(host: str) -> Mapping[str, str]:
    """The headers of every answer to a ``host`` (checked): nothing from elsewhere, kept nowhere."""
    policy = (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
        # Named as well as 'self': older browsers count a websocket as another origin.
        f"connect-src 'self' ws://{host}; form-action 'none'; base-uri 'none'; "
        "frame-ancestors 'none'"
    )
    return {
        "Content-Security-Policy": policy,
        "X-Content-Type-Options": "nosniff",
        "X-Frame-Options": "DENY",
        "Referrer-Policy": "no-referrer",
        "Cross-Origin-Opener-Policy": "same-origin",
        "Cross-Origin-Resource-Policy": "same-origin",
        "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
        "Cache-Control": "no-store",
        "Server": "rungwise",
    }
