"""Printed apostrophes are curly; signs that only look like them stay as they are typed."""

from __future__ import annotations

import pytest
from rungwise.tutor.language.apostrophes import Typed, curled


@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        ("a resistor's impedance doesn't change", "a resistor’s impedance doesn’t change"),
        ("the resistors' values; all students'.", "the resistors’ values; all students’."),
        ("say 'yes' or ('no'), and why it's so", "say ‘yes’ or (‘no’), and why it’s so"),
        ("the 'series' and the 'resistors' values'", "the ‘series’ and the ‘resistors’ values’"),
        ("d'Alembert's and O'Neil's", "d’Alembert’s and O’Neil’s"),
        (
            "H'(s), f' = 2, 5' 10\", 1'000 Ω, V_s' = 3 V",
            "H'(s), f' = 2, 5' 10\", 1'000 Ω, V_s' = 3 V",
        ),
        ("", ""),
        ("it’s done already", "it’s done already"),
    ],
)
def test_apostrophes_are_curled_where_they_are_apostrophes(typed: str, printed: str) -> None:
    assert curled(typed) == printed
    assert curled(printed) == printed


def test_what_somebody_typed_is_left_as_it_is() -> None:
    assert curled(Typed("it's O'Neil's")) == "it's O'Neil's"
