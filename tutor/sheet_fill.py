"""``rungwise sheet fill``: a student's sheet on the screen, and the hand-in it makes (thin)."""

from __future__ import annotations

import click


@click.command()
@click.argument("sheet", type=click.Path())
@click.option(
    "--out", type=click.Path(), metavar="FILE", help="Hand-in, .json or .csv; beside the SHEET."
)
def fill(sheet: str, out: str | None) -> None:
    """Fill a SHEET (sheet.json) in on the screen; every answer is kept in the hand-in at once.

    Answers that are in the hand-in already are gone on with.
    """
    from .sheet_fill_run import run

    run(sheet, out)
