"""The rows above a Bode chart that say what its signs are."""

from __future__ import annotations

from ....problems.analysis.response import Response
from ....problems.quantities.write import write_quantity
from ...language.texts import fill
from ..canvas.paper import (
    ASYMPTOTE,
    CORNER,
    CURVE,
    EDGE,
    PEAK,
    STROKE_IN_ASCII,
    ChartPaper,
    LegendEntry,
)
from .marks import peak

TALL = 14
"""Rows from which the legend may take two of them."""


def legend(
    sheet: ChartPaper,
    response: Response,
    left: int,
    *,
    phase: bool = False,
    lines: bool = True,
    curve: bool = True,
) -> list[list[LegendEntry]]:
    """The rows of the legend, the most important first.

    Args:
        sheet: what it will be drawn on.
        response: what is charted.
        left: the first column.
        phase: whether the chart shows the phase, which has no peak.
        lines: whether the straight lines are drawn.
        curve: whether the exact curve is drawn, with what is read off it.
    """
    entries: list[LegendEntry] = []
    corner = response.corner_hz if curve else None
    if corner is not None:
        name = "f0" if response.transfer.order == 2 else "fc"
        entries.append(("▲", CORNER, f"{name} {write_quantity(corner, 'Hz')}"))
    if curve and lines:
        entries.append(("⠤⠤", CURVE, fill("figures", "bode.exact")))
    if lines:
        sample = sheet.either("──", STROKE_IN_ASCII * 2)
        entries.append((sample, ASYMPTOTE, fill("figures", "bode.asymptotes")))
    edges = [write_quantity(e, "Hz") for e in response.edges_hz if e is not None] if curve else []
    if edges:
        key = "edges" if len(edges) == 2 else "edge"
        values = {"first": edges[0], "second": edges[-1]}
        entries.append(("◇", EDGE, fill("figures", f"bode.{key}", values.items())))
    top = peak(response) if curve and not phase else None
    if top is not None:
        text = {
            "gain": write_quantity(top[1], "dB", 3),
            "frequency": write_quantity(top[0], "Hz"),
        }
        entries.append(("◆", PEAK, fill("figures", "bode.peak-legend", text.items())))
    rows: list[list[LegendEntry]] = [[]]
    col = left
    for entry in entries:
        width = len(entry[0]) + 1 + len(sheet.words(entry[2]))
        if col > left and col + width > sheet.width:
            rows.append([])
            col = left
        rows[-1].append(entry)
        col += width + 3
    # A low chart has no row to spare: the least important goes.
    return rows[: 2 if sheet.height >= TALL else 1]
