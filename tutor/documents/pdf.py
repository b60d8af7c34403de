"""Pages as PDF, set by typst from the template ``page.typ``.

What a plan, a roster or a circuit says goes to typst as data, never as source; formulas are
source made of our own trees, in which nothing but single letters stands outside quotes.  The
same page gives the same bytes: no time, no fonts of the system, no name of the machine.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import fields, is_dataclass
from functools import lru_cache
from typing import Any

from ...problems.sheets.model import Paper
from ...problems.solutions.step import Equation
from ..language.texts import entry, fill
from .drawings.svg import TEXT_WIDTH
from .math.mathml import spoken
from .math.nodes import measure, nodes
from .math.typst import typst_math
from .pages import shortened
from .pages_form import (
    Beside,
    KeyFigures,
    Lines,
    Option,
    Page,
    PageFigure,
    Paragraph,
    SolutionStep,
    Table,
    Whose,
)
from .pages_pictures import PagePicture, drawn
from .pdf_compiler import PdfError, available, compiled
from .pdf_letters import SIGN, all_shown, bare, divided, drawable, shown

_OPTION = 200.0
"""Points for the drawing of a circuit to choose: two stand side by side."""
_BESIDE = 230.0
"""Points for a drawing that something is said beside."""
_ROOM = 34.0
"""Ems for a formula inside a question."""
_LINE, _GAP = 44.0, 2.9
"""Ems of a step's formulas: the line they stand on, and between them."""
_RUNNING = 60
"""Characters of a title or a course in the margins of each page."""


@lru_cache(maxsize=1)
def _template() -> bytes:
    from importlib.resources import files

    return files(__package__).joinpath("page.typ").read_bytes()


def page_pdf(page: Page, paper: Paper = Paper.A4) -> bytes:
    """``page`` on ``paper``.

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
    body = {"instructions": _set(page.opening), "divisions": _set(page.divisions)}
    found = {
        "kind": page.kind,
        "key": page.key,
        "paper": paper,
        "lang": language.lower(),
        "region": region,
        "words": {name: entry("sheet", key) for name, key in _WORDS.items()},
        "document": f"{said}{title}",
        "title": divided(title),
        "short": shortened(f"{said}{title}", _RUNNING),
        "running": [shortened(foot or title, 44)],
        "foot": "",
        "under": " · ".join(divided(shown(text)) for text in page.under),
        "points": "",
        "of": "",
        "rows": [],
        "undrawn": [],
        "note": page.note,
        **body,
    }
    if page.whose is not None:
        found |= _student(page, page.whose, f"{said}{title}")
        if SIGN in f"{title}{foot}" or SIGN in json.dumps(body, ensure_ascii=False):
            found["undrawn"].append(fill("sheet", "head.undrawn-text", [("sign", SIGN)]))
    return found


def _student(page: Page, whose: Whose, title: str) -> dict[str, Any]:
    """What stands on a student's page alone."""
    name, number, undrawn = _drawable(whose)
    unnamed = fill("sheet", "head.unnamed", [("number", whose.number)])
    rows = [("name", name), ("id", number), ("number", whose.number)]
    return {
        "document": f"{title}, {' · '.join(filter(None, (name, number))) or unnamed}",
        "running": [shortened(one, most) for one, most in ((name, 44), (number, 24)) if one]
        or [unnamed],
        "foot": shortened(shown(page.foot), _RUNNING),
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


def _set(thing: Any) -> Any:
    """What stands on a page as data: values by the names of their fields, and what they are."""
    match thing:
        case str():
            return divided(shown(thing))
        case tuple():
            return [_set(one) for one in thing]
        case Paragraph():
            pieces = [_set(one) if isinstance(one, str) else list(one) for one in thing.pieces]
            return {"is": "Paragraph", "text": pieces, "tone": thing.tone}
        case Lines():
            return {"is": "Lines", "lines": [_set(line) for line in thing.typeset or thing.lines]}
        case Equation():
            math = typst_math(thing, room=_ROOM)
            return {"is": "Equation", "math": math, "alt": spoken(thing)}
        case Option():
            return _fields(thing, picture=thing.picture and _picture(thing.picture, _OPTION))
        case SolutionStep():
            return _fields(thing, display=None, beside=_beside(thing.equations))
        case Table():
            return _table(thing)
        case Beside():
            drawn = thing.figure and _picture(thing.figure.picture, _BESIDE)
            return _fields(thing, figure=drawn)
        case KeyFigures():
            return {"is": "KeyFigures", "rows": [[cell.text, text] for cell, text in thing.rows]}
        case PageFigure():
            return _fields(thing, picture=_picture(thing.picture))
    return _fields(thing) if is_dataclass(thing) else thing


def _fields(thing: Any, **own: Any) -> dict[str, Any]:
    """The fields of a value, but for those that are given, as data."""
    set_ = {
        one.name: _set(getattr(thing, one.name)) for one in fields(thing) if one.name not in own
    }
    return {"is": type(thing).__name__, **set_, **own}


def _table(table: Table) -> dict[str, Any]:
    cells = [cell for row in table.cells for cell in row]
    texts = all_shown(text for cell in cells for text in (cell.text, cell.small))
    return {
        "is": "Table",
        "head": list(table.head),
        "numeric": list(table.numeric),
        "wide": list(table.wide),
        "cells": [
            {
                "text": divided(texts[cell.text]),
                "small": divided(texts[cell.small]),
                "picture": None if cell.picture is None else _picture(cell.picture),
            }
            for cell in cells
        ],
    }


def _beside(equations: Sequence[Equation]) -> bool:
    ems = [measure(nodes(one, _ROOM)) for one in equations]
    return sum(ems) + _GAP * (len(ems) - 1) <= _LINE


def _picture(picture: PagePicture, room: float = TEXT_WIDTH) -> dict[str, Any]:
    one = drawn(picture, room)
    return {"svg": one.svg, "width": one.width, "height": one.height, "alt": one.alt}
