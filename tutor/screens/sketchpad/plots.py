"""The pads for the gain and for the phase."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import ClassVar

from textual.binding import BindingType

from ....problems.sketches.model import GainSketch, PlotBend, PlotKind
from ....problems.sketches.write import decibels, hertz
from ...drafting.line import Handle
from ...figures.sketch.course import REACH, amount, value_at
from ...language.texts import fill
from .line import LinePad
from .pad import key
from .parts import Field


class GainPad(LinePad):
    """The straight lines of the gain: a level, slopes, breaks."""

    PLOT = PlotKind.GAIN
    BINDINGS: ClassVar[list[BindingType]] = [key("l", "level", "level")]

    @property
    def drawn(self) -> GainSketch:
        """The gain as it is drawn now."""
        drawing = self.desk.drawing
        assert isinstance(drawing, GainSketch)
        return drawing

    def action_level(self) -> None:
        """Select the level."""
        self._settle()
        self.changed(self.open and self.desk.hold(int(Handle.LEVEL)))

    def action_submit(self) -> None:
        """Put what is typed in place, else submit the line; it must break if it slopes."""
        sketch = self.drawn.tidied()
        endless = sketch.start and not sketch.breaks
        if self.open and not self.desk.typed and endless:
            self.notify(fill("sketch", "no-break"), timeout=4)
            return
        super().action_submit()

    def sentence(self) -> str:
        """The selected piece: its slope, and from where to where it goes."""
        drawing, held = self.drawn, self.desk.held
        bends = drawing.bends
        if held == Handle.LEVEL:
            values = [("level", decibels(drawing.level))]
            if not bends:
                return fill("sketch", "say.level-flat", values)
            return fill("sketch", "say.level", [*values, ("first", hertz(bends[0].frequency))])
        slope = drawing.start if held < 0 else bends[held].value
        after = bends[held + 1] if held + 1 < len(bends) else None
        values = [("slope", amount(drawing, slope))]
        if held >= 0:
            values.append(("from", hertz(bends[held].frequency)))
        if after is not None:
            values.append(("to", hertz(after.frequency)))
        ends = [name for name, _ in values[1:]]
        return fill("sketch", f"say.piece-{'-'.join(ends) or 'all'}", values)

    def fields(self) -> Sequence[Field]:
        """Level, first slope, and every break with the slope after it."""
        drawing, held = self.drawn, self.desk.held if self.open else None
        found = [
            Field(
                int(Handle.LEVEL),
                fill("sketch", "field.level", [("level", decibels(drawing.level))]),
                held == Handle.LEVEL,
                self.marks.get("level"),
            ),
            Field(
                int(Handle.START),
                fill("sketch", "field.start", [("slope", amount(drawing, drawing.start))]),
                held == Handle.START,
                self.marks.get("slope-0"),
            ),
        ]
        for number, bend in enumerate(drawing.bends):
            values = [("at", hertz(bend.frequency)), ("slope", amount(drawing, bend.value))]
            verdicts = [self.marks.get(f"{what}-{number + 1}") for what in ("break", "slope")]
            known = [verdict for verdict in verdicts if verdict is not None]
            good = all(known) if known else None
            text = fill("sketch", "field.break", values)
            found.append(Field(number, text, held == number, good))
        return [*found, *self.counted(breaks=len(drawing.bends))]


class PhasePad(LinePad):
    """The straight lines of the phase: a first phase, turns, jumps."""

    PLOT = PlotKind.PHASE
    BINDINGS: ClassVar[list[BindingType]] = [key("j", "jump", "jump")]

    def action_jump(self) -> None:
        """Make a jump of a turn, or a turn of a jump."""
        self._do(self.desk.leap)

    def sentence(self) -> str:
        """The selected turn, and from where to where it reaches."""
        drawing, bend = self.desk.drawing, self.desk.bend
        if bend is None:
            start = amount(drawing, drawing.start)
            key_ = "say.phase-start" if drawing.bends else "say.phase-all"
            return fill("sketch", key_, [("phase", start)])
        values = [("change", amount(drawing, bend.value)), ("at", hertz(bend.frequency))]
        if bend.jump:
            return fill("sketch", "say.jump", values)
        reach = 10**REACH
        values += [
            ("from", hertz(bend.frequency / reach)),
            ("to", hertz(bend.frequency * reach)),
            ("phase", self._reached(bend)),
        ]
        return fill("sketch", "say.turn", values)

    def _reached(self, bend: PlotBend) -> str:
        place = min(bend.frequency * 10**REACH, self.frame.high)
        value = value_at(self.desk.drawing, math.log10(place), self.frame)
        return amount(self.desk.drawing, round(value))

    def fields(self) -> Sequence[Field]:
        """The first phase, every turn, and where the phase ends."""
        drawing, held = self.desk.drawing, self.desk.held if self.open else None
        found = [
            Field(
                int(Handle.START),
                fill("sketch", "field.phase", [("phase", amount(drawing, drawing.start))]),
                held == Handle.START,
                self.marks.get("start"),
            )
        ]
        for number, bend in enumerate(drawing.bends):
            values = [("at", hertz(bend.frequency)), ("change", amount(drawing, bend.value))]
            text = fill("sketch", "field.jump" if bend.jump else "field.turn", values)
            good = self.marks.get(f"turn-{number + 1}")
            found.append(Field(number, text, held == number, good))
        if drawing.bends:
            end = drawing.start + sum(bend.value for bend in drawing.bends)
            text = fill("sketch", "field.end", [("phase", amount(drawing, end))])
            found.append(Field(None, text, False, self.marks.get("end")))
        return [*found, *self.counted(turns=len(drawing.bends))]
