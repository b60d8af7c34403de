"""A file that came back, opened: the hand-in that it is, or those of an archive, one by one.

Content decides what a file is, whatever it is called.  Files in an archive are looked at like
those of a folder of its name; they are never written to a disk.  An archive may lie in another
one, as what a student packed does in what a course system packs; deeper ones are not opened.
"""

from __future__ import annotations

import io
import os
from collections import Counter
from collections.abc import Iterator
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, replace
from datetime import datetime
from hashlib import sha256
from typing import BinaryIO, Protocol

from ...language.texts import speaker
from ..handins.cells import one_line
from ..handins.files import MOST_BYTES, Answers, read_book, read_csv, read_json
from ..handins.kinds import HEAD, FileKind, kind_of, ours
from ..handins.table import BadTable, refused
from ..handins.unzip import BoundedZip, ZipMember, check_name
from ..handins.workbook import MOST_BYTES as MOST_BOOK
from ..handins.workbook import kind_of_archive, read_workbook_file
from .hand_in import FileFate, HandIn, TimeSource

MOST_INNER = 64 * 1024 * 1024
"""Longest archive within an archive: it is held while its files are read."""
MOST_SHEET = 64 * 1024 * 1024
"""Longest file that may be just the sheet that its student was given."""
MOST_NESTED = 2
"""Archives within each other that are opened."""
SHEETS = ("sheet.pdf", "sheet.html", "sheet.txt")
"""Names of the sheet's pages as they are given to students."""
_say = speaker("handins")
_LITTER = ("__macosx", "thumbs.db", "desktop.ini")
_BOOKS = {"xlsx", "ods"}
_TEXTS = {"docx", "pptx", "odt"}


class CameFile(Protocol):
    """A file of the folder, or of an archive in it."""

    @property
    def path(self) -> str:
        """Its path inside the folder, as it stands there: hostile text."""

    @property
    def when(self) -> datetime | None:
        """When it was last changed, in local time; ``None`` where nothing says so."""

    @property
    def known_by(self) -> TimeSource:
        """What says when."""

    @property
    def depth(self) -> int:
        """How many archives it lies in."""

    def head(self) -> bytes:
        """Its first bytes; errors are those of :meth:`data`."""

    def data(self, most: int) -> bytes:
        """All of it, if it has no more than ``most`` bytes.

        Raises:
            BadTable: it can't be read, or is longer.
            OSError: it can't be opened.
        """

    def stream(self) -> AbstractContextManager[BinaryIO]:
        """It as a file to be sought in; errors are those of :meth:`data`."""


@dataclass(frozen=True, slots=True)
class ZippedFile:
    """A file in an archive; ``path`` is that of the archive and its own in it."""

    path: str
    when: datetime | None
    depth: int
    archive: BoundedZip
    member: ZipMember
    known_by: TimeSource = TimeSource.ARCHIVE

    def head(self) -> bytes:
        """Its first bytes."""
        return self.archive.head(self.member, HEAD)

    def data(self, most: int) -> bytes:
        """All of it."""
        return self.archive.read(self.member, most)

    def stream(self) -> AbstractContextManager[BinaryIO]:
        """It as a file to be sought in."""
        return nullcontext(io.BytesIO(self.archive.read(self.member, MOST_INNER)))


def hand_ins_of(came: CameFile) -> Iterator[HandIn]:
    """What a file is: one hand-in, read or not; of an archive, itself and all of its files."""
    try:
        yield from _opened(came)
    except OSError as error:
        yield not_opened(came.path, error)
    except BadTable as error:
        yield _timed(came, refused_file(came.path, error))


def is_litter(name: str) -> bool:
    """Whether a ``name`` is what systems and office programs leave behind, or our own work."""
    return name.startswith((".", "~$")) or name.casefold() in _LITTER


def system_file(path: str) -> HandIn:
    """What a system left behind at a ``path``."""
    return HandIn(*named(path), fate=FileFate.SYSTEM)


def refused_file(path: str, error: BadTable) -> HandIn:
    """The file at a ``path`` that can't be read because of an ``error``."""
    return HandIn(*named(path), what=error.what, remedy=error.remedy)


def not_opened(path: str, error: OSError) -> HandIn:
    """The file at a ``path`` that the system does not open for the reason of an ``error``."""
    return refused_file(path, refused("file.closed", why=(error.strerror or str(error)).lower()))


def read_hand_in(path: str, data: bytes, ending: str) -> HandIn:
    """The hand-in in the ``data`` of the file at ``path``; ``ending`` is ".csv" or ".json"."""
    try:
        return HandIn(*named(path), answers=_answers(data, ending))
    except BadTable as error:
        return refused_file(path, error)


def named(path: str) -> tuple[bytes, str]:
    """A ``path`` as bytes, and as text that can be shown."""
    raw = os.fsencode(path)
    return raw, one_line(raw.decode("utf-8", "replace"))


def _opened(came: CameFile) -> Iterator[HandIn]:
    ending = os.path.splitext(came.path)[1]
    head = came.head()
    kind = kind_of(ending, head)
    if kind is FileKind.ZIP:
        yield from _zip(came)
    elif kind is FileKind.EMPTY:
        raise refused("file.empty")
    elif kind is FileKind.BOOK:
        yield _timed(came, _book_in_name_only(came))
    elif kind not in (FileKind.TABLE, FileKind.PLAIN):
        yield _unread(came, kind)
    elif document := ours(head):
        yield HandIn(*named(came.path), what=document, fate=FileFate.OURS)
    elif kind is FileKind.TABLE:
        data = came.data(MOST_BYTES)
        yield _timed(came, HandIn(*named(came.path), answers=_answers(data, ending)))
    else:
        yield _plain(came)


def _plain(came: CameFile) -> HandIn:
    """Plain text that is called no table: a hand-in if it reads as one."""
    try:
        answers = _answers(came.data(MOST_BYTES), "")
    except BadTable:
        kind = FileKind.TEXT if came.path.casefold().endswith(".txt") else FileKind.OTHER
        return _unread(came, kind)
    return _timed(came, HandIn(*named(came.path), answers=answers))


def _book_in_name_only(came: CameFile) -> HandIn:
    try:
        return HandIn(*named(came.path), answers=_answers(came.data(MOST_BYTES), ""))
    except BadTable:
        raise refused("workbook.damaged", why=_say("file.no_book")) from None


def _zip(came: CameFile) -> Iterator[HandIn]:
    with came.stream() as file:
        try:
            archive = BoundedZip(file)
        except BadTable as error:
            raise _as_workbook(came, error) from None
        kind = kind_of_archive(archive)
        if kind in _BOOKS:
            if file.seek(0, io.SEEK_END) > MOST_BOOK:
                raise refused("zip.long", most=MOST_BOOK)
            answers = read_book(read_workbook_file(file))
            found = HandIn(*named(came.path), answers=answers)
            if answers.blank and answers.pictures:
                found = _unread_file(came.path, "pictured")
            yield _timed(came, found)
        elif kind in _TEXTS:
            yield _unread(came, FileKind.TEXT)
        elif kind != "zip":
            yield _unread(came, FileKind.OLD_BOOK)
        elif came.depth == MOST_NESTED:
            yield replace(refused_file(came.path, refused("zip.deep")), unread=True)
        elif all(member.is_folder for member in archive.members):
            raise refused("zip.empty")
        else:
            yield HandIn(*named(came.path), fate=FileFate.OPENED)
            yield from _members(came, archive)


def _as_workbook(came: CameFile, error: BadTable) -> BadTable:
    """What is wrong with an archive that is called a workbook, in the words for one."""
    if kind_of(os.path.splitext(came.path)[1], b"?") is not FileKind.BOOK:
        return error
    return refused("workbook.unpacked", what=error.what)


def _members(came: CameFile, archive: BoundedZip) -> Iterator[HandIn]:
    times: Counter[str] = Counter()
    for member in archive.members:
        if member.is_folder:
            continue
        times[member.name] += 1
        again = f" [{times[member.name]}]" if times[member.name] > 1 else ""
        path = f"{came.path}/{member.name}{again}"
        if any(map(is_litter, member.name.split("/"))) and ".." not in member.name:
            yield system_file(path)
            continue
        try:
            check_name(member.name)
        except BadTable as error:
            yield refused_file(path, error)
            continue
        yield from hand_ins_of(ZippedFile(path, member.when, came.depth + 1, archive, member))


def _unread(came: CameFile, kind: FileKind) -> HandIn:
    """A file of a kind that is not read."""
    digest = ""
    if came.path.rpartition("/")[2] in SHEETS:
        digest = sha256(came.data(MOST_SHEET)).hexdigest()
    return _timed(came, replace(_unread_file(came.path, kind.value), digest=digest))


def _unread_file(path: str, kind: str) -> HandIn:
    return replace(refused_file(path, refused(f"unread.{kind}")), unread=True)


def _timed(came: CameFile, found: HandIn) -> HandIn:
    """A hand-in with the time it was made: what it says itself goes before what its file says."""
    saved = found.answers.saved if found.answers else None
    if saved is not None:
        local = saved.astimezone().replace(tzinfo=None) if saved.tzinfo else saved
        return replace(found, when=local, known_by=TimeSource.SAYS)
    return replace(found, when=came.when, known_by=came.known_by)


def _answers(data: bytes, ending: str) -> Answers:
    """What a file says; its content tells a table from a document, whatever it is called."""
    if data[:64].lstrip(b"\xef\xbb\xbf\xff\xfe\0 \t\r\n")[:1] == b"{":
        return read_json(data)
    try:
        return read_csv(data)
    except BadTable:
        return read_json(data) if ending.casefold() == ".json" else read_csv(data)
