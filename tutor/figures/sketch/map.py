"""The s-plane on which poles and zeros are placed by region.

The left half and the jω axis are divided into four regions, the right half is a fifth; roots in
them have no scale.
The selected region stands in corners and its name in reverse; the right roots, where they
differ, stand in brackets.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from ....problems.sketches.model import MapSketch, Region
from ...drafting.map import PAIRED, PlacedRoot, counts
from ...language.texts import fill
from ..canvas.paper import AXIS, GRID, LABEL, ChartPaper, PlottedPicture, blank
from ..canvas.picture import Span
from ..splane import POLE, ZERO, plane_legend
from .line import HAND, HELD, RIGHT, verdict_sign

ZONE = "zone"
SMALLEST = (40, 6)


@dataclass(frozen=True)
class RegionBox:
    """Where a region lies in the picture: first and last column and row."""

    left: int
    right: int
    top: int
    bottom: int

    def holds(self, col: int, row: int) -> bool:
        """Whether cell (``col``, ``row``) lies in it."""
        return self.left <= col <= self.right and self.top <= row <= self.bottom


def boxes(width: int, height: int) -> dict[Region, RegionBox]:
    """The regions of a plane of ``width`` by ``height`` cells."""
    start, wide = _across(width, height)
    zero, middle = _axes(width, height)
    near = 9 if wide >= 60 else 6
    near = max(near, min(wide // 10, height // 2))
    left = start + 1
    thick = 0 if height < 9 else 1 if height < 16 else 2 if height < 28 else 3
    return {
        Region.PAIR: RegionBox(left, zero - near - 1, 1, middle - thick - 1),
        Region.AXIS: RegionBox(zero - near + 1, zero + near - 1, 1, middle - thick - 1),
        Region.REAL: RegionBox(left, zero - near - 1, middle - thick, middle + thick),
        Region.ORIGIN: RegionBox(zero - near + 1, zero + near - 1, middle - thick, middle + thick),
        Region.RIGHT: RegionBox(zero + near + 1, start + wide - 1, 1, 2 * middle - 1),
    }


def _across(width: int, height: int) -> tuple[int, int]:
    """First column and number of columns: a plane is not drawn out of all proportion."""
    wide = min(width, 70 + 2 * height)
    return (width - wide) // 2, wide


def _axes(width: int, height: int) -> tuple[int, int]:
    """Column of the jω axis, row of the σ axis."""
    start, wide = _across(width, height)
    return start + wide * 5 // 8, height // 2


def draw(
    sketch: MapSketch,
    width: int,
    height: int,
    *,
    held: Region | None = None,
    title: str = "",
    right: MapSketch | None = None,
    marks: Mapping[str, bool] = MappingProxyType({}),
    ascii: bool = False,  # noqa: A002 - the everyday word for it
) -> PlottedPicture:
    """A map by regions.

    Args:
        sketch: what the learner has placed.
        width: columns of the whole picture.
        height: rows of the whole picture.
        held: the selected region, if the map is in hand.
        title: what the first row says; with a right map, its place is the legend's.
        right: the right map, to be drawn on top.
        marks: which regions are right and which wrong, by their names.
        ascii: use plain ASCII characters only.
    """
    if width < SMALLEST[0] or height < SMALLEST[1]:
        return PlottedPicture(blank(width, height))
    return _Drawer(sketch, width, height, ascii, held, title, right, marks).chart()


@dataclass
class _Drawer:
    """Draws one map."""

    sketch: MapSketch
    width: int
    height: int
    ascii: bool
    held: Region | None
    title: str
    right: MapSketch | None
    marks: Mapping[str, bool]
    zones: list[RegionBox] = field(default_factory=list)

    def chart(self) -> PlottedPicture:
        """Axes, regions, roots, title."""
        self.zero, self.middle = _axes(self.width, self.height)
        self.boxes = boxes(self.width, self.height)
        self.canvas = ChartPaper(self.width, self.height, self.ascii)
        self._axis_lines()
        for region, box in self.boxes.items():
            self._region(region, box)
            self._roots(region, box)
        self._head()
        spans = (*self.canvas.spans, *self._ground())
        return PlottedPicture(self.canvas.lines, spans, (0, 1, self.width, self.height - 1))

    def _ground(self) -> Iterator[Span]:
        """The ground of the selected region; it lies under what is drawn there."""
        for zone in self.zones:
            for row in range(max(1, zone.top), min(self.height - 1, zone.bottom) + 1):
                start = zone.left
                for col in range(zone.left, min(zone.right, self.width - 1) + 2):
                    ends = col > min(zone.right, self.width - 1)
                    if ends or self.canvas.roles[row][col] == HELD:
                        if col > start:
                            yield Span(row, start, col - start, ZONE)
                        start = col + 1

    def _put(self, col: int, row: int, text: str, role: str) -> None:
        self.canvas.put(col, row, text, role, solid=role == HELD)

    def _axis_lines(self) -> None:
        sigma = self.canvas.either("σ", "re")
        start, wide = _across(self.width, self.height)
        self._put(start, self.middle, "─" * wide, AXIS)
        for row in range(1, self.height):
            self._put(self.zero, row, "│", AXIS)
        self._put(self.zero, self.middle, "┼", AXIS)
        self._put(start + wide - len(sigma), self.middle - 1, sigma, LABEL)

    def _region(self, region: Region, box: RegionBox) -> None:
        """The edges of a region and its name; thick corners and reverse where it is selected."""
        held = region is self.held
        row = box.top
        mirrored = RegionBox(
            box.left, box.right, 2 * self.middle - box.bottom, 2 * self.middle - box.top
        )
        zones = (box,) if box == mirrored else (box, mirrored)
        if held:
            self.zones += zones
        shape, role = ("┏┓┗┛", HAND) if held else ("┌┐└┘", GRID)
        for zone in zones:
            corners = [(c, r) for r in (zone.top, zone.bottom) for c in (zone.left, zone.right)]
            for (col, r), sign in zip(corners, shape, strict=True):
                self._put(col, r, sign, role)
        key = f"region.{region.value}" + ("-short" if self.height < 9 else "")
        name = self.canvas.words(fill("sketch", key))
        text = f" ▸ {name} " if held else f" {name} "
        room = box.right - box.left - 1
        col = box.left + 1
        if region is Region.ORIGIN and box.top == box.bottom:
            col, room = self.zero + 4, len(text)
        text = text if len(text) <= room else text.strip()[:room]
        self._put(col, row, text, HELD if held else LABEL)
        verdict = self.marks.get(region.value)
        if verdict is not None:
            sign, role = verdict_sign(self.canvas, verdict)
            self._put(col + len(text), row, f"{sign} ", role)

    def _tokens(self, region: Region, slots: int) -> list[tuple[str, str]]:
        """(sign, role) of what stands in a region, each root or pair by itself if they fit."""
        mine = counts(self.sketch)
        right = counts(self.right) if self.right is not None else {}
        sets = [(mine, False)]
        if self.right is not None and any(
            mine.get((region, root), 0) != right.get((region, root), 0) for root in PlacedRoot
        ):
            sets.append((right, True))
        each = 2 if region in PAIRED else 1
        groups = [
            (root, found.get((region, root), 0) // each, bracketed)
            for found, bracketed in sets
            for root in (PlacedRoot.ZERO, PlacedRoot.POLE)
        ]
        groups = [group for group in groups if group[1]]
        apart = region is not Region.ORIGIN and sum(n for _, n, _ in groups) <= slots
        tokens: list[tuple[str, str]] = []
        for root, number, bracketed in groups:
            sign = "×" if root is PlacedRoot.POLE else "○"
            role = RIGHT if bracketed else POLE if root is PlacedRoot.POLE else ZERO
            for _ in range(number if apart else 1):
                text = sign if apart or number == 1 else f"{sign}{number}"
                tokens.append((f"({text})" if bracketed else text, role))
        if len(sets) > 1 and not any(bracketed for _, _, bracketed in groups):
            tokens.append(("(–)", RIGHT))
        return tokens

    def _roots(self, region: Region, box: RegionBox) -> None:
        zero, middle = self.zero, self.middle
        match region:
            case Region.AXIS:
                room = box.bottom - box.top
                tokens = self._tokens(region, room)
                if len(tokens) > room:  # side by side
                    col, row = zero, box.bottom
                    for text, role in tokens:
                        for r in (row, 2 * middle - row):
                            self._put(col, r, text, role)
                        col += len(text) + 1
                    return
                step = max(1, min(3, room // max(1, len(tokens))))
                first = (box.top + 1 + box.bottom + step * (len(tokens) - 1)) // 2
                for n, (text, role) in enumerate(tokens):
                    row = min(first, box.bottom) - n * step
                    for r in (row, 2 * middle - row):
                        self._put(zero - (len(text) - 1) // 2, r, text, role)
            case Region.ORIGIN:
                tokens = self._tokens(region, 1)
                if len(tokens) == 2 and not any(role == RIGHT for _, role in tokens):
                    # A pole on a zero: they would cancel, but they may be drawn.
                    tokens = [("⊗", POLE)]
                # Where the name stands on the axis, to its left.
                pitch = 5 if box.bottom > box.top else -5
                for n, (text, role) in enumerate(tokens):
                    self._put(zero + n * pitch, middle, text, role)
            case _:
                flat = box.bottom == box.top  # the name stands before the roots
                left = box.left + 12 if flat else box.left
                slots = max(1, (box.right - left - 5) // 6)
                tokens = self._tokens(region, slots)
                row = middle
                if region is Region.PAIR:
                    row = max((box.top + box.bottom + 1) // 2, box.top + 1)
                pitch = 6 if len(tokens) <= slots and not flat else 5
                col = (left + box.right) // 2 + (len(tokens) - 1) * pitch // 2
                for text, role in tokens:
                    for r in {row, 2 * middle - row}:
                        self._put(col - (len(text) - 1) // 2, r, text, role)
                    col -= pitch

    def _head(self) -> None:
        col = self.canvas.legend(0, 0, plane_legend())
        if self.right is not None:
            self.canvas.legend(col, 0, [("(×) (○)", RIGHT, fill("sketch", "legend.right"))])
        else:
            self.canvas.put(col, 0, self.canvas.words(self.title), LABEL)
