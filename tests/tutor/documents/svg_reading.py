"""Reads a printed circuit back from its SVG, by geometry, knowing nothing of how it was laid out.

Wires are the path under "wires"; an element is a body between two ports, which are the first
and the last point of its path; pieces join where an end touches,
and wires that cross only where there is a dot.
"""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from collections import defaultdict
from dataclasses import dataclass

NS = "{http://www.w3.org/2000/svg}"
Point = tuple[float, float]
_PATH = re.compile(r"([MLHVAZmlhvqtz])([^MLHVAZmlhvqtz]*)")
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def points(data: str) -> list[list[Point]]:
    """The subpaths of absolute path data; of arcs the ends."""
    found: list[list[Point]] = []
    for how, rest in _PATH.findall(data):
        numbers = [float(n) for n in _NUMBER.findall(rest)]
        if how == "M":
            found.append([(numbers[0], numbers[1])])
            numbers = numbers[2:]
        match how:
            case "M" | "L":
                found[-1] += list(zip(numbers[::2], numbers[1::2], strict=True))
            case "A":
                found[-1].append((numbers[5], numbers[6]))
            case "H":
                found[-1].append((numbers[0], found[-1][-1][1]))
            case "V":
                found[-1].append((found[-1][-1][0], numbers[0]))
            case _:
                raise AssertionError(f"{how} in {data}")
    return found


def near(a: Point, b: Point, reach: float = 0.03) -> bool:
    return math.hypot(a[0] - b[0], a[1] - b[1]) <= reach


@dataclass
class Printed:
    """What stands in one drawing."""

    wires: list[tuple[Point, Point]]
    pins: list[tuple[str, Point, float]]
    dots: list[Point]


def read(svg: str) -> Printed:
    root = ET.fromstring(svg)
    wires: list[tuple[Point, Point]] = []
    pins: list[tuple[str, Point, float]] = []
    dots: list[Point] = []
    buffers = terminals = 0
    for group in root.iter(f"{NS}g"):
        part, role = group.get("data-part"), group.get("data-role")
        if part is not None:
            pins += [(part, port, 0.03) for port in ports(group)]
        elif role == "wires":
            for line in points(group.find(f"{NS}path").get("d")):
                assert len(line) == 2
                wires.append((line[0], line[1]))
        elif role == "source":
            x, y, r = round_of(group)
            pins += [("source", (x, y - r), 0.03), ("ground source", (x, y + r), 0.03)]
        elif role == "buffer":
            buffers += 1
            corners = points(group.find(f"{NS}path").get("d"))[0]
            left = [p for p in corners[:3] if p[0] == min(q[0] for q in corners)]
            apex = max(corners)
            middle = (left[0][0], (left[0][1] + left[1][1]) / 2)
            pins += [(f"buffer {buffers} in", middle, 0.03), (f"buffer {buffers} out", apex, 0.03)]
        elif role == "terminal":
            x, y, r = round_of(group)
            pins.append(("out" if terminals == 0 else "ground out", (x, y), r + 0.03))
            terminals += 1
        elif role == "ring":
            x, y, r = round_of(group)
            pins.append(("ring " + "".join(group.itertext()), (x, y), r + 0.03))
        elif role == "earth":
            bar = points(group.find(f"{NS}path").get("d"))[0]
            pins.append(("ground", ((bar[0][0] + bar[1][0]) / 2, bar[0][1]), 0.03))
        elif role is None:
            dots += [round_of_one(c)[:2] for c in group.findall(f"{NS}circle")]
    return Printed(wires, pins, dots)


def round_of(group: ET.Element) -> tuple[float, float, float]:
    return round_of_one(group.find(f"{NS}circle"))


def round_of_one(circle: ET.Element) -> tuple[float, float, float]:
    return float(circle.get("cx")), float(circle.get("cy")), float(circle.get("r"))


def ports(group: ET.Element) -> list[Point]:
    path = group.find(f"{NS}path")
    if path is not None:
        lines = points(path.get("d"))
        return [lines[0][0], lines[-1][-1]]
    box = group.find(f"{NS}rect")
    x, y, wide, high = (float(box.get(k)) for k in ("x", "y", "width", "height"))
    if wide > high:
        return [(x, y + high / 2), (x + wide, y + high / 2)]
    return [(x + wide / 2, y), (x + wide / 2, y + high)]


def on(p: Point, wire: tuple[Point, Point], reach: float = 0.03) -> bool:
    (x, y), (x2, y2) = wire
    if y == y2:
        return abs(p[1] - y) <= reach and min(x, x2) - reach <= p[0] <= max(x, x2) + reach
    assert x == x2, "a wire is level or upright"
    return abs(p[0] - x) <= reach and min(y, y2) - reach <= p[1] <= max(y, y2) + reach


def nets(svg: str) -> list[tuple[str, ...]]:
    """The nets of a drawing; rings of one letter are one place."""
    printed = read(svg)
    parent = list(range(len(printed.wires)))

    def root(i: int) -> int:
        while parent[i] != i:
            i = parent[i]
        return i

    for i, wire in enumerate(printed.wires):
        for j, other in enumerate(printed.wires[:i]):
            meet = any(on(end, other) for end in wire) or any(on(end, wire) for end in other)
            if meet or any(on(dot, wire) and on(dot, other) for dot in printed.dots):
                parent[root(i)] = root(j)
    found: dict[str, set[str]] = defaultdict(set)
    for n, (name, place, reach) in enumerate(printed.pins):
        held = {
            root(i)
            for i, w in enumerate(printed.wires)
            if any(near(end, place, reach) for end in w) or on(place, w, 0.03)
        }
        touching = [
            f"pin {m}"
            for m, (_, p, r) in enumerate(printed.pins)
            if m != n and near(p, place, 0.03)
        ]
        assert held or touching, f"{name} hangs in the air"
        for net in held:
            found[f"wire {net}"].add(f"pin {n}")
        for other in touching:
            found[f"touch {n}"] |= {f"pin {n}", other}
    groups = [set(g) for g in found.values()]
    letters: dict[str, set[str]] = defaultdict(set)
    for n, (name, _, _) in enumerate(printed.pins):
        if name.startswith("ring "):
            letters[name].add(f"pin {n}")
    for pair in letters.values():
        assert len(pair) == 2, "a rail that goes nowhere"
        groups.append(pair)
    whole: list[set[str]] = []
    for group in groups:
        touching_ = [g for g in whole if g & group]
        for g in touching_:
            whole.remove(g)
            group = group | g
        whole.append(group)
    named = [
        tuple(
            sorted(n for pin in g if not (n := printed.pins[int(pin[4:])][0]).startswith("ring "))
        )
        for g in whole
    ]
    return sorted(g for g in named if g)


def parts_in(svg: str) -> dict[str, tuple[str, str]]:
    """What a drawing shows: names as printed → (kind, value as printed).

    The kind is "R", "L" or "C" and the value "" where none is printed; an arm left out is
    "?" of kind "?", and a value that is asked for is "?".

    Raises:
        ValueError: the text is no drawing, or a name is printed twice or is not the part's.
    """
    try:
        root = ET.fromstring(svg)
    except ET.ParseError as error:
        raise ValueError(f"no drawing: {error}") from None
    found: dict[str, tuple[str, str]] = {}
    for group in root.iter(f"{NS}g"):
        part = group.get("data-part")
        if part is None:
            continue
        printed = ["".join(text.itertext()) for text in group.iter(f"{NS}text")]
        if not printed or printed[0] != part or part in found:
            raise ValueError(f"the part {part} is printed as {printed}")
        found[part] = (group.get("data-kind", ""), printed[1] if len(printed) > 1 else "")
    return found
