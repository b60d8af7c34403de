"""The base of every error that a user is told about."""

from __future__ import annotations

from typing import ClassVar


class ToldError(Exception):
    """Something that cannot be done; says in the user's words what, where, and what mends it.

    Whoever talks to the user catches this one: ``cli/lazy.py`` for all commands.

    Args:
        lines: what is said, line by line.
    """

    misused: ClassVar[bool] = False
    """Whether it was asked for wrongly; else it could not be done."""

    def __init__(self, *lines: str) -> None:
        super().__init__("\n".join(lines))
        self.lines = lines
