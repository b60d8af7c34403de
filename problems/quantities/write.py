"""Quantities as text, by the rules of the SI brochure.

A space between number and unit, none before °; one prefix, chosen so that the number
lies between 1 and 1000 where a prefix exists; U+2212 for minus, U+00B5 for µ, U+03A9 for
Ω (BIPM, SI brochure, 9th ed., sections 3 and 5.4).
"""

from __future__ import annotations

from fractions import Fraction

from .units import PREFIXES, UNITS, QuantityError, Unit

MINUS = "−"
RAISED = str.maketrans("0123456789-", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻")
UNRAISED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-")
_PLAIN_SIGNS = str.maketrans({"Ω": "ohm", "µ": "u", MINUS: "-", "°": " deg", "±": "+/-", "·": "*"})
# Plain decimals between these powers of ten; beyond them a power of ten is written.
_PLAIN_LOW, _PLAIN_HIGH = -4, 6
# A decimal longer than this gives way to a quotient where that is shorter.
_LONG = 16

LARGEST = Fraction(10) ** 30
SMALLEST = 1 / LARGEST


def _unit(symbol: str) -> Unit:
    try:
        return UNITS[symbol]
    except KeyError:
        raise ValueError(f"unknown unit {symbol!r}: one of {', '.join(UNITS)}") from None


def decade(value: Fraction) -> int:
    """The exponent n with 10ⁿ ≤ |value| < 10ⁿ⁺¹.

    Raises:
        ValueError: the value is zero.
    """
    top, bottom = abs(value.numerator), value.denominator
    if not top:
        raise ValueError("zero has no decade")
    n = len(str(top)) - len(str(bottom))
    at_least = top >= bottom * 10**n if n >= 0 else top * 10**-n >= bottom
    return n if at_least else n - 1


def rounded(value: Fraction | float, digits: int = 2) -> Fraction:
    """``value`` to so many significant ``digits``, exact: two, as nobody asks for 1.592 kHz."""
    exact = Fraction(value)
    step = Fraction(10) ** (decade(exact) - digits + 1)
    return round(exact / step) * step


def _places(value: Fraction) -> int | None:
    """The decimal places of a value; ``None`` where no decimal holds it: only 2ᵃ·5ᵇ below does."""
    twos = (value.denominator & -value.denominator).bit_length() - 1
    rest, fives = value.denominator >> twos, 0
    while rest % 5 == 0:
        rest, fives = rest // 5, fives + 1
    return max(twos, fives) if rest == 1 else None


def _digits(value: Fraction) -> str:
    """A finite decimal ≥ 0 in full, without trailing zeros."""
    places = _places(value)
    assert places is not None
    return _decimal(value.numerator * 10**places // value.denominator, -places)


def _decimal(count: int, power: int) -> str:
    """``count``·10^``power`` ≥ 0 as a decimal, without trailing zeros behind the point."""
    if power >= 0:
        return f"{count * 10**power}"
    text = str(count).rjust(1 - power, "0")
    after = text[power:].rstrip("0")
    return f"{text[:power]}.{after}" if after else text[:power]


def _with_unit(number: str, prefix: str, unit: Unit) -> str:
    symbol = prefix + unit.symbol
    return f"{number}{symbol}" if unit.joined or not symbol else f"{number} {symbol}"


def _prefix(power: int, unit: Unit) -> str | None:
    """The unit's prefix for a value of this decade; ``None`` if the value needs a power."""
    allowed = unit.prefixes if unit.symbol else ""
    fits = [p for p in PREFIXES if (p == "" or p in allowed) and 0 <= power - _POWER[p] < 3]
    if fits:
        return fits[0]
    if not allowed.strip() and _PLAIN_LOW <= power < _PLAIN_HIGH:
        return ""
    return None


_POWER = {p: decade(factor) for p, factor in PREFIXES.items()}


def write_quantity(
    value: Fraction | float,
    unit: str,
    digits: int = 4,
    *,
    ascii: bool = False,  # noqa: A002 - the everyday word for it
) -> str:
    """A value rounded to significant digits, trailing zeros dropped.

    Halves are rounded to even (ISO 80000-1, annex B, rule A).  In ASCII "4.7 kohm", "100 nF",
    "2.2 uF", "-90 deg", "1e-18 F"; the reader takes either form.

    >>> write_quantity(4700, "Ω"), write_quantity(1591.549, "Hz"), write_quantity(-40, "dB/decade")
    ('4.7 kΩ', '1.592 kHz', '−40 dB/decade')

    Args:
        value: in ``unit``.
        unit: its canonical symbol, "" for a plain number.
        digits: how many significant ones.
        ascii: use plain ASCII characters only.

    Raises:
        ValueError: the value is not finite, the unit is unknown, or ``digits`` is below 1.
    """
    if digits < 1:
        raise ValueError("at least one significant digit is needed")
    known = _unit(unit)
    try:
        exact = Fraction(value)
    except (OverflowError, ValueError):
        raise ValueError(f"{value} is not a finite number") from None
    text = _rounded(exact, known, digits)
    return _ascii(text) if ascii else text


def _rounded(exact: Fraction, known: Unit, digits: int) -> str:
    if not exact:
        return _with_unit("0", "", known)
    sign = MINUS if exact < 0 else ""
    last = decade(exact) - digits + 1
    count = _nearest(abs(exact.numerator), exact.denominator, last)
    power = last + len(str(count)) - 1
    prefix = _prefix(power, known)
    if prefix is None:
        mantissa = _decimal(count, last - power)
        return _with_unit(f"{sign}{mantissa}×10{str(power).translate(RAISED)}", "", known)
    return _with_unit(sign + _decimal(count, last - _POWER[prefix]), prefix, known)


def _nearest(top: int, bottom: int, power: int) -> int:
    """How many times 10^``power`` the fraction is, to the nearest; halves to even."""
    # Of whole numbers: a page has a thousand figures, and fractions take six times as long.
    if power < 0:
        top *= 10**-power
    else:
        bottom *= 10**power
    count, rest = divmod(top, bottom)
    return count + (2 * rest > bottom or (2 * rest == bottom and count % 2))


def _ascii(text: str) -> str:
    number, sign, rest = text.partition("×10")
    if sign:
        power = rest.split(" ")[0].split("°")[0]
        plain = power.translate(UNRAISED)
        text = f"{number}e{plain}{rest[len(power) :]}"
    return text.translate(_PLAIN_SIGNS)


def write_conjugates(value: complex, unit: str, digits: int = 4) -> str:
    """A conjugate pair with one prefix for both parts; a real value as itself.

    >>> write_conjugates(complex(-5000, 99870), "rad/s"), write_conjugates(100j, "rad/s")
    ('(−5 ± j·99.87) krad/s', '±j·100 rad/s')

    Args:
        value: either of the pair, in ``unit``.
        unit: its canonical symbol.
        digits: how many significant ones.

    Raises:
        ValueError: a part is not finite, or the unit is unknown.
    """
    if not value.imag:
        return write_quantity(value.real, unit, digits)
    if not value.real:
        return f"±j·{write_quantity(abs(value.imag), unit, digits)}"
    known = _unit(unit)
    size = max(abs(value.real), abs(value.imag))
    prefix = _prefix(decade(Fraction(size)), known) or ""
    real, imag = (
        write_quantity(Fraction(part) / PREFIXES[prefix], "", digits)
        for part in (value.real, abs(value.imag))
    )
    return _with_unit(f"({real} ± j·{imag})", prefix, known)


def write_exact(value: Fraction, unit: str) -> str:
    """``value`` in ``unit`` without loss, as short as can be; the reader gives it back as it is.

    A value that no decimal holds is written as a quotient: ``1/3 kΩ``.  Quotients of long
    integers can pass the reader's cap of 64 characters; give it a higher ``limit`` then.

    >>> write_exact(Fraction(4700), "Ω"), write_exact(Fraction(1000, 3), "Ω")
    ('4.7 kΩ', '1/3 kΩ')

    Raises:
        QuantityError: the magnitude lies outside 10⁻³⁰ to 10³⁰ (zero is allowed).
        ValueError: the unit is unknown.
    """
    known = _unit(unit)
    if not value:
        return _with_unit("0", "", known)
    sign = MINUS if value < 0 else ""
    size = abs(value)
    if not SMALLEST <= size <= LARGEST:
        raise QuantityError("quantity.not-written")
    texts: list[str] = []
    if _places(size) is not None:
        power = decade(size)
        prefix = _prefix(power, known)
        if prefix is not None:
            text = _with_unit(sign + _digits(size / PREFIXES[prefix]), prefix, known)
        else:
            number = f"{_digits(size / Fraction(10) ** power)}e{power}"
            text = _with_unit(sign + number, "", known)
        if len(text) <= _LONG:
            return text
        texts.append(text)
    for prefix, factor in PREFIXES.items():
        # m alone would ask "milli or mega?", so plain numbers carry no prefix.
        if prefix == "" or (known.symbol and prefix in known.prefixes):
            quotient = size / factor
            number = f"{quotient.numerator}/{quotient.denominator}"
            texts.append(_with_unit(sign + number, prefix, known))
    return min(texts, key=len)
