"""Questions that lead back to the circuit: which circuit, which arm, which value.

Each maker gives a :class:`Drawn`, or ``None`` where the circuit does not lend itself to it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from ..analysis.design import Pair, for_corner, for_q, omega_of, pair_of
from ..analysis.response import Facts, FilterType, PoleNature, facts
from ..chance import Chance
from ..circuits.altered import with_value
from ..circuits.gaps import place_of, with_arm
from ..circuits.model import Arm, CircuitError, Element, Group, Joint, Kind, Ladder, leaves, merged
from ..circuits.model import valueless as lettered
from ..quantities.spelling import listed
from ..quantities.units import Quantity
from ..quantities.write import rounded, write_quantity
from .analyse import TYPES, pass_band_gain
from .asking import quantity
from .lookalikes import candidates, structural_type
from .model import PLACES, Choice, Face, Form, Question, Rung, Values
from .reasons import Claim, draw
from .values import value_of

LEVEL_OF_TRAPS = 5
"""From here on an element may do nothing where it lies."""


@dataclass(frozen=True, slots=True)
class ReverseDraw:
    """A circuit, what of it is asked, and what stands in its place meanwhile.

    ``settled`` are figures that the questions give away: they are not asked any more.
    """

    ladder: Ladder
    questions: tuple[Question, ...]
    face: Face
    blank: tuple[str, ...] = ()
    settled: frozenset[Rung] = frozenset()


# ------------------------------------------------------------------------- which circuit


def which_circuit(
    ladder: Ladder, known: Facts, face: Face, level: int, chance: Chance
) -> ReverseDraw | None:
    """Four circuits, one of which has the response shown; and why another one has not.

    Args:
        ladder: the right one.
        known: its facts.
        face: what is shown of its response.
        level: the family's.
        chance: what draws.
    """
    if known.type not in TYPES or known.type is not known.type_exact:
        return None
    others = candidates(
        ladder,
        known,
        face,
        chance,
        same_type=level > 1 and chance.below(2) == 0,
        traps=level >= LEVEL_OF_TRAPS,
    )
    if others is None:
        return None
    order = chance.shuffled([ladder, *others])
    drawn = [merged(one) for one in order]
    choices = tuple(
        Choice(place, (("circuit", lettered(one)), ("valued", one)))
        for place, one in zip(PLACES, drawn, strict=True)
    )
    named = [f"{e.name} = {write_quantity(e.amount, e.kind.unit)}" for e in _parts(order)]
    truth = PLACES[order.index(ladder)]
    values: Values = (("asked", face.value), ("parts", listed(named, "and")))
    asked = [Question(Rung.WHICH_CIRCUIT, Form.CHOICE, truth, choices, values=values)]
    asked += _lookalike_reason(ladder, known, others, chance)
    return ReverseDraw(ladder, tuple(asked), face)


def of_choice(choice: Choice) -> Facts | None:
    """The facts of a circuit offered as a choice, with the values it has.

    ``None`` where nothing comes out of it, which is so of no certified choice.
    """
    try:
        return facts(value_of(choice.values, "valued", Ladder))
    except CircuitError:
        return None


def _parts(circuits: list[Ladder]) -> list[Element]:
    """Every part of some circuits: source, R, L and C by name, load."""
    parts = {e.name: e for one in circuits for e in one.elements()}
    ends = circuits[0].source, circuits[0].load

    def place(part: Element) -> tuple[int, str]:
        return (ends.index(part) * 4 if part in ends else "RLC".index(part.kind) + 1), part.name

    return sorted(parts.values(), key=place)


def _lookalike_reason(
    ladder: Ladder, known: Facts, others: tuple[Ladder, ...], chance: Chance
) -> Iterator[Question]:
    for other in chance.shuffled(others):
        claims = list(differences(known, facts(other)))
        if not any(c.holds for c in claims) or sum(not c.holds for c in claims) < 3:
            continue
        truth, choices = draw(claims, chance, sure=2)
        drawn = merged(other)
        values: Values = (
            ("circuit", lettered(merged(ladder))),
            ("other", lettered(drawn)),
            ("valued", drawn),
        )
        yield Question(Rung.LOOKALIKE_REASON, Form.CHOICE, truth, choices, values=values)
        return


_MUCH, _LITTLE = 4, Fraction(21, 20)
"""Squared ratios: a figure is said to differ from a factor of two on, and not to below 2.5 %."""


def differences(shown: Facts, other: Facts) -> Iterator[Claim]:
    """What the ``other`` circuit does and the one ``shown`` does not, the plainest first.

    A difference that is there but hard to see is neither claimed nor denied.
    """
    yield Claim("passes-dc", other.gain_low > 0 and not shown.gain_low)
    yield Claim("passes-high", other.gain_high > 0 and not shown.gain_high)
    yield Claim("blocks-dc", shown.gain_low > 0 and not other.gain_low)
    yield Claim("blocks-high", shown.gain_high > 0 and not other.gain_high)
    nulls, own = other.axis_zero_pairs, shown.axis_zero_pairs
    yield Claim("null", nulls > 0 and not own)
    yield Claim("no-null", own > 0 and not nulls)
    if other.slope_high and shown.slope_high:
        yield Claim("steeper-high", other.slope_high < shown.slope_high)
        yield Claim("flatter-high", other.slope_high > shown.slope_high)
    if other.slope_low and shown.slope_low:
        yield Claim("steeper-low", other.slope_low > shown.slope_low)
        yield Claim("flatter-low", other.slope_low < shown.slope_low)
    if other.type_exact is shown.type_exact and other.transfer.order == shown.transfer.order:
        if shown.corner_squared and other.corner_squared:
            yield from _figure("corner", other.corner_squared / shown.corner_squared)
        if shown.q_squared and other.q_squared:
            yield from _figure("q", other.q_squared / shown.q_squared)
        gains = pass_band_gain(shown), pass_band_gain(other)
        if gains[0] and gains[1]:
            yield from _figure("gain", (gains[1] / gains[0]) ** 2)


def _figure(name: str, squared: Fraction) -> Iterator[Claim]:
    for word, ratio in (("above", squared), ("below", 1 / squared)):
        if ratio >= _MUCH or ratio <= _LITTLE:
            yield Claim(f"{name}-{word}", ratio >= _MUCH)


# ------------------------------------------------------------------------- the missing arm

ARMS = ("resistor", "inductor", "capacitor", "in-series", "in-parallel")
"""What a missing arm may be, in the order shown; the same for every problem."""

_LEAST_ARMS = 4


def arm_kind(arm: Arm) -> str | None:
    """Which of :data:`ARMS` an arm is; ``None`` for any other."""
    if isinstance(arm, Element):
        return {Kind.R: "resistor", Kind.L: "inductor", Kind.C: "capacitor"}[arm.kind]
    kinds = sorted(e.kind.value for e in leaves(arm))
    if kinds != ["C", "L"]:
        return None
    return "in-series" if arm.joint is Joint.SERIES else "in-parallel"


def arm_of(kind: str, called: str = "_new") -> Arm:
    """An arm of a kind, without values; no circuit of the catalogue has its names.

    Args:
        kind: the id of a choice among kinds of arms.
        called: what follows the letter in the names of its parts.
    """
    coil, capacitor = Element(Kind.L, f"L{called}"), Element(Kind.C, f"C{called}")
    match kind:
        case "resistor":
            return Element(Kind.R, f"R{called}")
        case "inductor":
            return coil
        case "capacitor":
            return capacitor
        case "in-series":
            return Group(Joint.SERIES, (coil, capacitor))
        case _:
            return Group(Joint.PARALLEL, (coil, capacitor))


def outcome(ladder: Ladder, index: int, kind: str) -> tuple[FilterType, int] | None:
    """(type, pole count) of ``ladder`` with an arm of ``kind`` in the stage at ``index``.

    They are the same whatever its values.
    """
    try:
        return structural_type(with_arm(ladder, index, arm_of(kind)))
    except CircuitError:
        return None


def missing_arm(ladder: Ladder, known: Facts, chance: Chance) -> ReverseDraw | None:
    """An arm left out, by ``chance``, of ``ladder``: which one makes the type that is wanted?

    ``known`` are the circuit's facts.
    """
    wanted = (known.type, known.transfer.order)
    if known.type not in TYPES or structural_type(ladder) != wanted:
        return None
    for index in chance.shuffled(range(len(ladder.stages))):
        arm = ladder.stages[index].arm
        truth = arm_kind(arm) if arm is not None else None
        if arm is None or truth is None:
            continue
        made = {kind: outcome(ladder, index, kind) for kind in ARMS}
        # A dip or a shelf has no name: an arm that makes one is not offered.
        named = [k for k in ARMS if (o := made[k]) is not None and o[0] in TYPES]
        fit = [k for k in named if k == truth or made[k] != wanted]
        if len(fit) < _LEAST_ARMS or made[truth] != wanted:
            continue
        values: Values = (
            ("asked", known.type_exact.value),
            ("order", known.transfer.order),
            ("stage", index),
        )
        asked = Question(
            Rung.MISSING_ARM, Form.CHOICE, truth, tuple(map(Choice, fit)), values=values
        )
        names = tuple(e.name for e in leaves(arm))
        assert place_of(ladder, names) == index
        return ReverseDraw(ladder, (asked,), Face.BLANK, names, frozenset({Rung.TYPE}))
    return None


# ------------------------------------------------------------------------- values


def _written_value(x: float) -> Fraction:
    """A computed value as it is written in the circuit afterwards: four digits."""
    return rounded(x, 4)


_SENSIBLE = {
    Kind.R: (Fraction(1), Fraction(10**7)),
    Kind.L: (Fraction(1, 10**7), Fraction(10)),
    Kind.C: (Fraction(1, 10**12), Fraction(1, 100)),
}
"""Values that a laboratory knows, in Ω, H and F; common practice, no source."""


def _sensible(ladder: Ladder, name: str, x: float | None) -> bool:
    least, most = _SENSIBLE[ladder.part(name).kind]
    return x is not None and least <= x <= most


_TELLS = Fraction(1, 50)
"""A tenth more of an element must move what is wanted by this at least: else no answer within
the tolerance could be worked out with a few digits."""


def _tells(ladder: Ladder, name: str, x: float, figure: Callable[[Facts], float | None]) -> bool:
    found = [
        figure(facts(with_value(ladder, name, Fraction(x) * k))) for k in (1, Fraction(11, 10))
    ]
    if found[0] is None or found[1] is None:
        return False
    return abs(found[1] - found[0]) >= _TELLS * found[0]


def _quantity(rung: Rung, name: str, x: float, values: Values) -> Question:
    return quantity(rung, x, Kind(name[0]).unit, (("element", name), *values))


def _names(ladder: Ladder, kinds: str) -> list[str]:
    return [e.name for e in ladder.elements() if e.kind.value in kinds]


def _has_type(known: Facts) -> bool:
    """Whether it has a type to choose from, by what the gain does or by its exact ends."""
    return known.type in TYPES or known.type_exact in TYPES


def _corner(known: Facts) -> float | None:
    """The corner in Hz, where one can be wanted: nobody tunes an all-pass by its corner."""
    return None if known.type is FilterType.ALL_PASS else known.corner_hz


def value_for_corner(ladder: Ladder, known: Facts, chance: Chance) -> ReverseDraw | None:
    """The value of one element that puts the corner where it is wanted.

    ``ladder`` is the circuit as drawn, ``known`` its facts; ``chance`` draws the element.
    """
    corner = _corner(known)
    if not corner:
        return None
    hertz = rounded(corner)
    for name in chance.shuffled(_names(ladder, "LC" if known.transfer.order == 2 else "RLC")):
        x = for_corner(ladder, name, omega_of(hertz))
        if x is None or not _sensible(ladder, name, x):
            continue
        if _tells(ladder, name, x, lambda f: f.corner_hz):
            values: Values = (("asked", "corner"), ("f0", Quantity(hertz, "Hz")))
            asked = _quantity(Rung.ELEMENT_VALUE, name, x, values)
            sized = with_value(ladder, name, _written_value(x))
            return ReverseDraw(sized, (asked,), Face.BLANK, (name,), frozenset({Rung.CORNER}))
    return None


def value_for_q(ladder: Ladder, known: Facts, chance: Chance) -> ReverseDraw | None:
    """The value of one resistance that makes Q as wanted.

    ``ladder`` is the circuit as drawn, ``known`` its facts; ``chance`` draws the resistance.
    """
    if known.q is None or not _has_type(known):
        return None
    return _for_q(ladder, chance, rounded(known.q))


ONE_OVER_ROOT_TWO = Fraction(7071, 10_000)
"""1/√2 as it is written in a question."""


def q_has_a_name(known: Facts) -> bool:
    """Whether the Q of a circuit is one that has a name: ½, or that of a maximally flat one."""
    return known.type in TYPES and (known.pole_nature is PoleNature.DOUBLE or known.maximally_flat)


def value_for_named_q(ladder: Ladder, known: Facts, chance: Chance) -> ReverseDraw | None:
    """The same where Q has a name: critical damping, or a maximally flat response.

    No value is asked for that another resistance of the circuit has.

    Args:
        ladder: the circuit as drawn.
        known: its facts.
        chance: draws the resistance.
    """
    q, worded = (
        (ONE_OVER_ROOT_TWO, "flat") if known.maximally_flat else (Fraction(1, 2), "critical")
    )
    drawn = _for_q(ladder, chance, q, (("worded", worded),))
    if drawn is None:
        return None
    ohms = {e.name: e.value for e in drawn.ladder.elements() if e.kind is Kind.R}
    (name,) = drawn.blank
    return None if list(ohms.values()).count(ohms[name]) > 1 else drawn


def _for_q(ladder: Ladder, chance: Chance, q: Fraction, worded: Values = ()) -> ReverseDraw | None:
    for name in chance.shuffled(_names(ladder, "R")):
        found = for_q(ladder, name, q)
        if len(found) != 1 or not _sensible(ladder, name, found[0]):
            continue
        if _tells(ladder, name, found[0], lambda f: f.q):
            values: Values = (("asked", "q"), ("q", Quantity(q, "")), *worded)
            asked = _quantity(Rung.ELEMENT_VALUE, name, found[0], values)
            sized = with_value(ladder, name, _written_value(found[0]))
            return ReverseDraw(sized, (asked,), Face.BLANK, (name,), frozenset({Rung.Q}))
    return None


def value_for_both(ladder: Ladder, known: Facts, chance: Chance) -> ReverseDraw | None:
    """L or C of a resonator of which corner and Q are wanted, and only the resistances known.

    ``ladder`` is the circuit as drawn, ``known`` its facts; ``chance`` draws which one is asked.
    """
    pair = pair_of(ladder)
    if pair is None or not known.corner_hz or not known.q:
        return None
    hertz, q = rounded(known.corner_hz), rounded(known.q)
    sizes = sizes_for(pair, hertz, q)
    if not all(_sensible(ladder, name, x) for name, x in sizes.items()):
        return None
    name = chance.pick(sorted(sizes))
    values: Values = (
        ("asked", "both"),
        ("f0", Quantity(hertz, "Hz")),
        ("q", Quantity(q, "")),
        ("other", next(n for n in sizes if n != name)),
    )
    sized = ladder
    for part, x in sizes.items():
        sized = with_value(sized, part, _written_value(x))
    asked = _quantity(Rung.ELEMENT_VALUE, name, sizes[name], values)
    settled = frozenset({Rung.CORNER, Rung.Q})
    return ReverseDraw(sized, (asked,), Face.BLANK, tuple(sizes), settled)


def sizes_for(pair: Pair, hertz: Fraction, q: Fraction) -> dict[str, float]:
    """The one L (H) and the one C (F) of the resonator ``pair``, by name.

    ``hertz`` is its f0 in Hz, ``q`` its Q.
    """
    omega = omega_of(hertz)
    return {
        pair.inductor.name: pair.inductance(omega, float(q)),
        pair.capacitor.name: pair.capacitance(omega, float(q)),
    }


BANDS = (
    (Fraction(535_000), Fraction(1_705_000)),  # 47 CFR 73.14 (section from memory)
    (Fraction(526_500), Fraction(1_606_500)),  # ITU Region 1 (value from memory)
    (Fraction(540_000), Fraction(1_600_000)),  # the carriers a receiver's dial begins and ends with
)
"""Medium-wave broadcast bands in Hz, for the tanks of receivers."""

_RATIOS = (Fraction(3, 2), Fraction(2), Fraction(5, 2), Fraction(3))


def tuning_range(
    ladder: Ladder, known: Facts, chance: Chance, *, broadcast: bool = False
) -> ReverseDraw | None:
    """The least and the greatest value of a variable C or L that tunes over a range.

    ``ladder`` is the circuit as drawn, ``known`` its facts; ``chance`` draws the range, which is
    one of the medium-wave bands if ``broadcast``.
    """
    corner = _corner(known)
    if not corner:
        return None
    if broadcast:
        low, high = chance.pick(BANDS)
    else:
        low = rounded(corner)
        high = rounded(low * chance.pick(_RATIOS))
    for name in sorted(_names(ladder, "LC"), key=lambda n: (n[0], chance.bits())):
        found = [for_corner(ladder, name, omega_of(f)) for f in (low, high)]
        if not all(_sensible(ladder, name, x) for x in found):
            continue
        least, most = sorted(x for x in found if x is not None)
        if not all(_tells(ladder, name, x, lambda f: f.corner_hz) for x in (least, most)):
            continue
        values: Values = (
            ("asked", "broadcast" if broadcast else "range"),
            ("f1", Quantity(low, "Hz")),
            ("f2", Quantity(high, "Hz")),
        )
        asked = (
            _quantity(Rung.LEAST_VALUE, name, least, values),
            _quantity(Rung.MOST_VALUE, name, most, values),
        )
        sized = with_value(ladder, name, _written_value(most))
        return ReverseDraw(sized, asked, Face.BLANK, (name,), frozenset({Rung.CORNER}))
    return None
