"""Pages as PDF, set by typst from the template ``page.typ``.

What a plan, a roster or a circuit says goes to typst as data, never as source; formulas are
source made of our own trees, in which nothing but single letters stands outside quotes.  The
same page gives the same bytes: no time, no fonts of the system, no name of the machine.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import lru_cache
from typing import Any

from ...problems.sheets.model import Paper
from ...problems.sheets.printing import PageFont
from ...problems.solutions.step import Equation
from ..language.texts import entry, fill
from .drawings.svg import FONTS, TEXT_WIDTH
from .math.mathml import spoken
from .math.nodes import measure, nodes
from .math.typst import typst_math
from .pages import shortened
from .pages_form import (
    KeyFigures,
    Lines,
    Option,
    Page,
    PageBeside,
    PageFigure,
    PageKind,
    Paragraph,
    SolutionStep,
    Table,
    Whose,
)
from .pages_pictures import BESIDE, OPTION, PagePicture, drawn
from .pdf_compiler import PdfError, available, compiled
from .pdf_letters import SIGN, all_shown, bare, divided, drawable, shown

_ROOM = 34.0
"""Ems for a formula inside a question."""
_LINE, _GAP = 44.0, 2.9
"""Ems of a step's formulas: the line they stand on, and between them."""
MAGNIFIED = 2.0
"""How much larger drawings are in large print: their letters of 9 points have 18 then."""
SANS = "'Source Sans Pro', sans-serif"
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
    sans = page.font is PageFont.SANS
    try:
        return compiled(_template(), _data(page, paper), sans=sans)
    except PdfError:
        # Letters that can be drawn, each text by itself, may not be so joined or cut short.
        with bare():
            return compiled(_template(), _data(page, paper), sans=sans)


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
    how = _Drawn(MAGNIFIED if page.large else 1.0, page.font is PageFont.SANS)
    body = {"instructions": _set(page.opening, how), "divisions": _set(page.divisions, how)}
    found = {
        "kind": page.kind,
        "key": page.key,
        "paper": paper,
        "large": page.large,
        "flipped": page.wide,
        "sans": page.font is PageFont.SANS,
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
        "reached": "",
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
    drawable = replace(
        whose, name=name, id=number, group=shown(whose.group), variant=shown(whose.variant)
    )
    return {
        "document": f"{title}, {' · '.join(filter(None, (name, number))) or unnamed}",
        "running": [shortened(one, most) for one, most in ((name, 44), (number, 24)) if one]
        or [unnamed],
        "foot": shortened(shown(page.foot), _RUNNING),
        "points": whose.points,
        "reached": whose.reached,
        "of": fill("sheet", "points.of", [("points", whose.points)]),
        "rows": [
            {"label": entry("sheet", f"head.{key}"), "value": divided(value)}
            for key, value in drawable.rows
            # A name that is missing, or can't be drawn, is written in by hand.
            if value or (key == "name" and page.kind is PageKind.SHEET and not number)
        ],
        "undrawn": undrawn,
    }


def _drawable(whose: Whose) -> tuple[str, str, list[str]]:
    """(name, id, what is to be said of them): what can't be drawn is left out, and said so."""
    name = whose.name if drawable(whose.name) else ""
    number = whose.id if drawable(whose.id) else shown(whose.id)
    undrawn = [] if name == whose.name else [fill("sheet", "head.undrawn")]
    return name, number, undrawn


@dataclass(frozen=True, slots=True)
class _Drawn:
    """How pictures are drawn: how much larger they are shown than drawn, and in which letters."""

    magnified: float = 1.0
    sans: bool = False

    def picture(self, picture: PagePicture, room: float = TEXT_WIDTH) -> dict[str, Any]:
        """A picture as data, drawn so that it fits when it is magnified."""
        made = drawn(picture, room / self.magnified)
        svg = made.own_font.replace(FONTS, SANS) if self.sans else made.own_font
        return {"svg": svg, "width": made.width, "height": made.height, "alt": made.alt}


def _set(thing: Any, how: _Drawn) -> Any:
    """What stands on a page as data: values by the names of their fields, and what they are."""
    match thing:
        case str():
            return divided(shown(thing))
        case tuple():
            return [_set(one, how) for one in thing]
        case Paragraph():
            pieces = [_set(one, how) if isinstance(one, str) else list(one) for one in thing.pieces]
            return {"is": "Paragraph", "text": pieces, "tone": thing.tone}
        case Lines():
            return {
                "is": "Lines",
                "lines": [_set(line, how) for line in thing.typeset or thing.lines],
            }
        case Equation():
            math = typst_math(thing, room=_ROOM)
            return {"is": "Equation", "math": math, "alt": spoken(thing)}
        case Option():
            picture = thing.picture and how.picture(thing.picture, OPTION)
            return _fields(thing, how, picture=picture)
        case SolutionStep():
            return _fields(thing, how, display=None, beside=_beside(thing.equations))
        case Table():
            return _table(thing, how)
        case PageBeside():
            drawn = thing.figure and how.picture(thing.figure.picture, BESIDE)
            return _fields(thing, how, figure=drawn)
        case KeyFigures():
            return {"is": "KeyFigures", "rows": [[cell.text, text] for cell, text in thing.rows]}
        case PageFigure():
            return _fields(thing, how, picture=how.picture(thing.picture))
    return _fields(thing, how) if is_dataclass(thing) else thing


def _fields(thing: Any, how: _Drawn, **own: Any) -> dict[str, Any]:
    """The fields of a value, but for those that are given, as data."""
    set_ = {
        one.name: _set(getattr(thing, one.name), how)
        for one in fields(thing)
        if one.name not in own
    }
    return {"is": type(thing).__name__, **set_, **own}


def _table(table: Table, how: _Drawn) -> dict[str, Any]:
    cells = [cell for row in table.cells for cell in row]
    texts = all_shown(text for cell in cells for text in (cell.text, cell.small))
    return {
        "is": "Table",
        "head": list(table.head),
        "numeric": list(table.numeric),
        "wide": list(table.wide),
        "dense": table.dense,
        "cells": [
            {
                "text": divided(texts[cell.text]),
                "small": divided(texts[cell.small]),
                "picture": None if cell.picture is None else how.picture(cell.picture),
            }
            for cell in cells
        ],
    }


def _beside(equations: Sequence[Equation]) -> bool:
    ems = [measure(nodes(one, _ROOM)) for one in equations]
    return sum(ems) + _GAP * (len(ems) - 1) <= _LINE
