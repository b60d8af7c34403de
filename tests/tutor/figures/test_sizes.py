"""Circuits as large as their room: the same circuit, the same signs, whatever the size."""

from __future__ import annotations

import random
from collections.abc import Sequence

import pytest
from rungwise.problems.analysis.arms import End
from rungwise.problems.circuits.model import Element, Kind, Ladder, Place, Stage, valueless
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.look import make_look
from rungwise.tutor.figures.schematic.draw import Schematic
from rungwise.tutor.figures.schematic.layout import Layout
from rungwise.tutor.figures.schematic.parts import (
    CAPACITOR,
    INDUCTOR,
    RESISTOR,
    Primitive,
    Symbol,
    TextPart,
    Wire,
)
from rungwise.tutor.figures.schematic.sizes import LARGE, SMALL, SymbolSet, sized

from .test_schematic import ladder_nets, random_ladder

SIZES = range(SMALL, LARGE + 1)
BOTH = pytest.mark.parametrize("plain", [False, True], ids=["unicode", "ascii"])


# The same signs


@BOTH
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("upright", [False, True], ids=["lying", "standing"])
def test_every_kind_is_the_same_sign_at_every_size(size: int, upright: bool, plain: bool) -> None:
    symbols = sized(size, plain)
    box = symbols.shapes[RESISTOR, upright].rows
    assert len(box) >= 3
    assert all(set(row[1:-1]) == {" "} for row in box[1:-1])  # hollow
    assert " " not in box[0] + box[-1] and all(row[0] != " " != row[-1] for row in box)
    coil = symbols.shapes[INDUCTOR, upright].rows
    assert _bumps(coil, upright) >= 2
    plates = symbols.shapes[CAPACITOR, upright].rows
    if upright:
        full = [row for row in plates if row.strip()]
        assert len(full) == 2 and len(plates[0]) >= 3
    else:
        assert all(len(row.strip()) >= 2 and row[0] != " " != row[-1] for row in plates)
        assert all(not row[1:-1].strip() for row in plates)


def _bumps(rows: Sequence[str], upright: bool) -> int:
    """How many equal half-circles a coil is made of."""
    along = list(rows) if upright else ["".join(column) for column in zip(*rows, strict=True)]
    count = len(along)
    return max(
        n for n in range(1, count + 1) if count % n == 0 and along == along[: count // n] * n
    )


@BOTH
def test_every_sign_is_larger_than_the_one_before(plain: bool) -> None:
    for kind in (RESISTOR, INDUCTOR, CAPACITOR):
        for upright in (False, True):
            cells = [
                glyphs.width * glyphs.height
                for glyphs in (sized(size, plain).shapes[kind, upright] for size in SIZES)
            ]
            assert cells == sorted(cells) and cells[-1] > 3 * cells[0]


def test_there_is_no_other_size() -> None:
    for size in (SMALL - 1, LARGE + 1):
        with pytest.raises(IndexError):
            sized(size)


# The same circuit


def picture_nets(items: Sequence[Primitive], symbols: SymbolSet) -> list[tuple[str, ...]]:
    """What is connected, by the cells that wires and the pins of symbols share."""
    parent: dict[tuple[int, int], tuple[int, int]] = {}

    def find(cell: tuple[int, int]) -> tuple[int, int]:
        parent.setdefault(cell, cell)
        while parent[cell] != cell:
            cell = parent[cell]
        return cell

    for item in items:
        if isinstance(item, Wire):
            (x, x2), (y, y2) = sorted((item.x, item.x2)), sorted((item.y, item.y2))
            cells = [(col, row) for col in range(x, x2 + 1) for row in range(y, y2 + 1)]
            for cell in cells:
                parent[find(cell)] = find(cells[0])
    nets: dict[tuple[int, int], list[str]] = {}
    buffers, ends = 0, iter(("out", "ground out"))
    for item in items:
        if not isinstance(item, Symbol) or item.shape == "ground":
            continue
        glyphs = symbols.shapes[item.shape, item.upright]
        first = (item.x, item.y)
        last = (
            (item.x, item.y + glyphs.height - 1)
            if item.upright
            else (
                item.x + glyphs.width - 1,
                item.y,
            )
        )
        if item.shape == "terminal":
            nets.setdefault(find(first), []).append(next(ends))
            continue
        names = (item.name, item.name)
        if item.shape == "source":
            names = ("source", "ground source")
        elif item.shape == "buffer":
            buffers += 1
            names = (f"buffer {buffers} in", f"buffer {buffers} out")
        nets.setdefault(find(first), []).append(names[0])
        nets.setdefault(find(last), []).append(names[1])
    return sorted(tuple(sorted(found)) for found in nets.values())


def with_ground(nets: list[tuple[str, ...]]) -> list[tuple[str, ...]]:
    """The reference has a pin for the ground itself."""
    return sorted(tuple(sorted(pin for pin in net if pin != "ground")) for net in nets)


def assert_nothing_overlaps(items: Sequence[Primitive], symbols: SymbolSet) -> None:
    taken: set[tuple[int, int]] = set()
    pins: set[tuple[int, int]] = set()
    for item in items:
        cells: list[tuple[int, int]] = []
        if isinstance(item, Symbol):
            glyphs = symbols.shapes[item.shape, item.upright]
            cells = [
                (item.x - glyphs.x + col, item.y - glyphs.y + row)
                for row in range(glyphs.height)
                for col in range(glyphs.width)
            ]
            pins |= {(item.x, item.y), (item.x, item.y + glyphs.height - 1)}
            pins |= {(item.x + glyphs.width - 1, item.y)}
        elif isinstance(item, TextPart):
            cells = [(item.x + n, item.y) for n in range(-int(item.mark), len(item.text))]
        assert not taken & set(cells), item
        taken |= set(cells)
    for item in items:
        if isinstance(item, Wire):
            (x, x2), (y, y2) = sorted((item.x, item.x2)), sorted((item.y, item.y2))
            cells = [(col, row) for col in range(x, x2 + 1) for row in range(y, y2 + 1)]
            assert not (set(cells) & taken) - pins, item


@BOTH
@pytest.mark.parametrize("seed", range(0, 120, 3))
def test_any_ladder_is_the_circuit_it_is_at_every_size(seed: int, plain: bool) -> None:
    ladder = valueless(random_ladder(seed, 10))
    chance = random.Random(seed)
    for size in SIZES:
        symbols = sized(size, plain)
        for tight in (False, True):
            beside = frozenset((RESISTOR, INDUCTOR, CAPACITOR)) if chance.random() < 0.5 else None
            layout = Layout(
                symbols,
                tight,
                plain,
                chance.randint(1, 9),
                lead=chance.randint(1, 7),
                beside=beside or frozenset(),
                frugal=chance.random() < 0.5,
            )
            items = layout.ladder(ladder)
            assert picture_nets(items, symbols) == with_ground(ladder_nets(ladder))
            assert_nothing_overlaps(items, symbols)


def test_the_reader_of_this_test_notices_a_wire_that_is_missing() -> None:
    symbols = sized(2)
    ladder = read_circuit("source Rs; series L1; shunt C1; load RL")
    items = Layout(symbols, False, False).ladder(ladder)
    wires = [item for item in items if isinstance(item, Wire) and item.x != item.x2]
    broken = [item for item in items if item is not max(wires, key=lambda w: abs(w.x2 - w.x))]
    assert picture_nets(broken, symbols) != with_ground(ladder_nets(ladder))


# As large as the room


ROOMS = ((78, 18), (38, 16), (114, 31), (194, 50))


@BOTH
@pytest.mark.parametrize("room", ROOMS, ids=str)
def test_looks_fit_every_room_and_have_every_name(room: tuple[int, int], plain: bool) -> None:
    drawn = 0
    for seed in range(40):
        ladder = valueless(make_look(seed).ladder)
        for end in (None, *End):
            schematic = Schematic(ladder, ascii=plain, end=end)
            picture = schematic.largest(*room)
            if picture is None:
                wide, high = schematic.lowest()
                assert wide > room[0] or high > room[1] or room == (38, 16)
                continue
            drawn += 1
            assert picture.width <= room[0] and picture.height <= room[1]
            assert all(len(line) == picture.width for line in picture.lines)
            assert not plain or picture.text.isascii()
            for element in ladder.elements():
                assert element.name in picture.text
    assert drawn >= (120 if room != (38, 16) else 60)


def test_a_larger_room_has_no_smaller_signs() -> None:
    for seed in range(30):
        ladder = valueless(make_look(seed).ladder)
        sizes = [
            picture.size if (picture := Schematic(ladder).largest(*room)) is not None else -1
            for room in ((78, 18), (114, 31), (194, 50))
        ]
        assert sizes == sorted(sizes) and sizes[-1] >= 2


def test_two_parts_fill_the_largest_window() -> None:
    ladder = read_circuit("source Rs; series L1; shunt C1; load RL")
    picture = Schematic(ladder).largest(194, 50)
    assert picture is not None and picture.size == LARGE
    assert picture.width > 150 and picture.height > 30


def test_no_larger_than_what_it_stands_beside() -> None:
    ladder = read_circuit("series R1; shunt C1")
    picture = Schematic(ladder).largest(194, 50, most=1)
    assert picture is not None and picture.size == 1


def test_parts_are_pointed_out_and_shown_as_opens_and_shorts() -> None:
    ladder = read_circuit("source Rs; series L1; shunt C1; load RL")
    for room in ROOMS:
        picture = Schematic(ladder, end=End.HIGH, marked=("C1",)).largest(*room)
        assert picture is not None and "▸C1" in picture.text
        assert {span.role for span in picture.spans} >= {"marked", "marked-label"}
        assert "open" in picture.text and "short" in picture.text


def test_one_element_alone() -> None:
    for kind in Kind:
        ladder = Ladder((Stage(Place.SERIES, Element(kind, f"{kind}1")),))
        assert Schematic(ladder).largest(78, 18) is not None
