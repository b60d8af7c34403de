"""Pages as PDF, set by typst from the template ``page.typ``.

What a plan, a roster or a circuit says goes to typst as data, never as source; formulas are
source made of our own trees, in which nothing but single letters stands outside quotes.  The
same page gives the same bytes: no time, no fonts of the system, no name of the machine.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import lru_cache
from typing import Any

from ...problems.sheets.model import Key, Paper, Sheet
from ...problems.solutions.step import Equation
from ..language.texts import entry, fill
from .math.mathml import spoken
from .math.nodes import measure, nodes
from .math.typst import typst_math
from .pages import sheet_page
from .pages_form import (
    Block,
    Division,
    Exercise,
    KeyFigures,
    KeyVerdict,
    Lines,
    Option,
    Page,
    PageFigure,
    PageQuestion,
    Paragraph,
    Prose,
    SolutionStep,
    Table,
    Whose,
)
from .pages_pictures import PagePicture
from .pdf_compiler import PdfError, available, compiled
from .pdf_letters import SIGN, all_shown, bare, divided, drawable, shown

__all__ = ["PdfError", "key_pdf", "page_pdf", "sheet_pdf"]

_OPTION = 200.0
"""Points for the drawing of a circuit to choose: two stand side by side."""
_ROOM = 34.0
"""Ems for a formula inside a question."""
_LINE, _GAP = 44.0, 2.9
"""Ems of a step's formulas: the line they stand on, and between them."""
_RUNNING = 60
"""Characters of a title or a course in the margins of each page."""


def sheet_pdf(sheet: Sheet) -> bytes:
    """A student's sheet.

    Raises:
        PdfError: typst is not installed.
    """
    return page_pdf(sheet_page(sheet), sheet.heading.paper)


def key_pdf(sheet: Sheet, key: Key) -> bytes:
    """The key to a student's sheet.

    Raises:
        PdfError: typst is not installed.
        SheetError: the key is another sheet's.
    """
    from .pages_key import key_page

    return page_pdf(key_page(sheet, key), sheet.heading.paper)


@lru_cache(maxsize=1)
def _template() -> bytes:
    from importlib.resources import files

    return files(__package__).joinpath("page.typ").read_bytes()


def page_pdf(page: Page, paper: Paper = Paper.A4) -> bytes:
    """Any page.

    Raises:
        PdfError: typst is not installed.
    """
    available()
    try:
        return compiled(_template(), _data(page, paper))
    except PdfError:
        # Letters that can be drawn, each text by itself, may not be so joined or cut short.
        with bare():
            return compiled(_template(), _data(page, paper))


def _data(page: Page, paper: Paper) -> str:
    return json.dumps(_page(page, paper), ensure_ascii=False, separators=(",", ":"))


# --- the page as data --------------------------------------------------------------------


_WORDS = {  # the number of a page is known to typst alone
    "answer": "ask.answer",
    "counts": "right.counts",
    "found": "right.found",
    "key": "head.key",
    "page": "head.page",
    "points": "head.points",
    "right": "right.head",
    "secret": "head.secret",
    "slips": "right.slips",
    "why": "solution.why",
}


def _page(page: Page, paper: Paper) -> dict[str, Any]:
    title, foot = shown(page.title), shown(page.foot)
    said = entry("sheet", "head.key") + ": " if page.key else ""
    language, *rest = page.language.split("-")
    region = next((part.upper() for part in rest if len(part) == 2 and part.isalpha()), None)
    return {
        "kind": page.kind,
        "key": page.key,
        "paper": paper,
        "lang": language.lower(),
        "region": region,
        "words": {name: entry("sheet", key) for name, key in _WORDS.items()},
        "document": f"{said}{title}",
        "title": divided(title),
        "short": _short(f"{said}{title}", _RUNNING),
        "running": [_short(foot or title, 44)],
        "foot": "",
        "under": " · ".join(divided(shown(text)) for text in page.under),
        "points": "",
        "of": "",
        "rows": [],
        "undrawn": [],
        "instructions": [_block(one) for one in page.opening],
        "note": page.note,
        "divisions": [_division(one) for one in page.divisions],
        **(_student(page, page.whose, f"{said}{title}") if page.whose else {}),
    }


def _student(page: Page, whose: Whose, title: str) -> dict[str, Any]:
    """What stands on a student's page alone."""
    name, number, undrawn = _drawable(whose)
    unnamed = fill("sheet", "head.unnamed", [("number", whose.number)])
    rows = [("name", name), ("id", number), ("number", whose.number)]
    if SIGN in f"{title}{shown(page.foot)}" or any(SIGN in text for text in _texts(page)):
        undrawn.append(fill("sheet", "head.undrawn-text", [("sign", SIGN)]))
    return {
        "document": f"{title}, {' · '.join(filter(None, (name, number))) or unnamed}",
        "running": [_short(one, most) for one, most in ((name, 44), (number, 24)) if one]
        or [unnamed],
        "foot": _short(shown(page.foot), _RUNNING),
        "points": whose.points,
        "of": fill("sheet", "points.of", [("points", whose.points)]),
        "rows": [
            {"label": entry("sheet", f"head.{key}"), "value": divided(value)}
            for key, value in rows
            if value or (key == "name" and not (page.key or number))  # to be written in by hand
        ],
        "undrawn": undrawn,
    }


def _drawable(whose: Whose) -> tuple[str, str, list[str]]:
    """(name, id, what is to be said of them): what can't be drawn is left out, and said so."""
    name = whose.name if drawable(whose.name) else ""
    number = whose.id if drawable(whose.id) else shown(whose.id)
    undrawn = [] if name == whose.name else [fill("sheet", "head.undrawn")]
    return name, number, undrawn


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _texts(page: Page) -> Iterator[str]:
    """Every text that the teacher wrote, as it is drawn."""
    yield from _drawn(page.opening)
    for division in page.divisions:
        yield shown(division.title)
        yield from _drawn(division.blocks)


def _drawn(blocks: Iterable[Block]) -> Iterator[str]:
    for block in blocks:
        match block:
            case Paragraph():
                yield shown(block.text)
            case Lines():
                yield from map(shown, block.lines)
            case Exercise():
                yield shown(block.title)


def _division(division: Division) -> dict[str, Any]:
    return {
        "title": divided(shown(division.title)),
        "blocks": [_block(one) for one in division.blocks],
    }


def _block(block: Block) -> dict[str, Any]:
    match block:
        case Exercise():
            return {"kind": "exercise", **_exercise(block)}
        case PageFigure():
            return {"kind": "figure", **_figure(block)}
        case Table():
            return {"kind": "table", **_table(block)}
        case KeyFigures():
            return {"kind": "figures", "rows": [[cell.text, text] for cell, text in block.rows]}
    return _prose((block,))[0]


def _table(table: Table) -> dict[str, Any]:
    cells = [cell for row in table.cells for cell in row]
    texts = all_shown(text for cell in cells for text in (cell.text, cell.small))
    return {
        "head": list(table.head),
        "numeric": list(table.numeric),
        "wide": list(table.wide),
        "cells": [
            {
                "text": divided(texts[cell.text]),
                "small": divided(texts[cell.small]),
                "picture": _maybe(cell.picture, _picture),
            }
            for cell in cells
        ],
    }


def _exercise(exercise: Exercise) -> dict[str, Any]:
    return {
        "title": divided(shown(exercise.title)),
        "points": exercise.points,
        "figure": _maybe(exercise.figure, _figure),
        "asks": [_ask(one) for one in exercise.asks],
        "solution": exercise.solution,
        "steps": [_step(one) for one in exercise.steps],
    }


def _ask(ask: PageQuestion) -> dict[str, Any]:
    answer = ask.answer
    return {
        "number": ask.number,
        "title": ask.title,
        "points": ask.points,
        "prose": _prose(ask.prose),
        "options": [_option(one) for one in ask.options],
        "columns": ask.columns,
        "answer": None if answer is None else {"unit": answer.unit, "room": answer.room},
        "figure": _maybe(ask.figure, _figure),
        "note": _prose(ask.note),
        "judged": _maybe(ask.judged, _judged),
    }


def _option(option: Option) -> dict[str, Any]:
    (body,) = _prose((option.body,))
    picture = option.picture
    return {
        "letter": option.letter,
        "body": body,
        "picture": None if picture is None else _picture(picture, _OPTION),
        "remark": option.remark,
        "right": option.right,
    }


def _judged(judged: KeyVerdict) -> dict[str, Any]:
    return {
        "right": [_answer(one) for one in judged.right],
        "counts": list(judged.counts),
        "slips": [
            {"name": row.name, "answers": [_answer(one) for one in row.answers]}
            for row in judged.slips
        ],
        "how": _prose(judged.how),
        "figure": _maybe(judged.figure, _figure),
    }


def _answer(answer: str | Equation) -> str | dict[str, str]:
    return divided(shown(answer)) if isinstance(answer, str) else _formula(answer)


def _step(step: SolutionStep) -> dict[str, Any]:
    return {
        "title": _said(step.title),
        "say": _prose(step.say),
        "equations": [_formula(one) for one in step.equations],
        "beside": _beside(step.equations),
        "why": _said(step.why),
        "figures": [_figure(one) for one in step.figures],
    }


def _beside(equations: Sequence[Equation]) -> bool:
    """Whether equations stand side by side on a line."""
    ems = [measure(nodes(one, _ROOM)) for one in equations]
    return sum(ems) + _GAP * (len(ems) - 1) <= _LINE


def _figure(figure: PageFigure) -> dict[str, Any]:
    return {"picture": _picture(figure.picture), "caption": figure.caption}


def _picture(picture: PagePicture, room: float | None = None) -> dict[str, Any]:
    drawn = picture.drawing() if room is None else picture.drawing(room)
    return {"svg": drawn.svg, "width": drawn.width, "height": drawn.height, "alt": drawn.alt}


def _prose(parts: Iterable[Prose]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    for part in parts:
        match part:
            case Paragraph():
                tone = {"tone": part.tone} if part.tone else {}
                found.append({"kind": "paragraph", "text": _said(part), **tone})
            case Lines():
                set_ = [_answer(line) for line in part.typeset]
                found.append({"kind": "lines", "lines": set_})
            case Equation():
                found.append({"kind": "formula", **_formula(part)})
    return found


def _said(part: Paragraph) -> list[str | list[str]]:
    return [divided(shown(one)) if isinstance(one, str) else list(one) for one in part.pieces]


def _formula(equation: Equation) -> dict[str, str]:
    return {"math": typst_math(equation, room=_ROOM), "alt": spoken(equation)}


def _maybe(thing: Any, write: Callable[[Any], dict[str, Any]]) -> dict[str, Any] | None:
    return None if thing is None else write(thing)
