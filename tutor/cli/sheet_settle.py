"""``rungwise sheet settle``: what could not be read is decided, on the screen or in lines."""

from __future__ import annotations

import contextlib
import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ..classroom.marking.out import MARKS_JSON, WORK
from .console import complain, fail, shown, width
from .sheet_options import PATH, out_option, politely

if TYPE_CHECKING:
    from ..classroom.marking.settling import Settling

COMMAND = "command.json"
"""The words of the command that marked, in the work folder of the marks."""
_MOST_COMMAND = 64 * 1024


class KeptCommand(click.Command):
    """A command that knows the words it was given, so that the same can be done again."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Remember the words, and read them.

        Args:
            ctx: the command as it is called.
            args: its words.
        """
        ctx.meta[COMMAND] = list(args)
        return super().parse_args(ctx, args)


def keep_command(marks: Path) -> None:
    """Keep the words of the command that is running with the marks it made."""
    words = click.get_current_context().meta.get(COMMAND)
    document = {"folder": os.getcwd(), "words": words}
    with contextlib.suppress(OSError):  # it is offered, and not needed
        (marks / WORK / COMMAND).write_text(json.dumps(document), encoding="utf-8")


def _kept_command(marks: Path) -> tuple[Path, list[str]] | None:
    """The folder and the words of the command that marked."""
    from ..classroom.handins.table import BadTable
    from ..classroom.marking.folder import read_plain

    try:
        found: Any = json.loads(read_plain(marks / WORK / COMMAND, _MOST_COMMAND))
    except (OSError, ValueError, BadTable, RecursionError):
        return None
    if not isinstance(found, dict) or not isinstance(found.get("folder"), str):
        return None
    words = found.get("words")
    if not isinstance(words, list) or not all(isinstance(word, str) for word in words):
        return None
    return Path(found["folder"]), words


@click.command()
@click.argument("sheets", metavar="OUT", type=PATH)
@out_option("Folder of the marks; OUT/marks.")
@click.option("--plain", is_flag=True, help="In plain lines, as for a screen reader or a script.")
def settle(sheets: str, out: str | None, plain: bool) -> None:
    """Decide about answers that could not be read, in the class that was made in OUT.

    Alike answers are one question. Each decision is kept at once; mark again to have them count.
    """
    made = Path(sheets)
    marks = Path(out) if out is not None else made / "marks"
    if out is None and (made / MARKS_JSON).is_file():
        made, marks = made.parent, made
    with politely(lambda troubles: map(str, troubles), "to go on"):
        from ..classroom.marking.settling import open_settling

        settling = open_settling(made, marks)
        again = _in_lines(settling) if plain or not _on_terminal() else _on_screen(settling)
    if again:
        _mark_again(marks)


def _on_terminal() -> bool:
    return sys.stdin.isatty() and sys.stdout.isatty()


def _in_lines(settling: Settling) -> bool:
    from ..plain.settle import settle_in_lines

    return settle_in_lines(settling, width())


def _on_screen(settling: Settling) -> bool:
    from ..screens.settle_app import SettleApp
    from .tutor import check_terminal

    check_terminal()
    app = SettleApp(settling)
    again = app.run()
    if app.return_code:
        raise SystemExit(app.return_code)
    return bool(again)


def _mark_again(marks: Path) -> None:
    """Run the command that marked once more."""
    from .sheet_mark import mark

    kept = _kept_command(marks)
    if kept is None:
        complain(
            f"{shown(str(marks))} does not say how it was marked; run `rungwise sheet mark` again"
        )
        return
    folder, words = kept
    if not folder.is_dir():
        fail(f"{shown(str(folder))}, where it was marked, is no longer there")
    with contextlib.chdir(folder):
        mark.main(words, "rungwise sheet mark", standalone_mode=False)
