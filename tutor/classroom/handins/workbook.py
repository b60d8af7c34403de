"""Workbooks as tables of texts, whichever spreadsheet saved them: XLSX and ODS.

Bytes come in and nothing is trusted: :data:`MOST_BYTES` as they are, and of what they unpack to,
of rows, columns and elements no more than the readers' bounds.  A workbook of another kind, a
damaged one, one that is locked or made to do harm is refused with a reason and a remedy.
"""

from __future__ import annotations

import io
from typing import BinaryIO

from .ods import read_ods
from .table import BadTable, refused
from .unzip import BoundedZip
from .workbook_cells import Workbook, WorkbookRow

MOST_BYTES = 16 * 1024 * 1024
"""Longest workbook that is read; a pasted photograph or two find room in it."""
MOST_UNPACKED = 48 * 1024 * 1024
"""Bytes that are unpacked of one, in all its parts."""
ZIP = b"PK\x03\x04"
"""How an archive begins, and so every workbook that is read."""
_ODS = b"application/vnd.oasis.opendocument.spreadsheet"


def is_workbook(data: bytes) -> bool:
    """Whether ``data`` may be a workbook, as it begins; a table that is plain text never is."""
    return data.startswith(ZIP)


def kind_of_archive(archive: BoundedZip) -> str:
    """What an ``archive`` is: "xlsx", "ods", another document's ending, or "zip"."""
    names = {member.name for member in archive.members}
    if "[Content_Types].xml" in names:
        folders = {name.partition("/")[0] for name in names}
        if "xl" in folders:
            return "xlsb" if "xl/workbook.bin" in names else "xlsx"
        return "docx" if "word" in folders else "pptx" if "ppt" in folders else "zip"
    if "mimetype" in names and "content.xml" in names:
        found = next(m for m in archive.members if m.name == "mimetype")
        try:
            said = archive.head(found, 100).strip()
        except BadTable:
            return "ods"  # it is read, and says what is wrong with it
        return "ods" if said.startswith(_ODS) else "odt"
    if any(name.startswith("Index/") and name.endswith(".iwa") for name in names):
        return "numbers"
    return "zip"


def read_workbook(data: bytes) -> Workbook:
    """Read the bytes of a workbook.

    Raises:
        BadTable: it can't be read; says what is wrong with it and what mends it.
    """
    if len(data) > MOST_BYTES:
        raise refused("zip.long", most=MOST_BYTES)
    return read_workbook_file(io.BytesIO(data))


def read_workbook_file(file: BinaryIO) -> Workbook:
    """Read a workbook from an open file, as :func:`read_workbook` reads bytes.

    Raises:
        BadTable: it can't be read; says what is wrong with it and what mends it.
    """
    archive = BoundedZip(file, MOST_UNPACKED)
    match kind_of_archive(archive):
        case "xlsx":
            # 150 ms to import, which nobody waits for who sends plain tables.
            from .xlsx import read_xlsx

            return read_xlsx(archive)
        case "ods":
            return read_ods(archive)
    raise refused("workbook.none")


def workbook_rows(data: bytes) -> tuple[WorkbookRow, ...]:
    """Of a workbook's bytes the rows of the first sheet that says anything.

    A hidden one counts only where no other does.

    Raises:
        BadTable: it can't be read; says what is wrong with it and what mends it.
    """
    book = read_workbook(data)
    filled = sorted((sheet for sheet in book.sheets if sheet.rows), key=lambda one: one.hidden)
    return filled[0].rows if filled else ()
