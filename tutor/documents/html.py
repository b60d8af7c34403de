"""Pages as HTML: one file that asks for nothing else and runs nothing.

Formulas are MathML, drawings inline SVG with their words; all text is escaped, and a content
security policy (W3C CSP Level 3) forbids whatever might have got through.  On paper it is black
on white, with the student in the header of every page; on a dark screen it is light on dark.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable, Iterator
from datetime import date
from functools import lru_cache

from ...problems.sheets.printing import PageFont
from ...problems.solutions.step import Equation
from ..language.texts import entry, fill
from .drawings.svg import TEXT_WIDTH, escape
from .math.mathml import mathml
from .pages import shortened
from .pages_form import (
    Answer,
    Block,
    Cell,
    Division,
    Exercise,
    KeyFigures,
    KeyVerdict,
    Lines,
    Option,
    Page,
    PageBeside,
    PageFigure,
    PageKind,
    PageQuestion,
    Paragraph,
    Prose,
    SmallCircuits,
    SolutionStep,
    Table,
)
from .pages_pictures import BESIDE, OPTION, PagePicture, drawn

_RUNNING = 60
"""Characters of a text in the margins of printed pages."""
_ROOM = 36.0
"""Ems for a formula."""
_STYLES = {
    PageKind.SHEET: ("sheet.css",),
    PageKind.KEY: ("sheet.css",),
    PageKind.RETURNED: ("sheet.css", "returned.css"),
    PageKind.REPORT: ("report.css", "figures.css"),
    PageKind.PROGRESS: ("progress.css", "figures.css"),
}
"""The style of each kind of page; of those that count and chart, the colours and the rest."""


@lru_cache(maxsize=len(PageKind))
def _style(kind: PageKind) -> str:
    from importlib.resources import files

    return "".join(files(__package__).joinpath(one).read_text("utf-8") for one in _STYLES[kind])


def page_html(page: Page) -> str:
    """Any page."""
    style = _style(page.kind) + _rooms(page) + _printed(page)
    sum_ = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{sum_}'; base-uri 'none'; form-action 'none'"
    title = ", ".join(filter(None, (f"{_said_key(page)}{page.title}", _who(page))))
    kind = f' class="{page.kind}"' if page.kind is not PageKind.SHEET else ""
    looks = ["large"] * page.large + ["sans"] * (page.font is PageFont.SANS)
    look = f' class="{" ".join(looks)}"' if looks else ""
    # What is of a class or a learner is for nobody's search.
    hidden = () if page.whose else ('<meta name="robots" content="noindex"/>',)
    return "\n".join(
        (
            "<!DOCTYPE html>",
            f'<html lang="{escape(page.language)}"{look}>',
            "<head>",
            '<meta charset="utf-8"/>',
            f'<meta http-equiv="Content-Security-Policy" content="{escape(policy)}"/>',
            '<meta name="viewport" content="width=device-width, initial-scale=1"/>',
            '<meta name="referrer" content="no-referrer"/>',
            *hidden,
            f"<title>{escape(title)}</title>",
            f"<style>{style}</style>",
            "</head>",
            f"<body{kind}>",
            "<main>",
            *_page(page),
            "</main>",
            "</body>",
            "</html>",
            "",
        )
    )


def _printed(page: Page) -> str:
    """The margins of printed pages: the student above, the pages counted below."""
    of = entry("sheet", "head.page")
    before, _, after = of.partition("{page}")
    between, _, last = after.partition("{count}")
    pages = f"{_css(before)} counter(page) {_css(between)} counter(pages) {_css(last)}"
    foot = entry("sheet", "head.secret") if page.key else page.foot if page.whose else ""
    return (
        f"@page {{ {'size: landscape; ' * page.wide}margin: 20mm 18mm 18mm; "
        "font: 8.5pt 'Libertinus Serif', 'Times New Roman', "
        f"'Liberation Serif', serif; @top-left {{ content: {_css(_who(page))} }} "
        f"@top-right {{ content: {_css(shortened(_said_key(page) + page.title, _RUNNING))} }} "
        f"@bottom-left {{ content: {_css(shortened(foot, _RUNNING))} }} "
        f"@bottom-right {{ content: {pages} }} }}\n"
    )


_SET = (0, 2, 3, 5)
"""Lines of room that the style has for questions as they are without a plan's word on it."""


def _rooms(page: Page) -> str:
    """The style of other room for working."""
    asks = (
        ask
        for division in page.divisions
        for block in division.blocks
        if isinstance(block, Exercise)
        for ask in block.asks
    )
    rooms = {ask.answer.room for ask in asks if ask.answer is not None} - set(_SET)
    return "".join(f".room{n} {{ margin-top: {1.6 * n + 0.2:.1f}rem }}\n" for n in sorted(rooms))


def _css(text: str) -> str:
    """A string of CSS; anything but a letter or a digit of ASCII by its number."""
    inner = "".join(c if c.isascii() and c.isalnum() else f"\\{ord(c):06x}" for c in text)
    return f'"{inner}"'


def _said_key(page: Page) -> str:
    return f"{entry('sheet', 'head.key')}: " if page.key else ""


def _who(page: Page) -> str:
    if page.whose is None:
        return page.foot
    named = " · ".join(filter(None, (page.whose.name, page.whose.id)))
    return shortened(named, _RUNNING) or fill(
        "sheet", "head.unnamed", [("number", page.whose.number)]
    )


def _page(page: Page) -> Iterator[str]:
    yield "<header>"
    yield '<div class="top"><div>'
    if page.key:
        yield f'<p class="mark">{_word("head.key")} · {_word("head.secret")}</p>'
    yield f'<h1 dir="auto">{escape(page.title)}</h1>'
    if page.under:
        yield f"<p>{' · '.join(f'<bdi>{escape(text)}</bdi>' for text in page.under)}</p>"
    yield "</div>"
    yield from _whose(page)
    for block in page.opening:
        yield from _block(block, 2)
    if page.note:
        yield f'<p class="note">{escape(page.note)}</p>'
    yield "</header>"
    for number, division in enumerate(page.divisions, 1):
        yield from _division(number, division)


def _whose(page: Page) -> Iterator[str]:
    """The points that are had, and who the student is; of other pages nothing."""
    whose = page.whose
    if whose is None:
        yield "</div>"
        return
    of = escape(fill("sheet", "points.of", [("points", whose.points)]))
    if page.key:
        yield f'<p class="sum">{_word("head.points")} {escape(whose.points)}</p>'
    elif whose.reached:
        yield f'<p class="sum">{_word("head.points")} <b>{escape(whose.reached)}</b> {of}</p>'
    else:
        yield f'<p class="sum">{_word("head.points")} <span class="line"></span> {of}</p>'
    yield "</div>"
    yield '<dl class="who">'
    for key, value in whose.rows:
        label = _word(f"head.{key}")
        if value:
            yield f"<div><dt>{label}</dt><dd><bdi>{escape(value)}</bdi></dd></div>"
        elif key == "name" and page.nameless:
            yield f'<div><dt>{label}</dt><dd class="line"></dd></div>'
    yield "</dl>"


def _word(key: str) -> str:
    return escape(entry("sheet", key))


def _division(number: int, division: Division) -> Iterator[str]:
    kinds = " ".join(name for name in ("half", "fresh") if getattr(division, name))
    kind = f' class="{kinds}"' if kinds else ""
    if division.title:
        yield f'<section{kind} aria-labelledby="s{number}">'
        yield f'<h2 id="s{number}" dir="auto">{escape(division.title)}</h2>'
    else:
        yield f"<section{kind}>"
    # No level is skipped: below a section without a title the problems come second.
    level = 3 if division.title else 2
    for block in division.blocks:
        yield from _block(block, level)
    yield "</section>"


def _block(block: Block, level: int) -> Iterator[str]:
    """Whatever can stand in a section, below a heading of the level before this."""
    match block:
        case Exercise():
            yield from _exercise(block, level)
        case PageFigure():
            yield from _figure(block)
        case SmallCircuits():
            yield f'<div class="small-circuits across{block.across}">'
            for exercise in block.exercises:
                yield from _small(exercise, level)
            yield "</div>"
        case Table():
            yield from _table(block)
        case PageBeside():
            yield f'<div class="beside"><h{level} dir="auto">{escape(block.title)}</h{level}>'
            if block.figure is not None:
                yield f"<figure>{_svg(block.figure.picture, BESIDE)}</figure>"
            yield "<div>"
            for part in block.said:
                yield from _block(part, level + 1)
            yield "</div></div>"
        case KeyFigures():
            rows = "".join(f"<li><b>{_cell(c)}</b> {escape(t)}</li>" for c, t in block.rows)
            yield f'<ul class="figures">{rows}</ul>'
        case _:
            yield from _prose((block,))


def _exercise(exercise: Exercise, level: int) -> Iterator[str]:
    """A problem under a heading of a level, its questions one below, as are its solution's."""
    name = f"p{exercise.number}"
    title = f'<span id="{name}" dir="auto">{escape(exercise.title)}</span>'
    yield from _headed(exercise, level, title)
    for ask in exercise.asks:
        yield from _ask(ask, level + 1)
    if exercise.steps:
        yield f'<h{level + 1} class="solution">{escape(exercise.solution)}</h{level + 1}>'
        yield '<ol class="steps">'
        for step in exercise.steps:
            yield from _step(step, level + 2)
        yield "</ol>"
    yield "</article>"


def _small(exercise: Exercise, level: int) -> Iterator[str]:
    """A circuit whose questions are rows of boxes, under a heading of a level."""
    name = f"p{exercise.number}"
    title = f'<span id="{name}" aria-label="{escape(exercise.title)}">{exercise.number}</span>'
    yield from _headed(exercise, level, title)
    for ask in exercise.asks:
        label = f'<span class="pale">{escape(ask.number)}</span> {escape(ask.title)}'
        boxes = "".join(map(_tick, ask.options))
        yield f'<div class="ticks"><span class="label">{label}</span>{boxes}</div>'
    yield "</article>"


def _headed(exercise: Exercise, level: int, title: str) -> Iterator[str]:
    """The beginning of an article: its heading with a title, and what stands at its head."""
    yield f'<article class="problem" aria-labelledby="p{exercise.number}">'
    points = f'<span class="points">{escape(exercise.points)}</span>'
    yield f'<h{level} class="title">{title} {points}</h{level}>'
    if exercise.figure is not None:
        yield from _figure(exercise.figure)


def _tick(option: Option) -> str:
    body = _math(option.body) if isinstance(option.body, Equation) else _said(option.body)
    return f'<span class="tick-box"><b>{escape(option.letter)}</b> {body}</span>'


def _ask(ask: PageQuestion, level: int) -> Iterator[str]:
    name = "q" + ask.number.replace(".", "-")
    if ask.about is not None:
        yield from _figure(ask.about)
    yield f'<section class="q" aria-labelledby="{name}">'
    yield f'<div class="number" aria-hidden="true">{escape(ask.number)}</div>'
    yield '<div class="body">'
    label = escape(f"{ask.number} {ask.title}")
    heading = f'<h{level} id="{name}" class="run-in" aria-label="{label}">'
    yield f"{heading}{escape(ask.title)}</h{level}>"
    yield from _prose(ask.prose)
    if ask.options:
        yield from _options(ask)
        if ask.answer is not None and ask.answer.room:
            yield f'<div class="room{ask.answer.room}"></div>'
    if ask.figure is None and ask.answer is not None and not ask.options:
        yield from _line(ask.answer)
    if ask.judged is not None:
        yield from _judged(ask.judged)
    yield "</div>"
    box = ""
    if ask.options and ask.answer is not None:
        box = f'<br/><span class="box" role="img" aria-label="{_word("ask.answer")}"></span>'
    yield f'<div class="side"><span class="points">{escape(ask.points)}</span>{box}</div>'
    if ask.figure is not None:
        yield f'<div class="wide">{"".join(_figure(ask.figure))}</div>'
        if ask.note:
            yield '<div></div><div class="form">'
            yield from _prose(ask.note)
            yield "</div>"
    yield "</section>"


def _line(answer: Answer) -> Iterator[str]:
    room = f" room{answer.room}" if answer.room else ""
    label = _word("ask.answer")
    yield (
        f'<div class="answer{room}"><span class="pale">{label}</span>'
        f'<span class="line"></span><span>{escape(answer.unit)}</span></div>'
    )


def _options(ask: PageQuestion) -> Iterator[str]:
    kinds = ["options"]
    if any(option.picture is not None for option in ask.options):
        kinds += ["c2", "circuits"]
    elif ask.columns > 1:
        kinds.append(f"c{ask.columns}")
    if any(isinstance(option.body, Equation) for option in ask.options):
        kinds.append("formulas")
    yield f'<ol type="a" class="{" ".join(kinds)}">'
    yield from map(_option, ask.options)
    yield "</ol>"


def _option(option: Option) -> str:
    if option.picture is not None:
        body = _svg(option.picture, OPTION)
    elif isinstance(option.body, Equation):
        body = _math(option.body)
    else:
        body = f'<span class="body">{_said(option.body)}</span>'
    if option.right:
        return f'<li class="right">{body}<span class="tick">✓ {escape(option.remark)}</span></li>'
    remark = f'<span class="remark">{escape(option.remark)}</span>' if option.remark else ""
    return f"<li>{body}{remark}</li>"


def _judged(judged: KeyVerdict) -> Iterator[str]:
    if judged.figure is not None:
        yield from _figure(judged.figure)
    yield '<dl class="judged">'
    for right in judged.right:
        yield f'<dt>{_word("right.head")}</dt><dd class="strong">{_answer(right)}</dd>'
    if judged.counts:
        counts = "<br/>".join(map(escape, judged.counts))
        yield f"<dt>{_word('right.counts')}</dt><dd>{counts}</dd>"
    if judged.slips:
        yield f'<dt>{_word("right.slips")}</dt><dd><table class="slips"><tbody>'
        for row in judged.slips:
            answers = "; ".join(map(_answer, row.answers))
            yield f'<tr><th scope="row">{escape(row.name)}</th><td>{answers}</td></tr>'
        yield "</tbody></table></dd>"
    if judged.how:
        yield f"<dt>{_word('right.found')}</dt><dd>"
        yield from _prose(judged.how)
        yield "</dd>"
    yield "</dl>"


def _answer(answer: str | Equation) -> str:
    return escape(answer) if isinstance(answer, str) else _math(answer)


def _step(step: SolutionStep, level: int) -> Iterator[str]:
    yield '<li class="step">'
    yield f'<h{level} class="run-in">{_said(step.title)}</h{level}>'
    yield from _prose(step.say)
    if step.equations:
        yield f'<div class="equations">{"".join(map(_math, step.equations))}</div>'
    for figure in step.figures:
        yield from _figure(figure)
    yield f'<p class="why">{_word("solution.why")} {_said(step.why)}</p>'
    yield "</li>"


def _prose(parts: Iterable[Prose]) -> Iterator[str]:
    for part in parts:
        match part:
            case Paragraph(names=names):
                direction = "" if names else ' dir="auto"'
                tone = f' class="{part.tone}"' if part.tone else ""
                yield f"<p{direction}{tone}>{_said(part)}</p>"
            case Lines(ours=ours):
                direction = "" if ours else ' dir="auto"'
                lines = "".join(
                    f"<div>{_answer(line)}</div>" for line in part.typeset or part.lines
                )
                yield f'<div class="lines"{direction}>{lines}</div>'
            case Equation():
                yield f'<div class="lines">{_math(part)}</div>'


def _said(part: Paragraph) -> str:
    return "".join(
        escape(one) if isinstance(one, str) else f"<var>{one[0]}<sub>{one[1]}</sub></var>"
        for one in part.pieces
    )


def _math(equation: Equation) -> str:
    return mathml(equation, room=_ROOM)


def _figure(figure: PageFigure) -> Iterator[str]:
    caption = f"<figcaption>{escape(figure.caption)}</figcaption>" if figure.caption else ""
    yield f"<figure>{_svg(figure.picture)}{caption}</figure>"


def _svg(picture: PagePicture, room: float = TEXT_WIDTH) -> str:
    return drawn(picture, room).svg


def _table(table: Table) -> Iterator[str]:
    kind = "hidden" if table.hidden else "table" if table.head else "table pairs"
    kind += " dense" if table.dense else ""
    number = [' class="n"' if is_number else "" for is_number in table.numeric]
    name = f' id="{escape(table.name)}"' if table.name else ""
    yield f'<div class="{kind}"><table{name}><caption>{escape(table.caption)}</caption>'
    if table.head:
        heads = zip(table.head, number, strict=True)
        cells = "".join(f'<th scope="col"{n}>{escape(head)}</th>' for head, n in heads)
        yield f"<thead><tr>{cells}</tr></thead>"
    yield "<tbody>"
    for place, (first, *rest) in enumerate(table.cells):
        row = f' id="{escape(table.row_names[place])}"' if table.row_names else ""
        others = zip(rest, number[1:], strict=True)
        cells = "".join(f"<td{n}>{_cell(one)}</td>" for one, n in others)
        yield f'<tr{row}><th scope="row"{number[0]}>{_cell(first)}</th>{cells}</tr>'
    yield "</tbody></table></div>"


def _cell(cell: Cell) -> str:
    """A cell; a name in it may run from right to left."""
    found = escape(cell.text)
    if isinstance(cell.exact, date):
        found = f'<time datetime="{cell.exact.isoformat()}">{found}</time>'
    elif cell.exact is not None:
        found = f'<data value="{cell.exact}">{found}</data>'
    elif found:
        found = f"<bdi>{found}</bdi>"
    if cell.mark:
        found = f'<span class="state {escape(cell.mark)}">{found}</span>'
    if cell.picture is not None:
        found = _svg(cell.picture)
    return f'{found}<br/><span class="small">{escape(cell.small)}</span>' if cell.small else found
