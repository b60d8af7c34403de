"""Packages and statements as files: whole or not at all, the same bytes every time."""

from __future__ import annotations

import os
import shutil
import tempfile
import zipfile
from collections.abc import Iterable
from pathlib import Path, PurePosixPath

from ...files.tree import whole_file
from ...language.told import ToldError

Files = Iterable[tuple[str, bytes]]
_EARLIEST = (1980, 1, 1, 0, 0, 0)
"""The first moment that the format can write (PKWARE's APPNOTE 6.3, 4.4.6)."""
_MODE = 0o100644
_UNIX = 3


class TakenError(ToldError):
    """There is something already where the package is to be."""

    misused = True

    def __init__(self, target: Path) -> None:
        super().__init__(f"{target} is there already: give another name, or --force.")


def write_lines(target: Path, lines: Iterable[str], *, over: bool = False) -> None:
    """Write a text file ``target``, UTF-8, with a line break after each of the ``lines``.

    ``over`` lets it take the place of another file.

    Raises:
        TakenError: it is there, and may not be written over.
        OSError: it can't be written.
    """
    _make_place(target, over)
    with whole_file(target) as out:
        for line in lines:
            out.write(line.encode("utf-8", "replace") + b"\n")


def _make_place(target: Path, over: bool) -> None:
    if target.exists() and (not over or target.is_dir()):
        raise TakenError(target)
    target.parent.mkdir(parents=True, exist_ok=True)


def write_zip(target: Path, files: Files, *, over: bool = False) -> None:
    """Write ``files`` into the ZIP file ``target``, by way of another one beside it.

    ``over`` lets it take the place of another file.

    Raises:
        TakenError: it is there, and may not be written over.
        OSError: it can't be written.
    """
    _make_place(target, over)
    with whole_file(target) as out, zipfile.ZipFile(out, "w", compresslevel=6) as archive:
        for path, data in files:
            archive.writestr(_entry(path), data)


def _entry(path: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(_inside(path), _EARLIEST)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.create_system = _UNIX
    entry.external_attr = _MODE << 16
    return entry


def write_folder(target: Path, files: Files, *, over: bool = False) -> None:
    """Write ``files`` into the folder ``target``, by way of another one beside it.

    ``over`` lets it take the place of another folder.

    Raises:
        TakenError: there is a file of that name, or a folder that is not empty and may not be
            written over.
        OSError: it can't be written.
    """
    there = target.exists()
    if there and (not target.is_dir() or (any(target.iterdir()) and not over)):
        raise TakenError(target)
    target.parent.mkdir(parents=True, exist_ok=True)
    beside = Path(tempfile.mkdtemp(prefix=".rungwise-", dir=target.parent))
    try:
        whole = beside / "new"
        whole.mkdir(mode=0o700)  # it holds keys
        for path, data in files:
            file = whole / _inside(path)
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(data)
        if there:
            os.replace(target, beside / "old")
        os.replace(whole, target)
    finally:
        shutil.rmtree(beside, ignore_errors=True)


def _inside(path: str) -> str:
    """A path of ours, relative and without a way up.

    Raises:
        ValueError: it isn't.
    """
    found = PurePosixPath(path)
    if found.is_absolute() or ".." in found.parts or "\\" in path:
        raise ValueError(f"{path!r} leads out of the package")
    return str(found)
