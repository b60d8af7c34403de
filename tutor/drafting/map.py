"""A map of poles and zeros while it is being put together, region by region.

No screen in here, and nothing about what is right.  `Board` holds the map being worked on,
the region that is selected, and the way back.
"""

from __future__ import annotations

from enum import StrEnum

from ...problems.sketches.model import MapSketch, Region, map_sketch
from .undo import Undo

MOST = 8
"""Poles, or zeros, in one region: more than any circuit that is asked about has."""
PAIRED = (Region.AXIS, Region.PAIR)

# The regions as they lie on the plane, so that the arrow keys lead where they point.
_ROWS = (
    (Region.PAIR, Region.AXIS, Region.RIGHT),
    (Region.REAL, Region.ORIGIN, Region.RIGHT),
)
_FROM = tuple(reversed(tuple(enumerate(_ROWS))))
_ROUND = tuple(dict.fromkeys((*_ROWS[1], *reversed(_ROWS[0]))))


class PlacedRoot(StrEnum):
    """What is placed."""

    POLE = "pole"
    ZERO = "zero"


def counts(sketch: MapSketch) -> dict[tuple[Region, PlacedRoot], int]:
    """How many roots of each kind lie in each region, a pair being two."""
    found = {(region, PlacedRoot.POLE): count for region, count in sketch.poles}
    found |= {(region, PlacedRoot.ZERO): count for region, count in sketch.zeros}
    return found


class MapDraft:
    """A map being worked on; every method that changes something says whether it could."""

    def __init__(self) -> None:
        self.map = MapSketch()
        self.held = Region.REAL
        self.touched = False
        self._last = PlacedRoot.POLE
        self.changes = Undo[MapSketch]()

    def count(self, region: Region, root: PlacedRoot) -> int:
        """How many of a kind of ``root`` lie in a ``region``; a pair is two."""
        return counts(self.map).get((region, root), 0)

    # What is selected

    def hold(self, region: Region) -> bool:
        """Select a region."""
        changed, self.held = region is not self.held, region
        return changed

    def go(self, across: int, down: int) -> bool:
        """Go so many regions ``across`` and ``down``, if there is one."""
        # The lower row first: the right half-plane, which spans both, is left along the σ axis.
        row, column = next((r, line.index(self.held)) for r, line in _FROM if self.held in line)
        row, column = row + down, column + across
        there = 0 <= row < len(_ROWS) and 0 <= column < len(_ROWS[row])
        return there and self.hold(_ROWS[row][column])

    def next(self, way: int = 1) -> bool:
        """Select the next region, round and round."""
        return self.hold(_ROUND[(_ROUND.index(self.held) + way) % len(_ROUND)])

    # Changes

    def _change(self, new: MapSketch) -> bool:
        self.touched = True
        if new == self.map:
            return False
        self.changes.note(self.map)
        self.map = new
        return True

    def put(self, root: PlacedRoot, by: int = 1) -> bool:
        """Place a ``root`` (of pairs, two) in the selected region; with ``by`` −1 take it away."""
        found = counts(self.map)
        key = (self.held, root)
        found[key] = found.get(key, 0) + by * (2 if self.held in PAIRED else 1)
        if not 0 <= found[key] <= MOST:
            return False
        self._last = root
        return self._change(_map(found))

    def remove(self) -> bool:
        """Take away what was placed last in the selected region."""
        other = PlacedRoot.ZERO if self._last is PlacedRoot.POLE else PlacedRoot.POLE
        kept = self._last
        done = self.put(self._last, -1) or self.put(other, -1)
        self._last = kept
        return done

    def clear(self) -> bool:
        """Begin again with an empty plane."""
        return self._change(MapSketch())

    def restore(self, sketch: MapSketch, held: Region, undoable: bool = False) -> None:
        """Put a ``sketch`` made earlier on the board, a region ``held``, ``undoable`` or not."""
        self.held = held
        if undoable:
            self._change(sketch)
            return
        self.map, self.touched = sketch, True
        self.changes.forget()

    # The way back

    def undo(self) -> bool:
        """Take the last change back."""
        return self._go(self.changes.undo(self.map))

    def redo(self) -> bool:
        """Make it again."""
        return self._go(self.changes.redo(self.map))

    def _go(self, found: MapSketch | None) -> bool:
        if found is not None:
            self.map = found
        return found is not None


def _map(found: dict[tuple[Region, PlacedRoot], int]) -> MapSketch:
    of = {
        root: [(region, count) for (region, kind), count in found.items() if kind is root]
        for root in PlacedRoot
    }
    return map_sketch(of[PlacedRoot.POLE], of[PlacedRoot.ZERO])
