"""``rungwise sheet fill``: a student's sheet on the screen, and the hand-in it makes (thin)."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from .console import FAILED, complain, say

if TYPE_CHECKING:
    from ..classroom.handins.filling import Filling


@click.command()
@click.argument("sheet", type=click.Path())
@click.option(
    "--out", type=click.Path(), metavar="FILE", help="Hand-in, .json or .csv; beside the SHEET."
)
def fill(sheet: str, out: str | None) -> None:
    """Fill a SHEET (sheet.json) in on the screen; every answer is saved in the hand-in at once.

    Answers already in the hand-in are kept, and you go on from there.
    """
    from ..classroom.handins.fill_in import opened
    from ..screens.app import Rungwise
    from ..screens.sheet.screen import SheetScreen

    filling, keep, target = opened(Path(sheet), Path(out) if out else None)
    app = Rungwise(first=SheetScreen(filling, keep, target.name))
    app.run()
    _tell(filling, target.name)
    raise SystemExit(app.return_code or 0)


def _tell(filling: Filling, target: str) -> None:
    """Say on the terminal what there is to hand in.

    Raises:
        SystemExit: not everything could be kept.
    """
    if filling.trouble:
        complain(filling.trouble)
        raise SystemExit(FAILED)

    given, count = len(filling.answers), len(filling.places)
    say("filling", "ask.done", file=target, given=given, count=count)
