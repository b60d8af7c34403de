"""The words of the command that marked, kept with the marks, so that the same can be done again."""

from __future__ import annotations

import contextlib
import json
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from ..classroom.handins.table import BadTable
from ..classroom.marking.folder import read_plain
from ..classroom.marking.out import WORK

COMMAND = "command.json"
"""Its name in the work folder of the marks."""
_MOST = 64 * 1024


@dataclass(frozen=True, slots=True)
class KeptWords:
    """The ``words`` of a command, the ``folder`` it was given in, and the class's, ``made``."""

    folder: Path
    words: tuple[str, ...]
    made: Path


class KeptCommand(click.Command):
    """A command that knows the words it was given."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Remember the words ``args`` in ``ctx``, and read them."""
        ctx.meta[COMMAND] = list(args)
        return super().parse_args(ctx, args)


def keep_command(marks: Path, made: Path) -> None:
    """Keep the words of the command that is running with the ``marks`` of the class ``made``."""
    words = click.get_current_context().meta.get(COMMAND)
    document = {"folder": os.getcwd(), "words": words, "made": str(made.absolute())}
    with contextlib.suppress(OSError):  # it is offered, and not needed
        (marks / WORK / COMMAND).write_text(json.dumps(document), encoding="utf-8")


def kept_command(marks: Path) -> KeptWords | None:
    """The command that marked; ``None`` where that is not known."""
    try:
        found: Any = json.loads(read_plain(marks / WORK / COMMAND, _MOST))
    except (OSError, ValueError, BadTable, RecursionError):
        return None
    if not isinstance(found, dict):
        return None
    folder, words, made = (found.get(name) for name in ("folder", "words", "made"))
    if not isinstance(folder, str) or not isinstance(made, str):
        return None
    if not isinstance(words, list) or not all(isinstance(word, str) for word in words):
        return None
    return KeptWords(Path(folder), tuple(words), Path(made))
