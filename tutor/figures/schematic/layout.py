"""Ladder → drawing primitives: where every symbol, wire and label goes.

Arms are laid out recursively as boxes with two ports.  Series arms run along the top
rail; shunt arms hang from it and reach down to the ground rail.  A parallel group in a
series arm is a stack of branches under the rail; in a shunt arm its branches stand
side by side.  Neighbours may overlap in columns wherever their rows are free, which
keeps the drawing narrow.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING

from ....problems.circuits.gaps import BOX, UNKNOWN
from ....problems.circuits.model import Arm, Element, Group, Joint, Kind, Ladder, Place
from ....problems.quantities.write import UNRAISED, write_quantity
from ...language.ascii import ascii_form
from ...language.texts import fill
from .parts import (
    BLANK,
    BUFFER,
    CAPACITOR,
    GROUND,
    INDUCTOR,
    LABEL,
    LOAD,
    OPEN,
    RESISTOR,
    SHORT,
    SOURCE,
    TERMINAL,
    VALUE,
    Box,
    Primitive,
    Symbol,
    TextPart,
    Wire,
    moved,
)
from .sizes import SymbolSet

if TYPE_CHECKING:
    from ....problems.analysis.arms import End

_SHAPES = {Kind.R: RESISTOR, Kind.L: INDUCTOR, Kind.C: CAPACITOR}
BESIDE = frozenset((INDUCTOR,))
"""Shapes whose names stand beside them in a compact drawing."""
SNAP = 3
"""Columns by which the middle of a group gives way to a branch."""


@lru_cache(256)  # a drawing is laid out several times before it fills its room
def _written(value: Fraction, unit: str, plain: bool) -> str:
    text = write_quantity(value, unit)
    # "7.8×10⁸ H" would lose its exponent sign, so it becomes "7.8e8 H".
    return ascii_form(text.replace("×10", "e").translate(UNRAISED)) if plain else text


@dataclass(frozen=True)
class Layout:
    """Lays out arms and ladders with one set of symbols.

    ``slack`` is the number of rows between the tallest shunt arm and the rails together:
    with more, labels of series arms find room above shunt arms, and the drawing may be
    narrower.  With ``end``, inductors and capacitors are drawn as what they are at that
    end of the frequency axis: an open or a short.  The values of elements that are
    ``unknown`` are question marks; an arm left out (`blank.BOX`) is a box with one.  ``lead``
    is the wire on either side of a lying part, in columns.  The names of lying parts stand above
    them, those of shapes in ``beside`` to their left, which saves a row.  A ``frugal`` drawing has
    no ground symbol, and no names at its source and its output.
    """

    symbols: SymbolSet
    compact: bool
    plain: bool
    slack: int = 3
    end: End | None = None
    unknown: frozenset[str] = frozenset()
    lead: int = 1
    beside: frozenset[str] = BESIDE
    frugal: bool = False

    @property
    def gap(self) -> int:
        """Columns kept free between neighbours."""
        return (1 if self.compact else 2) + 2 * (self.lead - 1)

    def _shape(self, element: Element) -> str:
        if element.name == BOX.name:
            return BLANK
        if self.end is None or element.kind is Kind.R:
            return _SHAPES[element.kind]
        # Only a picture at one end needs the arms' behaviour, and with it the import of flint.
        from ....problems.analysis.arms import ArmState, state

        return OPEN if state(element, self.end) is ArmState.OPEN else SHORT

    def _value(self, element: Element) -> str:
        if self._shape(element) in (OPEN, SHORT):
            return fill("figures", f"ends.{self._shape(element)}")
        if element.name in self.unknown:
            return f"= {UNKNOWN}"
        if element.value is None:
            return ""
        return _written(element.value, element.kind.unit, self.plain)

    # --- single elements -------------------------------------------------------------

    def _element_across(self, element: Element) -> Box:
        shape = self._shape(element)
        glyphs = self.symbols.shapes[shape, False]
        if shape == BLANK:
            box = Symbol(shape, 1, 0, False, shape, element.name)
            wires = Wire(0, 0, 1, 0), Wire(glyphs.width, 0, glyphs.width + 1, 0)
            below = glyphs.height - glyphs.y - 1
            return Box(glyphs.width + 2, glyphs.y, below, (box, *wires))
        value = self._value(element)
        name_width, value_width = len(element.name), len(value)
        if self.compact and shape in self.beside and glyphs.y:
            return self._named_left(shape, element, value)
        stacked = self.compact and bool(value)
        room = max(name_width, value_width) if stacked else name_width + bool(value) + value_width
        length = max(glyphs.width, room + 1) + 2 * self.lead
        left = (length - glyphs.width) // 2
        right = left + glyphs.width - 1
        top = -glyphs.y - 1
        text = (length - room) // 2 if not stacked else (length - name_width) // 2
        text = max(text, 1)
        items: list[Primitive] = [
            Wire(0, 0, left, 0),
            Symbol(shape, left, 0, False, shape, element.name),
            Wire(right, 0, length - 1, 0),
            TextPart(element.name, text, top, LABEL, element.name, True),
        ]
        below = glyphs.height - glyphs.y - 1
        if stacked:
            below += 1
            items.append(TextPart(value, (length - value_width) // 2, below, VALUE, element.name))
        elif value:
            items.append(TextPart(value, text + name_width + 1, top, VALUE, element.name))
        return Box(length, -top, below, tuple(items))

    def _named_left(self, shape: str, element: Element, value: str) -> Box:
        """A part that is high already: its name stands beside its upper half."""
        glyphs = self.symbols.shapes[shape, False]
        left = len(element.name) + 2
        right = left + glyphs.width - 1
        start = max(1, left + (glyphs.width - len(value)) // 2)
        length = max(right + 2, start + len(value) + 1)
        items: list[Primitive] = [
            Wire(0, 0, left, 0),
            Symbol(shape, left, 0, False, shape, element.name),
            Wire(right, 0, length - 1, 0),
            TextPart(element.name, 1, -glyphs.y, LABEL, element.name, True),
        ]
        below = glyphs.height - glyphs.y - 1
        if value:
            below += 1
            items.append(TextPart(value, start, below, VALUE, element.name))
        return Box(length, glyphs.y, below, tuple(items))

    def _element_down(self, element: Element, role: str) -> Box:
        shape = self._shape(element)
        glyphs = self.symbols.shapes[shape, True]
        value = self._value(element)
        right = glyphs.width - glyphs.x - 1
        if shape == BLANK:
            box = Symbol(shape, 0, 0, True, role, element.name)
            return Box(glyphs.height, glyphs.x, right, (box,))
        row = (glyphs.height - 2) // 2 if value else (glyphs.height - 1) // 2
        items: list[Primitive] = [
            Symbol(shape, 0, 0, True, role, element.name),
            TextPart(element.name, right + 2, row, LABEL, element.name, True),
        ]
        if value:
            items.append(TextPart(value, right + 2, row + 1, VALUE, element.name))
        after = right + 1 + max(len(element.name), len(value))
        return Box(glyphs.height, glyphs.x, after, tuple(items))

    # --- groups ----------------------------------------------------------------------

    def across(self, arm: Arm) -> Box:
        """An ``arm`` along the rail, ports left and right."""
        if isinstance(arm, Element):
            return self._element_across(arm)
        parts = [self.across(part) for part in arm.parts]
        items: list[Primitive] = []
        if arm.joint is Joint.SERIES:
            x = 0
            for part in parts:
                if x:
                    items.append(Wire(x - 1, 0, x, 0))
                items += moved(part.items, x, 0)
                x += part.length
            before = max(part.before for part in parts)
            return Box(x, before, max(part.after for part in parts), tuple(items))
        inner = max(part.length for part in parts)
        left, right = 1, inner + 2
        y = 0
        for number, part in enumerate(parts):
            if number:
                y += part.before + 1
            start = left + 1 + (inner - part.length) // 2
            items += moved(part.items, start, y)
            items.append(Wire(left, y, start, y))
            items.append(Wire(start + part.length - 1, y, right, y))
            last = y
            y += part.after
        items += [Wire(left, 0, left, last), Wire(right, 0, right, last)]
        items += [Wire(0, 0, left, 0), Wire(right, 0, right + 1, 0)]
        return Box(inner + 4, parts[0].before, y, tuple(items))

    def down(self, arm: Arm, role: str = "") -> Box:
        """An ``arm`` from rail to rail, ports above and below; of a ``role`` of its own, if any."""
        if isinstance(arm, Element):
            return self._element_down(arm, role or self._shape(arm))
        parts = [self.down(part) for part in arm.parts]
        items: list[Primitive] = []
        if arm.joint is Joint.SERIES:
            y = 0
            for number, (part, inside) in enumerate(zip(parts, arm.parts, strict=True)):
                if number:
                    # Two bars one above the other would seem to be one.
                    bars = isinstance(inside, Group) and isinstance(arm.parts[number - 1], Group)
                    gap = 0 if self.compact and not bars else 1
                    items.append(Wire(0, y - 1, 0, y + gap))
                    y += gap
                items += moved(part.items, 0, y)
                y += part.length
            before = max(part.before for part in parts)
            return Box(y, before, max(part.after for part in parts), tuple(items))
        inner = max(part.length for part in parts)
        xs = [0]
        for one, other in pairwise(parts):
            xs.append(xs[-1] + one.after + other.before + 1 + self.gap)
        port = xs[-1] // 2
        nearest = min(xs, key=lambda x: abs(x - port))
        if abs(nearest - port) <= SNAP:
            port = nearest  # rather straight on than with a small step
        for x, part in zip(xs, parts, strict=True):
            start = 1 + (inner - part.length) // 2
            items += moved(part.items, x - port, start)
            items.append(Wire(x - port, 0, x - port, start))
            items.append(Wire(x - port, start + part.length - 1, x - port, inner + 1))
        for y in (0, inner + 1):
            items.append(Wire(-port, y, xs[-1] - port, y))
        before = port + parts[0].before
        after = xs[-1] - port + parts[-1].after
        return Box(inner + 2, before, after, tuple(items))

    # --- the ends --------------------------------------------------------------------

    def _source(self) -> Box:
        glyphs = self.symbols.shapes[SOURCE, True]
        label = TextPart("Vs", glyphs.width - glyphs.x + 1, glyphs.height // 2, SOURCE)
        ring = Symbol(SOURCE, 0, 0, True, SOURCE)
        if self.frugal:
            return Box(glyphs.height, glyphs.x, glyphs.width - glyphs.x - 1, (ring,))
        items = (ring, label)
        return Box(glyphs.height, glyphs.x, glyphs.width - glyphs.x + 2, items)

    def _buffer(self) -> Box:
        glyphs = self.symbols.shapes[BUFFER, False]
        items = (Wire(0, 0, 1, 0), Symbol(BUFFER, 1, 0, False, BUFFER))
        end = Wire(glyphs.width, 0, glyphs.width + 1, 0)
        below = glyphs.height - glyphs.y - 1
        return Box(glyphs.width + 2, glyphs.y, below, (*items, end))

    # --- the ladder ------------------------------------------------------------------

    def ladder(self, ladder: Ladder) -> list[Primitive]:
        """The whole circuit; the top rail is row 0, the source's column is column 0."""
        boxes: list[tuple[bool, Box]] = [(True, self._source())]
        if ladder.source is not None:
            boxes.append((False, self.across(ladder.source)))
        for stage in ladder.stages:
            if stage.arm is None:
                boxes.append((False, self._buffer()))
            elif stage.place is Place.SERIES:
                boxes.append((False, self.across(stage.arm)))
            else:
                boxes.append((True, self.down(stage.arm)))
        if ladder.load is not None:
            boxes.append((True, self.down(ladder.load, LOAD)))
        tallest = max(box.length for down, box in boxes if down)
        deepest = max((box.after for down, box in boxes if not down), default=0)
        ground = max(tallest + self.slack, deepest + 2)
        rail = _Rail(ground, self.gap)
        for down, box in boxes:
            rail.hang(box) if down else rail.chain(box)
        rail.finish(self.symbols, self.compact, frugal=self.frugal)
        return rail.items


class _Rail:
    """Places boxes from left to right along the top rail."""

    def __init__(self, ground: int, gap: int) -> None:
        self.ground = ground
        self.gap = gap
        self.items: list[Primitive] = []
        self.end = 0  # next free column on the rail
        self.hung: list[tuple[int, int]] = []  # (last column, top row) of shunt boxes
        self.chained: list[tuple[int, int]] = []  # (last column, bottom row) of series boxes

    def chain(self, box: Box) -> None:
        """Put a series box on the rail."""
        # A column is left between two texts in one row.
        start = max([self.end, *(x + 2 for x, top in self.hung if box.after >= top)])
        self._reach(start)
        self.items += moved(box.items, start, 0)
        self.end = start + box.length
        self.chained.append((self.end - 1, box.after))

    def hang(self, box: Box) -> None:
        """Hang a shunt box between the rails, halfway."""
        top = 1 + (self.ground - 1 - box.length) // 2
        x = max(
            [self.end]
            + [right + 1 + self.gap + box.before for right, _ in self.hung]
            + [right + 1 + box.before for right, bottom in self.chained if bottom >= top]
        )
        self._reach(x)
        self.items += moved(box.items, x, top)
        self.items.append(Wire(x, 0, x, top))
        self.items.append(Wire(x, top + box.length - 1, x, self.ground))
        self.end = x + 1
        self.hung.append((x + box.after, top))

    def _reach(self, x: int) -> None:
        if self.end:
            self.items.append(Wire(self.end - 1, 0, x, 0))

    def finish(self, symbols: SymbolSet, compact: bool, *, frugal: bool) -> None:
        """Output terminals, ground rail and ground symbol."""
        right = max(right for right, _ in self.hung)
        out = self.end + 1 if compact else max(self.end + 1, right + 3)
        self._reach(out)
        for y, sign in ((0, symbols.plus), (self.ground, symbols.minus)):
            self.items.append(Symbol(TERMINAL, out, y, False, TERMINAL))
            self.items.append(TextPart(sign, out + 2, y, TERMINAL))
        # Between the terminals, or beside the upper one to save columns.
        place = (out + 4, 0) if compact else (out, self.ground // 2)
        if not frugal:
            self.items.append(TextPart("Vout", *place, TERMINAL))
        self.items.append(Wire(0, self.ground, out, self.ground))
        if not frugal:
            self.items.append(Wire(0, self.ground, 0, self.ground + 1))
            self.items.append(Symbol(GROUND, 0, self.ground + 1, True, GROUND))


def extent(items: Iterable[Primitive], symbols: SymbolSet) -> tuple[int, int, int, int]:
    """(left, top, right, bottom): the cells that ``items`` cover, drawn with ``symbols``."""
    xs: list[int] = []
    ys: list[int] = []
    for item in items:
        if isinstance(item, Wire):
            xs += [item.x, item.x2]
            ys += [item.y, item.y2]
        elif isinstance(item, TextPart):
            xs += [item.x - item.mark, item.x + len(item.text) - 1]
            ys.append(item.y)
        else:
            glyphs = symbols.shapes[item.shape, item.upright]
            xs += [item.x - glyphs.x, item.x - glyphs.x + glyphs.width - 1]
            ys += [item.y - glyphs.y, item.y - glyphs.y + glyphs.height - 1]
    return min(xs), min(ys), max(xs), max(ys)
