"""H(s) in letters, step by step: impedances, voltage division, cleared fractions.

A section with one arm in the series path and one across the output is a voltage divider.
A longer one is walked from its output back to its source with the output voltage taken
as 1 (the same walk as in ``transfer``); common practice for ladders, no single source.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from flint import fmpz_mpoly

from ..analysis.arms import PlacedArm, limbs_of, sections
from ..analysis.letters import Solved, impedance, letter_transfer, solve
from ..analysis.letters_algebra import ONE, Algebra, product, raised
from ..circuits.model import Arm, Element, Ladder, Place
from ..formulas.tree import Formula, Letter, Number, Quotient, add
from .step import Step, drawn, fitted, step

_S = Letter("s")


def derivation(ladder: Ladder) -> Iterator[Step]:
    """The steps from the drawing to H(s) in letters.

    Raises:
        SymbolicTooLargeError: the circuit is too large for a formula.
    """
    solved = solve(ladder)
    parts = sections(ladder)
    for number, section in enumerate(parts, 1):
        name = "H" if len(parts) == 1 else f"H{number}"
        limbs = limbs_of(section)
        if len(parts) > 1:
            names = ", ".join(limb.text for limb in limbs) or "–"
            yield step("section", number=number, count=len(parts), names=names)
        if not limbs:
            yield step("through", drawn(name, ONE))
        elif len(limbs) == 2:
            yield from _divider(solved.algebra, name, limbs[0], limbs[1])
        else:
            yield from _walk(solved.algebra, name, limbs)
    if len(parts) > 1:
        factors = product([Letter(f"H{n}") for n in range(1, len(parts) + 1)])
        yield step("chain", drawn("H", factors), drawn("H(s)", letter_transfer(ladder).formula))
    yield from _standard(solved)


def _impedance(algebra: Algebra, name: str, arm: Arm) -> tuple[list[list[str]], Formula]:
    """(drawings, cleared formula) of an arm's impedance."""
    raw, cleared = impedance(arm), algebra.fraction(*algebra.arm(arm))
    simple = not isinstance(cleared, Quotient) or isinstance(arm, Element)
    drawings = [drawn(name, raw)] if simple else [drawn(name, raw), drawn(name, cleared)]
    return drawings, raw if simple else cleared


def _divider(algebra: Algebra, name: str, series: PlacedArm, shunt: PlacedArm) -> Iterator[Step]:
    first, z1 = _impedance(algebra, "Z1", series.arm)
    second, z2 = _impedance(algebra, "Z2", shunt.arm)
    yield step("impedances", *first, *second)
    letters = Quotient(Letter("Z2"), add(Letter("Z1"), Letter("Z2")))
    yield step("divider", drawn(name, letters), drawn(name, Quotient(z2, add(z1, z2))))
    n1, d1 = algebra.arm(series.arm)
    n2, d2 = algebra.arm(shunt.arm)
    top, bottom = algebra.cancelled(n2 * d1, n1 * d2 + n2 * d1)
    yield step("cleared", drawn(f"{name}(s)", algebra.fraction(top, bottom)))


def _walk(algebra: Algebra, name: str, limbs: list[PlacedArm]) -> Iterator[Step]:
    drawings: list[list[str]] = []
    for number, limb in enumerate(limbs, 1):
        drawings += _impedance(algebra, f"Z{number}", limb.arm)[0][-1:]
    yield step("walk-arms", *fitted(drawings))
    n, d = algebra.arm(limbs[-1].arm)
    voltage, current = (algebra.one, algebra.one), (d, n)
    yield step(
        "walk-start",
        drawn("V", Number(Fraction(1))),
        drawn("I", algebra.fraction(*current)),
        arm=limbs[-1].text,
        number=len(limbs),
    )
    for number in range(len(limbs) - 1, 0, -1):
        limb = limbs[number - 1]
        n, d = algebra.arm(limb.arm)
        if limb.place is Place.SERIES:
            voltage = _sum(algebra, voltage, (current[0] * n, current[1] * d))
            result = drawn("V", algebra.fraction(*voltage))
        else:
            current = _sum(algebra, current, (voltage[0] * d, voltage[1] * n))
            result = drawn("I", algebra.fraction(*current))
        yield step(f"walk-{limb.place.value}", result, arm=limb.text, number=number)
    top, bottom = voltage[1], voltage[0]
    yield step("walk-end", drawn(f"{name}(s)", algebra.fraction(top, bottom)))


def _sum(
    algebra: Algebra,
    a: tuple[fmpz_mpoly, fmpz_mpoly],
    b: tuple[fmpz_mpoly, fmpz_mpoly],
) -> tuple[fmpz_mpoly, fmpz_mpoly]:
    return algebra.cancelled(a[0] * b[1] + b[0] * a[1], a[1] * b[1])


def _standard(solved: Solved) -> Iterator[Step]:
    """The denominator with nothing in front of its highest power of s."""
    algebra, bottom = solved.algebra, solved.bottom
    order = len(bottom) - 1
    if order == 0:
        return
    if order > 2:
        yield step("standard-many", order=order)
        return
    lead = algebra.factors(bottom[0])
    out: Formula | None = None
    for power in range(order, -1, -1):
        c = bottom[order - power]
        if c.is_zero():
            continue
        ratio = algebra.ratio(algebra.merge((algebra.factors(c), 1), (lead, -1)))
        s = [raised(_S, power)] if power else []
        term = product([*([] if ratio == ONE and power else [ratio]), *s])
        out = term if out is None else add(out, term)
    assert out is not None
    yield step("standard-one" if order == 1 else "standard-two", drawn("D(s)", out))
