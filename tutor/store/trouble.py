"""What can keep a record from being kept, in the learner's words."""

from __future__ import annotations

import errno
import sqlite3

from ..language.texts import fill
from ..language.told import ToldError


class Trouble(ToldError):  # noqa: N818 - the learner's word for it
    """Something keeps the record from being read or written.

    Args:
        key: The entry of ``[trouble]`` in ``content/record.toml`` that says what.
        values: What fills the entry.
    """

    def __init__(self, key: str, **values: object) -> None:
        super().__init__(fill("record", f"trouble.{key}", values.items()))


class Newer(Trouble):
    """The record was written by a later release; it is left as it is."""


class Older(Trouble):
    """The record is of an older form, and cannot be written to to bring it up to date."""


class Foreign(Trouble):
    """The file is a database of another program; it is left as it is."""


class Moved(Trouble):
    """Another file has come into the record's place while it was open."""


class Damaged(Trouble):
    """The file is no database any more, or parts of it are not."""


_KEYS = {
    **dict.fromkeys((errno.ENOSPC, errno.EDQUOT, errno.EFBIG), "full"),
    **dict.fromkeys((errno.EACCES, errno.EPERM, errno.EROFS), "closed"),
}
"""What is told of an error of the system, by its number."""
_SQLITE_KEYS = {
    sqlite3.SQLITE_FULL: "full",
    sqlite3.SQLITE_READONLY: "closed",
    sqlite3.SQLITE_PERM: "closed",
    sqlite3.SQLITE_AUTH: "closed",
    sqlite3.SQLITE_CANTOPEN: "closed",
    sqlite3.SQLITE_BUSY: "busy",
    sqlite3.SQLITE_LOCKED: "busy",
    sqlite3.SQLITE_PROTOCOL: "busy",
}
"""What is told of an error of SQLite's, by its code."""
_BROKEN = {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB}
_BELIED = {sqlite3.SQLITE_CONSTRAINT, sqlite3.SQLITE_MISMATCH, sqlite3.SQLITE_TOOBIG}


def _code(error: Exception) -> int:
    """SQLite's code of an error, without its extension; 0 where it has none."""
    return (getattr(error, "sqlite_errorcode", None) or 0) & 0xFF


def is_damage(error: Exception) -> bool:
    """Whether the file itself is broken, not merely out of reach."""
    code = _code(error)
    if isinstance(error, sqlite3.OperationalError) and "decode to UTF-8" in str(error):
        return True  # Python's own words: a text that is none
    if isinstance(error, UnicodeDecodeError):
        return True  # so was what SQLite had to say about it
    return isinstance(error, Damaged) or code in _BROKEN or is_contradiction(error)


def is_contradiction(error: Exception) -> bool:
    """Whether a statement of ours failed on what stands in the file, which SQLite itself can read.

    In a sound record no number is given twice, no table and no value is missing, and nothing is
    too large.  Where one is, a page may hold what belongs elsewhere.
    """
    if not isinstance(error, sqlite3.Error):
        return False
    code = _code(error)
    # SQLITE_ERROR is also said of a transaction begun or ended at the wrong time.
    senseless = code == sqlite3.SQLITE_ERROR and "transaction" not in str(error)
    return senseless or code in _BELIED


def befalls(error: Exception) -> bool:
    """Whether an error comes from the file or its surroundings, not from the program."""
    return isinstance(error, Trouble | OSError | sqlite3.Error | UnicodeDecodeError)


def trouble_of(error: Exception) -> Trouble:
    """An error of the database or the system as a trouble that can be told."""
    if isinstance(error, Trouble):
        return error
    if is_damage(error):
        return Damaged("damaged")
    if isinstance(error, OSError):
        key = _KEYS.get(error.errno or 0, "unreachable")
        return Trouble(key, why=error.strerror or error)
    return Trouble(_SQLITE_KEYS.get(_code(error), "unreachable"), why=error)
