"""Parts of the pages that say where a learner stands, as lines of text.

Everything is told by words, figures or shapes; colour only repeats it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from typing import TypeVar

from ...coach.overview import Overview
from ...figures.canvas.styled import StyledLine
from ...language.dates import initial, short_day
from ...language.texts import speaker
from ...language.wrap import fold

opening = speaker("opening")
T = TypeVar("T")

HEAD = "bold $ink-copper"
QUIET = "$ink-quiet"
BARS = " ▁▂▃▄▅▆▇█"
FULL, EMPTY = "━", "╌"
GROUPS = 15
"""Columns for the circuits of a skill, at the right end of a line."""


def heading(text: str, width: int, right: str = "") -> StyledLine:
    """``text`` as a heading ``width`` wide, with ``right`` quietly at the end of its line."""
    room = max(0, width - len(text))
    return StyledLine.of((text[:width], HEAD), (right.rjust(room)[:room], QUIET))


def bar(share: float, width: int, ink: str = "$ink-copper") -> StyledLine:
    """``share`` as a bar of a ``width``, in an ``ink``; what is missing is dashed."""
    full = round(max(0.0, min(1.0, share)) * width)
    return StyledLine.of((FULL * full, f"bold {ink}"), (EMPTY * (width - full), "$ink-line"))


def cut(text: str, width: int) -> str:
    """``text`` in exactly ``width`` columns."""
    return text.ljust(width) if len(text) <= width else text[: max(0, width - 1)] + "…"


def prose(text: str, width: int, ink: str = "$foreground") -> list[StyledLine]:
    """``text`` as a paragraph ``width`` columns wide, in an ``ink``."""
    return [StyledLine.of((line, ink)) for line in fold(text, width)]


def more(count: int) -> list[StyledLine]:
    """How many there are beyond those shown."""
    return [StyledLine.of(("  " + opening("stand.more", count=count), QUIET))] if count > 0 else []


def _listed(
    name: str, found: Sequence[T], width: int, rows: int, line: Callable[[T], StyledLine]
) -> list[StyledLine]:
    lines = [heading(opening(f"stand.{name}"), width, str(len(found)) if found else "")]
    if not found:
        return [*lines, StyledLine.of(("  " + opening(f"stand.{name}-none"), QUIET))]
    shown = found if len(found) <= rows else found[: rows - 1]
    return [*lines, *map(line, shown), *more(len(found) - len(shown))]


def due(board: Overview, width: int, rows: int) -> list[StyledLine]:
    """The skills that are due by the ``board``, ``width`` wide, on so many ``rows``."""

    def line(skill: tuple[str, str]) -> StyledLine:
        rung, group = skill
        return StyledLine.of(
            ("◆ ", "$ink-brass"),
            (cut(rung, width - 3 - GROUPS), "$foreground"),
            " ",
            (group[:GROUPS].rjust(GROUPS), QUIET),
        )

    return _listed("due", board.due, width, rows, line)


def weak(board: Overview, width: int, rows: int) -> list[StyledLine]:
    """The weakest skills by the ``board``, each with the share that was right at once.

    They are ``width`` columns wide, on so many ``rows``.
    """
    gauge = 6 if width < 60 else 12
    name_room = width - gauge - 1 - GROUPS - 1

    def line(state: tuple[float, str, str]) -> StyledLine:
        share, rung, group = state
        return StyledLine.of(
            bar(share, gauge, "$ink-rust"),
            (f"{share * 100:4.0f} %  ", "$foreground"),
            (cut(rung, name_room - 8), "$foreground"),
            " ",
            (group[:GROUPS].rjust(GROUPS + 1), QUIET),
        )

    return _listed("weak", board.weak, width, rows, line)


def slips(board: Overview, width: int, rows: int) -> list[StyledLine]:
    """The slips that come back by the ``board``, ``width`` wide, on so many ``rows``, if any."""
    found = board.slips
    if not found:
        return []
    lines = [heading(opening("stand.slips"), width)]
    for name, count in found[:rows]:
        times = opening("stand.times", count=count)
        lines.append(
            StyledLine.of(
                ("✗ ", "$ink-rust"),
                (cut(name, width - 4 - len(times)), "$foreground"),
                "  ",
                (times, "bold $foreground"),
            )
        )
    return lines


def counts_by_day(
    calendar: Sequence[tuple[date, int]], today: date, days: int
) -> list[tuple[date, int]]:
    """Reviews of a ``calendar`` on each of the next ``days`` from ``today`` on, also on none."""
    known = dict(calendar)
    wanted = [today + timedelta(days=n) for n in range(days)]
    return [(day, known.get(day, 0)) for day in wanted]


def calendar(board: Overview, width: int, height: int = 2) -> list[StyledLine]:
    """The reviews of the next days as columns, and the day of the exam.

    Args:
        board: where the learner stands.
        width: columns; every day takes two or three.
        height: rows of the tallest column.
    """
    today, exam = board.today, board.exam
    pitch = 3 if width >= 42 else 2
    days = max(1, min(28, width // pitch))
    title = opening("stand.ahead", days=days)
    if exam is not None and 0 <= (exam - today).days < days:
        # Nothing falls due after it; a day more, so that it does not look cut off.
        days = min(days, max(7, (exam - today).days + 2))
        title = opening("stand.ahead-exam")
    counts = counts_by_day(board.calendar, today, days)
    most = max((count for _, count in counts), default=0)
    total = sum(count for _, count in counts)
    if not total:
        said = opening("stand.ahead-none", days=len(counts))
        return [heading(title, width), *prose("  " + said, width, QUIET)]
    lines = [heading(title, width, str(total))]
    for row in range(height, 0, -1):
        parts: list[StyledLine | tuple[str, str]] = []
        for day, count in counts:
            if day == exam:
                parts.append(("┃".center(pitch), "bold $ink-brass"))
                continue
            eighths = round(count / max(most, 1) * 8 * height) if count else 0
            level = max(0, min(8, eighths - 8 * (row - 1)))
            if count and row == 1:
                level = max(1, level)
            parts.append((BARS[level] * (pitch - 1) + " ", "$ink-verdigris"))
        lines.append(StyledLine.of(*parts))
    named: list[tuple[str, str]] = []
    for day, _ in counts:
        if day == exam:
            named.append(("E".center(pitch), "bold $ink-brass"))
        else:
            look = "bold $foreground" if day == today else QUIET
            named.append((initial(day).ljust(pitch), look))
    lines.append(StyledLine.of(*named))
    if height > 2:
        # Where there is no room for every number, every second day has one.
        every = 1 if pitch > 2 else 2
        numbers = [(str(day.day).ljust(pitch * every), QUIET) for day, _ in counts[::every]]
        lines.append(StyledLine.of(*numbers))
    return lines


def forecast(board: Overview, width: int) -> list[StyledLine]:
    """How much is known by the ``board``, and what was met so far, ``width`` columns wide."""
    future = board.days is not None and board.days > 0
    title = opening("stand.ready-exam" if future else "stand.ready")
    share = f"{board.ready * 100:.0f} %"
    lines = [
        heading(title, width),
        StyledLine.of(
            bar(board.ready, max(4, width - 7), "$ink-verdigris"),
            (share.rjust(7), "bold $foreground"),
        ),
    ]
    if board.complete:
        lines += prose(opening("stand.complete"), width)
    else:
        # How much work is left nobody can tell within a quarter; what was met is a fact.
        lines += prose(opening("stand.met", groups=board.groups, types=board.types), width, QUIET)
    if board.exam is None:
        lines += prose(opening("stand.unexamined"), width, QUIET)
    return lines


def side_by_side(columns: Sequence[list[StyledLine]], width: int, gap: int = 4) -> list[StyledLine]:
    """``columns`` of lines next to each other, each ``width`` wide, with a ``gap`` between."""
    height = max(len(lines) for lines in columns)
    found = []
    for row in range(height):
        parts: list[StyledLine | str] = []
        for place, lines in enumerate(columns):
            line = lines[row] if row < len(lines) else StyledLine()
            parts.append(line)
            if place < len(columns) - 1:
                parts.append(" " * (max(0, width - line.width) + gap))
        found.append(StyledLine.of(*parts))
    return found


def exam_words(board: Overview) -> str:
    """What the top line says of the exam; nothing without a date to come."""
    days = board.days
    if days is None or days < 0 or board.exam is None:
        return ""
    key = {0: "exam-today", 1: "exam-tomorrow"}.get(days, "exam")
    return opening(f"place.{key}", days=days, date=short_day(board.exam))
