"""Where a learner stands, as a page.

Every figure stands as text too, and its exact value beside it for programs that read the HTML.
"""

from __future__ import annotations

from collections.abc import Iterator

from ...coach.progress import WEEKS, Line, Progress
from ...language.dates import ahead, lasting, long_day, short_day
from ...language.texts import fill, plain
from ...phrases.skills import skill_parts, slip_words
from ...version import VERSION
from ..pages_form import Cell, Division, KeyFigures, Page, PageFigure, PageKind, Paragraph, Table
from ..pages_pictures import ChartPicture
from .blocks import counts_by_day
from .drawings import days_ahead, say, skill_map, slip_course, state_words

DAYS = 28
_PAIR = (False, True)
_WEAKEST = 12


def progress_page(found: Progress, learner: str) -> Page:
    """The page of what is ``found`` of a ``learner``, "" where it is not known whose it is."""
    outlook = found.outlook
    today = outlook.now.date()
    exam = say("exam-none")
    if outlook.exam is not None:
        exam = say("exam", ahead=ahead(outlook.exam, today), day=long_day(outlook.exam))
    skills = PageFigure(ChartPicture(skill_map(found)))
    divisions = (
        Division("", (_figures(found),)),
        Division(say("map"), (Paragraph(say("map-say"), tone="small"), skills)),
        Division(say("due"), tuple(_due(found)), half=True),
        Division(say("weak"), tuple(_weak(found)), half=True),
        _calendar(found),
        *_slips(found),
        *_sight(found),
        _skills(found),
        Division("", (Paragraph(say("made", version=VERSION), tone="small"),)),
    )
    return Page(
        PageKind.PROGRESS,
        "en",
        say("title-of", learner=plain(learner)) if learner else say("title"),
        (f"{say('on', day=long_day(today))} {exam}",),
        "",
        (),
        divisions,
    )


def _sight(found: Progress) -> Iterator[Division]:
    """What is known at sight, and which types were taken for which."""
    if not any(line.asked for line in found.sight):
        return
    known = sum(line.state == "known" for line in found.sight)
    told = say("sight-say", known=known, all=len(found.sight))
    parts: list[Paragraph | Table] = [Paragraph(told, tone="small")]
    if found.confusions:
        rows = tuple(
            (asked, answered, _count(times)) for asked, answered, times in found.confusions
        )
        head = (say("asked-type"), say("taken-for"), say("times"))
        parts.append(Table(say("taken"), head, rows, (False, False, True), name="confusions"))
    yield Division(say("sight"), tuple(parts))


def _figures(found: Progress) -> KeyFigures:
    outlook, board = found.outlook, found.board
    known = sum(line.state in ("known", "due") for line in found.lines)
    share = outlook.right / outlook.asked if outlook.asked else 0.0
    future = bool(board.days)
    return KeyFigures(
        (
            (_count(known), say("known", all=len(found.lines))),
            (
                Cell(f"{share * 100:.0f} %", exact=outlook.right),
                say("right", asked=outlook.asked),
            ),
            (
                Cell(f"{board.ready * 100:.0f} %", exact=round(board.ready, 4)),
                say("ready-exam" if future else "ready"),
            ),
            (_count(board.groups), say("met", types=board.types)),
        )
    )


def _count(value: int) -> Cell:
    return Cell(str(value), exact=value)


def _due(found: Progress) -> Iterator[Paragraph | Table]:
    if found.board.due:
        yield Table(say("due"), (), tuple(found.board.due), _PAIR)
    else:
        yield Paragraph(fill("opening", "stand.due-none"), tone="small")


def _weak(found: Progress) -> Iterator[Paragraph | Table]:
    weak = found.board.weak
    if not weak:
        yield Paragraph(fill("opening", "stand.weak-none"), tone="small")
        return
    rows = tuple((rung, f"{group} · {share * 100:.0f} %") for share, rung, group in weak[:_WEAKEST])
    yield Table(say("weak"), (), rows, _PAIR)
    if more := len(weak) - len(rows):
        yield Paragraph(fill("opening", "stand.more", [("count", more)]), tone="small")


def _calendar(found: Progress) -> Division:
    """The reviews of the next days, drawn and, for those who can't see that, as a table."""
    board = found.board
    counts = counts_by_day(board.calendar, board.today, DAYS)
    title = say("ahead", days=DAYS)
    alt = fill("opening", "stand.ahead-none", [("days", DAYS)])
    if total := sum(count for _, count in counts):
        listed = "; ".join(
            say("ahead-day", day=short_day(day), count=count) for day, count in counts if count
        )
        alt = say("ahead-desc", total=total, days=DAYS, list=listed)
    drawn = PageFigure(ChartPicture(days_ahead(counts, board.exam, title, alt)))
    rows = tuple((Cell(short_day(d), exact=d), _count(count)) for d, count in board.calendar)
    if not rows:
        return Division(title, (drawn,))
    return Division(title, (drawn, Table(title, (), rows, _PAIR, name="reviews", hidden=True)))


def _slips(found: Progress) -> Iterator[Division]:
    if targets := found.outlook.standing.slips:
        rows = tuple(
            (slip_words(target.slip), Cell(f"{target.times}×", exact=target.times))
            for target in targets
        )
        yield Division(say("slips"), (Table(say("slips"), (), rows, _PAIR),))
    title = say("weeks", weeks=WEEKS)
    if not found.slips:
        none = fill("opening", "progress.weeks-none", [("weeks", WEEKS)])
        yield Division(title, (Paragraph(none, tone="small"),))
        return
    most = max(max(course.weeks) for course in found.slips)
    table = Table(
        title,
        (say("slip"), say("course"), say("total")),
        tuple(
            (
                slip_words(course.slip),
                Cell("", picture=ChartPicture(slip_course(course, most))),
                _count(sum(course.weeks)),
            )
            for course in found.slips
        ),
        (False, False, True),
        name="slips",
    )
    yield Division(title, (table,))


def _skills(found: Progress) -> Division:
    asked = [line for line in found.lines if line.asked]
    if not asked:
        return Division("", (Paragraph(fill("opening", "progress.empty")),))
    heads = (
        "question", "circuits", "state", "known-p", "share", "asked", "each", "last", "review",
    )  # fmt: skip
    table = Table(
        say("table"),
        tuple(map(say, heads)),
        tuple(map(_skill, asked)),
        (False, False, False, True, True, True, True, False, False),
        (0, 1),
        "skills",
        tuple(line.skill for line in asked),
    )
    return Division(say("table"), (table,))


def _skill(line: Line) -> tuple[str | Cell, ...]:
    question, circuits = skill_parts(line.skill)
    return (
        question,
        circuits,
        Cell(state_words(line.state), mark=line.state),
        Cell(f"{line.known:.2f}", exact=round(line.known, 4)),
        Cell(f"{line.share * 100:.0f} %", exact=line.right),
        _count(line.asked),
        Cell(lasting(line.seconds), exact=round(line.seconds, 1)),
        *(Cell(short_day(d), exact=d) if d else "" for d in (line.last, line.review)),
    )
