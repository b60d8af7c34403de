"""``rungwise sheet enter``: answers on paper, entered by keyboard (thin)."""

from __future__ import annotations

from pathlib import Path

import click

from ..language.texts import fill
from .console import FAILED, complain, say, shown, width
from .sheet_options import PATH, politely


@click.command()
@click.argument("sheets", metavar="OUT", type=PATH)
@click.option("--group", default="", metavar="NAME", help="Only the papers of this group.")
@click.option("--plain", is_flag=True, help="In plain lines: for pipes and screen readers.")
def enter(sheets: str, group: str, plain: bool) -> None:
    """Enter answers that were handed in on paper, for the sheets made in OUT.

    A grid of students and questions, with what is right and what slips lead to in sight. Every
    answer is on the disk at once, in OUT/keys/entered.jsonl, where `rungwise sheet mark` finds it.
    """
    from ..classroom.entering.open_class import open_class

    with politely("to go on"):
        title, grid = open_class(Path(sheets), group)
        if grid.file.troubles:
            values = [("file", shown(grid.file.path)), ("count", grid.file.troubles)]
            complain(fill("entering", "command.broken", values))
        if plain:
            from ..plain.enter import EnterPlainly
            from ..plain.lines import PlainLines

            EnterPlainly(title, grid, PlainLines.on_standard_streams(width(), False)).run()
            status = 0
        else:
            from ..screens.app import Rungwise
            from ..screens.entering.screen import EnterScreen

            screen = EnterScreen(title, grid)
            app = Rungwise(first=screen)
            app.run()
            status = app.return_code or 0
            if screen.trouble:
                complain(screen.trouble)
                status = FAILED
    say(
        "entering",
        "command.done",
        done=grid.done,
        count=grid.count,
        file=shown(grid.file.path),
        sheets=shown(sheets),
    )
    raise SystemExit(status)
