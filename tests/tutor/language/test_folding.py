"""Folded text: what is read as one stays on one line, and nothing is lost."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rungwise.tutor.language.wrap import fold


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("a frequency such as 1.59 kHz or so", "1.59 kHz"),
        ("the slope is then −20 dB/decade there", "−20 dB/decade"),
        ("a load of at most 4.7 kΩ hangs there", "4.7 kΩ"),
        ("within the tolerance of 2 % of it", "2 %"),
        ("the poles at (−5 ± j·99.87) krad/s here", "j·99.87) krad/s"),
        ("here the shunt arm C ∥ L is a short", "C ∥ L"),
        ("here the shunt arm C || L is a short", "C || L"),
        ("here the series arm R1 + L1 opens", "R1 + L1"),
    ],
)
def test_what_is_read_as_one_stays_together(text: str, kept: str) -> None:
    for width in range(len(kept), len(text) + 1):
        assert any(kept in line for line in fold(text, width)), width


def test_other_blanks_are_places_to_fold() -> None:
    assert fold("a 5 b and some words", 4) == ["a 5", "b", "and", "some", "word", "s"]


@given(st.text("ab1 Hz+∥|%()Ω.", max_size=60), st.integers(4, 30))
def test_nothing_is_lost_and_nothing_too_wide(text: str, width: int) -> None:
    lines = fold(text, width, "", "  ")
    assert "".join("".join(lines).split()) == "".join(text.split())
    assert all(len(line) <= width for line in lines)
