"""Design: H(s) in ω0 and Q, prototypes scaled, and what a part that is off does to f0 and Q.

Impedances times k and frequencies times m: R becomes kR, L becomes kL/m, C becomes C/(km), so that
f0 becomes m·f0 and Q stays (common practice, no source).  Element values of prototypes: sources
with :data:`PROTOTYPES`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial

from ..analysis.response import TWO_PI, Facts, FilterType, facts
from ..circuits.altered import with_value
from ..circuits.model import CircuitError, Element, Kind, Ladder, mapped
from ..formulas.read import parse
from ..formulas.tree import Formula
from ..quantities.units import Quantity
from .analyse import pass_band_gain
from .asking import Asking, quantity
from .kinds import MAKERS
from .model import Choice, Form, Question, Rung, Values

# ------------------------------------------------------------------------- the standard form

LETTERS = ("s", "ω0", "Q", "K")
"""The letters of a standard form; K is the gain of the pass band."""

TURNED = "-turned"
"""Ends the id of a form whose Q stands upside down."""

_NUMERATORS = {
    FilterType.LOW_PASS: "ω0^2",
    FilterType.HIGH_PASS: "s^2",
    FilterType.BAND_PASS: "{damping}*s",
    FilterType.NOTCH: "(s^2 + ω0^2)",
}
_DAMPING, _DAMPING_TURNED = "(ω0/Q)", "ω0*Q"
_LEAST_Q_FROM_ONE = 0.15
"""In decades' terms of the natural logarithm: nearer to 1, Q and 1/Q are hardly told apart."""


def standard_form(of: FilterType, *, gain: bool = True, turned: bool = False) -> Formula:
    """H(s) of two poles in ω0 and Q.

    Args:
        of: which filter it is.
        gain: whether it has K before it.
        turned: whether Q stands upside down.
    """
    damping = _DAMPING_TURNED if turned else _DAMPING
    top = ("K*" if gain else "") + _NUMERATORS[of].format(damping=damping)
    return parse(f"{top}/(s^2 + {damping}*s + ω0^2)", LETTERS)


def has_standard_form(known: Facts) -> bool:
    """Whether H(s) is one of the four standard forms, times a gain."""
    transfer = known.transfer
    if transfer.order != 2 or known.q is None or known.type not in _NUMERATORS:
        return False
    if not pass_band_gain(known):
        return False
    zeros = transfer.zero_count, transfer.zeros_at_origin
    if known.type is FilterType.NOTCH:
        top = transfer.numerator
        return zeros == (2, 0) and not top[1] and top[2] / top[0] == transfer.denominator[2]
    wanted = {FilterType.LOW_PASS: (0, 0), FilterType.HIGH_PASS: (2, 2)}
    return zeros == wanted.get(known.type, (1, 1))


def _is_chosen(asking: Asking) -> bool:
    """Whether the form is chosen and not typed: whoever sees the choices need not know it."""
    far = abs(math.log(asking.facts.q or 1.0)) >= _LEAST_Q_FROM_ONE
    return far and asking.drawn("standard form").pick((True, False))


@MAKERS(Rung.STANDARD_FORM)
def _standard_form(asking: Asking) -> Question | None:
    known = asking.facts
    if not has_standard_form(known) or _is_chosen(asking):
        return None
    truth = standard_form(known.type, gain=pass_band_gain(known) != 1)
    return Question(Rung.STANDARD_FORM, Form.FORMULA, truth)


@MAKERS(Rung.WHICH_FORM)
def _which_form(asking: Asking) -> Question | None:
    """Two numerators and two dampings: nothing in the list tells which of them are right."""
    known = asking.facts
    if not has_standard_form(known) or not _is_chosen(asking):
        return None
    other = asking.chance.pick([of for of in _NUMERATORS if of is not known.type])
    choices = [
        Choice(
            of.value + (TURNED if turned else ""),
            (("formula", standard_form(of, turned=turned)),),
        )
        for of in (known.type, other)
        for turned in (False, True)
    ]
    shuffled = tuple(asking.chance.shuffled(choices))
    return Question(Rung.WHICH_FORM, Form.CHOICE, known.type.value, shuffled)


# ------------------------------------------------------------------------- scaling


@dataclass(frozen=True, slots=True)
class Prototype:
    """A low-pass of two poles for 1 rad/s: a series coil and a shunt capacitor.

    Args:
        called: its name.
        first: g1, in H where the coil comes first, else in F.
        second: g2, of the other.
        load: in Ω where the coil comes first, else in S; the source has 1 Ω.
    """

    called: str
    first: str
    second: str
    load: str = "1"


PROTOTYPES = (
    Prototype("Butterworth", "1.414", "1.414"),
    Prototype("Bessel", "0.5755", "2.148"),
    Prototype("0.1 dB Chebyshev", "0.8430", "0.6220", "1.3554"),
    Prototype("0.5 dB Chebyshev", "1.4029", "0.7071", "1.9841"),
)
"""g-values of doubly terminated ladders, as filter handbooks print them: Butterworth's are
2·sin((2k − 1)π/4); the others are values from memory, which a test works out anew.  Frequency 1 is
3 dB down, of a Chebyshev the end of the ripple."""

_OHMS = (50, 75, 300, 600, 1000, 4700, 10_000)
_HERTZ = (1000, 3400, 10_000, 50_000, 455_000, 1_000_000, 10_700_000)


@MAKERS(Rung.SCALED_VALUE)
def _scaled_value(asking: Asking) -> Question:
    chance = asking.chance
    prototype, coil_first = chance.pick(PROTOTYPES), chance.pick((True, False))
    ohms, hertz = chance.pick(_OHMS), chance.pick(_HERTZ)
    coil, capacitor = prototype.first, prototype.second
    load = Fraction(prototype.load)
    if not coil_first:
        coil, capacitor, load = capacitor, coil, 1 / load
    of_coil = chance.pick((True, False))
    omega = TWO_PI * hertz
    truth = float(coil) * ohms / omega if of_coil else float(capacitor) / (ohms * omega)
    names = ("L1", "C2") if coil_first else ("L2", "C1")
    values: Values = (
        ("asked", "inductor-first" if coil_first else "capacitor-first"),
        ("called", prototype.called),
        ("inductor", names[0]),
        ("capacitor", names[1]),
        ("element", names[0 if of_coil else 1]),
        ("henries", f"{coil} H"),
        ("farads", f"{capacitor} F"),
        ("load", f"{float(load):.4g} Ω"),
        ("ohms", Quantity(Fraction(ohms), "Ω")),
        ("f0", Quantity(Fraction(hertz), "Hz")),
    )
    unit = "H" if of_coil else "F"
    return quantity(Rung.SCALED_VALUE, truth, unit, values)


def normalised(known: Facts, element: Element, resistor: Element) -> float:
    """The value of a part where ω0 is 1 rad/s and a resistance 1 Ω.

    Args:
        known: of the circuit, which has one or two poles.
        element: a coil or a capacitor.
        resistor: the resistance.
    """
    assert known.corner_hz and element.value and resistor.value
    omega, ohms = TWO_PI * known.corner_hz, float(resistor.value)
    value = float(element.value) * omega
    return value / ohms if element.kind is Kind.L else value * ohms


@MAKERS(Rung.PROTOTYPE_VALUE)
def _prototype_value(asking: Asking) -> Question | None:
    known = asking.facts
    reactive = [e for e in known.ladder.reactive() if e.value]
    resistors = [e for e in known.ladder.elements() if e.kind is Kind.R and e.value]
    if known.transfer.order != 2 or known.q is None or not reactive or not resistors:
        return None
    element, resistor = asking.chance.pick(reactive), asking.chance.pick(resistors)
    truth = normalised(known, element, resistor)
    values = (("element", element.name), ("resistor", resistor.name))
    return quantity(Rung.PROTOTYPE_VALUE, truth, element.kind.unit, values)


TEN = 10
FACTORS = {
    "impedance": {Kind.R: Fraction(TEN), Kind.L: Fraction(TEN), Kind.C: Fraction(1, TEN)},
    "frequency": {Kind.L: Fraction(1, TEN), Kind.C: Fraction(1, TEN)},
    "reactance": {Kind.L: Fraction(TEN), Kind.C: Fraction(1, TEN)},
}
"""What all parts of a kind are multiplied by."""
EFFECTS: Mapping[tuple[Fraction, Fraction], str] = {
    (Fraction(1), Fraction(1)): "both-stay",
    (Fraction(TEN), Fraction(1)): "f0-up",
    (Fraction(1), Fraction(TEN)): "q-up",
    (Fraction(1), Fraction(1, TEN)): "q-down",
}
"""By what f0 and Q are multiplied, and the id of the choice."""


def scaled(ladder: Ladder, how: str) -> Ladder:
    """A circuit with all parts of a kind changed alike.

    Args:
        ladder: the circuit, with values.
        how: which way, of :data:`FACTORS`.
    """

    def changed(element: Element) -> Element:
        factor = FACTORS[how].get(element.kind)
        if factor is None or element.value is None:
            return element
        return replace(element, value=element.value * factor)

    return mapped(ladder, changed)


def effect_of(known: Facts, how: str) -> str | None:
    """What a scaling does, as the id of a choice; ``None`` where it is none of them.

    Args:
        known: of the circuit, which has two poles.
        how: which way, of :data:`FACTORS`.
    """
    other = facts(scaled(known.ladder, how))
    if not (known.corner_squared and known.q_squared and other.corner_squared and other.q_squared):
        return None
    ratios = other.corner_squared / known.corner_squared, other.q_squared / known.q_squared
    found = {(f * f, q * q): effect for (f, q), effect in EFFECTS.items()}
    return found.get(ratios)


@MAKERS(Rung.SCALING_EFFECT)
def _scaling_effect(asking: Asking) -> Question | None:
    known = asking.facts
    kinds = {e.kind for e in known.ladder.reactive()}
    if known.transfer.order != 2 or Kind.C not in kinds:
        return None
    both = Kind.L in kinds
    how = asking.chance.pick(
        ("impedance", "frequency", *(("reactance", "reactance") if both else ()))
    )
    truth = effect_of(known, how)
    if truth is None:
        return None
    choices = tuple(Choice(effect) for effect in EFFECTS.values())
    worded = how if both else f"{how}-capacitors"
    values = (("worded", worded), ("asked", how))
    return Question(Rung.SCALING_EFFECT, Form.CHOICE, truth, choices, values=values)


# ------------------------------------------------------------------------- tolerances

OFF = {"20 % too large": 20, "50 % too large": 50, "20 % too small": -20, "30 % too small": -30}
"""By how many per cent a part is off, by the words."""
_CLEAR = 0.04
"""As a share: what moves less has no question asked about it."""
STEP = Fraction(1001, 1000)
SENSITIVITIES = {
    -1.0: "minus-one",
    -0.5: "minus-half",
    0.0: "none",
    0.5: "plus-half",
    1.0: "plus-one",
}
"""By how many per cent a figure moves for each per cent of a part, and the id of the choice."""
WHOLE = 0.02
"""How near a sensitivity lies to one of them."""


def with_part(known: Facts, name: str, factor: Fraction) -> Facts | None:
    """Facts of the circuit with a part's value multiplied; ``None`` where they make no sense.

    Args:
        known: of the circuit.
        name: of the part.
        factor: by which.
    """
    try:
        return facts(with_value(known.ladder, name, known.ladder.part(name).amount * factor))
    except CircuitError:
        return None


def figure_of(known: Facts, which: str) -> float | None:
    """f0 in Hz, or Q.

    Args:
        known: of the circuit.
        which: "f0" or "q".
    """
    return known.corner_hz if which == "f0" else known.q


def _moved(asking: Asking, which: str) -> Iterator[tuple[str, str, float]]:
    """(part, how far it is off, the figure then), in the order of chance."""
    known = asking.facts
    names = [e.name for e in known.ladder.elements() if e.value]
    for name in asking.chance.shuffled(names):
        for off in asking.chance.shuffled(tuple(OFF)):
            other = with_part(known, name, 1 + Fraction(OFF[off], 100))
            before, after = figure_of(known, which), other and figure_of(other, which)
            if before and after and abs(after / before - 1) >= _CLEAR:
                yield name, off, after


def _tolerance(rung: Rung, which: str, asking: Asking) -> Question | None:
    if not figure_of(asking.facts, which):
        return None
    found = next(_moved(asking, which), None)
    if found is None:
        return None
    name, off, truth = found
    values = (("part", name), ("off", off))
    return quantity(rung, truth, "Hz" if which == "f0" else "", values)


MAKERS(Rung.TOLERANCE_F0)(partial(_tolerance, Rung.TOLERANCE_F0, "f0"))
MAKERS(Rung.TOLERANCE_Q)(partial(_tolerance, Rung.TOLERANCE_Q, "q"))


def sensitivity(known: Facts, which: str, name: str) -> float | None:
    """Per cent of f0 or Q for each per cent of a part.

    Args:
        known: of the circuit.
        which: "f0" or "q".
        name: of the part.
    """
    other = with_part(known, name, STEP)
    before, after = figure_of(known, which), other and figure_of(other, which)
    return math.log(after / before) / math.log(STEP) if before and after else None


@MAKERS(Rung.SENSITIVITY)
def _sensitivity(asking: Asking) -> Question | None:
    """A part and a figure, after what is right was drawn: no answer is the usual one."""
    known = asking.facts
    found: dict[float, list[tuple[str, str]]] = {}
    for which in ("f0", "q"):
        for name in (e.name for e in known.ladder.elements()):
            exact = sensitivity(known, which, name)
            near = exact is not None and min(SENSITIVITIES, key=lambda s: abs(s - exact))
            if exact is not None and abs(near - exact) <= WHOLE:
                found.setdefault(float(near), []).append((which, name))
    if not found:
        return None
    power = asking.chance.pick(sorted(found))
    which, name = asking.chance.pick(found[power])
    way = asking.chance.pick(("grows", "shrinks"))
    truth = SENSITIVITIES[(1 if way == "grows" else -1) * power]
    choices = tuple(Choice(one) for one in SENSITIVITIES.values())
    values = (("worded", f"{which}-{way}"), ("asked", which), ("part", name))
    return Question(Rung.SENSITIVITY, Form.CHOICE, truth, choices, values=values)
