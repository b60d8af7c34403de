"""Which pieces of a drawing are right: the parts of a mark, by the names the figures use.

A piece that is wrong has a verdict, and one that is right and counts.  One that is right by
itself alone, such as the slope of a level line, has none: it earns nothing on paper either.
"""

from __future__ import annotations

from collections.abc import Sequence

from ...problems.sketches.model import COUNTS, LineSketch, PlotKind, SketchPart


def line_marks(parts: Sequence[SketchPart], drawing: LineSketch) -> dict[str, bool]:
    """Verdicts on "level", "slope-0" or "start", "break-1", "slope-1", "turn-1", …, "end".

    ``parts`` are what the mark says of each piece of a ``drawing``.
    """
    found: list[tuple[str, SketchPart]] = []
    gain = drawing.plot is PlotKind.GAIN
    numbers = list(range(1, len(drawing.bends) + 1))
    turns = [n for n, bend in zip(numbers, drawing.bends, strict=True) if not bend.jump]
    jumps = [n for n, bend in zip(numbers, drawing.bends, strict=True) if bend.jump]
    for part in parts:
        kind = part.id.removesuffix("-change")
        if part.id == "level" or part.counts:
            found.append((part.id, part))
        elif part.id == "start":
            found.append(("slope-0" if gain else "start", part))
        elif part.id == "end":
            found.append((f"slope-{len(numbers)}" if gain else "end", part))
        elif part.id in ("break", "slope") and part.place < len(numbers):
            found.append((f"{part.id}-{part.place + 1}", part))
        elif kind in ("turn", "jump"):
            places = turns if kind == "turn" else jumps
            if part.place < len(places):
                found.append((f"turn-{places[part.place]}", part))
    return _verdicts(found)


def map_marks(parts: Sequence[SketchPart]) -> dict[str, bool]:
    """Verdicts on regions by their names, and on the numbers of "poles" and "zeros"."""
    names = (
        dict(part.values).get("region", "") if part.id.endswith("-region") else part.id
        for part in parts
    )
    return _verdicts([(name, part) for name, part in zip(names, parts, strict=True) if name])


def _verdicts(found: Sequence[tuple[str, SketchPart]]) -> dict[str, bool]:
    """Wrong where one part of a piece is, right where all are and count, else none."""
    marks: dict[str, bool] = {}
    for name in dict.fromkeys(name for name, _ in found):
        parts = [part for there, part in found if there == name]
        right = all(part.right for part in parts)
        if not right or name in COUNTS or all(part.earns for part in parts):
            marks[name] = right
    return marks
