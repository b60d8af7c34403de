"""Circuit drawings: what is drawn is the circuit, no more and no less.

Hundreds of random circuits are one test: where each was its own, half of the time went into
beginning and ending tests.
"""

from __future__ import annotations

import random
import re
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from rungwise.problems.analysis.arms import End
from rungwise.problems.analysis.idle import Reason
from rungwise.problems.analysis.response import Response, facts
from rungwise.problems.catalogue.families import FAMILIES
from rungwise.problems.circuits.model import (
    MAX_ELEMENTS,
    Arm,
    Element,
    Group,
    Joint,
    Kind,
    Ladder,
    Place,
    Stage,
    join,
)
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.analyse import generate
from rungwise.problems.quantities.write import write_quantity
from rungwise.tutor.figures.schematic.draw import Schematic, SchematicDrawing

from tests.support.picture_netlist import PictureError, read_picture, read_plain_picture
from tests.support.samples import sample

GOLDEN = Path(__file__).parents[2] / "golden" / "figures"


# --- what the circuit is, told independently of how it is drawn --------------------------


def ladder_nets(ladder: Ladder) -> list[tuple[str, ...]]:
    """The nets of a ladder: what is connected to each node."""
    pins: list[tuple[str, int]] = [("source", 1), ("ground source", 0), ("ground", 0)]
    fresh = iter(range(2, 10_000))

    def connect(arm: Arm, a: int, b: int) -> None:
        if isinstance(arm, Element):
            pins.extend([(arm.name, a), (arm.name, b)])
        elif arm.joint is Joint.PARALLEL:
            for part in arm.parts:
                connect(part, a, b)
        else:
            for part in arm.parts[:-1]:
                middle = next(fresh)
                connect(part, a, middle)
                a = middle
            connect(arm.parts[-1], a, b)

    here, buffers = 1, 0
    if ladder.source is not None:
        there = next(fresh)
        connect(ladder.source, here, there)
        here = there
    for stage in ladder.stages:
        if stage.arm is None:
            buffers += 1
            there = next(fresh)
            pins += [(f"buffer {buffers} in", here), (f"buffer {buffers} out", there)]
            here = there
        elif stage.place is Place.SHUNT:
            connect(stage.arm, here, 0)
        else:
            there = next(fresh)
            connect(stage.arm, here, there)
            here = there
    if ladder.load is not None:
        connect(ladder.load, here, 0)
    pins += [("out", here), ("ground out", 0)]
    nets: dict[int, list[str]] = {}
    for name, net in pins:
        nets.setdefault(net, []).append(name)
    return sorted(tuple(sorted(names)) for names in nets.values())


def random_ladder(seed: int, most: int = MAX_ELEMENTS) -> Ladder:
    """Any ladder that can be: nested groups, buffers, long names, odd values, no values."""
    chance = random.Random(seed)
    budget = chance.randint(1, most)
    valued = chance.random() < 0.8
    count = dict.fromkeys(Kind, 0)

    def element() -> Element:
        nonlocal budget
        budget -= 1
        kind = chance.choice(list(Kind))
        count[kind] += 1
        name = f"{kind}{chance.choice(['', '', 'x', 'abcdefg_'])}{count[kind]}"
        exponent = chance.randint(-12, 6)
        value = Fraction(chance.randint(1, 9999)) * Fraction(10) ** exponent
        return Element(kind, name, value if valued else None)

    def arm(depth: int) -> Arm:
        if depth == 0 or budget < 3 or chance.random() < 0.5:
            return element()
        joint = chance.choice(list(Joint))
        return join(joint, *[arm(depth - 1) for _ in range(chance.randint(2, 3)) if budget > 0])

    def resistor(name: str) -> Element | None:
        nonlocal budget
        if budget < 2 or chance.random() < 0.4:
            return None
        budget -= 1
        return Element(Kind.R, name, Fraction(chance.randint(1, 9999)) if valued else None)

    source, load = resistor("Rs"), resistor("RL")
    stages: list[Stage] = []
    while budget > 0 and len(stages) < 14:
        if stages and chance.random() < 0.1 and stages[-1].place is not Place.BUFFER:
            stages.append(Stage(Place.BUFFER))
        place = chance.choice([Place.SERIES, Place.SHUNT])
        stages.append(Stage(place, arm(chance.randint(0, 4))))
    return Ladder(tuple(stages), source, load)


@cache
def family_ladder(name: str) -> Ladder:
    """The circuit of a problem of a family."""
    return generate(1, family=name).ladder


@cache
def family_facts(name: str) -> Response:
    return facts(family_ladder(name))


NAMES = [family.name for family in FAMILIES]


ROOMY = 1000, 200
"""Columns and rows for any circuit here, drawn with room between its parts."""


def pictured(ladder: Ladder, compact: bool = False, **how: Any) -> SchematicDrawing:
    """A drawing that is ``compact``, or else of the next size and as roomy as that can be."""
    schematic = Schematic(ladder, **how)
    return schematic.compact() if compact else schematic.fit(*ROOMY, most=1)


# --- the picture is the circuit ------------------------------------------------------------


def assert_same_circuit(ladder: Ladder, compact: bool) -> None:
    drawing = pictured(ladder, compact)
    nets, labels = read_picture(drawing.lines, compact)
    assert nets == ladder_nets(ladder), drawing.text
    expected = {
        e.name: write_quantity(e.value, e.kind.unit) if e.value is not None else ""
        for e in ladder.elements()
    }
    assert labels == expected, drawing.text


@pytest.mark.parametrize("compact", [False, True], ids=["full", "compact"])
def test_every_family_is_drawn_as_the_circuit_it_is(compact: bool) -> None:
    for name in NAMES:
        assert_same_circuit(family_ladder(name), compact)


@pytest.mark.parametrize("compact", [False, True], ids=["full", "compact"])
def test_any_ladder_is_drawn_as_the_circuit_it_is(compact: bool) -> None:
    for seed in range(sample(160, 400)):
        assert_same_circuit(random_ladder(seed, 40 if seed % 4 == 0 else 12), compact)


@pytest.mark.parametrize("compact", [False, True], ids=["full", "compact"])
def test_any_ladder_is_drawn_in_ascii_as_the_circuit_it_is(compact: bool) -> None:
    for seed in range(sample(80, 200)):
        ladder = random_ladder(seed, 40 if seed % 4 == 0 else 12)
        drawing = pictured(ladder, compact, ascii=True)
        names = {
            e.name: plain(write_quantity(e.value, e.kind.unit)) if e.value is not None else ""
            for e in ladder.elements()
        }
        nets = read_plain_picture(drawing.lines, names, compact)
        assert nets == ladder_nets(ladder), drawing.text


def test_the_reader_notices_a_broken_wire() -> None:
    """The check above can fail: one missing stroke is enough."""
    drawing = pictured(read_circuit("series R1 = 1 kΩ; shunt C1 = 1 nF; load 1 kΩ"))
    rail = next(n for n, line in enumerate(drawing.lines) if line.startswith("  ┌"))
    for col, char in enumerate(drawing.lines[rail]):
        if char in "─┬┌":
            line = drawing.lines[rail]
            broken = list(drawing.lines)
            broken[rail] = line[:col] + " " + line[col + 1 :]
            with pytest.raises(PictureError):
                read_picture(tuple(broken))


def test_the_reader_notices_a_swap() -> None:
    one = pictured(read_circuit("source 50; series L1 = 1 mH; shunt C1 = 1 nF; load 1 kΩ"))
    other = read_circuit("source 50; shunt C1 = 1 nF; series L1 = 1 mH; load 1 kΩ")
    assert read_picture(one.lines)[0] != ladder_nets(other)


# --- the ends of the frequency axis ----------------------------------------------------------


def resistive_gain(nets: list[tuple[str, ...]], values: dict[str, float]) -> float | None:
    """Output over source of a picture of opens and shorts, by nodal analysis (numpy).

    ``None`` where a short lies across the source: an ideal one cannot be shorted.
    """
    group = {name: n for n, net in enumerate(nets) for name in net}
    parent = list(range(len(nets)))

    def find(n: int) -> int:
        while parent[n] != n:
            n = parent[n]
        return n

    ends: dict[str, list[int]] = {}
    for n, net in enumerate(nets):
        for name in net:
            ends.setdefault(name, []).append(n)
    for name, pair in ends.items():
        if name.startswith("short "):
            parent[find(pair[0])] = find(pair[-1])
    if find(group["source"]) == find(group["ground"]):
        return None
    size = len(nets)
    matrix, right = np.eye(size) * 1e-15, np.zeros(size)
    for name, value in values.items():
        pair = [find(n) for n in (ends[name] * 2)[:2]]
        for a, b in (pair, pair[::-1]):
            matrix[a, a] += 1 / value
            matrix[a, b] -= 1 / value
    # Sources of 1 V behind a millionth of the least resistance, one after the other.
    drives = [("source", None)]
    buffers = sorted({name.rsplit(" ", 1)[0] for name in ends if name.startswith("buffer")})
    drives += [(f"{b} out", f"{b} in") for b in buffers]
    strong = 1e9
    for pin, sense in drives:
        node = find(group[pin])
        matrix[node, node] += strong
        if sense is None:
            right[node] += strong
        else:
            matrix[node, find(group[sense])] -= strong
    ground = find(group["ground"])
    keep = [n for n in range(size) if n != ground]
    voltage = np.zeros(size)
    voltage[keep] = np.linalg.solve(matrix[np.ix_(keep, keep)], right[keep])
    return float(voltage[find(group["out"])])


@pytest.mark.parametrize("compact", [False, True], ids=["full", "compact"])
@pytest.mark.parametrize("end", list(End))
def test_pictures_at_the_ends_have_the_gain_there(end: End, compact: bool) -> None:
    """Read back and solved: the picture at DC has the gain at DC, and so at the other end."""
    for name in NAMES:
        ladder = family_ladder(name)
        drawing = pictured(ladder, compact, end=end)
        nets, labels = read_picture(drawing.lines, compact)
        known = family_facts(name)
        gain = known.gain_low if end is End.LOW else known.gain_high
        values = {e.name: float(e.value) for e in ladder.elements() if e.kind is Kind.R and e.value}
        solved = resistive_gain(nets, values)
        if solved is None:  # parts that short an ideal source: one, or a loop of them with it
            shorted = {"low-pass-with-trap": Reason.DEPENDENT}.get(name, Reason.ACROSS_SOURCE)
            assert shorted in {hidden.reason for hidden in known.hidden}, name
        else:
            assert solved == pytest.approx(float(gain), abs=1e-5), name
        for element in ladder.elements():
            if element.kind.reactive:
                opened = (element.kind is Kind.C) == (end is End.LOW)
                assert labels[element.name] == ("open" if opened else "short"), name


# --- names, values, marks --------------------------------------------------------------------


def plain(value: str) -> str:
    for sign, spelling in {"Ω": "ohm", "µ": "u", "×10": "e"}.items():
        value = value.replace(sign, spelling)
    return value.translate(str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-"))


@pytest.mark.parametrize("poor", [False, True])
@pytest.mark.parametrize("compact", [False, True])
def test_every_name_and_value_stands_there_once(compact: bool, poor: bool) -> None:
    for seed in range(sample(30, 60)):
        ladder = random_ladder(seed)
        text = pictured(ladder, compact, ascii=poor).text
        for element in ladder.elements():
            assert len(re.findall(rf"(?<![A-Za-z0-9_]){element.name}(?![A-Za-z0-9_])", text)) == 1
        values = [
            write_quantity(e.value, e.kind.unit) for e in ladder.elements() if e.value is not None
        ]
        if poor:
            assert text.isascii()
            values = [plain(v) for v in values]
        for value in set(values):
            found = re.findall(rf"(?<![\w.]){re.escape(value)}(?!\w)", text)
            assert len(found) == values.count(value), (value, text)


@pytest.mark.parametrize("compact", [False, True])
@pytest.mark.parametrize("poor", [False, True])
def test_marking_moves_nothing_and_shows_without_colour(compact: bool, poor: bool) -> None:
    ladder = random_ladder(12)
    names = [e.name for e in ladder.elements()]
    plain = pictured(ladder, compact, ascii=poor)
    for name in names:
        marked = pictured(ladder, compact, ascii=poor, marked=[name])
        changed = [
            (row, col)
            for row, (a, b) in enumerate(zip(plain.lines, marked.lines, strict=True))
            for col, (one, other) in enumerate(zip(a, b, strict=True))
            if one != other
        ]
        ((row, col),) = changed
        assert plain.lines[row][col] == " "
        assert marked.lines[row][col + 1 :].startswith(name)
        assert {s.role for s in marked.spans} - {s.role for s in plain.spans} == {
            "marked",
            "marked-label",
        }


def test_unknown_marks_are_ignored() -> None:
    ladder = random_ladder(3)
    assert pictured(ladder, marked=["R99"]) == pictured(ladder)


@pytest.mark.parametrize("poor", [False, True])
def test_spans_cover_exactly_what_is_drawn(poor: bool) -> None:
    for seed in range(40):
        drawing = pictured(random_ladder(seed), seed % 2 == 0, ascii=poor)
        assert {len(line) for line in drawing.lines} == {drawing.width}
        covered = set()
        for span in drawing.spans:
            cells = {(span.row, span.col + n) for n in range(span.length)}
            assert not cells & covered
            assert "" not in {drawing.lines[r][c].strip() for r, c in cells}
            covered |= cells
        drawn = {
            (r, c) for r, line in enumerate(drawing.lines) for c, ch in enumerate(line) if ch != " "
        }
        assert covered == drawn


def test_roles_say_what_things_are() -> None:
    drawing = pictured(
        read_circuit(
            "source 50 Ω; series L1 = 1 mH; shunt C1 = 1 nF; buffer; series R1 = 1; load 1 k"
        )
    )
    assert {span.role for span in drawing.spans} == {
        "wire", "resistor", "inductor", "capacitor", "source", "load", "buffer", "label",
        "value", "ground", "terminal",
    }  # fmt: skip


# --- room ----------------------------------------------------------------------------------


def test_typical_circuits_fit_a_small_screen() -> None:
    drawings = {name: Schematic(family_ladder(name)).fit(76, 10) for name in NAMES}
    assert max(drawing.width for drawing in drawings.values()) <= 76
    scrolled = {name for name, drawing in drawings.items() if drawing.height > 10}
    # Three parts, two of them coils or one with its loss, one below the other in a shunt arm.
    deep = {"series-rlc-split-inductor", "tank-with-coil-loss", "shunt-notch-with-coil-loss"}
    assert scrolled <= deep
    assert max(drawings[name].height for name in scrolled) <= 13


def test_compact_is_smaller_and_never_wider() -> None:
    spared = 0
    for seed in range(100):
        ladder = random_ladder(seed, 12)
        full, compact = pictured(ladder), Schematic(ladder).compact()
        spared += full.width * full.height - compact.width * compact.height
        assert compact.height <= full.height + 6, seed  # values stand below lying parts
        assert compact.width < full.width, seed
    assert spared > 0


def test_fit_takes_the_largest_that_fits() -> None:
    for name in NAMES:
        ladder = family_ladder(name)
        schematic = Schematic(ladder)
        for room in ((76, 8), (76, 20), (114, 24), (194, 50)):
            picture, wanted = schematic.fit(*room), schematic.largest(*room)
            if wanted is not None:
                assert picture == wanted, name
                assert picture.width <= room[0] and picture.height <= room[1], name
            assert picture.size is not None, name
            # At an end it has no larger parts than the whole circuit.
            at_end = Schematic(ladder, end=End.LOW).fit(*room, most=picture.size)
            assert at_end.size is not None and at_end.size <= picture.size, name
        # Where nothing fits it is as small as can be, to be scrolled; no other alphabet.
        beyond = schematic.fit(10, 5)
        assert beyond.size == 0 and beyond.width <= schematic.fit(76, 8).width, name
        assert all(element.name in beyond.text for element in ladder.elements()), name


def test_the_largest_circuit_is_drawn() -> None:
    parts = [Element(Kind.C, f"C{n}", Fraction(1, 10**9)) for n in range(MAX_ELEMENTS)]
    stages = [Stage(Place.SERIES if n % 2 else Place.SHUNT, p) for n, p in enumerate(parts)]
    assert_same_circuit(Ladder(tuple(stages)), True)
    deep: Arm = parts[0]
    for n, part in enumerate(parts[1:9]):
        deep = Group(Joint.SERIES if n % 2 else Joint.PARALLEL, (deep, part))
    assert_same_circuit(Ladder((Stage(Place.SHUNT, deep),)), False)
    assert_same_circuit(Ladder((Stage(Place.SERIES, deep),)), False)


def unfolded(lines: tuple[str, ...], dash: str, mark: str) -> list[str]:
    """The bands put side by side again, the rails level."""
    begun = [n for n, line in enumerate(lines) if line.startswith(mark + dash)]
    ended = [n for n, line in enumerate(lines) if line.rstrip().endswith(dash + mark)]
    rails = [tuple(ended[:2]), *zip(begun[::2], begun[1::2], strict=True)]
    assert len({bottom - top for top, bottom in rails}) == 1
    parts = []
    for number, (top, bottom) in enumerate(rails):
        first, last = top, bottom
        while first and lines[first - 1].strip():
            first -= 1
        while last + 1 < len(lines) and lines[last + 1].strip():
            last += 1
        end = None if number == len(rails) - 1 else lines[top].rindex(dash + mark)
        parts.append({y - top: lines[y][2 if number else 0 : end] for y in range(first, last + 1)})
    whole = range(min(map(min, parts)), max(map(max, parts)) + 1)
    widths = [max(len(row) for row in rows.values()) for rows in parts]
    return [
        "".join(
            rows.get(y, "").ljust(width) for rows, width in zip(parts, widths, strict=True)
        ).rstrip()
        for y in whole
    ]


@pytest.mark.parametrize("poor", [False, True])
def test_folding_keeps_the_circuit(poor: bool) -> None:
    for seed in range(sample(40, 80)):
        ladder = random_ladder(seed, 30)
        schematic = Schematic(ladder, ascii=poor)
        whole, folded = schematic.compact(), schematic.fold(40)
        if folded == whole:
            continue
        dash, mark = ("=", ">") if poor else ("╌", "▸")
        found = unfolded(folded.lines, dash, mark)
        assert found in [one.text.split("\n") for one in schematic.small_ones()]
        assert {len(line) for line in folded.lines} == {folded.width}
        covered = {(s.row, s.col + n) for s in folded.spans for n in range(s.length)}
        drawn = {
            (r, c) for r, line in enumerate(folded.lines) for c, ch in enumerate(line) if ch != " "
        }
        assert covered == drawn


def test_every_family_can_be_drawn_in_forty_columns() -> None:
    for name in NAMES:
        assert Schematic(family_ladder(name)).fold(40).width <= 40, name


# --- pictures to look at -----------------------------------------------------------------------

PICTURES = {
    "l-section": "source 600 Ω; series L1 = 10 mH; shunt C1 = 100 nF; load 600 Ω",
    "notch": "source 50 Ω; series L1 = 10 mH || C1 = 100 nF; load 1 kΩ",
    "tank": "source 10 kΩ; shunt L1 = 250 µH || C1 = 365 pF; load 100 kΩ",
    "cascade": "series C1 = 100 nF; shunt R1 = 4.7 kΩ; buffer; series R2 = 10 kΩ; shunt C2 = 1 nF",
    "nested": (
        "source 50 Ω; series (L1 = 10 mH + (C1 = 100 nF || R9 = 1 Ω)) || C2 = 2.2 nF;"
        "shunt R1 = 10 Ω + (L5 = 1 H || (C5 = 1 µF + R5 = 5 Ω)); load 1 kΩ"
    ),
    "letters": "series L1; series C1; shunt R1",
}


@pytest.mark.parametrize("name", PICTURES)
@pytest.mark.parametrize("form", ["full", "compact", "ascii", "ascii-compact"])
def test_pictures_are_as_they_were_approved(name: str, form: str) -> None:
    """Reviewed by eye; run with UPDATE_FIGURES=1 to write them again."""
    drawing = pictured(read_circuit(PICTURES[name]), "compact" in form, ascii="ascii" in form)
    compare(f"circuit-{name}-{form}", drawing.text)


def compare(name: str, text: str) -> None:
    import os

    path = GOLDEN / f"{name}.txt"
    if os.environ.get("UPDATE_FIGURES"):
        path.parent.mkdir(exist_ok=True)
        path.write_text(text + "\n", encoding="utf-8")
    assert path.read_text(encoding="utf-8") == text + "\n"
