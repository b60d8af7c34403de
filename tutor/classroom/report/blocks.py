"""A class report as a page: what stands on it, before it is HTML, a PDF or text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...documents.drawings import charts
from ...documents.drawings.charts import ChartRow
from ...documents.drawings.svg import VectorDrawing
from ...documents.pages import clean, date_text
from ...documents.pages_form import (
    Block,
    Cell,
    Division,
    Page,
    PageFigure,
    PageKind,
    Table,
)
from ...documents.pages_pictures import ChartPicture
from ...language.apostrophes import Typed
from ...phrases.skills import slip_words
from ..marking.marks import QuestionOutcome
from .figures import FEW, WEAK
from .figures_of_class import ENOUGH, FEW_ASKED, QuestionFigures, Report, Skill
from .first_page import SlipShown, absent_blocks, first_page, opening
from .in_words import DASH, line, percent, points, rung_name, say, signed, skill_name, table
from .side_by_side import confusion_blocks, group_blocks, unexplained_blocks, variant_blocks

MOST_SLIPS = 14
MOST_SKILLS = 12
ITEMS_A_CHART = 20


def report_page(found: Report, plan_file: str = "", boards: Sequence[SlipShown] = ()) -> Page:
    """The report from top to bottom.

    Args:
        found: the figures.
        plan_file: the name of the follow-up plan beside the report; "" where there is none.
        boards: the slips that the first page shows, as :func:`~.first_page.shown_slips` finds them.
    """
    under = (clean(found.title), clean(found.course), date_text(found.date))
    return Page(
        PageKind.REPORT,
        "en",
        say("head.title-anonymous" if found.anonymous else "head.title"),
        tuple(filter(None, under)),
        under[0],
        tuple(opening(found)),
        (*first_page(found, boards), *_divisions(found, plan_file)),
    )


def _divisions(found: Report, plan_file: str) -> Iterator[Division]:
    parts = {
        "scores": () if found.hushed else _scores(found),
        "skills": _skills(found),
        "follow-up": _follow_up(found, plan_file),
        "slips": _slips(found),
        "unexplained": unexplained_blocks(found),
        "confusion": confusion_blocks(found),
        "groups": group_blocks(found),
        "variants": variant_blocks(found),
        "items": _items(found),
        "reliability": _reliability(found),
        "standings": _standings(found),
    }
    fresh = True
    for name, part in parts.items():
        if found.count and (blocks := tuple(part)):
            yield Division(say(f"{name}.title"), blocks, fresh=fresh)
            fresh = False
    if found.waiting.absent:
        yield Division(say("absent.title"), tuple(absent_blocks(found)))


def _chart(drawn: VectorDrawing, name: str) -> PageFigure:
    return PageFigure(ChartPicture(drawn), name)


def _scores(found: Report) -> Iterator[Block]:
    share = found.share
    assert share is not None
    if found.of is None or found.points is None:
        yield line("scores.say-shares")
    else:
        yield line("scores.say", of=points(found.of))
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
    yield _chart(
        charts.histogram(
            found.histogram,
            say("histogram.title"),
            say("histogram.alt", columns=columns),
            say("histogram.across"),
            say("histogram.up"),
        ),
        say("histogram.title"),
    )
    yield Table(
        say("histogram.title"),
        (say("histogram.range"), *(f"{edge}–{edge + wide}" for edge in edges)),
        ((say("histogram.up"), *map(str, found.histogram)),),
        (False,) + (True,) * len(found.histogram),
    )
    yield line("histogram.note", "small")


def _skills(found: Report) -> Iterator[Block]:
    asked = [skill for skill in found.skills if skill.share.asked]
    if not asked:
        return
    limit = percent(ENOUGH)
    yield line("skills.say")
    if not found.reteach:
        yield line("skills.none", limit=limit)
    shown = asked[:MOST_SKILLS]
    yield _chart(
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
        ),
        say("skills.chart"),
    )
    if len(asked) > len(shown):
        yield line("skills.more", "small", count=len(shown))
    yield line("skills.limit", "small", limit=limit)
    rows = (
        (
            skill_name(skill.group, skill.rung),
            points(skill.lost),
            points(skill.had),
            str(skill.share.right),
            str(skill.share.asked),
            f"{percent(skill.share.value)} %",
            f"{percent(skill.share.low)} – {percent(skill.share.high)} %",
        )
        for skill in asked
    )
    heads = ("name", "lost", "had", "right", "asked", "share", "interval")
    yield table("skills", heads, rows, ("name",))
    yield line("skills.source", "small", limit=limit)


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
    if plan_file:
        yield line("follow-up.say", file=plan_file)
    else:
        yield line("follow-up.none", limit=percent(ENOUGH))
    if found.slips:
        yield line("follow-up.each")


def _slips(found: Report) -> Iterator[Block]:
    if not found.slips:
        yield line("slips.none")
        return
    yield line("slips.say")
    shown = found.slips[:MOST_SLIPS]
    most = max(slip.students for slip in found.slips)
    told = "; ".join(
        say("slips.row", name=slip_words(slip.slip), count=slip.students) for slip in shown
    )
    yield _chart(
        charts.bars(
            [
                ChartRow(slip_words(slip.slip), slip.students / most, str(slip.students))
                for slip in shown
            ],
            most,
            say("slips.chart"),
            say("slips.alt", rows=told),
            say("slips.across"),
        ),
        say("slips.chart"),
    )
    if len(found.slips) > len(shown):
        yield line("slips.more", "small", count=len(shown))
    rows = (
        (
            Cell(
                slip_words(slip.slip),
                say("slips.about", sentence=clean(slip.sentence))
                if slip.sentence and place < MOST_SLIPS
                else "",
            ),
            str(slip.students),
            str(slip.times),
            points(slip.lost),
            ", ".join(slip.questions),
        )
        for place, slip in enumerate(found.slips)
    )
    heads = ("name", "students", "times", "lost", "questions")
    yield table("slips", heads, rows, ("name", "questions"), ("name", "questions"))


def _items(found: Report) -> Iterator[Block]:
    yield line("items.say")
    for group in _parted(found.items, ITEMS_A_CHART):
        whole = len(found.items) <= ITEMS_A_CHART
        part = say("items.chart-part", first=group[0].number, last=group[-1].number)
        name = say("items.chart") if whole else part
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
        yield _chart(
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
            ),
            name,
        )
    yield line("items.low", "small")
    yield line("items.undefined", "small", few=FEW_ASKED)
    keys = ("number", "kind", "of", *(o.value for o in QuestionOutcome), "share", "corr")
    rows = (
        (
            item.number,
            rung_name(item.rung),
            points(item.of),
            *map(str, item.outcomes),
            DASH if item.difficulty is None else f"{percent(item.difficulty)} %",
            signed(item.discrimination),
        )
        for item in found.items
    )
    yield table("items", keys, rows, ("number", "kind"), ("kind",))
    yield line("items.source", "small")


def _parted(items: tuple[QuestionFigures, ...], most: int) -> Iterator[tuple[QuestionFigures, ...]]:
    """Parts of nearly equal length, none longer than ``most``."""
    parts = max(1, -(-len(items) // most))
    for place in range(parts):
        part = items[len(items) * place // parts : len(items) * (place + 1) // parts]
        if part:
            yield part


def _reliability(found: Report) -> Iterator[Block]:
    yield line("reliability.say")
    if found.few:
        yield line("reliability.few", "caution", few=FEW)
    values = (found.alpha_problems, found.alpha_items)
    rows = [
        (say("reliability.problems"), signed(found.alpha_problems)),
        (say("reliability.items"), signed(found.alpha_items)),
    ]
    if found.error is not None and not found.hushed:
        error = say("reliability.error-say", value=points(found.error))
        rows.append((say("reliability.error"), error))
    heads = (say("scores.figure"), "")
    yield Table(say("reliability.title"), heads, tuple(rows), (False, True))
    if any(value is not None and value < 0 for value in values):
        yield line("reliability.negative", "caution")
    if any(value is None for value in values):
        yield line("reliability.undefined", "small")
    yield line("reliability.caution", "small")
    yield line("reliability.source", "small")


def _standings(found: Report) -> Iterator[Block]:
    if not found.standings:
        return
    parts = [
        name for name in ("group", "variant") if any(getattr(s, name) for s in found.standings)
    ]
    rows = (
        (
            f"{one.number:02d}",
            Typed(clean(one.name)),
            Typed(clean(one.id)),
            *(Typed(clean(getattr(one, part)) or DASH) for part in parts),
            points(one.points),
            points(one.of),
            f"{percent(one.share)} %" if one.of else DASH,
        )
        for one in found.standings
    )
    heads = ("number", "name", "id", *parts, "points", "of", "share")
    yield table("standings", heads, rows, ("name", "id", *parts), ("name", "id"))
