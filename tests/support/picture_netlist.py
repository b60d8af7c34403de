"""Reads a circuit back from its picture, knowing nothing of how it was drawn.

Characters are taken for what they look like: a box-drawing character conducts in the
directions of its strokes; heavy boxes, pairs of plates and rows of curls are elements;
the text next to them is their name and value.  Wires join only where both neighbours
reach for each other; a stroke that reaches for nothing is an error.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

UP, RIGHT, DOWN, LEFT = (0, -1), (1, 0), (0, 1), (-1, 0)
STROKES = {
    "─": (LEFT, RIGHT),
    "│": (UP, DOWN),
    "┌": (RIGHT, DOWN),
    "┐": (LEFT, DOWN),
    "└": (UP, RIGHT),
    "┘": (UP, LEFT),
    "├": (UP, DOWN, RIGHT),
    "┤": (UP, DOWN, LEFT),
    "┬": (LEFT, RIGHT, DOWN),
    "┴": (LEFT, RIGHT, UP),
    "┼": (UP, DOWN, LEFT, RIGHT),
}
NOT_TEXT = re.compile(r"[▸─│┌┐└┘├┤┬┴┼╭╮╰╯╺╸╻╹━┏┓┗┛┃┨┠┷┯○╲╱]")


Cell = tuple[int, int]
Pin = tuple[int, int, int, int]
"""A cell, and the way that a symbol's connection reaches from it."""


class PictureError(AssertionError):
    """The picture is not a circuit."""


@dataclass
class Reader:
    """One picture being read."""

    lines: tuple[str, ...]
    compact: bool
    """Whether values stand below lying symbols, which are the smallest there are."""
    used: set[tuple[int, int]] = field(default_factory=set)
    pins: dict[Pin, str] = field(default_factory=dict)
    labels: dict[str, str] = field(default_factory=dict)

    def at(self, x: int, y: int) -> str:
        """The character in a cell, blank outside."""
        return self.lines[y][x] if 0 <= y < len(self.lines) and 0 <= x < len(self.lines[y]) else " "

    def block(self, x: int, y: int, width: int, height: int) -> None:
        """These cells belong to a symbol."""
        cells = {(x + i, y + j) for i in range(width) for j in range(height)}
        if cells & self.used:
            raise PictureError(f"two symbols overlap at {x},{y}")
        self.used |= cells

    def pin(self, x: int, y: int, way: tuple[int, int], name: str) -> None:
        """A symbol's connection in cell (x, y), reaching that way."""
        self.pins[(x, y, *way)] = name

    # --- text ------------------------------------------------------------------------

    def text_at(self, x: int, y: int) -> str:
        """The words that begin at a cell."""
        if not 0 <= y < len(self.lines):
            return ""
        line = NOT_TEXT.sub(" ", self.lines[y])
        if x and line[x - 1 : x].strip():
            raise PictureError(f"text runs into the label at {x},{y}")
        found = re.match(r"\S+(?: \S+)*", line[x:])
        return found[0] if found else ""

    def text_over(self, first: int, last: int, y: int) -> str:
        """The words in a row that stand over or under these columns."""
        if not 0 <= y < len(self.lines):
            return ""
        line = NOT_TEXT.sub(" ", self.lines[y])
        for found in re.finditer(r"\S+(?: \S+)*", line):
            if found.start() <= last and found.end() > first:
                return found[0]
        return ""

    def name_beside(self, right: int, top: int, rows: int) -> str:
        """Name (and value) of an upright symbol: at its right."""
        words = [self.text_at(right + 2, y) for y in range(top, top + rows)]
        words = [w for w in words if w]
        if not words:
            raise PictureError(f"no name beside {right},{top}")
        self.labels[words[0]] = words[1] if len(words) > 1 else ""
        return words[0]

    def name_above(self, first: int, last: int, top: int, bottom: int) -> str:
        """Name and value of a lying symbol: above it, or the value below."""
        words = self.text_over(first, last, top - 1)
        if not words:
            raise PictureError(f"no name above {first},{top}")
        name, _, value = words.partition(" ")
        if self.compact:
            value = self.text_over(first, last, bottom + 1)
            if not value[:1].isdigit() and value not in ("open", "short"):
                value = ""  # the name of the next branch
        self.labels[name] = value
        return name

    def name_left(self, x: int, y: int, end: int) -> str:
        """Name of a compact lying coil: beside its humps; its value below."""
        found = re.search(r"(?:^|\s)(\S+) $", NOT_TEXT.sub(" ", self.lines[y])[:x])
        if not found:
            raise PictureError(f"no name left of {x},{y}")
        value = self.text_over(x, end, y + 2)
        self.labels[found[1]] = value if value[:1].isdigit() else ""
        return found[1]

    # --- symbols ---------------------------------------------------------------------

    def symbols(self) -> None:
        """Find every symbol and its connections."""
        for y, line in enumerate(self.lines):
            for x, char in enumerate(line):
                if (x, y) in self.used:
                    continue
                if char == "~":
                    self.block(x - 2, y - 1, 5, 3)
                    self.pin(x, y - 1, UP, "source")
                    self.pin(x, y + 1, DOWN, "ground source")
                elif char == "○" and self.at(x + 2, y) not in "+−":
                    self.gap(x, y)
                elif char in "━┃" and self.at(x - 1, y) in STROKES and char == "━":
                    end = x
                    while self.at(end + 1, y) == "━":
                        end += 1
                    name = self.name_above(x, end, y, y)
                    self.block(x, y, end - x + 1, 1)
                    self.pin(x, y, LEFT, f"short {name}")
                    self.pin(end, y, RIGHT, f"short {name}")
                elif char == "┃":
                    name = self.name_beside(x, y, 3)
                    self.block(x, y, 1, 3)
                    self.pin(x, y, UP, f"short {name}")
                    self.pin(x, y + 2, DOWN, f"short {name}")
                elif char == "○":
                    sign = self.at(x + 2, y)
                    self.pin(x, y, LEFT, {"+": "out", "−": "ground out"}[sign])
                    self.block(x, y, 1, 1)
                elif char == "┤" and self.at(x + 1, y) == "1":
                    self.block(x, y - 1, 3, 3)
                    self.buffers += 1
                    self.pin(x, y, LEFT, f"buffer {self.buffers} in")
                    self.pin(x + 2, y, RIGHT, f"buffer {self.buffers} out")
                elif char == "┨":
                    self.lying_plates(x, y)
                elif char == "┷":
                    self.upright_plates(x, y)
                elif char == "╯" and self.at(x, y - 1) == "╭":
                    end = x
                    while self.lines[y][end + 1 : end + 2] in ("╰", "╯"):
                        end += 1
                    assert self.lines[y - 1][x : end + 1] == "╭╮" * ((end - x + 1) // 2)
                    self.block(x, y - 1, end - x + 1, 2)
                    if self.compact:
                        name = self.name_left(x, y - 1, end)
                    else:
                        name = self.name_above(x, end, y - 1, y)
                    self.pin(x, y, LEFT, name)
                    self.pin(end, y, RIGHT, name)
                elif char == "╰" and self.at(x + 1, y) == "╮":
                    turns = 2 if self.compact else 3
                    end = y + 2 * turns - 1
                    rows = [self.lines[row][x : x + 2] for row in range(y, end + 1)]
                    assert rows == ["╰╮", "╭╯"] * turns
                    self.block(x, y, 2, end - y + 1)
                    name = self.name_beside(x + 1, y, end - y + 1)
                    self.pin(x, y, UP, name)
                    self.pin(x, end, DOWN, name)

    def gap(self, x: int, y: int) -> None:
        """An open: two rings with nothing between them."""
        end = next((x + n for n in (2, 3) if self.at(x + n, y) == "○"), None)
        if end is not None:
            name = self.name_above(x, end, y, y)
            self.block(x, y, end - x + 1, 1)
            self.pin(x, y, LEFT, f"open {name} a")
            self.pin(end, y, RIGHT, f"open {name} b")
        else:
            assert self.at(x, y + 2) == "○"
            name = self.name_beside(x, y, 3)
            self.block(x, y, 1, 3)
            self.pin(x, y, UP, f"open {name} a")
            self.pin(x, y + 2, DOWN, f"open {name} b")

    buffers = 0

    def lying_plates(self, x: int, y: int) -> None:
        """A capacitor's or a resistor's left side."""
        end = x + 1
        while self.at(end, y) == " ":
            end += 1
        assert self.at(end, y) == "┠", f"no right side at {end},{y}"
        if self.at(x, y - 1) in "┏╻":
            self.block(x, y - 1, end - x + 1, 3)
            name = self.name_above(x, end, y - 1, y + 1)
        else:
            self.block(x, y, end - x + 1, 1)
            name = self.name_above(x, end, y, y)
        kind = "C" if end == x + 1 else "R"
        assert name[0] == kind, f"{name} does not look like one"
        self.pin(x, y, LEFT, name)
        self.pin(end, y, RIGHT, name)

    def upright_plates(self, x: int, y: int) -> None:
        """A capacitor, a resistor or the ground symbol from above."""
        if self.at(x - 1, y) == "┏":
            end = y + 1
            while self.at(x, end) == " " and self.at(x - 1, end) == "┃":
                end += 1
            assert self.lines[end][x - 1 : x + 2] == "┗┯┛"
            self.block(x - 1, y, 3, end - y + 1)
            name = self.name_beside(x + 1, y, end - y + 1)
            kind = "R"
        elif self.at(x, y + 1) == "┯":
            reach = 2 if self.at(x + 2, y) == "╸" else 1
            end = y + 1
            self.block(x - reach, y, 2 * reach + 1, 2)
            name = self.name_beside(x + reach, y, 2)
            kind = "C"
        else:
            wide = self.at(x + 2, y) == "━"
            self.block(x - 1 - wide, y, 3 + 2 * wide, 1)
            self.pin(x, y, UP, "ground")
            return
        assert name[0] == kind, f"{name} does not look like one"
        self.pin(x, y, UP, name)
        self.pin(x, end, DOWN, name)

    # --- nets ------------------------------------------------------------------------

    def nets(self) -> list[tuple[str, ...]]:
        """What is joined by wires: the sorted names of each net's connections."""
        ways: dict[Cell, tuple[Cell, ...]] = {}
        for y, line in enumerate(self.lines):
            for x, char in enumerate(line):
                if char in STROKES and (x, y) not in self.used:
                    ways[x, y] = STROKES[char]
        links: dict[Cell | Pin, list[Cell | Pin]] = {cell: [] for cell in ways}
        links |= {pin: [] for pin in self.pins}
        starts: list[tuple[Cell | Pin, Pin]] = [(pin, pin) for pin in self.pins]
        starts += [((x, y), (x, y, *way)) for (x, y), all_ways in ways.items() for way in all_ways]
        for here, (x, y, dx, dy) in starts:
            cell = (x + dx, y + dy)
            if (pin := (*cell, -dx, -dy)) in self.pins:
                links[here].append(pin)
            elif (-dx, -dy) in ways.get(cell, ()):
                links[here].append(cell)
            else:
                raise PictureError(f"a wire at {x},{y} leads nowhere")
        nets: list[tuple[str, ...]] = []
        left = set(links)
        while left:
            found, ahead = set[Cell | Pin](), [left.pop()]
            while ahead:
                place = ahead.pop()
                found.add(place)
                for other in links[place]:
                    if other in left:
                        left.remove(other)
                        ahead.append(other)
            if not (pins := found & self.pins.keys()):
                raise PictureError("a wire that connects nothing")
            nets.append(tuple(sorted(self.pins[pin] for pin in pins)))
        return sorted(nets)


def read_picture(
    lines: tuple[str, ...], compact: bool = False
) -> tuple[list[tuple[str, ...]], dict[str, str]]:
    """(nets, value text of each name) of a drawn circuit."""
    reader = Reader(lines, compact)
    reader.symbols()
    return reader.nets(), reader.labels


# --- plain ASCII -------------------------------------------------------------------------

_ARMS = {UP: "|+", DOWN: "|+", LEFT: "-+", RIGHT: "-+"}
_BOXES = {frozenset(ways): char for char, ways in STROKES.items()}


def read_plain_picture(
    lines: tuple[str, ...], names: dict[str, str], compact: bool
) -> list[tuple[str, ...]]:
    """The nets of a circuit drawn in ASCII, where names and values are known.

    A "+" joins whatever around it reaches for it.
    """
    cells = [list(line) for line in lines]
    places: dict[str, tuple[int, int]] = {}
    for name, value in names.items():
        for text in (name, value):
            pattern = re.compile(rf"(?<![A-Za-z0-9_.]){re.escape(text)}(?![A-Za-z0-9_.])")
            for y, line in enumerate(lines):
                for found in pattern.finditer(line) if text else ():
                    if text == name:
                        places[name] = (found.start(), y)
                    cells[y][found.start() : found.end()] = "." * len(text)
    reader = Reader(tuple("".join(row) for row in cells), compact)
    _plain_symbols(reader, places)
    boxed = [[" "] * len(line) for line in lines]
    for y, line in enumerate(reader.lines):
        for x, char in enumerate(line):
            if (x, y) in reader.used or char not in "-|+":
                continue
            ways = {"-": {LEFT, RIGHT}, "|": {UP, DOWN}}.get(char) or {
                way
                for way in (UP, RIGHT, DOWN, LEFT)
                if (x + way[0], y + way[1], -way[0], -way[1]) in reader.pins
                or (
                    (x + way[0], y + way[1]) not in reader.used
                    and reader.at(x + way[0], y + way[1]) in _ARMS[way]
                )
            }
            if frozenset(ways) not in _BOXES:
                raise PictureError(f"a loose end at {x},{y}")
            boxed[y][x] = _BOXES[frozenset(ways)]
    reader.lines = tuple("".join(row) for row in boxed)
    return reader.nets()


def _plain_symbols(reader: Reader, places: dict[str, tuple[int, int]]) -> None:
    """Symbols of the ASCII set, named by the label beside or above them."""
    at = {place: name for name, place in places.items()}

    def upright(x: int, y: int, reach: int, rows: int, bulge: int = 0) -> None:
        right = x + reach + bulge + 2
        beside = [at[right, y + n] for n in range(rows) if (right, y + n) in at]
        if len(beside) != 1:
            raise PictureError(f"no single name beside {x},{y}")
        reader.block(x - reach, y, 2 * reach + 1 + bulge, rows)
        reader.pin(x, y, UP, beside[0])
        reader.pin(x, y + rows - 1, DOWN, beside[0])

    def lying(x: int, y: int, width: int, high: int) -> None:
        over = [
            name
            for name, (left, row) in places.items()
            if row == y - high - 1 and left < x + width and left + len(name) > x - 12
        ]
        nearest = min(over, key=lambda name: abs(places[name][0] - x))
        reader.block(x, y - high, width, 2 * high + 1)
        reader.pin(x, y, LEFT, nearest)
        reader.pin(x + width - 1, y, RIGHT, nearest)

    def coil(x: int, y: int, width: int) -> None:
        """Arches on the wire below them; the name stands at their left, or above."""
        left = [name for name, (col, row) in places.items() if (col + len(name) + 1, row) == (x, y)]
        if not left:
            lying(x, y + 1, width, 1)
            return
        reader.block(x, y, width, 2)
        reader.pin(x, y + 1, LEFT, left[0])
        reader.pin(x + width - 1, y + 1, RIGHT, left[0])

    def ground(x: int, y: int, reach: int) -> None:
        reader.block(x, y, 2 * reach + 1, reach)
        reader.pin(x + reach, y, UP, "ground")

    wide = 4 if reader.compact else 6
    foot = 1 if reader.compact else 2
    for y, line in enumerate(reader.lines):
        for x, char in enumerate(line):
            if char not in "~o|.'=+" or (x, y) in reader.used:
                continue
            rest = line[x:]
            if char == "~":
                reader.block(x - 2, y - 1, 5, 3)
                reader.pin(x, y - 1, UP, "source")
                reader.pin(x, y + 1, DOWN, "ground source")
            elif re.match(r"o [+-]", rest) and reader.at(x - 1, y) == "-":
                reader.block(x, y, 3, 1)
                reader.pin(x, y, LEFT, "out" if rest[2] == "+" else "ground out")
            elif rest.startswith("|1>"):
                reader.buffers += 1
                reader.block(x, y - 1, 3, 3)
                reader.pin(x, y, LEFT, f"buffer {reader.buffers} in")
                reader.pin(x + 2, y, RIGHT, f"buffer {reader.buffers} out")
            elif (arches := re.match(r"(?:\.-\.){2,}", rest)) and reader.at(x, y + 1) == "'":
                coil(x, y, len(arches[0]))
            elif rest.startswith("'-.") and reader.at(x, y + 1) == ".":
                upright(x, y, 0, 4 if reader.compact else 6, 2)
            elif rest.startswith("=====") and reader.at(x, y + 1) == "=":
                upright(x + 2, y, 2, 2) if reader.at(x + 4, y + 1) == "=" else ground(x, y, foot)
            elif rest.startswith("=" * (2 * foot + 1)):
                ground(x, y, foot)
            elif rest.startswith("||"):
                lying(x, y + 1, 2, 1)
            elif (
                rest.startswith(f"+{'-' * (wide - 2)}+")
                and reader.at(x, y + 1) + reader.at(x + 1, y + 1) == "| "
                and reader.at(x + wide - 1, y + 1) == "|"
                and reader.at(x - 1, y + 1) == "-"
            ):
                lying(x, y + 1, wide, 1)
            elif rest.startswith("+-+") and _is_box(reader, x, y):
                upright(x + 1, y, 1, 3 if reader.compact else 4)


def _is_box(reader: Reader, x: int, y: int) -> bool:
    """Whether an upright resistor's box begins here."""
    rows = 3 if reader.compact else 4
    inner = [reader.lines[y + n][x : x + 3] for n in range(1, rows) if y + n < len(reader.lines)]
    return inner == ["| |"] * (rows - 2) + ["+-+"]
