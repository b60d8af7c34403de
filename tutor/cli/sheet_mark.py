"""``rungwise sheet mark``: hand-ins in, marks out (thin, and quick to import)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from .sheet import read_out

if TYPE_CHECKING:
    from fractions import Fraction


def _tolerance(
    context: click.Context, option: click.Parameter, text: str | None
) -> Fraction | None:
    """A relative tolerance."""
    if text is None:
        return None
    from ..classroom.marking.mark import read_tolerance

    try:
        return read_tolerance(text)
    except ValueError as error:
        raise click.BadParameter(f"{error}.") from None


@click.command()
@click.argument("sheets", metavar="OUT", type=click.Path())
@click.argument("handins", metavar="HANDINS", type=click.Path())
@click.option(
    "--out",
    type=click.Path(),
    metavar="DIR",
    callback=read_out,
    help="Folder for marks; OUT/marks.",
)
@click.option(
    "--tolerance",
    metavar="SHARE",
    callback=_tolerance,
    help="Instead of the tolerances of the plan, such as 5%.",
)
@click.option("--workers", type=click.IntRange(1, 256), help="Processes that mark.")
@click.option("--cluster", metavar="ADDRESS", help="Workers of a dask cluster instead.")
def mark(
    sheets: str,
    handins: str,
    out: str | None,
    tolerance: Fraction | None,
    workers: int | None,
    cluster: str | None,
) -> None:
    """Mark the HANDINS (answers.csv, answers.json) of the sheets that were made in OUT.

    Again with another --tolerance, or with what was unclear decided in settled.csv, it says what
    has changed for whom. After an interrupted run the same command marks them all.
    """
    if workers is not None and cluster is not None:
        raise click.UsageError("Give either --workers or --cluster, not both.")
    from .sheet_marking import mark as run

    run(sheets, handins, out, tolerance, workers, cluster)
