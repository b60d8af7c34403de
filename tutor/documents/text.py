"""Pages as plain text: 78 columns, UTF-8, in the order in which it is read aloud.

Circuits stand there in words before they are drawn in characters.  A sketch is written.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import replace

from ...problems.formulas.layout import layout
from ...problems.hints.fill import in_letters
from ...problems.solutions.step import Equation
from ..language.texts import entry, fill
from ..language.wrap import fold
from .pages_form import (
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
    PageQuestion,
    Paragraph,
    Prose,
    SmallCircuits,
    SolutionStep,
    Table,
    Whose,
)
from .pages_pictures import COLUMNS

_MARGIN = "     "
_INSIDE = "       "
_LABEL = 17
_DOTS = 42
"""Dots for an answer, and for a name."""
_BETWEEN = 2
"""Columns between those of a table."""


def page_text(page: Page) -> str:
    """Any page."""
    return "\n".join(line.rstrip() for line in _page(page)) + "\n"


def _page(page: Page) -> Iterator[str]:
    title = f"{fill('sheet', 'head.key')}: {page.title}" if page.key else page.title
    yield from _heading(title, "=")
    yield from _said(", ".join(page.under))
    if page.whose is not None:
        yield ""
        yield from _whose(page, page.whose)
    if page.key:
        yield ""
        yield fill("sheet", "head.secret")
    yield from _blocks(page.opening)
    if page.note:
        yield ""
        yield from _said(page.note)
    for division in page.divisions:
        yield from _division(division)


def _whose(page: Page, whose: Whose) -> Iterator[str]:
    of = fill("sheet", "points.of", [("points", whose.points)])
    named = replace(whose, name="." * _DOTS) if page.nameless else whose
    points = whose.points if page.key else f"{whose.reached or '........'} {of}"
    for key, value in (*named.rows, ("points", points)):
        if value:
            label = fill("sheet", f"head.{key}") + ":"
            yield from fold(f"{label:{_LABEL}}{value}", COLUMNS, "", " " * _LABEL)


def _division(division: Division) -> Iterator[str]:
    if division.title:
        yield ""
        yield ""
        yield from _heading(division.title, "=")
    yield from _blocks(division.blocks)


def _blocks(blocks: Iterable[Block]) -> Iterator[str]:
    """Blocks with a line between; what is prose stands together."""
    run = False
    for block in blocks:
        prose = isinstance(block, Prose)
        if not (prose and run):
            yield ""
        run = prose
        match block:
            case Exercise():
                yield from _exercise(block)
            case PageFigure():
                yield from _figure(block)
            case SmallCircuits():
                for exercise in block.exercises:
                    yield from _small(exercise)
            case Table():
                yield from _table(block)
            case PageBeside():
                yield from _heading(block.title, "-")
                if block.figure is not None:
                    yield from block.figure.picture.text()
                yield from _blocks(block.said)
            case KeyFigures():
                for cell, text in block.rows:
                    yield from fold(f"{cell.text} {text}", COLUMNS, "  ", "    ")
            case _:
                yield from _prose((block,))


def _head(exercise: Exercise) -> Iterator[str]:
    """The heading of a problem, and what stands at its head."""
    yield ""
    yield from _heading(f"{exercise.title} ({exercise.points})", "-")
    if exercise.figure is not None:
        yield ""
        yield from exercise.figure.picture.text()


def _exercise(exercise: Exercise) -> Iterator[str]:
    yield from _head(exercise)
    for ask in exercise.asks:
        yield ""
        yield from _ask(ask)
    if exercise.steps:
        yield ""
        yield ""
        yield from _heading(exercise.solution, "-")
    for number, step in enumerate(exercise.steps, 1):
        yield ""
        yield from _step(number, step)


def _small(exercise: Exercise) -> Iterator[str]:
    """A circuit whose questions are rows of boxes."""
    yield from _head(exercise)
    yield ""
    for ask in exercise.asks:
        boxes = "   ".join(f"{one.letter}) {_in_line(one.body)}" for one in ask.options)
        yield from fold(f"{ask.number}  {ask.title:6} {boxes}", COLUMNS, "", _MARGIN)


def _ask(ask: PageQuestion) -> Iterator[str]:
    if ask.about is not None:
        yield from _figure(ask.about)
        yield ""
    yield from fold(f"{ask.number}  {ask.title} ({ask.points})", COLUMNS)
    yield from _prose(ask.prose, _MARGIN)
    for option in ask.options:
        yield from _option(option)
    if ask.note and ask.judged is None:
        yield from _prose(ask.note, _MARGIN)
    if ask.judged is not None:
        yield from _judged(ask.judged)
    elif ask.answer is not None:
        # Where a sketch is asked, the line before it has said that it is to be written.
        lead = fill("sheet", "ask.answer")
        yield f"{_MARGIN}{lead}: {'.' * _DOTS} {ask.answer.unit}".rstrip()


def _option(option: Option) -> Iterator[str]:
    text = _in_line(option.body)
    if isinstance(option.body, Equation) and len(drawn := _drawn(option.body)) == 1:
        text = drawn[0]
    mark = f"   <- {option.remark}" if option.remark else ""
    yield from fold(f"{option.letter}) {text}{mark}", COLUMNS, _INSIDE, _INSIDE + "   ")


def _judged(judged: KeyVerdict) -> Iterator[str]:
    for right in judged.right:
        if isinstance(right, Equation):
            yield f"{_MARGIN}{fill('sheet', 'right.head')}:"
            yield from (_INSIDE + line for line in _drawn(right))
        else:
            yield from _labelled("right.head", right)
    for counts in judged.counts:
        yield from _labelled("right.counts", counts)
    if judged.figure is not None:
        yield from _figure(judged.figure)
    if judged.slips:
        yield f"{_MARGIN}{fill('sheet', 'right.slips')}:"
    for row in judged.slips:
        answers = "; ".join(a if isinstance(a, str) else _in_line(a) for a in row.answers)
        yield from fold(f"{row.name}: {answers}", COLUMNS, _INSIDE, _INSIDE + "  ")
    if judged.how:
        yield f"{_MARGIN}{fill('sheet', 'right.found')}:"
        yield from _prose(judged.how, _INSIDE)


def _labelled(key: str, text: str) -> Iterable[str]:
    return fold(f"{fill('sheet', key)}: {text}", COLUMNS, _MARGIN, _MARGIN + "  ")


def _step(number: int, step: SolutionStep) -> Iterator[str]:
    yield from fold(f"{number}. {step.title.text}", COLUMNS)
    yield from _prose(step.say, "   ")
    if step.display:
        for line in step.display:
            yield from _line(line, "    ") if line else ("",)
    for figure in step.figures:
        yield from _figure(figure)
    yield from fold(f"{entry('sheet', 'solution.why')} {step.why.text}", COLUMNS, "   ", "   ")


def _figure(figure: PageFigure) -> Iterator[str]:
    lines = figure.picture.text()
    if lines:
        if figure.caption:
            yield f"{_MARGIN}{figure.caption}"
        yield from lines


def _table(table: Table) -> Iterator[str]:
    """Columns side by side where they fit, else each row as a sentence."""
    rows = [[_in_cell(cell) for cell in row] for row in table.cells]
    shown = [list(table.head), *rows] if table.head else rows
    wide = [max(map(_width, column)) for column in zip(*shown, strict=True)]
    if sum(wide) + _BETWEEN * (len(wide) - 1) > COLUMNS:
        heads = table.head or ("",) * len(wide)
        for first, *rest in rows:
            said = (f"{head} {text}".strip() for head, text in zip(heads[1:], rest, strict=True))
            yield from fold(f"{first}: {'; '.join(said)}", COLUMNS, "", "  ")
        return
    for row in shown:
        columns = zip(row, wide, table.numeric, strict=True)
        yield (" " * _BETWEEN).join(_padded(*column) for column in columns)
        if row is shown[0] and table.head:
            yield "-" * (sum(wide) + _BETWEEN * (len(wide) - 1))


def _padded(text: str, wide: int, numeric: bool) -> str:
    blank = " " * (wide - _width(text))
    return blank + text if numeric else text + blank


def _in_cell(cell: Cell) -> str:
    """A cell on one line; of a picture its words."""
    if cell.picture is not None:
        return " ".join(map(str.strip, cell.picture.text()))
    return f"{cell.text}. {cell.small}" if cell.small else cell.text


def _heading(text: str, line: str) -> Iterator[str]:
    folded = list(_said(text))
    yield from folded
    yield line * min(COLUMNS, max(map(_width, folded), default=0))


def _prose(parts: Iterable[Prose], margin: str = "") -> Iterator[str]:
    for part in parts:
        match part:
            case Paragraph(text=text):
                yield from _said(text, margin)
            case Lines(lines=lines):
                for line in lines:
                    yield from _line(line, margin)
            case Equation():
                yield from (f"{margin}  {line}" for line in _drawn(part))


def _line(line: str, margin: str) -> Iterator[str]:
    if len(line) + len(margin) + 2 <= COLUMNS:
        yield f"{margin}  {line}"
    else:
        yield from fold(line, COLUMNS, f"{margin}  ", f"{margin}    ")


def _said(text: str, margin: str = "") -> Iterable[str]:
    # A fold counts characters; those of Chinese, Japanese and Korean are two columns wide.
    wide = any(unicodedata.east_asian_width(c) in "WF" for c in text)
    width = len(margin) + (COLUMNS - len(margin)) // 2 if wide else COLUMNS
    return fold(text, width, margin, margin)


def _width(text: str) -> int:
    return sum(1 + (unicodedata.east_asian_width(c) in "WF") for c in text)


def _drawn(equation: Equation) -> list[str]:
    if equation.formula is None:
        return [equation.lead]
    lead = f"{equation.lead} = " if equation.lead else ""
    lines = layout(equation.formula, lead=lead, width=COLUMNS - len(_INSIDE))
    return [line.rstrip() for line in lines]


def _in_line(equation: Paragraph | Equation) -> str:
    if isinstance(equation, Paragraph):
        return equation.text
    if equation.formula is None:
        return equation.lead
    text = in_letters(equation.formula)
    return f"{equation.lead} = {text}" if equation.lead else text
