"""The folder of hand-ins, as it came back: every plain file that may be one.

What students send is looked at, never followed: links, pipes, sockets and devices are not opened,
and names are only shown.  The walk keeps nothing, so that a hundred thousand files need no more
memory than ten.
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path

from ..handins.cells import one_line
from ..handins.files import MOST_BYTES, Answers, read_csv, read_json
from ..handins.table import BadTable

MOST_DEPTH = 8
"""Folders within folders; what lies deeper is listed apart."""
_ENDINGS = (".csv", ".json")
_FILL_IN = "mark it by hand, or have its answers filled into the answers.csv of the sheet"
_UNPACK = "unpack it into this folder, and mark again"
_SAVE = "save it as CSV, and mark again"
_KINDS = {
    "a picture": (_FILL_IN, "bmp gif heic heif jfif jpeg jpg png svg tif tiff webp"),
    "a PDF": (_FILL_IN, "pdf"),
    "a text": (_FILL_IN, "doc docx htm html md odt pages rtf tex txt"),
    "a workbook": (_SAVE, "numbers ods tsv xls xlsm xlsx"),
    "an archive": (_UNPACK, "7z bz2 gz rar tar tgz xz zip"),
}
_KIND_OF = {
    f".{ending}": (f"it is {kind}, which is not read", remedy)
    for kind, (remedy, endings) in _KINDS.items()
    for ending in endings.split()
}
_LITTER = ("__macosx", "thumbs.db", "desktop.ini")
_OURS = re.compile(rb'\s*\{\s*"format":\s*"rungwise\.(?!answers/)[a-z]+/\d+"')
_OPEN = (
    os.O_RDONLY
    | getattr(os, "O_NOFOLLOW", 0)
    | getattr(os, "O_NONBLOCK", 0)
    | getattr(os, "O_CLOEXEC", 0)
    | getattr(os, "O_NOCTTY", 0)
    | getattr(os, "O_BINARY", 0)
)


@dataclass(frozen=True, slots=True)
class HandIn:
    """A file that may be a hand-in.

    Attributes:
        path: the bytes of its path inside the folder, which order files and tell them apart.
        file: the same as text to be shown.
        answers: what it says, if it could be read.
        what: why it could not be, and ``remedy`` what mends that.
        unread: whether it is of a kind that is never read, so that a human has to look at it.
    """

    path: bytes
    file: str
    answers: Answers | None = None
    what: str = ""
    remedy: str = ""
    unread: bool = False

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the folders it lies in, and its own without its ending, innermost first."""
        *folders, name = self.file.split("/")
        return (name.rpartition(".")[0], *reversed(folders))


def hand_ins(folder: Path, leave: Collection[Path] = ()) -> Iterator[HandIn]:
    """Every hand-in below a folder, in any order.

    Files of other kinds (a photograph of a page, say) are among them, unread.  What systems leave
    behind is passed over; so are documents of Rungwise that are no hand-ins, such as a sheet.

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
            if _is_litter(entry.name):
                continue
            try:
                inner = entry.is_dir(follow_symlinks=False)
                if inner and not _is_link(entry):
                    known = entry.stat(follow_symlinks=False)
                    if (known.st_dev, known.st_ino) in left:
                        continue
                    if depth == MOST_DEPTH:
                        yield _refused(path, "it is too many folders deep", "move it further up")
                        continue
                    stack.append((os.scandir(entry.path), f"{path}/", depth + 1))
                    continue
            except OSError as error:
                yield _refused(path, _reason(error), "make sure that you may open it")
                continue
            ending = os.path.splitext(entry.name)[1].casefold()
            found = _hand_in(entry, path, ending)
            if found:
                yield found
    finally:
        for listing, _, _ in stack:
            listing.close()


def _known(folders: Collection[Path]) -> Iterator[os.stat_result]:
    for folder in folders:
        try:
            yield folder.stat()
        except OSError:
            continue  # what is not there need not be left out


def _is_litter(name: str) -> bool:
    """What systems and office programs leave behind, and what we write ourselves."""
    return name.startswith((".", "~$")) or name.casefold() in _LITTER


def _is_link(entry: os.DirEntry[str]) -> bool:
    is_junction = getattr(entry, "is_junction", None)  # Windows, from Python 3.12
    return entry.is_symlink() or bool(is_junction and is_junction())


def _refused(path: str, what: str, remedy: str) -> HandIn:
    return HandIn(*_named(path), what=what, remedy=remedy)


def _named(path: str) -> tuple[bytes, str]:
    raw = os.fsencode(path)
    return raw, one_line(raw.decode("utf-8", "replace"))


def _hand_in(entry: os.DirEntry[str], path: str, ending: str) -> HandIn | None:
    if _is_link(entry):
        return _refused(
            path, "it is a link, and links are not followed", "put the file itself there"
        )
    try:
        if not entry.is_file(follow_symlinks=False):  # opening a device may already do something
            raise BadTable("it is not a plain file", "put a plain file there")
        if ending not in _ENDINGS:
            return _other(path, ending)
        data = read_plain(entry.path, MOST_BYTES)
    except OSError as error:
        return _refused(path, _reason(error), "make sure that you may open it")
    except BadTable as error:
        return _refused(path, error.what, error.remedy)
    if _OURS.match(data):
        return None
    return read_hand_in(path, data, ending)


def _other(path: str, ending: str) -> HandIn:
    """A file of a kind that is not read; it is not opened."""
    what, remedy = _KIND_OF.get(ending, ("it is of a kind that is not read", _FILL_IN))
    return HandIn(*_named(path), what=what, remedy=remedy, unread=True)


def read_hand_in(path: str, data: bytes, ending: str) -> HandIn:
    """The hand-in in the ``data`` of the file at ``path``; ``ending`` is ".csv" or ".json"."""
    try:
        return HandIn(*_named(path), answers=_answers(data, ending))
    except BadTable as error:
        return _refused(path, error.what, error.remedy)


def _answers(data: bytes, ending: str) -> Answers:
    """What a file says; its content tells a table from a document, whatever it is called."""
    if data[:64].lstrip(b"\xef\xbb\xbf\xff\xfe\0 \t\r\n")[:1] == b"{":
        return read_json(data)
    try:
        return read_csv(data)
    except BadTable:
        return read_json(data) if ending == ".json" else read_csv(data)


def read_plain(path: str | Path, most: int) -> bytes:
    """The bytes of the plain file at ``path``, ``most`` of them, and of nothing else.

    Raises:
        OSError: it can't be opened; a link can't.
        BadTable: it is not a plain file, or a longer one.
    """
    handle = os.open(path, _OPEN)
    with open(handle, "rb", buffering=0) as file:
        known = os.fstat(handle)
        if not stat.S_ISREG(known.st_mode):
            raise BadTable("it is not a plain file", "put a plain file there")
        pieces, size = list[bytes](), 0
        while size <= most and (piece := file.read(most + 1 - size)):
            pieces.append(piece)
            size += len(piece)
        if size > most:
            raise BadTable(f"it is longer than {most} bytes", "leave only what belongs in it")
    return b"".join(pieces)


def _reason(error: OSError) -> str:
    return f"it can't be opened ({(error.strerror or str(error)).lower()})"
