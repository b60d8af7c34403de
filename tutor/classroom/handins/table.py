"""Tables that come back from spreadsheets: bytes → text → rows, whatever saved them."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator

from ...language.texts import speaker

SEPARATORS = ",;\t"


class BadTable(ValueError):  # noqa: N818 - the name says what is wrong
    """Bytes that are no table; says what is wrong, and what mends it."""

    def __init__(self, what: str, remedy: str) -> None:
        super().__init__(f"{what}; {remedy}")
        self.what = what
        self.remedy = remedy


_say = speaker("handins")


def refused(key: str, /, **values: object) -> BadTable:
    """What is wrong with a file, in the words of ``content/handins.toml``.

    Args:
        key: the table there, with a ``what`` and a ``remedy``.
        values: what stands for the placeholders in them.
    """
    return BadTable(_say(f"{key}.what", **values), _say(f"{key}.remedy", **values))


def decoded(data: bytes, most: int) -> tuple[str, list[str]]:
    """The text of the bytes ``data``, ``most`` of them, and what had to be guessed about it.

    Raises:
        BadTable: it is too long, or in no known encoding.
    """
    if len(data) > most:
        raise refused("table.long", most=most)
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        encoding = "utf-16"
    elif data[1:2] == b"\0":
        encoding = "utf-16-le"
    elif data[:1] == b"\0":
        encoding = "utf-16-be"
    else:
        encoding = "utf-8-sig"
    try:
        return data.decode(encoding), []
    except UnicodeDecodeError:
        if encoding != "utf-8-sig" or b"\0" in data:
            raise refused("table.encoding") from None
    # What older spreadsheets save where letters are Latin.  µ, ° and · are the same there in
    # all of Windows' single-byte encodings.
    return data.decode("cp1252", "replace"), [_say("note.encoding")]


def rows(text: str, most: int) -> tuple[Iterator[list[str]], str]:
    """The rows of a ``text`` that are not empty, ``most`` at most, and what separates their cells.

    Raises:
        BadTable: while the rows are taken: one is no row of a table, or there are too many.
    """
    first, _, rest = text.partition("\n")
    declared = re.fullmatch(r"sep=([,;\t])\r?", first, re.IGNORECASE)
    if declared:  # a line for one spreadsheet, which says what separates the cells
        return _rows(rest, declared[1], most), declared[1]
    separator = _separator(text)
    return _rows(text, separator, most), separator


def _separator(text: str) -> str:
    """What separates the cells: what the first line that holds any has most of."""
    for line in text[:4096].splitlines():
        if any(sign in line for sign in SEPARATORS):
            return max(SEPARATORS, key=line.count)
    return ","


def _rows(text: str, separator: str, most: int) -> Iterator[list[str]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    count = 0
    try:
        for cells in reader:
            if not any(map(str.strip, cells)):
                continue
            count += 1
            if count > most:
                raise refused("table.rows", most=most)
            yield cells
    except csv.Error as error:
        raise refused("table.row", line=reader.line_num, why=error) from None
