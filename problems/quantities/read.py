"""Engineering quantities as exact rationals: ``4.7k``, ``4k7``, ``100 nF``, ``1 krad/s``.

A number, then a prefix and a unit, both optional: a missing unit takes the one asked for.
What could mean two things is refused, and the error names both readings.  In particular

* a comma is a decimal sign (``4,7k``) unless one group of three digits follows one to
  three others: ``1,000`` could be 1 or 1000 and is refused; ``1,000,000`` and
  ``1,234.5`` can be read in one way only.  A single point is always a decimal sign;
* spaces may group digits by three (``10 000 Hz``), as the SI brochure, 9th ed., 5.4.4, asks;
* a letter may stand for the decimal sign, as in IEC 60062: ``4k7``, ``4R7``, ``p47``;
* capital M is mega, small m milli (IEC 60062, SI brochure table 7).  Small m without its
  unit is refused for ohms and hertz, where people use it for mega; capital M is refused
  for farads and henries, where no part is a mega of anything;
* a quotient of integers is a number: ``1/3 kΩ``.
"""

from __future__ import annotations

import re
from fractions import Fraction

from .errors import Wording, wording
from .spelling import Uniform, shown, uniform
from .units import (
    NOUNS,
    PREFIXES,
    UNITS,
    Quantity,
    QuantityError,
    SuffixReading,
    Unit,
    UnknownUnit,
    asks_for_mega,
    letter_readings,
    nearest_unit,
    suffix_readings,
)
from .write import LARGEST, SMALLEST, write_exact

MAX_TYPED = 64
_MAX_EXPONENT = 30

_SIGN = re.compile(r" *+([+-]?) *+")
_RUN = re.compile(r"[.,]?[0-9]+(?:[., ][0-9]+)*+[.,]?")
_EXPONENT = re.compile(r"[eE]([+-]?[0-9]+)| *[*xX] *10 *(?:\^|\*\*) *([+-]?[0-9]+)")
_POWER_OF_TEN = re.compile(r"(?:\^|\*\*) *([+-]?[0-9]+)")
_QUOTIENT = re.compile(r" */ *([0-9]+)(?![.,0-9])")
# Any letter but e, which opens an exponent, and x, which may be a multiplication sign.
_LETTER = re.compile(r"([A-DF-WYZa-df-wyzμ])([0-9]+)")
_PI = re.compile(
    r" *+([+-]?) *+(?:([0-9]{1,9}(?:\.[0-9]{1,9})?)(?:/([0-9]{1,9}))? *+\*? *+)?(?:π|[pP][iI])"
    r" *+(?:/ *+([0-9]{1,9}))? *+(?:rad|rads|radians)? *+\Z"
)


def read_quantity(text: str, expect: str, *, limit: int = MAX_TYPED, example: str = "") -> Quantity:
    """Read a typed quantity.

    A unit of the same dimension is given back as typed: Hz and rad/s, ° and rad, dB and a plain
    ratio, dB/decade and dB/octave are not converted into each other here.  Multiples of π are
    exact degrees where an angle is asked for: ``−π/2`` is −90°.

    >>> read_quantity("4k7", "Ω")
    Quantity(value=Fraction(4700, 1), unit='Ω')

    Args:
        text: what was typed.
        expect: the canonical unit asked for ("Ω", "H", "F", "Hz", "rad/s", "s", "°", "rad", "dB",
            "dB/decade", "dB/octave", or "" for a plain number).
        limit: the most characters that are read.
        example: what an error shows as an example; without one a usual value.

    Raises:
        QuantityError: the text is no quantity of that dimension, or more than one.
        ValueError: ``expect`` is no known unit.
    """
    if expect not in UNITS:
        raise ValueError(f"unknown unit {expect!r}: one of {', '.join(UNITS)}")
    asked = UNITS[expect]
    body = text.strip(" \t\r\n")
    if not body:
        raise QuantityError("quantity.nothing", expected=_example(asked, example))
    if len(body) > limit:
        raise QuantityError("quantity.too-long", limit, count=len(body), most=limit)
    start = text.index(body)
    reader = _Reader(uniform(body), asked, example)
    try:
        return reader.read()
    except QuantityError as error:
        error.position += start
        raise


def _example(unit: Unit, shown: str) -> Wording:
    # Shown where an answer was not understood: no slope or phase here is ever a right answer.
    examples = {
        "Ω": "4.7 kΩ", "H": "10 mH", "F": "100 nF", "Hz": "1.59 kHz", "rad/s": "10 krad/s",
        "s": "1 ms", "°": "−30°", "rad": "−π/6", "dB": "−3 dB", "dB/decade": "−10 dB/decade",
        "dB/octave": "−3 dB/octave", "": "0.707", "V": "2.5 V", "A": "20 mA", "J": "4 µJ",
    }  # fmt: skip
    example = shown or examples[unit.symbol]
    return wording("quantity.example", noun=NOUNS[unit.dimension], example=example)


class _Reader:
    """One pass over one folded text."""

    def __init__(self, source: Uniform, asked: Unit, example: str) -> None:
        self.source = source
        self.text = source.text
        self.asked = asked
        self.expected = _example(asked, example)

    def fail(
        self, key: str, at: int, readings: tuple[str, ...] = (), **values: object
    ) -> QuantityError:
        return QuantityError(key, self.source.column(at), readings, **values)

    def read(self) -> Quantity:
        if self.asked.dimension == "angle":
            turn = self.multiple_of_pi()
            if turn is not None:
                return turn
        sign_match = _SIGN.match(self.text)
        assert sign_match is not None
        sign = -1 if sign_match[1] == "-" else 1
        number, at, letter = self.number(sign_match.end())
        rest = self.text[at:]
        suffix = rest.replace(" ", "")
        here = at + len(rest) - len(rest.lstrip(" ")) if suffix else at
        readings = self.readings(letter, suffix, here)
        if len(readings) > 1:
            options = tuple(_spelt(sign * number, r) for r in readings)
            raise self.fail(
                "quantity.ambiguous",
                letter[1] if letter else here,
                options,
                typed=shown(self.text),
                either=options,
            )
        unit = UNITS[readings[0].unit]
        if unit.dimension != self.asked.dimension:
            raise self.fail(
                "quantity.other",
                here,
                typed=shown(self.text),
                noun=NOUNS[unit.dimension],
                expected=self.expected,
            )
        value = sign * number * readings[0].factor
        if value and not SMALLEST <= abs(value) <= LARGEST:
            raise self.fail("quantity.beyond", 0, typed=shown(self.text))
        return Quantity(value, unit.symbol)

    def multiple_of_pi(self) -> Quantity | None:
        match = _PI.match(self.text)
        if match is None:
            return None
        sign, factor, under, over = match.groups()
        degrees = Fraction(180) * Fraction(factor or 1)
        for divisor in (under, over):
            if divisor is not None:
                if not int(divisor):
                    raise self.fail("quantity.by-zero", 0)
                degrees /= int(divisor)
        return Quantity(-degrees if sign == "-" else degrees, "°")

    def number(self, at: int) -> tuple[Fraction, int, tuple[str, int] | None]:
        """The number from ``at``; where it ends; the letter in its middle and its place."""
        run = _RUN.match(self.text, at)
        if run is None:
            lead = _LETTER.match(self.text, at)
            if lead is not None:
                return self.lettered("0", lead)
            if at >= len(self.text):
                raise self.fail("quantity.no-number", at, expected=self.expected)
            found = shown(self.text[at:])
            raise self.fail("quantity.no-number-but", at, found=found, expected=self.expected)
        digits, end = run[0], run.end()
        if digits.isdigit():
            lead = _LETTER.match(self.text, end)
            if lead is not None:
                return self.lettered(digits, lead)
            quotient = _QUOTIENT.match(self.text, end)
            if quotient is not None:
                if not int(quotient[1]):
                    raise self.fail("quantity.by-zero", quotient.start(1))
                return Fraction(int(digits), int(quotient[1])), quotient.end(), None
            power = _POWER_OF_TEN.match(self.text, end) if digits == "10" else None
            if power is not None:
                return self.power(power[1], power.start(1)), power.end(), None
        value = self.decimal(digits, at)
        exponent = _EXPONENT.match(self.text, end)
        if exponent is not None:
            which = exponent.lastindex
            assert which is not None
            value *= self.power(exponent[which], exponent.start(which))
            end = exponent.end()
        return value, end, None

    def lettered(
        self, whole: str, match: re.Match[str]
    ) -> tuple[Fraction, int, tuple[str, int] | None]:
        part = match[2]
        value = Fraction(int(whole + part), 10 ** len(part))
        return value, match.end(), (match[1], match.start(1))

    def power(self, digits: str, at: int) -> Fraction:
        plain = digits.lstrip("+-").lstrip("0")
        if len(plain) > 2 or int(plain or "0") > _MAX_EXPONENT:
            raise self.fail("quantity.exponent", at, exponent=shown(digits, 8), most=_MAX_EXPONENT)
        return Fraction(10) ** int(digits)

    def decimal(self, run: str, at: int) -> Fraction:
        """A run of digits, points, commas and spaces as one number.

        Raises:
            QuantityError: it is no number, or the comma may mean two things.
        """
        if " " in run:
            run = self.spaced(run, at)
        points, commas = run.count("."), run.count(",")
        if points and commas:
            mark, group = (".", ",") if run.rindex(".") > run.rindex(",") else (",", ".")
            whole, _, part = run.rpartition(mark)
            if mark in whole or not _grouped(whole.split(group)) or not part:
                raise self.malformed(run, at)
            return _plain(whole.replace(group, ""), part)
        if points + commas > 1:
            pieces = run.split("." if points else ",")
            if not _grouped(pieces):
                raise self.malformed(run, at)
            return Fraction(int("".join(pieces)))
        if commas:
            whole, _, part = run.partition(",")
            if not part:
                raise self.malformed(run, at)
            if len(part) == 3 and _grouped([whole, part]):
                options = (f"{whole}.{part}", whole + part)
                raise self.fail(
                    "quantity.comma", at + len(whole), options, typed=shown(run), either=options
                )
            return _plain(whole, part)
        whole, _, part = run.partition(".")
        return _plain(whole, part)

    def spaced(self, run: str, at: int) -> str:
        """Drop the spaces of a number grouped by three on either side of one decimal sign."""
        sign = "." if "." in run else ","
        whole, mark, part = run.partition(sign)
        left, right = whole.split(" "), part.split(" ")
        tidy = (
            run.count(".") + run.count(",") <= 1
            and (len(left) == 1 or _grouped(left))
            and (len(right) == 1 or all(len(g) == 3 for g in right[:-1]))
            and len(right[-1]) <= (3 if len(right) > 1 else len(run))
        )
        if not tidy:
            raise self.malformed(run, at)
        # A comma that stands beside grouping spaces can only be a decimal sign.
        return whole.replace(" ", "") + (mark and ".") + part.replace(" ", "")

    def malformed(self, run: str, at: int) -> QuantityError:
        return self.fail("quantity.malformed", at, typed=shown(run))

    def readings(
        self, letter: tuple[str, int] | None, suffix: str, at: int
    ) -> tuple[SuffixReading, ...]:
        """What the letter in the number, or the suffix after it, may mean."""
        try:
            plain = suffix_readings(suffix, self.asked)
        except UnknownUnit:
            raise self.unknown(suffix, at) from None
        if letter is None:
            return plain
        sign, place = letter
        unit = UNITS[plain[0].unit]
        if plain[0].factor != 1 or len(plain) > 1:
            raise self.fail("quantity.two-prefixes", at, typed=shown(self.text))
        try:
            return letter_readings(sign, unit, explicit=bool(suffix))
        except UnknownUnit:
            pass
        raise self.fail(
            "quantity.decimal-sign",
            place,
            sign=shown(sign),
            noun=NOUNS[unit.dimension],
            expected=self.expected,
        )

    def unknown(self, suffix: str, at: int) -> QuantityError:
        guess = nearest_unit(suffix, self.asked)
        if guess:
            return self.fail("quantity.unit-near", at, typed=shown(suffix), near=guess)
        return self.fail("quantity.unit", at, typed=shown(suffix), expected=self.expected)


def _plain(whole: str, part: str) -> Fraction:
    return Fraction(int((whole + part) or "0"), 10 ** len(part))


def _grouped(pieces: list[str]) -> bool:
    """Whether digits split at separators are groups of three after a first of one to three."""
    first, *others = pieces
    return (
        1 <= len(first) <= 3
        and first[0] != "0"
        and bool(others)
        and all(len(piece) == 3 for piece in others)
    )


def _spelt(number: Fraction, reading: SuffixReading) -> str:
    """A reading spelt out with the prefix it supposes, so that it can be typed as it stands."""
    prefix = next(p for p, factor in PREFIXES.items() if factor == reading.factor)
    if (prefix == "M" and asks_for_mega(reading.unit)) or not reading.unit:
        return write_exact(number * reading.factor, reading.unit)
    return f"{write_exact(number, '')} {prefix}{reading.unit}"
