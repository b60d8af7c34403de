"""Days as people write them: "14 Dec", "2026-12-14", "Monday 14 December"."""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta

from .texts import entry, fill, plain
from .told import ToldError

MAX_TYPED = 40
_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
_DOTTED = re.compile(r"(\d{1,2})\. ?(\d{1,2})\.(?: ?(\d{4}))?")
_DAY_FIRST = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?\.? +([a-z]+)\.?,?(?: +(\d{4}))?")
_MONTH_FIRST = re.compile(r"([a-z]+)\.? +(\d{1,2})(?:st|nd|rd|th)?,?(?: +(\d{4}))?")
_AWAY = re.compile(r"in +(\d{1,4}) +(day|week)s?")
_FURTHEST = 3660
"""Days ahead an exam may be; more is a slip of the pen."""


def local_now() -> datetime:
    """The time, in this machine's time zone."""
    return datetime.now().astimezone()


class DayError(ToldError):
    """A text that names no day to come; the message says why, and what would."""


def _named(key: str) -> list[str]:
    return entry("days", key).split()


def _month(name: str) -> int:
    found = [i for i, month in enumerate(_named("months"), 1) if month.lower().startswith(name)]
    if len(name) < 3 or len(found) != 1:
        raise DayError(fill("days", "error.month", [("name", name)]))
    return found[0]


def _day(year: int, month: int, day: int) -> date:
    try:
        return date(year, month, day)
    except ValueError:
        known = 1 <= month <= 12
        name = _named("months")[month - 1] if known else str(month)
        values = [("day", day), ("month", name), ("year", year)]
        raise DayError(fill("days", f"error.{'day' if known else 'no-month'}", values)) from None


def _next(today: date, month: int, day: int) -> date:
    """That day of this year or, gone by, of the next; the 29th of February may be further off."""
    for year in range(today.year, today.year + 9):
        try:
            found = date(year, month, day)
        except ValueError:
            continue
        if found >= today:
            return found
    return _day(today.year, month, day)


def read_day(text: str, today: date) -> date:
    """The day to come, from ``today``, that ``text`` names; without a year the next of that name.

    Raises:
        DayError: it names none, or one that has gone by.
    """
    typed = " ".join(plain(text[: MAX_TYPED * 4]).split())
    low = typed.lower()
    if not low or len(low) > MAX_TYPED:
        raise DayError(fill("days", "error.form"))
    if low in ("today", "tomorrow"):
        return today + timedelta(days=low == "tomorrow")
    if away := _AWAY.fullmatch(low):
        found = today + timedelta(days=min(int(away[1]) * (7 if away[2] == "week" else 1), 99_999))
    elif iso := _ISO.fullmatch(low):
        found = _day(int(iso[1]), int(iso[2]), int(iso[3]))
    else:
        if dotted := _DOTTED.fullmatch(low):
            day, month, year = int(dotted[1]), int(dotted[2]), dotted[3]
        elif first := _DAY_FIRST.fullmatch(low):
            day, month, year = int(first[1]), _month(first[2]), first[3]
        elif later := _MONTH_FIRST.fullmatch(low):
            day, month, year = int(later[2]), _month(later[1]), later[3]
        else:
            raise DayError(fill("days", "error.form"))
        found = _day(int(year), month, day) if year else _next(today, month, day)
    if found < today:
        raise DayError(fill("days", "error.past", [("date", long_day(found))]))
    if (found - today).days > _FURTHEST:
        raise DayError(fill("days", "error.far", [("date", long_day(found))]))
    return found


def short_day(day: date) -> str:
    """Mon 14 Dec."""
    return (
        f"{_named('weekdays')[day.weekday()][:3]} {day.day} {_named('months')[day.month - 1][:3]}"
    )


def long_day(day: date) -> str:
    """Monday 14 December 2026."""
    return f"{_named('weekdays')[day.weekday()]} {plain_day(day)}"


def plain_day(day: date) -> str:
    """14 December 2026."""
    return f"{day.day} {_named('months')[day.month - 1]} {day.year}"


def initial(day: date) -> str:
    """The first letter of the day of the week."""
    return _named("weekdays")[day.weekday()][0]


def ahead(day: date, today: date) -> str:
    """How far ``day`` is from ``today``: "today", "tomorrow", "in 19 days", "3 days ago"."""
    days = (day - today).days
    key = {0: "today", 1: "tomorrow", -1: "yesterday"}.get(days, "ago" if days < 0 else "in")
    return fill("days", f"ahead.{key}", [("days", abs(days))])


def lasting(seconds: float) -> str:
    """A time span: "38 s", "4 min", "2 h 5 min"."""
    whole = round(seconds)
    if whole < 100:
        return f"{whole} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 100 else f"{minutes // 60} h {minutes % 60} min"
