"""Quantities: the spellings of standards and laboratories, refusals, exact round trips."""

from __future__ import annotations

import doctest
import importlib
import math
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rungwise.problems.quantities.read import MAX_TYPED, read_quantity
from rungwise.problems.quantities.units import UNITS, Quantity, QuantityError
from rungwise.problems.quantities.write import write_conjugates, write_exact, write_quantity
from rungwise.tutor.language.errors import worded

from tests.support.hostile import survey
from tests.support.refusals import refused
from tests.support.strategies import exact_values


def exact(text: str) -> Fraction:
    """The oracle for decimals: Python's own, not ours."""
    return Fraction(Decimal(text))


# IEC 60062, letter and digit code: these rows as quoted in the English Wikipedia's article
# "RKM code"; those marked (m) are from memory of the standard's tables.
@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("R47", "Ω", "0.47"),
        ("4R7", "Ω", "4.7"),
        ("470R", "Ω", "470"),
        ("4K7", "Ω", "4.7e3"),
        ("47K", "Ω", "47e3"),
        ("47K3", "Ω", "47.3e3"),
        ("470K", "Ω", "470e3"),
        ("4M7", "Ω", "4.7e6"),
        ("R10", "Ω", "0.10"),
        ("1K0", "Ω", "1e3"),
        ("2M2", "Ω", "2.2e6"),
        ("1G0", "Ω", "1e9"),
        ("4L7", "Ω", "4.7e-3"),  # L for 10⁻³, IEC 60062:2016
        ("p33", "F", "0.33e-12"),  # (m)
        ("3p3", "F", "3.3e-12"),  # (m)
        ("330p", "F", "330e-12"),  # (m)
        ("n33", "F", "0.33e-9"),  # (m)
        ("4n7", "F", "4.7e-9"),
        ("10p", "F", "10e-12"),
        ("1µ0", "F", "1e-6"),
        ("3m3", "F", "3.3e-3"),  # (m)
        ("1F5", "F", "1.5"),  # (m)
    ],
)
def test_letter_and_digit_code_of_iec_60062(text: str, unit: str, value: str) -> None:
    assert read_quantity(text, unit) == Quantity(exact(value), unit)


# BIPM, The International System of Units (SI), 9th ed. (2019): prefixes table 7; number and
# unit apart 5.4.3; digits in threes, point or comma as the decimal marker 5.4.4.
@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("4.7 kΩ", "Ω", "4.7e3"),
        ("2.2 MΩ", "Ω", "2.2e6"),
        ("1 GΩ", "Ω", "1e9"),
        ("1 TΩ", "Ω", "1e12"),
        ("100 nF", "F", "100e-9"),
        ("10 µH", "H", "10e-6"),
        ("10 mH", "H", "10e-3"),
        ("1 kH", "H", "1e3"),
        ("22 pF", "F", "22e-12"),
        ("5 fF", "F", "5e-15"),
        ("10 mΩ", "Ω", "0.01"),
        ("10 mHz", "Hz", "0.01"),
        ("10 MHz", "Hz", "10e6"),
        ("43 279.168 29 Hz", "Hz", "43279.16829"),
        ("0,123 456 Hz", "Hz", "0.123456"),
        ("1 000 000 Hz", "Hz", "1000000"),
        ("1\u2009000\u202f000\u00a0Hz", "Hz", "1000000"),
        ("20 ms", "s", "0.02"),
    ],
)
def test_spellings_of_the_si_brochure(text: str, unit: str, value: str) -> None:
    assert read_quantity(text, unit) == Quantity(exact(value), unit)


# What people type: common practice, no source.
@pytest.mark.parametrize(
    ("text", "asked", "value", "unit"),
    [
        ("4.7k", "Ω", "4700", "Ω"),
        ("4k7", "Ω", "4700", "Ω"),
        ("4k7 ohm", "Ω", "4700", "Ω"),
        ("4k7Ω", "Ω", "4700", "Ω"),
        ("47R", "Ω", "47", "Ω"),
        ("47r", "Ω", "47", "Ω"),
        ("2.2meg", "Ω", "2200000", "Ω"),
        ("2.2 Meg", "Ω", "2200000", "Ω"),
        ("2.2 megohm", "Ω", "2200000", "Ω"),
        ("3 kilohms", "Ω", "3000", "Ω"),
        ("100 \u2126", "Ω", "100", "Ω"),
        ("100 \u03a9", "Ω", "100", "Ω"),
        ("1 OHM", "Ω", "1", "Ω"),
        ("0.1u", "F", "1e-7", "F"),
        ("0.1\u00b5", "F", "1e-7", "F"),
        ("0.1\u03bcF", "F", "1e-7", "F"),
        ("100 NF", "F", "1e-7", "F"),
        ("3.3 microfarads", "F", "3.3e-6", "F"),
        ("1e-7 F", "F", "1e-7", "F"),
        ("1E−7F", "F", "1e-7", "F"),
        ("1·10⁻⁷ F", "F", "1e-7", "F"),
        ("1x10^-7 F", "F", "1e-7", "F"),
        ("10^-7 F", "F", "1e-7", "F"),
        ("10⁻⁷", "F", "1e-7", "F"),
        ("10 mh", "H", "0.01", "H"),
        ("10 m", "H", "0.01", "H"),
        ("10m", "F", "0.01", "F"),
        ("159 Hz", "Hz", "159", "Hz"),
        ("159", "Hz", "159", "Hz"),
        ("1.6 kHz", "rad/s", "1600", "Hz"),
        ("1.6 Khz", "Hz", "1600", "Hz"),
        ("2 MHZ", "Hz", "2000000", "Hz"),
        ("1 krad/s", "Hz", "1000", "rad/s"),
        ("1 krad/sec", "Hz", "1000", "rad/s"),
        ("1000 rad s⁻¹", "Hz", "1000", "rad/s"),
        ("1000 radians per second", "Hz", "1000", "rad/s"),
        ("5㎑", "Hz", "5000", "Hz"),
        ("4,7k", "Ω", "4700", "Ω"),
        ("0,100", "Ω", "0.1", "Ω"),
        ("1234,567", "Ω", "1234.567", "Ω"),
        ("12,34", "Ω", "12.34", "Ω"),
        ("1,234.5", "Ω", "1234.5", "Ω"),
        ("1.234,5", "Ω", "1234.5", "Ω"),
        ("1,000,000", "Ω", "1000000", "Ω"),
        ("1.000.000", "Ω", "1000000", "Ω"),
        ("1.000", "Ω", "1", "Ω"),
        (".5", "", "0.5", ""),
        ("5.", "", "5", ""),
        ("＋４.７", "", "4.7", ""),
        ("٤٫٧", "", "4.7", ""),
        ("𝟒.𝟕", "", "4.7", ""),
        ("−3 dB", "dB", "-3", "dB"),
        ("–3", "dB", "-3", "dB"),
        ("-3 db", "", "-3", "dB"),
        ("0.707 V/V", "dB", "0.707", ""),
        ("50 %", "", "0.5", ""),
        ("−40 dB/decade", "dB/decade", "-40", "dB/decade"),
        ("-40 dB/dec", "dB/decade", "-40", "dB/decade"),
        ("-40dB per decade", "dB/decade", "-40", "dB/decade"),
        ("-12 dB/oct", "dB/decade", "-12", "dB/octave"),
        ("-40", "dB/decade", "-40", "dB/decade"),
        ("45°", "°", "45", "°"),
        ("45º", "°", "45", "°"),
        ("-90 deg", "°", "-90", "°"),
        ("-90 degrees", "rad", "-90", "°"),
        ("-1.57 rad", "°", "-1.57", "rad"),
        ("−π/2", "°", "-90", "°"),
        ("pi rad", "°", "180", "°"),
        ("-3π/4", "rad", "-135", "°"),
        ("-3/4 π", "°", "-135", "°"),
        ("  4.7k \n", "Ω", "4700", "Ω"),
        ("0 dB", "dB", "0", "dB"),
    ],
)  # fmt: skip
def test_spellings_of_the_laboratory(text: str, asked: str, value: str, unit: str) -> None:
    assert read_quantity(text, asked) == Quantity(exact(value), unit)


def test_a_quotient_is_exact() -> None:
    assert read_quantity("1/3 kΩ", "Ω") == Quantity(Fraction(1000, 3), "Ω")
    assert read_quantity("1/2", "") == Quantity(Fraction(1, 2), "")


@pytest.mark.parametrize(
    ("text", "unit", "readings"),
    [
        ("4M7", "F", ("4.7 mF", "4.7e6 F")),
        ("4.7 M", "F", ("4.7 mF", "4.7e6 F")),
        ("4.7 MF", "F", ("4.7 mF", "4.7e6 F")),
        ("10 MH", "H", ("10 mH", "1e7 H")),
        ("10 m", "Ω", ("10 mΩ", "10 MΩ")),
        ("4m7", "Ω", ("4.7 mΩ", "4.7 MΩ")),
        ("-10 m", "Hz", ("−10 mHz", "−10 MHz")),
        ("10 mhz", "Hz", ("10 mHz", "10 MHz")),
        ("1 m", "", ("0.001", "1e6")),
        ("1 f", "F", ("1 fF", "1 F")),
        ("1,000", "Ω", ("1.000", "1000")),
        ("12,345 kΩ", "Ω", ("12.345", "12345")),
    ],
)
def test_the_ambiguous_is_refused_with_both_readings(
    text: str, unit: str, readings: tuple[str, ...]
) -> None:
    with pytest.raises(QuantityError) as caught:
        read_quantity(text, unit)
    assert caught.value.readings == readings
    assert text[caught.value.position] in "mMf,"
    for reading in readings:
        assert reading in worded(caught.value)
    # Each reading can be typed as it stands, and they differ.
    assert len({read_quantity(reading, unit).value for reading in readings}) == 2


@pytest.mark.parametrize(
    ("text", "unit", "position", "words"),
    [
        ("", "Hz", 0, "nothing was typed"),
        ("   ", "Hz", 0, "nothing was typed"),
        ("kHz", "Hz", 0, "there should be a number"),
        ("abc", "Hz", 0, "there should be a number"),
        ("4.7 kHz", "Ω", 4, "is a frequency: type a resistance"),
        ("47R", "F", 2, "is a resistance: type a capacitance"),
        ("5 Hz", "", 2, "is a frequency"),
        ("5 Hzz", "Hz", 2, "did you mean Hz?"),
        ("  5 ohn", "Ω", 4, "did you mean Ω?"),
        ("1 10 k", "Ω", 0, "is not one number"),
        ("1,00,000", "Ω", 0, "is not one number"),
        ("1.2.3", "Ω", 0, "is not one number"),
        ("5,", "Ω", 0, "is not one number"),
        ("--5", "dB", 1, "there should be a number"),
        ("1e31", "Hz", 2, "from −30 to 30"),
        ("1e-999999999", "Hz", 2, "from −30 to 30"),
        ("1e30 THz", "Hz", 0, "lies beyond"),
        ("1" + "0" * 40, "Hz", 0, "lies beyond"),
        ("4k7k", "Ω", 3, "two prefixes"),
        ("4K7", "F", 1, "cannot be the decimal sign"),
        ("4R7", "H", 1, "cannot be the decimal sign"),
        ("1/0", "Ω", 2, "divide by zero"),
        ("π/0", "°", 0, "divide by zero"),
        ("½ Ω", "Ω", 0, "there should be a number"),
        ("5²", "Ω", 1, "not a unit known here"),
        ("5 \x1b[31mHz", "Hz", 2, "<U+001B>"),
        ("5 \u202eHz", "Hz", 2, "<U+202E>"),
        ("9" * 65, "Hz", 64, "the limit is 64"),
        ("5 mdB", "dB", 2, "not a unit known here"),
        ("5 k", "°", 2, "not a unit known here"),
    ],
)
def test_a_refusal_says_where_and_what(text: str, unit: str, position: int, words: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read_quantity(text, unit)
    assert words in worded(caught.value)
    assert caught.value.position == position
    assert caught.value.readings == ()
    assert worded(caught.value).isprintable()


def test_an_unknown_unit_asked_for_is_the_caller_s_mistake() -> None:
    with pytest.raises(ValueError, match="unknown unit"):
        read_quantity("1", "kHz")
    with pytest.raises(ValueError, match="unknown unit"):
        write_quantity(1, "ohm")


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (4700, "Ω", "4.7 kΩ"),
        (1591.549, "Hz", "1.592 kHz"),
        (159.1549, "Hz", "159.2 Hz"),
        (15915.49, "rad/s", "15.92 krad/s"),
        (-40, "dB/decade", "−40 dB/decade"),
        (-180, "°", "−180°"),
        (1e-7, "F", "100 nF"),
        (2.2e-6, "F", "2.2 µF"),
        (999.96, "Hz", "1 kHz"),
        (0.99996, "Hz", "1 Hz"),
        (0.0, "Hz", "0 Hz"),
        (-0.0, "dB", "0 dB"),
        (1234.5, "Hz", "1.234 kHz"),  # halves to even: ISO 80000-1, annex B, rule A
        (1235.5, "Hz", "1.236 kHz"),
        (223.6068, "", "223.6"),
        (0.0001234567, "", "0.0001235"),
        (1.234567e-5, "", "1.235×10⁻⁵"),
        (1e9, "", "1×10⁹"),
        (5e6, "F", "5×10⁶ F"),
        (1e-18, "F", "1×10⁻¹⁸ F"),
        (1e20, "Hz", "1×10²⁰ Hz"),
        (3.0103, "dB", "3.01 dB"),
    ],
)
def test_quantities_are_written_by_si_rules(value: float, unit: str, text: str) -> None:
    assert write_quantity(value, unit) == text


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_no_number_is_not_written(value: float) -> None:
    with pytest.raises(ValueError, match="not a finite number"):
        write_quantity(value, "Hz")


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (Fraction(4700), "Ω", "4.7 kΩ"),
        (Fraction(1000, 3), "Ω", "1/3 kΩ"),
        (Fraction(1, 3), "", "1/3"),
        (Fraction(1, 10**7), "F", "100 nF"),
        (Fraction(10**7), "H", "1e7 H"),
        (Fraction(0), "dB", "0 dB"),
        (Fraction(-90), "°", "−90°"),
        (Fraction(1, 1024), "Ω", "976.5625 µΩ"),
    ],
)
def test_exact_writing(value: Fraction, unit: str, text: str) -> None:
    assert write_exact(value, unit) == text


@given(exact_values(), st.sampled_from(sorted(UNITS)), st.booleans())
def test_exact_writing_is_read_back_identically(value: Fraction, unit: str, minus: bool) -> None:
    value = -value if minus else value
    assert read_quantity(write_exact(value, unit), unit, limit=4096) == Quantity(value, unit)


@given(st.integers(1, 2**300), st.integers(1, 2**300), st.sampled_from(["Ω", "F", "H", "Hz"]))
def test_any_fraction_in_range_survives(n: int, d: int, unit: str) -> None:
    value = Fraction(n, d)
    if not Fraction(1, 10**30) <= value <= 10**30:
        with refused(QuantityError, says="this one lies beyond"):
            write_exact(value, unit)
    else:
        assert read_quantity(write_exact(value, unit), unit, limit=4096).value == value


@given(
    st.floats(1e-29, 1e29), st.sampled_from(sorted(UNITS)), st.integers(1, 8), st.booleans()
)  # fmt: skip
def test_rounded_writing_reads_back_within_half_a_digit(
    value: float, unit: str, digits: int, minus: bool
) -> None:
    value = -value if minus else value
    text = write_quantity(value, unit, digits)
    back = read_quantity(text, unit).value
    # The independent rounding: Python's own float formatting, correctly rounded.
    assert abs(back - Fraction(value)) * 2 <= Fraction(10) ** (
        math.floor(math.log10(abs(value))) + 2 - digits
    )
    assert f"{float(back):.{digits - 1}e}" == f"{value:.{digits - 1}e}"


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (4700, "Ω", "4.7 kohm"),
        (2.2e-6, "F", "2.2 uF"),
        (-90, "°", "-90 deg"),
        (-40, "dB/decade", "-40 dB/decade"),
        (1e-18, "F", "1e-18 F"),
        (-2.5e-9, "", "-2.5e-9"),
        (1.5e-9, "°", "1.5e-9 deg"),
    ],
)
def test_ascii_spellings(value: float, unit: str, text: str) -> None:
    assert write_quantity(value, unit, ascii=True) == text
    assert read_quantity(text, unit) == read_quantity(write_quantity(value, unit), unit)


@given(exact_values(), st.sampled_from(sorted(UNITS)))
def test_ascii_means_the_same(value: Fraction, unit: str) -> None:
    text = write_quantity(value, unit, ascii=True)
    assert text.isascii()
    assert read_quantity(text, unit) == read_quantity(write_quantity(value, unit), unit)


@given(exact_values())
def test_a_prefix_keeps_the_number_between_1_and_1000(value: Fraction) -> None:
    text = write_quantity(value, "Ω")
    if Fraction(1, 10**15) <= value < 999 * 10**12:
        number = float(text.split(" ")[0])
        assert 1 <= number < 1000


def test_conjugate_pairs_share_a_prefix() -> None:
    assert write_conjugates(complex(-38333.3, 23033.8), "rad/s") == "(−38.33 ± j·23.03) krad/s"
    assert write_conjugates(1e5j, "rad/s") == "±j·100 krad/s"
    assert write_conjugates(complex(-2, 0), "rad/s") == "−2 rad/s"


SAMPLES = (
    "4.7k", "4k7", "47R", "2.2meg", "100 nF", "0.1u", "1e-7 F", "1 krad/s", "4,7k", "1,000,000",
    "−40 dB/dec", "45°", "-π/2", "10 000 Hz", "4.7×10³ Hz", "1/3 kΩ", "10⁻⁷", "1 234.567 8 Hz",
)  # fmt: skip


@pytest.mark.parametrize("unit", ["Ω", "F", "Hz", "", "°", "dB/decade"])
def test_hostile_text_is_read_or_refused_at_once(unit: str) -> None:
    count = 25_000 if unit in ("Ω", "°") else 5_000
    seed = sorted(UNITS).index(unit)

    def read(text: str) -> None:
        found = read_quantity(text, unit)
        assert UNITS[found.unit].dimension == UNITS[unit].dimension
        assert len(text.strip()) <= MAX_TYPED

    outcomes = survey(read, (QuantityError,), SAMPLES, count, seed)
    assert outcomes["read"] > count / 100, outcomes
    assert outcomes["refused"] > count / 2, outcomes


@given(st.text(max_size=30), st.sampled_from(sorted(UNITS)))
def test_a_refusal_points_into_the_text(text: str, unit: str) -> None:
    refusal = None
    try:
        read_quantity(text, unit)
    except QuantityError as error:
        refusal = error
    if refusal is not None:
        assert 0 <= refusal.position <= len(text)
        assert worded(refusal).isprintable()


@pytest.mark.parametrize("module", ["quantities.read", "quantities.write", "circuits.text"])
def test_the_examples_in_the_docstrings_are_true(module: str) -> None:
    found = doctest.testmod(importlib.import_module(f"rungwise.problems.{module}"))
    assert found.attempted > 0
    assert found.failed == 0
