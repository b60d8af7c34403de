"""Ladder → where every symbol, wire and label of a printed circuit goes.

As in the drawings of characters, arms are laid out recursively as boxes with two ports;
here in points.  Series arms lie on the top rail, and the branches of a parallel group are
stacked above it; shunt arms stand between the rails.  Boxes know the rectangles their ink
covers and move together until these almost touch, so that a label may reach under a
neighbour but never into it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from ....problems.circuits.gaps import BOX, UNKNOWN
from ....problems.circuits.model import Arm, Element, Group, Joint, Kind, Ladder, Place
from ....problems.quantities.write import write_quantity
from .schematic_symbols import BLANK, BODY, PLATE, RADIUS, TRIANGLE, half
from .svg import CAP, SIZE, Label, Rect, name, text_rect, upright, width

APART = 2.5
"""Points between ink one above the other."""
STACKED = 7.0
"""The same between branches of a stack."""
ABOVE = PLATE + 2.8
"""From a lying arm up to the line its name stands on."""
BELOW = PLATE + 2.4 + CAP * SIZE
"""From a lying arm down to the line of its value."""
ASIDE = PLATE + 3.4
"""From a standing arm to its labels."""
TERMINAL = 2.0
"""Radius of a terminal."""
STUB = 13.0
"""Wire between a rail and the letter that says where it goes on."""
RING = 5.0
"""Radius of the ring round that letter."""
VALUE_BOX = 26.0, 11.0
"""Room to write a value in."""


class Space(NamedTuple):
    """How much room a circuit is given, in points."""

    lead: float
    """Wire on either side of a body at least."""
    gap: float
    """Between the ink of neighbours that meet side by side."""
    next: float
    """Between two shunt arms at least."""
    height: float
    """From rail to rail at least."""
    named: bool = True
    """Whether the source's voltage is named and signed."""


AIRY = Space(9.0, 8.0, 30.0, 76.0)
TIGHT = Space(6.0, 4.0, 18.0, 62.0)
SMALL = Space(3.5, 3.0, 11.0, 44.0, named=False)
"""Of circuits of few parts, many of which share a page."""


@dataclass(frozen=True, slots=True)
class PaperWire:
    """A straight wire, level or upright."""

    x: float
    y: float
    x2: float
    y2: float

    def moved(self, dx: float, dy: float) -> PaperWire:
        """The same wire ``dx`` to the right and ``dy`` down."""
        return PaperWire(self.x + dx, self.y + dy, self.x2 + dx, self.y2 + dy)

    @property
    def ink(self) -> Iterator[Rect]:
        """What it covers."""
        (left, right), (top, bottom) = sorted((self.x, self.x2)), sorted((self.y, self.y2))
        yield Rect(left, top, right, bottom)


@dataclass(frozen=True, slots=True)
class PaperLabel:
    """A label: its line starts, has its middle or ends in (x, y)."""

    label: Label
    x: float
    y: float
    anchor: str = "start"

    def moved(self, dx: float, dy: float) -> PaperLabel:
        """The same label ``dx`` to the right and ``dy`` down."""
        return replace(self, x=self.x + dx, y=self.y + dy)

    @property
    def ink(self) -> Iterator[Rect]:
        """What it covers."""
        yield text_rect(self.x, self.y, self.label, SIZE, self.anchor)


@dataclass(frozen=True, slots=True)
class PaperPart:
    """An element, or the box for an arm left out: its body from (x, y) on, and its labels.

    ``asked`` is the middle of the dashed box in the place of its value.
    """

    name: str
    kind: Kind | None
    x: float
    y: float
    down: bool
    words: tuple[PaperLabel, ...]
    asked: tuple[float, float] | None = None

    def moved(self, dx: float, dy: float) -> PaperPart:
        """The same part ``dx`` to the right and ``dy`` down."""
        asked = self.asked and (self.asked[0] + dx, self.asked[1] + dy)
        words = tuple(w.moved(dx, dy) for w in self.words)
        return replace(self, x=self.x + dx, y=self.y + dy, words=words, asked=asked)

    @property
    def ink(self) -> Iterator[Rect]:
        """What it covers: body and labels."""
        length = BLANK[0] if self.kind is None else BODY[self.kind]
        low, high = (BLANK[1] / 2,) * 2 if self.kind is None else half(self.kind)
        if self.down:
            yield Rect(self.x - low, self.y, self.x + high, self.y + length)
        else:
            yield Rect(self.x, self.y - high, self.x + length, self.y + low)
        for words in self.words:
            yield from words.ink
        if self.asked is not None:
            yield value_box(self.asked)


@dataclass(frozen=True, slots=True)
class Sign:
    """A symbol that is no element: source, buffer, earth, terminal, or where a rail goes on."""

    what: str
    x: float
    y: float
    letter: str = ""

    def moved(self, dx: float, dy: float) -> Sign:
        """The same sign ``dx`` to the right and ``dy`` down."""
        return replace(self, x=self.x + dx, y=self.y + dy)

    @property
    def ink(self) -> Iterator[Rect]:
        """What it covers, from the point that is given: a middle, or the entry of a buffer."""
        x, y = self.x, self.y
        match self.what:
            case "source":
                yield Rect.at(x, y, RADIUS)
            case "buffer":
                yield Rect(x, y - TRIANGLE / 2, x + TRIANGLE, y + TRIANGLE / 2)
            case "earth":
                yield Rect(x - 6.5, y, x + 6.5, y + 5.2)
            case "ring":
                yield Rect.at(x, y, RING)
            case _:
                yield Rect.at(x, y, TERMINAL)


def value_box(middle: tuple[float, float]) -> Rect:
    """The dashed box in the place of a value that is asked for."""
    return Rect.at(*middle, VALUE_BOX[0] / 2, VALUE_BOX[1] / 2)


Item = PaperWire | PaperLabel | PaperPart | Sign


@dataclass(frozen=True, slots=True)
class PaperBox:
    """Part of a circuit with ports in (0, 0) and ``length`` points onward."""

    length: float
    items: tuple[Item, ...]
    ink: tuple[Rect, ...] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "ink", tuple(rect for item in self.items for rect in item.ink))


def moved(items: Iterable[Item], dx: float, dy: float) -> list[Item]:
    """The same ``items`` ``dx`` to the right and ``dy`` down."""
    return [item.moved(dx, dy) for item in items]


@dataclass(frozen=True)
class PaperLayout:
    """Lays out arms.

    Args:
        unknown: names of elements whose values are asked for.
        values: whether values are written at all.
        space: how much room there is.
    """

    unknown: frozenset[str] = frozenset()
    values: bool = True
    space: Space = AIRY

    def _value(self, element: Element) -> Label | None:
        if not self.values or element.value is None:
            return None
        return upright(write_quantity(element.value, element.kind.unit))

    def _element_across(self, element: Element) -> PaperBox:
        if element.name == BOX.name:
            return self._blank(False)
        title, value = name(element.name), self._value(element)
        asked = element.name in self.unknown
        room = max(width(title), width(value) if value else 0.0, VALUE_BOX[0] if asked else 0.0)
        own = BODY[element.kind]
        length = max(own + 2 * self.space.lead, room + self.space.gap)
        middle, left = length / 2, (length - own) / 2
        words = [PaperLabel(title, middle, -ABOVE, "middle")]
        place = (middle, PLATE + 3.0 + VALUE_BOX[1] / 2) if asked else None
        if place:
            words.append(PaperLabel(upright(UNKNOWN), middle, place[1] + CAP * SIZE / 2, "middle"))
        elif value:
            words.append(PaperLabel(value, middle, BELOW, "middle"))
        part = PaperPart(element.name, element.kind, left, 0, False, tuple(words), place)
        return PaperBox(
            length, (PaperWire(0, 0, left, 0), part, PaperWire(left + own, 0, length, 0))
        )

    def _element_down(self, element: Element) -> PaperBox:
        if element.name == BOX.name:
            return self._blank(True)
        title, value = name(element.name), self._value(element)
        asked = element.name in self.unknown
        own = BODY[element.kind]
        length = max(own, 20.0) + 2 * self.space.lead
        middle, top = length / 2, (length - own) / 2
        place = (ASIDE + VALUE_BOX[0] / 2, middle + 7.5) if asked else None
        two = bool(value) or asked
        words = [PaperLabel(title, ASIDE, middle + (-2.6 if two else CAP * SIZE / 2))]
        if place:
            words.append(
                PaperLabel(upright(UNKNOWN), place[0], place[1] + CAP * SIZE / 2, "middle")
            )
        elif value:
            words.append(PaperLabel(value, ASIDE, middle + 2.6 + CAP * SIZE))
        part = PaperPart(element.name, element.kind, 0, top, True, tuple(words), place)
        return PaperBox(length, (PaperWire(0, 0, 0, top), part, PaperWire(0, top + own, 0, length)))

    def _blank(self, down: bool) -> PaperBox:
        """The dashed box of an arm left out."""
        own = BLANK[0]
        length, middle = own + 2 * self.space.lead, self.space.lead + own / 2
        x, y = (0.0, middle) if down else (middle, 0.0)
        sign = PaperLabel(upright(UNKNOWN), x, y + CAP * SIZE / 2, "middle")
        ends = (0.0, self.space.lead), (self.space.lead + own, length)
        wires = [PaperWire(0, a, 0, b) if down else PaperWire(a, 0, b, 0) for a, b in ends]
        place = (0.0, self.space.lead) if down else (self.space.lead, 0.0)
        return PaperBox(
            length, (wires[0], PaperPart(UNKNOWN, None, *place, down, (sign,)), wires[1])
        )

    def across(self, arm: Arm) -> PaperBox:
        """An arm along the rail, ports left and right."""
        if isinstance(arm, Element):
            return self._element_across(arm)
        parts = [self.across(part) for part in arm.parts]
        items: list[Item] = []
        if arm.joint is Joint.SERIES:
            x = 0.0
            for part in parts:
                items += moved(part.items, x, 0)
                x += part.length
            return PaperBox(x, tuple(items))
        inner, lead = max(part.length for part in parts), self.space.lead
        left, right = lead, lead + inner
        y = 0.0
        for under, part in zip([None, *reversed(parts)], reversed(parts), strict=False):
            if under is not None:
                y -= _above(under) + _below(part) + STACKED
            start = left + (inner - part.length) / 2
            items += moved(part.items, start, y)
            items.append(PaperWire(left, y, start, y))
            items.append(PaperWire(start + part.length, y, right, y))
        items += [PaperWire(left, 0, left, y), PaperWire(right, 0, right, y)]
        items += [PaperWire(0, 0, left, 0), PaperWire(right, 0, right + lead, 0)]
        return PaperBox(inner + 2 * lead, tuple(items))

    def down(self, arm: Arm) -> PaperBox:
        """An arm from rail to rail, ports above and below."""
        if isinstance(arm, Element):
            return self._element_down(arm)
        parts = [self.down(part) for part in arm.parts]
        items: list[Item] = []
        if arm.joint is Joint.SERIES:
            y = 0.0
            for part in parts:
                items += moved(part.items, 0, y)
                y += part.length
            return PaperBox(y, tuple(items))
        inner, lead = max(part.length for part in parts), self.space.lead
        xs = self._spread(parts, inner)
        port = _port(xs)
        for x, part in zip(xs, parts, strict=True):
            start = lead + (inner - part.length) / 2
            items += moved(part.items, x - port, start)
            items.append(PaperWire(x - port, lead, x - port, start))
            items.append(PaperWire(x - port, start + part.length, x - port, lead + inner))
        for y in (lead, lead + inner):
            items.append(PaperWire(xs[0] - port, y, xs[-1] - port, y))
        items += [
            PaperWire(0, 0, 0, lead),
            PaperWire(0, lead + inner, 0, inner + 2 * lead),
        ]
        return PaperBox(inner + 2 * lead, tuple(items))

    def _spread(self, parts: Sequence[PaperBox], inner: float) -> list[float]:
        """Where standing branches go, side by side and centred in ``inner`` points of height."""
        xs: list[float] = []
        ink: list[Rect] = []
        for part in parts:
            start = (inner - part.length) / 2
            own = [*(r.moved(0, start) for r in part.ink), Rect(0, 0, 0, inner)]
            x = max(xs[-1] + self.space.next, clear(ink, own, self.space.gap)) if xs else 0.0
            xs.append(x)
            ink += [r.moved(x, 0) for r in own]
        return xs

    def boxes(self, ladder: Ladder) -> list[tuple[bool, PaperBox]]:
        """(whether it stands, box) of everything between the source and the output.

        A group is taken apart where its parts can be neighbours on the rails just as well.
        """
        found: list[tuple[bool, PaperBox]] = []
        if ladder.source is not None:
            found.append((False, self.across(ladder.source)))
        for stage in ladder.stages:
            if stage.arm is None:
                found.append((False, self._buffer()))
                continue
            down, arm = stage.place is Place.SHUNT, stage.arm
            loose = isinstance(arm, Group) and arm.joint is stage.place.joint
            parts = arm.parts if loose and isinstance(arm, Group) else (arm,)
            found += [(down, self.down(one) if down else self.across(one)) for one in parts]
        if ladder.load is not None:
            found.append((True, self.down(ladder.load)))
        return found

    def _buffer(self) -> PaperBox:
        lead = self.space.lead
        after = lead + TRIANGLE
        one = PaperLabel(upright("1"), lead + TRIANGLE * 0.36, CAP * SIZE / 2, "middle")
        wires = PaperWire(0, 0, lead, 0), PaperWire(after, 0, after + lead, 0)
        return PaperBox(after + lead, (wires[0], Sign("buffer", lead, 0), one, wires[1]))


def _above(box: PaperBox) -> float:
    return max((-rect.top for rect in box.ink), default=0.0)


def _below(box: PaperBox) -> float:
    return max((rect.bottom for rect in box.ink), default=0.0)


def _port(xs: Sequence[float]) -> float:
    """In the middle of the branches, or straight on where one stands near it."""
    middle = (xs[0] + xs[-1]) / 2
    nearest = min(xs, key=lambda x: abs(x - middle))
    return nearest if abs(nearest - middle) <= 9.0 else middle


def clear(before: Iterable[Rect], after: Iterable[Rect], gap: float) -> float:
    """How far to the right ink, ``after``, must move to stand a ``gap`` off that ``before`` it."""
    after = list(after)
    least = -1e9
    for old in before:
        for new in after:
            if new.top < old.bottom + APART and old.top < new.bottom + APART:
                least = max(least, old.right + gap - new.left)
    return least
