"""Formula → text: one unambiguous line."""

from __future__ import annotations

from fractions import Fraction

from .formula_tree import (
    Formula,
    Letter,
    Minus,
    Number,
    Parallel,
    Power,
    Product,
    Quotient,
    Root,
    Sum,
)

_UNICODE = {"pi": "π", "ω0": "ω₀", "w0": "ω₀", "omega0": "ω₀", "f0": "f₀"}
_ASCII = {"ω0": "w0", "omega0": "w0", "ω": "w"}
_RAISED = str.maketrans("0123456789-", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻")


def number_text(value: Fraction) -> str:
    """A finite decimal, exactly: ``4700``, ``0.25``, ``1e-7``."""
    if value == 0:
        return "0"
    mantissa, power = value.numerator, 0
    while value * Fraction(10) ** -power != int(value * Fraction(10) ** -power):
        power -= 1
    mantissa = int(value * Fraction(10) ** -power)
    while mantissa % 10 == 0:
        mantissa //= 10
        power += 1
    digits = str(mantissa)
    if power >= 0 and len(digits) + power <= 7:
        return digits + "0" * power
    if power < 0 and -power <= 6:
        padded = digits.rjust(1 - power, "0")
        return f"{padded[:power]}.{padded[power:]}"
    return f"{digits}e{power}"


def letter_text(name: str, ascii: bool = False) -> str:  # noqa: A002
    """How a letter is written."""
    return _ASCII.get(name, name) if ascii else _UNICODE.get(name, name)


def echo(formula: Formula, *, ascii: bool = False) -> str:  # noqa: A002
    """One line that shows how a formula was read; reading it back gives the same formula.

    Args:
        formula: what to write.
        ascii: ``sqrt``, ``*``, ``^2``, ``pi`` instead of √, ·, ², π.
    """
    return _Line(ascii).top(formula)


class _Line:
    def __init__(self, ascii: bool) -> None:  # noqa: A002
        self.ascii = ascii
        self.minus, self.dot = ("-", "*") if ascii else ("−", "·")
        self.bars = " || " if ascii else " ∥ "

    def top(self, f: Formula) -> str:
        match f:
            case Sum(terms):
                text = self.term(terms[0])
                for t in terms[1:]:
                    negative = isinstance(t, Minus)
                    sign = self.minus if negative else "+"
                    text += f" {sign} " + self.term(t.of if isinstance(t, Minus) else t, negative)
                return text
            case Parallel(parts):
                return self.bars.join(map(self.factor, parts))
            case _:
                return self.term(f)

    def term(self, f: Formula, negated: bool = False) -> str:
        match f:
            case Minus(x) if not negated:
                return self.minus + self.term(x, True)
            case Product(factors):
                return self.dot.join(map(self.factor, factors))
            case Quotient(top, bottom):
                over = (
                    self.dot.join(map(self.factor, top.factors))
                    if isinstance(top, Product)
                    else self.factor(top)
                )
                return f"{over}/{self.factor(bottom)}"
            case _:
                return self.factor(f)

    def factor(self, f: Formula) -> str:
        match f:
            case Number(value):
                return number_text(value)
            case Letter(name):
                return letter_text(name, self.ascii)
            case Root(x):
                return f"{'sqrt' if self.ascii else '√'}({self.top(x)})"
            case Power(base, n):
                inner = self.factor(base)
                if isinstance(base, Root | Power) or "e" in inner or not _atom(base):
                    inner = inner if inner.startswith("(") else f"({inner})"
                if self.ascii:
                    return f"{inner}^{n}" if n >= 0 else f"{inner}^({n})"
                return inner + str(n).translate(_RAISED)
            case _:
                return f"({self.top(f)})"


def _atom(f: Formula) -> bool:
    return isinstance(f, Number | Letter)
