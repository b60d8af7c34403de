"""What the commands of ``rungwise sheet`` have in common: options, workers, and what goes wrong."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from ...problems.sheets.model import PlanTrouble, SheetError
from ..classroom.handins.cells import one_line
from ..language.errors import worded
from .console import FAILED, INTERRUPTED, fail, reason, shown

if TYPE_CHECKING:
    from ..classroom.making.workers import Workers

PATH = click.Path()
"""A file's or folder's name; shells complete it, and what is wrong with it is told later."""
MOST_TOLD = 20
"""Troubles of one document that are told."""
CLUSTER = click.option("--cluster", metavar="ADDRESS", help="Workers of a dask cluster instead.")


def _not_empty(context: click.Context, option: click.Parameter, name: str | None) -> str | None:
    """The empty name of an unset variable is not taken for this folder."""
    if name == "":
        raise click.BadParameter("this is no folder's name.")
    return name


def out_option(help: str) -> Callable[[Callable[..., None]], Callable[..., None]]:  # noqa: A002
    """The option that names a folder to write to."""
    return click.option("--out", type=PATH, metavar="DIR", callback=_not_empty, help=help)


def formats_option(
    known: Sequence[str],
    default: str,
    help: str,  # noqa: A002
) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """The option that names formats, separated by commas: of those ``known``, else the ``default``.

    ``help`` says what they are of.
    """
    listed = ", ".join(known)

    def read(context: click.Context, option: click.Parameter, text: str) -> tuple[str, ...]:
        named = [word.strip().lower() for word in text.split(",") if word.strip()]
        for word in named:
            if word not in known:
                raise click.BadParameter(f"there is no format {word!r}; choose from {listed}.")
        if not named:
            raise click.BadParameter(f"name at least one of {listed}.")
        return tuple(dict.fromkeys(named))

    def complete(context: click.Context, option: click.Parameter, begun: str) -> list[str]:
        """The formats that haven't been named yet, behind those that have."""
        before, comma, word = begun.rpartition(",")
        left = [name for name in known if name.startswith(word) and name not in before.split(",")]
        return [f"{before}{comma}{name}" for name in left]

    return click.option(
        "--formats",
        callback=read,
        shell_complete=complete,
        default=default,
        show_default=True,
        help=f"{help}, separated by commas.",
    )


def crew(count: int, cluster: str | None, preload: str) -> Workers:
    """Who does the work.

    Args:
        count: how many processes of this machine; one is this process itself.
        cluster: the address of a dask cluster to take instead.
        preload: the module that they will need.
    """
    from ..classroom.making.workers import Here, Processes

    if cluster is not None:
        from ..classroom.making.cluster import Cluster

        return Cluster(cluster)
    return Processes(count, (preload,)) if count > 1 else Here()


def told(troubles: Sequence[PlanTrouble]) -> list[str]:
    """``troubles`` of a class, a key or marks, a line each; the first few."""
    return [one_line(worded(trouble.wording)) for trouble in troubles[:MOST_TOLD]]


@contextmanager
def documents_told(
    lines: Callable[[Sequence[PlanTrouble]], Sequence[str]] = told,
) -> Iterator[None]:
    """What is wrong with a document is said on standard error, in ``lines`` made of its troubles.

    Raises:
        SystemExit: something is (status 2).
    """
    try:
        yield
    except SheetError as error:
        fail(*lines(error.troubles))


@contextmanager
def politely(
    again: str, lines: Callable[[Sequence[PlanTrouble]], Sequence[str]] = told
) -> Iterator[None]:
    """What goes wrong is said on standard error, with what mends it.

    Args:
        again: what the same command does after an interruption.
        lines: as for :func:`documents_told`.
    """
    try:
        with documents_told(lines):
            yield
    except BrokenPipeError:
        raise  # nobody is there to be told
    except OSError as error:
        where = f"{shown(str(error.filename))}: " if error.filename else ""
        taken = isinstance(error, FileExistsError | NotADirectoryError)
        remedy = "give another --out" if taken else "run the same command to go on"
        fail(f"{where}{reason(error)}; {remedy}", status=FAILED)
    except KeyboardInterrupt:
        fail(f"stopped; run the same command {again}", status=INTERRUPTED)
