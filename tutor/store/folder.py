"""Where records lie: one folder, in it one file for each learner.

The folder is the one that the system keeps for a program's data, or what RUNGWISE_HOME
says.  A learner's name may be anything that can be typed; the name of the file is made of
it so that it is safe on every file system, whatever the name.
"""

from __future__ import annotations

import os
import unicodedata
from pathlib import Path

from ..language.texts import plain
from ..language.told import ToldError

HOME, LEARNER = "RUNGWISE_HOME", "RUNGWISE_LEARNER"
"""Environment variables: another folder; the learner's name."""

LONGEST_NAME = 60
SUFFIX = ".sqlite3"
_FIRST = "record"
_PLAIN = frozenset("abcdefghijklmnopqrstuvwxyz0123456789-")


class BadName(ToldError):  # noqa: N818 - what is bad is said by the name
    """A name that no learner can have; the message says why."""


def home() -> Path:
    """The folder of the records; it need not exist."""
    told = os.environ.get(HOME)
    if told:
        return Path(told).expanduser()
    import platformdirs

    return Path(platformdirs.user_data_dir("rungwise", appauthor=False))


def learner() -> str:
    """The learner named by the environment; "" for whoever sits at this account."""
    return os.environ.get(LEARNER, "")


def display_name(name: str) -> str:
    """A name as it is shown: one line, nothing invisible, ""  for nobody in particular.

    Raises:
        BadName: it is too long, or nothing of it can be shown.
    """
    # A lone surrogate stands for a byte that was no text.
    kept = name.encode("utf-8", "replace").decode("utf-8")
    kept = unicodedata.normalize("NFC", " ".join(plain(" ".join(kept.split())).split()))
    kept = "".join(c for c in kept if unicodedata.category(c)[0] != "C")
    if len(kept) > LONGEST_NAME:
        raise BadName(f"a learner's name has at most {LONGEST_NAME} characters, not {len(kept)}")
    if name and not kept:
        raise BadName("a learner's name needs a letter or a digit")
    return kept


def slug(name: str) -> str:
    """The part of a file's name that stands for a learner: a to z, digits, hyphens.

    Names that differ only in capitals or in how accents are composed are one learner.
    What is left out of a name is made up for by a check sum behind an underscore, which
    plain names never have, so that two learners never share a file.

    Raises:
        BadName: as :func:`display_name`.
    """
    folded = unicodedata.normalize("NFKC", display_name(name).casefold())
    if not folded or (len(folded) <= 40 and _PLAIN.issuperset(folded)):
        return folded
    from zlib import crc32

    bare = unicodedata.normalize("NFKD", folded)
    kept = "".join(c if c in _PLAIN else "-" if c == " " else "" for c in bare)[:40]
    # Two check sums of different bytes: 64 bits, without the 4 ms that hashlib takes.
    data = folded.encode("utf-8")
    return f"{kept.strip('-')}_{crc32(data):08x}{crc32(data[::-1], 0x5EED):08x}"


def record_file(name: str = "", folder: Path | None = None) -> Path:
    """The file of the record of a ``name`` in a ``folder`` (None: `home`); it need not exist.

    Raises:
        BadName: as :func:`display_name`.
    """
    part = slug(name)
    stem = f"{_FIRST}-{part}" if part else _FIRST
    return (folder or home()) / f"{stem}{SUFFIX}"


def record_files(folder: Path | None = None) -> list[Path]:
    """The records that there are, by name; none where there is no folder.

    Raises:
        OSError: the folder cannot be read.
    """
    try:
        found = sorted((folder or home()).iterdir())
    except (FileNotFoundError, NotADirectoryError):
        return []
    return [
        path
        for path in found
        if path.name.endswith(SUFFIX)
        and path.name.startswith((f"{_FIRST}-", f"{_FIRST}{SUFFIX}"))
        and ".damaged-" not in path.name
    ]
