"""Days are read as people write them, and refused with a reason."""

from __future__ import annotations

import contextlib
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rungwise.tutor.language.dates import DayError, ahead, lasting, long_day, read_day, short_day

TODAY = date(2026, 11, 25)  # a Wednesday


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("2026-12-14", date(2026, 12, 14)),
        ("14 Dec", date(2026, 12, 14)),
        ("  14   december ", date(2026, 12, 14)),
        ("Dec 14", date(2026, 12, 14)),
        ("December 14, 2027", date(2027, 12, 14)),
        ("14th Dec. 2026", date(2026, 12, 14)),
        ("14.12.", date(2026, 12, 14)),
        ("14.12.2026", date(2026, 12, 14)),
        ("14. 12. 2026", date(2026, 12, 14)),
        ("3 Feb", date(2027, 2, 3)),
        ("25 nov", TODAY),
        ("24 nov", date(2027, 11, 24)),
        ("29 Feb", date(2028, 2, 29)),
        ("today", TODAY),
        ("Tomorrow", date(2026, 11, 26)),
        ("in 10 days", date(2026, 12, 5)),
        ("in 2 weeks", date(2026, 12, 9)),
    ],
)
def test_days_as_they_are_written(typed: str, day: date) -> None:
    assert read_day(typed, TODAY) == day


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("", "not a date"),
        ("soon", "not a date"),
        ("14/12", "not a date"),
        ("14", "not a date"),
        ("14 Smarch", "no month “smarch”"),
        ("14 j", "no month"),
        ("14 Ju", "no month"),
        ("31 Feb", "February 2026 has no day 31"),
        ("31 June", "June 2026 has no day 31"),
        ("29 Feb 2027", "February 2027 has no day 29"),
        ("2026-13-01", "no month 13"),
        ("2026-00-10", "no month 0"),
        ("0 Dec", "has no day 0"),
        ("2026-11-24", "Tuesday 24 November 2026 is in the past"),
        ("0001-01-01", "in the past"),
        ("in 9999 days", "more than ten years"),
        ("2099-01-01", "more than ten years"),
        ("9" * 5000, "not a date"),
        ("[red]14 Dec[/]", "not a date"),
        ("14\x1b[2J Dec", "not a date"),
    ],
)
def test_what_is_refused_and_why(typed: str, why: str) -> None:
    with pytest.raises(DayError) as caught:
        read_day(typed, TODAY)
    assert why in str(caught.value)
    assert "\x1b" not in str(caught.value) and len(str(caught.value)) < 200


@given(st.dates(date(2026, 1, 1), date(2035, 12, 31)), st.dates(date(2026, 1, 1)))
def test_what_is_written_is_read(day: date, today: date) -> None:
    """Against the standard library's own names of days and months."""
    if not 0 <= (day - today).days <= 3000:
        return
    assert long_day(day) == f"{day:%A} {day.day} {day:%B %Y}"
    assert short_day(day) == f"{day:%a} {day.day} {day:%b}"
    for text in (day.isoformat(), f"{day.day} {day:%B %Y}", f"{day:%b} {day.day} {day.year}"):
        assert read_day(text, today) == day


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    with contextlib.suppress(DayError):
        assert read_day(text, TODAY) >= TODAY


def test_how_far_off() -> None:
    shown = [ahead(date(2026, 11, day), TODAY) for day in (20, 24, 25, 26, 28)]
    assert shown == ["5 days ago", "yesterday", "today", "tomorrow", "in 3 days"]
    assert [lasting(s) for s in (0.4, 38, 99, 240, 7500)] == [
        "0 s",
        "38 s",
        "99 s",
        "4 min",
        "2 h 5 min",
    ]
