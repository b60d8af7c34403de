"""``rungwise progress --html``: where a learner stands, as one page that needs nothing else.

Style and drawings lie in the page; it asks nothing of any site and holds no script.  Every
figure stands as text too, and its exact value in the ``value`` of a ``data`` element.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from html import escape

from ....problems.questions.model import Rung
from ...coach.progress import WEEKS, Line, Progress
from ...language.dates import ahead, lasting, long_day, short_day
from ...language.texts import fill, plain
from ...learning.skill_map import SkillGroup, parts_of
from ...phrases.skills import skill_parts, slip_words
from ...version import VERSION
from .style import STYLE

DAYS = 28
MOST = 12
"""Problems a day beyond which nobody is told to climb so many."""
STATES = ("known", "due", "weak", "begun", "new")


def say(key: str, **values: object) -> str:
    """A text of the page, safe to stand in it."""
    return escape(fill("opening", f"page.{key}", values.items()))


def _data(value: object, text: str) -> str:
    """A figure with its exact value."""
    return f'<data value="{escape(str(value))}">{escape(text)}</data>'


def _state(state: str) -> str:
    return escape(fill("opening", f"map.{state}"))


def page(found: Progress, learner: str) -> str:
    """The page, as HTML."""
    title = say("title-of", learner=plain(learner)) if learner else say("title")
    parts = [
        _head(found, title),
        _map(found),
        '<div class="columns">',
        _due(found),
        _weak(found),
        "</div>",
        _calendar(found),
        _slips(found),
        _table(found),
    ]
    return (
        "<!DOCTYPE html>\n"
        f'<html lang="en">\n<head>\n<meta charset="utf-8">\n<title>{title}</title>\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<style>{STYLE}</style>\n</head>\n<body>\n<main>\n"
        + "\n".join(part for part in parts if part)
        + f'\n<p class="quiet">{say("made", version=VERSION)}</p>\n</main>\n</body>\n</html>\n'
    )


def _section(title: str, body: str, kind: str = "") -> str:
    look = f' class="{kind}"' if kind else ""
    return f"<section{look}>\n<h2>{title}</h2>\n{body}\n</section>"


def _head(found: Progress, title: str) -> str:
    """Whose page it is, and the figures that matter most."""
    outlook, board = found.outlook, found.board
    today = outlook.now.date()
    exam = say("exam-none")
    if outlook.exam is not None:
        exam = say("exam", ahead=ahead(outlook.exam, today), day=long_day(outlook.exam))
    known = sum(line.state in ("known", "due") for line in found.lines)
    share = outlook.right / outlook.asked if outlook.asked else 0.0
    future = bool(board.days)
    pace = board.a_day is not None and 1 <= board.a_day <= MOST and future
    a_day = f"{board.a_day:.0f}" if board.a_day is not None else ""
    figures = [
        (_data(known, str(known)), say("known", all=len(found.lines))),
        (
            _data(outlook.right, f"{share * 100:.0f} %"),
            say("right", asked=outlook.asked),
        ),
        (
            _data(round(board.ready, 4), f"{board.ready * 100:.0f} %"),
            say("ready-exam" if future else "ready"),
        ),
        (
            _data(board.problems, str(board.problems)),
            say("togo-day", a_day=a_day) if pace else say("togo"),
        ),
    ]
    items = "\n".join(f"<li><b>{value}</b> {text}</li>" for value, text in figures)
    return (
        f"<h1>{title}</h1>\n"
        f'<p class="quiet">{say("on", day=long_day(today))} {exam}</p>\n'
        f'<ul class="figures">\n{items}\n</ul>'
    )


# The map of all skills

_CELL, _GAP, _LABEL, _ROW = 19, 14, 118, 26
_HEAD = 24


def _bands() -> list[tuple[str, tuple[Rung, ...]]]:
    from ...learning.skill_map import BANDS

    every = list(Rung)
    return [
        (name, tuple(every[every.index(first) : every.index(last) + 1]))
        for name, first, last in BANDS
    ]


def _map(found: Progress) -> str:
    by_place: dict[tuple[SkillGroup, Rung], Line] = {}
    for line in found.lines:
        try:
            by_place[parts_of(line.skill)] = line
        except ValueError:
            continue  # a skill of another release has no place on the map
    groups = [group for group in SkillGroup if any(place[0] is group for place in by_place)]
    shapes, x = list[str](), _LABEL
    height = _HEAD + _ROW * len(groups)
    for name, rungs in _bands():
        shapes.append(f'<text x="{x}" y="13">{escape(fill("opening", f"band.{name}"))}</text>')
        for rung in rungs:
            for row, group in enumerate(groups):
                cell = by_place.get((group, rung))
                if cell is not None:
                    shapes.append(_cell(cell, x, _HEAD + row * _ROW + 4))
            x += _CELL
        x += _GAP
    for row, group in enumerate(groups):
        name = escape(fill("opening", f"group.{group.value}"))
        shapes.append(f'<text class="name" x="0" y="{_HEAD + row * _ROW + 15}">{name}</text>')
    counts = Counter(line.state for line in found.lines)
    told = {state: counts[state] for state in STATES}
    told["known"] += counts["due"]
    desc = say("map-desc", all=len(found.lines), **told)
    legend = "".join(
        f'<li><svg width="14" height="14" aria-hidden="true">{_shape(state, 0.5, 1, 1)}</svg>'
        f"{_state(state)}</li>"
        for state in STATES
    )
    drawing = _svg("map", x - _GAP, height, say("map"), desc, shapes)
    body = (
        f'<p class="quiet">{say("map-say")}</p>\n<div class="chart">{drawing}</div>\n'
        f'<ul class="legend">{legend}</ul>'
    )
    return _section(say("map"), body)


def _cell(line: Line, x: float, y: float) -> str:
    question, circuits = skill_parts(line.skill)
    values = {
        "question": question,
        "circuits": circuits,
        "state": fill("opening", f"map.{line.state}"),
    }
    if line.asked:
        title = say("cell-asked", right=line.right, asked=line.asked, **values)
    else:
        title = say("cell", **values)
    return f"<g><title>{title}</title>{_shape(line.state, line.known, x, y)}</g>"


def _shape(state: str, known: float, x: float, y: float) -> str:
    """A skill: told by its shape as well as by its colour."""
    side = 12
    if state == "new":
        return f'<circle class="new" cx="{x + 6}" cy="{y + 6}" r="1.8"/>'
    if state == "due":
        points = f"{x + 6},{y - 1} {x + 13},{y + 6} {x + 6},{y + 13} {x - 1},{y + 6}"
        return f'<polygon class="due" points="{points}"/>'
    if state == "known":
        return f'<rect class="known" x="{x}" y="{y}" width="{side}" height="{side}"/>'
    full = max(2.0, round(known * side, 1))
    if state == "weak":
        return (
            f'<circle class="base" cx="{x + 6}" cy="{y + 6}" r="6"/>'
            f'<circle class="weak" cx="{x + 6}" cy="{y + 6}" r="{max(2.5, full / 2):.1f}"/>'
        )
    return (
        f'<rect class="base" x="{x}" y="{y}" width="{side}" height="{side}"/>'
        f'<rect class="begun" x="{x}" y="{y + side - full}" width="{side}" height="{full}"/>'
    )


def _svg(
    name: str, width: float, height: float, title: str, desc: str, shapes: Iterable[str]
) -> str:
    """A drawing with a name and its content in words (both made safe by the caller)."""
    return (
        f'<svg role="img" aria-labelledby="{name}-title {name}-desc" width="{width:.0f}" '
        f'height="{height:.0f}" viewBox="0 0 {width:.0f} {height:.0f}">'
        f'<title id="{name}-title">{title}</title><desc id="{name}-desc">{desc}</desc>'
        f"{''.join(shapes)}</svg>"
    )


# What is due, and what is weak


def _due(found: Progress) -> str:
    rows = [
        f'<li><span>{escape(rung)}</span> <span class="quiet">{escape(group)}</span></li>'
        for rung, group in found.board.due
    ]
    said = escape(fill("opening", "stand.due-none"))
    body = f'<ul class="plain">{"".join(rows)}</ul>' if rows else f'<p class="quiet">{said}</p>'
    return _section(say("due"), body)


def _weak(found: Progress) -> str:
    rows = [
        f"<li><span>{escape(rung)}</span> "
        f'<span class="quiet">{escape(group)} · {share * 100:.0f} %</span></li>'
        for share, rung, group in found.board.weak[:12]
    ]
    more = len(found.board.weak) - len(rows)
    if more:
        said = escape(fill("opening", "stand.more", [("count", more)]))
        rows.append(f'<li class="quiet">{said}</li>')
    none = escape(fill("opening", "stand.weak-none"))
    body = f'<ul class="plain">{"".join(rows)}</ul>' if rows else f'<p class="quiet">{none}</p>'
    return _section(say("weak"), body)


# The days ahead

_DAY, _TALL = 30, 90


def _calendar(found: Progress) -> str:
    board = found.board
    days = [board.today + timedelta(days=n) for n in range(DAYS)]
    known = dict(board.calendar)
    counts = [(day, known.get(day, 0)) for day in days]
    most = max((count for _, count in counts), default=0) or 1
    shapes = [f'<line class="rule" x1="0" y1="{_TALL + 16}" x2="{DAYS * _DAY}" y2="{_TALL + 16}"/>']
    for place, (day, count) in enumerate(counts):
        shapes += _day(place, day, count, count / most * _TALL, board.exam)
    total = sum(count for _, count in counts)
    listed = "; ".join(
        fill("opening", "page.ahead-day", [("day", short_day(day)), ("count", count)])
        for day, count in counts
        if count
    )
    title = say("ahead", days=DAYS)
    none = fill("opening", "stand.ahead-none", [("days", DAYS)])
    desc = say("ahead-desc", total=total, days=DAYS, list=listed) if total else escape(none)
    drawing = _svg("ahead", DAYS * _DAY, _TALL + 64, title, desc, shapes)
    further = [(day, count) for day, count in board.calendar if day > days[-1]]
    listing = _days_table([*((d, c) for d, c in counts if c), *further])
    return _section(title, f'<div class="chart">{drawing}</div>\n{listing}')


def _day(place: int, day: date, count: int, tall: float, exam: date | None) -> list[str]:
    x, base = place * _DAY, _TALL + 16
    middle = x + _DAY / 2
    shapes = []
    if day == exam:
        name = say("ahead-exam")
        shapes.append(
            f'<line class="examline" x1="{middle}" y1="14" x2="{middle}" y2="{base}"/>'
            f'<text class="strong" x="{middle}" y="10" text-anchor="middle">{name}</text>'
        )
    elif count:
        tall = max(3.0, tall)
        shapes.append(
            f"<g><title>{escape(short_day(day))}: {count}</title>"
            f'<rect class="known" x="{x + 4}" y="{base - tall:.1f}" width="{_DAY - 8}" '
            f'height="{tall:.1f}"/>'
            f'<text class="strong" x="{middle}" y="{base - tall - 4:.1f}" '
            f'text-anchor="middle">{count}</text></g>'
        )
    weekday, number, *month = short_day(day).split()
    shapes.append(
        f'<text x="{middle}" y="{base + 14}" text-anchor="middle">{escape(weekday[0])}</text>'
        f'<text class="{"strong" if not place else ""}" x="{middle}" y="{base + 28}" '
        f'text-anchor="middle">{escape(number)}</text>'
    )
    if not place or day.day == 1:
        named = escape(" ".join(month))
        shapes.append(f'<text x="{middle}" y="{base + 42}" text-anchor="middle">{named}</text>')
    return shapes


def _days_table(counts: Sequence[tuple[date, int]]) -> str:
    """The same as a table, for those who cannot see the drawing."""
    rows = "".join(
        f'<tr><th scope="row"><time datetime="{day.isoformat()}">{escape(short_day(day))}</time>'
        f'</th><td class="n">{_data(count, str(count))}</td></tr>'
        for day, count in counts
    )
    return f'<table class="hidden" id="reviews"><tbody>{rows}</tbody></table>' if rows else ""


# Slips

_WEEK, _LOW = 14, 26


def _slips(found: Progress) -> str:
    """The slips that recur, and those of the last weeks."""
    targets = found.outlook.standing.slips
    parts = []
    if targets:
        rows = "".join(
            f"<li><span>{escape(slip_words(target.slip))}</span> "
            f'<span class="quiet">{_data(target.times, f"{target.times}×")}</span></li>'
            for target in targets
        )
        parts.append(_section(say("slips"), f'<ul class="plain">{rows}</ul>'))
    most = max((max(course.weeks) for course in found.slips), default=1)
    rows = "".join(_course(place, course.slip, course.weeks, most)
                   for place, course in enumerate(found.slips))  # fmt: skip
    title = say("weeks", weeks=WEEKS)
    if not rows:
        none = escape(fill("opening", "progress.weeks-none", [("weeks", WEEKS)]))
        return "\n".join([*parts, _section(title, f'<p class="quiet">{none}</p>')])
    table = (
        f'<table id="slips"><thead><tr><th scope="col">{say("slip")}</th>'
        f'<th scope="col">{say("course")}</th><th scope="col" class="n">{say("total")}</th>'
        f"</tr></thead><tbody>{rows}</tbody></table>"
    )
    return "\n".join([*parts, _section(title, table)])


def _course(place: int, slip: str, weeks: Sequence[int], most: int) -> str:
    shapes = [
        f'<line class="rule" x1="0" y1="{_LOW + 0.5}" x2="{_WEEK * len(weeks)}" y2="{_LOW + 0.5}"/>'
    ]
    for week, count in enumerate(weeks):
        if count:
            tall = max(2.0, count / most * _LOW)
            shapes.append(
                f'<rect class="weak" x="{week * _WEEK + 2}" y="{_LOW - tall:.1f}" '
                f'width="{_WEEK - 4}" height="{tall:.1f}"/>'
            )
    name = slip_words(slip)
    listed = ", ".join(map(str, weeks))
    desc = say("weeks-desc", slip=name, list=listed)
    drawing = _svg(f"slip{place}", _WEEK * len(weeks), _LOW + 1, escape(name), desc, shapes)
    total = sum(weeks)
    return (
        f'<tr><th scope="row">{escape(name)}</th><td>{drawing}</td>'
        f'<td class="n">{_data(total, str(total))}</td></tr>'
    )


# Every skill


def _table(found: Progress) -> str:
    asked = [line for line in found.lines if line.asked]
    if not asked:
        return f"<p>{escape(fill('opening', 'progress.empty'))}</p>"
    heads = [
        ("question", False), ("circuits", False), ("state", False), ("known-p", True),
        ("share", True), ("asked", True), ("each", True), ("last", False), ("review", False),
    ]  # fmt: skip
    head = "".join(
        f'<th scope="col"{" class=n" if number else ""}>{say(key)}</th>' for key, number in heads
    )
    rows = "\n".join(_skill(line) for line in asked)
    table = (
        f'<table id="skills"><caption class="hidden">{say("table")}</caption>'
        f"<thead><tr>{head}</tr></thead>\n<tbody>\n{rows}\n</tbody></table>"
    )
    return _section(say("table"), f'<div class="chart">{table}</div>', "long")


def _skill(line: Line) -> str:
    question, circuits = skill_parts(line.skill)

    def when(day: date | None) -> str:
        if day is None:
            return ""
        return f'<time datetime="{day.isoformat()}">{escape(short_day(day))}</time>'

    seconds = _data(round(line.seconds, 1), lasting(line.seconds))
    return (
        f'<tr id="{escape(line.skill)}"><th scope="row">{escape(question)}</th>'
        f"<td>{escape(circuits)}</td>"
        f'<td><span class="state {line.state}">{_state(line.state)}</span></td>'
        f'<td class="n">{_data(round(line.known, 4), f"{line.known:.2f}")}</td>'
        f'<td class="n">{_data(line.right, f"{line.share * 100:.0f} %")}</td>'
        f'<td class="n">{_data(line.asked, str(line.asked))}</td>'
        f'<td class="n">{seconds}</td>'
        f"<td>{when(line.last)}</td><td>{when(line.review)}</td></tr>"
    )
