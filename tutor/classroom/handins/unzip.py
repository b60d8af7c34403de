"""Zip archives read in memory and within bounds, whatever their directories say.

Nothing of an archive is ever written to a disk, and a name in it is only shown.  Its directory is
a claim: how long a file is, is found out while it is unpacked, piece by piece, and what grows
beyond its bound is let go of.  Only stored and deflated files are unpacked, since the other
methods of the standard library unpack without a bound.
"""

from __future__ import annotations

import io
import re
import stat
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from typing import BinaryIO

from ...language.texts import speaker
from .cells import one_line
from .table import BadTable, refused

MOST_MEMBERS = 20_000
MOST_DIRECTORY = 2 * 1024 * 1024
"""Bytes of a directory, which the standard library reads at once."""
MOST_TOTAL = 512 * 1024 * 1024
"""Bytes that are unpacked of an archive in all, one file at a time."""
MOST_RATIO = 200
"""How many times its packed size a file may have.  Tables of a spreadsheet have 5 to 50 times."""
FREE = 256 * 1024
"""Bytes that any file may have, however well it is packed."""
_say = speaker("handins", "zip.")
_PIECE = 64 * 1024
_HEADER = 30
"""Bytes before the name of a file in an archive (APPNOTE.TXT, 4.3.7)."""
_UTF_8, _LOCKED = 0x800, 0x1 | 0x40 | 0x2000
_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_ABSOLUTE = re.compile(r"/|[A-Za-z]:")


@dataclass(frozen=True, slots=True)
class ZipMember:
    """A file in an archive.

    Attributes:
        name: its path there, with "/" between folders, as it stands there: hostile text.
        when: when it was last changed, by the clock of whoever packed it; ``None`` where the
            archive does not say.
        info: what the standard library opens it by.
    """

    name: str
    when: datetime | None
    info: zipfile.ZipInfo

    @property
    def is_folder(self) -> bool:
        """Whether it is only a folder's name."""
        return self.name.endswith("/")


class BoundedZip:
    """An archive to be read.

    Args:
        file: its bytes; they are sought in, and never all read at once.
        most_total: bytes that may be unpacked of it in all.

    Raises:
        BadTable: it is none, or one that is made to do harm; says what mends it.
    """

    def __init__(self, file: BinaryIO, most_total: int = MOST_TOTAL) -> None:
        self.unpacked = 0
        """Bytes that were unpacked so far."""
        self._most_total = most_total
        with _told():
            self._length = file.seek(0, io.SEEK_END)
            self._zip = zipfile.ZipFile(_Careful(file))
            infos = self._zip.infolist()
        if len(infos) > MOST_MEMBERS:
            raise refused("zip.members", most=MOST_MEMBERS)
        self._check_places(infos)
        self.members = tuple(ZipMember(_name(info), _when(info), info) for info in infos)

    def _check_places(self, infos: list[zipfile.ZipInfo]) -> None:
        """Refuse files that share bytes: so a small archive unpacks to any size."""
        end = 0
        for info in sorted(infos, key=lambda info: info.header_offset):
            if info.header_offset < end:
                raise refused("zip.overlapping")
            end = info.header_offset + _HEADER + info.compress_size
        if end > self._length:
            raise refused("zip.damaged", why=_say("cut_short"))

    def head(self, member: ZipMember, size: int = 4096) -> bytes:
        """The first bytes of a ``member``, ``size`` of them at most.

        Raises:
            BadTable: it can't be read; says what mends it.
        """
        _check(member)
        with _told(), self._zip.open(member.info) as file:
            return file.read(size)

    def read(self, member: ZipMember, most: int) -> bytes:
        """The whole of a ``member``, which may have ``most`` bytes.

        Raises:
            BadTable: it can't be read, is longer, or is made to do harm; says what mends it.
        """
        _check(member)
        by_ratio = max(FREE, MOST_RATIO * member.info.compress_size)
        pieces, size = list[bytes](), 0
        with _told(), self._zip.open(member.info) as file:
            while piece := file.read(_PIECE):
                size += len(piece)
                self.unpacked += len(piece)
                if size > by_ratio:
                    raise refused("zip.ratio", most=MOST_RATIO)
                if size > most:
                    raise refused("zip.long", most=most)
                if self.unpacked > self._most_total:
                    raise refused("zip.long", most=self._most_total)
                pieces.append(piece)
        return b"".join(pieces)

    def saved(self, name: str, pattern: re.Pattern[bytes]) -> datetime | None:
        """When the archive was last saved: what a ``pattern`` finds in its file of a ``name``.

        ``None`` where it does not say.
        """
        for member in self.members:
            if member.name == name:
                try:
                    found = pattern.search(self.read(member, 65_536))
                    return datetime.fromisoformat(found[1].decode()) if found else None
                except (BadTable, ValueError):
                    return None  # an unreadable time is none, and the cells count
        return None


def check_name(name: str) -> None:
    """Refuse a ``name`` that leads out of its archive.

    Raises:
        BadTable: it does.
    """
    if _ABSOLUTE.match(name) or ".." in name.split("/"):
        raise refused("zip.path")


def _check(member: ZipMember) -> None:
    info = member.info
    if info.flag_bits & _LOCKED:
        raise refused("zip.locked")
    if info.compress_type not in _METHODS:
        raise refused("zip.method")
    if stat.S_ISLNK(info.external_attr >> 16):
        raise refused("zip.link")
    check_name(member.name)


def _name(info: zipfile.ZipInfo) -> str:
    name = info.filename
    if not info.flag_bits & _UTF_8:
        with suppress(UnicodeError):  # what some systems pack in UTF-8 without saying so
            name = name.encode("cp437").decode("utf-8")
    return name.replace("\\", "/")


def _when(info: zipfile.ZipInfo) -> datetime | None:
    if info.date_time[:3] <= (1980, 1, 1):  # what stands there where no time was known
        return None
    try:
        return datetime(*info.date_time)
    except ValueError:
        return None


@contextmanager
def _told() -> Iterator[None]:
    """Whatever a damaged archive makes the standard library raise, as a reason and a remedy."""
    try:
        yield
    except BadTable:
        raise
    except EOFError:
        raise refused("zip.damaged", why=_say("cut_short")) from None
    except (zipfile.BadZipFile, zlib.error) as error:
        why = _say("no_end") if "not a zip file" in str(error) else one_line(str(error))[:100]
        raise refused("zip.damaged", why=why) from None
    except Exception as error:  # fields that lie reach struct, seek, decode and others
        raise refused("zip.damaged", why=type(error).__name__) from None


class _Careful:
    """A file of which no more is read at once than a directory may have."""

    def __init__(self, file: BinaryIO) -> None:
        self._file = file
        self.seek, self.tell = file.seek, file.tell

    def read(self, size: int = -1) -> bytes:
        if size > MOST_DIRECTORY:
            raise refused("zip.directory")
        found = self._file.read(size if size >= 0 else MOST_DIRECTORY + 1)
        if len(found) > MOST_DIRECTORY:
            raise refused("zip.directory")
        return found

    def seekable(self) -> bool:
        return True
