"""The rails of a printed circuit: boxes placed from the source to the output, in bands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from .schematic_layout import (
    RING,
    STUB,
    TERMINAL,
    Item,
    PaperBox,
    PaperLabel,
    PaperWire,
    Sign,
    Space,
    clear,
    moved,
)
from .schematic_symbols import RADIUS
from .svg import CAP, SIZE, Rect, symbol, upright

Boxes = Sequence[tuple[bool, PaperBox]]
START = 9.0
"""Of the rail, before the first arm."""
EARTH = 6.0
"""Wire from the lower rail to the earth."""
LETTERS = "abcdefghijklmnopqrstuvwxyz"


@dataclass
class PaperRail:
    """One band: what is placed so far, where arms may follow, and how far the rail is drawn."""

    height: float
    space: Space
    items: list[Item] = field(default_factory=list)
    ink: list[Rect] = field(default_factory=list)
    end: float = 0.0
    wired: float = 0.0
    first: float = 0.0
    hung: float | None = None

    def _add(self, items: Sequence[Item]) -> None:
        self.items += items
        self.ink += (rect for item in items for rect in item.ink)

    def source(self) -> None:
        """The source at the left end, the earth below it."""
        middle = self.height / 2
        sign = RADIUS + 4.5
        labels = [
            PaperLabel(symbol("V", "s"), -RADIUS - 3.5, middle + CAP * SIZE / 2, "end"),
            PaperLabel(upright("+"), -sign + 5.5, middle - RADIUS - 1.0, "end"),
            PaperLabel(upright("−"), -sign + 5.5, middle + RADIUS + 6.0, "end"),
        ]
        self._add(
            [
                PaperWire(0, 0, 0, middle - RADIUS),
                Sign("source", 0, middle),
                PaperWire(0, middle + RADIUS, 0, self.height),
                *(labels if self.space.named else ()),
                PaperWire(0, self.height, 0, self.height + EARTH),
                Sign("earth", 0, self.height + EARTH),
            ]
        )
        self.hung = 0.0
        self.end = START

    def resume(self, letters: str) -> None:
        """Where both rails come from a band before."""
        for y, letter in zip((0.0, self.height), letters, strict=True):
            self._add([Sign("ring", 0, y, letter)])
        self.end, self.wired, self.first = STUB, RING, RING

    def chain(self, box: PaperBox) -> None:
        """Put a lying box on the top rail."""
        x = max(self.end, clear(self.ink, box.ink, self.space.gap))
        self._add(moved(box.items, x, 0))
        self._reach(x)
        self.end = self.wired = x + box.length
        self.hung = None

    def hang(self, box: PaperBox) -> None:
        """Stand a box between the rails, halfway."""
        top = (self.height - box.length) / 2
        items = [
            *moved(box.items, 0, top),
            PaperWire(0, 0, 0, top),
            PaperWire(0, top + box.length, 0, self.height),
        ]
        ink = [rect for item in items for rect in item.ink]
        least = self.end if self.hung is None else max(self.end, self.hung + self.space.next)
        x = max(least, clear(self.ink, ink, self.space.gap))
        self._add(moved(items, x, 0))
        self._reach(x)
        self.end = self.wired = self.hung = x

    def _reach(self, x: float) -> None:
        self.items.append(PaperWire(self.wired, 0, x, 0))

    def output(self) -> None:
        """The terminals and the voltage between them."""
        middle = self.height / 2
        items: list[Item] = [
            Sign("terminal", 0, 0),
            Sign("terminal", 0, self.height),
            PaperLabel(upright("+"), 0, 12.0, "middle"),
            PaperLabel(symbol("V", "out"), 0, middle + CAP * SIZE / 2, "middle"),
            PaperLabel(upright("−"), 0, self.height - 7.0, "middle"),
        ]
        # Between the terminals nothing else stands: Vout is no label of the arm beside it.
        column = Rect.round([rect for item in items[2:] for rect in item.ink])
        x = max(self.end + 14.0, clear(self.ink, [column], self.space.gap))
        self._add(moved(items, x, 0))
        self._close(x - TERMINAL)

    def leave(self, letters: str) -> None:
        """Where both rails go on in the next band."""
        x = max(self.end, max(rect.right for rect in self.ink)) + STUB
        for y, letter in zip((0.0, self.height), letters, strict=True):
            self._add([Sign("ring", x, y, letter)])
        self._close(x - RING)

    def _close(self, x: float) -> None:
        self._reach(x)
        self.items.append(PaperWire(self.first, self.height, x, self.height))

    @property
    def bounds(self) -> Rect:
        """The rectangle round all ink."""
        return Rect.round(self.ink)


def band(boxes: Boxes, space: Space, number: int, last: bool) -> PaperRail:
    """One band of ``boxes`` in a ``space``; ``number`` is from 0, the ``last`` has the output."""
    rail = PaperRail(height_of(boxes, space), space)
    if number:
        rail.resume(LETTERS[2 * number - 2 : 2 * number])
    else:
        rail.source()
    for down, box in boxes:
        rail.hang(box) if down else rail.chain(box)
    if last:
        rail.output()
    else:
        rail.leave(LETTERS[2 * number : 2 * number + 2])
    return rail


def height_of(boxes: Boxes, space: Space) -> float:
    """Points from rail to rail around ``boxes`` in a ``space``."""
    tallest = max((box.length for down, box in boxes if down), default=0.0)
    return max(space.height, tallest + space.lead)


def _bands(boxes: Boxes, space: Space, room: float) -> list[PaperRail]:
    """Bands no wider than ``room`` points, as far as single boxes allow."""
    found: list[PaperRail] = []
    start = 0
    while True:
        # The more boxes, the wider: the most that fit are found by halving.
        best, most = start + 1, len(boxes)
        while best < most:
            stop = (best + most + 1) // 2
            if _wide(band(boxes[start:stop], space, len(found), stop == len(boxes))) <= room:
                best = stop
            else:
                most = stop - 1
        last = best >= len(boxes)
        found.append(band(boxes[start:best], space, len(found), last))
        if last:
            return found
        start = best


def _wide(rail: PaperRail) -> float:
    box = rail.bounds
    return box.right - box.left


def whole(boxes: Boxes, space: Space) -> tuple[PaperRail, float]:
    """(``boxes`` in one band in a ``space``, its width in points)."""
    rail = band(boxes, space, 0, True)
    return rail, _wide(rail)


def fold(boxes: Boxes, space: Space, room: float) -> tuple[list[PaperRail], float]:
    """(bands, scale) of ``boxes`` in a ``space``: about equally wide, none wider than ``room``.

    They are drawn smaller only where a single arm must be.
    """
    rails = _bands(boxes, space, room)
    tighter = room
    while tighter > room / 3:
        tighter *= 0.95
        again = _bands(boxes, space, tighter)
        if len(again) > len(rails):
            break
        if max(map(_wide, again)) <= max(map(_wide, rails)):
            rails = again
    return rails, min(1.0, room / max(map(_wide, rails)))
