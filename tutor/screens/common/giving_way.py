"""First the paint, then the work: what a key has changed is seen before more is computed."""

from __future__ import annotations

from asyncio import sleep

GIVE_WAY = 0.002
"""Seconds in which what has just been painted gets to the terminal.

The thread that writes it there would otherwise wait for the interpreter's lock until whatever
is computed next is done, or for the switch interval of 5 ms at least.
"""


async def give_way() -> None:
    """Let the terminal have what was painted."""
    await sleep(GIVE_WAY)
