"""``rungwise sheet settle``: what could not be read is decided, on the screen or in lines."""

from __future__ import annotations

import contextlib
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ..classroom.marking.out import MARKS_JSON
from .console import complain, fail, shown, width
from .kept_command import kept_command
from .sheet_options import PATH, out_option, politely

if TYPE_CHECKING:
    from ..classroom.marking.settling import Settling


@click.command()
@click.argument("sheets", metavar="OUT", type=PATH)
@out_option("Folder of the marks; OUT/marks.")
@click.option("--plain", is_flag=True, help="In plain lines, as for a screen reader or a script.")
def settle(sheets: str, out: str | None, plain: bool) -> None:
    """Settle answers that could not be read, in the class made in OUT.

    Alike answers are decided together. Each decision is kept at once, and counts when the class is
    marked again.
    """
    made = Path(sheets)
    marks = Path(out) if out is not None else made / "marks"
    if out is None and (made / MARKS_JSON).is_file():  # it is the folder of marks itself
        kept = kept_command(made)
        made, marks = kept.made if kept else made.parent, made
    with politely("to go on"):
        from ..classroom.marking.settling import open_settling

        settling = open_settling(made, marks)
        on_terminal = sys.stdin.isatty() and sys.stdout.isatty()
        again = _on_screen(settling) if on_terminal and not plain else _in_lines(settling)
    if again:
        _mark_again(marks)


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

    kept = kept_command(marks)
    if kept is None:
        complain(
            f"{shown(str(marks))} does not say how it was marked; run `rungwise sheet mark` again"
        )
        return
    if not kept.folder.is_dir():
        fail(f"{shown(str(kept.folder))}, where it was marked, is no longer there")
    with contextlib.chdir(kept.folder):
        mark.main(list(kept.words), "rungwise sheet mark", standalone_mode=False)
