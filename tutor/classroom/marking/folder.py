"""The folder of hand-ins, as it came back: every file in it, whatever it is.

What students send is looked at, never followed: links, pipes, sockets and devices are not opened,
and names are only shown.  What a file is, ``opened.py`` finds out.  The walk keeps nothing, so
that a hundred thousand files need no more memory than ten.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import BinaryIO

from ..handins.kinds import HEAD
from ..handins.table import BadTable, refused
from .hand_in import HandIn, TimeSource
from .opened import hand_ins_of, is_litter, not_opened, refused_file, system_file

MOST_DEPTH = 8
"""Folders within folders; what lies deeper is listed apart."""
_OPEN = (
    os.O_RDONLY
    | getattr(os, "O_NOFOLLOW", 0)
    | getattr(os, "O_NONBLOCK", 0)
    | getattr(os, "O_CLOEXEC", 0)
    | getattr(os, "O_NOCTTY", 0)
    | getattr(os, "O_BINARY", 0)
)


def hand_ins(folder: Path, leave: Collection[Path] = ()) -> Iterator[HandIn]:
    """Every file below a folder, in any order: a hand-in, or what else it is.

    Files of other kinds (a photograph of a page, say) are among them, unread; so is what systems
    leave behind, a folder of theirs as a whole, and so are documents of Rungwise that are no
    hand-ins, such as a sheet.  Archives are among them, each with its files behind it.

    Args:
        folder: where to look.
        leave: folders below it that are not looked into.

    Raises:
        OSError: the folder itself can't be opened.
    """
    left = {(known.st_dev, known.st_ino) for known in _known(leave)}
    stack = [(os.scandir(folder), "", 0)]
    try:
        while stack:
            listing, above, depth = stack[-1]
            entry = next(listing, None)
            if entry is None:
                stack.pop()[0].close()
                continue
            path = f"{above}{entry.name}"
            if is_litter(entry.name):
                yield system_file(path)
                continue
            try:
                inner = entry.is_dir(follow_symlinks=False)
                if inner and not _is_link(entry):
                    known = entry.stat(follow_symlinks=False)
                    if (known.st_dev, known.st_ino) in left:
                        continue
                    if depth == MOST_DEPTH:
                        yield refused_file(path, refused("file.deep"))
                        continue
                    stack.append((os.scandir(entry.path), f"{path}/", depth + 1))
                    continue
            except OSError as error:
                yield not_opened(path, error)
                continue
            yield from _hand_ins(entry, path)
    finally:
        for listing, _, _ in stack:
            listing.close()


def _known(folders: Collection[Path]) -> Iterator[os.stat_result]:
    for folder in folders:
        try:
            yield folder.stat()
        except OSError:
            continue  # what is not there need not be left out


def _is_link(entry: os.DirEntry[str]) -> bool:
    is_junction = getattr(entry, "is_junction", None)  # Windows, from Python 3.12
    return entry.is_symlink() or bool(is_junction and is_junction())


@dataclass(frozen=True, slots=True)
class _DiskFile:
    """A plain file of the folder."""

    place: str
    path: str
    when: datetime | None
    known_by: TimeSource = TimeSource.FILE
    depth: int = 0

    def head(self) -> bytes:
        """Its first bytes."""
        with self.stream() as file:
            return file.read(HEAD)

    def data(self, most: int) -> bytes:
        """All of it."""
        return read_plain(self.place, most)

    @contextmanager
    def stream(self) -> Iterator[BinaryIO]:
        """It as a file to be sought in."""
        with _plain(self.place) as file:
            yield file


def _hand_ins(entry: os.DirEntry[str], path: str) -> Iterator[HandIn]:
    if _is_link(entry):
        yield refused_file(path, refused("zip.link"))
        return
    try:
        if not entry.is_file(follow_symlinks=False):  # opening a device may already do something
            raise refused("file.special")
        changed = entry.stat(follow_symlinks=False).st_mtime
    except OSError as error:
        yield not_opened(path, error)
    except BadTable as error:
        yield refused_file(path, error)
    else:
        yield from hand_ins_of(_DiskFile(entry.path, path, _local(changed)))


def _local(seconds: float) -> datetime | None:
    try:
        return datetime.fromtimestamp(seconds)
    except (OverflowError, ValueError, OSError):
        return None  # a time that no calendar has


@contextmanager
def _plain(path: str | Path) -> Iterator[BinaryIO]:
    """The plain file at a path, and nothing else, opened."""
    handle = os.open(path, _OPEN)
    with open(handle, "rb", buffering=0) as file:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise refused("file.special")
        yield file


def read_plain(path: str | Path, most: int) -> bytes:
    """The bytes of the plain file at ``path``, ``most`` of them, and of nothing else.

    Raises:
        OSError: it can't be opened; a link can't.
        BadTable: it is not a plain file, or a longer one.
    """
    with _plain(path) as file:
        pieces, size = list[bytes](), 0
        while size <= most and (piece := file.read(most + 1 - size)):
            pieces.append(piece)
            size += len(piece)
    if size > most:
        raise refused("file.long", most=most)
    return b"".join(pieces)
