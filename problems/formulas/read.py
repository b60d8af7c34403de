"""Typed text → Formula: a small precedence parser on a whitelist of letters.

How a text is read, loosest binding first (common practice where there is one; the echo
shows the reading with explicit brackets):

* ``a + b − c``;
* ``a · b``, ``a × b``, ``a * b``, ``a / b``, ``a ÷ b``: from left to right;
* ``a ∥ b``, ``a || b``, ``a // b``: in parallel, a·b/(a + b);
* side by side, ``2πRC``: binds tighter than ``/``, so ``1/2πRC`` is 1/(2·π·R·C);
* ``a^2``, ``a**2``, ``a²``: whole exponents up to ±16, and ±1/2.

``√`` or ``sqrt`` reaches over what stands in the brackets after it; without brackets over
a number, or over the letters that touch each other (not s or j), with their exponents:
``√LC`` is √(L·C), ``√LC s`` and ``√LCs`` are √(L·C)·s, ``√C²`` is √(C²).

``∥`` is also written loosely: ``RL∥1/(sC)`` and ``1/(sC)∥RL``.  Where the order above would add
an ohm to a pure number or to a siemens, and the looser reading would not, that one is taken.

How numbers and letters are spelled is told in ``formula_tokens``.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from enum import Enum
from fractions import Fraction

from ..quantities.errors import wording
from .dimension import Dimensions
from .tokens import (
    MAX_CHARACTERS,
    OPEN,
    Token,
    after,
    one_of,
    plain,
    refusal,
    safe,
    spellings,
    tokens,
)
from .tree import (
    Formula,
    FormulaError,
    Letter,
    Minus,
    Number,
    Power,
    Quotient,
    SquareRoot,
    add,
    multiply,
)
from .work import Work

MAX_DEPTH = 64
MAX_EXPONENT = 16

_SHALLOWER = wording("formula.nesting", most=MAX_DEPTH)
_EXPECT_TERM = wording("formula.term")
_SUM, _MINUS, _TIMES, _BESIDE_BARS, _BESIDE, _POWER = 10, 20, 30, 40, 50, 60


class Beside(Enum):
    """How tightly letters side by side bind after a slash."""

    TIGHT = "tight"  # 1/2πRC is 1/(2πRC), and R/L s is R/(L·s)
    SPACED = "spaced"  # the same, but a blank ends it: R/L s is (R/L)·s
    LOOSE = "loose"  # as a sign would: 1/2πRC is (1/2)·πRC
    FAR = "far"  # as LOOSE, and a root reaches over a slash that touches it: √L/C is √(L/C)


class _Reader:
    def __init__(
        self,
        tokens: list[Token],
        text: str,
        names: tuple[str, ...],
        beside: Beside,
        measured: Dimensions,
    ) -> None:
        self.tokens = tokens
        self.text = text
        self.names = names
        self.beside = beside
        self.measured = measured
        self.at = 0
        self.depth = 0

    @property
    def next(self) -> Token:
        return self.tokens[self.at]

    def take(self) -> Token:
        token = self.tokens[self.at]
        self.at += 1
        return token

    def whole(self) -> Formula:
        result = self.expression(0)
        if self.next.kind != "end":
            expected = wording("formula.end-or-sign")
            raise refusal(self.next.position, safe(self.next.text), expected)
        return result

    def expression(self, floor: int) -> Formula:
        """Everything that binds tighter than ``floor``."""
        self.depth += 1
        if self.depth > MAX_DEPTH:
            raise refusal(self.next.position, safe(self.next.text), _SHALLOWER)
        left = self.primary(floor)
        while (binding := self.binding()) > floor:
            left = self.extend(left, binding, floor)
        self.depth -= 1
        return left

    def binding(self) -> int:
        match self.next.kind:
            case "+" | "-":
                return _SUM
            case "*" | "/":
                return _TIMES
            case "∥":
                return _BESIDE_BARS
            case "^" | "sup":
                return _POWER
            case "letter" | "open" | "√" | "number":
                apart = self.beside is Beside.SPACED and not self.next.glued
                loose = self.beside in (Beside.LOOSE, Beside.FAR)
                return _TIMES if apart or loose else _BESIDE
            case _:
                return 0

    def extend(self, left: Formula, binding: int, floor: int) -> Formula:
        if self.next.kind in ("letter", "open", "√", "number"):
            if self.next.kind == "number" and self.tokens[self.at - 1].text != "j":
                raise self.stray_number()  # but j2πf is j·2πf
            return multiply(left, self.expression(binding))
        token = self.take()
        match token.kind:
            case "+":
                return add(left, self.expression(_SUM))
            case "-":
                return add(left, Minus(self.expression(_SUM)))
            case "*" | "/":
                return self.timed(left, token, self.expression(_BESIDE_BARS))
            case "∥":
                return self.beside_bars(left, floor)
            case "sup":
                return self.power(left, token.value, token)
            case _:
                return self.power(left, self.exponent(), token)

    def beside_bars(self, left: Formula, floor: int) -> Formula:
        """Left ∥ what comes, the bars taken."""
        other = self.expression(_BESIDE_BARS)
        if self.measured.agree(left, other) or floor >= _TIMES or self.next.kind not in ("*", "/"):
            return self.measured.in_parallel(left, other)
        sign, factor = self.take(), self.expression(_BESIDE_BARS)
        further = _joined(other, sign, factor)
        if self.measured.agree(left, further):  # RL∥1/(sC)
            return self.measured.in_parallel(left, further)
        return self.timed(self.measured.in_parallel(left, other), sign, factor)

    def timed(self, left: Formula, sign: Token, right: Formula) -> Formula:
        """Left · right, or left / right, with the bars that may follow: nothing is read twice."""
        while self.next.kind == "∥":
            self.take()
            other = self.expression(_BESIDE_BARS)
            whole = _joined(left, sign, right)
            if not self.measured.agree(right, other):
                if self.measured.agree(whole, other):  # 1/(sC)∥RL
                    return self.measured.in_parallel(whole, other)
                if self.next.kind in ("*", "/"):
                    then, factor = self.take(), self.expression(_BESIDE_BARS)
                    further = _joined(other, then, factor)
                    if self.measured.agree(whole, further):  # 1/(sC1)∥1/(sC2)
                        return self.measured.in_parallel(whole, further)
                    if not self.measured.agree(right, further):
                        left, sign = (
                            _joined(left, sign, self.measured.in_parallel(right, other)),
                            then,
                        )
                        right = factor
                        continue
                    other = further
            right = self.measured.in_parallel(right, other)
        return _joined(left, sign, right)

    def stray_number(self) -> FormulaError:
        """The error for a number after something: L1 in a circuit without L1, or s2 for s²."""
        number, before = self.next, self.tokens[self.at - 1]
        if number.glued and before.kind == "letter" and before.text not in ("s", "j", "pi"):
            name = self.text[before.position : number.position] + number.text
            return refusal(before.position, safe(name), one_of(self.names))
        return refusal(
            number.position,
            safe(number.text),
            wording("formula.sign-before-number"),
        )

    def primary(self, floor: int) -> Formula:
        token = self.take()
        match token.kind:
            case "number":
                return Number(token.value)
            case "letter":
                return Letter(token.text)
            case "open":
                return self.bracket(token)
            case "√":
                return self.root(token)
            case "-":
                return Minus(self.expression(max(_MINUS, floor)))
            case "+":
                return self.expression(max(_MINUS, floor))
            case _:
                raise refusal(token.position, safe(token.text), _EXPECT_TERM)

    def bracket(self, opened: Token) -> Formula:
        inside = self.expression(0)
        closing = self.take()
        if closing.text != OPEN[opened.text] or closing.kind != "close":
            expected = wording("formula.close", bracket=OPEN[opened.text])
            raise refusal(closing.position, safe(closing.text), expected)
        return inside

    def root(self, sign: Token) -> Formula:
        token = self.next
        if token.kind == "open":
            return SquareRoot(self.bracket(self.take()))
        if token.kind == "√":
            self.depth += 1
            if self.depth > MAX_DEPTH:
                raise refusal(token.position, "“√”", _SHALLOWER)
            inner = SquareRoot(self.root(self.take()))
            self.depth -= 1
            return inner
        if token.kind not in ("number", "letter"):
            raise refusal(token.position, safe(token.text), wording("formula.root"))
        reach = self.raised()
        while (
            token.kind == "letter"
            and token.text not in ("s", "j")
            and self.next.kind == "letter"
            and self.next.glued
            and self.next.text not in ("s", "j")
        ):
            reach = multiply(reach, self.raised())
        if self.beside is Beside.FAR and self.next.kind == "/" and self.next.glued:
            below = self.tokens[self.at + 1]
            if below.kind in ("number", "letter") and below.glued:
                self.take()
                reach = Quotient(reach, self.raised())
        return SquareRoot(reach)

    def raised(self) -> Formula:
        """One number or letter with the exponent that follows it."""
        token = self.take()
        atom: Formula = Number(token.value) if token.kind == "number" else Letter(token.text)
        while self.next.kind in ("^", "sup"):
            atom = self.extend(atom, _POWER, _BESIDE)
        return atom

    def exponent(self) -> Fraction:
        sign = 1
        if self.next.kind in ("+", "-"):
            sign = -1 if self.take().kind == "-" else 1
        token = self.take()
        if token.kind == "number":
            return sign * token.value
        if token.kind == "open":
            value = _constant(self.bracket(token))
            if value is not None:
                return sign * value
        raise refusal(token.position, safe(token.text), wording("formula.exponent"))

    def power(self, base: Formula, exponent: Fraction, token: Token) -> Formula:
        if self.next.kind in ("^", "sup"):
            expected = wording("formula.first-power")
            raise refusal(self.next.position, safe(self.next.text), expected)
        if exponent == Fraction(1, 2):
            return SquareRoot(base)
        if exponent == Fraction(-1, 2):
            return Quotient(Number(Fraction(1)), SquareRoot(base))
        if exponent.denominator != 1 or abs(exponent) > MAX_EXPONENT:
            raise refusal(
                token.position,
                wording("formula.this-exponent", exponent=safe(str(exponent))),
                wording("formula.exponents", most=MAX_EXPONENT),
            )
        return Power(base, int(exponent))


def _joined(left: Formula, sign: Token, right: Formula) -> Formula:
    return multiply(left, right) if sign.kind == "*" else Quotient(left, right)


def _constant(formula: Formula) -> Fraction | None:
    """The value of an exponent such as (1/2) or (−1); ``None`` for anything else."""
    match formula:
        case Number(value):
            return value
        case Minus(Number(value)):
            return -value
        case Quotient(Number(top), Number(bottom)) if bottom:
            return top / bottom
        case Minus(Quotient(Number(top), Number(bottom))) | Quotient(
            Minus(Number(top)), Number(bottom)
        ) if bottom:
            return -top / bottom
        case _:
            return None


def parse(
    text: str,
    letters: Collection[str] | Mapping[str, str],
    beside: Beside = Beside.TIGHT,
    work: Work | None = None,
) -> Formula:
    """Read a typed formula.

    Args:
        text: what was typed; at most 512 characters.
        letters: the letters that may be used besides s, j, π and ω: their names, or a mapping
            from an accepted spelling to the letter it means (such as R → R1 in a circuit
            with one R).  ``ω0``, ``w0`` and ``omega0`` stand for each other where one of
            them is allowed.
        beside: what ``R/L s`` is; anything but tight is for finding out what else may have
            been meant.
        work: what the reading is counted on.

    Raises:
        FormulaError: with the position, what was found and what was expected.
        TooMuchWorkError: it asks for more work than is left.
    """
    if len(text) > MAX_CHARACTERS:
        many = wording("formula.characters", count=len(text))
        raise refusal(MAX_CHARACTERS, many, wording("formula.at-most", most=MAX_CHARACTERS))
    # A mapping to anything but texts (names to values, say) counts by its keys alone.
    meant = letters if isinstance(letters, Mapping) else {}
    pairs = ((n, to if isinstance(to := meant.get(n), str) else n) for n in letters)
    known, text = spellings(tuple(pairs)), plain(text)
    work = work or Work()
    try:
        found = tokens(text, known)
        work.spend(5 * len(found))
        return _Reader(found, text, known.names, beside, Dimensions(work)).whole()
    except FormulaError as error:
        raise after(error, text) from None
