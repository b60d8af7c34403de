"""Drawings as text: what is submitted, and what is kept of one that is not submitted yet.

What is kept is exact, and says what was selected or being typed too.  It is read
with suspicion, for it may come from a damaged record.
"""

from __future__ import annotations

import math
import re
from itertools import pairwise

from ...problems.sketches.sketch import (
    GainSketch,
    MapSketch,
    PhaseSketch,
    Region,
    SketchError,
    gain_sketch,
    phase_sketch,
    read_gain,
    read_map,
    read_phase,
    write,
)
from .line import MOST_BENDS, Handle, LineDraft, PlotBend, PlotKind, StickPlot
from .map import MOST, MapDraft, counts

_LONGEST = 1000
_NUMBER = r"-?\d{1,17}(?:\.\d{1,20})?(?:e[+-]?\d{1,3})?"
_GAIN = re.compile(rf"(gain|phase); at (-?\d); level ({_NUMBER}); start (-?\d{{1,4}})((?:; .*)?)")
_BEND = re.compile(rf"({_NUMBER}) (-?\d{{1,4}})( jump)?")
_TYPED = "; typed "
_MAP = re.compile(r"map; at ([a-z]+); (.*)")


def heights(drawing: StickPlot) -> list[float]:
    """Decibels at every break of a gain."""
    found = [drawing.level] if drawing.bends else []
    for one, other in pairwise(drawing.bends):
        found.append(found[-1] + one.value * math.log10(other.frequency / one.frequency))
    return found


def sketch_of(drawing: StickPlot) -> GainSketch | PhaseSketch:
    """What a drawing says; breaks that turn nothing, and turns of 0°, are none."""
    if drawing.plot is PlotKind.PHASE:
        turns = [(b.frequency, b.value) for b in drawing.bends if not b.jump]
        jumps = [(b.frequency, b.value) for b in drawing.bends if b.jump]
        return phase_sketch(drawing.start, turns, jumps)
    slopes = [drawing.start, *(bend.value for bend in drawing.bends)]
    places = [bend.frequency for bend in drawing.bends]
    found = gain_sketch(slopes, places, drawing.level)
    if not found.breaks:
        return found
    # The level is that of the first break that is left.
    level = heights(drawing)[places.index(found.breaks[0])]
    return GainSketch(found.slopes, found.breaks, level)


def drawing_of(sketch: GainSketch | PhaseSketch) -> StickPlot:
    """How a sketch is drawn."""
    if isinstance(sketch, GainSketch):
        bends = tuple(map(PlotBend, sketch.breaks, sketch.slopes[1:]))
        return StickPlot(PlotKind.GAIN, sketch.slopes[0], bends, sketch.level)
    found = [PlotBend(place, turn) for place, turn in sketch.turns]
    found += [PlotBend(place, turn, True) for place, turn in sketch.jumps]
    found.sort(key=lambda bend: (bend.frequency, bend.jump))
    return StickPlot(PlotKind.PHASE, sketch.start, tuple(found))


def submitted(work: LineDraft | MapDraft) -> str:
    """A drawing or a map in the words of an answer."""
    return write(work.map if isinstance(work, MapDraft) else sketch_of(work.drawing))


def kept(work: LineDraft | MapDraft) -> str:
    """Everything about work that is not submitted yet, to be taken up again later."""
    if isinstance(work, MapDraft):
        return f"map; at {work.held}; {write(work.map)}"
    drawing = work.drawing
    bends = "".join(
        f"; {bend.frequency!r} {bend.value}{' jump' * bend.jump}" for bend in drawing.bends
    )
    level = f"{drawing.level!r}"
    typed = f"{_TYPED}{work.typed}" if work.typed else ""
    return f"{drawing.plot}; at {work.held}; level {level}; start {drawing.start}{bends}{typed}"


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
    found = _GAIN.fullmatch(text)
    if found is None:
        gain = desk.drawing.plot is PlotKind.GAIN
        drawing = drawing_of(read_gain(text) if gain else read_phase(text))
        held = 0 if drawing.bends else int(Handle.START)
    else:
        bends: list[PlotBend] = []
        for part in found[5].split("; ")[1:]:
            bend = _BEND.fullmatch(part)
            if bend is None:
                return False
            bends.append(PlotBend(float(bend[1]), int(bend[2]), bend[3] is not None))
        drawing = StickPlot(PlotKind(found[1]), int(found[4]), tuple(bends), float(found[3]))
        held = int(found[2])
    places = [(bend.frequency, bend.jump) for bend in drawing.bends]
    fits = (
        drawing.plot is desk.drawing.plot
        and len(places) <= MOST_BENDS
        and places == sorted(set(places))
        and all(desk.low <= place <= desk.high for place, _ in places)
        and math.isfinite(drawing.level)
        and desk.first <= held < len(places)
    )
    if fits:
        desk.restore(drawing, held, undoable)
        desk.type(typed)
    return fits
