"""Reviews fitted to the day of the exam: bands, nothing after it, any zone, any clock change."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from rungwise.problems.questions.model import Rung, Task
from rungwise.tutor.learning.course import Outcome
from rungwise.tutor.learning.evidence import Evidence
from rungwise.tutor.learning.plan import standing
from rungwise.tutor.learning.schedule import band, due_day, fitted, share
from rungwise.tutor.learning.skills import SkillState, advance

ZONES = (
    "UTC", "Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "Asia/Kathmandu",
    "Pacific/Apia", "Pacific/Kiritimati", "Pacific/Pago_Pago", "America/St_Johns",
)  # fmt: skip
zones = st.sampled_from([ZoneInfo(name) for name in ZONES])
hours = st.times()
days = st.integers(1, 365)
begins = st.dates(date(2025, 1, 1), date(2027, 12, 31))


def at(day: date, hour: time, zone: ZoneInfo) -> datetime:
    """A moment of a local day that exists, even where clocks jump over that hour."""
    moment = datetime.combine(day, hour.replace(tzinfo=None), zone)
    return moment.astimezone(UTC).astimezone(zone)


def right(when: datetime, good: bool = True) -> Evidence:
    outcome, tries = (Outcome.CLEAN, 1) if good else (Outcome.RIGHT, 2)
    return Evidence(
        when.astimezone(UTC), "rc-low-pass", 1, 1, Task.ANALYSE, Rung.CORNER, 0, outcome, tries, 0
    )


def mastered(when: datetime) -> SkillState:
    state = advance(advance(None, right(when)), right(when))
    assert state.mastered
    return state


def test_shares_of_the_days_left() -> None:
    """Cepeda et al. 2008: 30 % of 7 days, 20 % of 35, 7 % of 350; between them in between."""
    assert [share(d) for d in (7, 35, 350)] == pytest.approx([0.30, 0.20, 0.07])
    assert share(1) == share(7) and share(365) == share(350)
    falling = [share(d) for d in range(1, 366)]
    assert falling == sorted(falling, reverse=True)


def test_bands_in_days() -> None:
    """By hand: 2.1, 7 and 24.5 days wanted, half as many again or two thirds at most."""
    assert (band(7), band(35), band(350)) == ((2, 3), (5, 10), (17, 36))
    assert band(1) == (1, 1)
    assert fitted(2, None) == 2 and fitted(0, None) == 1
    assert (fitted(1, 35), fitted(8, 35), fitted(200, 35)) == (5, 8, 10)


@given(left=days, gap=st.integers(1, 400))
def test_gaps_are_inside_their_bands(left: int, gap: int) -> None:
    days_between = fitted(gap, left)
    wanted = share(left) * left
    assert days_between == round(days_between) >= 1
    # Whole days: the nearest ones to the band's ends may lie outside it by less than one.
    assert wanted / 1.5 <= days_between <= max(1, wanted * 1.5, wanted / 1.5 + 1)


@given(zone=zones, begin=begins, hour=hours, left=days)
@example(ZoneInfo("Europe/Berlin"), date(2026, 3, 28), time(23, 59), 7)
@example(ZoneInfo("America/New_York"), date(2026, 10, 31), time(23, 30), 2)
@example(ZoneInfo("Pacific/Apia"), date(2026, 4, 4), time(0, 1), 1)
def test_the_plan_up_to_the_exam(zone: ZoneInfo, begin: date, hour: time, left: int) -> None:
    """Somebody reviews on each day that is due: every gap in its band, the last before the exam."""
    exam = begin + timedelta(days=left)
    now = at(begin, hour, zone)
    day = now.date()
    state = mastered(now)
    reviews = 0
    while True:
        due = due_day(state, now, exam)
        if due is None:
            break
        gap = (due - day).days
        shortest, longest = band((exam - day).days)
        assert shortest <= gap <= longest
        assert day < due < exam
        before = at(due - timedelta(days=1), time(23, 59), zone)
        assert not standing({state.skill: state}, before, exam).due or due - day == timedelta(1)
        now = at(due, hour, zone)
        assert standing({state.skill: state}, now, exam).due == (state.skill,)
        day = now.date()
        state = advance(state, right(now))
        reviews += 1
        assert not standing({state.skill: state}, now, exam).due
    # Nothing is left undone: the next gap would have led to the exam or beyond.
    assert day + timedelta(days=band((exam - day).days)[1]) >= exam or (
        day + timedelta(days=fitted(state.gap, (exam - day).days)) >= exam
    )
    assert reviews <= 40
    for late in range(3):
        after = at(exam + timedelta(days=late), hour, zone)
        assert not standing({state.skill: state}, after, exam).due


@given(zone=zones, begin=begins, first=hours, second=hours, left=days)
def test_the_hour_of_the_day_makes_no_difference(
    zone: ZoneInfo, begin: date, first: time, second: time, left: int
) -> None:
    """A day is a day of the learner's calendar, whatever the clocks do on it."""
    exam = begin + timedelta(days=left)
    early, late = at(begin, first, zone), at(begin, second, zone)
    if early.date() != late.date():  # a clock put forward over midnight
        return
    assert due_day(mastered(early), early, exam) == due_day(mastered(late), late, exam)


def test_a_journey_changes_the_day_not_the_moment() -> None:
    """Reviewed at 22:00 in New York, which is the next day in Berlin."""
    state = mastered(datetime(2026, 10, 1, 22, tzinfo=ZoneInfo("America/New_York")))
    exam = date(2026, 11, 5)
    at_home = datetime(2026, 10, 3, 12, tzinfo=ZoneInfo("America/New_York"))
    abroad = datetime(2026, 10, 3, 12, tzinfo=ZoneInfo("Europe/Berlin"))
    assert due_day(state, at_home, exam) == date(2026, 10, 6)
    assert due_day(state, abroad, exam) == date(2026, 10, 7)


def test_another_date_of_the_exam_changes_the_plan_at_once() -> None:
    now = datetime(2026, 10, 1, 12, tzinfo=UTC)
    state = mastered(now)
    found = [due_day(state, now, now.date() + timedelta(days=d)) for d in (1, 7, 35, 350)]
    assert found == [None, date(2026, 10, 3), date(2026, 10, 6), date(2026, 10, 18)]
    assert due_day(state, now, None) == date(2026, 10, 3)  # two days, as the scheduler proposes
    assert due_day(state, now + timedelta(days=9), date(2026, 10, 5)) is None


@given(st.lists(st.booleans(), max_size=12), days)
def test_any_history_leads_to_a_day_before_the_exam(history: list[bool], left: int) -> None:
    now = datetime(2026, 1, 5, 9, tzinfo=UTC)
    state = mastered(now)
    for good in history:
        now += timedelta(days=3)
        state = advance(state, right(now, good))
    exam = now.date() + timedelta(days=left)
    due = due_day(state, now, exam)
    assert due is None or now.date() < due < exam
    calendar = standing({state.skill: state}, now, exam).forecast.calendar
    assert all(now.date() <= day < exam for day, _ in calendar)
    assert sum(count for _, count in calendar) == (due is not None and state.mastered)


@pytest.mark.parametrize("zone", ["UTC", "Europe/Berlin", "Australia/Lord_Howe"])
def test_every_exam_from_tomorrow_to_a_year_away(zone: str) -> None:
    """All 365 of them, from a day before clocks change: the shares of the rule, to the day.

    Of the days left, a gap takes the share that stands at 7, 35 and 350 days, straight between
    on a scale of the logarithm, within a factor of one and a half; a whole day at least.
    """
    place = ZoneInfo(zone)
    logs, shares = np.log([7, 35, 350]), [0.30, 0.20, 0.07]
    for left in range(1, 366):
        now = at(date(2026, 10, 3), time(22, 30), place)
        exam = now.date() + timedelta(days=left)
        state = mastered(now)
        while (due := due_day(state, now, exam)) is not None:
            days_left = (exam - now.date()).days
            gap = (due - now.date()).days
            wanted = float(np.interp(np.log(days_left), logs, shares)) * days_left
            # Whole days: the nearest ones to the ends may lie outside by less than one.
            assert wanted / 1.5 <= gap < max(1, wanted * 1.5, wanted / 1.5) + 1, (left, days_left)
            assert now.date() < due < exam
            now = at(due, time(22, 30), place)
            state = advance(state, right(now))
        assert not standing({state.skill: state}, at(exam, time(0, 1), place), exam).due


@settings(max_examples=40)
@given(
    left=days,
    begin=begins,
    journey=st.lists(st.tuples(zones, hours, st.integers(0, 40), st.booleans()), max_size=4),
)
def test_late_here_and_there(
    left: int, begin: date, journey: list[tuple[ZoneInfo, time, int, bool]]
) -> None:
    """Somebody comes late, misses some, and travels: days are those of where they are now.

    What is due stays due until it is done, never on the day of the exam or after it.
    """
    exam = begin + timedelta(days=left)
    now = at(begin, time(12), ZoneInfo("UTC"))
    state = mastered(now)
    for zone, hour, late, good in journey:
        here = now.astimezone(zone)
        due = due_day(state, here, exam)
        reviewed = datetime.fromtimestamp(state.reviewed, zone).date()
        if due is not None:
            shortest, longest = band((exam - reviewed).days)
            assert shortest <= (due - reviewed).days <= longest
            assert reviewed < due < exam
        for then in range(0, left + 3, 1 + left // 20):
            moment = at(here.date() + timedelta(days=then), hour, zone)
            expected = (
                state.mastered and due is not None and due <= moment.date() and moment.date() < exam
            )
            found = standing({state.skill: state}, moment, exam)
            assert bool(found.due) is expected
            assert all(moment.date() <= day < exam for day, _ in found.forecast.calendar)
        now = at((due or here.date()) + timedelta(days=late), hour, zone)
        state = advance(state, right(now, good))
        if not good:
            state = advance(state, right(now))  # and put right
