"""Which formula gives the corner frequency: the right one among those of usual mistakes.

The wrong formulas are the right one of an altered circuit (load or source left out, L taken
for C) or the right one badly copied (root forgotten, upside down, 2π missing).  Only those
whose value is clearly another in this circuit are offered.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from ..analysis.idle import Reason, generic, hidden_elements
from ..analysis.letters import figures
from ..analysis.letters_algebra import product
from ..analysis.response import Facts
from ..circuits.altered import without, without_load, without_source
from ..circuits.model import Arm, CircuitError, Element, Kind, Ladder, join, mapped, valueless
from ..formulas.evaluate import evaluate
from ..formulas.layout import echo
from ..formulas.tree import (
    Formula,
    FormulaError,
    Letter,
    Number,
    Parallel,
    Product,
    Quotient,
    SquareRoot,
    Sum,
    letters_of,
    nodes,
    substituted,
)
from .model import TOLERANCE
from .reasons import Claim

APART = 2 * float(TOLERANCE)
"""How far, relatively, a wrong formula's value lies from the right one at least."""

LONGEST = 64
"""Characters of a formula that is still read at a glance."""

RIGHT = "these-elements"

_ONE = Number(Fraction(1))
_TWO_PI: tuple[Formula, ...] = (Number(Fraction(2)), Letter("pi"))


def corner_claims(facts: Facts) -> list[Claim]:
    """Formulas for the corner in Hz, the true one first; empty where none is short."""
    ladder = facts.ladder
    truth = facts.corner_hz
    if not truth or facts.transfer.order > 2:
        return []
    values = {e.name: float(e.value) for e in ladder.elements() if e.value is not None}
    claims: list[Claim] = []
    seen: list[float] = []
    for name, formula in _candidates(valueless(ladder)):
        try:
            value = evaluate(formula, values).real
        except FormulaError:
            continue
        if value <= 0:
            continue  # too small for a float
        near = abs(value / truth - 1)
        if name == RIGHT:
            if near > 1e-6:
                return []  # these values cancel a pole that the letters keep
        elif near < APART or any(abs(value / other - 1) < 1e-9 for other in seen):
            continue
        seen.append(value)
        claims.append(Claim(name, name == RIGHT, (("formula", formula),)))
    return claims if len(claims) > 2 else []


@lru_cache(maxsize=1024)
def _candidates(ladder: Ladder) -> tuple[tuple[str, Formula], ...]:
    """(id, formula) for a circuit without values; the true one first."""
    right = _corner(ladder)
    if right is None or len(echo(right)) > LONGEST:
        return ()
    found = [(RIGHT, right), *_wrong(ladder, right)]
    return tuple((name, formula) for name, formula in found if len(echo(formula)) <= LONGEST)


def _corner(ladder: Ladder | None) -> Formula | None:
    """The corner in Hz with letters, for one or two poles."""
    if ladder is None:
        return None
    try:
        return figures(ladder).get("corner_hz")
    except CircuitError:
        return None


def _wrong(ladder: Ladder, right: Formula) -> Iterator[tuple[str, Formula]]:
    for name, altered in ("no-load", without_load(ladder)), ("no-source", without_source(ladder)):
        formula = _corner(altered)
        if formula is not None and _has_root(formula) is _has_root(right):
            yield name, formula
    yield from _miscounted(ladder, right)
    yield from (_two_poles if _has_root(right) else _one_pole)(ladder, right)
    radians = figures(ladder)["corner_rad"]
    yield "no-two-pi", radians
    yield "upside-down", _inverse(right)


def _has_root(formula: Formula) -> bool:
    return any(isinstance(node, SquareRoot) for node in nodes(formula))


def _inverse(formula: Formula) -> Formula:
    match formula:
        case Quotient(top, bottom):
            return bottom if top == _ONE else Quotient(bottom, top)
    return Quotient(_ONE, formula)


def _over_two_pi(formula: Formula) -> Formula:
    match formula:
        case Quotient(top, Product(factors)):
            return Quotient(top, Product((*_TWO_PI, *factors)))
        case Quotient(top, bottom):
            return Quotient(top, Product((*_TWO_PI, bottom)))
    return Quotient(formula, Product(_TWO_PI))


def _unrooted(formula: Formula) -> Formula:
    """The same formula with its roots left out, as one fraction."""
    match formula:
        case SquareRoot(inside):
            return inside
        case Quotient(SquareRoot(Quotient(top, bottom)), below):
            return Quotient(top, product([below, bottom]))
        case Quotient(top, bottom):
            return Quotient(_unrooted(top), _unrooted(bottom))
        case Product(factors):
            return product([_unrooted(f) for f in factors])
    return formula


def _one_pole(ladder: Ladder, right: Formula) -> Iterator[tuple[str, Formula]]:
    reactive = ladder.reactive()
    if len(reactive) == 1:
        yield from _other_kind(ladder, reactive[0])
        yield from _other_resistance(ladder, reactive[0])
    yield "time-constant", _over_two_pi(_inverse(figures(ladder)["corner_rad"]))


def _other_kind(ladder: Ladder, reactive: Element) -> Iterator[tuple[str, Formula]]:
    """The R-C form with an inductance in it, or the R-L form with a capacitance."""
    kind = Kind.C if reactive.kind is Kind.L else Kind.L
    stand_in = Element(kind, f"{kind}_other")
    formula = _corner(mapped(ladder, lambda e: stand_in if e is reactive else e))
    if formula is not None:
        yield "other-kind", _with(formula, stand_in.name, Letter(reactive.name))


def _with(formula: Formula, name: str, new: Formula) -> Formula:
    """The formula with another one in the place of a letter."""
    return substituted(formula, lambda found: new if found == name else Letter(found))


def _other_resistance(ladder: Ladder, reactive: Element) -> Iterator[tuple[str, Formula]]:
    """Two resistances added where they are in parallel, and the reverse."""
    resistors = tuple(Letter(e.name) for e in ladder.elements() if e.kind is Kind.R)
    if len(resistors) != 2:
        return
    x = Letter(reactive.name)
    for name, total in ("in-series", Sum(resistors)), ("in-parallel", Parallel(resistors)):
        if reactive.kind is Kind.C:
            yield name, Quotient(_ONE, Product((*_TWO_PI, total, x)))
        else:
            yield name, Quotient(total, Product((*_TWO_PI, x)))


def _two_poles(ladder: Ladder, right: Formula) -> Iterator[tuple[str, Formula]]:
    reactive = ladder.reactive()
    coils = [Letter(e.name) for e in reactive if e.kind is Kind.L]
    capacitors = [Letter(e.name) for e in reactive if e.kind is Kind.C]
    resistors = [Letter(e.name) for e in ladder.elements() if e.kind is Kind.R]
    if len(coils) == len(capacitors) == 1:
        coil, capacitor = coils[0], capacitors[0]
        yield "no-resistances", _one_over(SquareRoot(Product((coil, capacitor))))
        yield "l-over-c", _one_over(SquareRoot(Quotient(coil, capacitor)))
        yield from (
            ("with-r", _one_over(SquareRoot(Product((r, coil, capacitor))))) for r in resistors[:1]
        )
    yield "no-root", _unrooted(right)
    if len(resistors) == len(reactive) == 2 and not (coils and capacitors):
        first, second = (
            Product((r, Letter(e.name))) if e.kind is Kind.C else Quotient(Letter(e.name), r)
            for r, e in zip(resistors, reactive, strict=True)
        )
        yield "sections-added", _one_over(Sum((first, second)))
    for r in resistors[:1]:
        if capacitors:
            yield "one-pole-form", _one_over(Product((r, capacitors[0])))
        elif coils:
            yield "one-pole-form", Quotient(r, Product((*_TWO_PI, coils[0])))


def _one_over(formula: Formula) -> Formula:
    """1/(2π·formula)."""
    return _over_two_pi(Quotient(_ONE, formula))


def _miscounted(ladder: Ladder, right: Formula) -> Iterator[tuple[str, Formula]]:
    """A hidden part taken for a working one, or two parts combined the wrong way."""
    for hidden in hidden_elements(generic(ladder)):
        if hidden.reason is Reason.COMBINABLE:
            assert hidden.partner is not None
            formula = _corner(without(ladder, hidden.name))
            if formula is not None:
                yield "one-part-only", formula
            formula = _corner(_rejoined(ladder, {hidden.name, hidden.partner}))
            if formula is not None:
                yield "joined-wrongly", formula
            continue
        if hidden.name in letters_of(right):
            continue  # tied to the others, it has its share in the corner all the same
        working = [e.name for e in ladder.reactive() if e.name[0] == hidden.name[0]]
        for name in working:
            if name != hidden.name and name in letters_of(right):
                both = Sum((Letter(hidden.name), Letter(name)))
                yield "hidden-taken", _with(right, name, Letter(hidden.name))
                yield "hidden-added", _with(right, name, both)


def _rejoined(ladder: Ladder, names: set[str]) -> Ladder:
    """The parts of those names joined the other way: in parallel for in series, and back."""

    def arm_of(arm: Arm) -> Arm:
        if isinstance(arm, Element):
            return arm
        parts = tuple(arm_of(part) for part in arm.parts)
        chosen = [p for p in parts if isinstance(p, Element) and p.name in names]
        if len(chosen) < 2:
            return join(arm.joint, *parts)
        rest = [p for p in parts if p not in chosen]
        return join(arm.joint, join(arm.joint.opposite, *chosen), *rest)

    stages = (replace(s, arm=arm_of(s.arm) if s.arm else None) for s in ladder.stages)
    return replace(ladder, stages=tuple(stages))
