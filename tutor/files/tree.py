"""Files inside one folder: written whole or not at all, and never outside of it.

Each file is written under another name in its own folder, forced to the disk, and renamed.  A
folder that turns out to be a link is refused, so that nothing is written where it leads.
"""

from __future__ import annotations

import os
import re
import stat
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from hashlib import sha256
from pathlib import Path
from typing import BinaryIO

from ..language.told import ToldError
from .added import force_names

_NAME = re.compile(r"\.?[a-z0-9][a-z0-9.-]{0,99}")
_OPEN = getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
_PRIVATE_FILE, _FILE, _PRIVATE_FOLDER, _FOLDER = 0o600, 0o666, 0o700, 0o777


class OutsideError(ToldError):
    """A place that is not, or would not stay, inside the folder."""


class BusyError(ToldError):
    """Another process does a ``command`` that writes into the ``folder``."""

    def __init__(self, command: str, folder: Path) -> None:
        super().__init__(
            f"another `{command}` is writing into {folder}; wait until it has ended, or give"
            " another --out"
        )


def digest(data: bytes) -> str:
    """What tells one content of a file from another."""
    return sha256(data).hexdigest()


class FolderTree:
    """One folder and all that is below it.  Paths in it are relative, with ``/`` between names.

    What lies below a folder named in ``private`` may be read by its owner only.
    """

    def __init__(self, root: Path, private: str) -> None:
        self.root = root
        self._private = private
        self._checked: set[str] = set()

    def _is_private(self, path: str) -> bool:
        return path.split("/")[0] == self._private

    def path(self, path: str) -> Path:
        """Where something lies.

        Raises:
            OutsideError: a name in the path isn't one of ours, such as ``..``.
        """
        names = path.split("/")
        for name in names:
            if not _NAME.fullmatch(name) or name.endswith("."):
                raise OutsideError(f"{path!r} is no path inside {self.root}")
        return self.root.joinpath(*names)

    def folder(self, path: str) -> Path:
        """A folder, made if it isn't there.

        Raises:
            OutsideError: it, or one above it, is a link, or leads elsewhere.
            OSError: it can't be made.
        """
        made = self.path(path)
        if path in self._checked:
            return made
        self.root.mkdir(parents=True, exist_ok=True)
        names = path.split("/")
        for depth in range(1, len(names) + 1):
            part = "/".join(names[:depth])
            if part in self._checked:
                continue
            here = self.path(part)
            with suppress(FileExistsError):
                here.mkdir(_PRIVATE_FOLDER if self._is_private(part) else _FOLDER)
            _check_folder(here, self.root)
            if self._is_private(part) and sys.platform != "win32":
                here.chmod(_PRIVATE_FOLDER)
            self._checked.add(part)
        return made

    def write(self, path: str, data: bytes) -> None:
        """Put ``data`` at ``path``, whole; what was there under its name is gone.

        Raises:
            OutsideError: as :meth:`folder`.
            OSError: it can't be written; nothing has changed then.
        """
        above, _, name = path.rpartition("/")
        target = self.path(path)
        folder = self.folder(above) if above else self.root
        beside = folder / _beside(name)
        mode = _PRIVATE_FILE if self._is_private(path) else _FILE
        flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | _OPEN
        try:
            handle = os.open(beside, flags, mode)
        except FileExistsError:  # left behind by a run that was killed
            beside.unlink()
            handle = os.open(beside, flags, mode)
        try:
            with open(handle, "wb", buffering=0) as file:
                view = memoryview(data)
                while view:
                    view = view[file.write(view) :]
                os.fsync(file.fileno())
            os.replace(beside, target)
        except BaseException:
            beside.unlink(missing_ok=True)
            raise

    def append_to(self, path: str) -> int:
        """A handle that appends to a file, made if it isn't there.

        Raises:
            OutsideError, OSError: as :meth:`write`.
        """
        self.folder(path.rpartition("/")[0])
        mode = _PRIVATE_FILE if self._is_private(path) else _FILE
        return os.open(self.path(path), os.O_WRONLY | os.O_APPEND | os.O_CREAT | _OPEN, mode)

    def settle(self, path: str) -> None:
        """Force the names in a folder to the disk, where the system has that."""
        force_names(self.path(path))

    def read(self, path: str, most: int) -> bytes | None:
        """The content of the plain file at ``path``; None for none, or over ``most`` bytes.

        A link isn't followed, and a pipe isn't waited for.
        """
        try:
            handle = os.open(self.path(path), os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | _OPEN)
        except OSError:
            return None
        try:
            known = os.fstat(handle)
            if not stat.S_ISREG(known.st_mode) or known.st_size > most:
                return None
            with open(handle, "rb", closefd=False) as file:
                data = file.read(most + 1)
        except OSError:
            return None
        finally:
            os.close(handle)
        return data if len(data) <= most else None

    def exists(self, path: str) -> bool:
        """Whether there is anything of this name, be it a link that leads nowhere."""
        return os.path.lexists(self.path(path))

    def put_aside(self, path: str) -> str:
        """Rename a file that isn't ours to write over; its new path."""
        for count in range(1, 1000):
            aside = f"{path}.kept-{count}"
            if not self.exists(aside):
                os.replace(self.path(path), self.path(aside))
                return aside
        raise OSError(f"{self.path(path)} has been put aside too often")

    def remove(self, path: str) -> None:
        """Remove a file, if it is there, and what a killed run left beside it.

        Raises:
            OutsideError: its folder is a link, or leads elsewhere.
        """
        target = self.path(path)
        above, _, name = path.rpartition("/")
        if not self.exists(above):
            return
        self.folder(above)
        target.unlink(missing_ok=True)
        target.with_name(_beside(name)).unlink(missing_ok=True)

    def remove_folder(self, path: str) -> None:
        """Remove a folder if nothing is in it."""
        self._checked.discard(path)
        with suppress(OSError):
            self.path(path).rmdir()

    def names(self, path: str) -> list[str]:
        """The names in a folder, sorted; none where there is no folder."""
        try:
            return sorted(os.listdir(self.path(path)))
        except (FileNotFoundError, NotADirectoryError):
            return []


@contextmanager
def whole_file(target: Path) -> Iterator[BinaryIO]:
    """A file that takes the target's place when all is written; only its owner may read it.

    Raises:
        OSError: it can't be written, or its folder isn't there; nothing has changed then.
    """
    handle, name = tempfile.mkstemp(prefix=".rungwise-", dir=target.parent)
    try:
        with open(handle, "wb") as out:
            yield out
            out.flush()
            os.fsync(out.fileno())
        os.replace(name, target)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def among_students(place: Path) -> bool:
    """Whether a place is, or lies in, a folder of sheets that are handed out to students.

    What tells right answers has no business there.
    """
    found = place.resolve()
    return any(
        folder.name == "students"
        and any((folder.parent / "keys" / name).exists() for name in ("class.json", ".making.json"))
        for folder in (found, *found.parents)
    )


def _beside(name: str) -> str:
    """The name under which a file is written: the same each time, so that none are left over."""
    return f".{name}.part"


def _check_folder(folder: Path, root: Path) -> None:
    known = folder.lstat()
    linked = stat.S_ISLNK(known.st_mode)
    # A junction of Windows isn't a symbolic link, but resolves to where it leads.
    within = folder.resolve().is_relative_to(root.resolve())
    if linked or not within:
        raise OutsideError(f"{folder} is a link: nothing is written where it leads")
    if not stat.S_ISDIR(known.st_mode):
        raise NotADirectoryError(20, "is a file, where a folder is to be", str(folder))


@contextmanager
def only_one(mark: Path) -> Iterator[bool]:
    """Hold the lock of a folder; False if another process does.  ``mark`` names the lock file."""
    from . import locks as claims

    name = "0" * 15
    held = claims.take(mark, name)
    try:
        yield held
    finally:
        if held:
            claims.let_go(mark, name)
