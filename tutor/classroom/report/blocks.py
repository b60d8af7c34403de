"""What stands on the pages of a class report, in order, before it is HTML or a PDF.

Both renderers take the same blocks, so that the two say the same.  Every text is plain text.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from ...documents.pages import date_text
from ...language.texts import fill
from ...phrases.skills import skill_parts, slip_words
from ..marking.marks import QuestionOutcome
from . import charts
from .charts import ChartRow, ReportChart
from .figures import FEW, WEAK
from .figures_of_class import ENOUGH, FEW_ASKED, TOO_FEW, QuestionFigures, Report, Skill

MOST_SLIPS = 14
MOST_SKILLS = 16
MOST_UNREAD = 20
ITEMS_A_CHART = 20
DASH = "–"


@dataclass(frozen=True, slots=True)
class ReportHeading:
    """The title of a section."""

    text: str


@dataclass(frozen=True, slots=True)
class Prose:
    """A paragraph.  ``tone`` is "" for the text itself, "note" for caution, "small" for sources."""

    text: str
    tone: str = ""


@dataclass(frozen=True, slots=True)
class ReportFigure:
    """A chart under its title."""

    chart: ReportChart


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under a head.

    ``caption`` names it, ``numeric`` tells which columns hold numbers, and ``wide`` which take
    the room that is left.  In a cell, what follows a line break is smaller print.
    """

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numeric: tuple[bool, ...]
    wide: tuple[int, ...] = (0,)


Block = ReportHeading | Prose | ReportFigure | Table


def say(key: str, **values: object) -> str:
    """A text of the report."""
    return fill("report", key, values.items())


def points(value: Fraction | float) -> str:
    """Points as they are written: 2, 2.5, 2.33."""
    return f"{float(value):.2f}".rstrip("0").rstrip(".").replace("-", "−")


def percent(share: float | Fraction | None) -> str:
    """A share from 0 to 1 in whole percent, without the sign."""
    return DASH if share is None else f"{float(share) * 100:.0f}"


def signed(value: float | None) -> str:
    """A correlation to two places, with a real minus."""
    if value is None:
        return DASH
    text = f"{value:.2f}".replace("-", "−")
    return "0.00" if text == "−0.00" else text


def skill_name(group: str, rung: str) -> str:
    """A skill in words; what is unknown to this version as it is."""
    kind, circuits = skill_parts(f"{group}/{rung}")
    return say("skills.skill", kind=kind, group=circuits) if circuits else kind


def rung_name(rung: str) -> str:
    """A kind of question in words."""
    return skill_parts(f"other/{rung}")[0].removeprefix("other/")


def title(found: Report) -> str:
    """The title of the whole."""
    return say("head.title-anonymous" if found.anonymous else "head.title")


def about(found: Report) -> tuple[tuple[str, str], ...]:
    """What stands under the title: what the sheet was, which course, which day."""
    lines = (
        ("", found.title),
        (say("head.course"), found.course),
        (say("head.date"), date_text(found.date)),
    )
    return tuple((name, text) for name, text in lines if text)


def blocks(found: Report, plan_file: str = "") -> tuple[Block, ...]:
    """The report from top to bottom.

    Args:
        found: the figures.
        plan_file: the name of the follow-up plan beside the report; "" where there is none.
    """
    return tuple(_blocks(found, plan_file))


def _blocks(found: Report, plan_file: str) -> Iterator[Block]:
    yield from _opening(found)
    if not found.count:
        return
    if not found.hushed:
        yield from _scores(found)
    yield from _skills(found)
    yield from _follow_up(found, plan_file)
    yield from _slips(found)
    yield from _items(found)
    yield from _reliability(found)
    yield from _standings(found)


def _opening(found: Report) -> Iterator[Block]:
    if not found.count:
        yield Prose(say("head.none"))
        yield from _unread(found)
        return
    if found.expected > found.count:
        yield Prose(say("head.made-of", count=found.count, expected=found.expected))
    else:
        yield Prose(say("head.made", count=found.count))
    if found.anonymous:
        yield Prose(say("head.anonymous.say"))
    if found.few:
        yield Prose(say("head.few", few=FEW), "note")
    if found.hushed:
        yield Prose(say("head.anonymous.hushed", few=TOO_FEW), "note")
    if found.unclear and not found.anonymous:
        yield Prose(say("head.unclear", count=found.unclear), "note")
    yield from _unread(found)
    yield Prose(say("head.parallel"), "small")


def _unread(found: Report) -> Iterator[Block]:
    if found.unread:
        whose = [say("head.unread-one", name=name, file=file) for name, file in found.unread]
        more = len(whose) - MOST_UNREAD
        whose = [*whose[:MOST_UNREAD], *([say("head.unread-more", count=more)] if more > 0 else [])]
        yield Prose(say("head.unread", count=len(found.unread), whose="; ".join(whose)), "note")


def _scores(found: Report) -> Iterator[Block]:
    share = found.share
    assert share is not None
    yield ReportHeading(say("scores.title"))
    if found.of is None or found.points is None:
        yield Prose(say("scores.say-shares"))
    else:
        yield Prose(say("scores.say", of=points(found.of)))
    names = ["mean", "median", "deviation"]
    if not found.anonymous:  # the lowest may be known to be somebody's
        names += ["least", "most"]
    rows = []
    for name in names:
        of_points = getattr(found.points, name) if found.points else None
        of_share = getattr(share, name)
        told = [say(f"scores.{name}")]
        if found.points:
            told.append(DASH if of_points is None else points(of_points))
        told.append(percent(of_share) + (" %" if of_share is not None else ""))
        rows.append(tuple(told))
    head = [say("scores.figure"), say("scores.share")]
    if found.points:
        head.insert(1, say("scores.points"))
    yield Table(say("scores.title"), tuple(head), tuple(rows), (False,) + (True,) * (len(head) - 1))
    edges = range(0, 100, 100 // len(found.histogram))
    wide = 100 // len(found.histogram)
    columns = "; ".join(
        say("histogram.column", low=edge, high=edge + wide, count=count)
        for edge, count in zip(edges, found.histogram, strict=True)
        if count
    )
    yield ReportFigure(
        charts.histogram(
            found.histogram,
            say("histogram.title"),
            say("histogram.alt", columns=columns),
            say("histogram.across"),
            say("histogram.up"),
        )
    )
    yield Table(
        say("histogram.title"),
        (say("histogram.range"), *(f"{edge}–{edge + wide}" for edge in edges)),
        ((say("histogram.up"), *map(str, found.histogram)),),
        (False,) + (True,) * len(found.histogram),
    )
    yield Prose(say("histogram.note"), "small")


def _skills(found: Report) -> Iterator[Block]:
    asked = [skill for skill in found.skills if skill.share.asked]
    if not asked:
        return
    limit = percent(ENOUGH)
    yield ReportHeading(say("skills.title"))
    yield Prose(say("skills.say"))
    if not found.reteach:
        yield Prose(say("skills.none", limit=limit))
    shown = asked[:MOST_SKILLS]
    yield ReportFigure(
        charts.intervals(
            [
                ChartRow(
                    skill_name(skill.group, skill.rung),
                    skill.share.value,
                    say("scores.percent", value=percent(skill.share.value)),
                    skill.share.low,
                    skill.share.high,
                    weak=skill.weak,
                )
                for skill in shown
            ],
            ENOUGH,
            say("skills.chart"),
            say("skills.alt", rows="; ".join(map(_skill_told, shown))),
            say("skills.across"),
        )
    )
    if len(asked) > len(shown):
        yield Prose(say("skills.more", count=len(shown)), "small")
    yield Prose(say("skills.limit", limit=limit), "small")
    yield Table(
        say("skills.title"),
        tuple(say(f"skills.{key}") for key in ("name", "right", "asked", "share", "interval")),
        tuple(
            (
                skill_name(skill.group, skill.rung),
                str(skill.share.right),
                str(skill.share.asked),
                f"{percent(skill.share.value)} %",
                f"{percent(skill.share.low)} – {percent(skill.share.high)} %",
            )
            for skill in asked
        ),
        (False, True, True, True, True),
    )
    yield Prose(say("skills.source", limit=limit), "small")


def _skill_told(skill: Skill) -> str:
    share = skill.share
    return say(
        "skills.row",
        name=skill_name(skill.group, skill.rung),
        share=percent(share.value),
        low=percent(share.low),
        high=percent(share.high),
    )


def _follow_up(found: Report, plan_file: str) -> Iterator[Block]:
    if found.anonymous:
        return
    yield ReportHeading(say("follow-up.title"))
    if plan_file:
        yield Prose(say("follow-up.say", file=plan_file))
    else:
        yield Prose(say("follow-up.none", limit=percent(ENOUGH)))


def _slips(found: Report) -> Iterator[Block]:
    yield ReportHeading(say("slips.title"))
    if not found.slips:
        yield Prose(say("slips.none"))
        return
    yield Prose(say("slips.say"))
    shown = found.slips[:MOST_SLIPS]
    most = max(slip.students for slip in found.slips)
    told = "; ".join(
        say("slips.row", name=slip_words(slip.slip), count=slip.students) for slip in shown
    )
    yield ReportFigure(
        charts.bars(
            [
                ChartRow(slip_words(slip.slip), slip.students / most, str(slip.students))
                for slip in shown
            ],
            most,
            say("slips.chart"),
            say("slips.alt", rows=told),
            say("slips.across"),
        )
    )
    if len(found.slips) > len(shown):
        yield Prose(say("slips.more", count=len(shown)), "small")
    yield Table(
        say("slips.title"),
        tuple(say(f"slips.{key}") for key in ("name", "students", "times", "questions")),
        tuple(
            (
                slip_words(slip.slip)
                + ("\n" + say("slips.about", sentence=slip.sentence) if slip.sentence else ""),
                str(slip.students),
                str(slip.times),
                ", ".join(slip.questions),
            )
            for slip in found.slips
        ),
        (False, True, True, False),
        (0, 3),
    )


def _items(found: Report) -> Iterator[Block]:
    yield ReportHeading(say("items.title"))
    yield Prose(say("items.say"))
    for group in _parted(found.items, ITEMS_A_CHART):
        whole = len(found.items) <= ITEMS_A_CHART
        name = (
            say("items.chart")
            if whole
            else say("items.chart-part", first=group[0].number, last=group[-1].number)
        )
        told = "; ".join(
            say(
                "items.row",
                number=item.number,
                kind=rung_name(item.rung),
                difficulty=f"{percent(item.difficulty)} %",
                discrimination=signed(item.discrimination),
            )
            for item in group
        )
        yield ReportFigure(
            charts.two_panels(
                [
                    ChartRow(
                        f"{item.number} {rung_name(item.rung)}",
                        item.difficulty,
                        other=item.discrimination,
                        weak=item.discrimination is not None and item.discrimination < WEAK,
                    )
                    for item in group
                ],
                (say("items.difficulty"), say("items.discrimination")),
                name,
                say("items.alt", rows=told),
            )
        )
    yield Prose(say("items.low"), "small")
    yield Prose(say("items.undefined", few=FEW_ASKED), "small")
    order = (
        QuestionOutcome.RIGHT,
        QuestionOutcome.ROUGH,
        QuestionOutcome.WRONG,
        QuestionOutcome.UNCLEAR,
        QuestionOutcome.BLANK,
    )
    keys = ("number", "kind", "of", *(o.value for o in order), "share", "corr")
    yield Table(
        say("items.title"),
        tuple(say(f"items.{key}") for key in keys),
        tuple(
            (
                item.number,
                rung_name(item.rung),
                points(item.of),
                *(str(item.outcomes[list(QuestionOutcome).index(o)]) for o in order),
                DASH if item.difficulty is None else f"{percent(item.difficulty)} %",
                signed(item.discrimination),
            )
            for item in found.items
        ),
        (False, False) + (True,) * (len(keys) - 2),
        (1,),
    )
    yield Prose(say("items.source"), "small")


def _parted(items: tuple[QuestionFigures, ...], most: int) -> Iterator[tuple[QuestionFigures, ...]]:
    """Parts of nearly equal length, none longer than ``most``."""
    parts = max(1, -(-len(items) // most))
    for place in range(parts):
        part = items[len(items) * place // parts : len(items) * (place + 1) // parts]
        if part:
            yield part


def _reliability(found: Report) -> Iterator[Block]:
    yield ReportHeading(say("reliability.title"))
    yield Prose(say("reliability.say"))
    if found.few:
        yield Prose(say("reliability.few", few=FEW), "note")
    values = (found.alpha_problems, found.alpha_items)
    rows = [
        (say("reliability.problems"), signed(found.alpha_problems)),
        (say("reliability.items"), signed(found.alpha_items)),
    ]
    if found.error is not None and not found.hushed:
        rows.append(
            (
                say("reliability.error"),
                say("reliability.error-say", value=points(found.error)),
            )
        )
    yield Table(
        say("reliability.title"),
        (say("scores.figure"), ""),
        tuple(rows),
        (False, True),
    )
    if any(value is not None and value < 0 for value in values):
        yield Prose(say("reliability.negative"), "note")
    if any(value is None for value in values):
        yield Prose(say("reliability.undefined"), "small")
    yield Prose(say("reliability.caution"), "small")
    yield Prose(say("reliability.source"), "small")


def _standings(found: Report) -> Iterator[Block]:
    if not found.standings:
        return
    yield ReportHeading(say("standings.title"))
    yield Table(
        say("standings.title"),
        tuple(say(f"standings.{key}") for key in ("number", "name", "id", "points", "of", "share")),
        tuple(
            (
                f"{one.number:02d}",
                one.name,
                one.id,
                points(one.points),
                points(one.of),
                f"{percent(one.points / one.of if one.of else None)} %" if one.of else DASH,
            )
            for one in found.standings
        ),
        (True, False, False, True, True, True),
        (1, 2),
    )


def texts(found: Iterable[Block]) -> Iterator[str]:
    """Every text of some blocks, for checks."""
    for block in found:
        match block:
            case ReportHeading() | Prose():
                yield block.text
            case ReportFigure():
                yield block.chart.alt
            case Table():
                yield from (block.caption, *block.head)
                for row in block.rows:
                    yield from row
