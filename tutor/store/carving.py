"""Rows read straight off the pages of a damaged database file.

SQLite gives up a whole table where one page of it is broken.  The pages that are whole still
hold their rows; here they are read one by one as the file format describes them
(https://sqlite.org/fileformat2.html sections 1.6, 2.1 and 4.2), and everything that does not
fit is passed over.  Nothing here trusts what it reads: it may be any bytes at all.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

Value = int | float | str | bytes | None

_TABLE_LEAF, _INDEX_LEAF = 0x0D, 0x0A
_SIZES = (4096, 1024, 2048, 8192, 16384, 32768, 65536, 512)
_LOG_MAGIC = (b"\x37\x7f\x06\x82", b"\x37\x7f\x06\x83")
_LOG_HEADER, _FRAME_HEADER = 32, 24
_MOST_COLUMNS = 32


def rows(path: Path) -> Iterator[tuple[int, list[Value]]]:
    """Every row that can be read from a file and from the log beside it, oldest copy first.

    Yields the row's number (−1 in a table without numbers) and its columns; a column that is
    the row's number reads as None.

    Raises:
        OSError: the file cannot be read.
    """
    size = page_size(path)
    with path.open("rb") as file:
        first = True
        while len(page := file.read(size)) > 8:
            yield from _page(page, 100 if first else 0)
            first = False
    log = path.with_name(f"{path.name}-wal")
    if not log.exists():
        return
    with log.open("rb") as file:
        header = file.read(_LOG_HEADER)
        told = int.from_bytes(header[8:12], "big")
        size = told if header[:4] in _LOG_MAGIC and told in _SIZES else size
        while len(frame := file.read(_FRAME_HEADER + size)) > _FRAME_HEADER + 8:
            page = frame[_FRAME_HEADER:]
            yield from _page(page, 100 if page.startswith(b"SQLite format 3\x00") else 0)


def page_size(path: Path) -> int:
    """The size of the file's pages in bytes; the usual one where its header is broken.

    Raises:
        OSError: the file cannot be read.
    """
    with path.open("rb") as file:
        header = file.read(100)
    told = int.from_bytes(header[16:18], "big")
    told = 65536 if told == 1 else told
    return told if told in _SIZES else _SIZES[0]


def _page(page: bytes, start: int) -> Iterator[tuple[int, list[Value]]]:
    if start >= len(page) or page[start] not in (_TABLE_LEAF, _INDEX_LEAF):
        return
    numbered = page[start] == _TABLE_LEAF
    cells = int.from_bytes(page[start + 3 : start + 5], "big")
    pointers = start + 8
    for i in range(min(cells, len(page) // 4)):
        at = int.from_bytes(page[pointers + 2 * i : pointers + 2 * i + 2], "big")
        if not pointers < at < len(page):
            continue
        found = _cell(page, at, numbered)
        if found is not None:
            yield found


def _cell(page: bytes, at: int, numbered: bool) -> tuple[int, list[Value]] | None:
    try:
        length, at = _varint(page, at)
        number = -1
        if numbered:
            number, at = _varint(page, at)
        if at + length > len(page):  # the rest lies on other pages: too long for an event
            return None
        return number, _columns(page[at : at + length])
    except (IndexError, ValueError):
        return None


def _columns(record: bytes) -> list[Value]:
    end, at = _varint(record, 0)
    if end > len(record):
        raise ValueError("the record is cut off")
    kinds = []
    while at < end:
        kind, at = _varint(record, at)
        kinds.append(kind)
        if len(kinds) > _MOST_COLUMNS:
            raise ValueError("too many columns")
    found: list[Value] = []
    for kind in kinds:
        length = _length(kind)
        piece = record[at : at + length]
        if len(piece) < length:
            raise ValueError("the record is cut off")
        found.append(_value(kind, piece))
        at += length
    return found


def _length(kind: int) -> int:
    if kind >= 12:
        return (kind - 12) // 2
    lengths = (0, 1, 2, 3, 4, 6, 8, 8, 0, 0)
    return lengths[kind]  # 10 and 11 are never written: an IndexError


def _value(kind: int, piece: bytes) -> Value:
    if kind == 0:
        return None
    if kind in (8, 9):
        return kind - 8
    if kind == 7:
        from struct import unpack

        return float(unpack(">d", piece)[0])
    if kind < 7:
        return int.from_bytes(piece, "big", signed=True)
    return piece.decode("utf-8") if kind % 2 else piece


def _varint(data: bytes, at: int) -> tuple[int, int]:
    """A whole number of one to nine bytes, and where it ends."""
    value = 0
    for i in range(8):
        byte = data[at + i]
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            return value, at + i + 1
    value = value << 8 | data[at + 8]
    return value - (1 << 64 if value >= 1 << 63 else 0), at + 9
