"""Packets between the server and a tutor it has started: a kind, a length, a load.

The form is that of Textual's driver for browsers: one byte for the kind, four for the length
(big-endian), then as many bytes.
"""

from __future__ import annotations

import json
from asyncio import StreamReader
from typing import Any

SCREEN = b"D"
"""From the tutor: bytes for a terminal."""
META = b"M"
"""Both ways: a JSON object with a "type"."""
HANDSHAKE = b"__GANGLION__\n"
"""The line with which Textual's driver for browsers begins."""
MAX_LOAD = 8 * 1024 * 1024
"""Most bytes of one packet; a screen of 400 by 200 cells, each styled, takes fewer."""

LARGEST = 400, 200
"""Most columns and rows of a browser's screen: every cell costs memory and time."""
SMALLEST = 10, 4
MAX_TEXT = 256
"""Most characters typed at once, by a hand or by what composes signs for it."""
MAX_PASTE = 16_384
"""Most characters of a pasted text; more than any answer or circuit may have."""


class GarbledError(Exception):
    """What came through the pipe are no packets."""


def clamped(columns: int, rows: int) -> tuple[int, int]:
    """``columns`` and ``rows`` within the bounds."""
    return (
        min(max(columns, SMALLEST[0]), LARGEST[0]),
        min(max(rows, SMALLEST[1]), LARGEST[1]),
    )


def packet(kind: bytes, load: bytes) -> bytes:
    """One packet of a ``kind`` with its ``load``."""
    return b"%s%s%s" % (kind, len(load).to_bytes(4, "big"), load)


def meta(type_: str, **values: Any) -> bytes:
    """A packet with a JSON object: its type, ``type_``, and ``values``."""
    return packet(META, json.dumps({"type": type_, **values}).encode())


async def read_packet(stream: StreamReader) -> tuple[bytes, bytes]:
    """The next packet: its kind and its load.

    Raises:
        GarbledError: it is longer than any packet.
        EOFError: the stream has ended (asyncio.IncompleteReadError).
    """
    head = await stream.readexactly(5)
    size = int.from_bytes(head[1:], "big")
    if size > MAX_LOAD:
        raise GarbledError(f"a packet of {size} bytes")
    return head[:1], await stream.readexactly(size)
