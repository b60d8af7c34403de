"""Slips about H(s) as a formula: the right formula of an altered circuit, or a spoilt one."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from functools import partial

from ..analysis.letters import LetterTransfer, letter_transfer
from ..circuits.altered import (
    across_series_arm,
    buffered,
    roles_swapped,
    unbuffered,
    without_load,
    without_source,
)
from ..circuits.model import CircuitError, Ladder, Place
from ..formulas.tree import (
    Formula,
    Letter,
    Minus,
    Number,
    Power,
    Quotient,
    add,
    multiply,
    substituted,
)
from ..questions.model import Rung
from .case import Case, Guess, Topic
from .type import series_arm

TOPIC = Topic("transfer formula")

TRANSFER = Rung.TRANSFER
_ZERO = Number(Fraction(0))


def _letters(ladder: Ladder | None) -> LetterTransfer | None:
    """H(s) in letters; cached on the circuit without its values, which many seeds share."""
    try:
        return letter_transfer(ladder) if ladder else None
    except CircuitError:
        return None


def _of(ladder: Ladder | None, **values: str) -> Iterator[Guess]:
    found = _letters(ladder)
    if found is not None:
        yield Guess(found.formula, tuple(values.items()))


@TOPIC.slip("complementary-tap", TRANSFER)
def complementary_tap(case: Case) -> Iterator[Guess]:
    """H(s) of the voltage across the series arm."""
    yield from _of(across_series_arm(case.letters), arm=series_arm(case))


_ALTERED: dict[str, Callable[[Ladder], Ladder | None]] = {
    "load-ignored": without_load,
    "source-ignored": without_source,
    "unbuffered-as-buffered": buffered,  # the product of the sections' own, without cross term
    "buffered-as-unbuffered": unbuffered,  # a cross term that the buffer takes away
}
"""Slips that write the H(s) of another circuit."""


def _altered(case: Case, *, how: Callable[[Ladder], Ladder | None]) -> Iterator[Guess]:
    yield from _of(how(case.letters))


for _id, _how in _ALTERED.items():
    TOPIC.slip(_id, TRANSFER)(partial(_altered, how=_how))


@TOPIC.slip("roles-swapped", TRANSFER)
def impedances_swapped(case: Case) -> Iterator[Guess]:
    """1/(sL) and sC written for the impedances."""
    found = _letters(roles_swapped(case.letters))
    if found is not None:
        yield Guess(substituted(found.formula, _own_letter))


def _own_letter(name: str) -> Letter:
    """What an element was called before L and C changed places: L_C1 was C1."""
    own = name[:2] in ("L_", "C_") and name[2:3] in ("L", "C")
    return Letter(name[2:] if own else name)


@TOPIC.slip("divider-sum-missing", TRANSFER)
def divider_sum_missing(case: Case) -> Iterator[Guess]:
    """Z2/Z1 for the divider Z2/(Z1 + Z2)."""
    found = _letters(case.letters)
    if found is not None and not any(s.place is Place.BUFFER for s in case.ladder.stages):
        top, bottom = _polynomial(found.top), _polynomial(found.bottom)
        yield Guess(Quotient(top, add(bottom, Minus(top))))


@TOPIC.slip("middle-term-missing", TRANSFER)
def middle_term_missing(case: Case) -> Iterator[Guess]:
    """The damping term left out of the denominator."""
    found = _letters(case.letters)
    if found is not None and len(found.bottom) == 3 and found.bottom[1] != _ZERO:
        first, _, last = found.bottom
        yield Guess(Quotient(_polynomial(found.top), _polynomial((first, _ZERO, last))))


@TOPIC.slip("transfer-inverted", TRANSFER)
def transfer_inverted(case: Case) -> Iterator[Guess]:
    """1/H(s)."""
    found = _letters(case.letters)
    if found is not None:
        yield Guess(Quotient(_polynomial(found.bottom), _polynomial(found.top)))


def _polynomial(coefficients: Sequence[Formula]) -> Formula:
    """Descending coefficients as a formula in s; at least one is not zero."""
    last, found = len(coefficients) - 1, None
    for k, c in enumerate(coefficients):
        if c != _ZERO:
            term = multiply(c, Power(Letter("s"), last - k))
            found = term if found is None else add(found, term)
    assert found is not None
    return found
