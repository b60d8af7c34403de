"""Tables as spreadsheets save them, with what they do to cells on the way."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from xml.sax.saxutils import escape

import openpyxl
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

from .handed_in import ods

KINDS = (
    "comma.csv",
    "semicolon.csv",
    "sep.csv",
    "tab.tsv",
    "utf-16.csv",
    "old.csv",
    "a.xlsx",
    "a.ods",
)
"""The kinds of file, by a name each; the ending is the file's."""
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")

Rows = Sequence[Sequence[str]]


def saved(rows: Rows, kind: str) -> bytes:
    """A table as it is saved, with numbers made of what looks like one.

    Args:
        rows: its cells, the head first.
        kind: one of :data:`KINDS`.
    """
    damaged = [[_seen(cell) for cell in row] for row in rows]
    name, _, ending = kind.partition(".")
    if ending == "xlsx":
        return _xlsx(damaged)
    if ending == "ods":
        lines = ("".join(map(_ods_cell, row)) for row in damaged)
        told = "".join(f"<table:table-row>{line}</table:table-row>" for line in lines)
        return ods(f'<table:table table:name="unclear">{told}</table:table>')
    separator = {"semicolon": ";", "sep": ";", "old": ";", "tab": "\t"}.get(name, ",")
    out = io.StringIO(newline="")
    out.write("sep=;\r\n" if name == "sep" else "")
    csv.writer(out, delimiter=separator).writerows(damaged)
    encoding = {"utf-16": "utf-16", "old": "cp1252", "tab": "utf-8"}.get(name, "utf-8-sig")
    return out.getvalue().encode(encoding, "replace")


def _seen(cell: str) -> str:
    """A cell after a spreadsheet has seen it: 03 is the number 3, and 1.50 is 1.5."""
    if not _NUMBER.fullmatch(cell):
        return cell
    return f"{float(cell):g}"


def _xlsx(rows: Rows) -> bytes:
    book = openpyxl.Workbook()
    for row in rows:
        cells = (ILLEGAL_CHARACTERS_RE.sub("", cell) for cell in row)
        book.active.append([float(c) if _NUMBER.fullmatch(c) else c for c in cells])
    for row in book.active:
        for cell in row:
            if cell.data_type == "f":
                cell.data_type = "s"
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


def _ods_cell(text: str) -> str:
    inner = f"<text:p>{escape(text)}</text:p>" if text else ""
    number = f'office:value-type="float" office:value="{text}"'
    kind = number if _NUMBER.fullmatch(text) else 'office:value-type="string"'
    return f"<table:table-cell {kind}>{inner}</table:table-cell>"
