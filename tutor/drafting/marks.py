"""Which pieces of a drawing are right: the parts of a mark, by the names the figures use."""

from __future__ import annotations

from collections.abc import Sequence

from ...problems.sketches.model import LineSketch, PlotKind, SketchPart

COUNTS = ("breaks", "turns", "poles", "zeros")
"""Verdicts on how many there are, which belong to no piece."""


def line_marks(parts: Sequence[SketchPart], drawing: LineSketch) -> dict[str, bool]:
    """Verdicts on "level", "slope-0" or "start", "break-1", "slope-1", "turn-1", …, "end".

    Args:
        parts: what the mark says of each piece.
        drawing: what was drawn.
    """
    marks: dict[str, bool] = {}

    def also(name: str, right: bool) -> None:
        marks[name] = right and marks.get(name, True)

    gain = drawing.plot is PlotKind.GAIN
    numbers = list(range(1, len(drawing.bends) + 1))
    turns = [n for n, bend in zip(numbers, drawing.bends, strict=True) if not bend.jump]
    jumps = [n for n, bend in zip(numbers, drawing.bends, strict=True) if bend.jump]
    for part in parts:
        kind = part.id.removesuffix("-change")
        if part.id == "level" or part.id in COUNTS:
            also(part.id, part.right)
        elif part.id == "start":
            also("slope-0" if gain else "start", part.right)
        elif part.id == "end":
            also(f"slope-{len(numbers)}" if gain else "end", part.right)
        elif part.id in ("break", "slope") and part.place < len(numbers):
            also(f"{part.id}-{part.place + 1}", part.right)
        elif kind in ("turn", "jump"):
            places = turns if kind == "turn" else jumps
            if part.place < len(places):
                also(f"turn-{places[part.place]}", part.right)
    return marks


def map_marks(parts: Sequence[SketchPart]) -> dict[str, bool]:
    """Verdicts on regions by their names, and on the numbers of "poles" and "zeros"."""
    marks: dict[str, bool] = {}
    for part in parts:
        name = dict(part.values).get("region", "") if part.id.endswith("-region") else part.id
        if name:
            marks[name] = part.right and marks.get(name, True)
    return marks
