"""What a circuit is: elements, arms, stages and the ladder they make.

All values are exact rationals in SI base units (ohm, henry, farad).  A value may be
``None``: the circuit is then *symbolic only* and can be analysed with letters but
not with numbers.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from ..quantities.errors import WordedError

MAX_ELEMENTS = 40
MAX_NESTING = 8

NAME_PATTERN = re.compile(r"[RLC][A-Za-z0-9_]{0,11}\Z")


class CircuitError(WordedError, ValueError):
    """A circuit that cannot be built or analysed; its words say what to mend."""


class Kind(StrEnum):
    """The three ideal passive elements."""

    R = "R"
    L = "L"
    C = "C"

    @property
    def reactive(self) -> bool:
        """Whether the element stores energy (and so can make a pole)."""
        return self is not Kind.R

    @property
    def unit(self) -> str:
        """The SI unit symbol of the element's value."""
        return {"R": "Ω", "L": "H", "C": "F"}[self.value]

    @property
    def dual(self) -> Kind:
        """L for C, C for L; R is its own."""
        return {Kind.L: Kind.C, Kind.C: Kind.L}.get(self, self)


class Joint(StrEnum):
    """How the parts of a group are joined."""

    SERIES = "series"
    PARALLEL = "parallel"

    @property
    def opposite(self) -> Joint:
        """Parallel for series and series for parallel."""
        return Joint.PARALLEL if self is Joint.SERIES else Joint.SERIES


class Place(StrEnum):
    """Where a stage sits: in the series path, across it, or an ideal buffer."""

    SERIES = "series"
    SHUNT = "shunt"
    BUFFER = "buffer"

    @property
    def joint(self) -> Joint:
        """How neighbours in this place make one arm: in series, or across it in parallel."""
        return Joint.SERIES if self is Place.SERIES else Joint.PARALLEL

    @property
    def opposite(self) -> Place:
        """Shunt for series, series for shunt; a buffer is its own."""
        return {Place.SERIES: Place.SHUNT, Place.SHUNT: Place.SERIES}.get(self, self)


@dataclass(frozen=True, slots=True)
class Element:
    """One ideal R, L or C.

    Raises:
        CircuitError: the name is malformed or of another kind, or the value is not positive.
    """

    kind: Kind
    name: str
    value: Fraction | None = None

    def __post_init__(self) -> None:
        if not NAME_PATTERN.match(self.name) or self.name[0] != self.kind:
            raise CircuitError("circuit.bad-name", name=repr(self.name), kind=self.kind.value)
        if self.value is not None and self.value <= 0:
            raise CircuitError("circuit.not-positive", name=self.name)

    @property
    def amount(self) -> Fraction:
        """The value, of an element that must have one.

        Raises:
            ValueError: it has none.
        """
        if self.value is None:
            raise ValueError(f"{self.name} has no value")
        return self.value


@dataclass(frozen=True, slots=True)
class Group:
    """Two or more arms joined in series or in parallel; never nested in the same joint.

    Raises:
        CircuitError: fewer than two parts, or a part that should have been flattened.
    """

    joint: Joint
    parts: tuple[Arm, ...]

    def __post_init__(self) -> None:
        if len(self.parts) < 2:
            raise CircuitError("circuit.small-group")
        for part in self.parts:
            if isinstance(part, Group) and part.joint is self.joint:
                raise CircuitError("circuit.nested-joint", joint=self.joint.value)


Arm = Element | Group


def join(joint: Joint, *parts: Arm) -> Arm:
    """``parts`` in one ``joint``, groups of the same joint flattened; a single arm stays itself.

    Raises:
        CircuitError: no arm was given.
    """
    flat: list[Arm] = []
    for part in parts:
        if isinstance(part, Group) and part.joint is joint:
            flat.extend(part.parts)
        else:
            flat.append(part)
    if not flat:
        raise CircuitError("circuit.empty-arm")
    return flat[0] if len(flat) == 1 else Group(joint, tuple(flat))


def leaves(arm: Arm) -> Iterator[Element]:
    """The elements of an arm, in reading order."""
    if isinstance(arm, Element):
        yield arm
    else:
        for part in arm.parts:
            if isinstance(part, Element):
                yield part
            else:
                yield from leaves(part)


def depth(arm: Arm) -> int:
    """Nesting depth: 0 for a single element."""
    return 0 if isinstance(arm, Element) else 1 + max(depth(part) for part in arm.parts)


@dataclass(frozen=True, slots=True)
class Stage:
    """One rung or side rail of the ladder; a buffer has no arm.

    Raises:
        CircuitError: a buffer with an arm, or another stage without one.
    """

    place: Place
    arm: Arm | None = None

    def __post_init__(self) -> None:
        if (self.place is Place.BUFFER) != (self.arm is None):
            raise CircuitError("circuit.stage-arm")


@dataclass(frozen=True, slots=True)
class Ladder:
    """A chain of stages from the source to the output.

    ``source`` is the source's resistance (``None``: ideal), ``load`` the resistance
    across the output (``None``: open).  The output voltage is always taken across the
    load end; H(s) is that voltage over the open-circuit voltage of the source.

    Raises:
        CircuitError: no stage, too many elements, too deep, a name used twice, a
            source or load that is not a resistor.
    """

    stages: tuple[Stage, ...]
    source: Element | None = None
    load: Element | None = None

    def __post_init__(self) -> None:
        if not self.stages:
            raise CircuitError("circuit.no-stage")
        for end, role in ((self.source, "source"), (self.load, "load")):
            if end is not None and end.kind is not Kind.R:
                raise CircuitError("circuit.no-resistance", role=role, name=end.name)
        names = [element.name for element in self.elements()]
        if len(names) > MAX_ELEMENTS:
            raise CircuitError("circuit.too-many", count=len(names), most=MAX_ELEMENTS)
        if len(set(names)) < len(names):
            twice = next(name for k, name in enumerate(names) if name in names[:k])
            raise CircuitError("circuit.twice", name=twice)
        for stage in self.stages:
            if isinstance(stage.arm, Group) and depth(stage.arm) > MAX_NESTING:
                raise CircuitError("circuit.too-deep", most=MAX_NESTING)

    def elements(self) -> Iterator[Element]:
        """Every element: the source's resistance, the arms in order, the load."""
        if self.source is not None:
            yield self.source
        for stage in self.stages:
            if isinstance(stage.arm, Element):
                yield stage.arm
            elif stage.arm is not None:
                yield from leaves(stage.arm)
        if self.load is not None:
            yield self.load

    def part(self, name: str) -> Element:
        """The element of a ``name``.

        Raises:
            LookupError: there is none.
        """
        for element in self.elements():
            if element.name == name:
                return element
        raise LookupError(f"there is no {name}")

    def reactive(self) -> tuple[Element, ...]:
        """Every capacitor and inductor, in order."""
        return tuple(e for e in self.elements() if e.kind.reactive)

    @property
    def valued(self) -> bool:
        """Whether every element has a value."""
        return all(e.value is not None for e in self.elements())


def mapped(ladder: Ladder, change: Callable[[Element], Element]) -> Ladder:
    """``ladder`` with every element put through ``change``: the arms' in order, source, load."""

    def arm_of(arm: Arm) -> Arm:
        if isinstance(arm, Element):
            return change(arm)
        return Group(arm.joint, tuple(map(arm_of, arm.parts)))

    return Ladder(
        tuple(Stage(s.place, s.arm and arm_of(s.arm)) for s in ladder.stages),
        ladder.source and change(ladder.source),
        ladder.load and change(ladder.load),
    )


def merged(ladder: Ladder) -> Ladder:
    """Neighbouring stages of one place as one arm: the same circuit, drawn shorter."""
    stages: list[Stage] = []
    for stage in ladder.stages:
        last = stages[-1] if stages else None
        if last is not None and last.arm and stage.arm and last.place is stage.place:
            stages[-1] = Stage(stage.place, join(stage.place.joint, last.arm, stage.arm))
        else:
            stages.append(stage)
    if len(stages) == len(ladder.stages):
        return ladder
    return Ladder(tuple(stages), ladder.source, ladder.load)


def valueless(ladder: Ladder) -> Ladder:
    """The same circuit with letters only."""
    return mapped(ladder, lambda element: Element(element.kind, element.name))
