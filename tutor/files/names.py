"""Names of folders made of students' names: safe on every system, whatever the name.

A folder's name is the student's number and what is left of the name in lower-case ASCII.  The
number makes it unique, also where capitals don't count; it also keeps the name from being one
that Windows reserves for a device.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

LONGEST = 40
"""Characters of a slug; with the number before it and a file behind it a path stays short."""
NOBODY = "student"

# Letters that have no decomposition into an ASCII letter and a mark; spelled as usual in passports
# (ICAO Doc 9303 part 3, section 6).
_SPELLED = str.maketrans(
    {
        "ß": "ss", "æ": "ae", "œ": "oe", "ø": "oe", "đ": "d", "ð": "d", "ħ": "h", "ı": "i",
        "ĳ": "ij", "ł": "l", "ŋ": "n", "þ": "th", "ŧ": "t", "ĸ": "k",
    }
)  # fmt: skip


def slug(name: str) -> str:
    """What is left of a name in a to z, digits and single hyphens; "student" if nothing is."""
    # Far more than is kept; a name may decompose into many times its length.
    folded = unicodedata.normalize("NFKD", name[: 8 * LONGEST].casefold()).translate(_SPELLED)
    bare = "".join(c for c in folded if not unicodedata.combining(c)).replace("'", "")
    kept = re.sub(r"[^a-z0-9]+", "-", bare).strip("-")[:LONGEST].strip("-")
    return kept or NOBODY


def sheet_name(number: int) -> str:
    """How a student's sheet is called where its number stands: ``"03"``.

    It has two digits at least, and isn't padded further for a larger class, so that students who
    join a roster later change nothing that is there.
    """
    return f"{number:02d}"


@lru_cache(maxsize=4096)
def question_place(number: str) -> tuple[int, ...]:
    """Where the question of a ``number`` stands on a sheet: "2.1" before "10.1"."""
    return tuple(map(int, number.split(".")))


def folder_name(number: int, name: str = "", id_: str = "", digits: int = 2) -> str:
    """A student's folder: their number, then their name, or without one their id.

    Args:
        number: the student's.
        name: as in the roster.
        id_: as in the roster.
        digits: how many the number has at least, so that folders of a class sort by it.
    """
    return f"{number:0{digits}d}-{slug(name or id_)}"
