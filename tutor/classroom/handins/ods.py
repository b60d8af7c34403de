"""ODS workbooks as texts: ``content.xml`` gone through once, row by row.

The formats of OpenDocument (ISO/IEC 26300-1, chapters 9 and 19) write a row or a cell that
repeats once, with a count: one cell may stand for a million.  Empty ones are only counted; those
that say something are repeated within the bounds of a table.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from xml.etree.ElementTree import Element, ParseError, iterparse

from .cells import one_line
from .checked_xml import CheckedXml
from .table import BadTable, refused
from .unzip import BoundedZip
from .workbook_cells import (
    MOST_COLUMNS,
    MOST_PART,
    MOST_ROWS,
    Workbook,
    WorkbookRow,
    WorkbookSheet,
    doubtful_text,
    number_text,
    text_of,
)

MOST_SPACES = 100
"""Spaces that one element may stand for."""
CONTENT, META = "content.xml", "meta.xml"
_NAMES = "{urn:oasis:names:tc:opendocument:xmlns:%s:1.0}"
_OFFICE, _TABLE, _TEXT = (_NAMES % name for name in ("office", "table", "text"))
_CALC = "{urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0}"
_ROW, _SHEET = f"{_TABLE}table-row", f"{_TABLE}table"
_CELLS = (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell")
_SAVED = re.compile(rb"<dc:date>([0-9T:.Z+-]{10,40})</dc:date>")
_LETTER = re.compile(r"[^\W\d_eE]")
"""A letter that no bare number has."""


def read_ods(archive: BoundedZip) -> Workbook:
    """Read the workbook in an ``archive``.

    Raises:
        BadTable: it can't be read; says what mends it.
    """
    parts = [member for member in archive.members if member.name == CONTENT]
    if len(parts) != 1:
        raise refused("workbook.damaged", why=f"it has no {CONTENT}, or two")
    data = archive.read(parts[0], MOST_PART)
    CheckedXml().through(data)
    try:
        sheets = tuple(_sheets(data))
    except BadTable:
        raise
    except (ParseError, ValueError, LookupError) as error:  # a number that is none, say
        raise refused("workbook.damaged", why=one_line(str(error))[:100]) from None
    pictures = sum(m.name.startswith("Pictures/") for m in archive.members)
    return Workbook(sheets, archive.saved(META, _SAVED), pictures)


def _sheets(data: bytes) -> Iterator[WorkbookSheet]:
    line = 0
    name, rows = "", list[WorkbookRow]()
    # It was gone through before: it has no DOCTYPE, and is neither deep nor long.
    for event, element in iterparse(io.BytesIO(data), events=("start", "end")):  # noqa: S314
        if event == "start":
            if element.tag == _SHEET:
                name, rows, line = element.get(f"{_TABLE}name", ""), [], 0
        elif element.tag == _ROW:
            times = _times(element, "rows")
            cells = _cells(element, line + 1)
            if cells and len(rows) + times > MOST_ROWS:
                raise refused("workbook.rows", most=MOST_ROWS)
            if cells:
                rows += (WorkbookRow(line + 1 + n, cells) for n in range(times))
            line += times
            element.clear()
        elif element.tag == _SHEET:
            yield WorkbookSheet(text_of(name), tuple(rows))
            element.clear()


def _times(element: Element, what: str) -> int:
    return max(1, int(element.get(f"{_TABLE}number-{what}-repeated", "1")[:12]))


def _cells(row: Element, line: int) -> tuple[str, ...]:
    found: list[str] = []
    place = 0
    for cell in row:
        if cell.tag not in _CELLS:
            continue
        times, text = _times(cell, "columns"), _text(cell)
        if text.strip():
            if place + times > MOST_COLUMNS:
                raise refused("workbook.columns", row=line, most=MOST_COLUMNS)
            found += [""] * (place - len(found)) + [text] * times
        place += times
    return tuple(found)


def _text(cell: Element) -> str:
    shown = text_of("\n".join(_said(p) for p in cell if p.tag == f"{_TEXT}p"))
    kind = cell.get(f"{_OFFICE}value-type", "")
    formula = cell.get(f"{_TABLE}formula", "")
    if cell.get(f"{_CALC}value-type") == "error":
        return doubtful_text(
            formula.removeprefix("of:") or shown, "error", error=one_line(shown)[:40]
        )
    if formula and not kind and not shown:
        return doubtful_text(formula.removeprefix("of:"), "formula")
    match kind:
        case "float" if _LETTER.search(shown):
            return shown  # such as 1.6 kHz: what a person sees, unit and all
        case "float" | "percentage":
            value = float(cell.get(f"{_OFFICE}value", "nan"))
            return number_text(value, "0%" if kind == "percentage" else "General")
        case "date":
            return doubtful_text(cell.get(f"{_OFFICE}date-value") or shown, "date")
        case "time":
            return doubtful_text(shown or cell.get(f"{_OFFICE}time-value", ""), "time")
        case "boolean":
            return cell.get(f"{_OFFICE}boolean-value", shown).upper()
    return shown


def _said(paragraph: Element) -> str:
    """The text of a paragraph; what stands in notes and comments is not its own."""
    pieces = [paragraph.text or ""]
    for inner in paragraph:
        local = inner.tag.rpartition("}")[2]
        if local == "s":
            pieces.append(" " * min(MOST_SPACES, int(inner.get(f"{_TEXT}c", "1")[:6])))
        elif local in ("tab", "line-break"):
            pieces.append(" ")
        elif local in ("span", "a"):
            pieces.append(_said(inner))
        pieces.append(inner.tail or "")
    return "".join(pieces)
