"""A file that came back, and what happens to it: every one of them has a fate."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from ..handins.files import Answers


class FileFate(StrEnum):
    """What became of a file.  Every file that is looked at has exactly one."""

    COUNTS = "counts"  # the hand-in that is marked
    ALIKE = "alike"  # says the same as the one that is marked
    BLANK = "blank"  # a hand-in without an answer
    OLDER = "older"  # a newer one counts
    LATE = "late"  # came too late to be marked
    APART = "apart"  # could be a hand-in, and is not marked for a reason
    UNREAD = "unread"  # of a kind that is not read
    GIVEN = "given"  # just the sheet as the student was given it
    OURS = "ours"  # another document of Rungwise
    OPENED = "opened"  # an archive, whose files are accounted for each
    SYSTEM = "system"  # what systems and office programs leave behind


class TimeSource(StrEnum):
    """By what it is known when a hand-in was made."""

    SAYS = "says"  # it says so itself
    ARCHIVE = "archive"  # the archive that it came in does
    FILE = "file"  # its file does, which a copy may have lost


@dataclass(frozen=True, slots=True)
class HandIn:
    """A file that may be a hand-in.

    Attributes:
        path: the bytes of its path inside the folder, which order files and tell them apart.
        file: the same as text to be shown.
        answers: what it says, if it could be read.
        what: why it could not be, and ``remedy`` what mends that.
        unread: whether it is of a kind that is never read, so that a human has to look at it.
        fate: what became of it where that is known already: it is none of anybody's.
        when: when it was made, in local time, by ``known_by``; ``None`` where nothing says so.
        known_by: what says so.
        digest: SHA-256 of a file that is not read and may be just the sheet; "" of others.
    """

    path: bytes
    file: str
    answers: Answers | None = None
    what: str = ""
    remedy: str = ""
    unread: bool = False
    fate: FileFate | None = None
    when: datetime | None = None
    known_by: TimeSource = TimeSource.FILE
    digest: str = ""

    @property
    def name(self) -> str:
        """Its own name, without folders."""
        return self.file.rpartition("/")[2]

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the folders it lies in, and its own without its ending, innermost first.

        An archive is a folder of the name before its ending.
        """
        *folders, name = self.file.split("/")
        stem, dot, _ = name.rpartition(".")
        return (stem if dot else name, *map(_without_zip, reversed(folders)))


def _without_zip(folder: str) -> str:
    return folder[:-4] if folder[-4:].casefold() == ".zip" else folder
