"""Groups of commands: what cannot be done is told, and commands are imported when asked for."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import Any

import click

from ..language.told import ToldError
from .console import FAILED, MISUSED, fail, shown


class ToldGroup(click.Group):
    """A group of commands of which none has to say itself what cannot be done."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command that ``ctx`` asks for.

        Raises:
            SystemExit: it cannot be done, and why is said on standard error.
        """
        try:
            return super().invoke(ctx)
        except ToldError as told:
            fail(*map(shown, told.lines), status=MISUSED if told.misused else FAILED)


class LazyGroup(ToldGroup):
    """A group whose commands lie in other modules, imported late.

    Args:
        later: commands, in the order in which they are listed, and where they lie beside this
            module: ``record.take_in``.
        about: what any group takes.
    """

    def __init__(self, *, later: Mapping[str, str], **about: Any) -> None:
        super().__init__(**about)
        self._later = later

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The commands in the order in which they are used."""
        return list(self._later)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command ``cmd_name``, whatever the ``ctx``."""
        module, _, name = self._later.get(cmd_name, "").rpartition(".")
        if not module:
            return None
        found = getattr(import_module(f"{__package__}.{module}"), name)
        assert isinstance(found, click.Command)
        return found
