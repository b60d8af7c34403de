"""``rungwise sheet``: problem sheets as files, for instructors (thin, and quick to import)."""

from __future__ import annotations

import click

from .lazy import LazyGroup

_COMMANDS = {
    "start": "sheet_make.start",
    "make": "sheet_make.make",
    "fill": "sheet_fill.fill",
    "enter": "sheet_enter.enter",
    "mark": "sheet_mark.mark",
    "settle": "sheet_settle.settle",
    "report": "sheet_report.report",
    "return": "sheet_return.give_back",
    "export": "sheet_export.export",
}


@click.group(cls=LazyGroup, later=_COMMANDS)
def sheet() -> None:
    """Make problem sheets for a class, and mark what is handed in."""
