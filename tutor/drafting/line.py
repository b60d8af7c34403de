"""A straight-line plot while it is being drawn: what is in hand, and what each move does.

No screen in here, and nothing about what is right.  What is drawn is a sketch as ``problems``
has it; `LineDraft` holds the one being worked on, with what is selected (a *handle*) and the way
back.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import IntEnum

from ...problems.circuits.preferred import E24
from ...problems.quantities.read import read_quantity
from ...problems.quantities.units import QuantityError
from ...problems.sketches.model import GainSketch, LineSketch, PhaseSketch, PlotBend, PlotKind
from .undo import Undo

MOST_BENDS = 9
"""Breaks or turns in one drawing: more than any circuit that is asked about has."""
LONGEST = 16
"""Characters typed for one value."""
SAME = 1e-9
"""Decades below which two frequencies are one."""

COARSE = (10, 20, 50)
"""Where a move along the decade grid stops, as tenths of a decade's first value."""
FINE = E24
"""Where a fine move stops: the preferred values (IEC 60063), 24 to the decade."""


class Handle(IntEnum):
    """What is selected; the breaks or turns are counted from 0."""

    LEVEL = -2
    START = -1


@dataclass(frozen=True, slots=True)
class Rule:
    """How the values of a plot are stepped: pieces by ``step``, as far as ``limit``."""

    step: int
    limit: int
    first: int
    """Of a new break (the change of slope) or turn."""


EMPTY: Mapping[PlotKind, LineSketch] = {
    PlotKind.GAIN: GainSketch(),
    PlotKind.PHASE: PhaseSketch(),
}
"""A paper with nothing drawn yet but the axis."""
RULES = {PlotKind.GAIN: Rule(20, 160, -20), PlotKind.PHASE: Rule(90, 720, -90)}
LEVEL_STEP, LEVEL_FINE, LEVEL_LIMIT = 3.0, 0.5, 200.0
"""Decibels."""


def stops(frequency: float, marks: tuple[int, ...], way: int) -> float:
    """The next stop of a move.

    Args:
        frequency: where it begins, in Hz.
        marks: where there are stops, as tenths of a decade's first value.
        way: 1 up, −1 down.
    """
    exponent = math.floor(math.log10(frequency)) - 1
    places = [float(f"{m}e{e}") for e in range(exponent - 2, exponent + 3) for m in marks]
    if way > 0:
        return min(place for place in places if place > frequency * (1 + SAME))
    return max(place for place in places if place < frequency * (1 - SAME))


def between(low: float, high: float) -> float | None:
    """A stop near the middle of ``low`` and ``high`` Hz, coarse if there is one; or ``None``."""
    middle = math.sqrt(low * high)
    for marks in (COARSE, FINE):
        found = [stops(middle, marks, -1), stops(middle * (1 - 2 * SAME), marks, 1)]
        inside = [place for place in found if low * 1.001 < place < high * 0.999]
        if inside:
            return min(inside, key=lambda place: abs(math.log(place / middle)))
    return None


def read_typed(text: str, unit: str) -> float | None:
    """``text`` as a value in a ``unit``, "Hz" (above 0) or "dB"; ``None`` where it is none such."""
    try:
        found = read_quantity(text, unit)
        fits = found.unit == unit and (unit == "dB" or found.value > 0)
        return float(found.value) if fits else None
    except (QuantityError, OverflowError):
        return None


class LineDraft:
    """A drawing being worked on.

    Every method that changes something says whether it could.

    Args:
        plot: what is plotted.
        low: lowest frequency of the paper in Hz.
        high: highest one.
    """

    def __init__(self, plot: PlotKind, low: float, high: float) -> None:
        self.rule = RULES[plot]
        self.low, self.high = low, high
        self.drawing = EMPTY[plot]
        self.held = int(Handle.START)
        self.typed = ""
        self.touched = False
        self.changes = Undo[tuple[LineSketch, int]]()

    # What is selected

    @property
    def gain(self) -> bool:
        """Whether it is a gain plot, which has a level to set."""
        return self.drawing.plot is PlotKind.GAIN

    @property
    def first(self) -> int:
        """The first handle."""
        return int(Handle.LEVEL if self.gain else Handle.START)

    @property
    def bend(self) -> PlotBend | None:
        """The selected break or turn, if it is one."""
        return self.drawing.bends[self.held] if self.held >= 0 else None

    def hold(self, handle: int) -> bool:
        """Select a handle, if there is such a one."""
        self.typed = ""
        if not self.first <= handle < len(self.drawing.bends) or handle == self.held:
            return False
        self.held = handle
        return True

    def next(self, way: int = 1) -> bool:
        """Select the next handle, round and round."""
        count = len(self.drawing.bends) - self.first
        return self.hold((self.held - self.first + way) % count + self.first)

    # Changes

    def _change(self, drawing: LineSketch, held: int | None = None) -> bool:
        self.typed = ""
        self.touched = True
        held = self.held if held is None else held
        if drawing == self.drawing:
            self.held = held
            return False
        self.changes.note((self.drawing, self.held))
        self.drawing, self.held = drawing, held
        return True

    def _bends(self, bends: Sequence[PlotBend], kept: PlotBend | None) -> bool:
        """Put these breaks in order; ``kept`` stays selected."""
        ordered = tuple(sorted(bends, key=lambda bend: (bend.frequency, bend.jump)))
        held = ordered.index(kept) if kept is not None else self.held
        return self._change(self.drawing.bent(self.drawing.start, ordered), held)

    def _free(self, frequency: float, jump: bool) -> bool:
        """Whether no other break stands at this frequency; a jump may stand within a turn."""
        others = [b for i, b in enumerate(self.drawing.bends) if i != self.held and b.jump is jump]
        return all(abs(math.log10(b.frequency / frequency)) > SAME for b in others)

    def _put(self, frequency: float) -> bool:
        bend = self.bend
        if bend is None or not self._free(frequency, bend.jump):
            return False
        moved = replace(bend, frequency=frequency)
        others = [b for i, b in enumerate(self.drawing.bends) if i != self.held]
        return self._bends([*others, moved], moved)

    def move(self, way: int, fine: bool = False) -> bool:
        """Move the selected break along the grid; past another one if need be.

        Args:
            way: 1 up, −1 down.
            fine: along the preferred values.
        """
        bend = self.bend
        if bend is None:
            return False
        place = stops(bend.frequency, FINE if fine else COARSE, way)
        while not self._free(place, bend.jump):
            place = stops(place, FINE if fine else COARSE, way)
        if self.low * (1 - SAME) <= place <= self.high * (1 + SAME):
            return self._put(place)
        return False

    def place(self, frequency: float) -> bool:
        """Move the selected break to the grid's stop nearest to a frequency in Hz."""
        near = [stops(frequency, FINE, -1), stops(frequency * (1 - 2 * SAME), FINE, 1)]
        place = min(near, key=lambda stop: abs(math.log(stop / frequency)))
        return self._put(min(max(place, self.low), self.high))

    def turn(self, way: int, fine: bool = False) -> bool:
        """Turn what is selected up or down: the piece after a break, a change, the level.

        Args:
            way: 1 up, −1 down.
            fine: the level by less.
        """
        drawing, step, limit = self.drawing, self.rule.step, self.rule.limit
        if isinstance(drawing, GainSketch) and self.held == Handle.LEVEL:
            by = LEVEL_FINE if fine else LEVEL_STEP
            # To the next multiple, so that a typed level comes back to the grid.
            level = by * (math.floor(drawing.level / by + SAME) + 1 if way > 0 else 0)
            if way < 0:
                level = by * (math.ceil(drawing.level / by - SAME) - 1)
            return abs(level) <= LEVEL_LIMIT and self._change(replace(drawing, level=level + 0.0))
        bend = self.bend
        value = drawing.start if bend is None else bend.value
        value = step * (value // step + 1 if way > 0 else -(-value // step) - 1)
        if bend is not None and not self.gain and value == 0:
            value += way * step  # a turn of 0° is none
        if abs(value) > limit:
            return False
        if bend is None:
            return self._change(drawing.bent(value, drawing.bends))
        bends = list(drawing.bends)
        bends[self.held] = replace(bend, value=value)
        return self._change(drawing.bent(drawing.start, bends))

    def add(self, frequency: float | None = None) -> bool:
        """Add a break after what is selected, or at a frequency in Hz, and select it."""
        bends = self.drawing.bends
        if len(bends) >= MOST_BENDS:
            return False
        if frequency is None:
            at = max(self.held, -1)
            left = bends[at].frequency if at >= 0 else self.low
            right = bends[at + 1].frequency if at + 1 < len(bends) else self.high
            frequency = between(left, right)
            if frequency is None:
                return False
        if any(abs(math.log10(b.frequency / frequency)) <= SAME and not b.jump for b in bends):
            return False
        before = sum(bend.frequency < frequency for bend in bends)
        value = self.rule.first
        if self.gain:
            value += bends[before - 1].value if before else self.drawing.start
        value = max(-self.rule.limit, min(self.rule.limit, value))
        new = PlotBend(frequency, value)
        return self._bends([*bends, new], new)

    def leap(self) -> bool:
        """Make a jump of the selected turn of a phase, or a turn of a jump."""
        bend = self.bend
        if bend is None or self.gain or not self._free(bend.frequency, not bend.jump):
            return False
        other = replace(bend, jump=not bend.jump)
        others = [b for i, b in enumerate(self.drawing.bends) if i != self.held]
        return self._bends([*others, other], other)

    def remove(self) -> bool:
        """Take the selected break away; the one before it is selected then."""
        if self.bend is None:
            return False
        bends = list(self.drawing.bends)
        del bends[self.held]
        held = min(self.held, len(bends) - 1)
        return self._change(self.drawing.bent(self.drawing.start, bends), held)

    def clear(self) -> bool:
        """Begin again with an empty paper."""
        return self._change(EMPTY[self.drawing.plot], int(Handle.START))

    def restore(self, drawing: LineSketch, held: int, undoable: bool = False) -> None:
        """Put a ``drawing`` made earlier on the desk, one handle ``held``, ``undoable`` or not."""
        if undoable:
            self._change(drawing, held)
            return
        self.drawing, self.held = drawing, held
        self.touched, self.typed = True, ""
        self.changes.forget()

    # The way back

    def undo(self) -> bool:
        """Take the last change back."""
        return self._go(self.changes.undo((self.drawing, self.held)))

    def redo(self) -> bool:
        """Make it again."""
        return self._go(self.changes.redo((self.drawing, self.held)))

    def _go(self, found: tuple[LineSketch, int] | None) -> bool:
        self.typed = ""
        if found is not None:
            self.drawing, self.held = found
        return found is not None

    # Typing a value

    def type(self, text: str) -> bool:
        """Go on typing the value of what is selected: a frequency, or a level in dB."""
        kept = "".join(c for c in text if c.isprintable())[: LONGEST - len(self.typed)]
        self.typed += kept
        return bool(kept)

    def erase(self) -> bool:
        """Take back the last typed character."""
        had, self.typed = bool(self.typed), self.typed[:-1]
        return had

    def read(self) -> float | None:
        """What the typing means: Hz, or dB where the level is selected."""
        if self.held == Handle.LEVEL:
            level = read_typed(self.typed, "dB")
            return level if level is not None and abs(level) <= LEVEL_LIMIT else None
        frequency = read_typed(self.typed, "Hz")
        return frequency if frequency and self.low <= frequency <= self.high else None

    def enter(self) -> bool:
        """Put the typed value in place; what cannot be read stays to be corrected."""
        value = self.read()
        if value is None:
            return False
        if isinstance(self.drawing, GainSketch) and self.held == Handle.LEVEL:
            self._change(replace(self.drawing, level=value))
            return True
        if self.bend is None:
            return self.add(value)
        if not self._free(value, self.bend.jump):
            return False
        self._put(value)
        return True
