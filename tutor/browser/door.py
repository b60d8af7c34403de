"""The door: how many connections there may be, and how long one may take to say what it wants.

A connection that has sent its request is at work for somebody; one that has not may be the
thousandth of a flood.  When there are too many, the oldest of the latter is closed, so that who
really comes in always finds a place: a browser sends its request within milliseconds.
"""

from __future__ import annotations

import asyncio
from collections import Counter
from collections.abc import Callable


class Door:
    """Counts connections.

    Args:
        total: How many there may be.
        each: How many there may be from one address.
        patience: Seconds in which a connection must have sent its request, and taken the answer.
    """

    def __init__(self, total: int, each: int, patience: float) -> None:
        self.total, self.each, self.patience = total, each, patience
        self._addresses: dict[asyncio.Transport, str] = {}
        self._unasked: dict[asyncio.Transport, asyncio.TimerHandle] = {}
        """Who has asked for nothing yet, or has been answered; the oldest first."""
        self._many = Counter[str]()

    def __len__(self) -> int:
        """How many connections there are."""
        return len(self._addresses)

    def guarding(self, make: Callable[[], asyncio.Protocol]) -> Callable[[], asyncio.Protocol]:
        """What makes protocols that stand behind this door."""
        return lambda: _Doorway(self, make)

    def came(self, transport: asyncio.Transport) -> bool:
        """Let a connection in; False where there is no place for it, nor one to be had."""
        name = transport.get_extra_info("peername")
        address = str(name[0]) if name else ""
        if self._many[address] >= self.each:
            place = self._close_one(address)
        else:
            place = len(self) < self.total or self._close_one(None)
        if place:
            self._addresses[transport] = address
            self._many[address] += 1
            self.answered(transport)
        else:
            transport.abort()
        return place

    def _close_one(self, address: str | None) -> bool:
        """Close the oldest that has asked for nothing, of one address or of all."""
        for transport in self._unasked:
            if address is None or self._addresses[transport] == address:
                transport.abort()
                self.left(transport)
                return True
        return False

    def asked(self, transport: asyncio.Transport | None) -> None:
        """A request has come whole: now it may take as long as it takes."""
        handle = self._unasked.pop(transport, None) if transport is not None else None
        if handle is not None:
            handle.cancel()

    def answered(self, transport: asyncio.Transport | None) -> None:
        """It has been answered; the next one must come in time, and this one must be taken."""
        if transport in self._addresses and transport is not None:
            self.asked(transport)
            loop = asyncio.get_running_loop()
            self._unasked[transport] = loop.call_later(self.patience, transport.abort)

    def left(self, transport: asyncio.Transport) -> None:
        """A connection has ended."""
        self.asked(transport)
        address = self._addresses.pop(transport, None)
        if address is not None:
            self._many[address] -= 1
            self._many += Counter()  # without those of whom there are none


class _Doorway(asyncio.Protocol):
    """Stands between a connection and the protocol that is made for it once it is let in."""

    def __init__(self, door: Door, make: Callable[[], asyncio.Protocol]) -> None:
        self._door, self._make = door, make
        self._inside: asyncio.Protocol | None = None
        self._transport: asyncio.Transport | None = None

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        assert isinstance(transport, asyncio.Transport)
        if self._door.came(transport):
            self._transport = transport
            self._inside = self._make()
            self._inside.connection_made(transport)

    def connection_lost(self, error: Exception | None) -> None:
        if self._inside is not None and self._transport is not None:
            self._door.left(self._transport)
            self._inside.connection_lost(error)

    def data_received(self, data: bytes) -> None:
        if self._inside is not None:
            self._inside.data_received(data)

    def eof_received(self) -> bool | None:
        return self._inside.eof_received() if self._inside is not None else None

    def pause_writing(self) -> None:
        if self._inside is not None:
            self._inside.pause_writing()

    def resume_writing(self) -> None:
        if self._inside is not None:
            self._inside.resume_writing()
