"""The rows above a Bode chart that say what its signs are."""

from __future__ import annotations

from dataclasses import dataclass

from ....problems.analysis.response import Response
from ....problems.quantities.read import write_quantity
from ...language.texts import fill
from .marks import peak
from .paper import ASYMPTOTE, CORNER, CURVE, EDGE, LABEL, PEAK, ChartPaper

TALL = 14
"""Rows from which the legend may take two of them."""


@dataclass(frozen=True)
class Piece:
    """One entry: where it stands, its sample and the sample's role, its words."""

    col: int
    sample: str
    role: str
    text: str


def legend(
    sheet: ChartPaper,
    response: Response,
    left: int,
    *,
    phase: bool = False,
    lines: bool = True,
    curve: bool = True,
) -> list[list[Piece]]:
    """The rows of the legend, the most important first.

    Args:
        sheet: what it will be drawn on.
        response: what is charted.
        left: the first column.
        phase: whether the chart shows the phase, which has no peak.
        lines: whether the straight lines are drawn.
        curve: whether the exact curve is drawn, with what is read off it.
    """
    signs = sheet.signs
    pieces: list[tuple[str, str, str]] = []
    corner = response.corner_hz if curve else None
    if corner is not None:
        name = "f0" if response.transfer.order == 2 else "fc"
        pieces.append((signs.pointer, CORNER, f"{name} {write_quantity(corner, 'Hz')}"))
    if curve and lines:
        pieces.append((signs.exact, CURVE, fill("figures", "bode.exact")))
    if lines:
        sample = signs.dotted if curve else signs.exact
        pieces.append((sample, ASYMPTOTE, fill("figures", "bode.asymptotes")))
    edges = [write_quantity(e, "Hz") for e in response.edges_hz if e is not None] if curve else []
    if edges:
        key = "edges" if len(edges) == 2 else "edge"
        values = {"first": edges[0], "second": edges[-1]}
        pieces.append((signs.edge, EDGE, fill("figures", f"bode.{key}", values.items())))
    top = peak(response) if curve and not phase else None
    if top is not None:
        text = {
            "gain": write_quantity(top[1], "dB", 3),
            "frequency": write_quantity(top[0], "Hz"),
        }
        pieces.append((signs.peak, PEAK, fill("figures", "bode.peak-legend", text.items())))
    rows: list[list[Piece]] = [[]]
    col = left
    for sample, role, raw in pieces:
        words = sheet.words(raw)
        if col > left and col + len(sample) + 1 + len(words) > sheet.width:
            rows.append([])
            col = left
        rows[-1].append(Piece(col, sample, role, words))
        col += len(sample) + len(words) + 4
    # A low chart has no row to spare: the least important goes.
    return rows[: 2 if sheet.height >= TALL else 1]


def write(sheet: ChartPaper, rows: list[list[Piece]]) -> None:
    """Write the legend into the first rows of the sheet."""
    for row, pieces in enumerate(rows):
        for piece in pieces:
            sheet.put(piece.col, row, piece.sample, piece.role)
            sheet.put(piece.col + len(piece.sample) + 1, row, piece.text, LABEL)
