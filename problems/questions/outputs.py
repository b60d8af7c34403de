"""What comes out: of direct current, at high frequency, and of several outputs compared.

Where all parts lie in one loop the same current flows through them, and voltages go as impedances:
at DC capacitors take all, at high frequency inductors, and at f0 the voltages across L and C
are Q times the source's each.  Compared exactly; common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from itertools import chain, combinations, pairwise, permutations
from types import MappingProxyType

from ..analysis.arms import End
from ..analysis.response import Facts
from ..chance import Chance
from ..circuits.model import Element, Group, Joint, Kind, Ladder, Place, leaves
from .asking import Asking
from .kinds import MAKERS, MEASURES
from .model import Choice, Form, Question, Rung, Values
from .values import value_of

ALL, PART, NOTHING = "all", "part", "nothing"
_SPARED = 3
"""That nothing comes out, which would be right too often, is left out once in so many times."""


def _share(gain: Fraction) -> str:
    return ALL if gain == 1 else PART if gain else NOTHING


def dc_output(facts: Facts) -> str:
    """How much of a direct voltage comes out: "all", a "part" or "nothing"."""
    return _share(facts.gain_low)


def high_output(facts: Facts) -> str:
    """How much comes out at high frequency: "all", a "part" or "nothing"."""
    return _share(facts.gain_high)


MEASURES(Rung.DC_OUTPUT)(dc_output)
MEASURES(Rung.HIGH_OUTPUT)(high_output)


def _end(rung: Rung, asking: Asking) -> Question | None:
    """Where opens and shorts alone decide: a divider of two capacitors would need another rule."""
    low = rung is Rung.DC_OUTPUT
    gain = asking.facts.gain_low if low else asking.facts.gain_high
    if not asking.end_claims(End.LOW if low else End.HIGH):
        return None
    if not gain and asking.chance.below(_SPARED) == 0:
        return None
    choices = tuple(Choice(one) for one in (ALL, PART, NOTHING))
    return Question(rung, Form.CHOICE, _share(gain), choices)


for _rung in (Rung.DC_OUTPUT, Rung.HIGH_OUTPUT):
    MAKERS(_rung)(partial(_end, _rung))


# ------------------------------------------------------------------- loops, and outputs in them

DC, TENTH, AT_F0, TEN, HIGH = "dc", "tenth", "f0", "ten", "high"
"""Where outputs are compared."""

_FIRST = {DC: (Kind.C, Kind.R, Kind.L), HIGH: (Kind.L, Kind.R, Kind.C)}
"""Which kind of part takes all the voltage at an end."""
_SQUARE = {TENTH: Fraction(1, 100), AT_F0: Fraction(1), TEN: Fraction(100)}
"""The squares of the multiples of f0."""
_CLEAR = Fraction(12, 10) ** 2
"""Squares of voltages that differ by less than this factor are not asked to be ranked."""


@dataclass(frozen=True)
class Output:
    """A voltage in a small circuit: some parts in one loop with an ideal source.

    Args:
        parts: the parts of the loop.
        across: the part that the voltage lies across.
    """

    parts: tuple[Element, ...]
    across: Element

    def squared(self, place: str, omega_squared: Fraction) -> Fraction | None:
        """The square of its share of the source's voltage, exact; ``None`` where it is no limit.

        Args:
            place: where: :data:`DC`, :data:`HIGH`, or a multiple of f0.
            omega_squared: (2π·f0)².
        """
        if place in _FIRST:
            kinds = {part.kind for part in self.parts}
            taking = next(kind for kind in _FIRST[place] if kind in kinds)
            if self.across.kind is not taking:
                return Fraction(0)
            each = [_weight(part) for part in self.parts if part.kind is taking]
            return (_weight(self.across) / sum(each, Fraction(0))) ** 2
        omega = omega_squared * _SQUARE[place]
        resistance = sum((p.amount for p in self.parts if p.kind is Kind.R), Fraction(0))
        coils = sum((p.amount for p in self.parts if p.kind is Kind.L), Fraction(0))
        inverse = sum((1 / p.amount for p in self.parts if p.kind is Kind.C), Fraction(0))
        # |R + jωL − j/ωC|²
        total = resistance**2 + omega * coils**2 - 2 * coils * inverse + inverse**2 / omega
        return impedance_squared(self.across, omega) / total if total else None


def _weight(part: Element) -> Fraction:
    """What voltages go as among parts of a kind in series."""
    return 1 / part.amount if part.kind is Kind.C else part.amount


def impedance_squared(part: Element, omega_squared: Fraction) -> Fraction:
    """|Z|² of a part in Ω², exact.

    Args:
        part: the part, with a value.
        omega_squared: ω² in (rad/s)².
    """
    match part.kind:
        case Kind.L:
            return omega_squared * part.amount**2
        case Kind.C:
            return 1 / (omega_squared * part.amount**2)
    return part.amount**2


def loop_of(ladder: Ladder) -> tuple[Element, ...]:
    """The parts of a circuit that is one loop, from the source on; empty for any other."""
    stages = ladder.stages
    shunts = [n for n, stage in enumerate(stages) if stage.place is Place.SHUNT]
    if any(stage.arm is None for stage in stages):
        return ()
    if shunts and (shunts != [len(stages) - 1] or ladder.load is not None):
        return ()
    if not shunts and ladder.load is None:
        return ()
    arms = [stage.arm for stage in stages if stage.arm is not None]
    if any(isinstance(arm, Group) and not _in_series(arm) for arm in arms):
        return ()
    ends = [[ladder.source] if ladder.source else [], [ladder.load] if ladder.load else []]
    return (*ends[0], *(part for arm in arms for part in leaves(arm)), *ends[1])


def _in_series(group: Group) -> bool:
    return group.joint is Joint.SERIES and not any(isinstance(p, Group) for p in group.parts)


# ------------------------------------------------------------------- orders

_LETTERS = ("a", "b", "c")
ALIKE = "all-equal"
IN_TURN = "a-then-b-then-c"


def _orders() -> Iterator[tuple[str, tuple[int, ...]]]:
    for three in permutations(_LETTERS):
        yield "-then-".join(three), tuple(three.index(one) for one in _LETTERS)
    for one in _LETTERS:
        pair = "".join(other for other in _LETTERS if other != one)
        yield f"{one}-then-{pair}", tuple(int(other != one) for other in _LETTERS)
        yield f"{pair}-then-{one}", tuple(int(other == one) for other in _LETTERS)
    yield ALIKE, (0, 0, 0)


ORDERS: Mapping[str, tuple[int, ...]] = MappingProxyType(dict(_orders()))
"""The orders of three outputs: the id of the choice, and the place of each, the largest first."""

OFFERED = 5


def order_of(squares: Sequence[Fraction]) -> str | None:
    """The order of three outputs, by their squares; ``None`` where two are near and not equal."""
    steps = sorted(set(squares), reverse=True)
    if any(low and high / low < _CLEAR for high, low in pairwise(steps)):
        return None
    places = tuple(steps.index(square) for square in squares)
    return next((id_ for id_, found in ORDERS.items() if found == places), None)


def rank(outputs: Sequence[Output], place: str, omega_squared: Fraction) -> str | None:
    """The order of three outputs at a place; ``None`` where it can't be asked for.

    Args:
        outputs: the three.
        place: where.
        omega_squared: (2π·f0)².
    """
    squares = [output.squared(place, omega_squared) for output in outputs]
    exact = [square for square in squares if square is not None]
    return order_of(exact) if len(exact) == len(outputs) else None


def _offered(truth: str, likely: Iterator[str | None], chance: Chance) -> tuple[Choice, ...]:
    """The truth among what else may be believed, the same whichever place is asked about."""
    kept = dict.fromkeys([truth, *(id_ for id_ in likely if id_)])
    rest = [id_ for id_ in chance.shuffled(tuple(ORDERS)) if id_ not in kept]
    ids = [*list(kept)[:OFFERED], *rest][:OFFERED]
    return tuple(Choice(id_) for id_ in ORDERS if id_ in ids)


def _ranking(
    rung: Rung,
    every: Sequence[Output],
    threes: Iterable[Sequence[int]],
    places: Sequence[str],
    omega_squared: Fraction,
    asking: Asking,
) -> Question | None:
    """Which order three outputs have: the place and the sort of order are drawn first.

    ``threes`` are places in ``every``.
    """
    squares = {p: [output.squared(p, omega_squared) for output in every] for p in places}
    found: dict[str, list[tuple[Sequence[int], str, str]]] = {}
    for three in threes:
        for place in places:
            exact = [square for n in three if (square := squares[place][n]) is not None]
            truth = order_of(exact) if len(exact) == len(three) else None
            if truth is not None:
                found.setdefault(truth, []).append((three, place, truth))
    if not found:
        return None
    three, place, truth = asking.chance.pick(found[asking.chance.pick(tuple(found))])
    outputs = [every[n] for n in three]
    elsewhere = (rank(outputs, other, omega_squared) for other in (DC, HIGH, AT_F0))
    choices = _offered(truth, chain(elsewhere, (ALIKE, IN_TURN)), asking.chance)
    values: Values = (("asked", place), *_named(outputs, rung))
    if place == AT_F0 and rung is Rung.CIRCUITS_RANKED:
        values += tuple(
            (key, next(e.name for e in asking.facts.ladder.elements() if e.kind is kind))
            for key, kind in (("inductor", Kind.L), ("capacitor", Kind.C))
        )
    return Question(rung, Form.CHOICE, truth, choices, values=values)


def _named(outputs: Sequence[Output], rung: Rung) -> Iterator[tuple[str, str]]:
    for letter, output in zip(_LETTERS, outputs, strict=True):
        if rung is Rung.TAPS_RANKED:
            yield letter, output.across.name
            continue
        before = " + ".join(p.name for p in output.parts if p is not output.across)
        yield f"series-{letter}", before
        yield f"across-{letter}", output.across.name


def outputs_of(ladder: Ladder, values: Values, rung: Rung) -> tuple[Output, ...]:
    """The three outputs that a question's values speak of.

    Args:
        ladder: the circuit.
        values: the question's.
        rung: its kind.

    Raises:
        LookupError: the values name no such parts.
    """
    parts = {element.name: element for element in ladder.elements()}
    if rung is Rung.TAPS_RANKED:
        loop = loop_of(ladder)
        return tuple(Output(loop, parts[value_of(values, one, str)]) for one in _LETTERS)
    found = []
    for one in _LETTERS:
        across = parts[value_of(values, f"across-{one}", str)]
        before = tuple(parts[n] for n in value_of(values, f"series-{one}", str).split(" + "))
        found.append(Output((*before, across), across))
    return tuple(found)


def resonance_squared(ladder: Ladder) -> Fraction | None:
    """1/(L·C) of the first coil and the first capacitor, exact; ``None`` without both."""
    coils = [e for e in ladder.reactive() if e.kind is Kind.L]
    capacitors = [e for e in ladder.reactive() if e.kind is Kind.C]
    if not coils or not capacitors:
        return None
    return 1 / (coils[0].amount * capacitors[0].amount)


@MAKERS(Rung.TAPS_RANKED)
def _taps_ranked(asking: Asking) -> Question | None:
    """Three parts of one loop, at the ends, at f0 and a decade off."""
    known, loop = asking.facts, loop_of(asking.facts.ladder)
    omega = known.corner_squared
    if omega is None or len(loop) < 3:
        return None
    every, threes = [Output(loop, e) for e in loop], combinations(range(len(loop)), 3)
    return _ranking(Rung.TAPS_RANKED, every, threes, (DC, TENTH, AT_F0, TEN, HIGH), omega, asking)


@MAKERS(Rung.CIRCUITS_RANKED)
def _circuits_ranked(asking: Asking) -> Question | None:
    """Three small circuits of two parts each, one of them with a resistance at least."""
    ladder = asking.facts.ladder
    parts = list({e.kind: e for e in reversed(list(ladder.elements()))}.values())
    others = [e for e in ladder.elements() if e.kind is Kind.R and e not in parts]
    parts += others[:1]
    pairs = [
        Output((before, across), across)
        for before in parts
        for across in parts
        if before is not across and Kind.R in (before.kind, across.kind)
    ]
    if len(pairs) < 3:
        return None
    omega = resonance_squared(ladder)
    places = (DC, HIGH) if omega is None else (DC, AT_F0, HIGH)
    threes = [asking.chance.shuffled(three) for three in combinations(range(len(pairs)), 3)]
    return _ranking(Rung.CIRCUITS_RANKED, pairs, threes, places, omega or Fraction(1), asking)
