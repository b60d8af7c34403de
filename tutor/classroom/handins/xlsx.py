"""XLSX workbooks as texts, by openpyxl, which is given nothing that was not looked through before.

A workbook is a zip archive of XML.  The parts that hold cells are unpacked within bounds, each is
gone through by a parser that refuses a DOCTYPE and counts, and only those parts are put together
anew for openpyxl.  So the size of what it reads is known, and no entity, missing row number or
lying directory gets there.
"""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime, time, timedelta
from typing import Any

from openpyxl import load_workbook

from .cells import one_line
from .checked_xml import CheckedXml
from .table import BadTable, refused
from .unzip import BoundedZip
from .workbook_cells import (
    MOST_COLUMNS,
    MOST_PART,
    MOST_ROWS,
    DoubtfulText,
    Workbook,
    WorkbookRow,
    WorkbookSheet,
    doubtful_text,
    number_text,
    text_of,
)

MOST_SHEETS = 50
LAST_ROW = 1_048_576
"""Of any sheet (ECMA-376 leaves it open; every spreadsheet ends there)."""
_PARTS = re.compile(
    r"\[Content_Types\]\.xml|_rels/\.rels|xl/[\w.-]+\.xml|xl/_rels/[\w.-]+\.rels"
    r"|xl/worksheets/[\w.-]+\.xml"
)
_CORE = "docProps/core.xml"
_SAVED = re.compile(rb"<dcterms:modified[^>]{0,200}>([0-9T:.Z+-]{10,40})</dcterms:modified>")
_USUAL = b"http://schemas.openxmlformats.org/"
_STRICT = (
    (b"http://purl.oclc.org/ooxml/spreadsheetml/main", _USUAL + b"spreadsheetml/2006/main"),
    (
        b"http://purl.oclc.org/ooxml/officeDocument/relationships",
        _USUAL + b"officeDocument/2006/relationships",
    ),
)
"""Names of the strict form (ISO/IEC 29500-1), which openpyxl does not know, and the usual ones."""
_REFERENCE = re.compile(r"([A-Z]{1,3})(\d{1,7})")


def read_xlsx(archive: BoundedZip) -> Workbook:
    """Read the workbook in an ``archive``.

    Raises:
        BadTable: it can't be read; says what mends it.
    """
    parts: dict[str, bytes] = {}
    order = _Order()
    checked = CheckedXml(order.take)
    for member in archive.members:
        if _PARTS.fullmatch(member.name):
            if member.name in parts:
                raise refused("workbook.damaged", why="it has two parts of one name")
            parts[member.name] = archive.read(member, MOST_PART)
            checked.through(parts[member.name])
    pictures = sum(m.name.startswith("xl/media/") for m in archive.members)
    return Workbook(
        tuple(_sheets(parts, order.has_formulas)), archive.saved(_CORE, _SAVED), pictures
    )


class _Order:
    """Whether rows and cells rise, and end: the library drops one that does not, unsaid."""

    def __init__(self) -> None:
        self.has_formulas = False
        self._row = 0
        self._column = (0, "")

    def take(self, name: str, attributes: Mapping[str, str]) -> None:
        """An element of a part."""
        if name == "worksheet":
            self._row = 0
        elif name == "row":
            self._take_row(attributes.get("r"))
        elif name == "c":
            self._take_cell(attributes.get("r"))
        elif name == "f":
            self.has_formulas = True

    def _take_row(self, number: str | None) -> None:
        row = self._row + 1 if number is None else int(number)
        if not self._row < row <= LAST_ROW:
            raise refused("workbook.damaged", why="its rows are out of order")
        self._row, self._column = row, (0, "")

    def _take_cell(self, reference: str | None) -> None:
        if reference is None:
            return
        match = _REFERENCE.fullmatch(reference)
        column = (len(match[1]), match[1]) if match else (0, "")
        if column <= self._column:
            raise refused("workbook.damaged", why="its cells are out of order")
        self._column = column


def _sheets(parts: Mapping[str, bytes], has_formulas: bool) -> Iterator[WorkbookSheet]:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of what it does not keep, and we do not need
            formulas = _formulas(parts) if has_formulas else {}
            book = load_workbook(_package(parts), read_only=True, data_only=True, keep_links=False)
            for sheet in book.worksheets[:MOST_SHEETS]:
                told = formulas.get(sheet.title, {})
                rows = tuple(_rows(sheet, told))
                yield WorkbookSheet(text_of(sheet.title), rows, sheet.sheet_state != "visible")
    except BadTable:
        raise
    except Exception as error:  # whatever the library raises at a damaged document
        why = one_line(str(error).split("\n")[0])[:100] or type(error).__name__
        raise refused("workbook.damaged", why=why) from None


def _package(parts: Mapping[str, bytes]) -> io.BytesIO:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_STORED) as package:
        for name, data in parts.items():
            for strict, usual in _STRICT:
                data = data.replace(strict, usual)
            package.writestr(name, data)
    return made


def _formulas(parts: Mapping[str, bytes]) -> dict[str, dict[tuple[int, int], str]]:
    """Sheet → (row, column) → its formula."""
    book = load_workbook(_package(parts), read_only=True, keep_links=False)
    return {
        sheet.title: {
            (cell.row, cell.column): str(getattr(cell.value, "text", cell.value))
            for row in _cells(sheet)
            for cell in row
            if getattr(cell, "data_type", "") == "f"
        }
        for sheet in book.worksheets[:MOST_SHEETS]
    }


def _cells(sheet: Any) -> Iterable[tuple[Any, ...]]:
    sheet.reset_dimensions()  # a claim of whoever wrote it
    found: Iterable[tuple[Any, ...]] = sheet.iter_rows()
    return found


def _rows(sheet: Any, formulas: Mapping[tuple[int, int], str]) -> Iterator[WorkbookRow]:
    count = 0
    for line, row in enumerate(_cells(sheet), 1):
        cells = [_text(cell, formulas) for cell in row]
        while cells and not cells[-1].strip():
            cells.pop()
        if not cells:
            continue
        if len(cells) > MOST_COLUMNS:
            raise refused("workbook.columns", row=line, most=MOST_COLUMNS)
        count += 1
        if count > MOST_ROWS:
            raise refused("workbook.rows", most=MOST_ROWS)
        yield WorkbookRow(line, tuple(cells))


def _text(cell: Any, formulas: Mapping[tuple[int, int], str]) -> str:
    value = cell.value
    if value is None:
        known = formulas.get((cell.row, cell.column)) if formulas and hasattr(cell, "row") else None
        return doubtful_text(known, "formula") if known else ""
    if cell.data_type == "e":
        typed = formulas.get((cell.row, cell.column), str(value))
        return doubtful_text(typed, "error", error=one_line(str(value))[:40])
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, int | float):
        return number_text(value, cell.number_format or "General")
    return _moment(value) or text_of(str(value))


def _moment(value: object) -> DoubtfulText | None:
    if isinstance(value, datetime):
        midnight = value.time() == time()
        shown = value.date().isoformat() if midnight else value.isoformat(" ")
        return doubtful_text(shown, "date")
    if isinstance(value, date):
        return doubtful_text(value.isoformat(), "date")
    return doubtful_text(str(value), "time") if isinstance(value, time | timedelta) else None
