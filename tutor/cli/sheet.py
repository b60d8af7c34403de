"""``rungwise sheet``: problem sheets as files, for instructors (thin, and quick to import).

Each command imports what it needs when it runs.  Those that mark, report and export have modules
of their own, which are imported when they are asked for.
"""

from __future__ import annotations

from importlib import import_module
from importlib.util import find_spec
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from collections.abc import Sequence

FORMATS = ("pdf", "html", "text", "json")
_ELSEWHERE = {
    "fill": "sheet_fill",
    "mark": "sheet_mark",
    "report": "sheet_report",
    "export": "sheet_export",
}
"""Commands and the modules that hold them, under the same name."""

PATH = click.Path()
"""A file's or folder's name; shells complete it, and what is wrong with it is told later."""


def read_out(context: click.Context, option: click.Parameter, name: str | None) -> str | None:
    """A folder to write to; the empty name of an unset variable is not taken for this one."""
    if name == "":
        raise click.BadParameter("this is no folder's name.")
    return name


class SheetGroup(click.Group):
    """A group some of whose commands are imported when they are asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The commands in the order in which they are used."""
        later = [name for name, module in _ELSEWHERE.items() if find_spec(_full(module))]
        return [*self.commands, *later]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """A command by its name."""
        module = _ELSEWHERE.get(cmd_name)
        if module is None or not find_spec(_full(module)):
            return super().get_command(ctx, cmd_name)
        found = getattr(import_module(_full(module)), cmd_name)
        assert isinstance(found, click.Command)
        return found


def _full(module: str) -> str:
    return f"{__package__}.{module}"


def read_formats(context: click.Context, option: click.Parameter, text: str) -> tuple[str, ...]:
    """The formats named, with commas between them, each once."""
    named = [word.strip().lower() for word in text.split(",") if word.strip()]
    known = ", ".join(FORMATS)
    for word in named:
        if word not in FORMATS:
            raise click.BadParameter(f"there is no format {word!r}; choose from {known}.")
    if not named:
        raise click.BadParameter(f"name at least one of {known}.")
    return tuple(dict.fromkeys(named))


def complete_formats(context: click.Context, option: click.Parameter, begun: str) -> list[str]:
    """The formats that haven't been named yet, behind those that have."""
    before, comma, word = begun.rpartition(",")
    taken = before.split(",")
    return [
        f"{before}{comma}{name}" for name in FORMATS if name.startswith(word) and name not in taken
    ]


@click.group(cls=SheetGroup)
def sheet() -> None:
    """Make problem sheets for a class, and mark what comes back."""


@sheet.command()
@click.argument("file", type=PATH, default="plan.toml")
def start(file: str) -> None:
    """Write a commented plan to FILE (plan.toml), to be changed to your liking."""
    from .sheet_make import start

    start(file)


@sheet.command()
@click.argument("plan", type=PATH)
@click.option("--students", type=PATH, metavar="ROSTER", help="CSV table with the students.")
@click.option(
    "--count", type=click.IntRange(1, 10_000), help="Sheets without names, instead of a roster."
)
@click.option("--out", type=PATH, metavar="DIR", callback=read_out, help="Folder to make them in.")
@click.option(
    "--formats",
    callback=read_formats,
    shell_complete=complete_formats,
    default=",".join(FORMATS),
    show_default=True,
    help="What to make, with commas between.",
)
@click.option(
    "--workers", type=click.IntRange(1, 256), help="Processes; without it one a processor."
)
@click.option("--cluster", metavar="ADDRESS", help="Workers of a dask cluster instead.")
@click.option("--again", is_flag=True, help="Make anew what was made of another plan or roster.")
def make(
    plan: str,
    students: str | None,
    count: int | None,
    out: str | None,
    formats: Sequence[str],
    workers: int | None,
    cluster: str | None,
    again: bool,
) -> None:
    """Make a sheet for each student of a PLAN, and the keys apart from them.

    An interrupted run is continued by the same command.
    """
    if students is not None and count is not None:
        raise click.UsageError("Give either --students or --count, not both.")
    if workers is not None and cluster is not None:
        raise click.UsageError("Give either --workers or --cluster, not both.")
    from .sheet_make import make

    make(plan, students, count, out, formats, workers, cluster, again)
