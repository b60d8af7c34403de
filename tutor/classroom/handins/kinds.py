"""What a file is: by its first bytes, whatever it is called; by its ending where they don't tell.

Signatures are those that the formats' own specifications give (PNG 3rd edition, 5.2; PDF 32000-1,
7.5.2; ISO/IEC 14496-12, 4.3; APPNOTE.TXT; and so on).
"""

from __future__ import annotations

import re
from enum import StrEnum

HEAD = 4096
"""Bytes of a file that are looked at to find out what it is."""


class FileKind(StrEnum):
    """Kinds of files, as far as they matter for hand-ins."""

    TABLE = "table"  # answers.csv or answers.json, by its ending
    PLAIN = "plain"  # plain text of any name, which may be answers
    ZIP = "zip"  # an archive or a workbook
    EMPTY = "empty"
    PICTURE = "picture"
    PDF = "pdf"
    TEXT = "text"
    OLD_BOOK = "old_book"  # a workbook from before XLSX, or one that is locked
    BOOK = "book"  # called a workbook, and none inside
    ARCHIVE = "archive"  # of a kind that is not opened
    FILM = "film"
    OTHER = "other"


_ENDINGS = {
    f".{ending}": kind
    for kind, endings in {
        FileKind.TABLE: "csv json",
        FileKind.PLAIN: "tsv tab txt text",
        FileKind.PICTURE: "bmp gif heic heif jfif jpeg jpg png svg tif tiff webp avif",
        FileKind.PDF: "pdf",
        FileKind.TEXT: "doc docx htm html md odt pages rtf tex ppt pptx odp",
        FileKind.OLD_BOOK: "numbers xls xlsb",
        FileKind.BOOK: "ods xlsm xlsx",
        FileKind.ZIP: "zip",
        FileKind.ARCHIVE: "7z bz2 gz rar tar tgz xz",
        FileKind.FILM: "mov mp4 m4v avi webm",
    }.items()
    for ending in endings.split()
}
_SIGNATURES = (
    (b"PK\x03\x04", FileKind.ZIP),
    (b"PK\x05\x06", FileKind.ZIP),  # without a file in it
    (b"%PDF-", FileKind.PDF),
    (b"\x89PNG\r\n\x1a\n", FileKind.PICTURE),
    (b"\xff\xd8\xff", FileKind.PICTURE),
    (b"GIF8", FileKind.PICTURE),
    (b"II*\0", FileKind.PICTURE),
    (b"MM\0*", FileKind.PICTURE),
    (b"{\\rtf", FileKind.TEXT),
    (b"7z\xbc\xaf\x27\x1c", FileKind.ARCHIVE),
    (b"Rar!\x1a\x07", FileKind.ARCHIVE),
    (b"\x1f\x8b\x08", FileKind.ARCHIVE),
    (b"BZh", FileKind.ARCHIVE),
    (b"\xfd7zXZ\0", FileKind.ARCHIVE),
)
_COMPOUND = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
"""What older office programs save, and newer ones where a document is locked."""
_PICTURES = (b"heic", b"heix", b"hevc", b"mif1", b"msf1", b"avif", b"avis")
_MARKUP = re.compile(rb"\s*<(?:!doctype|html|\?xml|svg)", re.IGNORECASE)
_OURS = re.compile(
    rb'(?:\xef\xbb\xbf)?\s*\{\s*"format":\s*"rungwise\.(?!answers/)([a-z]{1,20})/\d{1,4}"'
)


def kind_of(ending: str, head: bytes) -> FileKind:
    """The kind of a file, by its ``ending`` (".csv", "") and ``head``, its :data:`HEAD` bytes."""
    named = _ENDINGS.get(ending.casefold(), FileKind.OTHER)
    if not head:
        return FileKind.EMPTY
    for signature, kind in _SIGNATURES:
        if head.startswith(signature):
            return kind
    if head.startswith(_COMPOUND):
        return FileKind.TEXT if named is FileKind.TEXT else FileKind.OLD_BOOK
    if head[4:8] == b"ftyp":
        return FileKind.PICTURE if head[8:12] in _PICTURES else FileKind.FILM
    if head.startswith(b"RIFF"):
        return FileKind.PICTURE if head[8:12] == b"WEBP" else FileKind.FILM
    if named in (FileKind.TABLE, FileKind.ZIP):
        return named
    if _MARKUP.match(head):
        return FileKind.PICTURE if b"<svg" in head[:1000] else FileKind.TEXT
    if named in (FileKind.PLAIN, FileKind.BOOK, FileKind.OTHER) and _is_text(head):
        return FileKind.PLAIN if named is FileKind.OTHER else named
    return named if named is not FileKind.PLAIN else FileKind.OTHER


def _is_text(head: bytes) -> bool:
    """Whether bytes can be text; every other byte of UTF-16 may be zero."""
    if head[:2] in (b"\xff\xfe", b"\xfe\xff") or head[1:2] == b"\0" or head[:1] == b"\0":
        return head.count(b"\0") <= len(head) // 2 + 1
    return b"\0" not in head


def ours(head: bytes) -> str:
    """Which document of ours that is no hand-in has this ``head``: "sheet", "key"; "" for none."""
    match = _OURS.match(head)
    return match[1].decode() if match else ""
