"""Decimal signs as the other numbers of the same hand give them away."""

from __future__ import annotations

import pytest
from rungwise.problems.quantities.separators import decimal_sign, spelt_out


@pytest.mark.parametrize(
    ("texts", "sign"),
    [
        (["0,7", "low-pass"], ","), (["0.7"], "."), (["1.234,5"], ","), (["1,234.5"], "."),
        (["1.234.567"], ","), (["1,234,567"], "."), (["1,5", "2.5"], ""), (["1,591"], ""),
        (["1.591", "12 kHz"], ""), (["1591,5"], ","), (["0,591"], ","), (["2, 3"], ""), ([], ""),
        (["1'234.5"], "."), (["5.28 kHz, −40"], "."),
    ],
)  # fmt: skip
def test_numbers_give_the_decimal_sign_away(texts: list[str], sign: str) -> None:
    assert decimal_sign(texts) == sign


@pytest.mark.parametrize(
    ("text", "decimal", "spelt"),
    [
        ("1,591 Hz", ",", "1.591 Hz"), ("1,591 Hz", ".", "1591 Hz"), ("1.591 Hz", ",", "1591 Hz"),
        ("1.591 Hz", ".", "1.591 Hz"), ("1,591 Hz", "", "1,591 Hz"), ("0,591", ".", "0,591"),
        ("1,59", ".", "1,59"), ("10'000", "", "10000"), ("1’234.5", "", "1234.5"),
        ("5'11", "", "5'11"), ("1,234.5", ",", "1,234.5"),
        ("1/(2*3,141*1.000)", ",", "1/(2*3.141*1000)"),
    ],
)  # fmt: skip
def test_only_what_can_be_read_in_two_ways_is_changed(text: str, decimal: str, spelt: str) -> None:
    assert spelt_out(text, decimal) == spelt
