"""Files of marks, put in place whole: written beside, forced to the disk, then renamed.

The folder is made for its owner alone, since marks tell right answers.
"""

from __future__ import annotations

import codecs
import filecmp
import os
import re
import shutil
import stat
from collections.abc import Iterable, Iterator
from pathlib import Path

from ...files.tree import OutsideError, among_students
from ..handins.cells import row
from ..handins.table import BadTable
from .folder import read_plain

MARKS_JSON, MARKS_CSV = "marks.json", "marks.csv"
UNCLEAR_CSV, APART_CSV, CHANGES_CSV = "unclear.csv", "apart.csv", "changes.csv"
FILES_CSV = "files.csv"
WIDENED_CSV = "widened.csv"
EARLIER, FEEDBACK, WORK = "earlier", "feedback", ".work"
MOST_FEEDBACK = 4 * 1024 * 1024
_NUMBERED = re.compile(r"\d{3,9}")
_NEW = (
    os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
)


class MarksFolder:
    """The folder that marks are written into."""

    def __init__(self, root: Path) -> None:
        """Make the folder where there is none.

        Raises:
            OutsideError: it lies, or leads, elsewhere.
            OSError: it can't be made.
        """
        if among_students(root):
            raise OutsideError(
                f"{root} is among the students' files, and marks tell right answers; "
                "give another --out"
            )
        self.root = root
        self._staged: dict[str, None] = {}
        root.mkdir(mode=0o700, parents=True, exist_ok=True)
        for name in (EARLIER, FEEDBACK, WORK):
            self._check(root / name)

    @staticmethod
    def _check(folder: Path) -> None:
        try:
            known = folder.lstat()
        except FileNotFoundError:
            return
        if not stat.S_ISDIR(known.st_mode):
            raise OutsideError(f"{folder} is no folder: take it away; give another --out")

    def stage(self, name: str, pieces: Iterable[bytes]) -> None:
        """Write a file, of ``pieces``, that :meth:`put` puts in place under its ``name``."""
        self._staged[name] = None
        _write(_beside(self.root / name), pieces)

    def table(self, name: str, rows: Iterable[Iterable[object]]) -> int:
        """Stage a table of ``rows`` under its ``name``; how many they are, its head included.

        It begins with a byte order mark: without one spreadsheets take UTF-8 for the system's
        old encoding, and spoil names.
        """
        count = 0

        def lines() -> Iterator[bytes]:
            nonlocal count
            yield codecs.BOM_UTF8
            for count, cells in enumerate(rows, 1):  # noqa: B007
                yield row(cells).encode()

        self.stage(name, lines())
        return count

    def is_new(self, name: str) -> bool:
        """Whether a staged file is another than the one in place; also where there is none."""
        return not _same(_beside(self.root / name), self.root / name)

    def put(self) -> None:
        """Put what is staged in place; ``marks.json`` last, by which a run is known to be done."""
        for name in sorted(self._staged, key=lambda name: name == MARKS_JSON):
            self._put(name)
        self._staged.clear()

    def _put(self, name: str) -> None:
        beside = _beside(self.root / name)
        with open(beside, "rb") as file:
            os.fsync(file.fileno())
        os.replace(beside, self.root / name)

    def read(self, name: str, most: int) -> bytes | BadTable | None:
        """The file ``name``, of ``most`` bytes; what is wrong with it, ``None`` without one."""
        try:
            return read_plain(self.root / name, most)
        except FileNotFoundError:
            return None
        except OSError as error:
            reason = (error.strerror or str(error)).lower()
            return BadTable(f"it can't be opened ({reason})", "make sure that you may open it")
        except BadTable as error:
            return error

    def replace(self, name: str, data: bytes) -> None:
        """Put ``data`` in place as ``name`` at once; what was there stays until it is whole."""
        _write(_beside(self.root / name), [data])
        self._put(name)

    def remove(self, name: str) -> None:
        """Remove a file, if it is there."""
        (self.root / name).unlink(missing_ok=True)

    def keep(self) -> None:
        """Keep a copy of the marks in place under the next number, unless the last one is that.

        It is that where a run was killed after it kept them.
        """
        if _same(self.root / MARKS_JSON, (self.latest() or self.root / WORK) / MARKS_JSON):
            return
        number = max(self._numbers(), default=0) + 1
        folder = self.root / EARLIER
        folder.mkdir(exist_ok=True)
        new = folder / ".part"
        shutil.rmtree(new, ignore_errors=True)
        new.mkdir()
        for name in (MARKS_JSON, MARKS_CSV):
            if _is_plain(self.root / name):
                shutil.copyfile(self.root / name, new / name, follow_symlinks=False)
        os.replace(new, folder / f"{number:03d}")

    def _numbers(self) -> Iterator[int]:
        folder = self.root / EARLIER
        if folder.is_dir():
            for name in os.listdir(folder):
                if _NUMBERED.fullmatch(name):
                    yield int(name)

    def latest(self) -> Path | None:
        """The folder of the marks before these."""
        number = max(self._numbers(), default=0)
        return self.root / EARLIER / f"{number:03d}" if number else None

    def feedback(self, folder: str, text: str) -> None:
        """Put ``text`` in place for the student of a ``folder``; "" takes it away."""
        target = self.root / FEEDBACK / f"{folder}.txt"
        beside = _beside(target)
        beside.unlink(missing_ok=True)
        if not text:
            target.unlink(missing_ok=True)
            return
        data = text.encode()
        try:
            if read_plain(target, MOST_FEEDBACK) == data:
                return
        except (OSError, BadTable):
            pass  # none is there, or nothing of ours: it is replaced
        target.parent.mkdir(mode=0o700, exist_ok=True)
        _write(beside, [data])
        os.replace(beside, target)


def _beside(target: Path) -> Path:
    return target.with_name(f".{target.name}.part")


def _write(beside: Path, pieces: Iterable[bytes]) -> None:
    beside.unlink(missing_ok=True)  # what a run that was killed left behind
    with open(os.open(beside, _NEW, 0o600), "wb") as file:
        for piece in pieces:
            file.write(piece)


def _is_plain(path: Path) -> bool:
    try:
        return stat.S_ISREG(path.lstat().st_mode)
    except OSError:
        return False


def _same(a: Path, b: Path) -> bool:
    return _is_plain(a) and _is_plain(b) and filecmp.cmp(a, b, shallow=False)
