"""Circuits as vector drawings for paper."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import replace

from ....problems.circuits.gaps import BOX, UNKNOWN, write_unvalued
from ....problems.circuits.model import CircuitError, Ladder, valueless
from ....problems.quantities.units import QuantityError
from ....problems.sheets.model import Symbols
from ...language.texts import fill
from .schematic_layout import (
    AIRY,
    SMALL,
    TIGHT,
    Item,
    PaperLabel,
    PaperLayout,
    PaperPart,
    PaperWire,
    Sign,
    moved,
    value_box,
)
from .schematic_rails import PaperRail, fold, whole
from .schematic_symbols import BLANK, RADIUS, TRIANGLE, body, path
from .svg import MARGIN, TEXT_WIDTH, Pen, Rect, VectorDrawing, number, upright

WIRE, BODY = 0.75, 1.1
"""Widths of lines, in points."""
DOT = 1.55
TERMINAL = 2.0
SMALLEST = 0.84
"""A circuit is drawn in two bands rather than smaller than this."""
PAGE = 640.0
"""Points that a circuit may be high."""
BANDS = 16.0
"""Points between two bands."""
DASHES = "2.6 2"


def schematic(
    ladder: Ladder,
    symbols: Symbols = Symbols.IEEE,
    *,
    blank: Collection[str] = (),
    values: bool = True,
    room: float = TEXT_WIDTH,
    small: bool = False,
) -> VectorDrawing:
    """Draw a ladder.

    Args:
        ladder: any circuit, with or without values; an arm left out (`blank.BOX`) is a dashed
            box with a question mark.
        symbols: which standard's symbols.
        blank: names of elements whose values are asked for: dashed boxes with question marks.
        values: whether values are written at all.
        room: points that it may be wide; a circuit that is wider is drawn a little smaller, or
            in bands one below the other.
        small: whether it is drawn with as little air as it can be, in one band, however wide.
    """
    layout = PaperLayout(frozenset(blank), values, SMALL if small else AIRY)
    if small:
        rails, scale = [whole(layout.boxes(ladder), SMALL)[0]], 1.0
    else:
        rails, scale = _rails(ladder, layout, room - 2 * MARGIN)
    items: list[Item] = []
    low = 0.0
    for n, rail in enumerate(rails):
        area = rail.bounds
        shift = low + BANDS - area.top if n else 0.0
        items += moved(rail.items, rails[0].bounds.left - area.left, shift)
        low = area.bottom + shift
    top = rails[0].bounds.top
    pen = Pen()
    _draw(items, symbols, pen)
    names = tuple(item.name for item in items if isinstance(item, PaperPart))
    scale = min(scale, PAGE / (low - top))
    title = fill("paper_figures", "schematic.title")
    return pen.drawing(title, _alt(ladder, blank, values), names, scale=scale)


def _rails(ladder: Ladder, layout: PaperLayout, room: float) -> tuple[list[PaperRail], float]:
    """(bands, scale): first with much air, then with little, then smaller, then folded."""
    one, wide = whole(layout.boxes(ladder), AIRY)
    if wide <= room:
        return [one], 1.0
    boxes = replace(layout, space=TIGHT).boxes(ladder)
    one, wide = whole(boxes, TIGHT)
    if wide * SMALLEST <= room:
        return [one], min(1.0, room / wide)
    return fold(boxes, TIGHT, room)


def _alt(ladder: Ladder, blank: Collection[str], values: bool) -> str:
    """The circuit in words: its text from source to output."""
    shown = ladder if values else valueless(ladder)
    try:
        text = write_unvalued(shown, blank, "; ")
    except (QuantityError, CircuitError):
        text = ", ".join(e.name for e in ladder.elements())
    said = [fill("paper_figures", "schematic.alt", [("circuit", text.replace(BOX.name, UNKNOWN))])]
    if BOX in ladder.elements():
        said.append(fill("paper_figures", "schematic.arm"))
    if blank:
        said.append(fill("paper_figures", "schematic.values"))
    return " ".join(said)


def _draw(items: Iterable[Item], symbols: Symbols, pen: Pen) -> None:
    items = list(items)
    wires = _joined(item for item in items if isinstance(item, PaperWire))
    data = "".join(
        f"M{number(w.x)} {number(w.y)}"
        + (f"H{number(w.x2)}" if w.y == w.y2 else f"V{number(w.y2)}")
        for w in wires
    )
    with pen.group(data_role="wires", stroke_width=WIRE):
        pen.path(data, [rect for wire in wires for rect in wire.ink])
    with pen.group(fill="#000", stroke="none"):
        for x, y in _joints(wires):
            pen.circle(x, y, DOT)
    for item in items:
        match item:
            case Sign():
                _sign(item, symbols, pen)
            case PaperLabel(label, x, y, anchor):
                pen.text(x, y, label, anchor=anchor)
            case PaperPart():
                _part(item, symbols, pen)


def _part(part: PaperPart, symbols: Symbols, pen: Pen) -> None:
    kind = part.kind.value if part.kind else UNKNOWN
    with pen.group(data_part=part.name, data_kind=kind, stroke_width=BODY):
        if part.kind is not None:
            pen.path(path(body(part.kind, symbols), part.x, part.y, part.down), part.ink)
        else:
            long, half = BLANK[0], BLANK[1] / 2
            area = (
                Rect(part.x - half, part.y, part.x + half, part.y + long)
                if part.down
                else Rect(part.x, part.y - half, part.x + long, part.y + half)
            )
            pen.rect(area, stroke_dasharray=DASHES, stroke_width=0.9)
        for words in part.words:
            pen.text(words.x, words.y, words.label, anchor=words.anchor)
        if part.asked is not None:
            pen.rect(value_box(part.asked), stroke_dasharray=DASHES, stroke_width=0.6)


def _sign(sign: Sign, symbols: Symbols, pen: Pen) -> None:
    x, y = sign.x, sign.y
    match sign.what:
        case "source":
            with pen.group(data_role="source", stroke_width=BODY):
                pen.circle(x, y, RADIUS)
                if symbols is Symbols.IEC:
                    pen.line((x, y - RADIUS), (x, y + RADIUS))
                else:
                    n = number
                    wave = "q3 -9.2 6 0t6 0"
                    pen.path(f"M{n(x - 6)} {n(y)}{wave}", sign.ink)
        case "buffer":
            corners = ((x, y - TRIANGLE / 2), (x + TRIANGLE, y), (x, y + TRIANGLE / 2))
            with pen.group(data_role="buffer", stroke_width=BODY):
                pen.line(*corners, corners[0])
        case "earth":
            bars = "".join(
                f"M{number(x - half)} {number(y + drop)}H{number(x + half)}"
                for half, drop in ((6.5, 0.0), (4.2, 2.6), (1.9, 5.2))
            )
            with pen.group(data_role="earth"):
                pen.path(bars, sign.ink, stroke_width=BODY)
        case "ring":
            with pen.group(data_role="ring"):
                pen.circle(x, y, 5.0, stroke_width=0.6)
                pen.text(x, y + 2.1, upright(sign.letter), size=7.5, anchor="middle")
        case _:
            with pen.group(data_role="terminal"):
                pen.circle(x, y, TERMINAL, stroke_width=0.9)


def _round(value: float) -> float:
    return float(number(value))


def _joined(wires: Iterable[PaperWire]) -> list[PaperWire]:
    """Wires that lie in one line and touch, as one."""
    level: dict[float, list[tuple[float, float]]] = defaultdict(list)
    upright_: dict[float, list[tuple[float, float]]] = defaultdict(list)
    for wire in wires:
        x, y, x2, y2 = map(_round, (wire.x, wire.y, wire.x2, wire.y2))
        if y == y2 and x != x2:
            level[y].append((min(x, x2), max(x, x2)))
        elif y != y2:
            upright_[x].append((min(y, y2), max(y, y2)))
    found = [PaperWire(a, y, b, y) for y, spans in sorted(level.items()) for a, b in _spans(spans)]
    found += [
        PaperWire(x, a, x, b) for x, spans in sorted(upright_.items()) for a, b in _spans(spans)
    ]
    return found


def _spans(spans: list[tuple[float, float]]) -> list[tuple[float, float]]:
    found: list[tuple[float, float]] = []
    for start, end in sorted(spans):
        if found and start <= found[-1][1]:
            found[-1] = (found[-1][0], max(end, found[-1][1]))
        else:
            found.append((start, end))
    return found


def _joints(wires: list[PaperWire]) -> list[tuple[float, float]]:
    """Where three wires or more meet; none ever cross without meeting."""
    places = {(w.x, w.y) for w in wires} | {(w.x2, w.y2) for w in wires}
    level = [w for w in wires if w.y == w.y2]
    for down in (w for w in wires if w.x == w.x2):
        places |= {(down.x, w.y) for w in level if w.x < down.x < w.x2 and down.y < w.y < down.y2}
    found = []
    for x, y in sorted(places):
        arms = 0
        for w in wires:
            if w.y == w.y2 == y and w.x <= x <= w.x2:
                arms += 2 - (x in (w.x, w.x2))
            elif w.x == w.x2 == x and w.y <= y <= w.y2:
                arms += 2 - (y in (w.y, w.y2))
        if arms >= 3:
            found.append((x, y))
    return found
