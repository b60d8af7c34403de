"""Circuits that look alike: the same parts arranged otherwise, and what tells them apart.

*Visibly* different means, for a chart of the gain: at one frequency at least, within two
decades of the poles' mean, the gains differ by a factor of two (6 dB) or more, and the larger
one is above −60 dB.  For a map of poles and zeros: a region (the origin, the jω axis,
the real axis, complex pairs) holds another number of them, or the poles lie elsewhere by a
factor of two or more.  Both are decided exactly.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from flint import fmpq

from ..algebra import squared_magnitude
from ..analysis.idle import generic
from ..analysis.response import Facts, FilterType, facts
from ..analysis.transfer import TransferFunction, polynomial, to_flint
from ..chance import Chance
from ..circuits import preferred
from ..circuits.altered import buffered, flips
from ..circuits.model import (
    Arm,
    CircuitError,
    Element,
    Group,
    Kind,
    Ladder,
    Place,
    Stage,
    depth,
    leaves,
    mapped,
    merged,
)
from ..circuits.rearrange import exchanged, rebuffered, sections_swapped, swapped, taps
from .analyse import TYPES
from .model import Face

CANDIDATES = 4

_DECADES, _PROBES = 2, 8
_FACTOR = 4  # 6 dB, squared
_FLOOR = fmpq(1, 10**6)  # −60 dB, squared
_RESONANT = fmpq(10**12)  # an undamped resonance: beyond any chart
_MOST = 120


# ------------------------------------------------------------------------- what is seen


@dataclass(frozen=True)
class Regions:
    """How many poles and zeros lie where; a complex pair, and one on the jω axis, counts once."""

    zeros_at_origin: int
    zero_pairs_on_axis: int
    other_zeros: int
    real_poles: int
    complex_poles: int


def regions(found: Facts) -> Regions:
    """The regions of the s-plane that hold the poles and zeros of H(s)."""
    real = sum(pole.imag == 0 for pole in found.poles)
    t = found.transfer
    return Regions(
        t.zeros_at_origin,
        found.axis_zero_pairs,
        t.zero_count - t.zeros_at_origin - 2 * found.axis_zero_pairs,
        real,
        (t.order - real) // 2,
    )


def visibly_different(shown: Facts, other: Facts, face: Face) -> bool:
    """Whether a look at the ``shown`` response tells that it is not the ``other`` circuit's.

    ``face`` says what is shown of it.
    """
    if face is Face.MAP:
        if regions(shown) != regions(other):
            return True
        if not shown.transfer.order:
            return False
        # The product of the poles' magnitudes, exactly.
        ratio = shown.transfer.denominator[-1] / other.transfer.denominator[-1]
        apart = 2**shown.transfer.order
        return ratio >= apart or ratio <= Fraction(1, apart)
    there = _power(other.transfer)
    return any(_apart(here, there(u)) for u, here in _probed(shown.transfer))


@lru_cache(maxsize=32)
def _probed(transfer: TransferFunction) -> tuple[tuple[fmpq, fmpq], ...]:
    """(ω², |H|²), rational, over the decades about the poles' mean; about 1 kHz without.

    One circuit is compared with all the others that its parts can make.
    """
    order = transfer.order
    middle = float(transfer.denominator[-1]) ** (1 / order) if order else 6283.0
    omegas = [
        Fraction(middle * 10 ** (k / _PROBES)).limit_denominator(10**6)
        for k in range(-_DECADES * _PROBES, _DECADES * _PROBES + 1)
    ]
    power = _power(transfer)
    squared = [to_flint(omega * omega) for omega in omegas if omega > 0]
    return tuple((u, power(u)) for u in squared)


def _apart(a: fmpq, b: fmpq) -> bool:
    return max(a, b) >= _FLOOR and (a >= _FACTOR * b or b >= _FACTOR * a)


def _power(transfer: TransferFunction) -> Callable[[fmpq], fmpq]:
    """|H|² at any ω², exact."""
    top, bottom = (
        squared_magnitude(polynomial(p)) for p in (transfer.numerator, transfer.denominator)
    )

    def at(u: fmpq) -> fmpq:
        below = bottom(u)
        return top(u) / below if below else _RESONANT

    return at


# ---------------------------------------------------------------------- other arrangements


def arrangements(ladder: Ladder) -> tuple[Ladder, ...]:
    """The same parts arranged otherwise, nearest first: one move away, then two."""
    found: dict[str, Ladder] = {shape_of(ladder): ladder}
    edge = [ladder]
    for _ in range(2):
        reached: list[Ladder] = []
        for start in edge:
            for other in _moved(start):
                shape = shape_of(other)
                if shape not in found and len(found) < _MOST:
                    found[shape] = other
                    reached.append(other)
        edge = reached
    return tuple(found.values())[1:]


def shape_of(ladder: Ladder) -> str:
    """A text that is the same for circuits that differ in nothing but the order of like stages."""

    def of(arm: Arm) -> str:
        if isinstance(arm, Element):
            return arm.name
        return f"{arm.joint}({','.join(sorted(map(of, arm.parts)))})"

    runs: list[tuple[Place, list[str]]] = []
    for stage in ladder.stages:
        parts = [] if stage.arm is None else [stage.arm]
        if parts and isinstance(parts[0], Group) and parts[0].joint is stage.place.joint:
            parts = list(parts[0].parts)
        if runs and runs[-1][0] is stage.place and stage.arm is not None:
            runs[-1][1].extend(map(of, parts))
        else:
            runs.append((stage.place, [of(part) for part in parts]))
    ends = [e.name if e else "" for e in (ladder.source, ladder.load)]
    return ";".join([ends[0], *(f"{place}:{'+'.join(sorted(r))}" for place, r in runs), ends[1]])


def _moved(ladder: Ladder) -> Iterator[Ladder]:
    indices = range(len(ladder.stages))
    tries: list[Ladder | None] = list(taps(ladder)[1:9])
    moves = [exchanged, swapped, sections_swapped]
    if any(stage.place is Place.BUFFER for stage in ladder.stages):
        moves.append(rebuffered)
    tries += [_tried(move, ladder, index) for move in moves for index in indices]
    yield from (found for found in tries if found is not None)
    parted = buffered(ladder)
    if parted is not None and len({e.kind for e in ladder.reactive()}) == 1:
        yield parted
    yield from _traded(ladder)
    drawn = merged(ladder)
    for index in range(len(drawn.stages)):
        yield from _rejoined(drawn, index)


def _rejoined(ladder: Ladder, index: int) -> Iterator[Ladder]:
    """An arm joined the other way, laid in the other place, both, or split over both places."""
    stage = ladder.stages[index]
    if stage.arm is None:
        return
    turned = Place.SHUNT if stage.place is Place.SERIES else Place.SERIES
    joined = [stage.arm, *(arm for _, arm in flips(stage.arm))]
    ways = [[Stage(place, arm)] for place in (stage.place, turned) for arm in joined]
    if isinstance(stage.arm, Group) and len(stage.arm.parts) == 2:
        one, other = stage.arm.parts
        for first, second in (one, other), (other, one):
            ways.append([Stage(Place.SERIES, first), Stage(Place.SHUNT, second)])
            ways.append([Stage(Place.SHUNT, first), Stage(Place.SERIES, second)])
    for way in ways[1:]:
        stages = (*ladder.stages[:index], *way, *ladder.stages[index + 1 :])
        yield Ladder(stages, ladder.source, ladder.load)


def _tried(
    move: Callable[[Ladder, int], Ladder | None], ladder: Ladder, index: int
) -> Ladder | None:
    try:
        return move(ladder, index)
    except CircuitError:
        return None


def _traded(ladder: Ladder) -> Iterator[Ladder]:
    """Two parts of different kinds in each other's place."""
    drawn = [e for stage in ladder.stages if stage.arm for e in leaves(stage.arm)]
    for k, one in enumerate(drawn):
        for other in drawn[k + 1 :]:
            if one.kind is not other.kind:
                swap = {one.name: other, other.name: one}
                yield mapped(ladder, lambda e, swap=swap: swap.get(e.name, e))  # type: ignore[misc]


def with_other_kind(ladder: Ladder, chance: Chance) -> Ladder | None:
    """``ladder``, of one R and one C, with an L for the C, or the reverse.

    The new part is a preferred one, drawn by ``chance``, that puts the corner a decade or more
    elsewhere, so that the corner tells the two apart.
    """
    reactive = ladder.reactive()
    known = facts(ladder)
    if len(reactive) != 1 or known.transfer.order != 1:
        return None
    (part,) = reactive
    omega = known.transfer.denominator[1]
    resistance = 1 / (omega * part.value) if part.kind is Kind.C else omega * part.value  # type: ignore[operator]
    kind = Kind.L if part.kind is Kind.C else Kind.C
    ways = chance.shuffled((Fraction(20), Fraction(1, 20)))
    for way in ways:
        corner = omega * way
        wanted = resistance / corner if kind is Kind.L else 1 / (resistance * corner)
        value = _nearest(kind, wanted)
        if value is not None:
            new = Element(kind, kind.value + part.name[1:], value)
            return mapped(ladder, lambda e: new if e.name == part.name else e)  # noqa: B023
    return None


def _nearest(kind: Kind, wanted: Fraction) -> Fraction | None:
    """The kept part nearest to a value, by ratio."""
    drawer = preferred.DRAWERS[kind]
    kept = [preferred.value(p) for p in range(drawer.least, drawer.most + 1, drawer.step)]
    if not kept[0] / 2 <= wanted <= kept[-1] * 2:
        return None
    return min(kept, key=lambda v: max(v / wanted, wanted / v))


# ------------------------------------------------------------------------- the choice of four


@lru_cache(maxsize=512)
def _facts(ladder: Ladder) -> Facts | None:
    try:
        return facts(ladder)
    except CircuitError:
        return None  # nothing comes out at all


def idle_parts(ladder: Ladder) -> bool:
    """Whether a part lies across an ideal source, or leads to an open end."""
    first, last = ladder.stages[0], ladder.stages[-1]
    across = ladder.source is None and first.place is Place.SHUNT
    return across or (ladder.load is None and last.place is Place.SERIES)


def candidates(
    ladder: Ladder, shown: Facts, face: Face, chance: Chance, *, same_type: bool, traps: bool
) -> tuple[Ladder, ...] | None:
    """Three circuits that are visibly not the one shown, and not each other; ``None`` for fewer.

    Types differ as far as they can.

    Args:
        ladder: the circuit whose response is shown.
        shown: what is true of it.
        face: what is shown of it.
        chance: chooses.
        same_type: one of the three has the type shown.
        traps: one of them may hold a part that does nothing where it lies.
    """
    pool = list(arrangements(ladder))
    if len(ladder.reactive()) == 1:
        other = with_other_kind(ladder, chance)
        if other is not None:
            pool += [other, *arrangements(other)]
    fit: list[tuple[Ladder, Facts]] = []
    trapped: list[tuple[Ladder, Facts]] = []
    for one in pool:
        if (one.source, one.load) != (ladder.source, ladder.load):
            continue  # a load in the middle of the circuit is none
        if any(stage.arm is not None and depth(stage.arm) > 1 for stage in one.stages):
            continue  # too much to take in at a glance
        known = _facts(one)
        if known is None or known.type_exact not in TYPES or _undamped(known):
            continue
        if not shown.exact and known.type is not known.type_exact:
            continue  # its levels give it another name than its opens and shorts
        if visibly_different(shown, known, face):
            (trapped if idle_parts(one) or _still(known) else fit).append((one, known))
    fit = [*chance.shuffled(fit[:12]), *chance.shuffled(fit[12:])]
    trapped = chance.shuffled(trapped) if traps else []
    taken: list[tuple[Ladder, Facts]] = []

    def take(some: list[tuple[Ladder, Facts]], most: int) -> None:
        for one, known in some:
            if len(taken) == CANDIDATES - 1 or not most:
                return
            # The same response twice among the wrong ones would rule both out.
            if all(visibly_different(known, t, face) for _, t in taken):
                taken.append((one, known))
                most -= 1

    if same_type:
        take([c for c in fit if c[1].type_exact is shown.type_exact], 1)
    if traps and chance.below(3) == 0:
        take(trapped, 1)
    for kind in chance.shuffled(sorted({*TYPES} - {shown.type_exact})):
        if not any(known.type_exact is kind for _, known in taken):
            take([c for c in fit if c[1].type_exact is kind], 1)
    take(fit, CANDIDATES)
    take(trapped, 1)
    return tuple(one for one, _ in taken) if len(taken) == CANDIDATES - 1 else None


def _undamped(known: Facts) -> bool:
    return known.pole_nature is not None and known.q is None


def _still(known: Facts) -> bool:
    return known.type_exact is FilterType.FLAT


def structural_type(ladder: Ladder) -> tuple[FilterType, int] | None:
    """(type, pole count) whatever the values; ``None`` where nothing comes out."""
    known = _facts(generic(ladder))
    return None if known is None else (known.type_exact, known.transfer.order)
