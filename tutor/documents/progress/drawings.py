"""What is drawn on the progress page: the map of skills, the days ahead, the course of a slip."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from ....problems.catalogue.groups import SkillGroup
from ....problems.questions.model import Rung
from ...coach.progress import Line, Progress, SlipCourse
from ...language.dates import short_day
from ...language.texts import fill, speaker
from ...learning.skill_map import RULES, parts_of
from ...phrases.skills import skill_parts, slip_words
from ..drawings.charts import bar, chart, ink, rule, write
from ..drawings.svg import Pen, VectorDrawing, polyline
from .map import bands, best_of

say = speaker("opening", "page.")
STATES = ("known", "due", "weak", "begun", "new")

_CELL, _GAP, _LABEL, _ROW, _HEAD = 14.5, 10.5, 88.5, 19.5, 18.0
_SIDE = 9.0
"""Points that a skill's mark is wide."""
_LEGEND = 76.0
_DAY, _TALL = 22.5, 68.0
_WEEK, _LOW = 10.5, 19.5


def state_words(state: str) -> str:
    """A state in words."""
    return fill("opening", f"map.{state}")


def _wide(drawing: VectorDrawing) -> VectorDrawing:
    """A drawing whose letters are those of the page, plain ones: it has room for wide ones."""
    return replace(drawing, svg=drawing.own_font)


def skill_map(found: Progress) -> VectorDrawing:
    """All skills: a row is a kind of circuit, a column a kind of question."""
    by_place: dict[tuple[SkillGroup, Rung], Line] = {}
    for line in found.lines:
        try:
            by_place[parts_of(line.skill)] = line
        except ValueError:
            continue  # a skill of another release has no place on the map
    groups = [group for group in SkillGroup if any(place[0] is group for place in by_place)]
    pen, x = Pen(), _LABEL
    for name, rungs in bands():
        write(pen, x, 9, fill("opening", f"band.{name}"), name="quiet")
        for rung in rungs:
            for row, group in enumerate(groups):
                if (cell := by_place.get((group, rung))) is not None:
                    with pen.group():
                        pen.told(_cell_words(cell))
                        _mark(pen, cell.state, cell.known, x, _HEAD + row * _ROW + 3)
            x += _CELL
        x += _GAP
    for row, group in enumerate(groups):
        write(pen, 0, _HEAD + row * _ROW + 11, fill("opening", f"group.{group.value}"))
    height = _predicted(pen, by_place, _HEAD + _ROW * len(groups) + 2) + 6
    for place, state in enumerate(STATES):
        _mark(pen, state, 0.5, place * _LEGEND + 1, height)
        write(pen, place * _LEGEND + 15, height + 8, state_words(state), name="quiet")
    counts = Counter(line.state for line in found.lines)
    told = {state: counts[state] for state in STATES}
    told["known"] += counts["due"]
    desc = say("map-desc", all=len(found.lines), **told)
    return _wide(chart(pen, height + 14, say("map"), desc, x - _GAP))


def _predicted(pen: Pen, by_place: Mapping[tuple[SkillGroup, Rung], Line], top: float) -> float:
    """What there is to read and predict, two ways a row, from ``top`` on; the bottom of it."""
    write(pen, 0, top + 11, fill("opening", "map.predicted"), name="quiet")
    best = best_of(by_place.values())
    top += _ROW
    half = -(-len(RULES) // 2)
    room = max(map(len, RULES.values())) * _CELL + _LABEL + _GAP
    for place, (way, rungs) in enumerate(RULES.items()):
        side, row = divmod(place, half)
        x, y = side * room, top + row * _ROW
        write(pen, x, y + 11, fill("opening", f"way.{way}"))
        for number, rung in enumerate(rungs):
            with pen.group():
                pen.told(_cell_words(best[rung]))
                line = best[rung]
                _mark(pen, line.state, line.known, x + _LABEL + number * _CELL, y + 3)
    return top + half * _ROW


def _cell_words(line: Line) -> str:
    question, circuits = skill_parts(line.skill)
    values = {"question": question, "circuits": circuits, "state": state_words(line.state)}
    if line.asked:
        return say("cell-asked", right=line.right, asked=line.asked, **values)
    return say("cell", **values)


def _mark(pen: Pen, state: str, known: float, x: float, y: float) -> None:
    """A skill: told by its shape as well as by its colour."""
    half = _SIDE / 2
    middle, level = x + half, y + half
    full = max(1.5, known * _SIDE)
    match state:
        case "new":
            pen.circle(middle, level, 1.4, **ink("new"))
        case "due":
            far = half + 0.8
            corners = (
                (middle, level - far), (middle + far, level), (middle, level + far),
                (middle - far, level),
            )  # fmt: skip
            pen.path(f"{polyline(corners)}z", **ink("due"))
        case "known":
            bar(pen, x, y, _SIDE, _SIDE, "known")
        case "weak":
            pen.circle(middle, level, half, **ink("base"))
            pen.circle(middle, level, max(1.9, full / 2), **ink("slip"))
        case _:
            bar(pen, x, y, _SIDE, _SIDE, "base")
            bar(pen, x, y + _SIDE - full, _SIDE, full, "begun")


def days_ahead(
    counts: Sequence[tuple[date, int]], exam: date | None, title: str, alt: str
) -> VectorDrawing:
    """A column of reviews for each of the days, and where the exam is.

    Args:
        counts: the days one after the other, from today on, with the reviews due on each.
        exam: its day.
        title: what the drawing is called.
        alt: what it shows, in words.
    """
    pen, base, wide = Pen(), _TALL + 12, len(counts) * _DAY
    most = max((count for _, count in counts), default=0) or 1
    rule(pen, (0, base), (wide, base), "axis", 0.8)
    for place, (day, count) in enumerate(counts):
        middle = (place + 0.5) * _DAY
        if day == exam:
            rule(pen, (middle, 11), (middle, base), "exam", 1.5)
            write(pen, middle, 8, say("ahead-exam"), "middle", "strong")
        elif count:
            tall = max(2.0, count / most * _TALL)
            with pen.group():
                pen.told(f"{short_day(day)}: {count}")
                bar(pen, place * _DAY + 3, base - tall, _DAY - 6, tall, "known")
                write(pen, middle, base - tall - 3, str(count), "middle", "strong")
        weekday, number, *month = short_day(day).split()
        write(pen, middle, base + 10, weekday[0], "middle", "quiet")
        write(pen, middle, base + 21, number, "middle", "quiet" if place else "strong")
        if not place or day.day == 1:
            write(pen, middle, base + 32, " ".join(month), "middle", "quiet")
    return _wide(chart(pen, base + 36, title, alt, wide))


def slip_course(course: SlipCourse, most: int) -> VectorDrawing:
    """How often a slip was made in each week of a ``course``; ``most`` is the full height."""
    pen, weeks = Pen(), course.weeks
    rule(pen, (0, _LOW + 0.4), (_WEEK * len(weeks), _LOW + 0.4), "axis", 0.8)
    for week, count in enumerate(weeks):
        if count:
            tall = max(1.5, count / most * _LOW)
            bar(pen, week * _WEEK + 1.5, _LOW - tall, _WEEK - 3, tall, "slip")
    name = slip_words(course.slip)
    desc = say("weeks-desc", slip=name, list=_listed(weeks))
    return _wide(chart(pen, _LOW + 1, name, desc, _WEEK * len(weeks)))


def _listed(weeks: Iterable[int]) -> str:
    return ", ".join(map(str, weeks))
