"""Drawings as text: what is submitted, and what is kept of one that is not submitted yet.

Both are the text of a sketch; what is kept is exact, and says what was selected or being typed
too.  It is read with suspicion, for it may come from a damaged record.
"""

from __future__ import annotations

import math
import re

from ...problems.sketches.model import (
    GainSketch,
    LineSketch,
    MapSketch,
    PlotBend,
    PlotKind,
    Region,
    SketchError,
)
from ...problems.sketches.read import read_line
from ...problems.sketches.read_map import read_map
from ...problems.sketches.write import write, write_exactly
from .line import EMPTY, MOST_BENDS, Handle, LineDraft
from .map import MOST, MapDraft, counts

_LONGEST = 1000
_TYPED = "; typed "
_MAP = re.compile(r"map; at ([a-z]+); (.*)")
_LINE = re.compile(r"(gain|phase); at (-?\d); (.*)")
# As versions before this one kept a line, from which records are still taken up.
_NUMBER = r"-?\d{1,17}(?:\.\d{1,20})?(?:e[+-]?\d{1,3})?"
_OLDER = re.compile(rf"level ({_NUMBER}); start (-?\d{{1,4}})((?:; .*)?)")
_OLDER_BEND = re.compile(rf"({_NUMBER}) (-?\d{{1,4}})( jump)?")


def submitted(work: LineDraft | MapDraft) -> str:
    """A drawing or a map in the words of an answer."""
    return write(work.map if isinstance(work, MapDraft) else work.drawing.tidied())


def kept(work: LineDraft | MapDraft) -> str:
    """Everything about work that is not submitted yet, to be taken up again later."""
    if isinstance(work, MapDraft):
        return f"map; at {work.held}; {write(work.map)}"
    typed = f"{_TYPED}{work.typed}" if work.typed else ""
    return f"{work.drawing.plot}; at {work.held}; {write_exactly(work.drawing)}{typed}"


def take_up(work: LineDraft | MapDraft, text: str, undoable: bool = False) -> bool:
    """Go on with what was kept, or with a sketch in the words of an answer.

    Args:
        work: what the drawing or map is put into.
        text: what was kept, or written.
        undoable: whether there is a way back to what was there before.

    Returns:
        Whether it could be read; the work is as before if not.
    """
    try:
        if isinstance(work, MapDraft):
            return _take_map(work, text, undoable)
        return _take_line(work, text, undoable)
    except (SketchError, ValueError, OverflowError):
        return False


def _take_map(board: MapDraft, text: str, undoable: bool) -> bool:
    found = _MAP.fullmatch(text[:_LONGEST])
    sketch: MapSketch = read_map(found[2] if found else text)
    if any(count > MOST for count in counts(sketch).values()):
        return False
    board.restore(sketch, Region(found[1]) if found else board.held, undoable)
    return True


def _take_line(desk: LineDraft, text: str, undoable: bool) -> bool:
    text, _, typed = text[:_LONGEST].partition(_TYPED)
    plot, found = desk.drawing.plot, _LINE.fullmatch(text)
    if found is None:
        drawing = read_line(plot, text)
        held = 0 if drawing.bends else int(Handle.START)
    elif found[1] != plot:
        return False
    else:
        drawing = _older(plot, found[3]) or read_line(plot, found[3], as_drawn=True)
        held = int(found[2])
    places = [(bend.frequency, bend.jump) for bend in drawing.bends]
    fits = (
        len(places) <= MOST_BENDS
        and places == sorted(set(places))
        and all(desk.low <= place <= desk.high for place, _ in places)
        and desk.first <= held < len(places)
    )
    if fits:
        desk.restore(drawing, held, undoable)
        desk.type(typed)
    return fits


def _older(plot: PlotKind, text: str) -> LineSketch | None:
    """The line, if an older version kept it."""
    found = _OLDER.fullmatch(text)
    if found is None:
        return None
    parts = [_OLDER_BEND.fullmatch(part) for part in found[3].split("; ")[1:]]
    bends = [PlotBend(float(m[1]), int(m[2]), m[3] is not None) for m in parts if m is not None]
    if len(bends) < len(parts) or bends != sorted(bends, key=lambda b: (b.frequency, b.jump)):
        raise ValueError("this is no line that was kept")
    drawn = EMPTY[plot].bent(int(found[2]), bends)
    level = float(found[1])
    if isinstance(drawn, GainSketch):
        if not math.isfinite(level):
            raise ValueError("this is no level")
        return GainSketch(drawn.slopes, drawn.breaks, level)
    return drawn
